"""The words of other faces sent all the way: job file, command, PDF; then read off the PDF by pdfplumber.

Each word is set twice, in rows of one decal: matched to what a restorer would read off the original, and as the best
that one scale factor can do, with a face of five weights. What is measured is measured on the paths of the file.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pdfplumber
import shapely
from click.testing import CliRunner
from shapely.geometry import MultiPolygon, Polygon, box

from decalgen.cli.main import cli
from decalgen.lettering.typesetting import typeset

from .originals import FACES, RULED, WORDS, Original, crossbar_by_lines, original, stem_by_lines

POINT = 25.4 / 72
CAP = 2.0
ROW, COLUMN, COLUMNS = 4.2, 31.0, 5
WEIGHTS = (100, 300, 500, 700, 900)
MEASURES = ("cap height", "length", "stem", "crossbar")

JOB = """\
job: words
body: white
film: white
inks: {{black: {{colour: "#000000"}}}}
panels: {{board: {{width: {width} mm, height: {height} mm}}}}
decals:
  words: {{panel: board, width: {width} mm, height: {height} mm, turn: no, artwork: [
    field: {{ink: black, width: 1 mm, height: 1 mm, at: {{anchor: bottom left, offset: [0.5 mm, 0.5 mm]}}}},
{words}]}}
"""


@dataclass(frozen=True)
class Row:
    """One word of the table: relative errors by measure, matched and only scaled."""

    aim: Original
    matched: dict[str, float]
    scaled: dict[str, float]


def table(folder: Path, face: str = "Archivo", faces: Sequence[str] = FACES) -> list[Row]:
    """Writes the job, runs the command, reads the PDF."""
    aims = [original(name, word) for name in faces for word in WORDS]
    rows = math.ceil(len(aims) * 2 / COLUMNS)
    width, height = COLUMNS * COLUMN + 4, rows * ROW + 4
    words = []
    for n, aim in enumerate(aims):
        words.append(_line(2 * n, f"face: {face}, match: {_readings(aim)}", aim.word))
        words.append(_line(2 * n + 1, f"face: {face}, {_best_scale(face, aim)}", aim.word))
    job, out = folder / "words.yaml", folder / "words.pdf"
    job.write_text(JOB.format(width=width, height=height, words=",\n".join(words)), encoding="utf-8")
    options = ["--film", "white A4", "--effort", "quick", "--without-proof", "a table of words"]
    done = CliRunner().invoke(cli, ["sheet", str(job), "-o", str(out), *options])
    assert done.exit_code == 0, done.output
    cells = _cells(out, width, height, 2 * len(aims))
    return [Row(aim, _errors(aim, cells[2 * n]), _errors(aim, cells[2 * n + 1])) for n, aim in enumerate(aims)]


def _line(number: int, how: str, word: str) -> str:
    x, y = _corner(number)
    at = f"{{anchor: bottom left, offset: [{x:.3f} mm, {y:.3f} mm]}}"
    return f"    lettering: {{text: {word}, ink: black, {how}, at: {at}}}"


def _corner(number: int) -> tuple[float, float]:
    row, column = divmod(number, COLUMNS)
    return 2 + column * COLUMN, 2.5 + row * ROW


def _readings(aim: Original) -> str:
    sizes = zip(MEASURES, (CAP, aim.length, aim.stem, aim.crossbar), strict=True)
    return "{" + ", ".join(f"{name}: {size:.6f} mm" for name, size in sizes) + "}"


def _best_scale(face: str, aim: Original) -> str:
    """The weight and the scale at which the four measures' ratios to the wanted ones are least spread about 1."""
    best = (math.inf, 0, 0.0)
    for weight in WEIGHTS:
        letters = typeset(aim.word, face=face, cap_height=CAP, axes={"wght": weight}).letters
        stem, bar = (next(x.region for x in letters if x.text == letter) for letter in RULED[aim.word])
        has = (CAP, letters[-1].right, stem_by_lines(stem), crossbar_by_lines(RULED[aim.word][1], bar))
        logs = [math.log(b / a) for a, b in zip((CAP, aim.length, aim.stem, aim.crossbar), has, strict=True)]
        mean = sum(logs) / len(logs)
        best = min(best, (sum((x - mean) ** 2 for x in logs), weight, CAP * math.exp(-mean)))
    return f"axes: [wght {best[1]}], cap height: {best[2]:.6f} mm"


def _cells(path: Path, width: float, height: float, count: int) -> list[MultiPolygon]:
    """Each word's area, mm, with the lower left of its extent about at the origin."""
    with pdfplumber.open(path) as opened:
        page = opened.pages[0]
        rings = [
            [(x * POINT, (float(page.height) - y) * POINT) for x, y in item["pts"]]
            for item in (*page.rects, *page.curves)
            if item["fill"] and set(item["non_stroking_color"]) == {0}
        ]
    areas = [Polygon(ring) for ring in rings if len(ring) >= 3]
    squares = [a for a in areas if abs(a.area - 1) < 1e-6 and abs(a.bounds[2] - a.bounds[0] - 1) < 1e-6]
    (square,) = squares
    x0, y0 = square.bounds[0] - 0.5, square.bounds[1] - 0.5
    tree = shapely.STRtree(areas)
    found = []
    for number in range(count):
        x, y = (a + b for a, b in zip(_corner(number), (x0, y0), strict=True))
        inside = tree.query(box(x - 0.3, y - 0.6, x + COLUMN - 0.7, y + ROW - 0.7), predicate="contains")
        word: shapely.Geometry = MultiPolygon()
        for i in inside:
            word = word.symmetric_difference(areas[i])
        found.append(shapely.MultiPolygon(shapely.get_parts(shapely.affinity.translate(word, -x, -y)).tolist()))
    return found


def _errors(aim: Original, word: MultiPolygon) -> dict[str, float]:
    """How far each measure is off, as a share of what was read off the original."""
    letters = sorted(word.geoms, key=lambda part: part.bounds[0])
    text = aim.word.replace(" ", "")
    # Every letter of these words is one piece; two that ran together would be missed here.
    assert len(letters) == len(text), aim
    stem_letter, bar_letter = RULED[aim.word]
    stem, bar = letters[text.index(stem_letter)], letters[text.index(bar_letter)]
    _, foot, _, top = stem.bounds
    has = (
        top - foot,
        word.bounds[2] - word.bounds[0],
        stem_by_lines(stem),
        crossbar_by_lines(bar_letter, bar),
    )
    wanted = (CAP, aim.length, aim.stem, aim.crossbar)
    return {name: abs(a / b - 1) for name, a, b in zip(MEASURES, has, wanted, strict=True)}
