"""How near measured lettering comes to its original: a table over words of faces that are not among the shipped ones.

Run by hand: python tests/benchmarks/lettering.py [more font files, such as an ISO 3098 one]. Errors are in per
cent of what was measured, read off by another routine than the one that draws; covered is common area over joint area.
"scaled" is the best that one scale factor can do: the word set at the measured length.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.lettering.by_letter import ranked_by_letter
from decalgen.lettering.faces import face, faces
from decalgen.lettering.match import match
from decalgen.lettering.rank import overlap_of, rank
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset
from tests.lettering import exported
from tests.lettering import originals as o

PLAIN = [f.name for f in faces() if f.category not in ("script", "stencil")]


def quantile(values: list[float], share: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def errors(aim: o.Original, letters: tuple, region: object) -> tuple[float, float, float]:  # type: ignore[type-arg]
    stem_letter, bar_letter = o.RULED[aim.word]
    by_text = {x.text: x.region for x in letters}
    stem = o.stem_by_lines(by_text[stem_letter])
    bar = o.crossbar_by_lines(bar_letter, by_text[bar_letter])
    length = region.bounds[2]  # type: ignore[attr-defined]
    return tuple(100 * abs(a / b - 1) for a, b in ((stem, aim.stem), (bar, aim.crossbar), (length, aim.length)))  # type: ignore[return-value]


def row(name: str, rows: list[tuple[float, float, float, float, float]]) -> None:
    cells = []
    for i in range(3):
        values = [r[i] for r in rows]
        cells.append(f"{statistics.median(values):7.4f} {quantile(values, 0.9):7.3f} {max(values):7.3f}")
    covered = [r[3] for r in rows]
    times = [r[4] for r in rows]
    print(
        f"{name:34} | {' | '.join(cells)} | {statistics.median(covered):.3f} {quantile(covered, 0.1):.3f}"
        f" | {1000 * statistics.median(times):6.1f}"
    )


def main() -> None:
    for extra in sys.argv[1:]:
        # Beside the kept ones for this run only.
        shutil.copy(extra, o.FOLDER / f"zz-{Path(extra).stem}.ttf")
    try:
        targets = sorted(p.stem for p in o.FOLDER.glob("*.ttf"))
        from_pdf(targets)
        table(targets)
        speed()
    finally:
        for path in o.FOLDER.glob("zz-*.ttf"):
            path.unlink()


def from_pdf(targets: list[str]) -> None:
    """The measures as a reader of the printed file finds them, beside the best of five weights scaled as a whole."""
    with tempfile.TemporaryDirectory() as folder:
        rows = exported.table(Path(folder), faces=targets)
    print(
        f"{len(rows)} words of {len(targets)} faces in Archivo, read off the PDF; per cent: median, nine tenths, most"
    )
    for name in ("scaled", "matched"):
        cells = []
        for measure in exported.MEASURES:
            values = [100 * getattr(row, name)[measure] for row in rows]
            cells.append(f"{measure} {statistics.median(values):.4f} {quantile(values, 0.9):.4f} {max(values):.4f}")
        print(f"{name:8} | {' | '.join(cells)}")


def speed() -> None:
    """One word shaped and outlined, and one match, with nothing kept from before but the opened fonts."""
    from decalgen.lettering import outlines, shaping

    for name in PLAIN:
        if not face(name).file:
            continue
        typeset("HARBOUR", face=name, cap_height=2.0)
        known, new, matched = [], [], []
        for n in range(10):
            start = time.perf_counter()
            typeset("HARBOUR", face=name, cap_height=2.0 + n / 100)
            known.append(time.perf_counter() - start)
            shaping.outline.cache_clear()
            outlines.font_line.cache_clear()
            start = time.perf_counter()
            typeset("HARBOUR", face=name, cap_height=2.0)
            new.append(time.perf_counter() - start)
        for target in o.FACES[:7]:
            aim = o.original(target, "HARBOUR").measured(False)
            match.cache_clear()
            start = time.perf_counter()
            match("HARBOUR", aim, name)
            matched.append(time.perf_counter() - start)
        ms = [f"{1000 * statistics.median(v):6.2f} (most {1000 * max(v):6.2f})" for v in (known, new, matched)]
        print(f"{name:16} ms: a word at a new size {ms[0]}, with all letters new {ms[1]}, a match {ms[2]}")


def table(targets: list[str]) -> None:
    aims = [o.original(face, word) for face in targets for word in o.WORDS]
    print(f"{len(aims)} words of {len(targets)} faces; per cent: median, nine tenths, most")
    print(f"{'':34} | {'stem':^23} | {'crossbar':^23} | {'length':^23} | covered p10 | ms")
    for name in ("Archivo", "Roboto Flex", "Saira", "Overpass", "Oswald", "Roboto Slab"):
        scaled, closed, solved, placed = [], [], [], []
        for aim in aims:
            start = time.perf_counter()
            at_cap = typeset(aim.word, face=name, cap_height=2.0)
            line = typeset(aim.word, face=name, cap_height=2.0 * aim.length / at_cap.width)
            scaled.append(result(aim, line.letters, line.region, start))
            for rows, places, axes in ((closed, False, False), (solved, False, True), (placed, True, True)):
                start = time.perf_counter()
                try:
                    found = match(aim.word, aim.measured(places), name, solve_axes=axes)
                except LetteringError:
                    print("   refused:", name, aim.face, aim.word)
                    continue
                rows.append(result(aim, found.letters, found.region, start))
        row(f"{name}, scaled", scaled)
        row(f"{name}, closed form", closed)
        row(f"{name}, axes and closed form", solved)
        row(f"{name}, letters' places given", placed)
    ranking(aims)


def ranking(aims: list[o.Original]) -> None:
    """The best of all plain faces, each letter from its best, and the best by measures alone; places given."""
    by_sight, by_letter, by_measures = [], [], []
    for aim in aims:
        start = time.perf_counter()
        ranked = rank(aim.word, aim.measured(True), outline=aim.region, among=PLAIN)
        by_sight.append(result(aim, ranked[0].matched.letters, ranked[0].matched.region, start))
        several = ranked_by_letter(aim.word, aim.measured(True), ranked, aim.region) or ranked[0]
        by_letter.append(result(aim, several.matched.letters, several.matched.region, start))
        best = rank(aim.word, aim.measured(True), among=PLAIN)[0]
        by_measures.append(result(aim, best.matched.letters, best.matched.region, start))
    row("best face by overlap", by_sight)
    row("a face a letter, by overlap", by_letter)
    row("best face by measures", by_measures)


def result(aim: o.Original, letters: tuple, region: object, start: float) -> tuple[float, float, float, float, float]:  # type: ignore[type-arg]
    spent = time.perf_counter() - start
    return (*errors(aim, letters, region), overlap_of(aim.region, region), spent)  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
