"""What is in doubt of a template that was read, in words, with what to do. Pure."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.scan.template.outline import FittedOutline
from decalgen.scan.template.values import MeasuredTemplate, TemplateDoubt, TemplateRequest
from decalgen.scan.template.weigh import WeighedOutline

CORNER_MM = 2.0
"""Round a corner no more than this of both sides together may be unseen: a larger rounding would show."""
GAP_MM = 5.0
ARC_GAP = 0.3
SURE_RADIUS_MM = 2.0
WAVY_MM = 0.14
"""Where the edge scatters more round a side, the side is no line or arc."""
A_SIDE = {"line": "a line", "arc": "an arc"}


def doubts_of(
    made: MeasuredTemplate, fitted: FittedOutline, weighed: WeighedOutline, request: TemplateRequest
) -> tuple[TemplateDoubt, ...]:
    """Sizes that disagree first, then corners and sides in order."""
    found = _suspects(made, weighed, request)
    what = "edge" if request.source == "photo" else "pencil"
    again = "look there in the picture of the fit, and move the corner with --points if it is off"
    n = len(made.corners)
    for i in range(n):
        before, after = fitted.seen[i - 1], fitted.seen[i]
        far = _first_seen(before.share[::-1], before.there[::-1], fitted.courses[i - 1].length, True) + _first_seen(
            after.share, after.there, fitted.courses[i].length, False
        )
        if not made.corners[i].radius and far > CORNER_MM:
            found.append(
                TemplateDoubt(f"no {what} is seen at corner {i + 1} for {far:.1f} mm: it follows from its sides", again)
            )
        if not fitted.sharp[i]:
            found.append(
                TemplateDoubt(
                    f"the sides run on smoothly at corner {i + 1}, so where along them it is cannot be told",
                    "leave the corner out if both are one side; else it is taken where you put it",
                )
            )
        radius = made.corners[i].radius
        if radius and (radius < SURE_RADIUS_MM or 2 * made.corners[i].radius_u > radius / 2):
            found.append(
                TemplateDoubt(
                    f"the radius of corner {i + 1} reads {radius:.1f} mm and is a guess: a pencil line is too soft",
                    "measure it with a radius gauge, or against a drill bit, and write it in `corner radii`",
                )
            )
        found += _of_round(made, fitted, i)
        side = made.sides[i]
        label = f"the side from corner {i + 1} to {(i + 1) % n + 1}"
        if side.gap > GAP_MM:
            found.append(TemplateDoubt(f"{label} has no {what} for {side.gap:.1f} mm", "rub that edge again"))
        elif side.kind == "arc" and side.there < 1 - ARC_GAP:
            found.append(
                TemplateDoubt(
                    f"{label} is an arc of which {side.there:.0%} is seen", "rub it again, or measure its rise"
                )
            )
        if fitted.fits[i].spread > WAVY_MM:
            found.append(
                TemplateDoubt(
                    f"the {what} strays from {label} by {fitted.fits[i].spread:.2f} mm: "
                    f"{A_SIDE[side.kind]} does not fit it",
                    "give a corner more, or say `arc` after the corner it leaves",
                )
            )
    return tuple(found)


def _of_round(made: MeasuredTemplate, fitted: FittedOutline, i: int) -> list[TemplateDoubt]:
    """A corner that was given as round, and is not or cannot be in a job."""
    radius, u = fitted.radii[i]
    if not radius and u:
        return [
            TemplateDoubt(
                f"corner {i + 1} was given as round, and no radius is seen there: it is taken as sharp",
                "rub that corner again, or measure its radius and write it in `corner radii`",
            )
        ]
    arcs = [n for n in ((i - 1) % len(made.sides), i) if made.sides[n].rise]
    if not radius or not arcs:
        return []
    return [
        TemplateDoubt(
            f"corner {i + 1} is round, and the side after corner {arcs[0] + 1} reads as an arc: no job takes both",
            f"add `line` after corner {arcs[0] + 1} in --points if that side is straight; else put a corner where "
            "the arc begins and one where it ends, and leave `round` out",
        )
    ]


def _first_seen(share: FloatArray, there: NDArray[np.bool_], length: float, from_end: bool) -> float:
    """How far from its end a side is first seen, mm."""
    if not there.any():
        return length
    at = float(share[int(there.argmax())])
    return (1 - at if from_end else at) * length


def _suspects(made: MeasuredTemplate, weighed: WeighedOutline, request: TemplateRequest) -> list[TemplateDoubt]:
    """Which of sizes and template is likely wrong: both sizes off alike speak against the template."""
    if not weighed.suspects:
        return []
    typed = {"width": request.width, "height": request.height}
    off_by = weighed.suspects
    rows = [(name, size.value, *off_by[name]) for name, size in typed.items() if size and name in off_by]
    other = "the card and its size" if request.source == "photo" else "whether the tape was pulled"
    shares = [off / size for _, size, off, _ in rows]
    if len(rows) == 2 and shares[0] * shares[1] > 0 and 0.5 < shares[0] / shares[1] < 2:
        way = "less" if shares[0] > 0 else "more"
        said = f"both typed sizes say that the template reads {abs(sum(shares)) / 2:.1%} {way} than it should"
        return [
            TemplateDoubt(
                f"{said}: the template is the suspect",
                f"check {other}, and that the picture was scanned whole; or make the template again",
            )
        ]
    return [
        TemplateDoubt(
            f"the typed {name}, {size:.2f} mm, is {abs(off):.2f} mm {'more' if off > 0 else 'less'} than the "
            f"template's, which agrees within {2 * u:.2f} mm: it is the suspect",
            f"measure the {name} again; if it reads the same, check {other}",
        )
        for name, size, off, u in rows
    ]
