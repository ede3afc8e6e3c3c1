"""How well panels are read from generated tape templates, by hand: ``python -m tests.benchmarks.templates [CASES]
[SEED] [found]``.

Each case draws its panel, obstacles, tape, pencil, gaps (to 25 % of the line), stretch (to 0.3 %), skew, wrinkles,
turn, resolution and the scanner's stretch (tests/scan/templates.py). With corners given, each 0.25 mm off: errors of
corners by the scan alone and with width and height typed (± 0.05 mm), and how many places lie within 2u. With
``found``: how often the corners are found, and how often a failure is not flagged. Seeds from 100 on were not looked
at when the constants were set.
"""

from __future__ import annotations

import resource
import sys
import time
from collections import defaultdict
from dataclasses import replace

import numpy as np

from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.scan.measuring import ScanRequest
from decalgen.scan.template.reading import measure_template
from decalgen.scan.template.values import GivenCorner, MeasuredTemplate, TemplateRequest, TypedSize
from tests.scan.templates import MadeTemplate, case

FAR_MM = 0.75
"""A corner that is found further away is not found."""
CARD = ScanRequest(card="card")


def given(made: MadeTemplate, rng: np.random.Generator, kinds: bool) -> tuple[GivenCorner, ...]:
    """The corners as a hand drags them."""
    rows = []
    for n, at in enumerate(made.pixels):
        off = rng.normal(0, 0.25 * made.dpi / 25.4, 2)
        side = ("arc" if made.panel.rises[n] else "line") if kinds else ""
        rows.append(GivenCorner((at[0] + off[0], at[1] + off[1]), bool(made.panel.radii[n]), side))
    return tuple(rows)


def typed(made: MadeTemplate, rng: np.random.Generator) -> tuple[TypedSize, TypedSize]:
    """Both sizes by a caliper, off by up to 0.05 mm."""
    first, second = (TypedSize(size + rng.uniform(-0.05, 0.05), 0.05 / 3**0.5) for size in made.size)
    return first, second


def errors(made: MadeTemplate, found: MeasuredTemplate) -> tuple[list[float], list[bool]]:
    """How far each corner is off, mm, and whether each coordinate lies within 2u."""
    far, held = [], []
    for true, one in zip(made.panel.points, found.corners, strict=True):
        off = (one.at[0] - true[0], one.at[1] - true[1])
        far.append(float(np.hypot(*off)))
        held += [abs(d) <= 2 * u for d, u in zip(off, one.u, strict=True)]
    return far, held


def measured(count: int, seed: int) -> None:
    far: dict[str, list[float]] = defaultdict(list)
    held: dict[str, list[bool]] = defaultdict(list)
    rises, radii, took = [], [], []
    for number in range(count):
        made = case(seed, number)
        rng = np.random.default_rng([seed, number, 7])
        corners = given(made, rng, kinds=True)
        width, height = typed(made, rng)
        for label, sizes in (("scan alone", (None, None)), ("two sizes", (width, height))):
            start = time.process_time()
            try:
                found = measure_template(
                    PictureData("t.png", made.data), TemplateRequest(CARD, "tape", corners, sizes[0], sizes[1])
                )
            except Exception as error:
                print(number, made.panel.family, label, repr(error)[:150])
                continue
            took.append((made.dpi, time.process_time() - start))
            off, inside = errors(made, found)
            far[label] += off
            held[label] += inside
            far[f"{label} {made.panel.family}"] += off
            held[f"{label} {made.panel.family}"] += inside
            if max(off) > 0.5:
                print(number, made.panel.family, label, [f"{one:.2f}" for one in off])
        for side, true in zip(found.sides, made.panel.rises, strict=True):
            if true:
                rises.append((side.rise - true, side.rise_u))
        for corner, true in zip(found.corners, made.panel.radii, strict=True):
            if true:
                radii.append((corner.radius - true, corner.radius_u))
    for label in sorted(far):
        one = np.array(far[label])
        print(
            f"{label:<22} {len(one):5d} corners: median {np.median(one):.3f}, p95 {np.percentile(one, 95):.3f} mm; "
            f"within 2u {np.mean(held[label]):.1%}"
        )
    for label, rows in (("rises", rises), ("radii", radii)):
        if rows:
            off, u = np.array(rows).T
            print(
                f"{label}: median {np.median(np.abs(off)):.3f}, p95 {np.percentile(np.abs(off), 95):.3f} mm, mean "
                f"{off.mean():+.3f}; within 2u {np.mean(np.abs(off) <= 2 * u):.1%}"
            )
    for dpi in sorted({one for one, _ in took}):
        times = [t for d, t in took if d == dpi]
        print(f"{dpi:g} dpi: {np.median(times):.2f} s, at most {max(times):.2f} s processor time a case")
    print(f"most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB, with the making of cases")


def recognised(count: int, seed: int) -> None:
    """How often all corners are found and none is extra, and what is said where not."""
    tally: dict[str, int] = defaultdict(int)
    took, far = [], []
    for number in range(count):
        made = case(seed, number)
        family = made.panel.family
        start = time.process_time()
        try:
            found = measure_template(PictureData("t.png", made.data), TemplateRequest(CARD))
        except DecalgenError as error:
            tally["refused"] += 1
            print(number, family, "refused:", error.message)
            continue
        took.append(time.process_time() - start)
        right = _right(made, found)
        flagged = bool(found.doubts)
        tally[f"{'right' if right else 'wrong'}, {'flagged' if flagged else 'not flagged'}"] += 1
        if right and not flagged:
            far += errors(made, _turned(made, found))[0]
        if not right:
            said = "; ".join(doubt.message[:60] for doubt in found.doubts) or "NOT FLAGGED"
            print(number, family, f"{len(found.corners)} for {len(made.panel.points)} corners:", said)
    print(", ".join(f"{label}: {value} of {count}" for label, value in sorted(tally.items())))
    print(f"{np.median(took):.2f} s, at most {max(took):.2f} s processor time a case")
    if far:
        print(f"right and not flagged, scan alone: median {np.median(far):.3f}, p95 {np.percentile(far, 95):.3f} mm")


def _right(made: MadeTemplate, found: MeasuredTemplate) -> bool:
    """Every corner near, none extra, the same of them round and the same sides arcs."""
    if len(found.corners) != len(made.pixels):
        return False
    found = _turned(made, found)
    limit = FAR_MM * made.dpi / 25.4
    near = all(
        np.hypot(one.pixel[0] - at[0], one.pixel[1] - at[1]) < limit
        for one, at in zip(found.corners, made.pixels, strict=True)
    )
    round_ = [bool(one.radius) for one in found.corners] == [bool(radius) for radius in made.panel.radii]
    return near and round_ and [bool(side.rise) for side in found.sides] == [bool(rise) for rise in made.panel.rises]


def _turned(made: MadeTemplate, found: MeasuredTemplate) -> MeasuredTemplate:
    """With its corners from the one that is nearest the first true one."""
    first = made.pixels[0]
    off = [np.hypot(one.pixel[0] - first[0], one.pixel[1] - first[1]) for one in found.corners]
    k = int(np.argmin(off))
    return replace(found, corners=found.corners[k:] + found.corners[:k], sides=found.sides[k:] + found.sides[:k])


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "found"]
    numbers = [int(word) for word in words]
    (recognised if "found" in sys.argv else measured)(*(numbers + [50, 1][len(numbers) :]))
