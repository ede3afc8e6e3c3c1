"""Made-up prints of the calibration target, measured as a person would: points through a map, distances, noise, slips.

Nothing here uses the formulas under test: the marks of the target are moved by a map of the plane, and what is read is
the distance of two moved marks, with the instrument's own error in all of them and a new one in each reading.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from decalgen.core.instruments import CALIPER, RULE, Instrument
from decalgen.printer.calibration import Calibration, calibrate
from decalgen.printer.target import SPANS, Target, target

SHEETS = {"A5": (148.0, 210.0), "A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""ISO 216 and ANSI/ASME Y14.1, mm."""
MARGIN = 5.0
TOOLS = {"caliper": CALIPER, "steel rule": RULE}
ENDS = {
    "across foot": ((-1, -1), (1, -1)),
    "across middle": ((-1, 0), (1, 0)),
    "across head": ((-1, 1), (1, 1)),
    "up left": ((-1, -1), (-1, 1)),
    "up middle": ((0, -1), (0, 1)),
    "up right": ((1, -1), (1, 1)),
    "rising": ((-1, -1), (1, 1)),
    "falling": ((-1, 1), (1, -1)),
}
"""Where each span begins and ends, in halves of the target's sides (diagonals: of their own rectangle)."""


@dataclass(frozen=True)
class Fault:
    """What is wrong with a print or its readings. ``bow``: how much longer the middle is both ways, mm; ``taper``: how
    much wider the head and narrower the foot, mm; ``lean``: degrees; ``slip``: the least and most one reading is off;
    ``misread``: the same for all readings of one span, mm; ``readings``: of each span."""

    bow: float = 0.0
    taper: float = 0.0
    lean: float | None = None
    slip: tuple[float, float] | None = None
    misread: tuple[float, float] | None = None
    readings: int = 3


FAULTS = {
    "clean": Fault(),
    "outlier": Fault(slip=(0.5, 3.0)),
    "bow 0.1": Fault(bow=0.1),
    "bow 0.3": Fault(bow=0.3),
    "bow 0.6": Fault(bow=0.6),
    "trapezoid": Fault(taper=0.2),
    "span misread": Fault(misread=(0.5, 0.9)),
    "lean 2°": Fault(lean=2.0),
    "two readings": Fault(readings=2),
    "one reading": Fault(readings=1),
}


@dataclass(frozen=True)
class Tally:
    """Shares of runs: each stated U (k = 2) that covers the truth, a 40 mm decal both ways, and where a finding told.

    ``told_or``: covered or told, for x, y, lean and the decal."""

    runs: int
    x: float
    y: float
    lean: float
    decal: float
    told: float
    told_or: tuple[float, ...]
    size_error: float


def made(sheet: str, tool: Instrument) -> Target:
    """The target for a sheet with margins of 5 mm."""
    width, height = SHEETS[sheet]
    return target(width - 2 * MARGIN, height - 2 * MARGIN, tool)


def readings(
    rng: np.random.Generator, asked: Target, tool: Instrument, fault: Fault
) -> tuple[dict[str, list[float]], tuple[float, float, float]]:
    """Readings of one print, and the truth: printed over asked along x and y, and the lean."""
    x, y = (float(v) for v in rng.uniform(0.96, 1.03, 2))
    lean = float(rng.uniform(-0.003, 0.003)) if fault.lean is None else math.tan(math.radians(fault.lean))
    wide, high = asked.width, asked.height

    def printed(px: float, py: float) -> tuple[float, float]:
        u, v = 2 * px / wide, 2 * py / high
        across = px * (1 + (fault.bow * (1 - v * v) + 2 * fault.taper * v / 2) / wide)
        up = py * (1 + fault.bow * (1 - u * u) / high)
        return x * across + lean * up, y * up

    shared = float(rng.uniform(-1, 1))
    found = {}
    for span in SPANS:
        sides = asked.diagonal if span in ("rising", "falling") else (wide, high)
        ends = [printed(a * sides[0] / 2, b * sides[1] / 2) for a, b in ENDS[span]]
        length = math.dist(*ends)
        noise = rng.normal(0, tool.placing, fault.readings)
        found[span] = [length + shared * tool.limit(length) + float(one) for one in noise]
    sign = float(rng.choice([-1.0, 1.0]))
    span = SPANS[int(rng.integers(len(SPANS)))]
    if fault.slip:
        found[span][int(rng.integers(fault.readings))] += sign * float(rng.uniform(*fault.slip))
    if fault.misread:
        off = sign * float(rng.uniform(*fault.misread))
        found[span] = [one + off for one in found[span]]
    return found, (x, y, lean)


def runs(
    seed: int, asked: Target, tool: Instrument, fault: Fault, count: int
) -> Iterator[tuple[Calibration, tuple[float, float, float]]]:
    """So many calibrations, each with the truth."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        found, truth = readings(rng, asked, tool, fault)
        yield calibrate(found, asked, tool), truth


def tally(seed: int, sheet: str, tool: Instrument, fault: Fault, count: int) -> Tally:
    """How often the stated uncertainties cover the truth."""
    covered, told, sizes = [], [], []
    for found, (x, y, lean) in runs(seed, made(sheet, tool), tool, fault, count):
        off_x, off_y = abs(found.x.value - x), abs(found.y.value - y)
        error = found.size_error(40.0)
        covered.append(
            (
                off_x <= found.x.expanded,
                off_y <= found.y.expanded,
                # A lean that is said to be not known is no false statement, and is told.
                found.lean is not None and abs(found.lean.value - lean) <= found.lean.expanded,
                40 * max(off_x, off_y) <= error,
            )
        )
        told.append(any(one.severity != "note" for one in found.findings))
        sizes.append(error)
    hit, said = np.array(covered), np.array(told)
    x, y, lean, decal = (float(v) for v in hit.mean(axis=0))
    either = tuple(float(v) for v in (hit | said[:, None]).mean(axis=0))
    return Tally(count, x, y, lean, decal, float(said.mean()), either, float(np.mean(sizes)))
