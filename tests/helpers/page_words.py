"""The words of a finished document: where each line of small text stands, how large it is, what lies on what.

Read from the document as exporters see it, letters as outlines: a letter is placed by its key, which ends in size, the
number of its outline and its colour. Nothing here knows how a page was composed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import shapely
from fontTools.ttLib import TTFont
from shapely import STRtree
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon, box

from decalgen.core.document import Contour, Document, Line, Page, Use
from decalgen.core.resources import resource_folder
from decalgen.core.values import dataclass
from decalgen.lettering.faces import paper_face

KEY = re.compile(r"-(?:book|bold)-(\d+(?:-\d+)?)-(\d+)-([0-9a-f]{6})$")
SPACE = 0.75
"""Letters of one line are no further apart than so many type sizes."""


@dataclass(frozen=True)
class Words:
    """One line of text on a page: its letters' box, turned as the line is; ``size`` in points."""

    page: int
    text: str
    size: float
    colour: str
    box: Polygon
    upright: bool

    @property
    def plain(self) -> str:
        """The text without its spaces, which are only guessed from the gaps between letters."""
        return self.text.replace(" ", "")


@dataclass(frozen=True)
class _Letter:
    sign: str
    size: float
    colour: str
    corners: tuple[tuple[float, float], ...]
    origin: tuple[float, float]
    turn: float


@dataclass(frozen=True)
class _Outline:
    sign: str
    size: float
    colour: str
    bounds: tuple[float, float, float, float]


def _signs() -> dict[int, str]:
    with TTFont(resource_folder("fonts") / paper_face().file) as face:
        names = face.getGlyphOrder()
        by_name = {name: chr(code) for code, name in face.getBestCmap().items()}
    # Figures of one width have outlines of their own: 'two.tnum' reads 2.
    return {n: by_name.get(name) or by_name.get(name.partition(".")[0], "\N{REPLACEMENT CHARACTER}")
            for n, name in enumerate(names)}  # fmt: skip


SIGNS = _signs()


def words_of(document: Document) -> list[Words]:
    """Every line of text of every page."""
    return [words for n, page in enumerate(document.pages) for words in words_on(page, n)]


def words_on(page: Page, number: int = 0) -> Iterator[Words]:
    """Every line of text of one page."""
    read: dict[str, _Outline | None] = {}
    for layer in page.layers:
        line: list[_Letter] = []
        for item in layer.items:
            letter = _letter(item, read) if isinstance(item, Use) else None
            if line and (letter is None or not _goes_on(line[-1], letter)):
                yield _words(line, number)
                line = []
            if letter is not None:
                line.append(letter)
        if line:
            yield _words(line, number)


def _outline(item: Use) -> _Outline | None:
    """What the key of a letter says, and the box of its ink; None for what is no letter or prints nothing."""
    found = KEY.search(item.symbol.key)
    if found is None:
        return None
    region = item.symbol.items[0].region  # type: ignore[union-attr]
    if region.is_empty:
        return None
    sign = SIGNS.get(int(found[2]), "?")
    return _Outline(sign, float(found[1].replace("-", ".")), f"#{found[3]}", region.bounds)


def _letter(item: Use, read: dict[str, _Outline | None]) -> _Letter | None:
    """``read``: outlines by their key, of which a page has few and places them often."""
    key = item.symbol.key
    if key not in read:
        read[key] = _outline(item)
    one = read[key]
    if one is None:
        return None
    a, b, c, d, e, f = item.matrix
    x0, y0, x1, y1 = one.bounds
    corners = tuple((a * x + c * y + e, b * x + d * y + f) for x, y in ((x1, y0), (x1, y1), (x0, y1), (x0, y0)))
    return _Letter(one.sign, one.size, one.colour, corners, (e, f), round(math.degrees(math.atan2(b, a)), 3))


def _goes_on(before: _Letter, after: _Letter) -> bool:
    """Whether a letter stands on the same baseline, close behind another."""
    if (before.size, before.colour, before.turn) != (after.size, after.colour, after.turn):
        return False
    along, off = _turned(after.origin, before.origin, before.turn)
    return abs(off) < 1e-6 and 0 <= along <= (1.0 + SPACE) * after.size * 0.3528


def _turned(point: tuple[float, float], origin: tuple[float, float], turn: float) -> tuple[float, float]:
    x, y = point[0] - origin[0], point[1] - origin[1]
    if not turn:
        return x, y
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return (x * c + y * s, y * c - x * s)


def _words(line: Sequence[_Letter], page: int) -> Words:
    turn, origin = line[0].turn, line[0].origin
    corners = [_turned(corner, origin, turn) for one in line for corner in one.corners]
    x0, x1 = min(x for x, _ in corners), max(x for x, _ in corners)
    y0, y1 = min(y for _, y in corners), max(y for _, y in corners)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    turned = affine_transform(box(x0, y0, x1, y1), (c, -s, s, c, *origin))
    text = line[0].sign
    for one, before in zip(line[1:], line, strict=False):
        wide = max(x for x, _ in before.corners) - before.origin[0] if not turn else 0
        gap = _turned(one.origin, before.origin, turn)[0] - wide
        text += (" " if not turn and gap > 0.16 * one.size * 0.3528 else "") + one.sign
    return Words(page, text, line[0].size, line[0].colour, turned, turn == 0)


def overlaps(found: Sequence[Words], apart: float = 0.0) -> list[tuple[Words, Words]]:
    """Lines of text of one page whose boxes lie on each other, or are nearer than ``apart`` mm."""
    pairs = []
    for page in {words.page for words in found}:
        mine = [words for words in found if words.page == page]
        tree = STRtree([words.box for words in mine])
        for a, b in zip(*tree.query([words.box.buffer(apart + 0.01) for words in mine], "intersects"), strict=True):
            one, other = mine[a].box, mine[b].box
            if a < b and (one.intersection(other).area > 1e-4 or (apart and one.distance(other) < apart)):
                pairs.append((mine[a], mine[b]))
    return pairs


def outside(found: Sequence[Words], document: Document, margin: float) -> list[Words]:
    """Lines of text that reach into the margin of their page."""
    areas = [box(margin, margin, page.width - margin, page.height - margin) for page in document.pages]
    return [words for words in found if not areas[words.page].buffer(1e-6).covers(words.box)]


def struck(
    found: Sequence[Words], page: Page, layers: Sequence[str] = ("Paperwork",)
) -> list[tuple[Words, LineString]]:
    """Lines of text that a drawn line runs through, on one page. The upper and lower tenth of their boxes may touch."""
    drawn = [
        LineString([*item.points, item.points[0]] if item.closed else item.points)
        for layer in page.layers
        if layer.name in layers
        for item in layer.items
        if isinstance(item, Line)
    ]
    drawn += [
        LineString(item.outline.polygon.exterior.coords)
        for layer in page.layers
        if layer.name in layers
        for item in layer.items
        if isinstance(item, Contour)
    ]
    if not drawn:
        return []
    tree = STRtree(drawn)
    hit = []
    for words in found:
        inner = words.box.buffer(-0.12)
        for _ in tree.query(inner, "intersects") if not inner.is_empty else ():
            hit.append(words)
    return hit


def ink_box(page: Page) -> tuple[float, float, float, float]:
    """The box of all that is drawn on a page's own paperwork, symbols and lines."""
    shapes = []
    for layer in page.layers:
        for item in layer.items:
            if isinstance(item, Line):
                shapes.append(LineString(item.points))
            elif isinstance(item, Contour):
                shapes.append(item.outline.polygon)
            elif isinstance(item, Use):
                a, b, c, d, e, f = item.matrix
                for part in item.symbol.items:
                    if not isinstance(part, Line | Contour):
                        shapes.append(affine_transform(part.region, (a, c, b, d, e, f)))
            else:
                shapes.append(item.region)
    x0, y0, x1, y1 = shapely.union_all([box(*shape.bounds) for shape in shapes if not shape.is_empty]).bounds
    return (x0, y0, x1, y1)
