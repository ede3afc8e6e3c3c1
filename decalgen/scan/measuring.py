"""A scan measured from its bytes: scale, remains, pattern, and what is in doubt. Pure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from decalgen.core.arrays import FloatArray
from decalgen.core.command_line import quoted
from decalgen.core.pixels.values import PictureData
from decalgen.core.scan_kinds import are_many
from decalgen.core.values import dataclass
from decalgen.scan.lens import lens_of
from decalgen.scan.light import LEAST_SIDE, PixelWindow, Scan, read_scan, window_middle
from decalgen.scan.patches import Patches, correction
from decalgen.scan.recognise import RARER, SURE_SCORE, ReadingStage, recognise, untold
from decalgen.scan.reference import CARD_MM, CARD_OFF, TYPED_OFF, FoundCard, find_card
from decalgen.scan.remains import PatternFit, remains_in
from decalgen.scan.scale import (
    Bar,
    CardCorners,
    Depth,
    ScaleError,
    ScanScale,
    at_depth,
    by_bars,
    by_corners,
    by_dpi,
    check_corners,
)
from decalgen.scan.things import Things, ground_of, things_on, window_round
from decalgen.scan.tracing.trace import OUTLINE, TracedFit, traced_outlines

AROUND_MM = 1.5
"""So much ground is taken along round the remains."""
INNER = 0.12
"""The inside of a frame begins so far from its outer edge, as a share of its shorter side."""
CRUMB = 0.01
"""A piece is taken along if it has this share of the largest's area."""
NO_BEND = "the edges given as straight are straight in the picture, or bent as no lens does: no bend was taken out"
RIVAL = 0.85
"""Another kind that explains this share of what the best does is told too."""


@dataclass(frozen=True)
class ScanRequest:
    """What is said about a scan. ``dpi``: across and down as typed, None: as the file says. ``card``: 'card' looks for
    one; ``card_mm``: its measured width and height, None: as the standard says; ``card_off``: the largest error of
    each, None: as of a caliper. ``corners``: of a rectangle of ``card_mm``, pixels. ``part``: the window that holds the
    pattern alone; ``kind``: which it is, '' asks, 'outline' traces it within ``tolerance`` mm; ``straights``: lines
    that are straight in truth, by points of them, pixels; ``patches``: what of known colour lies in it."""

    dpi: tuple[float, float] | None = None
    card: str = ""
    card_mm: tuple[float, float] | None = None
    card_off: tuple[float, float] | None = None
    corners: tuple[tuple[float, float], ...] = ()
    bars: tuple[Bar, ...] = ()
    depth: Depth | None = None
    part: PixelWindow | None = None
    kind: str = ""
    patches: Patches = Patches()
    tolerance: float | None = None
    straights: tuple[tuple[tuple[float, float], ...], ...] = ()


@dataclass(frozen=True)
class MeasuredScan:
    """What was read: the scan, its scale, the window that was looked at and the size of a pixel in it, mm, the fits
    (the best first), and, in words, what is in doubt and what the ``colours`` are by."""

    scan: Scan
    scale: ScanScale
    window: PixelWindow
    pixel: float
    fits: tuple[PatternFit, ...]
    doubts: tuple[str, ...]
    colours: str = "as scanned"


def measure_scan(picture: PictureData, request: ScanRequest, stage: ReadingStage = untold) -> MeasuredScan:
    """``stage`` is called with what is done next. Raises PixelsError for a picture that cannot be read, ScaleError for
    one without a scale, PatternError for one in which nothing is recognised, PatchError for a patch that tells
    nothing."""
    stage("reading the picture")
    scan = read_scan(picture)
    stage("looking for what lies on it")
    part = _part(scan, request)
    # Where the part is given, and no card is looked for, all that is needed is its ground.
    alone = part is not None and not request.card
    things = Things((), ground_of(scan, part or scan.whole), 1) if alone else things_on(scan)
    card = find_card(scan, things, *card_size(request)) if request.card else None
    rim = card.outline if card else card_outline(request.corners)
    if rim is not None:
        things = without_card(things, rim)
        if part is None and _is_frame(scan, rim, things.ground):
            things = things_on(scan, _inside(rim))
    if part is None:
        if not things.outlines:
            beside = " beside the card" if rim else ""
            raise ScaleError(
                f"nothing lies{beside} in '{scan.name}'",
                fix="lay what is to be measured on a ground of another colour, and leave room round it",
            )
        near = _near(things, window_round(things.outlines[:1], scan))
        part = window_round(near + _pale_parts(things, near, rim), scan)
    left, top, right, bottom = part
    about = window_middle(part)
    scale = scale_by(card, scan, request, about)
    if request.part is None:
        by = AROUND_MM / scale.pixel_mm(about)
        part = scan.inside((int(left - by), int(top - by), int(right + by) + 1, int(bottom + by) + 1))
    found: tuple[PatternFit, ...]
    if request.kind == OUTLINE:
        stage("tracing outlines")
        found = (traced_outlines(scan, part, scale, things.ground, request.tolerance),)
    else:
        stage("looking for edges")
        found = recognise(remains_in(scan, part, scale, things.ground), request.kind, stage)
    corrected = correction(scan, request.patches)
    fits = tuple(replace(one, inks=tuple(map(corrected.ink, one.inks))) for one in found)
    doubts = (*scan.notes, *scale.warnings, *corrected.doubts, *_doubts(fits))
    return MeasuredScan(scan, scale, part, scale.pixel_mm(about), fits, doubts, corrected.told)


def _part(scan: Scan, request: ScanRequest) -> PixelWindow | None:
    if request.part is None:
        return None
    left, top, right, bottom = inside = scan.inside(request.part)
    if min(right - left, bottom - top) < LEAST_SIDE // 2:
        width, height = scan.size
        raise ScaleError(
            f"the part lies beside the picture, which has {width} \N{MULTIPLICATION SIGN} {height} pixels, or is tiny",
            fix="give its left, upper, right and lower side in pixels, as in --part 120,80,900,400",
        )
    return inside


def card_size(request: ScanRequest) -> tuple[tuple[float, float], tuple[float, float]]:
    """The size of the card that lies beside the original, and the largest error of each."""
    if request.card_mm is None:
        return CARD_MM, CARD_OFF
    return request.card_mm, request.card_off or TYPED_OFF


def scale_by(card: FoundCard | None, scan: Scan, request: ScanRequest, about: FloatArray) -> ScanScale:
    """By the card, where one was found, or as without it; at the depth that was given. Raises ScaleError."""
    scale = by_corners(card.corners, about) if card else scale_without_card(scan, request, about)
    return scale if request.depth is None else at_depth(scale, request.depth)


def scale_without_card(scan: Scan, request: ScanRequest, about: FloatArray) -> ScanScale:
    """By corners that were given, by bars, or by the resolution. Raises ScaleError where none of them tells it."""
    dpi = request.dpi or scan.dpi
    if request.corners:
        size, off = card_size(request)
        told = f"four points, a rectangle of {size[0]:g} \N{MULTIPLICATION SIGN} {size[1]:g} mm"
        lens = lens_of([np.array(line, float) for line in request.straights], scan.size)
        scale = by_corners(CardCorners(np.array(request.corners, float), 0.6, size, off, told, lens), about)
        if request.straights and lens is None:
            scale = replace(scale, warnings=(*scale.warnings, NO_BEND))
        return scale
    if request.bars:
        return by_bars(request.bars, by_dpi(dpi, request.dpi is not None) if dpi and len(request.bars) == 1 else None)
    if dpi is None:
        raise ScaleError(
            f"nothing in '{scan.name}' tells its size",
            fix="lay a plain card beside it and give --beside card, or type the scanner's setting, as in --dpi 300",
        )
    return by_dpi(dpi, request.dpi is not None)


def _is_frame(scan: Scan, card: Polygon, ground: FloatArray) -> bool:
    """Whether the inside of a card looks like the ground, and not like its border. One that leaves the picture is no
    frame."""
    if scan.inside(_inside(card)) != _inside(card):
        return False
    along = np.array([card.exterior.interpolate(n / 40, normalized=True).coords[0] for n in range(40)])
    middle = np.array(card.centroid.coords[0])
    border = np.median(scan.light_at(along + 0.04 * (middle - along)), axis=0)
    inside = ground_of(scan, _inside(card))
    return float(np.linalg.norm(inside - ground)) < float(np.linalg.norm(inside - border))


def _inside(frame: Polygon) -> PixelWindow:
    """What is well inside a frame."""
    left, top, right, bottom = frame.bounds
    rim = INNER * min(right - left, bottom - top)
    return int(left + rim), int(top + rim), int(right - rim), int(bottom - rim)


def card_outline(corners: tuple[tuple[float, float], ...]) -> Polygon | None:
    """The outline of a card whose corners are given; None where they are not those of one. Raises ScaleError where
    three of them lie on a line."""
    if corners:
        check_corners(np.array(corners, float))
    outline = Polygon(corners) if corners else None
    return outline if outline is not None and outline.is_valid and outline.area > 0 else None


def without_card(things: Things, card: Polygon) -> Things:
    """What lies beside a card: things that lie on it are the card itself."""
    return replace(things, outlines=tuple(one for one in things.outlines if _on(one, card) < 0.5))


def _on(one: Polygon, card: Polygon) -> float:
    """Which share of a thing lies on a card."""
    return float(one.intersection(card).area / one.area)


def _near(things: Things, part: PixelWindow) -> tuple[Polygon, ...]:
    """The largest thing, and others no further from it than it is wide: pieces of one sticker."""
    first = things.outlines[0]
    reach = 0.35 * max(part[2] - part[0], part[3] - part[1])
    taken, others = [first], [one for one in things.outlines[1:] if one.area > CRUMB * first.area]
    around = box(*part).buffer(reach)
    # Where pale stripes are not seen, each dark one is a piece, and each is near the next.
    while more := [one for one in others if around.intersects(one)]:
        taken += more
        others = [one for one in others if not around.intersects(one)]
        around = box(*shapely.total_bounds(taken)).buffer(reach)
    return tuple(taken)


def _pale_parts(things: Things, near: tuple[Polygon, ...], card: Polygon | None) -> tuple[Polygon, ...]:
    """Outlines of what hardly differs from the ground and belongs to the pieces: not those that reach far off, as a
    shade on the lid does, or to something else."""
    others = [one for one in (*things.outlines, card) if one is not None and all(one is not piece for piece in near)]
    left, top, right, bottom = shapely.total_bounds(near)
    reach = box(left, top, right, bottom).buffer(max(right - left, bottom - top), join_style="mitre")
    return tuple(
        one
        for one in things.faint
        if reach.contains(one)
        and any(one.intersects(piece) for piece in near)
        and not any(one.intersects(other) for other in others)
    )


def _doubts(fits: tuple[PatternFit, ...]) -> list[str]:
    found = []
    best = fits[0]
    if isinstance(best, TracedFit):
        return best.doubts
    if best.score < SURE_SCORE:
        explain = "explain" if are_many(best.kind) else "explains"
        found.append(f"the {best.kind} {explain} little of what is seen: look at the picture of the fit")
    # Every stripe has the edges of a rectangle, and checks those of stripes: less of the same is no rival.
    rank = {kind: n for n, kind in enumerate(("rectangle", "stripes", "checks", *RARER[:3]))}
    rival = next((one for one in fits[1:] if rank.get(one.kind, 9) > rank.get(best.kind, -1)), None)
    if rival is not None and rival.score > RIVAL * best.score:
        found.append(f"it could also be read as {rival.kind}: see --as {quoted(rival.kind)}")
    return found
