"""Figures of the nesting engines on open data, and on jobs made up from a seed; run by hand.

    python tests/benchmarks/nesting.py --data FOLDER [--only NAME] [--seeds 5] [--seconds 20] [--portfolio] [--quick]

The folder (or the environment variable NESTING_DATA) holds ``decal-mixes/*.json``, ``part_used_*.json`` and
``strip/*.json`` with ``best_known.json``; without it those rows say so. Rows: demo (its four jobs), small, the six
mixes, part_used_151, part_used_157, sheets (1000 decals on A4), strip (open instances), random (1000 small jobs),
same (two runs alike).

``--seconds`` is processor time for each figure. Engines that work side by side share it, so what is compared has cost
the same; on a machine busy with other work a clock gives less of it, and each row says what it really got.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from shapely.geometry import Polygon, box

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.nesting import NORMAL, QUICK, Effort, Nest, NestItem, NestRegion, Request, nest
from decalgen.nesting.crew import MANY
from decalgen.nesting.engine import ENTRIES
from decalgen.nesting.frame import pieces_of
from decalgen.nesting.gate import gate
from decalgen.nesting.portfolio import MOST_CORES, available_cores
from tests.nesting.plain_check import faults, made_up

ENDLESS = Effort("endless", 10**9, 10**9)
"""Ended by the clock alone: engines can only be compared at equal time."""

MIXES = ("a40_r4", "a40_r2", "b200_r4", "b200_r2", "c1000_r4", "c1000_r2")
LIBRARIES = {"separate": "spyrrow", "tree": "packingsolver"}
OPEN = ("swim", "shirts", "trousers", "albano", "marques", "shapes1")


def items_of(data: dict[str, Any]) -> tuple[NestItem, ...]:
    """The items of a data file."""
    return tuple(
        NestItem(i["id"], Polygon(i["poly"]), tuple(int(r) for r in i["rot"]), quantity=i["qty"]) for i in data["items"]
    )


def timed(request: Request) -> tuple[Nest, float, float]:
    """A nest that has passed the gate, and the wall and processor time it cost, its workers' included."""
    wall, before = time.perf_counter(), os.times()
    found = nest(request)
    after = os.times()
    wrong = gate(request, found.positions, found.left_out)
    if wrong:
        raise SystemExit(f"a nest with a fault came out: {wrong[0].message}")
    return found, time.perf_counter() - wall, sum(after[k] - before[k] for k in range(4))


def read(path: Path) -> dict[str, Any]:
    """A data file."""
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def strip_request(items: tuple[NestItem, ...], height: float, length: float, gap: float, seed: int) -> Request:
    """All items on one long strip filled from its left."""
    strip = NestRegion("strip", length, height, box(0, 0, length, height), fill="left")
    return Request(items, (strip,), gap, seed, ENDLESS, remnant="strip")


ALONE: list[str] = ["fill", "rows", "separate", "tree"]
"""Engines that are also tried alone."""


def engines_row(
    label: str, request: Callable[[int], Request], seconds: float, seeds: int, area: float = 0.0, record: float = 0.0
) -> dict[str, float]:
    """Used length of a strip by each engine alone and by all of them, at equal processor time.

    ``area``: of all pieces, mm², to say how full a strip 200 mm high is; ``record``: how full it is at best, in
    percent. Gives the points to the record by engine.
    """
    points: dict[str, float] = {}
    cores = available_cores()
    side_by_side = min(cores, MOST_CORES)
    # The tree search works on all cores unless there are many pieces, the others on one each.
    shared = dict.fromkeys(ENTRIES, 1) | {"tree": cores if len(pieces_of(request(1))) <= MANY else 1}
    boxes(label, request(1))
    for name, engines in (*((n, (n,)) for n in ALONE), ("portfolio", None)):
        title = LIBRARIES.get(name, f"own {name}" if engines else name)
        if engines is not None and not ENTRIES[name].there:
            print(f"{label:13} {title:13} not installed here")
            continue
        lengths, cpus, won = [], [], set()
        for seed in range(1, seeds + 1):
            limit = seconds / (shared[name] if engines is not None else side_by_side)
            one = Request(**{**vars(request(seed)), "engines": engines, "time_limit": limit})
            found, _, cpu = timed(one)
            lengths.append(found.used_length if not found.left_out else float("inf"))
            cpus.append(cpu)
            won.add(found.engine)
        middle, bound = statistics.median(lengths), found.bound.used_length
        points[title] = record - 100 * area / 200 / middle
        print(
            f"{label:13} {title:13} median {middle:9.2f} mm  best {min(lengths):9.2f}  used/bound "
            f"{middle / bound:.3f}  of {seeds}  cpu {statistics.mean(cpus):5.1f} s"
            + (f"  {100 * area / 200 / middle:.1f} % filled, {points[title]:.2f} points to the record" if area else "")
            + (f"  by {', '.join(sorted(won))}" if engines is None else ""),
            flush=True,
        )
    return points


def boxes(label: str, request: Request) -> None:
    """The shortest strip onto which the rectpack library brings the boxes round all pieces, by halving; it knows no
    other outlines, and no seed."""
    try:
        import rectpack
    except ImportError:
        print(f"{label:13} rectpack      not installed here")
        return
    before = time.process_time()
    _, _, wide, high = request.regions[0].usable.bounds
    gap, turns = request.gap, any((a - b) % 180 for item in request.items for a in item.turns for b in item.turns)
    sizes = []
    for item in request.items:
        x0, y0, x1, y1 = item.outline.bounds
        # Hundredths of a millimetre, upwards: the library wants whole numbers.
        sizes += [(-int(-100 * (x1 - x0 + gap) // 1), -int(-100 * (y1 - y0 + gap) // 1))] * item.quantity
    low, best = 0.0, wide
    while best - low > 0.2:
        middle = (low + best) / 2
        packer = rectpack.newPacker(rotation=turns)
        for size in sizes:
            packer.add_rect(*size)
        packer.add_bin(int(100 * (middle + gap)), int(100 * (high + gap)))
        packer.pack()
        low, best = (low, middle) if len(packer.rect_list()) == len(sizes) else (middle, best)
    print(f"{label:13} rectpack      boxes  {best:9.2f} mm  cpu {time.process_time() - before:5.1f} s", flush=True)


def mix(folder: Path, name: str, seconds: float, seeds: int) -> None:
    """One mix on a strip 200 mm high."""
    data = read(folder / "decal-mixes" / f"{name}.json")
    length = 3000.0 if name.startswith("c") else 400.0
    engines_row(name, lambda seed: strip_request(items_of(data), 200, length, data["separation"], seed), seconds, seeds)


def part_used(folder: Path, name: str, seconds: float, seeds: int) -> None:
    """How many pieces come onto a part-used sheet, and when the last one did."""
    data = read(folder / f"{name}.json")
    usable = Polygon(data["usable"])
    used = tuple(Polygon(ring) for ring in data["used"])
    region = NestRegion("sheet", usable.bounds[2], usable.bounds[3], usable, used, data["clearance_to_used"])
    count = sum(i["qty"] for i in data["items"])
    for seed in range(1, seeds + 1):
        request = Request(items_of(data), (region,), data["separation"], seed, ENDLESS, seconds)
        reached: list[tuple[int, float]] = []
        start = time.perf_counter()

        def watch(report: Any, reached: list[tuple[int, float]] = reached, start: float = start) -> bool:
            if not reached or report.placed > reached[-1][0]:
                reached.append((report.placed, time.perf_counter() - start))
            return bool(report.placed < count)

        before = os.times()
        found = nest(request, watch)
        after = os.times()
        assert not gate(request, found.positions, found.left_out)
        cpu = sum(after[k] - before[k] for k in range(4))
        placed, when = reached[-1] if reached else (len(found.positions), 0.0)
        print(f"{name} seed {seed}: {placed} of {count} after {when:.2f} s, cpu {cpu:.1f} s, by {found.engine}")


def sheets(folder: Path, seconds: float, seeds: int) -> None:
    """A thousand decals on A4 sheets."""
    data = read(folder / "decal-mixes" / "c1000_r4.json")
    film = NestRegion("A4", 287, 200, box(0, 0, 287, 200), repeat=True)
    for seed in range(1, seeds + 1):
        request = Request(items_of(data), (film,), data["separation"], seed, ENDLESS, seconds, "strip")
        found, wall, cpu = timed(request)
        print(
            f"sheets seed {seed}: {len(found.used)} sheets (bound {found.bound.sheets}), last used "
            f"{found.used[-1].used_length:.1f} mm, {len(found.left_out)} left out, by {found.engine}, "
            f"{wall:.1f} s wall, cpu {cpu:.1f} s",
            flush=True,
        )


def open_strips(folder: Path, seconds: float, seeds: int) -> None:
    """Published strip instances without a gap, as density beside the record; the two jigsaws (dighe1, dighe2) fill a
    strip of length 100 without a hole."""
    records = read(folder / "best_known.json")
    gaps: dict[str, list[float]] = {}
    for name in (*OPEN, "dighe1", "dighe2"):
        data = read(folder / "strip" / f"{name}.json")
        scale = 200.0 / data["strip_height"]
        items = tuple(
            NestItem(
                str(i["id"]),
                Polygon([(x * scale, y * scale) for x, y in i["shape"]["data"]]),
                tuple(round(turn) for turn in i["allowed_orientations"]),
                quantity=i["demand"],
            )
            for i in data["items"]
        )
        area = sum(i.outline.area * i.quantity for i in items)
        length = (records[name]["record_width"] if name in records else 100.0) * scale
        record = records[name]["record_density_pct"] if name in records else 100.0
        print(f"{name:13} record        {record:.1f} % of {length:.2f} mm filled")

        def request(seed: int, items: tuple[NestItem, ...] = items, longest: float = 3 * area / 200) -> Request:
            return strip_request(items, 200, longest, 0.0, seed)

        for title, points in engines_row(name, request, seconds, seeds, area, record).items():
            if name in OPEN:
                gaps.setdefault(title, []).append(points)
    for title, some in gaps.items():
        print(f"mean of {len(some)}     {title:13} {statistics.mean(some):.2f} points to the record", flush=True)


def random_jobs(count: int) -> None:
    """Small jobs through the gate and through a check by other means, by each engine that is always there and by all
    together."""
    for engines in (("fill",), ("shelf",), ("boxes",), ("rows",), None):
        wrong = refused = pieces = 0
        start = time.process_time()
        for seed in range(count):
            request = Request(**{**vars(made_up(seed)), "engines": engines})
            found = nest(request)
            wrong += bool(gate(request, found.positions, found.left_out) or faults(request, found))
            refused += any("refused" in note for note in found.notes)
            pieces += len(found.positions)
        spent = time.process_time() - start
        name = engines[0] if engines else "all"
        print(
            f"random {name:6} {count} jobs, {pieces} pieces: {wrong} invalid, {refused} with a layout refused, "
            f"cpu {spent:.1f} s",
            flush=True,
        )


def same(count: int) -> None:
    """Step-counted runs made twice, compared to the last bit."""
    differ = 0
    for seed in range(count):
        for effort in (QUICK, NORMAL, Effort("both", 600, 15)):
            request = Request(**{**vars(made_up(seed)), "effort": effort})
            once, twice = (hashlib.sha256(repr(nest(request)).encode()).hexdigest() for _ in range(2))
            differ += once != twice
    print(f"same: {3 * count} pairs of runs, {differ} differ", flush=True)


def demo() -> None:
    """The demo's four jobs on their films at normal effort: the nests alone, of all that a sheet takes."""
    from decalgen.commands.options import Options
    from decalgen.commands.run import Run
    from decalgen.sheet import nest_request

    folder = Path(__file__).parents[2] / "demo"
    jobs = [folder / f"{name}.yaml" for name in ("gannet", "h9", "ostmerrow", "dravenhoe")]
    films = tuple(str(folder / "films" / f"{kind}-a5.yaml") for kind in ("white", "clear"))
    spent: list[tuple[float, float]] = []

    def watched(request: Request, progress: Any = None) -> Nest:
        found, wall, cpu = timed(request)
        spent.append((wall, cpu))
        return found

    nest_request.nest = watched
    try:
        layout = Run(jobs, Options(films=films, printer=str(folder / "printer.yaml"))).arrangement()
    finally:
        nest_request.nest = nest
    wall, cpu = (sum(one[k] for one in spent) for k in (0, 1))
    print(f"demo: {len(layout.positions)} pieces in {len(spent)} nests, {wall:.2f} s wall, cpu {cpu:.2f} s", flush=True)


def small_job() -> None:
    """Forty-four pieces of four small jobs onto two A5 films, the first part used."""
    sizes = [(23.4, 6, 4), (11, 11, 6), (19, 2.8, 4), (22.6, 6.4, 2), (67, 2.3, 4), (21.4, 3.2, 2), (6.4, 6.4, 4)]
    sizes += [(6, 4.5, 4), (8.7, 3.4, 4), (12.6, 9.8, 4), (25, 4.6, 3), (37, 6, 3)]
    items = tuple(
        NestItem(f"decal {n}", box(0, 0, w, h).buffer(-0.4).buffer(0.4), quantity=q)
        for n, (w, h, q) in enumerate(sizes)
    )
    usable = box(5, 5, 205, 143)
    films = (NestRegion("part used", 210, 148, usable, (box(5, 5, 65, 143),), 1.5), NestRegion("new", 210, 148, usable))
    for effort in (QUICK, NORMAL):
        found, wall, cpu = timed(Request(items, films, 2.0, effort=effort))
        left = sum(len(entry.copies) for entry in found.left_out)
        print(
            f"small {effort.name:8} {len(found.positions)} pieces, {left} left out, by {found.engine}, "
            f"{wall:.2f} s wall, cpu {cpu:.2f} s"
        )


def memory() -> None:
    """The most memory this program and any one worker have held."""
    try:
        import resource
    except ImportError:
        print("memory: cannot be decided on this system")
        return
    unit = 1024 if sys.platform != "darwin" else 1024 * 1024
    own, worker = (resource.getrusage(w).ru_maxrss / unit for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print(f"memory: {own:.0f} MB in the program, {worker:.0f} MB in the largest worker")


def main() -> None:
    """Run what is asked for."""
    parser = argparse.ArgumentParser(description="Figures of the nesting engines.")
    parser.add_argument("--data", default=os.environ.get("NESTING_DATA", ""))
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--only", default="")
    parser.add_argument("--quick", action="store_true", help="one seed, two seconds, few jobs: whether all of it runs")
    parser.add_argument("--portfolio", action="store_true", help="all engines together alone, no engine by itself")
    chosen = parser.parse_args()
    if chosen.portfolio:
        ALONE.clear()
    folder = Path(chosen.data or "none")
    seconds, seeds = (2.0, 1) if chosen.quick else (chosen.seconds, chosen.seeds)
    count = 30 if chosen.quick else 1000
    rows: dict[str, Callable[[], None]] = {
        "demo": demo,
        "small": small_job,
        "random": lambda: random_jobs(count),
        "same": lambda: same(3 if chosen.quick else 10),
    }
    needs: dict[str, Path] = {}
    for name in MIXES:
        rows[name] = lambda name=name: mix(folder, name, seconds, seeds)  # type: ignore[misc]
        needs[name] = folder / "decal-mixes" / f"{name}.json"
    for name in ("part_used_151", "part_used_157"):
        rows[name] = lambda name=name: part_used(folder, name, seconds, seeds)  # type: ignore[misc]
        needs[name] = folder / f"{name}.json"
    rows["sheets"], needs["sheets"] = lambda: sheets(folder, seconds, seeds), needs["c1000_r4"]
    rows["strip"], needs["strip"] = lambda: open_strips(folder, seconds, seeds), folder / "best_known.json"
    print(f"{os.cpu_count()} cores, Python {sys.version.split()[0]}")
    for name, row in rows.items():
        if chosen.only and chosen.only != name:
            continue
        if name in needs and not needs[name].is_file():
            print(f"{name}: the data are not here, see --data")
            continue
        row()
    memory()


if __name__ == "__main__":
    main()
