"""Readings of a printed target → how a printer stretches and leans, with the uncertainty of each. Pure; mm.

A print is taken as an affine map: a point (x, y) from the sheet's middle lands on (x·X + lean·Y, y·Y), where what runs
across the sheet stays level. That it may be turned on the sheet cannot be seen in lengths, and does no harm.

Uncertainty by JCGM 100:2008. An instrument's own limit of error (`Instrument.limit`, a rectangular distribution:
4.3.7) is the same in every reading and does not shrink with their number; placing it on two lines by eye does. What no
affine map explains (a bent print, a trapezoid, a span misread in all its readings) shows in spans of one way that
differ, and in diagonals that do not go with the sides; it joins U as in `spread`, and is told where it is beyond
chance. Temperature and damp are outside U (see `core.instruments`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import fmean

from decalgen.core.errors import Finding
from decalgen.core.instruments import CALIPER, Instrument
from decalgen.core.values import dataclass
from decalgen.printer.estimate import Estimate, inverse
from decalgen.printer.slips import MOST_LEAN, alike, not_ten_out, plausible, stray, without_slips, without_strays
from decalgen.printer.spread import Beyond, Noise, chance, noise_of, parallel
from decalgen.printer.target import DIAGONALS, LETTERS, SPANS, CalibrationError, Target, span_label

LEANS = 0.01
"""A lean beyond this, mm a mm, is told: paper fed askew leans less (common practice, no source)."""


@dataclass(frozen=True)
class Calibration:
    """How the printer prints: ``x``/``y`` printed over asked, along x and y; ``lean`` how far a vertical leans to the
    right a mm of asked height, None where no diagonals were read; ``bend`` how much longer the middle span is than the
    outer ones, mm (only told)."""

    x: Estimate
    y: Estimate
    lean: Estimate | None
    bend_x: float
    bend_y: float
    readings: int
    findings: tuple[Finding, ...]

    @property
    def correction(self) -> tuple[float, float, float]:
        """What undoes it: scale in x, scale in y, and how far x moves a mm of height."""
        lean = self.lean.value if self.lean else 0.0
        return inverse(self.x.value, self.y.value, lean)

    def size_error(self, length: float) -> float:
        """U (k = 2) of a size of ``length`` mm printed with this calibration, mm: the larger of both ways."""
        return 2 * length * max(self.x.u, self.y.u)


def calibrate(readings: Mapping[str, Sequence[float]], asked: Target, instrument: Instrument = CALIPER) -> Calibration:
    """The calibration that some readings give.

    ``readings``: for each span of `SPANS` any number of readings, mm; at least one span each way. A slip (a reading
    far from the others of its span, a span far from the others of its way) is left out and reported. Spans of one way
    that differ, diagonals that do not go with the sides, and a span read but once widen U. Raises CalibrationError for
    readings that cannot be of this target, with what probably happened.
    """
    for span in readings:
        if span not in SPANS:
            raise CalibrationError(f"there is no span '{span}'", fix="use one of: " + ", ".join(SPANS))
    findings: list[Finding] = []
    kept = {span: without_slips(span, readings[span], instrument, findings) for span in SPANS if readings.get(span)}
    if not any(span.startswith("across") for span in kept) or not any(span.startswith("up") for span in kept):
        raise CalibrationError("spans are missing", fix="measure at least one span across and one up")
    plausible(kept, asked)
    across = without_strays(kept, "across", instrument, findings)
    up = without_strays(kept, "up", instrument, findings)
    noise = noise_of(kept, instrument, findings)
    wide = parallel({s: kept[s] for s in across}, noise, findings)
    high = parallel({s: kept[s] for s in up}, noise, findings)
    not_ten_out(kept, {"across": (wide.value / asked.width, across), "up": (high.value / asked.height, up)}, asked)
    alike(wide.value / asked.width, high.value / asked.height, asked)
    x = _stretch(wide, asked.width, instrument, "x")
    side = _stretch(high, asked.height, instrument, "y")
    sides = {"across": (wide, asked.width), "up": (high, asked.height)}
    lean = _lean(kept, asked, sides, instrument, noise, findings)
    if not instrument.by_scan:
        _told_once(kept, findings)
    return Calibration(
        x,
        _upright(side, lean),
        lean,
        _bend(kept, "across foot", "across middle", "across head"),
        _bend(kept, "up left", "up middle", "up right"),
        sum(len(values) for values in kept.values()),
        tuple(findings),
    )


def _stretch(mean: Beyond, length: float, instrument: Instrument, way: str) -> Estimate:
    """A mean span as a ratio. How far spans reach that are told is a bound and no deviation: it joins U whole."""
    u = math.hypot(instrument.systematic(length, way), mean.u) + mean.beyond / 2
    return Estimate(mean.value / length, u / length)


def _upright(side: Estimate, lean: Estimate | None) -> Estimate:
    """The stretch upright from that along the side: a leaning side is a little longer than it is high."""
    if lean is None:
        return side
    value = math.sqrt(side.value**2 - lean.value**2)
    return Estimate(value, math.hypot(side.u * side.value, lean.u * lean.value) / value)


def _lean(
    kept: dict[str, list[float]],
    asked: Target,
    sides: Mapping[str, tuple[Beyond, float]],
    instrument: Instrument,
    noise: Noise,
    findings: list[Finding],
) -> Estimate | None:
    """(d₁² − d₂²)/(4·X·Y·x): a lean to the right lengthens the rising diagonal. The shared error cancels nearly.

    In a parallelogram d₁² + d₂² = 2(a² + b²), whatever it leans (the parallelogram law). Diagonals that break it by
    more than chance were misread, one of them perhaps by twice as much as their mean is off: that widens U. None, with
    the diagonals taken out of ``kept``, where they were not read or are far off.
    """
    if any(span not in kept for span in DIAGONALS):
        return None
    one, two = (fmean(kept[span]) for span in DIAGONALS)
    wide, high = asked.diagonal
    parts = {"across": wide, "up": high}
    mean = math.sqrt((one**2 + two**2) / 2)
    # Each side's share in the diagonal that the sides lead to expect, and how fast that grows with the side.
    reach = {way: parts[way] / length * found.value for way, (found, length) in sides.items()}
    wanted = math.hypot(*reach.values())
    slope = {way: parts[way] / sides[way][1] * reach[way] / wanted for way in sides}
    x = sides["across"][0].value / asked.width
    scale = 4 * wide * high * x
    lean = (one**2 - two**2) / scale
    off = mean - wanted
    if abs(off) > stray(instrument) or abs(lean) > MOST_LEAN:
        _without_diagonals(kept, wanted, findings)
        return None
    placing = [noise.u(len(kept[span])) for span in DIAGONALS]
    shared = instrument.systematic(one) * (1 - sum(slope.values()))
    u_off = math.hypot(*(u / 2 for u in placing), shared, *(slope[way] * sides[way][0].u for way in sides))
    known = sum(slope[way] * sides[way][0].beyond for way in sides)
    beyond, told = chance(max(0.0, abs(off) - known), u_off)
    if told:
        what = f"the diagonals are {abs(off):.2f} mm {'longer' if off > 0 else 'shorter'} than the sides make them"
        fix = "measure both diagonals and the sides again: one span may be misread by " + f"{2 * abs(off):.2f} mm"
        findings.append(Finding("warning", "spans-differ", "diagonals", what, fix, None, abs(off)))
    u = 2 * math.hypot(one * placing[0], two * placing[1], instrument.systematic(one) * abs(one - two))
    found = Estimate(lean, (u + 2 * mean * beyond) / scale)
    if abs(lean) > LEANS:
        way = "right" if lean > 0 else "left"
        what = f"the print leans to the {way} by {abs(lean) * 100:.2f} mm in 100 mm ({math.degrees(abs(lean)):.1f}°)"
        fix = "see that the film is fed straight, against its guides, and print the target again"
        findings.append(Finding("warning", "leans", "target", what, fix, None, abs(lean) * 100, LEANS * 100))
    return found


def _without_diagonals(kept: dict[str, list[float]], wanted: float, findings: list[Finding]) -> None:
    """Takes the diagonals out of ``kept`` and reports each."""
    for span in DIAGONALS:
        value, letter = fmean(kept.pop(span)), LETTERS[span]
        ten = abs(abs(value - wanted) - 10) <= 0.5
        findings.append(
            Finding(
                "warning",
                "slip",
                span_label(span),
                f"{value:.2f} mm does not go with the sides, which make it about {wanted:.2f} mm; both diagonals are "
                "left out, so the lean is not known",
                "it looks 10 mm out: read the scale again" if ten else f"measure it again, from {letter} to {letter}",
            )
        )


def _told_once(kept: Mapping[str, Sequence[float]], findings: list[Finding]) -> None:
    """The note for spans that were read once, and for a way with one span."""
    once = [span_label(span) for span, values in kept.items() if len(values) == 1]
    if once:
        what = f"read once: {'; '.join(once)}. A single reading shows no slip, so its uncertainty is counted twice"
        findings.append(Finding("note", "read-once", "target", what, "read every span at least twice"))
    for way in ("across", "up"):
        if sum(span.startswith(way) for span in kept) == 1:
            what = f"only one span {way}: whether the print is bent or a trapezoid cannot be seen"
            findings.append(Finding("note", "one-span", way, what, f"measure all three spans {way}"))


def _bend(kept: Mapping[str, Sequence[float]], first: str, middle: str, last: str) -> float:
    if not all(span in kept for span in (first, middle, last)):
        return 0.0
    a, m, b = (fmean(kept[s]) for s in (first, middle, last))
    return m - (a + b) / 2
