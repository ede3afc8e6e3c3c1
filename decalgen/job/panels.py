"""The panels of a job: each read and built when it is first asked for."""

from __future__ import annotations

from collections.abc import Mapping as MappingOf
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Literal

from decalgen.core import keys
from decalgen.core.errors import DecalgenError, Place
from decalgen.core.lengths import NameProblem, Quantity
from decalgen.core.values import dataclass
from decalgen.job.nodes import Mapping, Node, Scalar
from decalgen.job.old_words import panel_renamed
from decalgen.job.reader import Reader
from decalgen.job.scope import Scope, Told
from decalgen.panels import doubts
from decalgen.panels.base import Panel
from decalgen.panels.registry import kind_for, obstacle_for
from decalgen.panels.unmeasured import FACTORS, assume, is_assumed, untaken

if TYPE_CHECKING:
    from decalgen.job.problems import Problems
    from decalgen.panels.kinds import PanelKind
    from decalgen.panels.obstacles import ObstacleKind

MOST_PANELS = 200
MOST_OBSTACLES = 100
OF_READINGS = ("uncertainty-assumed", "readings-disagree", "readings-scatter", "chord-for-arc")
"""What is said of the readings that were taken, where others are still to be: the rest would speak of sizes that are
assumed. Of a panel that is too large by what was measured, that is told too."""


@dataclass(frozen=True)
class PanelEntry:
    """The keys every panel may have beside its readings."""

    kind: Annotated[
        str | None, keys.Text("kind of panel, needed only where the readings leave it open", example="flat")
    ] = None
    hand: Annotated[str | None, keys.Choice("the hand it was measured on", ("left", "right"))] = None
    note: Annotated[str, keys.Text("anything worth remembering", example="measured on the painted model")] = ""
    free: Annotated[
        tuple[str, ...],
        keys.Many(
            "edges that a card can be folded over, as of a lid that opens",
            of=keys.Choice("an edge", ("left", "right", "bottom", "top")),
            example="top",
            least=0,
            most=4,
        ),
    ] = ()


@dataclass(frozen=True)
class PanelParts:
    """The groups of a panel, each read by code of its own."""

    obstacles: Annotated[
        object,
        keys.Named(
            "what decals keep clear of, by name",
            topic="obstacle",
            example={"handle": {"rectangle": ("3.0 mm", "0.8 mm"), "at": ("16 mm", "8 mm")}},
        ),
    ] = None


_HEAD_KEYS = tuple(spec.key for spec in keys.specs(PanelEntry))
_KEYS = (*_HEAD_KEYS, *(spec.key for spec in keys.specs(PanelParts)))


class Panels:
    """The panels of a job by name. A panel may use the sizes of another, unless that uses its own."""

    def __init__(self, problems: Problems, group: Mapping | None, scale: float | None) -> None:
        self.problems = problems
        self.scale = scale
        self.nodes: dict[str, tuple[Scalar, Node]] = {k.text: (k, v) for k, v in group.entries} if group else {}
        self.scope: Scope = Scope(problems)
        self._built: dict[str, Panel | None] = {}
        self._busy: list[str] = []

    def names(self) -> list[str]:
        """All names, in the order of the file."""
        return list(self.nodes)

    def panel(self, name: str) -> Panel:
        """The panel of that name (which must be known). Raises `Told`, or `NameProblem` for a circle of panels."""
        if name not in self._built:
            if name in self._busy:
                raise NameProblem(f"'{name}' depends on itself", "give one of them a size of its own")
            self._busy.append(name)
            try:
                self._built[name] = self._build(name)
            except Told:
                self._built[name] = None
            finally:
                self._busy.pop()
        found = self._built[name]
        if found is None:
            raise Told
        return found

    def sizes(self, name: str) -> MappingOf[str, Quantity]:
        """The sizes of a panel that expressions may use. Raises as `panel` does."""
        return dict(self.panel(name).sizes)

    def all(self) -> tuple[Panel, ...]:
        """Every panel that could be built; the mistakes in the others are noted."""
        found = []
        for name in self.nodes:
            with suppress(Told):
                found.append(self.panel(name))
        return tuple(found)

    def _build(self, name: str) -> Panel:
        key, node = self.nodes[name]
        reader = Reader(self.problems, self.scope)
        what = f"the panel '{name}'"
        group = panel_renamed(reader.mapping(node, what), self.problems)
        entry = reader.read(PanelEntry, _only(group, _HEAD_KEYS), what)
        try:
            kind = kind_for(group.keys(), entry.kind)
        except DecalgenError as error:
            self.problems.add(error.message, error.place or key.place, error.fix)
            raise Told from None
        obstacles = self._obstacles(reader, name, group)
        readings = reader.read(kind, group, what, reading=name, also=_KEYS, place=key.place)
        if obstacles is None:
            raise Told
        try:
            panel = self._built_of(readings, name, obstacles, key, _places(group))
        except DecalgenError as error:
            self.problems.add(error.message, error.place or key.place, error.fix)
            raise Told from None
        hand: Literal["left", "right"] | None = None if entry.hand is None else _hand(entry.hand)
        return replace(panel, hand=hand, free=tuple(dict.fromkeys(entry.free)))

    def _built_of(
        self,
        readings: PanelKind,
        name: str,
        obstacles: MappingOf[str, ObstacleKind],
        key: Scalar,
        places: MappingOf[str, Place],
    ) -> Panel:
        """The panel, with sizes assumed for readings that are still to be taken. Raises DecalgenError."""
        there = untaken(readings, obstacles)
        if not there:
            panel = readings.build(name, obstacles, key.place, places=places, scale=self.scale)
            return replace(panel, unmeasured=self._borrowed(panel))
        first: DecalgenError | None = None
        for factor in FACTORS:
            some = {label: assume(item, factor) for label, item in obstacles.items()}
            try:
                panel = assume(readings, factor).build(name, some, key.place, places=places, scale=self.scale)
            except DecalgenError as error:
                first = first or error
                continue
            panel = replace(panel, unmeasured=there)
            largest = max(panel.width, panel.height, key=lambda size: size.value)
            unlikely = () if is_assumed(largest, panel) else doubts.too_large(panel.findings)
            kept = tuple(one for one in panel.findings if one.code in OF_READINGS)
            return replace(panel, findings=(*kept, *unlikely))
        assert first is not None
        raise first

    def _borrowed(self, panel: Panel) -> tuple[str, ...]:
        """The readings of other panels that its own are worked out from, and that are still to be taken."""
        parts = dict.fromkeys(part for _, quantity in panel.readings for part, _ in quantity.parts)
        others = {name: other.unmeasured for name, other in self._built.items() if other is not None}
        found = []
        for part in parts:
            owner, _, reading = part.partition(".")
            if reading.replace("point ", "outline ") in others.get(owner, ()):
                found.append(f"{reading} of {owner}")
        return tuple(found)

    def _obstacles(self, reader: Reader, name: str, group: Mapping) -> dict[str, ObstacleKind] | None:
        """Every obstacle; None when one of them is wrong."""
        node = group.get("obstacles")
        if node is None or (isinstance(node, Scalar) and node.empty):
            return {}
        found: dict[str, ObstacleKind] = {}
        wrong = False
        try:
            entries = reader.mapping(node, "'obstacles'").entries
        except Told:
            return None
        if len(entries) > MOST_OBSTACLES:
            self.problems.add(
                f"more than {MOST_OBSTACLES} obstacles on one panel", node.place, "keep those that matter"
            )
            return None
        for key, value in entries:
            what = f"the obstacle '{key.text}'"
            try:
                item = reader.mapping(value, what)
                kind = obstacle_for(item.keys())
                found[key.text] = reader.read(kind, item, what, reading=f"{name}.{key.text}", place=key.place)
            except Told:
                wrong = True
            except DecalgenError as error:
                self.problems.add(error.message, error.place or key.place, error.fix)
                wrong = True
        return None if wrong else found


def _hand(word: str) -> Literal["left", "right"]:
    return "left" if word == "left" else "right"


def _only(group: Mapping, keys: tuple[str, ...]) -> Mapping:
    return replace(group, entries=tuple(entry for entry in group.entries if entry[0].text in keys))


def _places(group: Mapping) -> dict[str, Place]:
    """The place of each key, and of each obstacle as 'obstacles.<name>'."""
    found = {key.text: key.place for key, _ in group.entries}
    obstacles = group.get("obstacles")
    if isinstance(obstacles, Mapping):
        found.update({f"obstacles.{key.text}": key.place for key, _ in obstacles.entries})
    return found
