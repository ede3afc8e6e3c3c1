"""The hands of a panel with their decals for the Draw screen: pictures, clearances, what a decal catches on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from decalgen.artwork.build import hands
from decalgen.artwork.on_panel import corner_on, on_panel, other_hand
from decalgen.bench.pictures import COARSE_MM, UNIT, Drawings, decal_data, panel_data
from decalgen.bench.remedies import Remedy, remedies
from decalgen.bench.snapping import Movable, Snap, snaps
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import IDENTITY
from decalgen.job.model import Decal, Hand, Job
from decalgen.job.over import application_order
from decalgen.pages.clearance_marks import Shown, shown
from decalgen.panels.base import Panel
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import Box

STRIP_MM = 13.0
"""The strip draws its widest panel as wide as 130 pixels: COARSE_MM, a fifth of a pixel, is for one of so many."""


def small(job: Job, drawings: Drawings, name: str) -> dict[str, Any]:
    """A panel for the strip: with its decals, in one hand."""
    panel = job.panel(name)
    # In the strip the widest panel is a few pixels a millimetre.
    doublings = math.floor(math.log2(max(1.0, max(one.width.value for one in job.panels) / STRIP_MM)))
    there = [one for one in application_order(job.decals) if one.panel == name]
    decals = [decal_data(drawings, job, one, hands(one)[0], COARSE_MM * 2**doublings) for one in there]
    return panel_data(panel) | {"decals": decals}


def hands_in_turn(there: Sequence[Decal], first: str) -> list[Hand | None]:
    """The hands of a panel with these decals: ``first``, or the left one, then the other; None for one of no hand."""
    found: set[Hand | None] = {hand for one in there for hand in hands(one)}
    return sorted(found or {None}, key=lambda hand: (hand != first, hand or ""))


def first_side(
    job: Job, drawings: Drawings, name: str, there: Sequence[Decal], chosen: Decal | None, hand: Hand | None
) -> dict[str, Any]:
    """The hand of a panel that is worked on: its decals, what they catch on, and what would make the chosen one fit."""
    mine = [one for one in there if hand in hands(one)]
    seen = _seen(job, name, hand)
    decals = [decal_data(drawings, job, one, hand) for one in mine]
    side = {"hand": hand or "", "panel": panel_data(seen), "decals": decals}
    side["snaps"] = _snaps(job, drawings, seen, mine, hand)
    return side | _fit_of(job, drawings, chosen, hand, seen, remedied=True)


def other_side(
    job: Job, drawings: Drawings, name: str, there: Sequence[Decal], chosen: Decal | None, hand: Hand | None
) -> dict[str, Any]:
    """The other hand, small."""
    seen = _seen(job, name, hand)
    decals = [decal_data(drawings, job, one, hand, COARSE_MM) for one in there if hand in hands(one)]
    side = {"hand": hand or "", "panel": panel_data(seen), "decals": decals}
    return side | _fit_of(job, drawings, chosen, hand, seen, remedied=False)


def _fit_of(
    job: Job, drawings: Drawings, chosen: Decal | None, hand: Hand | None, seen: Panel, remedied: bool
) -> dict[str, Any]:
    if chosen is None or hand not in hands(chosen):
        return {}
    return {"fit": _fit(job, drawings, chosen, hand, seen, remedied)}


def _seen(job: Job, name: str, hand: Hand | None) -> Panel:
    panel = job.panel(name)
    if hand == "right" and panel.hand != "right":
        return other_hand(panel)
    return panel


def _fit(job: Job, drawings: Drawings, decal: Decal, hand: Hand | None, seen: Panel, remedied: bool) -> dict[str, Any]:
    """How a decal fits: the verdict, and every clearance in words; those that place it, and the tightest, as lines."""
    ways: Sequence[Remedy] = ()
    try:
        found = fitting(drawings.parts(job, decal, hand), decal, job)
        if found.fit.verdict != "fits" and remedied:
            ways = remedies(job, decal, hand, drawings.parts)
    except DecalgenError as error:
        return {"verdict": error.message, "good": False, "clearances": [], "remedies": []}
    if found.fit.waits or decal.unmeasured:
        waits = ", ".join(dict.fromkeys((*found.fit.waits, *decal.unmeasured)))
        return {"verdict": f"waits for: {waits}", "good": False, "clearances": [], "remedies": []}
    rows = shown([found], seen, IDENTITY, seen is not job.panel(decal.panel))
    return {
        "verdict": found.verdict,
        "good": found.verdict == "fits",
        "clearances": [_clearance(one) for one in rows],
        "remedies": [{"words": one.words, "label": one.label} for one in ways],
    }


def _clearance(one: Shown) -> dict[str, Any]:
    """A clearance for the page: its line in µm on the panel, if it is drawn."""
    line = [] if one.line is None else [round(v * UNIT) for point in one.line.coords for v in point[:2]]
    words = {"letter": one.letter, "label": one.to, "figures": one.figures, "good": one.verdict == "fits"}
    return words | {"line": line}


def _snaps(
    job: Job, drawings: Drawings, seen: Panel, decals: Sequence[Decal], hand: Hand | None
) -> dict[str, list[list[list[Any]]]]:
    """What each decal catches on, across and up: where its side lies then and where the guide runs, in µm, in words,
    by which anchor, and about which other decal."""
    there = [one for decal in decals if (one := _movable(job, drawings, seen, decal, hand)) is not None]
    found = {}
    for one in there:
        ways = snaps(seen, one, [other for other in there if other is not one])
        found[one.name] = [[_snap(snap) for snap in way] for way in ways]
    return found


def _snap(one: Snap) -> list[Any]:
    return [round(one.to * UNIT), round(one.line * UNIT), one.words, one.anchor, one.of]


def _movable(job: Job, drawings: Drawings, seen: Panel, decal: Decal, hand: Hand | None) -> Movable | None:
    """A decal as it lies; None for one that cannot be drawn."""
    try:
        parts = drawings.parts(job, decal, hand)
    except DecalgenError:
        return None
    _, at = on_panel(job, decal, hand)
    wide, high = parts[0].width, parts[0].height
    x, y = corner_on(seen, at, Box(wide, high))
    x0, y0, x1, y1 = parts[0].uncut.bounds
    return Movable(decal.name, at, (x, y, x + wide, y + high), (x0 + x, y0 + y, x1 + x, y1 + y))
