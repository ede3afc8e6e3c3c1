"""The sides of a panel that a band can follow, as they are seen and as the file lists them. Pure but for its act."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from decalgen.artwork.edge_band import ALL
from decalgen.bench.blanks import asked_path
from decalgen.bench.desk import Edit, value_at
from decalgen.bench.own_shapes import own_shapes
from decalgen.bench.pictures import ring_data
from decalgen.core.geometry import Point
from decalgen.job.edits import EditError, Path
from decalgen.job.model import Decal, Hand, Job
from decalgen.job.written import ShortList
from decalgen.panels.base import Panel
from decalgen.shapes.band import DrawnBand

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

_OF_POINTS = ("points", "closed", "corners", "directions", "straights", "arcs", "within", "in place")
"""What a band along an edge does not have."""


class _OwnBand(NamedTuple):
    """A band that a decal's own list holds: the path of its keys, what stands there, and what it reads as."""

    at: Path
    body: Mapping[str, Any]
    band: DrawnBand


def _bands(decal: Decal, group: Mapping[str, Any]) -> Iterator[_OwnBand]:
    for number, item, element in own_shapes(decal, group):
        body = item.get(DrawnBand.name)
        if isinstance(body, dict) and isinstance(element.shape, DrawnBand):
            yield _OwnBand(("decals", decal.name, "artwork", number, DrawnBand.name), body, element.shape)


def side_rows(job: Job, decal: Decal, group: Mapping[str, Any], hand: Hand | None) -> list[dict[str, Any]]:
    """The bands of a decal for the page, each with every side of the panel: its name, its line on the panel as it is
    seen, µm, and whether the band follows it; ``points``: it runs through points instead."""
    bands = list(_bands(decal, group))
    if not bands:
        return []
    panel = job.panel(decal.panel)
    lines = _lines(panel, mirrored=hand == "right" and panel.hand != "right")
    return [
        {
            "at": list(one.at),
            "words": f"band {int(one.at[3]) + 1}",
            "points": not one.band.edge,
            "seen": one.body.get("edge"),
            "sides": [
                {"name": name, "d": d, "on": ALL in one.band.edge or name in one.band.edge} for name, d in lines.items()
            ],
        }
        for one in bands
    ]


def _lines(panel: Panel, mirrored: bool) -> dict[str, str]:
    """The line of every side that has a name, in the order of the outline."""
    found: dict[str, str] = {}
    width = panel.width.value
    for name, segment in zip(panel.sides, panel.outline.segments, strict=False):
        points: list[Point] = [(x, y) for x, y in segment.points()]
        seen = [(width - x, y) for x, y in points] if mirrored else points
        found[name] = found.get(name, "") + ring_data(seen, closed=False)
    return found


def follow_side(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lets a band follow a side of its panel, or follow it no more: ``at``: the band; ``side``; ``seen``: what stood
    under `edge` when it was clicked. A band through points gets `edge` instead of them. Raises EditError, StaleError,
    DecalgenError."""
    at, side = asked_path(asked.get("at")), str(asked.get("side"))
    job, name = place.desk.job, str(at[1]) if len(at) > 1 else ""
    decal = next((one for one in job.decals if one.name == name), None) if job else None
    group = value_at(place.desk.values, ("decals", name))
    bands = _bands(decal, group) if decal and isinstance(group, dict) else ()
    one = next((one for one in bands if one.at == at), None)
    if job is None or decal is None or one is None:
        raise EditError("that band is not there any more", fix="look at the page again")
    known = list(dict.fromkeys(job.panel(decal.panel).sides))
    if side not in known:
        raise EditError(f"the {decal.panel} has no side '{side}'", fix="look at the page again")
    edits, raw = _edits(one, side, known), one.body.get("edge")
    if asked.get("seen", raw) != raw:
        raise EditError("the sides were changed meanwhile", fix="look at them, then click again")
    place.desk.edit(place.desk.version, edits, f"edge of {name}")


def _edits(one: _OwnBand, side: str, known: list[str]) -> list[Edit]:
    at, raw = (*one.at, "edge"), one.body.get("edge")
    if raw is None:
        away = [Edit("remove", (*one.at, key), None, one.body[key]) for key in _OF_POINTS if key in one.body]
        return [Edit("add", at, ShortList([side])), *away]
    listed = raw if isinstance(raw, list) else [raw]
    if ALL in one.band.edge:
        rest = [name for name in known if name != side]
        if not rest:
            raise EditError(f"the panel has no other side than '{side}'", fix="give the band points instead")
        return [Edit("set", at, ShortList(rest), raw)]
    if side not in one.band.edge:
        if isinstance(raw, list):
            return [Edit("add", (*at, len(raw)), side)]
        return [Edit("set", at, ShortList([raw, side]), raw)]
    if len(one.band.edge) == 1:
        raise EditError(f"the band follows '{side}' alone", fix="click the side that it is to follow first")
    if side not in listed:
        raise EditError(f"'{side}' comes from a named value", fix="change that value, or the blank 'edge'")
    return [Edit("remove", (*at, listed.index(side)), None, side)]
