"""Where a value of a job lives: at its place in the file, under a name, in a layout, in another file, in a variant; and
all the places that use it. What a change of it changes follows from that. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from decalgen.core.values import dataclass
from decalgen.job.nodes import Scalar
from decalgen.job.renaming import Subject
from decalgen.job.splices import Path, WrittenText, children
from decalgen.job.uses import NameUse

HomeKind = Literal["here", "named", "layout", "elsewhere", "variant", "left out"]


@dataclass(frozen=True)
class ValueHome:
    """Where the value at a place lives.

    ``here``: it is written there, a figure, a text or an expression of its own. ``named``: there is only the name of a
    value, which is at ``path``; ``name`` is that name, ``uses`` every place in the file that says it. ``layout``: it is
    left out, and the layout ``name`` gives it. ``variant``: the variant ``name`` gives it, at ``path``. ``elsewhere``:
    what is named is in a file that this one includes. ``left out``: what holds without it holds.
    """

    kind: HomeKind
    path: Path
    name: str = ""
    uses: tuple[Path, ...] = ()

    @property
    def decals(self) -> tuple[str, ...]:
        """The decals among the places that use it, in order."""
        found = [path[path.index("decals") + 1] for path in self.uses if "decals" in path[:-1]]
        return tuple(dict.fromkeys(str(name) for name in found))


def home_of(written: WrittenText, uses: Iterable[NameUse], path: Path, variant: str = "") -> ValueHome:
    """Where the value at a path of a job file lives. ``uses``: of the job as it is written (`uses_of`); ``variant``:
    the one that is looked at, whose own value counts before that of the job."""
    own = ("variants", variant, *path)
    if variant and written.has(own):
        return ValueHome("variant", own, variant)
    if not written.has(path):
        return _left_out(written, path)
    node = written.at(path)
    mine = list(uses)
    name = _name_alone(node, mine)
    if name is None:
        return ValueHome("here", path)
    subject = Subject("value", name.name, name.owner)
    likely = [one for one in mine if one.likely]
    same = [one for one in likely if (one.what, one.owner, one.name) == ("value", name.owner, name.name)]
    there = (
        written.spots.get((one.node.line, one.node.column))
        for one in same
        if one.node.source.name == name.node.source.name
    )
    where = tuple(sorted({spot for spot in there if spot is not None}, key=lambda spot: _order(written, spot)))
    if not written.has(subject.path):
        return ValueHome("elsewhere", path, name.name, where)
    return ValueHome("named", subject.path, name.name, where)


def _order(written: WrittenText, path: Path) -> int:
    return written.begin(written.at(path))


def _name_alone(node: Any, uses: Iterable[NameUse]) -> NameUse | None:
    """The value that a text names, where it says nothing else."""
    if not isinstance(node, Scalar):
        return None
    text = node.text.strip()
    for one in uses:
        here = (one.node.line, one.node.column) == (node.line, node.column) and one.node.text == node.text
        if here and one.what == "value" and text in (one.name, f"<{one.name}>"):
            return one
    return None


def _left_out(written: WrittenText, path: Path) -> ValueHome:
    """A value that the file does not write: its layout gives it, or what holds anyway."""
    if path[:1] == ("decals",) and len(path) > 2:
        group = written.at(path[:2]) if written.has(path[:2]) else None
        if group is None:
            return ValueHome("elsewhere", path)
        layout = next((one for key, one in children(group) if key == "layout"), None)
        if isinstance(layout, Scalar):
            return ValueHome("layout", path, layout.text)
    return ValueHome("left out", path)
