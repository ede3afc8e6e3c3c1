"""Groups laid over each other as nodes, so that every value keeps its own place; includes and variants."""

from __future__ import annotations

from collections.abc import Mapping as MappingOf
from dataclasses import replace
from pathlib import Path

from decalgen.core.errors import InputError, did_you_mean
from decalgen.core.names import spelt_as
from decalgen.job.entries import MOST_FILES
from decalgen.job.files import file_beside, read_source, source_of
from decalgen.job.nodes import Listing, Mapping, Node, Scalar, Source
from decalgen.job.old_words import file_renamed
from decalgen.job.parser import parse
from decalgen.job.problems import Problems


def overlay(
    base: Mapping, over: Mapping, problems: Problems | None = None, path: str = "", foreign: bool = False
) -> Mapping:
    """``over`` laid over ``base``: groups are merged key by key, anything else is replaced.

    With ``problems``, an empty value (null) takes the entry away, and one that takes nothing away is noted. What stands
    in both keeps the place that it has in ``base``; of a ``foreign`` base, such as a ready layout, that in ``over``,
    which the user wrote. A key may be in another spelling there.
    """
    entries = {key.text: (key, value) for key, value in base.entries}
    for key, value in over.entries:
        name = spelt_as(key.text, entries) or key.text
        old = entries.get(name)
        if problems is not None and isinstance(value, Scalar) and value.empty:
            if old is None:
                fix = did_you_mean(key.text, list(entries)) if entries else "leave this line out"
                problems.add(f"there is no '{key.text}' here to remove", key.place, fix)
            else:
                del entries[name]
        elif old is not None and isinstance(old[1], Mapping) and isinstance(value, Mapping):
            merged = overlay(old[1], value, problems, f"{path}{key.text}.", foreign)
            entries[name] = (key if foreign else old[0], merged)
        else:
            entries[name] = (replace(key, text=name), value)
    return replace(over if foreign else base, entries=tuple(entries.values()))


def without(group: Mapping, *keys: str) -> Mapping:
    """The group without some keys."""
    return replace(group, entries=tuple(entry for entry in group.entries if entry[0].text not in keys))


class Files:
    """The files of one job: read, parsed and merged. ``sources`` are all of them, in the order they were opened;
    ``texts`` are those of files, by their names as messages show them, that are not what lies on the disk."""

    def __init__(
        self,
        problems: Problems,
        root: Path,
        shown: str,
        texts: MappingOf[str, str] | None = None,
        sources: list[Source] | None = None,
    ) -> None:
        self.texts = texts or {}
        self.problems = problems
        self.root = root
        self.shown = shown
        self.folder = root.parent.resolve()
        self.sources = [] if sources is None else sources
        self.exhausted = False

    def read(self) -> Mapping | None:
        """The job file with all it includes; None where it is no group of keys. Raises `InputError`."""
        return self._read(self.root, self.shown, ())

    def _read(self, path: Path, shown: str, chain: tuple[Path, ...]) -> Mapping | None:
        given = self.texts.get(shown)
        source = read_source(path, shown) if given is None else source_of(given, shown)
        self.sources.append(source)
        self.problems.files.append(source.name)
        group = document(source, self.problems)
        if group is None:
            return None
        return self._including(group, path, (*chain, path.resolve()))

    def _including(self, group: Mapping, path: Path, chain: tuple[Path, ...]) -> Mapping:
        """The group over everything it includes; of two includes, the later wins."""
        node = group.get("include")
        if node is None:
            return group
        below: Mapping | None = None
        for item in node.items if isinstance(node, Listing) else (node,):
            included = self._included(item, path, chain)
            if included is not None:
                below = included if below is None else overlay(below, included)
        own = without(group, "include")
        return (
            own if below is None else replace(overlay(below, own), source=own.source, line=own.line, column=own.column)
        )

    def _included(self, item: Node, path: Path, chain: tuple[Path, ...]) -> Mapping | None:
        """One included file; None, with the reason noted, where it cannot be."""
        if isinstance(item, Scalar) and item.told:
            return None
        if not isinstance(item, Scalar) or item.empty:
            self.problems.add("this needs the name of a file", item.place, "include: [paints.yaml]")
            return None
        if len(self.sources) >= MOST_FILES:
            if not self.exhausted:
                self.problems.add(f"more than {MOST_FILES} files in one job", item.place, "put some of them together")
            self.exhausted = True
            return None
        try:
            wanted = file_beside(item.text, path, self.folder)
        except InputError as error:
            self.problems.add(error.message, item.place, error.fix)
            return None
        if wanted.resolve() in chain:
            self.problems.add(f"'{item.text[:60]}' includes itself in the end", item.place, "remove this include")
            return None
        try:
            return self._read(wanted, str(wanted), chain)
        except InputError as error:
            self.problems.absent.append(str(wanted))
            self.problems.add(error.message, item.place, error.fix)
            return None


def document(source: Source, problems: Problems) -> Mapping | None:
    """A file's one group of keys; None, with the reason noted, where it holds something else."""
    before = len(problems)
    node = parse(source, problems)
    if isinstance(node, Mapping):
        return file_renamed(node, problems)
    if len(problems) == before:
        if node is None or (isinstance(node, Scalar) and node.empty):
            problems.add("the file is empty", source.place(0, 0), "'decalgen new' writes a starter job")
        else:
            problems.add("this needs keys", node.place, "write key: value lines, beginning with job: its name")
    return None
