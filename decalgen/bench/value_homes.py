"""Where what is typed into a blank goes: here, to a named value that others use too, into a variant; and why a blank
cannot be filled in here."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import value_at
from decalgen.bench.included import IncludedFile, decal_s_file, included_files
from decalgen.bench.included_edits import also_included, way_into, writable
from decalgen.bench.shown_job import ShownJob
from decalgen.core.names import first_few
from decalgen.job.edits import Path
from decalgen.job.homes import ValueHome, home_of

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

MOST_NAMED = 3
"""So many decals are named one by one."""


def with_homes(place: Workplace, shown: ShownJob, name: str, said: dict[str, Any]) -> dict[str, Any]:
    """The blanks of a decal, each with its ``home`` where there is something to say of it: ``said``, in a sentence; the
    ``ways`` to change it, asked about where there are several; ``fixed``: it cannot be changed here."""
    if shown.written is None or shown.job is None:
        return said
    file = decal_s_file(place.drawings, shown.job, name)
    of = _Homes(place, shown, name, file)
    for blank in _blanks(said):
        home = of.home(blank)
        if home is not None:
            blank["home"] = home
    return said


class _Homes:
    """The homes of the values of one decal."""

    def __init__(self, place: Workplace, shown: ShownJob, name: str, file: IncludedFile | None) -> None:
        self.place, self.shown, self.file = place, shown, file
        self.written = shown.written
        self.here = shown.written is not None and shown.written.has(shown.at(("decals", name)))
        self.name = name

    def home(self, blank: dict[str, Any]) -> dict[str, Any] | None:
        """Where one value lives and what can be done with it; the blank itself gets the place of its variant."""
        path: Path = tuple(blank["at"])
        if self.file is not None:
            there = self.file.said(path)
            if not self.here:
                return self._in_file(path, there)
            if there and blank["raw"] is None:
                return _told(f"{there}. What you type is written here and goes before it, in this job alone.")
        own = self.shown.at(path)
        if own != path:
            blank["at"], blank["raw"] = list(own), self.shown.raw(own)
        assert self.written is not None
        home = home_of(self.written, self.shown.uses, own) if isinstance(blank["raw"], str) else None
        said, ways = self._ways(path, own, home)
        if home is not None and home.kind == "elsewhere":
            words, way = self._elsewhere(home)
            said.insert(0, words)
            ways[:0] = [way] if way else []
        default = blank.get("default", "")
        layout = self._layout(path) if default else ""
        if layout:
            here = "what you type is this decal's own" if blank["raw"] is None else "emptied, that holds again"
            said.append(f"The layout '{layout}' says `{default}`: {here}.")
        if not said and len(ways) < 2:
            return None
        found = {"said": " ".join(said), "ways": ways if len(ways) > 1 else [], "name": home.name if home else ""}
        return found | ({"layout": default} if layout and not self.shown.variant else {})

    def _layout(self, path: Path) -> str:
        """The ready layout that gives a value where the decal gives none; '' for none."""
        if len(path) != len(("decals", self.name, "values", "")) or path[2] != "values":
            return ""
        found = value_at(self.shown.values, (*path[:2], "layout"))
        return found if isinstance(found, str) else ""

    def _ways(self, path: Path, own: Path, home: ValueHome | None) -> tuple[list[str], list[dict[str, Any]]]:
        """The ways to change a value, the one that is meant most often first."""
        variant, said, ways = self.shown.variant, [], []
        if home is not None and home.kind == "named" and len(home.uses) > 1:
            count = len(home.uses)
            said.append(f"'{home.name}' is used in {count} places{_in_decals(home.decals)}.")
            there = self.shown.at(home.path)
            if variant:
                ways.append(self._way(f"Change all {count} in {variant}", self._in_variant(home.path), home.name))
            if there == home.path:
                words = f"Change all {count} in every variant" if variant else f"Change all {count}"
                ways.append(self._way(words, home.path, home.name))
        if not variant:
            ways.append(self._way("Only here", path))
        elif own != path:
            said.append(f"The variant {variant} says it itself.")
            ways.append(self._way(f"Only here, in {variant}", own))
        elif self._may_differ(path):
            said.append(f"The variant {variant} has it from the job.")
            ways.append(self._way(f"Only here, in {variant}" if ways else f"In {variant} only", self._in_variant(path)))
            ways.append(self._way("Only here, in every variant" if len(ways) > 1 else "In every variant", path))
        else:
            said.append(f"A shape is the same in every variant that has no shapes of its own, {variant} too.")
            ways.append(self._way("Only here, in every variant", path))
        return said, ways

    def _way(self, words: str, at: Path, name: str = "") -> dict[str, Any]:
        """``name``: the named value that it changes, which also labels it."""
        return {"words": words, "at": list(at), "raw": self.shown.raw(at), "label": name}

    def _in_variant(self, path: Path) -> Path:
        return ("variants", self.shown.variant, *path)

    def _may_differ(self, path: Path) -> bool:
        """Whether a variant can have a value of its own there: not inside a list, which is replaced as a whole."""
        return all(isinstance(part, str) for part in path)

    def _in_file(self, path: Path, there: str) -> dict[str, Any]:
        """Where a value of a decal of another file is to be changed: in that file, or in this job alone."""
        assert self.file is not None
        way = way_into(self.place.desk, self.file.name, path, value_at(self.file.values, path))
        if way is None:
            return _fixed(self._not_here(path, there))
        said = f"It is in {there}." if there else f"It is left out in {self.file.said(self._under(path))}."
        ways = [way]
        if not self.shown.variant and self._may_differ(path):
            ways.append(self._way("Only in this job", path))
        return {"said": f"{said}{self._also(self.file.name)}", "ways": ways, "name": ""}

    def _under(self, path: Path) -> Path:
        """The nearest group round a place that the decal's file writes."""
        assert self.file is not None
        return path[: next(n for n in range(len(path), 0, -1) if self.file.said(path[:n]))]

    def _also(self, name: str) -> str:
        path = writable(self.place.desk, name)
        return also_included(self.place.drawings, self.place.desk, path) if path is not None else ""

    def _not_here(self, path: Path, there: str) -> str:
        """Where a value of a decal of another file, which cannot be written here, is to be changed."""
        assert self.file is not None
        if there:
            return f"It is in {there}. The page may not write that file: change that line in an editor."
        under = self.file.said(self._under(path))
        return (
            f"It is left out in {under}. The page may not write that file: "
            f"write `{path[-1]}:` under that line in an editor."
        )

    def _elsewhere(self, home: ValueHome) -> tuple[str, dict[str, Any] | None]:
        """What is said of a named value of another file, and the way to change it there, if there is one."""
        job = self.shown.job
        at: Path = ("values", home.name)
        files = included_files(self.place.drawings, job) if job is not None else []
        file = next((one for one in files if one.said(at)), None)
        if file is None:
            return f"'{home.name}' is in another file. What you type holds only here.", None
        where = f"'{home.name}' is in {file.said(at)}"
        way = way_into(self.place.desk, file.name, at, value_at(file.values, at), home.name)
        if way is None:
            return f"{where}, which the page may not write. What you type holds only here.", None
        return f"{where}.{self._also(file.name)}", way


def _told(said: str) -> dict[str, Any]:
    return {"said": said, "ways": [], "name": ""}


def _fixed(said: str) -> dict[str, Any]:
    return {"said": said, "ways": [], "name": "", "fixed": True}


def _in_decals(names: tuple[str, ...]) -> str:
    return f": {first_few(names, MOST_NAMED)}" if names else ""


def _blanks(said: Any) -> Iterator[dict[str, Any]]:
    if isinstance(said, dict):
        if "raw" in said and "at" in said:
            yield said
        else:
            for one in said.values():
                yield from _blanks(one)
    elif isinstance(said, list):
        for one in said:
            yield from _blanks(one)
