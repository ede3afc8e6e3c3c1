"""The swatch sheet's geometry, and its readings on their way to the printer."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from shapely.geometry import box

from decalgen.colour.inks import ink
from decalgen.colour.model import WHITE
from decalgen.colour.palette import PALETTE
from decalgen.colour.printer import PrinterColour
from decalgen.colour.readings import apply_readings, reading_named, relative
from decalgen.colour.swatches import CAPS, CHOKES, LINE, LINES, SwatchSheet, letters, swatch_sheet
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError

INKS = [ink("lifebuoy orange"), ink("ferry blue"), ink("white", "white")]
WITH_WHITE = PrinterColour(white=True)


def thickness(sheet: SwatchSheet, name: str) -> float:
    """The widest disc that fits, twice over: half a stroke's width is lost at the first inset that leaves nothing."""
    (mark,) = (one for one in sheet.marks if one.name == name)
    low, high = 0.0, 5.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if mark.region.buffer(-middle).is_empty else (middle, high)
    return 2 * low


def test_what_is_on_it() -> None:
    sheet = swatch_sheet(INKS, WITH_WHITE)
    names = sheet.names
    assert names[:5] == ("lifebuoy orange", "ferry blue", "darkest", "white 1", "white 2")
    assert "white" not in names
    assert sum(one.kind == "line" for one in sheet.marks) == len(LINES)
    assert sum(one.kind == "gap" for one in sheet.marks) == len(LINES)
    assert sum(one.kind in {"caps", "caps reversed"} for one in sheet.marks) == 2 * len(CAPS)
    assert sum(one.kind == "register" and one.plate == "white" for one in sheet.marks) == len(CHOKES)
    home = swatch_sheet(INKS)
    assert all(one.plate == "art" for one in home.marks)
    assert home.height < sheet.height


def test_nothing_overlaps_or_leaves_the_sheet() -> None:
    for inks in (INKS, [ink(name) for name in PALETTE]):
        sheet = swatch_sheet(inks, WITH_WHITE)
        page = box(0, 0, sheet.width, sheet.height + 1e-9)
        art = [one for one in sheet.marks if one.kind != "register" or one.plate == "art"]
        assert all(page.covers(box(*one.region.bounds)) for one in art)
        for one, other in combinations(art, 2):
            assert box(*one.region.bounds).distance(box(*other.region.bounds)) > 0.5, (one.name, other.name)
        boxes = [box(one.x, one.y, one.x + one.width, one.y + one.height) for one in sheet.boxes]
        for label in sheet.labels:
            # The last line, and those above it.
            room = box(label.x, label.y, label.x + 0.5, label.y + label.caps + (label.lines - 1) * LINE)
            assert page.covers(room)
            assert all(room.distance(one.region) > 0.5 for one in art), label
            assert all(room.distance(one) > 0.5 for one in boxes), label
            assert label.x + label.width < sheet.width + 1.1
        for n, one in enumerate(boxes):
            assert page.covers(one.buffer(-1e-6)) and all(one.distance(other) > 0.5 for other in boxes[:n])
            assert all(one.distance(mark.region) > 0.5 for mark in art if not sheet.boxes[n].bare)


def test_every_patch_has_its_name_above_it_and_a_box_under_it() -> None:
    sheet = swatch_sheet([ink(name) for name in PALETTE], WITH_WHITE, 122.0)
    patches = [one for one in sheet.marks if one.kind == "patch"]
    assert len(patches) == len(PALETTE) + 1
    for one in patches:
        x0, y0, x1, y1 = one.region.bounds
        assert min(x1 - x0, y1 - y0) >= 14.0 - 1e-9
        (name,) = [label for label in sheet.labels if label.x == x0 and 0 < label.y - y1 < 3.0]
        assert name.text == one.name
        (under,) = [room for room in sheet.boxes if room.x == x0 and 0 < y0 - room.y - room.height < 3.0]
        assert under.width >= 18.0 and under.height >= 8.0 and not under.bare
    (bare,) = [room for room in sheet.boxes if room.bare]
    assert min(bare.width, bare.height) >= 14.0, "the bare film is read too"
    assert any(label.text == "paper" and label.x == bare.x for label in sheet.labels)


def test_each_wedge_has_the_letter_that_its_reading_is_asked_by_and_a_box() -> None:
    sheet = swatch_sheet(INKS, WITH_WHITE)
    heads = [label for label in sheet.labels if label.head]
    told = [label.head for label in heads if label.head[1:3] == "  "]
    assert told == ["a  line", "b  gap", "c  caps", "d  caps reversed", "e  choke"]
    for label in heads:
        if label.head in told:
            mine = [room for room in sheet.boxes if room.block == label.block]
            assert len(mine) == 1 and mine[0].width >= 18.0 and mine[0].height >= 8.0
            assert reading_named(label.head) == label.head[3:] == reading_named(label.head[0])
    # Room for a ring drawn round one mark that leaves its neighbours out.
    for kind in ("line", "gap", "caps", "caps reversed", "register"):
        mine = [one for one in sheet.marks if one.kind == kind and one.plate == "art"]
        lefts = sorted(one.region.envelope.bounds[0] for one in mine)
        assert all(b - a > 8.5 for a, b in pairwise(lefts)), kind


def test_an_ink_that_is_called_like_a_letter_is_that_ink() -> None:
    found = apply_readings(PrinterColour(), {"a": "#102030", "b": 0.2}, [ink("a", colour="#112233")])
    assert found.measured("a") == parse("#102030") and found.smallest_gap == 0.2


@pytest.mark.parametrize("size", LINES)
def test_lines_are_as_wide_as_they_say(size: float) -> None:
    assert thickness(swatch_sheet([]), f"line {size:.2f}") == pytest.approx(size, rel=1e-6)


@pytest.mark.parametrize("size", LINES)
def test_gaps_are_as_wide_as_they_say(size: float) -> None:
    sheet = swatch_sheet([])
    (mark,) = (one for one in sheet.marks if one.name == f"gap {size:.2f}")
    left, right = sorted(mark.region.geoms, key=lambda part: part.bounds[0])
    assert left.distance(right) == pytest.approx(size, rel=1e-6)
    block = box(*mark.region.bounds)
    assert block.area - mark.region.area == pytest.approx(size * 6 + size * 3.5, rel=1e-6)


@pytest.mark.parametrize("size", CHOKES)
def test_register_squares_are_choked_as_they_say(size: float) -> None:
    sheet = swatch_sheet([], WITH_WHITE)
    white, art = (one.region for one in sheet.marks if one.name == f"choke {size:.2f}")
    assert white.bounds[0] - art.bounds[0] == pytest.approx(size)
    assert art.bounds[3] - white.bounds[3] == pytest.approx(size)


@pytest.mark.parametrize("caps", CAPS)
def test_letters(caps: float) -> None:
    shape = letters(caps, 3.0, 4.0)
    assert shape.bounds[1] == pytest.approx(4.0)
    assert shape.bounds[3] - shape.bounds[1] == pytest.approx(caps)
    assert len(shape.geoms) == 3
    sheet = swatch_sheet([])
    (positive,) = (one.region for one in sheet.marks if one.name == f"caps {caps:.1f}")
    (reversed_,) = (one.region for one in sheet.marks if one.name == f"caps reversed {caps:.1f}")
    assert box(*reversed_.bounds).area - reversed_.area == pytest.approx(positive.area, rel=1e-6)


def test_refused_sheets() -> None:
    with pytest.raises(ColourError, match="61 inks"):
        swatch_sheet([ink(f"ink {i}", colour="red") for i in range(61)])
    for width in (50, 5000, float("nan")):
        with pytest.raises(ColourError, match="wide"):
            swatch_sheet(INKS, width=width)


def test_readings_become_the_printers_values() -> None:
    given = {
        "darkest": "lab(12 0 0)",
        "white over black": "lab(80 0 0)",
        "white over white": "lab(94 0 0)",
        "lifebuoy orange": "#d96424",
        "line": 0.12,
        "gap": "0.2 mm",
        "caps": 1.0,
        "caps reversed": 1.2,
        "choke": 0.2,
    }
    found = apply_readings(WITH_WHITE, given, INKS)
    # CIE 15: Y = ((L* + 16) / 116) cubed.
    assert found.floor == pytest.approx(((12 + 16) / 116) ** 3, rel=1e-6)
    assert found.opacity == pytest.approx(((80 + 16) / (94 + 16)) ** 3, rel=1e-6)
    assert found.measured("lifebuoy orange") == parse("#d96424")
    sizes = (found.smallest_line, found.smallest_gap, found.smallest_caps, found.smallest_caps_reversed)
    assert sizes == (0.12, 0.2, 1.0, 1.2)
    assert found.misregister == 0.2
    assert found.white
    later = apply_readings(found, {"ferry blue": "#204f90"}, INKS)
    assert [name for name, _ in later.patches] == ["ferry blue", "lifebuoy orange"]
    assert later.floor == found.floor


def test_readings_are_taken_relative_to_the_paper() -> None:
    paper = parse("#f0ead8")
    found = apply_readings(PrinterColour(), {"paper": "#f0ead8", "lifebuoy orange": "#f0ead8"}, INKS)
    assert found.measured("lifebuoy orange").xyz == pytest.approx(WHITE, abs=1e-9)  # type: ignore[union-attr]
    half = relative(Colour(tuple(v / 2 for v in paper.xyz)), paper)  # type: ignore[arg-type]
    assert half.xyz == pytest.approx(tuple(v / 2 for v in WHITE), abs=1e-9)


@pytest.mark.parametrize(
    ("readings", "says", "fix"),
    [
        ({"darkets": "#111111"}, "'darkets'", "did you mean 'darkest'?"),
        ({"darkest": "#12"}, "darkest: '#12' is not a colour", "six digits"),
        ({"darkest": "lab(140 0 0)"}, "L* 140", "54.9"),
        ({"darkest": "#ffffff"}, "too light for black ink", "darkest"),
        ({"paper": "#202020"}, "too dark", "white card"),
        ({"white over black": "#cccccc"}, "'white over white' is missing", "both"),
        ({"white over white": "#cccccc"}, "'white over black' is missing", "both"),
        ({"white over black": "#eeeeee", "white over white": "#cccccc"}, "lighter over black", "swapped"),
        ({"line": -1}, "not a size", "millimetres"),
        ({"line": "thin"}, "not a size", "millimetres"),
        ({"caps": float("inf")}, "not a size", "millimetres"),
    ],
)
def test_readings_that_cannot_be(readings: dict[str, str | float], says: str, fix: str) -> None:
    with pytest.raises(ColourError) as caught:
        apply_readings(PrinterColour(), readings, INKS)
    assert says in caught.value.message
    assert fix in caught.value.fix


def test_a_white_that_hides_all_has_the_highest_opacity_there_is() -> None:
    found = apply_readings(WITH_WHITE, {"white over black": "lab(92 0 0)", "white over white": "lab(92 0 0)"}, INKS)
    assert found.opacity == 0.995
