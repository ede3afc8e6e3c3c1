"""What a decal says of its panel's obstacles: cut around them, split at gaps, slit along them. Every name is known."""

from __future__ import annotations

from decalgen.core.errors import did_you_mean
from decalgen.core.values import dataclass
from decalgen.job.examples import shown
from decalgen.job.nodes import Listing, Mapping, Node, Scalar
from decalgen.job.reader import Reader
from decalgen.job.scope import Told
from decalgen.panels.arches import arches, nameable
from decalgen.panels.base import Obstacle, Panel

ALL = "all"
ADVISED = "as advised"
_NOT_A_GAP = "write it after `cut around:`, or `gap: yes` at the obstacle"


@dataclass(frozen=True)
class ObstacleNames:
    """Names of a decal's obstacles, each in one list only."""

    cut_around: tuple[str, ...] = ()
    split_at: tuple[str, ...] = ()
    slits: tuple[str, ...] = ()
    slit_as_advised: bool = False


def read_taken(reader: Reader, group: Mapping, panel: Panel) -> ObstacleNames:
    """The three lists of a decal. Raises `Told` after any name that cannot stand where it does."""
    return _Names(reader, panel).read(group)


class _Names:
    def __init__(self, reader: Reader, panel: Panel) -> None:
        self.reader, self.panel = reader, panel
        self.whole: dict[str, Obstacle] = {item.name: item for item in panel.obstacles}
        self.wrong = False

    def read(self, group: Mapping) -> ObstacleNames:
        around = self._around(group.get("cut around"))
        split = self._gaps(group.get("split at"))
        slits, advised = self._slits(group.get("slits"), split)
        if self.wrong:
            raise Told
        return ObstacleNames(tuple(name for name in around if name not in split), split, slits, advised)

    def _around(self, node: Node | None) -> tuple[str, ...]:
        """Obstacles, and sides of an outline; all: what is no gap, and every arch."""
        sides = [side for side in nameable(self.panel) if side not in self.whole]
        names: list[str] = []
        for item in _items(self.reader, node):
            if item.text == ALL and ALL not in self.whole:
                names += [one.name for one in self.panel.obstacles if not one.gap]
                names += [side for side in arches(self.panel) if side in sides]
            elif item.text in sides or self._known(item, sides):
                names.append(item.text)
        return tuple(dict.fromkeys(names))

    def _gaps(self, node: Node | None) -> tuple[str, ...]:
        names: list[str] = []
        for item in _items(self.reader, node):
            if item.text == ALL and ALL not in self.whole:
                names += [one.name for one in self.panel.obstacles if one.gap]
            elif self._known(item):
                if self.whole[item.text].gap:
                    names.append(item.text)
                else:
                    self._no(item, f"'{shown(item.text)}' is not a gap that a decal is split at", _NOT_A_GAP)
        return tuple(dict.fromkeys(names))

    def _slits(self, node: Node | None, split: tuple[str, ...]) -> tuple[tuple[str, ...], bool]:
        names: list[str] = []
        advised = False
        for item in _items(self.reader, node):
            if item.text == ADVISED and ADVISED not in self.whole:
                advised = True
                if not hasattr(self.panel.surface, "gauss"):
                    fix = "name a shut line of the panel to slit along, or leave `slits` out"
                    self._no(item, f"panel '{self.panel.name}' is not curved both ways: no slits are advised", fix)
            elif item.text == ALL and ALL not in self.whole:
                names += [one.name for one in self.panel.obstacles if one.gap and one.middle and one.name not in split]
            elif self._known(item, (), f"name gaps of the panel, or write {ALL}, or {ADVISED}"):
                self._slit(item, split, names)
        return tuple(dict.fromkeys(names)), advised

    def _slit(self, item: Scalar, split: tuple[str, ...], names: list[str]) -> None:
        one, name = self.whole[item.text], shown(item.text)
        if not one.gap:
            self._no(item, f"'{name}' is not a gap that film is slit along", _NOT_A_GAP)
        elif not one.middle:
            fix = "give it as `line:` with the points along its middle, and its width"
            self._no(item, f"'{name}' has no line to slit along", fix)
        elif item.text in split:
            self._no(item, f"'{name}' is split at already", "leave it out of `slits`, or of `split at`")
        else:
            names.append(item.text)

    def _known(self, item: Scalar, more: list[str] | tuple[str, ...] = (), otherwise: str = "") -> bool:
        """Whether the panel has that obstacle; if not, that is noted with the nearest name."""
        if item.text in self.whole:
            self.reader.scope.note_use("obstacle", self.panel.name, item.text, item)
            return True
        known = [*self.whole, *more]
        fix = did_you_mean(item.text, known, otherwise or (None if known else "give the panel `obstacles:` first"))
        self._no(item, f"panel '{self.panel.name}' has no obstacle '{shown(item.text)}'", fix)
        return False

    def _no(self, item: Scalar, message: str, fix: str) -> None:
        self.reader.problems.add(message, item.place, fix)
        self.wrong = True


def _items(reader: Reader, node: Node | None) -> list[Scalar]:
    """The names of a list, or one alone; values of a layout filled in. What is no text is told already."""
    if node is None:
        return []
    node = reader.scope.substitute(node)
    items = node.items if isinstance(node, Listing) else (node,)
    texts = [reader.scope.substitute(item) for item in items]
    return [item for item in texts if isinstance(item, Scalar) and not item.empty]
