"""A reader of a placement guide that has nothing but the PDF: words and lines, read by pikepdf.

Letters are outlines in the file; each is told by its outline, against the paper face's own. From a guide it takes for
each side what a restorer would: the panel as it is drawn, each decal's distances by letter, and where on the drawing
the line of that letter is.
"""

from __future__ import annotations

import re
import string
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Any

import numpy as np
import pikepdf
from shapely.geometry import LineString, Polygon

from decalgen.core import style
from decalgen.lettering.paper import paper

SIGNS = (*string.ascii_letters, *string.digits, *".,:;±×·'()-/", "fi", "fl", "ff")
SIZES = (style.TYPE_SMALL, style.TYPE_REST, style.TYPE_BODY, style.TYPE_FIND, style.TYPE_TITLE)
MM = 72 / 25.4


@dataclass(frozen=True)
class Glyph:
    sign: str
    size: float
    bold: bool
    x: float
    y: float
    width: float


@dataclass(frozen=True)
class Word:
    text: str
    size: float
    bold: bool
    x: float
    y: float
    end: float


@dataclass(frozen=True)
class Stroke:
    points: tuple[tuple[float, float], ...]
    width: float
    closed: bool
    dashed: bool


@dataclass
class ReadPage:
    size: tuple[float, float]
    words: list[Word] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)


@cache
def _letters() -> tuple[list[tuple[str, float, bool]], Any]:
    names, marks = [], []
    for size in SIZES:
        for bold in (False, True):
            for sign in SIGNS:
                for glyph in paper(sign, size, bold).glyphs:
                    if not glyph.region.is_empty:
                        names.append((sign, size, bold))
                        marks.append((*glyph.region.bounds, glyph.region.area))
    return names, np.array(marks)


def _sign(points: list[list[tuple[float, float]]]) -> tuple[str, float, bool]:
    """The letter that has this outline."""
    area = sum(_area(ring) for ring in points)
    flat = np.array([point for ring in points for point in ring])
    own = np.array([*flat.min(axis=0), *flat.max(axis=0), abs(area)])
    names, marks = _letters()
    off = np.abs(marks - own).max(axis=1)
    best = int(off.argmin())
    return names[best] if off[best] < 2e-3 else ("\N{REPLACEMENT CHARACTER}", 0.0, False)


def _area(ring: list[tuple[float, float]]) -> float:
    x, y = np.array(ring).T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def read_pages(data: bytes) -> list[ReadPage]:
    """Every page with its words and strokes, mm, y up."""
    with pikepdf.open(BytesIO(data)) as pdf:
        return [_page(page) for page in pdf.pages]


def _page(page: Any) -> ReadPage:
    box = [float(v) / MM for v in page.MediaBox]
    found = ReadPage((box[2] - box[0], box[3] - box[1]))
    forms = dict(page.Resources.get("/XObject", {}))
    known: dict[str, tuple[str, float, bool, float]] = {}
    glyphs: list[Glyph] = []
    state: list[tuple[Any, float, bool]] = []
    matrix, width, dashed = np.eye(3), 1.0, False
    path: list[list[tuple[float, float]]] = []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name == "q":
            state.append((matrix, width, dashed))
        elif name == "Q":
            matrix, width, dashed = state.pop()
        elif name == "cm":
            matrix = _matrix([float(v) for v in operands]) @ matrix
        elif name == "w":
            width = float(operands[0])
        elif name == "d":
            dashed = len(operands[0]) > 0
        elif name == "Do":
            key = str(operands[0])
            if key not in known:
                ink = _rings(forms[key])
                known[key] = (*_sign(ink), max(x for ring in ink for x, _ in ring))
            sign, size, bold, wide = known[key]
            x, y, _ = np.array([0, 0, 1]) @ matrix / MM
            glyphs.append(Glyph(sign, size, bold, float(x), float(y), wide))
        elif name in ("m", "l", "c"):
            a, b = float(operands[-2]), float(operands[-1])
            x = (a * matrix[0, 0] + b * matrix[1, 0] + matrix[2, 0]) / MM
            y = (a * matrix[0, 1] + b * matrix[1, 1] + matrix[2, 1]) / MM
            if name == "m":
                path.append([])
            path[-1].append((float(x), float(y)))
        elif name in ("S", "s"):
            scale = float(np.hypot(matrix[0, 0], matrix[0, 1])) / MM
            found.strokes += [Stroke(tuple(one), width * scale, name == "s", dashed) for one in path]
            path = []
        elif name in ("f", "f*", "n"):
            path = []
    found.words = list(_words(glyphs))
    return found


def _matrix(v: list[float]) -> Any:
    return np.array([[v[0], v[1], 0], [v[2], v[3], 0], [v[4], v[5], 1]])


def _rings(form: Any) -> list[list[tuple[float, float]]]:
    rings: list[list[tuple[float, float]]] = []
    for operands, operator in pikepdf.parse_content_stream(form):
        if str(operator) == "m":
            rings.append([])
        if str(operator) in ("m", "l"):
            rings[-1].append((float(operands[0]), float(operands[1])))
    return rings


def _words(glyphs: list[Glyph]) -> Iterator[Word]:
    """Letters on one baseline in the order of the file, joined while they are near."""
    line: list[Glyph] = []
    for glyph in glyphs:
        gap = glyph.x - (line[-1].x + line[-1].width) if line else 0.0
        goes_on = line and abs(glyph.y - line[-1].y) < 1e-3 and -0.5 < gap < 0.35 * glyph.size
        if line and not (goes_on and (glyph.size, glyph.bold) == (line[-1].size, line[-1].bold)):
            yield _word(line)
            line = []
        line.append(glyph)
    if line:
        yield _word(line)


def _word(line: list[Glyph]) -> Word:
    text = line[0].sign
    for before, glyph in pairwise(line):
        gap = glyph.x - (before.x + before.width)
        text += (" " if gap > 0.05 * glyph.size else "") + glyph.sign
    return Word(text, line[0].size, line[0].bold, line[0].x, line[0].y, line[-1].x + line[-1].width)


# -------------------------------------------------------------------------------------------------------- as a guide
@dataclass(frozen=True)
class ReadDistance:
    """``edge``: from which edge; ``figure`` mm as printed, None where it is blank; ``across``: where on the panel the
    line of its letter is, along the edge; ``end``: where it meets the edge, both in the panel's millimetres."""

    letter: str
    edge: str
    figure: float | None
    said: str
    across: float
    end: float


@dataclass(frozen=True)
class ReadDecal:
    number: str
    name: str
    distances: tuple[ReadDistance, ...]


@dataclass(frozen=True)
class ReadSide:
    """One block: its name, the panel's outline in its own millimetres from its lower left corner, its decals, and the
    strokes of all that is drawn of it."""

    name: str
    panel: Polygon
    decals: tuple[ReadDecal, ...]
    strokes: tuple[Stroke, ...]
    captions: tuple[Word, ...]


def read_sides(data: bytes) -> list[ReadSide]:
    """Every side of a guide whose blocks each lie on one page."""
    found = []
    for page in read_pages(data):
        bands = [w for w in page.words if w.bold and w.size == style.TYPE_FIND and _drawn(page, w)]
        for n, band in enumerate(bands):
            low = bands[n + 1].y + 3.4 if n + 1 < len(bands) else 0.0
            cautions = [w.y + 3.4 for w in page.words if w.text == "Cautions" and w.y < band.y]
            found.append(_side(page, band, max([low, *cautions])))
    return found


def _drawn(page: ReadPage, band: Word) -> str:
    """What stands at the right of a band, where it begins a side."""
    words = [w.text for w in page.words if abs(w.y - band.y) < 6.0 and w.x > band.end and "drawn" in w.text]
    below = [w.text for w in page.words if 0 < band.y - w.y < 6.0 and "drawn" in w.text]
    return " ".join([*words, *below])


def _side(page: ReadPage, band: Word, low: float) -> ReadSide:
    words = [w for w in page.words if low < w.y < band.y - 0.5]
    strokes = [s for s in page.strokes if all(low < y < band.y for _, y in s.points)]
    how = _drawn(page, band)
    times = re.search(r"drawn ([\d.]+) : ([\d.]+)", how)
    scale = float(times[1]) / float(times[2]) if times else 1.0
    panels = [s for s in strokes if s.closed and abs(s.width - style.LINE_PANEL) < 1e-3 and len(s.points) > 3]
    drawing = max(panels, key=lambda s: max(y for _, y in s.points))
    x0, y0 = min(x for x, _ in drawing.points), min(y for _, y in drawing.points)
    panel = Polygon([((x - x0) / scale, (y - y0) / scale) for x, y in drawing.points])
    lines = {letter: tuple(((x - x0) / scale, (y - y0) / scale) for x, y in ends)
             for letter, ends in _lettered(words, strokes).items()}  # fmt: skip
    return ReadSide(band.text, panel, tuple(_decals(words, lines)), tuple(strokes), tuple(words))


def _lettered(words: list[Word], strokes: list[Stroke]) -> dict[str, tuple[tuple[float, float], ...]]:
    """The line of each letter that stands in a box: that to whose middle a hairline leads from the box, or the nearest
    one."""
    measures = [s for s in strokes if not s.closed and abs(s.width - 0.3) < 1e-3 and len(s.points) == 2]
    boxes = [s for s in strokes if s.closed and abs(s.width - 0.13) < 1e-3 and len(s.points) == 4]
    hair = [s for s in strokes if not s.closed and abs(s.width - 0.13) < 1e-3 and len(s.points) == 2]
    found = {}
    for frame in boxes:
        ground = Polygon(frame.points)
        inside = [
            w
            for w in words
            if w.bold
            and w.size == style.TYPE_BODY
            and ground.covers(LineString([(w.x, w.y + 0.5), (w.end, w.y + 0.5)]))
        ]
        if len(inside) != 1 or abs(ground.bounds[3] - ground.bounds[1] - 3.6) > 0.01:
            continue
        leads = [s for s in hair if ground.distance(LineString(s.points)) < 0.01]
        ends = [p for s in leads for p in s.points if ground.distance(LineString([p, p])) > 0.05]
        target = LineString([ends[0], ends[0]]) if ends else ground
        middles = [LineString(s.points).interpolate(0.5, normalized=True) for s in measures]
        best = min(range(len(measures)), key=lambda n: target.distance(middles[n]))
        found[inside[0].text] = measures[best].points
    return found


def _decals(words: list[Word], lines: dict[str, tuple[tuple[float, float], ...]]) -> Iterator[ReadDecal]:
    heads = [w for w in words if w.bold and w.size == style.TYPE_FIND and not re.fullmatch(r"[\d.]+", w.text)]
    heads = [
        w for w in heads if any(abs(o.y - w.y) < 0.01 and re.fullmatch(r"\d+(st|nd|rd|th)", o.text) for o in words)
    ]
    for n, head in enumerate(heads):
        low = heads[n + 1].y if n + 1 < len(heads) else -1.0
        left = head.x - 20.0
        rows = [w for w in words if w.bold and w.size == style.TYPE_BODY and low < w.y < head.y and left < w.x < head.x]
        distances = []
        for row in rows:
            beside = [w for w in words if abs(w.y - row.y) < 0.01 and row.end < w.x < row.x + 75.0]
            figures = [w for w in beside if w.bold and w.size == style.TYPE_FIND]
            edge = next(w.text for w in beside if "edge" in w.text)
            said = " ".join(w.text for w in beside if w.size == style.TYPE_REST)
            ends = lines[row.text]
            upright = edge.split()[0] in ("top", "bottom")
            across, end = ends[0][not upright], ends[0][upright]
            figure = float(figures[0].text) if figures else None
            distances.append(ReadDistance(row.text, edge.split()[0], figure, said, across, end))
        number, _, name = head.text.partition(" ")
        yield ReadDecal(number, name.strip(), tuple(distances))
