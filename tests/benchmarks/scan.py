"""How well remains are read from generated scans, by hand: ``python -m tests.benchmarks.scan [CASES] [SEED]``
for the plain kinds, with ``rarer`` after it for the others, and numbers of single cases after that.

Each case draws its pattern, sizes, colours, tears (0 to 50 %), yellowing, fading, scratches, turn, resolution, noise,
blur and the scanner's stretch, and reads the file as a user would: card beside the sticker, its measured size typed.
Told by how much is torn: cases recognised, errors of the values, how many lie within 2u, what was flagged, and counts
of rows and columns that were told as exact and are wrong.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from dataclasses import dataclass, field, replace

import numpy as np

from decalgen.core.pixels.values import PictureData
from decalgen.scan.measuring import ScanRequest, measure_scan
from decalgen.scan.remains import PatternFit
from tests.scan.cases import KINDS, RARER, Case, case

UNFLAGGED_MM = 0.05


@dataclass
class Tally:
    """What was told of some cases, by how much is torn; ``rows``: of each value how far it is off, its u, and whether
    it is flagged."""

    rows: dict[str, list[tuple[float, float, bool]]] = field(default_factory=lambda: defaultdict(list))
    wrong: list[str] = field(default_factory=list)
    flagged: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))
    counts: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))

    def flag(self, kind: str, at: str, said: bool) -> None:
        """Whether a case was flagged."""
        self.flagged[at].append(said)
        self.flagged[f"{kind} {at}"].append(said)


def main(count: int, seed: int, only: tuple[int, ...] = (), kinds: tuple[str, ...] = KINDS) -> None:
    tally = Tally()
    took = []
    for number in only or range(count):
        made = case(np.random.default_rng([seed, number]), number, kinds=kinds)
        at = "to 30 %" if made.gone <= 0.305 else "over 30 %"
        start = time.process_time()
        try:
            found = measure_scan(PictureData("case.png", made.scan.data), ScanRequest(card="card"))
        except Exception as error:
            tally.flag(made.kind, at, True)
            tally.wrong.append(f"{number} {made.kind} {made.gone:.0%} torn: {str(error).splitlines()[0][:70]}")
            continue
        took.append(time.process_time() - start)
        fit = found.fits[0]
        if fit.kind != made.kind:
            # Told as something else: a failure unless it is said to be doubtful.
            said = bool(found.doubts)
            tally.flag(made.kind, at, True)
            tally.rows[at].append((9.0, 0.0, said))
            tally.wrong.append(
                f"{number} {made.kind} taken for {fit.kind}, {'told' if said else 'NOT told'}, {made.gone:.0%} torn"
            )
            continue
        _judge(number, made, fit, at, tally)
    for at in ("to 30 %", "over 30 %"):
        _tell(at, tally)
    for name in sorted(name for name in tally.flagged if " to 30" in name):
        print(f"  {name}: {np.mean(tally.flagged[name]):.1%} flagged of {len(tally.flagged[name])}")
    if took:
        print(f"processor time a case: median {np.median(took):.2f} s, most {max(took):.2f} s")
    print("\n".join(tally.wrong), flush=True)


def _judge(number: int, made: Case, fit: PatternFit, at: str, tally: Tally) -> None:
    any_flag = False
    truth = made.truth
    for value in fit.values:
        # A stripe as pale as paper is told as a gap.
        value = replace(value, name=value.name.replace("gap", "stripe"))
        if value.unit == "" and value.name in truth:
            right = value.value <= truth[value.name] if value.least else value.value == truth[value.name]
            tally.counts[at].append(right)
            if not right:
                told = f"{value.value:g}{'+' if value.least else ''}"
                tally.wrong.append(f"{number} {value.name} {told} for {truth[value.name]:g}, {made.gone:.0%} torn")
            continue
        if value.name not in truth:
            if made.kind in KINDS and value.name.startswith(("stripe", "diameter")):
                tally.wrong.append(f"{number} {made.kind}: a {value.name} that is not there, {made.gone:.0%} torn")
            continue
        said = bool(value.doubt) or value.least
        any_flag = any_flag or bool(value.doubt)
        off = value.value - truth[value.name]
        tally.rows[at].append((abs(off), value.u, said))
        if abs(off) > UNFLAGGED_MM and not said:
            tally.wrong.append(
                f"{number} {made.kind} {value.name} {value.value:.3f} for {truth[value.name]:.3f}, "
                f"{made.gone:.0%} torn, {made.scan.dpi:g} dpi"
            )
    tally.flag(made.kind, at, any_flag)


def _tell(at: str, tally: Tally) -> None:
    rows, flagged, counts = tally.rows[at], tally.flagged[at], tally.counts[at]
    if not rows:
        return
    plain = [(off, u) for off, u, said in rows if not said]
    offs = np.array([off for off, _ in plain])
    within = np.mean([off <= 2 * u for off, u in plain])
    print(
        f"torn {at}: {len(flagged)} cases, {np.mean(flagged):.1%} flagged; {len(plain)} values not flagged: "
        f"median {1000 * np.median(offs):.1f} µm, 95 % {1000 * np.percentile(offs, 95):.1f}, most "
        f"{1000 * offs.max():.0f}; {int((offs > UNFLAGGED_MM).sum())} over 50 µm; {within:.1%} within 2u; "
        f"counts right {sum(counts)} of {len(counts)}"
    )


if __name__ == "__main__":
    words = sys.argv[1:]
    numbers = [int(one) for one in words if one != "rarer"]
    chosen = RARER if "rarer" in words else KINDS
    main(numbers[0] if numbers else 1000, numbers[1] if len(numbers) > 1 else 1, tuple(numbers[2:]), chosen)
