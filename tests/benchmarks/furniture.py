"""What furniture costs of the film: the largest piece of each sheet that stays blank, with and without it; by hand.

    python tests/benchmarks/furniture.py [--sheets 20] [--demo]

Sheets of one to three made-up jobs (4 of A6, 11 of A5, 5 of A4 in 20; two in five part used), nested with quick effort
once as if nothing but pieces were printed and once as they are printed; with --demo those of the demo instead, with its
own effort. The blank piece is measured with 1 mm round all that is printed; "bare" counts the pieces alone. How many
marks, how far apart, and processor time are told too.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.job.model import Job
from decalgen.nesting.model import QUICK
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.marks import spans
from decalgen.sheet.nest_request import asked, films_of, nested
from decalgen.sheet.pieces import pieces
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import Position, Saved
from tests.helpers.mixed_jobs import mixed
from tests.helpers.printed_film import blank, printed

ORDER = ("A5", "A6", "A5", "A4", "A5", "A5", "A4", "A5", "A6", "A5")


def bare(jobs: Sequence[Job], plan: Plan) -> Arrangement:
    """The sheets as a nest lays them that knows of no furniture."""
    everything = pieces(jobs, plan.printer)
    positions: list[Position] = []
    for kind in dict.fromkeys(one.artwork.film for one in everything):
        of_kind = [one for one in everything if one.artwork.film == kind]
        films = films_of(of_kind, plan.films)
        found = nested(asked(of_kind, films, plan), of_kind, films, None)
        positions += [Position(p.item, p.copy, p.region, p.sheet, p.x, p.y, p.turn) for p in found.positions]
    digest = arrange(jobs, plan).digest
    return arrange(jobs, plan, saved=Saved(digest, tuple(positions), "bare"))


def largest(done: Arrangement, furniture: bool) -> float:
    """The largest blank piece of all sheets, cm²."""
    return max(blank(sheet, printed(sheet, furniture)) for sheet in done.sheets) / 100


def told(name: str, without: Arrangement, done: Arrangement, spent: Sequence[float]) -> float:
    """Prints a row, and gives the part of the blank piece that is left with furniture."""
    most, left = largest(without, furniture=False), largest(done, furniture=True)
    marks = [
        "{:.0f} × {:.0f}".format(*spans(one.furniture.registration)) if one.furniture.registration else "none"
        for one in done.sheets
    ]
    more = len(done.sheets) - len(without.sheets)
    words = sum(not one.furniture.words for one in done.sheets)
    lost = sum(one.code in ("tick-left-out", "no-room-for-number") for one in done.findings)
    print(
        f"{name:12} bare {most:6.1f}  printed {left:6.1f} cm²  {left / most:.3f}  sheets {len(done.sheets)} ({more:+d})"
        f"  marks {', '.join(marks)}  without words {words}  ticks or numbers told {lost}  cpu "
        + " ".join(f"{one:.1f}" for one in spent),
        flush=True,
    )
    return left / most


def compare_demo() -> None:
    """A row for each sheet of the demo."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "demo"))
    from main_job import load

    run = load()
    plan = run.plan()
    without, done = bare(run.jobs, plan), arrange(run.jobs, plan)
    for one, other in zip(without.sheets, done.sheets, strict=True):
        told(other.film.name, replace(without, sheets=(one,)), replace(done, sheets=(other,)), ())


def main() -> None:
    """Prints the figures."""
    asked_for = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked_for.add_argument("--sheets", type=int, default=20)
    asked_for.add_argument("--demo", action="store_true")
    wanted = asked_for.parse_args()
    if wanted.demo:
        compare_demo()
        return
    parts = []
    for seed in range(wanted.sheets):
        size, used = ORDER[seed % len(ORDER)], seed % 5 in (1, 3)
        case = mixed(seed, size, used=used)
        plan = case.plan(QUICK)
        start = time.process_time()
        without = bare(case.jobs, plan)
        between = time.process_time()
        done = arrange(case.jobs, plan)
        spent = (between - start, time.process_time() - between)
        part = told(f"{seed} {size}{' used' if used else ''}", without, done, spent)
        if size != "A6":
            parts.append(part)
    print(f"A5 and larger: least {min(parts):.3f}, mean {sum(parts) / len(parts):.3f}, of {len(parts)} sheets")


if __name__ == "__main__":
    main()
