"""Figures of numbers and ticks on dense sheets made up from a seed; run by hand.

    python tests/benchmarks/waste.py [--sheets 60]

Sheets of up to 80 pieces at gaps of 3 mm, A4, A5 and A6 in turn, every third with used film in it, numbers of one to
four digits: what is drawn, which rules are broken (by the judge of the tests), and processor time; then 1000 pieces on
one sheet, the second of two runs.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.sheet.numbers_and_ticks import Dressed, dress
from tests.helpers import dense_sheets
from tests.helpers.dense_sheets import DenseSheet, dense_sheet
from tests.helpers.waste_rules import Judge


def timed(sheet: DenseSheet) -> tuple[Dressed, list[str], float]:
    """A sheet dressed, the texts of its pieces, and processor time, s."""
    texts = [str(one.piece.number) for one in sheet.placed]
    before = time.process_time()
    done = dress(sheet.placed, texts, sheet.area, sheet.gone, sheet.furniture.keep_outs)
    return done, texts, time.process_time() - before


def main() -> None:
    """Prints the figures."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--sheets", type=int, default=60)
    count, wrong, cpu = Counter[str](), Counter[str](), 0.0
    for seed in range(asked.parse_args().sheets):
        size, first = ("A5", "A4", "A6")[seed % 3], (1, 10, 100, 1000)[seed % 4]
        sheet = dense_sheet(seed, size, first, used=seed % 3 == 0)
        done, texts, spent = timed(sheet)
        cpu += spent
        wrong += Judge(sheet.placed, texts, sheet.area, [*sheet.gone, *sheet.furniture.keep_outs], done).judge()
        small = sum(_cap(one.region.bounds) < 1.25 for one in done.labels)
        lost = sum(int(f.message.split(" for ")[1].split()[0]) for f in done.findings if f.code == "tick-left-out")
        count += Counter(
            pieces=len(texts), numbers=len(done.labels), leaders=len(done.leaders), ticks=len(done.ticks), lost=lost
        )
        count["labels lower than 1.25 mm"] += small
    print(dict(count), "broken rules:", dict(wrong), f"cpu {cpu:.1f} s", flush=True)
    dense_sheets.SIZES["large"] = (700.0, 900.0)
    large = dense_sheet(5, "large", 1, most=1000)
    timed(large)
    done, texts, spent = timed(large)
    print(f"{len(texts)} pieces, {len(done.labels)} numbers, {len(done.leaders)} leaders, cpu {spent:.2f} s")


def _cap(bounds: tuple[float, float, float, float]) -> float:
    return bounds[3] - bounds[1]


if __name__ == "__main__":
    main()
