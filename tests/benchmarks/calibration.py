"""How often a calibration's stated uncertainty covers the truth, on made-up prints; run by hand.

    python tests/benchmarks/calibration.py [--runs 2000] [--only "bow 0.1"] [--seed 20261126]

A row for each sheet, instrument and fault: the share of runs in which U (k = 2) covers x, y, the lean, and a decal of
40 mm both ways at once; in how many a warning told of the fault; and the mean size error stated for 40 mm, mm.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.helpers.prints import FAULTS, SHEETS, TOOLS, tally


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=2000)
    parser.add_argument("--only", default="")
    parser.add_argument("--seed", type=int, default=20261126)
    wanted = parser.parse_args()
    print(
        f"{'sheet':7} {'instrument':11} {'fault':13} {'x':>6} {'y':>6} {'lean':>6} {'40 mm':>6} {'told':>6}  or told: "
    )
    for sheet in SHEETS:
        for name, tool in TOOLS.items():
            for label, fault in FAULTS.items():
                if wanted.only and wanted.only != label:
                    continue
                one = tally(wanted.seed, sheet, tool, fault, wanted.runs)
                shares = " ".join(f"{100 * v:6.1f}" for v in (one.x, one.y, one.lean, one.decal, one.told))
                either = " ".join(f"{100 * v:5.1f}" for v in one.told_or)
                print(f"{sheet:7} {name:11} {label:13} {shares}  {either}  ±{one.size_error:.3f} mm", flush=True)


if __name__ == "__main__":
    main()
