"""The decals of a job: each with its layout merged in, in the scope of its panel and its own values."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from decalgen.core.errors import did_you_mean
from decalgen.core.keys import specs
from decalgen.core.lengths import NameProblem, Quantity
from decalgen.core.values import dataclass
from decalgen.job.drawings import DrawingFiles
from decalgen.job.entries import DECAL_GROUPS, CutEntry, DecalEntry, SizeEntry
from decalgen.job.examples import shown
from decalgen.job.layouts import Layouts
from decalgen.job.merge import overlay, without
from decalgen.job.model import Cut, Decal, Pinned
from decalgen.job.nodes import Mapping, Node, Scalar
from decalgen.job.old_words import DECAL, renamed
from decalgen.job.over import check_over
from decalgen.job.panels import Panels
from decalgen.job.problems import Problems
from decalgen.job.reader import Reader
from decalgen.job.scope import Scope, Told
from decalgen.job.taken import ObstacleNames, read_taken
from decalgen.panels.base import Panel

if TYPE_CHECKING:
    from decalgen.job.own_faces import FaceFiles

T = TypeVar("T")
MOST_DECALS = 400
MOST_PIECES = 500
MOST_PIECES_OF_A_JOB = 2000

_SIZE_KEYS = tuple(spec.key for spec in specs(SizeEntry))
_REST_KEYS = tuple(spec.key for spec in specs(DecalEntry))


@dataclass(frozen=True)
class Surroundings:
    """What a decal is read in."""

    problems: Problems
    scope: Scope
    panels: Panels
    inks: tuple[str, ...]
    layouts: Layouts
    drawings: DrawingFiles
    faces: FaceFiles | None


def read_decals(group: Mapping, around: Surroundings) -> tuple[Decal, ...]:
    """Every decal that could be read; the mistakes in the others are noted."""
    problems = around.problems
    if len(group.entries) > MOST_DECALS:
        key = group.entries[MOST_DECALS][0]
        problems.add(f"more than {MOST_DECALS} decals in one job", key.place, "split the job")
        return ()
    found: list[Decal] = []
    pieces = 0
    for key, node in group.entries:
        with suppress(Told):
            decal = _read(key, node, around)
            count = pieces_of(decal)
            if count > MOST_PIECES:
                problems.add(
                    f"'{shown(key.text)}' makes {count} pieces",
                    key.place,
                    f"at most {MOST_PIECES}: fewer copies or spares",
                )
                continue
            pieces += count
            found.append(decal)
    if pieces > MOST_PIECES_OF_A_JOB:
        problems.add(
            f"the job makes {pieces} pieces", group.place, f"at most {MOST_PIECES_OF_A_JOB}: fewer copies or spares"
        )
    check_over(group, found, problems)
    return tuple(found)


def pieces_of(decal: Decal) -> int:
    """How many pieces a decal makes: copies and spares, of each hand."""
    return (decal.copies + decal.spares) * (2 if decal.hands == "both" else 1)


def _read(key: Scalar, node: Node, around: Surroundings) -> Decal:
    problems = around.problems
    reader = Reader(problems, around.scope, around.inks)
    what = f"the decal '{shown(key.text)}'"
    group = renamed(reader.mapping(node, what), DECAL, problems)
    own_values = _values(reader, group)
    scope = Scope(problems, own_values, around=around.scope, where=f"{key.text}.")
    layout = around.layouts.for_decal(group, reader)
    known = (*_SIZE_KEYS, *_REST_KEYS, *DECAL_GROUPS)
    wrong = bool(reader.unknown(group, known, layout.values if layout is not None else ()))
    if layout is not None:
        for name in own_values:
            if name not in layout.values:
                problems.add(
                    f"the layout '{layout.name}' has no value '{shown(name)}'",
                    _key(group, name).place,
                    did_you_mean(name, list(layout.values)),
                )
                wrong = True
        rest = {name: value for name, value in layout.values.items() if name not in own_values}
        scope = Scope(problems, {**own_values, **rest}, around=around.scope, where=f"{key.text}.")
        group = overlay(layout.decal, group, foreign=True)
        wrong = bool(reader.unknown(without(group, *known), known)) or wrong
    panel = _panel(group, key, Reader(problems, scope), around)
    if panel is None:
        scope.silent = ("panel.", "decal.")
    else:
        scope.sizes.update({f"panel.{name}": size for name, size in panel.sizes})
    inner = Reader(problems, scope, around.inks, around.drawings, around.faces)
    also = known
    size = _try(lambda: inner.read(SizeEntry, group, what, reading=key.text, also=also, place=key.place))
    if panel is not None:
        # After a mistake in the decal's size its artwork is still read, in the panel's size, for its own mistakes.
        width = (size.width if size else None) or panel.width
        height = (size.height if size else None) or panel.height
        scope.sizes.update({"decal.width": width, "decal.height": height})
    cut = _try(lambda: _cut(inner, group))
    rest_of = inner.read(DecalEntry, group, what, reading=key.text, also=also, place=key.place)
    if wrong or size is None or cut is None or panel is None:
        raise Told
    taken = read_taken(inner, group, panel)
    _check_pins(inner, group, rest_of, bool(taken.split_at))
    decal = _decal(key, panel, width, height, cut, rest_of, taken)
    return replace(decal, unmeasured=tuple(dict.fromkeys(inner.untaken))) if inner.untaken else decal


def _decal(
    key: Scalar, panel: Panel, width: Quantity, height: Quantity, cut: Cut, rest: DecalEntry, taken: ObstacleNames
) -> Decal:
    return Decal(
        name=key.text,
        panel=panel.name,
        width=width,
        height=height,
        artwork=rest.artwork,
        hands=rest.hands,  # type: ignore[arg-type]
        at=rest.at,
        cut=cut,
        margin=rest.margin,
        bleed=rest.bleed,
        film=rest.film,  # type: ignore[arg-type]
        copies=rest.copies,
        spares=rest.spares,
        turn=rest.turn,
        pins=_pins(rest),
        keep_together=rest.keep_together,
        note=rest.note,
        place=key.place,
        cut_around=taken.cut_around,
        split_at=taken.split_at,
        slits=taken.slits,
        slit_as_advised=taken.slit_as_advised,
        as_seen=rest.as_seen,
        over=tuple(dict.fromkeys(rest.over)),
        underlay=rest.underlay,  # type: ignore[arg-type]
        backing=rest.backing,  # type: ignore[arg-type]
        backing_choke=rest.backing_choke,
    )


def _pins(rest: DecalEntry) -> tuple[Pinned | None, ...]:
    """Where the pieces have to lie, the left hand's first; None for one that may lie anywhere. Pins that name a hand
    take its first pieces, the others those that are left, in order."""
    of_hand = rest.copies + rest.spares
    slots: list[Pinned | None] = [None] * (of_hand * (2 if rest.hands == "both" else 1))
    for pin in sorted(rest.pin, key=lambda pin: pin.hand is None):
        first = of_hand if pin.hand == "right" else 0
        free = next(n for n in range(first, len(slots)) if slots[n] is None)
        slots[free] = Pinned(pin.at, round(pin.turn) % 360, pin.sheet)
    while slots and slots[-1] is None:
        slots.pop()
    return tuple(slots)


def _check_pins(reader: Reader, group: Mapping, rest: DecalEntry, split: bool) -> None:
    """Every pin is for a piece that there is, and turned as it may be. Raises `Told`."""
    node = group.get("pin")
    if node is None or not rest.pin:
        return
    of_hand = rest.copies + rest.spares
    count = of_hand * (2 if rest.hands == "both" else 1)
    named = [pin.hand for pin in rest.pin if pin.hand]
    if len(rest.pin) > count:
        fix = "give as many as there are copies and spares, of each hand"
        problem = (f"{len(rest.pin)} pins for {count} piece{'' if count == 1 else 's'}", fix)
    elif named and rest.hands != "both":
        problem = ("a pin names a hand, but the decal is not printed for both", "remove `hand:` from the pin")
    elif any(named.count(hand) > of_hand for hand in named):
        problem = (f"more pins for one hand than its {of_hand} piece{'' if of_hand == 1 else 's'}", "remove one")
    elif split:
        problem = ("a decal that is split into sections cannot be pinned", "remove `pin:` or `split at:`")
    elif any(pin.turn % 90 for pin in rest.pin):
        problem = ("a pinned piece turns in quarters only", "write turn: 0, 90, 180 or 270")
    elif not rest.turn and any(pin.turn % 360 for pin in rest.pin):
        problem = ("it is pinned with a turn, but must not be turned", "remove `turn:` from the pin, or turn: no")
    else:
        return
    reader.problems.add(problem[0], node.place, problem[1])
    raise Told


def _try(read: Callable[[], T]) -> T | None:
    """What ``read`` gives; None where it was wrong, and that is noted."""
    try:
        return read()
    except Told:
        return None


def _panel(group: Mapping, key: Scalar, reader: Reader, around: Surroundings) -> Panel | None:
    """The panel the decal names; None, with the reason noted, where it cannot be had."""
    node = group.get("panel")
    if node is None:
        return None
    try:
        text = reader.scalar(node, "the name of a panel")
        if text.empty:
            return None
        if text.text not in around.panels.nodes:
            around.problems.add(
                f"there is no panel '{shown(text.text)}'", text.place, did_you_mean(text.text, around.panels.names())
            )
            return None
        reader.scope.note_use("panel", "", text.text, text)
        return around.panels.panel(text.text)
    except (Told, NameProblem):
        return None


def _values(reader: Reader, group: Mapping) -> dict[str, Node]:
    node = group.get("values")
    if node is None:
        return {}
    return {name.text: value for name, value in reader.mapping(node, "'values'").entries}


def _key(group: Mapping, name: str) -> Scalar:
    values = group.get("values")
    assert isinstance(values, Mapping)
    key = values.key(name)
    assert key is not None
    return key


def _cut(reader: Reader, group: Mapping) -> Cut:
    """The cut line, as one word or as a group."""
    node = group.get("cut")
    if node is None:
        return Cut()
    node = reader.scope.substitute(node)
    if isinstance(node, Scalar):
        kind = reader.value(specs(CutEntry)[0].kind, node, "cut", "cut")
        if kind == "outline":
            reader.problems.add(
                "an outline needs its points", node.place, "cut: {kind: outline, points: [[0 mm, 0 mm], …]}"
            )
            raise Told
        return Cut(kind)
    entry = reader.read(CutEntry, node, "'cut'")
    kind = entry.kind
    if entry.points and reader.mapping(node, "'cut'").get("kind") is None:
        kind = "outline"
    if (kind == "outline") != bool(entry.points):
        fix = "add points: [[0 mm, 0 mm], …]" if kind == "outline" else "add kind: outline, or remove the points"
        reader.problems.add("points belong to an outline", node.place, fix)
        raise Told
    radii = entry.corner_radii
    if len(radii) == 1:
        radii = radii * len(entry.points)
    if radii and len(radii) != len(entry.points):
        reader.problems.add(
            f"{len(radii)} corner radii for {len(entry.points)} points",
            node.place,
            "one radius for each point, or one for all",
        )
        raise Told
    return Cut(kind, entry.corner_radius, entry.points, radii)  # type: ignore[arg-type]
