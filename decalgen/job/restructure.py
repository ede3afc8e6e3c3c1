"""Changes of what a job consists of: panels, obstacles, decals and shapes that come, go, are copied or change places.
Pure: from the text of a job file to its new text, every other byte as it is (`decalgen.job.blocks`).

All raise EditError or DecalgenError, with the fix, for what cannot be done, and JobError for a text that cannot be
read. Nothing here reads another file: what is included is not seen, and not changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.names import first_few
from decalgen.job.blocks import copied, inserted, moved, removed
from decalgen.job.edits import set_value
from decalgen.job.key_order import in_order
from decalgen.job.new_names import new_name
from decalgen.job.panel_rows import (
    CORNERS,
    LEAST_CORNERS,
    MOST_CORNERS,
    measured_by,
    needs_kind,
    obstacle_rows,
    panel_rows,
)
from decalgen.job.splices import EditError, Path, values
from decalgen.job.written import YamlValue
from decalgen.panels.registry import kinds

FULL_SIZE = "prototype"
"""The kind of panel that is known by the full-size vehicle alone."""
LISTS = ("cut around", "split at", "slits")
"""The keys of a decal that name obstacles of its panel."""
_ORDER = ("paints", "inks", "faces", "values", "panels", "decals", "variants")
"""The groups of a job in the order of a file; the keys of the job itself come before them."""


# --------------------------------------------------------------------------------------------------------------- panels
def add_panel(
    text: str,
    name: str,
    kind: str = "flat",
    *,
    way: str = "",
    hand: str = "",
    corners: int = CORNERS["outline"],
    full_size: tuple[str, str] | None = None,
) -> str:
    """The text with one more panel, every reading still to be taken. ``way``: by which readings, as in 'chord, rise,
    length', one of `measured_by`; ``hand``: left or right, for a panel that has a mirror image; ``corners``: of an
    outline; ``full_size``: width and height of the full-size vehicle, which the kind 'prototype' needs."""
    whole = values(text)
    name = new_name(name, "panel", whole.get("panels") or {})
    if kind not in kinds():
        raise DecalgenError(f"there is no kind of panel '{kind[:40]}'", fix=did_you_mean(kind[:40], list(kinds())))
    if hand not in ("", "left", "right"):
        raise DecalgenError(f"'{hand[:40]}' is not a hand", fix="left or right, or none")
    rows: dict[str, YamlValue]
    if kind == FULL_SIZE:
        if full_size is None:
            raise DecalgenError("its full-size width and height are needed", fix="give both, as in 1.9 m and 0.6 m")
        rows = {"kind": kind, FULL_SIZE: dict(zip(("width", "height"), full_size, strict=True))}
    else:
        _check_corners(kind, corners)
        ways = measured_by(kind)
        if way and way not in ways:
            raise DecalgenError(
                f"a panel of kind {kind} is not measured by {way[:80]}", fix=f"one of: {'; '.join(ways)}"
            )
        rows = panel_rows(kind, way or ways[0], corners)
    if not needs_kind(rows):
        del rows["kind"]
    return grown(text, ("panels", name), {**rows, "hand": hand} if hand else rows)


def add_obstacle(text: str, panel: str, name: str, kind: str = "rectangle", *, corners: int = 0) -> str:
    """The text with one more obstacle on a panel, every reading still to be taken. ``corners``: the points of an
    outline or a line; 0: as many as it is begun with."""
    group = _group(values(text), "panels", panel)
    name = new_name(name, "obstacle", group.get("obstacles") or {})
    corners = corners or CORNERS.get(kind, 0)
    _check_corners(kind, corners)
    return grown(text, ("panels", panel, "obstacles", name), obstacle_rows(kind, corners))


def move_panel(text: str, name: str, step: int) -> str:
    """The text with a panel after its neighbour (1) or before it (-1)."""
    _group(values(text), "panels", name)
    return moved(text, ("panels", name), step)


def delete_panel(text: str, name: str, *, with_decals: bool = False) -> str:
    """The text without a panel and its changes in variants; ``with_decals``: the decals on it go too, else it is
    refused while there are any."""
    whole = values(text)
    _group(whole, "panels", name)
    there = decals_on(whole, name)
    if there and not with_decals:
        some = first_few([f"'{one}'" for one in there])
        are, them = ("is", "it") if len(there) == 1 else ("are", "them")
        raise EditError(f"{some} {are} on '{name}'", fix=f"delete {them} too, or put {them} on another panel")
    for one in there:
        text = delete_decal(text, one)
    return _without(text, ("panels", name))


def delete_obstacle(text: str, panel: str, name: str) -> str:
    """The text without an obstacle, and without its name where decals of that panel are cut around it, split at it or
    slit along it."""
    whole = values(text)
    group = _group(whole, "panels", panel)
    if name not in (group.get("obstacles") or {}):
        raise EditError(f"'{panel}' has no obstacle '{name}'", fix="look at the file again")
    for decal in decals_on(whole, panel):
        for key in LISTS:
            text = _unlisted(text, ("decals", decal, key), name)
    return _without(text, ("panels", panel, "obstacles", name))


def decals_on(whole: Any, panel: str) -> list[str]:
    """The decals of a file that are on a panel, by name."""
    every = whole.get("decals")
    groups = every.items() if isinstance(every, dict) else ()
    return [name for name, group in groups if isinstance(group, dict) and group.get("panel") == panel]


# --------------------------------------------------------------------------------------------------------------- decals
def add_decal(text: str, name: str, rows: Mapping[str, YamlValue]) -> str:
    """The text with one more decal, painted last of all."""
    name = new_name(name, "decal", values(text).get("decals") or {})
    return grown(text, ("decals", name), in_order(rows))


def copy_decal(text: str, name: str, new: str) -> str:
    """The text with a decal once more, after it, under a new name; it is not pinned anywhere."""
    whole = values(text)
    group = _group(whole, "decals", name)
    new = new_name(new, "decal", whole["decals"])
    text = copied(text, ("decals", name), new)
    return removed(text, ("decals", new, "pin")) if "pin" in group else text


def delete_decal(text: str, name: str) -> str:
    """The text without a decal, its changes in variants, and its name where others are laid over it."""
    whole = values(text)
    _group(whole, "decals", name)
    for other in whole["decals"]:
        text = _unlisted(text, ("decals", other, "over"), name)
    for variant, group in _variants(whole):
        for other in group.get("decals") or {}:
            text = _unlisted(text, ("variants", variant, "decals", other, "over"), name)
    return _without(text, ("decals", name))


def move_decal(text: str, name: str, step: int) -> str:
    """The text with a decal painted after its neighbour (1) or before it (-1)."""
    whole = values(text)
    _group(whole, "decals", name)
    return moved(text, ("decals", name), step)


# --------------------------------------------------------------------------------------------------------------- shapes
def add_shape(text: str, decal: str, shape: str, body: Mapping[str, YamlValue]) -> str:
    """The text with one more shape in a decal, painted over the others."""
    group = _group(values(text), "decals", decal)
    text = _listed(text, decal, group)
    count = len(values(text)["decals"][decal]["artwork"])
    return inserted(text, ("decals", decal, "artwork", count), {shape: dict(body)} if body else shape)


def delete_shape(text: str, decal: str, number: int) -> str:
    """The text without a shape of a decal, counted from 0. The last one stays: a decal without is none."""
    shapes = _shapes(text, decal)
    _check_number(shapes, number)
    if len(shapes) == 1:
        raise EditError(f"this is the only shape of '{decal}'", fix="delete the decal, or add another shape first")
    return removed(text, ("decals", decal, "artwork", number))


def move_shape(text: str, decal: str, number: int, step: int) -> str:
    """The text with a shape painted after its neighbour (1) or before it (-1)."""
    _check_number(_shapes(text, decal), number)
    return moved(text, ("decals", decal, "artwork", number), step)


def _shapes(text: str, decal: str) -> list[Any]:
    artwork = _group(values(text), "decals", decal).get("artwork")
    if not isinstance(artwork, list):
        raise EditError(
            f"the shapes of '{decal}' are not written as a list", fix="write a dash before each in an editor"
        )
    return artwork


def _check_number(shapes: list[Any], number: int) -> None:
    if not 0 <= number < len(shapes):
        raise EditError("there is no such shape", fix="look at the decal again")


def _listed(text: str, decal: str, group: Mapping[str, Any]) -> str:
    """The text with a decal's shapes as a list. Raises EditError where they are a layout's."""
    from decalgen.job.edits import set_value

    artwork = group.get("artwork")
    if isinstance(artwork, list):
        return text
    if artwork is None:
        layout = group.get("layout")
        if layout is None:
            return grown(text, ("decals", decal, "artwork"), [])
        raise EditError(
            f"the shapes of '{decal}' are those of its layout '{layout}'",
            fix="add a decal of its own for the shape, on the same panel",
        )
    every = [artwork] if isinstance(artwork, str) else [{name: body} for name, body in artwork.items()]
    return set_value(text, ("decals", decal, "artwork"), [_bare(one) for one in every])


def _bare(item: Any) -> YamlValue:
    """A shape that says nothing more as its name alone."""
    if isinstance(item, dict) and list(item.values()) == [None]:
        return str(next(iter(item)))
    found: YamlValue = item
    return found


# --------------------------------------------------------------------------------------------------------------- shared
def grown(text: str, path: Path, value: YamlValue) -> str:
    """The text with a value at a path where nothing is; groups that lead there are made, those of the job where a file
    has them in order."""
    whole: Any = values(text)
    for n, part in enumerate(path):
        there = whole.get(part) if isinstance(whole, dict) else None
        if there in (None, {}, []) and n < len(path) - 1:
            for key in reversed(path[n + 1 :]):
                value = {str(key): value}
            if there is None and part in whole:
                return inserted(text, path[: n + 2], value[path[n + 1]])  # type: ignore[index]
            if part in whole:
                return set_value(text, path[: n + 1], value)
            return inserted(text, path[: n + 1], value, _before(whole, str(part)) if not n else None)
        whole = there
    return inserted(text, path, value)


def _before(whole: Mapping[str, Any], key: str) -> str | None:
    """After which key of a file another goes: a group in its order, any other with those of the job itself."""
    rank = {name: n for n, name in enumerate(_ORDER, 1)}
    earlier = [name for name in whole if rank.get(name, 0) < rank.get(key, 1)]
    return earlier[-1] if earlier else None


def _group(whole: Any, kind: str, name: str) -> dict[str, Any]:
    """The keys of a panel or decal that stands in the file itself."""
    there = whole.get(kind) if isinstance(whole, dict) else None
    group = there.get(name) if isinstance(there, dict) else None
    if not isinstance(group, dict):
        raise EditError(f"'{name}' is not written in this file", fix="change it in the file that this one includes")
    return group


def _variants(whole: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    every = whole.get("variants")
    for name, group in every.items() if isinstance(every, dict) else ():
        if isinstance(group, dict):
            yield name, group


def _without(text: str, path: Path) -> str:
    """The text without an entry, and without what variants say of it."""
    for variant, _ in _variants(values(text)):
        inside = values(text).get("variants")
        there = inside.get(variant) if isinstance(inside, dict) else None
        for part in path:
            there = there.get(part, _NOTHING) if isinstance(there, dict) else _NOTHING
        if there is not _NOTHING:
            text = removed(text, ("variants", variant, *path))
    return removed(text, path)


_NOTHING = object()


def _unlisted(text: str, path: Path, name: str) -> str:
    """The text without a name in a list, or alone in its place."""
    there: Any = values(text)
    for part in path:
        there = there.get(part) if isinstance(there, dict) else None
    if there == name:
        return removed(text, path)
    while isinstance(there, list) and name in there:
        text = removed(text, (*path, there.index(name)))
        there = [one for n, one in enumerate(there) if n != there.index(name)]
    return text


def _check_corners(kind: str, corners: int) -> None:
    if kind in LEAST_CORNERS and not LEAST_CORNERS[kind] <= corners <= MOST_CORNERS:
        fix = f"a whole number from {LEAST_CORNERS[kind]} to {MOST_CORNERS}"
        raise DecalgenError(f"{corners} is not a number of points", fix=fix)
