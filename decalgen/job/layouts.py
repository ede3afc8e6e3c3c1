"""The ready layouts: parametric decals in layouts/, merged as nodes under a decal's own keys.

::

    layout: door-roundel          # the file's name
    about: one line
    source: where its proportions come from
    values: {diameter: 8 mm, ink: lifebuoy orange}    # with their defaults
    inks: {lifebuoy orange: {colour: "#e8641b"}}        # declared for jobs that do not declare them
    decal: {…}                    # keys of a decal; expressions may use the values, panel.width …, <name> too
    sample: {body: navy, panel: {width: 22 mm, height: 12 mm}}     # what it is shown on
"""

from __future__ import annotations

from collections.abc import Mapping as MappingOf
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from decalgen.core.errors import InputError, JobError, did_you_mean
from decalgen.core.keys import specs
from decalgen.core.resources import resource_folder, resource_names
from decalgen.core.values import dataclass
from decalgen.job.entries import LAYOUT_GROUPS, LayoutEntry, SampleEntry
from decalgen.job.examples import shown
from decalgen.job.files import file_beside, read_source
from decalgen.job.merge import document, overlay
from decalgen.job.nodes import Mapping, Node, Scalar, Source
from decalgen.job.problems import Problems
from decalgen.job.reader import Reader
from decalgen.job.scope import Scope, Told


@dataclass(frozen=True)
class Layout:
    """A ready decal. ``values`` are its values with their defaults, ``decal`` its keys, both still as nodes."""

    name: str
    about: str
    source: str
    values: MappingOf[str, Node]
    decal: Mapping
    inks: Mapping
    shown_on: Mapping
    text: Source


@lru_cache(maxsize=1)
def layout_names() -> tuple[str, ...]:
    """The names of all layouts, sorted. Raises `InputError` when the installation lacks them."""
    names = (name for name in resource_names("layouts", ".yaml") if "/" not in name)
    return tuple(name.removesuffix(".yaml") for name in names)


def load_layout(name: str) -> Layout:
    """The layout of that name. Raises `InputError` for an unknown one, `JobError` for mistakes in its file."""
    wanted = "-".join(name.split()).casefold()
    if wanted not in layout_names():
        raise InputError(f"there is no layout '{shown(name)}'", fix=did_you_mean(wanted, layout_names()))
    return _load(wanted)


def layouts() -> tuple[Layout, ...]:
    """All layouts, by name."""
    return tuple(load_layout(name) for name in layout_names())


@lru_cache(maxsize=64)
def _load(name: str) -> Layout:
    problems = Problems()
    source = read_source(resource_folder("layouts") / f"{name}.yaml", f"layouts/{name}.yaml")
    group = document(source, problems)
    found = read_layout(name, group, problems) if group is not None else None
    if found is None or len(problems):
        raise JobError(problems.sorted())
    return found


def read_layout(name: str, group: Mapping, problems: Problems) -> Layout | None:
    """A layout from its file's keys; None, with the mistakes noted, where it is wrong."""
    reader = Reader(problems, Scope(problems))
    groups: dict[str, Mapping] = {}
    for key in LAYOUT_GROUPS:
        groups[key] = Mapping((), group.source, group.line, group.column)
        node = group.get(key)
        if node is not None:
            with suppress(Told):
                groups[key] = reader.mapping(node, f"'{key}'")
    reader.unknown(groups["sample"], [spec.key for spec in specs(SampleEntry)])
    try:
        entry = reader.read(LayoutEntry, group, "the layout", also=LAYOUT_GROUPS)
    except Told:
        return None
    if entry.layout != name:
        key_node = group.get("layout")
        place = key_node.place if key_node else group.place
        problems.add(f"the layout is called '{shown(entry.layout)}' and its file '{name}'", place, f"layout: {name}")
    if not groups["decal"].entries:
        problems.add("the layout has no 'decal'", group.place, "add decal: with its artwork")
    return Layout(
        name,
        entry.about,
        entry.source,
        {key.text: value for key, value in groups["values"].entries},
        groups["decal"],
        groups["inks"],
        groups["sample"],
        group.source,
    )


def is_ready(file: str) -> bool:
    """Whether places name a ready layout by this file, which is none that the user can change."""
    folder, _, name = file.partition("/")
    return folder == "layouts" and name.removesuffix(".yaml") in layout_names()


def named_file(node: Scalar, job_file: str) -> Path:
    """The file that a value names from where it is written; a ready layout names what lies beside the job. Raises
    `InputError` as `file_beside` does."""
    job = Path(job_file)
    beside = job if is_ready(node.source.name) else Path(node.source.name)
    return file_beside(node.text, beside, job.parent.resolve())


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

    def inks(self, decals: Mapping | None, own: Mapping | None) -> Mapping | None:
        """The job's inks over those that the layouts of its decals bring along, whose place is where the job names the
        layout: its own file is not the user's."""
        found = own
        for _, node in decals.entries if decals else ():
            name = node.get("layout") if isinstance(node, Mapping) else None
            if isinstance(name, Scalar):
                with suppress(InputError, JobError):
                    inks = load_layout(name.text).inks
                    inks = replace(inks, entries=tuple((replace(name, text=key.text), it) for key, it in inks.entries))
                    found = inks if found is None else overlay(inks, found, foreign=True)
        return found
