"""What a job has from the files that it includes, so that a page can say where to change it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import value_at
from decalgen.commands.questions import all_slots
from decalgen.core.errors import JobError
from decalgen.core.values import dataclass
from decalgen.job.edits import Path
from decalgen.job.files import name_from
from decalgen.job.model import Job
from decalgen.job.splices import WrittenText, plain
from decalgen.panels.base import PanelError

if TYPE_CHECKING:
    from decalgen.bench.pictures import Drawings

LONGEST_LINE = 120


class IncludedFile:
    """A file that a job includes, as it was read with the job."""

    def __init__(self, name: str, text: str) -> None:
        """Raises JobError for a text that cannot be read."""
        self.name = name
        self.written = WrittenText(text, name)
        self.values: Any = plain(self.written.root)

    def said(self, path: Path) -> str:
        """Where the value at a path stands, with its line: 'more.yaml, line 12: `width: 20 mm`'; '' where none is."""
        if not self.written.has(path):
            return ""
        node = self.written.key(path) or self.written.at(path)
        text = self.written.root.source.lines[node.line].strip()
        return f"{self.name}, line {node.line + 1}: `{text[:LONGEST_LINE]}`"


def included_files(drawings: Drawings, job: Job) -> list[IncludedFile]:
    """The files that a job includes, that whose values come first at the head."""
    found = []
    for name, text in reversed(job.texts[1:]):
        try:
            # Read once a text.
            found.append(drawings.kept(("included", name, text), partial(IncludedFile, name, text)))
        except JobError:
            continue
    return found


@dataclass(frozen=True)
class ReadingElsewhere:
    """A reading that is still to be taken, in an included file: its ``name``; what it is of, a panel or a decal; where
    it is written, in words and by its ``file`` and place in that; ``raw``: what stands there."""

    name: str
    of: str
    said: str
    file: str
    path: Path
    raw: Any
    angle: bool


def open_elsewhere(drawings: Drawings, job: Job, own: Any) -> list[ReadingElsewhere]:
    """The readings still to be taken that a job has from the files it includes. ``own``: all that its own file says."""
    waits = {one.name for one in job.panels if one.unmeasured} | {one.name for one in job.decals if one.unmeasured}
    found: dict[Path, ReadingElsewhere] = {}
    for file in included_files(drawings, job):
        try:
            some = all_slots(file.values)
        except (PanelError, KeyError, TypeError, AttributeError):
            continue
        for slot in some:
            of, there = str(slot.path[1]), file.said(slot.path)
            if slot.open and there and of in waits and value_at(own, slot.path) is None:
                found.setdefault(
                    slot.path, ReadingElsewhere(slot.name, of, there, file.name, slot.path, slot.value, slot.angle)
                )
    return list(found.values())


def decal_s_file(drawings: Drawings, job: Job, name: str) -> IncludedFile | None:
    """The included file that a decal, or the first of it, is written in; None for one of the job's own."""
    place = next((one.place for one in job.decals if one.name == name), None)
    if place is None or not job.file or place.file == job.file:
        return None
    wanted = name_from(job.file, place.file)
    return next((one for one in included_files(drawings, job) if one.name == wanted), None)
