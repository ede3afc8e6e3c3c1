"""The ready layouts: parametric decals in layouts/, merged as nodes under a decal's own keys."""

from __future__ import annotations

from collections.abc import Mapping as MappingOf
from dataclasses import dataclass
from functools import lru_cache

from decalgen.errors import InputError, JobError, did_you_mean
from decalgen.job.entries import LAYOUT_GROUPS, LayoutEntry
from decalgen.job.files import read_source
from decalgen.job.merge import document
from decalgen.job.nodes import Mapping, Node, Source
from decalgen.job.problems import Problems
from decalgen.job.reader import Reader, shown
from decalgen.job.scope import Scope, Told
from decalgen.resources import resource_folder, resource_names


@dataclass(frozen=True)
class Layout:
    """A ready decal. ``values`` are its values with their defaults, ``decal`` its keys, both still as nodes."""

    name: str
    about: str
    source: str
    values: MappingOf[str, Node]
    decal: Mapping
    text: Source


@lru_cache(maxsize=1)
def layout_names() -> tuple[str, ...]:
    """The names of all layouts, sorted. Raises `InputError` when the installation lacks them."""
    names = (name for name in resource_names("layouts", ".yaml") if "/" not in name)
    return tuple(name.removesuffix(".yaml") for name in names)


@lru_cache(maxsize=64)
def load_layout(name: str) -> Layout:
    """The layout of that name. Raises `InputError` for an unknown one, `JobError` for mistakes in its file."""
    if name not in layout_names():
        raise InputError(f"there is no layout '{shown(name)}'", fix=did_you_mean(name, layout_names()))
    path = resource_folder("layouts") / f"{name}.yaml"
    problems = Problems()
    source = read_source(path, f"layouts/{name}.yaml")
    group = document(source, problems)
    found = _read(group, source, problems) if group is not None else None
    if found is None or len(problems):
        raise JobError(problems.sorted())
    return found


def layouts() -> tuple[Layout, ...]:
    """All layouts, by name."""
    return tuple(load_layout(name) for name in layout_names())


def _read(group: Mapping, source: Source, problems: Problems) -> Layout | None:
    reader = Reader(problems, Scope(problems))
    try:
        entry = reader.read(LayoutEntry, group, "the layout", also=LAYOUT_GROUPS)
        values = group.get("values")
        decal = group.get("decal")
        if decal is None:
            problems.add("the layout has no 'decal'", group.place, "add decal: with its artwork")
            return None
        mapping = reader.mapping(decal, "'decal'")
        named = reader.mapping(values, "'values'").entries if values is not None else ()
        return Layout(entry.layout, entry.about, entry.source, {k.text: v for k, v in named}, mapping, source)
    except Told:
        return None


class Layouts:
    """The layouts one job uses; their texts belong to the job's hash."""

    def __init__(self, problems: Problems) -> None:
        self.problems = problems
        self.used: dict[str, Layout] = {}

    def for_decal(self, group: Mapping, reader: Reader) -> Layout | None:
        """The layout that a decal names, if it names one. Raises `Told`."""
        node = group.get("layout")
        if node is None:
            return None
        text = reader.scalar(node, "the name of a layout")
        try:
            layout = load_layout(text.text)
        except InputError as error:
            self.problems.add(error.message, text.place, error.fix)
            raise Told from None
        except JobError as error:
            for problem in error.problems:
                self.problems.note(problem)
            raise Told from None
        self.used.setdefault(layout.name, layout)
        return layout
