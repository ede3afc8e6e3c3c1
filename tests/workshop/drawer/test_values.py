"""Sheets of film owned: parts of them, feeding rules, age, and the picture."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import LineString, Polygon

from decalgen.core import style
from decalgen.core.document import Line
from decalgen.pages.drawer_sheet import largest_free, sheet_page
from decalgen.workshop.drawer import DrawerError, OwnedSheet, choose, corner, edge, part, rectangle
from decalgen.workshop.drawer.age import bought_on
from decalgen.workshop.drawer.feeding import feeding, whole_edges
from tests.helpers.drawers import A5, BOTTOM, HOLE, LEFT, NOTCH, TOP, owned

# -------------------------------------------------------------------------------------------------------------- parts


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ([(0, 0), (20, 20), (20, 0), (0, 20)], r"crosses itself at \(10, 10\)"),
        ([(0, 0), (20, 0)], "2 points do not enclose an area"),
        ([(0, 0), (20, 0), (40, 0)], "has no area: its points lie on one line"),
        ([(0, 0), (20, 0), (20, float("nan"))], "not a number"),
        ([(0, 0), (149, 0), (149, 5)], r"off the sheet of 148 × 210 mm"),
        ([(0, 0), (20, 0), (20, -1)], "off the sheet"),
        ([(0.0, 0.0)] * 3, "2 points do not enclose an area"),
        ([(x, x % 2) for x in range(2001)], "too many"),
    ],
)
def test_a_part_that_is_none_is_refused_with_its_fix(points: list[tuple[float, float]], says: str) -> None:
    with pytest.raises(DrawerError, match=says) as caught:
        part(A5, points, "cut off", 1)
    assert caught.value.fix


def test_a_part_is_trimmed_to_the_sheet_and_closed_once() -> None:
    one = part(A5, [(-0.04, 0), (148.03, 0), (148.03, 30), (-0.04, 30), (-0.04, 0)], "cut off", 1)
    assert one.points == ((0, 0), (148, 0), (148, 30), (0, 30))


def test_corners_and_edges_lie_where_they_say() -> None:
    assert Polygon(corner(A5, "upper right", 40, 30)).bounds == (108, 180, 148, 210)
    assert Polygon(corner(A5, "lower left", 40, 30)).bounds == (0, 0, 40, 30)
    assert Polygon(edge(A5, "right", 8)).bounds == (140, 0, 148, 210)
    assert Polygon(edge(A5, "top", 60)).bounds == (0, 150, 148, 210)
    with pytest.raises(DrawerError, match="no corner 'middle'"):
        corner(A5, "middle", 1, 1)


def test_overlapping_parts_are_counted_once() -> None:
    sheet = owned(edge(A5, "bottom", 60), rectangle(0, 30, 20, 60))
    assert sheet.free.area == pytest.approx(148 * 150 - 20 * 30)


# ------------------------------------------------------------------------------------------------------------ feeding

# Common practice, no source: see the head of decalgen/drawer/feeding.py.


@pytest.mark.parametrize(
    ("sheet", "shortest", "way", "leads"),
    [
        (owned(), 0, "straight", "top"),
        (owned(BOTTOM), 0, "straight", "top"),
        (owned(BOTTOM), 150, "straight", "top"),
        (owned(BOTTOM), 151, "carrier", "top"),
        (owned(NOTCH), 0, "turned", "bottom"),
        (owned(TOP), 0, "turned", "bottom"),
        (owned(TOP, leads="bottom"), 0, "straight", "bottom"),
        (owned(TOP, BOTTOM), 0, "carrier", "top"),
        (owned(LEFT), 0, "carrier", "top"),
        (owned(HOLE, why="printed"), 0, "straight", "top"),
        (owned(BOTTOM, process="laser"), 0, "straight", "top"),
        (owned(TOP, process="laser"), 0, "turned", "bottom"),
        (owned(BOTTOM, process="laser"), 151, "never", "top"),
        (owned(HOLE, process="laser", why="printed"), 0, "never", "top"),
        (owned(HOLE, process="laser"), 0, "never", "top"),
        (owned(NOTCH, process="laser"), 0, "never", "top"),
        (owned(TOP, BOTTOM, process="laser"), 0, "never", "top"),
        (owned(rectangle(0, 0, 148, 210)), 0, "never", "top"),
    ],
)
def test_how_a_part_used_sheet_is_fed(sheet: OwnedSheet, shortest: float, way: str, leads: str) -> None:
    how = feeding(sheet, shortest)
    assert (how.way, how.leads) == (way, leads)
    assert bool(how.reason) == (way != "straight")


def test_a_laser_sheet_printed_and_then_cut_off_straight_is_whole_again() -> None:
    entry = replace(A5, process="laser")
    printed = part(entry, rectangle(10, 10, 100, 40), "printed", 1)
    sheet = OwnedSheet(1, entry, (printed,))
    assert feeding(sheet).way == "never" and "bare backing" in feeding(sheet).reason
    assert feeding(replace(sheet, parts=(printed, part(entry, BOTTOM, "cut off", 2)))).way == "straight"


def test_whole_edges() -> None:
    assert set(whole_edges(owned(NOTCH))) == {"bottom", "right"}
    assert set(whole_edges(owned(HOLE))) == {"top", "bottom", "left", "right"}


# ------------------------------------------------------------------------------------------------------------ picture


def test_the_largest_free_rectangle_and_the_picture_at_true_size() -> None:
    sheet = owned(BOTTOM, NOTCH)
    assert largest_free(sheet) == pytest.approx((0, 60, 148, 180))
    (page,) = sheet_page(sheet).pages
    assert page.width == 148 + 40 and page.height > 210


def hatched(sheet: OwnedSheet, colour: str) -> list[LineString]:
    """The hatching of that colour in a picture of a sheet, in the coordinates of the sheet."""
    items = [item for item in sheet_page(sheet).pages[0].layers[0].items if isinstance(item, Line)]
    frame = next(item for item in items if item.width == style.LINE_PANEL)
    x0, y0 = min(frame.points)
    lines = [item for item in items if item.colour == colour and not item.closed]
    return [LineString([(x - x0, y - y0) for x, y in item.points]) for item in lines]


def test_what_was_printed_where_the_film_was_cut_off_since_is_no_longer_shown() -> None:
    band = part(A5, rectangle(0, 190, 100, 5), "printed", 1)
    before, after = OwnedSheet(1, A5, (band,)), OwnedSheet(1, A5, (band, part(A5, NOTCH, "cut off", 2)))
    gone = Polygon(NOTCH).buffer(-0.1)
    assert any(line.intersects(gone) for line in hatched(before, style.QUIET))
    assert not any(line.intersects(gone) for line in hatched(after, style.QUIET))
    assert any(line.intersects(band.polygon) for line in hatched(after, style.QUIET))


# ---------------------------------------------------------------------------------------------------------------- age


@pytest.mark.parametrize(
    ("words", "date"),
    [
        ("March 2026", (2026, 3, 0)),
        ("14 March 2026", (2026, 3, 14)),
        ("Mar 3rd, 2026", (2026, 3, 3)),
        ("2026-03-14", (2026, 3, 14)),
        ("2026-03", (2026, 3, 0)),
        ("3/2026", (2026, 3, 0)),
        ("14.3.2026", (2026, 0, 0)),
        ("2025, at the fair", (2025, 0, 0)),
        ("2026-13", (2026, 0, 0)),
        ("maybe 2024", (2024, 0, 0)),
        ("spring, at the fair", None),
        ("2024 or 2025", None),
        ("packet 120263", None),
        ("", None),
    ],
)
def test_when_a_sheet_was_bought_is_read_from_its_owners_words(words: str, date: tuple[int, int, int] | None) -> None:
    assert bought_on(words) == date


def test_of_sheets_alike_the_one_bought_first_is_taken_whenever_it_was_put_in() -> None:
    words = ["March 2026", "no idea", "2024-11", "5 March 2026", "2024-11"]
    sheets = [OwnedSheet(n, replace(A5, name=f"white {n}", bought=bought)) for n, bought in enumerate(words, start=1)]
    taken = []
    while sheets:
        chosen = choose(sheets, 1.0, lambda _: True)
        assert chosen is not None
        taken.append(chosen[0].number)
        sheets.remove(chosen[0])
    assert taken == [3, 5, 1, 4, 2]
