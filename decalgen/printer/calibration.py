"""Readings of a printed target → how a printer stretches, leans and bends, with the uncertainty of each. Pure; mm.

The target is a rectangle of known sides. Its spans are measured: three across (foot, middle, head), three up (left,
middle, right) and the two diagonals of a rectangle that the instrument can reach across. Never from paper edges: ISO
216 allows paper ±1.5 mm and more.

A print is taken as an affine map: a point (x, y) from the sheet's middle lands on (x·X + lean·Y, y·Y), where what runs
across the sheet stays level. That it may be turned on the sheet cannot be seen in lengths, and does no harm.

Uncertainty by JCGM 100:2008. A caliper's own limit of error (`Instrument.limit`, a rectangular distribution: 4.3.7) is
the same in every reading and does not shrink with their number; placing the jaws on two edges by eye does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from decalgen.core.errors import DecalgenError, Finding
from decalgen.core.instruments import CALIPER, Instrument

SPANS = ("across foot", "across middle", "across head", "up left", "up middle", "up right", "rising", "falling")
"""The spans of a target in the order they are read. Rising: lower left to upper right; falling: the other diagonal."""

STRAY = 1.0
"""A span this far from the others of its way, mm, was misread in all its readings: no printer bends by so much."""
APART = 0.04
"""Ratios across and up that differ by more are not believed of one reading alone."""
MOST_LEAN = 0.02
"""No printer leans by more, mm a mm."""
PLAUSIBLE = (0.90, 1.10)
"""Printers stretch by less than this; beyond it the reading or the print is of something else."""


class CalibrationError(DecalgenError):
    """Readings that make no calibration."""

    exit_code = 2


def stray(tool: Instrument) -> float:
    """A span this far from the others of its way is a slip, mm."""
    return max(STRAY, 6 * tool.placing)


@dataclass(frozen=True)
class Target:
    """The sides of the target, mm: as long as sheet, margins and instrument allow. ``inner``: the sides of the
    rectangle whose diagonals are measured; None: the target itself."""

    width: float
    height: float
    inner: tuple[float, float] | None = None

    @property
    def diagonal(self) -> tuple[float, float]:
        """The sides of the rectangle whose diagonals are measured, mm."""
        return self.inner or (self.width, self.height)

    def asked(self, span: str) -> float:
        """The true length of a span, mm."""
        if span in ("rising", "falling"):
            return math.hypot(*self.diagonal)
        return self.width if span.startswith("across") else self.height


def target(width: float, height: float, instrument: Instrument = CALIPER) -> Target:
    """The target for a printable area of ``width`` × ``height`` mm.

    Sides are whole tens, at least 10 mm short of the instrument. Diagonals too long for it give way to those of an
    inner rectangle of 3 to 4, so that they are whole millimetres.
    Raises CalibrationError for an area too small to say anything.
    """
    room = instrument.reach - 10.0
    sides = [math.floor(min(side - 16.0, room) / 10.0) * 10.0 for side in (width, height)]
    if min(sides) < 40.0:
        raise CalibrationError(
            f"a printable area of {width:g} × {height:g} mm is too small to calibrate with",
            fix="print the target on a larger sheet of the same film",
        )
    wide, high = sides
    if math.hypot(wide, high) <= room:
        return Target(wide, high)
    long, short = max(sides), min(sides)
    part = math.floor(min(room / 5, long / 4, short / 3))
    return Target(wide, high, (3.0 * part, 4.0 * part) if high >= wide else (4.0 * part, 3.0 * part))


@dataclass(frozen=True)
class Estimate:
    """A value with its standard uncertainty."""

    value: float
    u: float

    @property
    def expanded(self) -> float:
        """U with k = 2."""
        return 2 * self.u


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


def inverse(x: float, y: float, lean: float) -> tuple[float, float, float]:
    """Scale in x, scale in y and lean of the map that undoes (x·X + lean·Y, y·Y)."""
    return 1 / x, 1 / y, -lean / (x * y)


def calibrate(readings: Mapping[str, Sequence[float]], asked: Target, instrument: Instrument = CALIPER) -> Calibration:
    """The calibration that some readings give.

    ``readings``: for each span of `SPANS` any number of readings, mm; at least one span each way. A slip (a reading
    far from the others of its span, a span far from the others of its way) is left out and reported. Raises
    CalibrationError for readings that cannot be of this target, with what probably happened.
    """
    for span in readings:
        if span not in SPANS:
            raise CalibrationError(f"there is no span '{span}'", fix="use one of: " + ", ".join(SPANS))
    findings: list[Finding] = []
    kept = {span: _without_slips(span, readings[span], instrument, findings) for span in SPANS if readings.get(span)}
    if not any(span.startswith("across") for span in kept) or not any(span.startswith("up") for span in kept):
        raise CalibrationError("spans are missing", fix="measure at least one span across and one up")
    _plausible(kept, asked)
    across = _without_strays(kept, "across", instrument, findings)
    up = _without_strays(kept, "up", instrument, findings)
    x = _stretch([kept[s] for s in across], asked.width, instrument)
    side = _stretch([kept[s] for s in up], asked.height, instrument)
    _not_ten_out(kept, {"across": (x.value, across), "up": (side.value, up)}, asked)
    _diagonals_fit(kept, asked, x.value, side.value, instrument, findings)
    lean = _lean(kept, asked, x.value, instrument)
    # A leaning side is a little longer than it is high.
    y = Estimate(math.sqrt(side.value**2 - lean.value**2), side.u) if lean else side
    return Calibration(
        x,
        y,
        lean,
        _bend(kept, "across foot", "across middle", "across head"),
        _bend(kept, "up left", "up middle", "up right"),
        sum(len(values) for values in kept.values()),
        tuple(findings),
    )


def _without_slips(span: str, values: Sequence[float], instrument: Instrument, findings: list[Finding]) -> list[float]:
    for value in values:
        if not math.isfinite(value) or value <= 0:
            raise CalibrationError(f"{span}: {value!r} is no length", fix="write it in mm, such as 99.85")
    middle = median(values)
    kept = [value for value in values if abs(value - middle) <= instrument.slip]
    for value in values:
        if value not in kept:
            findings.append(
                Finding(
                    "warning",
                    "slip",
                    span,
                    f"the reading {value:.2f} mm is {abs(value - middle):.2f} mm off the others and is left out",
                    _fix_of(abs(value - middle)),
                )
            )
    if not kept:
        raise CalibrationError(
            f"{span}: the readings {', '.join(f'{v:.2f}' for v in values)} do not agree",
            fix=("one looks 10 mm out: " if abs(max(values) - min(values) - 10) <= 0.5 else "")
            + "measure this span again, three times",
        )
    return kept


def _fix_of(off: float) -> str:
    """What to do about a reading that is off."""
    if abs(off - 10) <= 0.5:
        return "it looks 10 mm out: read the scale again"
    return "measure it again"


def _without_strays(
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
        told = ", ".join(f"{span} {median(kept[span]):.2f} mm" for span in spans)
        raise CalibrationError(f"the spans do not agree: {told}", fix="one of them is misread: measure them again")
    for span in far:
        off = abs(median(kept.pop(span)) - middle)
        findings.append(
            Finding("warning", "slip", span, f"it reads {off:.2f} mm off its neighbours and is left out", _fix_of(off))
        )
    return [span for span in spans if span not in far]


def _not_ten_out(
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
            f"{span}: {median(kept[span]):.2f} mm is {abs(off):.1f} mm away from what the other spans lead to expect: "
            + why,
            fix="measure it again, and its neighbours too; if the print is like that, put its scaling right first",
        )


def _diagonals_fit(
    kept: dict[str, list[float]], asked: Target, x: float, y: float, instrument: Instrument, findings: list[Finding]
) -> None:
    """Takes diagonals out of ``kept`` that do not belong to sides of these ratios, and reports them.

    In a parallelogram d₁² + d₂² = 2(a² + b²), whatever it leans (the parallelogram law).
    """
    if "rising" not in kept or "falling" not in kept:
        return
    one, two = (sum(kept[s]) / len(kept[s]) for s in ("rising", "falling"))
    wide, high = asked.diagonal
    mean, wanted = math.sqrt((one**2 + two**2) / 2), math.hypot(x * wide, y * high)
    lean = (one**2 - two**2) / (4 * wide * high * x)
    if abs(mean - wanted) <= stray(instrument) and abs(lean) <= MOST_LEAN:
        return
    for span, value in (("rising", one), ("falling", two)):
        kept.pop(span)
        findings.append(
            Finding(
                "warning",
                "slip",
                span,
                f"{value:.2f} mm does not go with the sides, which make it about {wanted:.2f} mm; both diagonals are "
                "left out, so lean is not known",
                _fix_of(abs(value - wanted)),
            )
        )


def _plausible(kept: Mapping[str, Sequence[float]], asked: Target) -> None:
    """Raises CalibrationError where a span cannot be what it says: swapped, in inches, ten off."""
    low, high = PLAUSIBLE
    for span, values in kept.items():
        length, value = asked.asked(span), median(values)
        if low <= value / length <= high:
            continue
        other = asked.height if span.startswith("across") else asked.width
        if low <= value * 25.4 / length <= high:
            why, fix = "it looks like inches", "write it in mm"
        elif low <= value / 10 / length <= high or low <= value * 10 / length <= high:
            why, fix = "the decimal point looks misplaced", "write it in mm, such as 99.85"
        elif low <= value / other <= high:
            why, fix = "spans across and up look swapped", "read the spans again, the long side of the sheet upright"
        else:
            why, fix = "no printer is off by so much", "check that it is this target, and measure again"
        raise CalibrationError(f"{span}: {value:.2f} mm was read where {length:.2f} mm were asked: {why}", fix=fix)


def _stretch(spans: Sequence[Sequence[float]], length: float, instrument: Instrument) -> Estimate:
    means = [sum(values) / len(values) for values in spans]
    count = sum(len(values) for values in spans)
    return Estimate(sum(means) / len(means) / length, instrument.u_lines(length, count) / length)


def _lean(kept: Mapping[str, Sequence[float]], asked: Target, x: float, instrument: Instrument) -> Estimate | None:
    """(d₁² − d₂²)/(4·X·Y·sx): a lean to the right lengthens the rising diagonal. The shared error cancels nearly."""
    if "rising" not in kept or "falling" not in kept:
        return None
    one, two = (sum(kept[s]) / len(kept[s]) for s in ("rising", "falling"))
    wide, high = asked.diagonal
    scale = 4 * wide * high * x
    placing = [instrument.placing / math.sqrt(len(kept[s])) for s in ("rising", "falling")]
    shared = instrument.systematic(one) * abs(one - two)
    u = 2 * math.hypot(one * placing[0], two * placing[1], shared) / scale
    return Estimate((one**2 - two**2) / scale, u)


def _bend(kept: Mapping[str, Sequence[float]], first: str, middle: str, last: str) -> float:
    if not all(span in kept for span in (first, middle, last)):
        return 0.0
    a, m, b = (sum(kept[s]) / len(kept[s]) for s in (first, middle, last))
    return m - (a + b) / 2


BORDERLESS = ("borderless printing enlarges the page", "switch borderless printing off")
SHRANK = ("the print dialog shrank the page", "print at 100 %, without borders or fitting")
CAUSES: tuple[tuple[float, float, str, str], ...] = (
    (0.97, 0.96, "the print dialog fitted the page", "print at 100 %, switch “fit to page” off"),
    (0.97, 0.97, "the print dialog shrank the page", "print at 100 %, switch “shrink oversized pages” off"),
    (0.94, 0.94, *SHRANK),
    (1.03, 1.03, *BORDERLESS),
    (25.4 / 26.46, 25.4 / 26.46, "a program took the wrong unit of length", "print the PDF, not another file"),
)
"""Ratios across and up that a wrong setting gives (common practice, no source), what it was, what to change."""
ENLARGED = (1.02, 1.10)
"""Borderless printing enlarges by so much, each driver by its own; other printers stretch less (common practice, no
source)."""
SHRUNK = (0.90, 0.975)
"""A page made to fit other paper or margins shrinks by so much (common practice, no source)."""
ALIKE = 0.01
"""What scales a page does so both ways alike, within this."""


def diagnose(x: float, y: float, within: float = 0.006) -> tuple[str, str] | None:
    """What probably went wrong for printed/asked ratios, and what to change; None where nothing usual fits."""
    best = min(CAUSES, key=lambda cause: math.dist((x, y), cause[:2]))
    if math.dist((x, y), best[:2]) <= within:
        return best[2], best[3]
    if abs(x - y) <= ALIKE:
        for (low, high), cause in ((ENLARGED, BORDERLESS), (SHRUNK, SHRANK)):
            if low <= min(x, y) and max(x, y) <= high:
                return cause
    return None
