"""What an editor or a command changes while the page is open: the files of a job, and what else it is judged by."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.bench.file_marks import Marks

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

LOOKS_ANYWAY = 20
"""Some clocks are coarse, and what could not be kept may be by now: so often files are read anyway."""


class FileWatch:
    """Tells of changed files once they stood still for two looks, as editors empty and refill them."""

    def __init__(self) -> None:
        self._known: dict[str, tuple[Marks, Marks]] = {}
        self._looks = 0

    def rest(self) -> None:
        """Ends a look at the files of every job."""
        self._looks += 1

    def look(self, place: Workplace) -> bool:
        """Takes over what an editor changed in the files of a job; whether the job is to be checked again."""
        now = place.files_read()
        is_new = place.key not in self._known
        # They may have been changed since they were read.
        before, seen = self._known.get(place.key, ({}, now))
        still = now == seen and (now != before or self._looks % LOOKS_ANYWAY == 0)
        self._known[place.key] = now if still else before, now
        if not still:
            return is_new
        version = place.desk.version
        place.look()
        # What the page itself wrote is checked already.
        own = place.desk.path
        return is_new or place.desk.version != version or _without(before, own) != _without(now, own)


def _without(found: Marks, path: Path) -> Marks:
    return {one: mark for one, mark in found.items() if one != path}
