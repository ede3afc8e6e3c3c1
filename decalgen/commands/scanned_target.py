"""What `calibrate read --scan` does: the spans of a printed target read from a scan, as typed ones would be."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from decalgen.commands.calibrate_printer import CalibrationRequest, base_of, check_request, read_target, target_size
from decalgen.core.geometry import Bounds
from decalgen.core.values import dataclass
from decalgen.pages.calibration_target import ARM, FOOT_EDGE, FOOT_OFF, span_ends
from decalgen.printer.target import DIAGONALS, LETTERS, SPANS, Target, span_label
from decalgen.scan.printed.marks import AskedSpan, CrossPoint, FineLine, PageMarks, PagePoint
from decalgen.scan.printed.spans import read_page

if TYPE_CHECKING:
    from collections.abc import Mapping

    from decalgen.commands.options import Result
    from decalgen.commands.page_scans import PageScan


@dataclass(frozen=True)
class ScannedTarget:
    """The readings of a target by span, mm, the name of the instrument, which holds their U, and what the scale is by,
    in words."""

    readings: Mapping[str, list[float]]
    tool: str
    told: str


def scanned_readings(scan: PageScan, wanted: CalibrationRequest) -> ScannedTarget:
    """The spans of the target that `calibrate print` writes for the same printer, film and instrument. Raises
    PixelsError, ScaleError, PageError for a scan in which it is not seen, FilmError, CalibrationError."""
    asked, _, _, area = target_size(base_of(wanted.printer, wanted.keep), wanted.film, wanted.tool)
    found = read_page(scan.picture, target_marks(asked, area), scan.card)
    readings = {one.span.name: [round(one.read, 3)] for one in found.spans}
    return ScannedTarget(readings, found.tool.name, found.told)


def read_scanned_target(scan: PageScan, wanted: CalibrationRequest) -> Result:
    """`read_target` with what a scan shows; it says so. Raises as both do."""
    check_request(wanted)
    found = scanned_readings(scan, wanted)
    result = read_target(found.readings, replace(wanted, by=found.tool))
    said = f"read from the scan '{scan.picture.name}', the size by {found.told}"
    rows = [f"{span_label(name)}: {values[0]:.2f} mm" for name, values in found.readings.items()]
    return replace(result, lines=(said, *rows, *result.lines))


def target_marks(asked: Target, area: Bounds) -> PageMarks:
    """What is known of a printed target: its lines, and the crosses that its spans end in."""
    ends = span_ends(asked, area)
    sides = [FineLine(*ends[span], f"span {span_label(span)},") for span in SPANS if span not in DIAGONALS]
    strokes = list(sides)
    corners: dict[PagePoint, CrossPoint] = {}
    arms: list[FineLine] = []
    for span in SPANS:
        for x, y in ends[span]:
            if (x, y) in corners:
                continue
            name = f"the cross at an end of span {LETTERS[span]}"
            level, upright = FineLine((x - ARM, y), (x + ARM, y), name), FineLine((x, y - ARM), (x, y + ARM), name)
            corners[x, y] = CrossPoint((x, y), upright, level, name)
            strokes += [level, upright]
            tips = (level.start, level.end, upright.start, upright.end)
            arms += [FineLine((x, y), tip, name) for tip in tips if not any(_is_on(tip, side) for side in sides)]
    (x0, y0), (x1, _) = ends["across foot"]
    middle, long = (x0 + x1) / 2, (x1 - x0) / 3
    foot = y0 - FOOT_OFF + FOOT_EDGE / 2
    strokes.append(FineLine((middle - long / 2, foot), (middle + long / 2, foot), "the thick edge at the foot"))
    spans = tuple(AskedSpan(span, (corners[ends[span][0]], corners[ends[span][1]]), _way(span)) for span in SPANS)
    return PageMarks(tuple(strokes), spans, "the calibration target", (), tuple(arms))


def _is_on(tip: PagePoint, side: FineLine) -> bool:
    (ax, ay), (bx, by) = side.start, side.end
    return min(ax, bx) <= tip[0] <= max(ax, bx) and min(ay, by) <= tip[1] <= max(ay, by)


def _way(span: str) -> Literal["x", "y", "d"]:
    return "d" if span in DIAGONALS else "x" if span.startswith("across") else "y"
