"""From what was read to one value with its uncertainty: several readings, instruments, and their scatter."""

from __future__ import annotations

import math
from collections.abc import Sequence

from decalgen.core.errors import Finding, Place
from decalgen.core.instruments import ASSUMED, Instrument, instrument, scatter_limit
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.adjust import Adjusted, adjust
from decalgen.panels.misread import misreading


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, and the instrument it was taken with ('' if not said)."""

    value: Quantity
    by: str = ""
    open: bool = False
    """Whether it is still to be taken: it has no value then (`decalgen.panels.unmeasured`)."""


MISREAD = 0.4
"""A reading of a solid edge so far from the others, mm, was misread: hands and burrs scatter less (common practice, no
source)."""

MeasuredValue = Quantity | Reading | float | tuple[Quantity | Reading | float, ...]
"""What may stand in a field of a panel: one reading, or several."""


@dataclass(frozen=True)
class Value:
    """One value, what was noticed, and whether its uncertainty had to be assumed."""

    quantity: Quantity
    findings: tuple[Finding, ...] = ()
    assumed: bool = False


def split_instrument(text: str) -> tuple[str, str]:
    """``22.40 mm by steel rule`` → ("22.40 mm", "steel rule"); without an instrument the second is ''."""
    value, found, tool = text.rpartition(" by ")
    return (value.rstrip(), tool.strip()) if found else (text, "")


def as_readings(measured: MeasuredValue) -> tuple[Reading, ...]:
    """Every reading on its own."""
    several = measured if isinstance(measured, tuple) else (measured,)
    return tuple(
        item if isinstance(item, Reading) else Reading(item if isinstance(item, Quantity) else Quantity(float(item)))
        for item in several
    )


def settle(
    measured: MeasuredValue,
    name: str,
    *,
    by: str = "",
    angle: bool = False,
    known: frozenset[str] = frozenset(),
    subject: str = "",
    place: Place | None = None,
) -> Value:
    """One value named ``name`` ('door.width') from its readings.

    Readings with one instrument: their mean, with u² = u(scale)² + s²/n, where s is what they scatter, and at least
    what placing the instrument is known to add (JCGM 100:2008, 4.2.3 and 4.3.7).
    Readings with different instruments: least squares. A reading worked out from others (``known`` ones, those of
    another panel, named values) keeps its parts, so that it stays correlated with them. Raises InstrumentError for
    an unknown instrument.
    """
    readings = as_readings(measured)
    if len(readings) == 1 and _leans_on_others(readings[0].value, name, known):
        return Value(readings[0].value)
    groups: dict[str, list[Reading]] = {}
    for reading in readings:
        tool = instrument(reading.by).name if reading.by else ""
        groups.setdefault(tool, []).append(reading)
    means: dict[str, Quantity] = {}
    findings: list[Finding] = []
    assumed = False
    for tool, group in groups.items():
        label = name if len(groups) == 1 else _from(name, tool or by)
        mean, guessed, note = _mean(group, label, tool or by, angle, subject or name, place)
        means[label] = mean
        assumed = assumed or guessed
        findings += note
    if len(means) == 1:
        return Value(next(iter(means.values())), tuple(findings), assumed)
    first = next(iter(means.values()))
    agreed = adjust(means, lambda x: dict.fromkeys(means, x[0]), (first.value,), (first.dimension,))
    findings += disagreement(agreed, means, subject or name, place)
    return Value(agreed.unknowns[0], tuple(findings), assumed)


def _from(name: str, tool: str) -> str:
    """A reading among those of other instruments, by its own."""
    return f"{name} by {tool}" if tool else f"{name} without an instrument"


def _leans_on_others(quantity: Quantity, name: str, known: frozenset[str]) -> bool:
    panel = name.partition(".")[0]
    return any(part in known or ("." in part and part.partition(".")[0] != panel) for part, _ in quantity.parts)


def disagreement(
    adjusted: Adjusted, readings: dict[str, Quantity], subject: str, place: Place | None
) -> tuple[Finding, ...]:
    """The warning for readings that do not agree, naming the suspect."""
    doubt = adjusted.doubt
    if doubt is None:
        return ()
    seen = readings[doubt.suspect]
    unit = "mm" if seen.dimension == 1 else "degrees"
    others = [short(name) for name in readings if name != doubt.suspect]
    say = "makes" if len(others) == 1 else "make"
    message = (
        f"the readings do not agree: {short(doubt.suspect)} reads {seen.value:.2f} {unit} (U {2 * seen.u:.2f}), but "
        f"{' and '.join(others)} {say} it {doubt.expected:.2f} {unit}, {doubt.times:.1f} standard uncertainties away"
    )
    if doubt.instead:
        message += "; or else " + ", ".join(f"{short(name)} ought to be {value:.2f}" for name, value in doubt.instead)
    return (
        Finding("warning", "readings-disagree", subject, message, f"measure {short(doubt.suspect)} again first", place),
    )


def short(name: str) -> str:
    """A reading's name without its panel."""
    return name.partition(".")[2] or name


def _odd(values: Sequence[float], u: float, name: str, angle: bool) -> str:
    """What is wrong with readings of one size that are too far apart to be its scatter, the odd one named; '' where
    nothing is. Misread is what lies six standard uncertainties and `MISREAD` from the middle one."""
    if len(values) == 1:
        return ""
    from statistics import median

    middle = median(values)
    off = max(abs(value - middle) for value in values)
    limit = max(6 * u, 2.0 if angle else MISREAD)
    if off <= limit or (len(values) == 2 and 2 * off <= limit):
        return ""
    unit = "degrees" if angle else "mm"
    read = ", ".join(f"{value:.2f}" for value in values)
    if len(values) == 2:
        return f"the readings of {name} do not agree: {read} {unit}, {2 * off:.2f} {unit} apart"
    odd = [value for value in values if abs(value - middle) > off * (1 - 1e-9)]
    named = " and ".join(f"{value:.2f}" for value in odd)
    verb = "is" if len(odd) == 1 else "are"
    return f"the readings of {name} do not agree: of {read} {unit}, {named} {verb} {off:.2f} {unit} off the middle one"


def _mean(
    group: Sequence[Reading], name: str, tool: str, angle: bool, subject: str, place: Place | None
) -> tuple[Quantity, bool, list[Finding]]:
    values = [reading.value.value for reading in group]
    n = len(values)
    mean = math.fsum(values) / n
    typed = [reading.value.u for reading in group if reading.value.parts]
    guessed = False
    used: Instrument | None = None
    if typed:
        u = max(typed)
    elif mean == 0 and n == 1:
        u = 0.0  # a point that was put at zero is where one measures from
    else:
        guessed = not tool
        used = instrument(tool or ASSUMED)
        used = instrument("protractor") if angle and not used.angle else used
        u = used.u(mean)
    spread = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (n - 1)) if n > 1 else 0.0
    findings = []
    odd = _odd(values, u, short(name), angle)
    if odd:
        fix = ("" if angle else misreading(values)) + (
            "measure it again" if n > 2 else "measure it a third time: one of them is misread"
        )
        findings.append(Finding("warning", "readings-disagree", subject, odd, fix, place))
    elif n > 1 and u > 0 and spread > scatter_limit(n - 1) * u:
        findings.append(
            Finding(
                "note",
                "readings-scatter",
                subject,
                f"{n} readings of {short(name)} scatter by {spread:.3f} mm (standard deviation), more than the "
                f"{u:.3f} mm that the instrument explains",
                "clean the edges, mark the two points, and read it again",
                place,
                spread,
                scatter_limit(n - 1) * u,
            )
        )
    # What the scale shares stays; what placing it adds is known beforehand, or seen to be more.
    shared, each = (used.systematic(mean), max(used.edges, spread)) if used else (u, spread)
    total = math.hypot(shared, each / math.sqrt(n))
    dimension = 0 if angle else group[0].value.dimension
    return Quantity(mean, dimension, ((name, total),) if total else ()), guessed, findings
