"""A panel read from the bytes of its template's scan. Pure.

The entry for all callers is `measure_template`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely.geometry import Polygon, box

from decalgen.core.arrays import FloatArray
from decalgen.core.pixels.values import PictureData
from decalgen.core.values import dataclass
from decalgen.scan.light import LEAST_SIDE, PixelWindow, Scan, read_scan, window_middle
from decalgen.scan.measuring import card_outline, card_size, scale_by, without_card
from decalgen.scan.reference import find_card
from decalgen.scan.scale import ScaleError, ScanScale
from decalgen.scan.template.course import SideCourse, extremes
from decalgen.scan.template.doubtful import doubts_of
from decalgen.scan.template.ink import InkMap, ink_in
from decalgen.scan.template.level import standing
from decalgen.scan.template.marks import marks_in
from decalgen.scan.template.outline import FittedOutline, RoughSide, SeenSide, corner_arc, fit_outline, ordered
from decalgen.scan.template.pieces import FoundCorners
from decalgen.scan.template.placed import placed_marks
from decalgen.scan.template.seen import EdgeFinder, PencilEdges, colour_edges
from decalgen.scan.template.values import (
    MeasuredTemplate,
    TemplateCorner,
    TemplateDoubt,
    TemplateError,
    TemplateMark,
    TemplateRequest,
    TemplateSide,
)
from decalgen.scan.template.weigh import errors_of, weigh
from decalgen.scan.things import Things, things_on

SIZE_FIX = "lay a plain card beside the template and give --beside card, or type --width and --height"
MOST_CORNERS = 80
TOUCHES = 10
"""Strips of tape this near to each other are one template, pixels."""


@dataclass(frozen=True)
class _Sheet:
    """A scan with its scale, the part to look at, and the outline of the tape where it was looked for, pixels."""

    scan: Scan
    scale: ScanScale
    window: PixelWindow
    tape: Polygon | None = None


def measure_template(picture: PictureData, request: TemplateRequest) -> MeasuredTemplate:
    """The panel of a tape template or a photo: outline and obstacles in mm, each place with its standard uncertainty,
    and what is in doubt.

    Without ``request.corners`` they are looked for (tape alone; needs scipy), and the result is an offer
    (``found``): show it, and ask again with the corners as they are confirmed. Raises PixelsError for a picture that
    cannot be read, ScaleError for one without a scale, GroundError without an even ground, TemplateError where no panel
    is read."""
    scan = read_scan(picture)
    sheet = _sheet(scan, request)
    if not request.corners:
        return _offered(sheet, request)
    if not 3 <= len(request.corners) <= MOST_CORNERS:
        raise TemplateError(
            f"{len(request.corners)} corners make no outline", fix=f"give 3 to {MOST_CORNERS}, once round the panel"
        )
    _check_inside(scan, request)
    places = sheet.scale.to_mm(np.array([corner.at for corner in request.corners], float))
    corners, places, _ = ordered(request.corners, places)
    finder: EdgeFinder
    ink = None if request.source == "photo" else ink_in(scan, sheet.window, sheet.scale)
    if ink is None:
        finder = colour_edges(scan, sheet.window, sheet.scale)
    else:
        pencil = PencilEdges(ink)
        ring = [SideCourse(places[i], places[(i + 1) % len(places)]) for i in range(len(places))]
        samples = [course.at(np.linspace(0.05, 0.95, max(6, round(course.length / 0.4)))) for course in ring]
        at, out = (np.concatenate([one[n] for one in samples]) for n in (0, 1))
        finder = pencil.tuned(at, out, 1.0)
    rounds = [0.0 if corner.round else None for corner in corners]
    fitted = fit_outline(finder, places, rounds, [RoughSide(corner.side) for corner in corners])
    return _weighed(sheet, request, fitted, ink)


def _offered(sheet: _Sheet, request: TemplateRequest) -> MeasuredTemplate:
    """With corners that are found."""
    from decalgen.scan.template.offer import offered_corners

    if request.source == "photo":
        raise TemplateError(
            "the corners of a panel in a photo are not found by themselves", fix="give them with --points, in pixels"
        )
    ink = ink_in(sheet.scan, sheet.window, sheet.scale)
    offer = offered_corners(ink, sheet.tape)
    found = _from_lower_left(offer.corners)
    if len(found.at) > MOST_CORNERS:
        raise TemplateError("the outline has no corners that can be told", fix="give them with --points")
    sides = [RoughSide("arc" if rise else "line", rise or None) for rise in found.rises]
    made = _weighed(sheet, request, fit_outline(offer.finder, found.at, found.rounds, sides), ink)
    return replace(made, found=True, doubts=(*offer.doubts, *made.doubts))


def _from_lower_left(found: FoundCorners) -> FoundCorners:
    """The corners from the one furthest to the lower left on."""
    k = int(found.at.sum(axis=1).argmin())
    turned = [*range(k, len(found.at)), *range(k)]
    return FoundCorners(found.at[turned], tuple(found.rounds[i] for i in turned), tuple(found.rises[i] for i in turned))


def _sheet(scan: Scan, request: TemplateRequest) -> _Sheet:
    asked = request.scan
    window, card, tape = asked.part, None, None
    if asked.card or (window is None and not request.corners):
        things = things_on(scan)
        if asked.card:
            size, off = card_size(asked)
            card = find_card(scan, things, size, off)
        rim = card.outline if card else card_outline(asked.corners)
        if window is None and not request.corners:
            things = without_card(things, rim) if rim is not None else things
            window = _tape_window(scan, things)
            tape = things.outlines[0]
    if request.corners and window is None:
        at = np.array([corner.at for corner in request.corners], float)
        rim = 0.25 * float(np.ptp(at, axis=0).max()) + 20
        low, high = at.min(axis=0) - rim, at.max(axis=0) + rim
        window = scan.inside((int(low[0]), int(low[1]), int(high[0]) + 1, int(high[1]) + 1))
    assert window is not None
    window = scan.inside(window)
    left, top, right, bottom = window
    if min(right - left, bottom - top) < LEAST_SIDE // 2:
        raise ScaleError(
            "the part or the corners lie beside the picture",
            fix="give places in pixels of this picture, from its upper left",
        )
    return _Sheet(scan, scale_by(card, scan, asked, window_middle(window)), window, tape)


def _tape_window(scan: Scan, things: Things) -> PixelWindow:
    """What holds the tape: the largest thing, with what touches it."""
    if not things.outlines:
        raise TemplateError(
            f"no tape is seen in '{scan.name}'",
            fix="scan the template on paper of another colour, or give the part that holds it with --part",
        )
    first = things.outlines[0]
    area = box(*first.bounds)
    for one in things.outlines[1:]:
        if one.area > 0.1 * first.area and area.distance(one) < TOUCHES:
            area = box(*area.union(one).bounds)
    left, top, right, bottom = (round(v) for v in area.bounds)
    return scan.inside((left - TOUCHES, top - TOUCHES, right + TOUCHES, bottom + TOUCHES))


def _check_inside(scan: Scan, request: TemplateRequest) -> None:
    wide, high = scan.size
    for number, corner in enumerate(request.corners, 1):
        if not (0 <= corner.at[0] <= wide and 0 <= corner.at[1] <= high):
            raise TemplateError(
                f"corner {number} lies outside the picture, which has {wide} \N{MULTIPLICATION SIGN} {high} pixels",
                fix="give x and y in pixels from the picture's upper left corner",
            )


def _weighed(sheet: _Sheet, request: TemplateRequest, fitted: FittedOutline, ink: InkMap | None) -> MeasuredTemplate:
    """The fit on the panel, with what was typed, and what was drawn on the tape."""
    stand = standing(fitted.courses)
    courses = [stand.course(one) for one in fitted.courses]
    own = [fit.u for fit in fitted.fits]
    errors = errors_of(courses, own, request.source, (sheet.scale.across, sheet.scale.up))
    weighed = weigh(courses, errors, request.width, request.height)
    low = extremes(weighed.courses)[0]
    pixels = sheet.scale.to_pixels(np.array([one.start for one in fitted.courses]))
    corners, sides = [], []
    for i, course in enumerate(weighed.courses):
        at, (radius, radius_u) = course.start - low, fitted.radii[i]
        u = (float(weighed.corner_u[i, 0]), float(weighed.corner_u[i, 1]))
        corners.append(TemplateCorner(_pair(at), u, _pair(pixels[i]), radius, radius_u if radius else 0.0))
        seen = fitted.seen[i]
        sides.append(
            TemplateSide(
                "arc" if course.rise else "line",
                course.rise,
                float(weighed.rise_u[i]) if course.rise else 0.0,
                float(seen.there.mean()),
                longest_gap(seen, fitted.courses[i].length),
                _drawn(sheet.scale, fitted, i),
            )
        )
    made = MeasuredTemplate(
        sheet.scan, sheet.scale, sheet.window, tuple(corners), tuple(sides), weighed.size[0], weighed.size[1]
    )
    marks: tuple[TemplateMark, ...] = ()
    unread: tuple[TemplateDoubt, ...] = ()
    if ink is not None:
        across, up, askew = weighed.shares
        pulled = np.array([(1 + across, askew), (0.0, 1 + up)])
        ring = Polygon(np.concatenate([one.at(np.linspace(0, 0.95, 20))[0] for one in fitted.courses]))
        usual = float(weighed.corner_u.mean())
        traced = marks_in(ink, ring)
        unread = traced.doubts
        marks = placed_marks(traced.marks, lambda at: stand.of(at) @ pulled.T - low, sheet.scale.to_pixels, usual)
    typed = {"width": request.width, "height": request.height}
    told = tuple(f"{name} as typed, {one.value:.2f} mm, weighed with it" for name, one in typed.items() if one)
    # Two sizes that agree with the template tell its scale, whatever the scan says of that.
    sized = len(told) == 2 and not weighed.suspects
    notes = (*sheet.scan.notes, *(() if sized else sheet.scale.warnings))
    about_size = tuple(TemplateDoubt(one, SIZE_FIX) for one in notes)
    doubts = (*doubts_of(made, fitted, weighed, request), *unread, *about_size)
    return replace(made, marks=marks, doubts=doubts, weighed=told)


def longest_gap(seen: SeenSide, length: float) -> float:
    """The longest part of a side along which no edge is seen, mm."""
    step = float(seen.share[1] - seen.share[0]) * length
    most = run = 0
    for there in seen.there:
        run = 0 if there else run + 1
        most = max(most, run)
    return most * step


def _pair(at: FloatArray) -> tuple[float, float]:
    return float(at[0]), float(at[1])


def _drawn(scale: ScanScale, fitted: FittedOutline, i: int) -> tuple[tuple[tuple[tuple[float, float], ...], bool], ...]:
    """A side and the round corner before it, in pixels, in pieces that are seen or not."""
    course, seen = fitted.courses[i], fitted.seen[i]
    pieces = []
    if fitted.radii[i][0]:
        arc = scale.to_pixels(corner_arc(fitted.courses[i - 1], course, fitted.radii[i][0])[0])
        pieces.append((tuple(_pair(at) for at in arc), True))
    at = scale.to_pixels(course.at(seen.share)[0])
    start = 0
    for n in range(1, len(at)):
        if n == len(at) - 1 or seen.there[n] != seen.there[start]:
            pieces.append((tuple(_pair(one) for one in at[start : n + 1]), bool(seen.there[start])))
            start = n
    return tuple(pieces)
