"""A colour chart as it is typed: the middles of its corner patches, and a file with the colour of each. Raises
DecalgenError, with the line and the fix."""

from __future__ import annotations

import math
import re
from pathlib import Path

from decalgen.colour.spaces import D50, XYZ, from_linear, xyz_under
from decalgen.colour.value import Colour
from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import Wanted, read_small_text
from decalgen.scan.chart import COLUMNS, ROWS, ChartError, ColourChart

MOST_BYTES = 20_000
_POINT = re.compile(r"(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)")
_HEX = re.compile(r"#[0-9a-fA-F]{6}")
_CHART = (
    "the middles of patches 1, 6, 24 and 19 in pixels and a file of values, as in "
    "--chart '120,80 620,82 618,400 118,398 = chart.txt'"
)
_VALUE = "write L*, a* and b* under D50, such as 51.0 -28.6 -27.9, or a colour such as #008aa4"


def chart_of(text: str) -> ColourChart:
    """The chart of the option --chart. Raises ChartError for words that are none, and for a file that has not a colour
    for each patch."""
    places, sign, name = text.partition("=")
    corners = [_POINT.fullmatch(one) for one in places.split()]
    if not sign or not name.strip() or len(corners) != 4 or None in corners:
        raise ChartError(f"'{text[:60]}' is not a chart", fix=_CHART)
    points = tuple((float(one[1]), float(one[2])) for one in corners if one)
    if any(math.dist(points[n], points[n - 1]) < 2 * COLUMNS for n in range(4)):
        raise ChartError("the corner patches of the chart lie too near to each other", fix=_CHART)
    return ColourChart(points, _colours(Path(name.strip())))


def _colours(path: Path) -> tuple[XYZ, ...]:
    """XYZ under D50 of each patch, a line each; what follows # and a blank is a comment."""
    wanted = Wanted("name a text file with the colour of each patch on a line, row by row")
    found: list[XYZ] = []
    for number, row in enumerate(read_small_text(path, MOST_BYTES, wanted).splitlines(), 1):
        words = re.split(r"(?:^|\s)#(?:\s|$)", row)[0].strip()
        if words:
            found.append(_colour(words, f"{path}:{number}"))
    if len(found) != COLUMNS * ROWS:
        raise ChartError(
            f"'{path}' has the colours of {len(found)} patches, and a chart has {COLUMNS * ROWS}",
            fix=f"write one line a patch, {ROWS} rows of {COLUMNS}, from the first patch on",
        )
    return tuple(found)


def _colour(words: str, place: str) -> XYZ:
    if _HEX.fullmatch(words):
        return from_linear(Colour.from_hex(words).linear)
    try:
        level, a, b = (float(one) for one in re.split(r"[\s,;]+", words))
    except ValueError:
        raise DecalgenError(f"{place}: '{words[:40]}' is not a colour", fix=_VALUE) from None
    if not (0 <= level <= 100 and max(abs(a), abs(b)) <= 150):
        raise DecalgenError(f"{place}: '{words[:40]}' is out of range for L*, a* and b*", fix=_VALUE)
    return xyz_under(D50, (level, a, b))
