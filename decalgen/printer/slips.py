"""Readings of a target that cannot be right: misread, ten out, in inches, of another span. Pure; mm."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import median

from decalgen.core.errors import Finding
from decalgen.core.instruments import Instrument
from decalgen.core.lengths.units import INCH_MM
from decalgen.printer.target import FOOT, CalibrationError, Target, span_label

STRAY = 1.0
"""A span this far from the others of its way, mm, was misread in all its readings: no printer bends by so much."""
APART = 0.04
"""Ratios across and up that differ by more are not believed of one reading alone."""
UNLIKE = 1.08
"""No printer stretches one way by so much more than the other (common practice, no source)."""
MOST_LEAN = 0.05
"""No print leans by more, mm a mm: one of its diagonals was misread."""
PLAUSIBLE = (0.90, 1.10)
"""Printers stretch by less than this; beyond it the reading or the print is of something else."""


def stray(tool: Instrument) -> float:
    """A span this far from the others of its way is a slip, mm."""
    return max(STRAY, 6 * tool.placing)


def check_span(
    span: str, values: Sequence[float], others: Mapping[str, Sequence[float]], asked: Target, tool: Instrument
) -> None:
    """Raises CalibrationError for readings of a span that cannot be right: of another length, apart from each other, or
    far from the ``others`` of its way. What is merely unlikely is left to the calibration, which tells it."""
    if not values:
        return
    plausible({span: without_slips(span, values, tool, [])}, asked)
    found: list[Finding] = []
    kept = without_slips(span, values, tool, found)
    for one in found:
        raise CalibrationError(f"{span_label(span)}: {one.message}", fix="type the readings of this span again")
    way = span.split()[0]
    near = [median(its) for name, its in others.items() if its and name.split()[0] == way]
    if way in ("across", "up") and near and abs(median(kept) - median(near)) > stray(tool):
        off = abs(median(kept) - median(near))
        raise CalibrationError(
            f"{span_label(span)}: {median(kept):.2f} mm is {off:.2f} mm off the other spans {way}, "
            + ", ".join(f"{one:.2f}" for one in near),
            fix="read it again; if the other one is wrong, type back",
        )


def without_slips(span: str, values: Sequence[float], instrument: Instrument, findings: list[Finding]) -> list[float]:
    for value in values:
        if not math.isfinite(value) or value <= 0:
            raise CalibrationError(
                f"{span_label(span)}: {value!r} is not a length", fix="write it in mm, such as 99.85"
            )
    middle = median(values)
    kept = [value for value in values if abs(value - middle) <= instrument.slip]
    for value in values:
        if value not in kept:
            what = f"the reading {value:.2f} mm is {abs(value - middle):.2f} mm off the others and is left out"
            findings.append(Finding("warning", "slip", span_label(span), what, _fix_of(abs(value - middle))))
    if not kept:
        raise CalibrationError(
            f"{span_label(span)}: the readings {', '.join(f'{v:.2f}' for v in values)} do not agree",
            fix=("one looks 10 mm out: " if abs(max(values) - min(values) - 10) <= 0.5 else "")
            + "measure this span again, three times",
        )
    if len(kept) == 2 and abs(kept[0] - kept[1]) > instrument.slip:
        what = f"the readings {kept[0]:.2f} and {kept[1]:.2f} mm are {abs(kept[0] - kept[1]):.2f} mm apart"
        findings.append(
            Finding("warning", "slip", span_label(span), what, "measure it a third time: one of them is misread")
        )
    return kept


def without_strays(
    kept: dict[str, list[float]], way: str, instrument: Instrument, findings: list[Finding]
) -> list[str]:
    """The spans of one way; one far from two others is taken out of ``kept`` and reported.

    Raises CalibrationError where two spans contradict each other and no third one decides.
    """
    spans = [span for span in kept if span.startswith(way)]
    read = [median(kept[span]) for span in spans]
    middle = median(read)
    far = [span for span, value in zip(spans, read, strict=True) if abs(value - middle) > stray(instrument)]
    if len(far) > 1 or (len(spans) == 2 and abs(read[0] - read[1]) > stray(instrument)):
        told = "; ".join(f"{span_label(span)}, {median(kept[span]):.2f} mm" for span in spans)
        raise CalibrationError(f"the spans do not agree: {told}", fix="one of them is misread: measure them again")
    for span in far:
        off = abs(median(kept.pop(span)) - middle)
        findings.append(
            Finding(
                "warning",
                "slip",
                span_label(span),
                f"it reads {off:.2f} mm off its neighbours and is left out",
                _fix_of(off),
            )
        )
    return [span for span in spans if span not in far]


def not_ten_out(
    kept: Mapping[str, Sequence[float]], ways: Mapping[str, tuple[float, Sequence[str]]], asked: Target
) -> None:
    """Raises CalibrationError where a span that nothing else bears out is far from what the other way says."""
    if abs(ways["across"][0] - ways["up"][0]) <= APART:
        return
    for way, (ratio, spans) in ways.items():
        if len(spans) > 1:
            continue
        (other,) = (value for name, (value, _) in ways.items() if name != way)
        span, length = spans[0], asked.asked(spans[0])
        off = (ratio - other) * length
        why = "it looks 10 mm out" if abs(abs(off) - 10) <= 0.02 * length else "no other span bears it out"
        raise CalibrationError(
            f"{span_label(span)}: {median(kept[span]):.2f} mm is {abs(off):.1f} mm away from what the other spans "
            f"suggest: {why}",
            fix="measure it again, and its neighbours too; if the print is like that, put its scaling right first",
        )


def alike(x: float, y: float, asked: Target) -> None:
    """Raises CalibrationError for ratios across and up that no printer has at once."""
    if max(x, y) / min(x, y) <= UNLIKE:
        return
    turned = x * asked.width / asked.height, y * asked.height / asked.width
    swapped = max(turned) / min(turned) <= UNLIKE and all(PLAUSIBLE[0] <= one <= PLAUSIBLE[1] for one in turned)
    why = "spans across and up look swapped" if swapped else "no printer stretches so differently both ways"
    raise CalibrationError(
        f"{x:.3f} of the asked size was read across, and {y:.3f} up: {why}",
        fix=f"measure across along the edge marked {FOOT}; and see that the target belongs to this film and instrument",
    )


def plausible(kept: Mapping[str, Sequence[float]], asked: Target) -> None:
    """Raises CalibrationError where a span cannot be what it says: swapped, in inches, ten off."""
    low, high = PLAUSIBLE
    long = max(asked.width, asked.height)
    sides = {span: median(values) for span, values in kept.items() if span.startswith(("across", "up"))}
    both = len({span.split()[0] for span in sides}) == 2
    if (
        both
        and all(low <= side / long <= high for side in sides.values())
        and not all(low <= side / asked.asked(span) <= high for span, side in sides.items())
    ):
        raise CalibrationError(
            f"every side reads about {long:g} mm, but this target measures {asked.width:g} × {asked.height:g} mm",
            fix="it is a target of an earlier version, or of another sheet: print it again with `calibrate print`",
        )
    turned = bool(sides) and all(
        abs(side - asked.asked(span)) > abs(side - (asked.width + asked.height - asked.asked(span)))
        for span, side in sides.items()
    )
    for span, values in kept.items():
        length, value = asked.asked(span), median(values)
        if low <= value / length <= high:
            continue
        other = asked.height if span.startswith("across") else asked.width
        if low <= value * INCH_MM / length <= high:
            why, fix = "it looks like inches", "write it in mm"
        elif any(low <= value * tens / length <= high for tens in (0.001, 0.01, 0.1, 10, 100, 1000)):
            why, fix = "the decimal point looks misplaced", "write it in mm, such as 99.85"
        elif abs(abs(value - length) - 10) <= 0.02 * length and not turned:
            why, fix = "it looks 10 mm out", "read the scale again"
        elif span not in ("rising", "falling") and low <= value / other <= high:
            why, fix = "spans across and up look swapped", f"measure across along the edge marked {FOOT}"
        else:
            why, fix = "no printer is off by so much", "check that it is this target, and measure again"
        raise CalibrationError(
            f"{span_label(span)}: {value:.2f} mm was read where {length:.2f} mm were asked: {why}", fix=fix
        )


def _fix_of(off: float) -> str:
    """What to do about a reading that is off."""
    if abs(off - 10) <= 0.5:
        return "it looks 10 mm out: read the scale again"
    return "measure it again"
