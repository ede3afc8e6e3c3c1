"""What readings scatter, and what spans that ought to be alike tell beyond chance. Pure; mm.

Spans of one way differ by chance (placing the instrument) and because a print is bent, a trapezoid, or a span was
misread in all its readings. Their range is held against the range of as many normal values: half of what is beyond
`USUAL` joins u, what is beyond `RARE` is told. Then the middle of the range is taken for the mean, and U reaches to
both ends: nobody can tell the three causes apart, but no span lies outside.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import fmean, median

from decalgen.core.errors import Finding
from decalgen.core.instruments import Instrument, scatter_limit
from decalgen.core.values import dataclass
from decalgen.printer.target import span_label

USUAL = {2: 1.19, 3: 1.83}
"""The range of so many normal values, in standard deviations, that three samples in five do not pass (tables of the
studentized range, infinitely many degrees of freedom)."""
RARE = {2: 4.65, 3: 5.06}
"""The same that 999 samples in 1000 do not pass."""
USUAL_OFF = 0.52
"""How far from nothing, in standard deviations, two normal values in five do not pass: less than for ranges, for two
diagonals say less than three spans."""
RARE_OFF = 2.81
"""The same that 995 in 1000 do not pass."""
ONCE = 2.0
"""By how much the placing of a span's only reading is taken larger: nothing would show a slip in it."""


@dataclass(frozen=True)
class Noise:
    """``each``: the standard uncertainty of placing one reading, mm, as known beforehand or seen to be more."""

    each: float

    def u(self, readings: int) -> float:
        """That of the mean of a span's readings."""
        return self.each * (ONCE if readings == 1 else 1 / math.sqrt(readings))

    def chance(self, readings: int) -> float:
        """How far the mean of so many readings lies from the truth by chance (standard deviation)."""
        return self.each / math.sqrt(readings)


@dataclass(frozen=True)
class Beyond:
    """A mean span: ``u`` of placing and of what spans differ by; ``beyond``: how far spans reach that are told, mm."""

    value: float
    u: float
    beyond: float


def noise_of(kept: Mapping[str, Sequence[float]], instrument: Instrument, findings: list[Finding]) -> Noise:
    """What one reading scatters: what the instrument is known for, or more where the readings say so (JCGM 100:2008,
    4.2.4: pooled over the spans)."""
    freedom = sum(len(values) - 1 for values in kept.values())
    if not freedom:
        return Noise(instrument.placing)
    seen = math.sqrt(sum((v - fmean(values)) ** 2 for values in kept.values() for v in values) / freedom)
    if seen <= scatter_limit(freedom) * instrument.placing:
        return Noise(instrument.placing)
    limit = scatter_limit(freedom, 3.09) * instrument.placing
    if seen > limit:
        what = f"the readings scatter by {seen:.3f} mm (standard deviation), where {instrument.placing:.3f} mm is usual"
        fix = f"for the middle of each cross, use a loupe, and read again: a {instrument.name} can do better"
        findings.append(Finding("note", "readings-scatter", "target", what, fix, None, seen, limit))
    return Noise(seen)


def chance(off: float, u: float) -> tuple[float, bool]:
    """How much of a difference is beyond what chance usually does, and whether that is rare enough to be told."""
    return max(0.0, off - USUAL_OFF * u), off > RARE_OFF * u


def parallel(spans: Mapping[str, Sequence[float]], noise: Noise, findings: list[Finding]) -> Beyond:
    """The mean of the spans of one way."""
    means = {span: fmean(values) for span, values in spans.items()}
    u = math.hypot(*(noise.u(len(values)) for values in spans.values())) / len(spans)
    low, high = min(means.values()), max(means.values())
    if len(spans) == 1:
        return Beyond(low, max(u, noise.u(1)), 0.0)
    by_chance = math.hypot(*(noise.chance(len(values)) for values in spans.values())) / math.sqrt(len(spans))
    wide = high - low
    if wide <= RARE[len(spans)] * by_chance:
        return Beyond(fmean(means.values()), math.hypot(u, max(0.0, wide - USUAL[len(spans)] * by_chance) / 2), 0.0)
    findings.append(_told(means, RARE[len(spans)] * by_chance))
    return Beyond((low + high) / 2, u, wide / 2)


def _told(means: Mapping[str, float], limit: float) -> Finding:
    """What spans that differ look like, the odd one named."""
    way = next(iter(means)).split()[0]
    wide = max(means.values()) - min(means.values())
    read = ", ".join(f"{span.split()[1]} {mean:.2f}" for span, mean in means.items())
    middle = median(means.values())
    odd = max(means, key=lambda span: abs(means[span] - middle))
    if len(means) == 2:
        looks, fix = "which one is right cannot be decided", "measure the third span, and both of these again"
    else:
        others = [mean for span, mean in means.items() if span != odd]
        alike = abs(others[0] - others[1]) < wide / 3
        bent = "the print is bent" if odd.endswith("middle") else "the print is out of square"
        looks = f"{bent}, or {span_label(odd)}, was misread" if alike else "the print is a trapezoid"
        fix = (
            f"measure '{odd}' again first; if it is so, the film was fed askew or stretched"
            if alike
            else ("measure them again; if it is so, see that the film is fed straight")
        )
    what = f"the spans {way} differ by {wide:.2f} mm ({read}): {looks}; half of it is counted into U"
    return Finding("warning", "spans-differ", way, what, fix, None, wide, limit)
