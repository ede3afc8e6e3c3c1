"""The measuring card: one drawing a kind, a box for each reading that is asked for, with the letter of its question."""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from itertools import product
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
import shapely
from shapely.geometry import Point, Polygon, box

from decalgen.commands.card import PAPERS as SIZES
from decalgen.commands.card import card_blocks, job_card
from decalgen.commands.questions import all_slots, panel_slots, reading_question
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill, Line
from decalgen.export import render
from decalgen.job.edits import values
from decalgen.pages.kind_drawings import RING, WIDE_RING
from decalgen.pages.obstacle_drawings import OBSTACLES
from decalgen.panels.registry import kinds, obstacle_kinds
from tests.helpers.page_words import Words, outside, overlaps, struck, words_of

OBSTACLE = {
    "rectangle": "{rectangle: [?, ?], at: [?, ?]}",
    "circle": "{circle: ?, at: [?, ?]}",
    "slot": "{slot: [?, ?], at: [?, ?]}",
    "line": "{line: [[?, ?], [?, ?], [?, ?]], width: ?}",
    "outline": "{outline: [[?, ?], [?, ?], [?, ?], [?, ?]]}",
    "wheel arch": "{circle: 15 mm, at: [?, -2 mm]}",
}
CORNERS = "[[?, ?], [?, ?], [?, ?], [?, ?], [?, ?]]"
MATCH = (
    "decals:\n  name:\n    panel: door\n    artwork:\n      - lettering: {text: FERRY, ink: black, match: "
    "{cap height: ?, length: 8.02 mm, stem: ?, crossbar: ?}}\n"
)


def keys_of(need: frozenset[str]) -> str:
    """A panel with these readings open."""
    return ", ".join(
        f"{key}: {'[[?, ?], [?, ?], [?, ?], [?, ?], [?, ?]]' if key == 'outline' else '?'}" for key in need
    )


def every_kind() -> dict[str, str]:
    """A panel for each way in which each kind is measured, with more keys that may stand beside those."""
    found = {
        f"{name} {n}": f"{{kind: {name}, {keys_of(need)}}}"
        for name, kind in kinds().items()
        for n, need in enumerate(kind.needs, 1)
        if name != "prototype"
    }
    found["bulging"] = "{outline: [[?, ?], [?, ?], [?, ?]], arc rises: [?, ?, ?]}"
    found["round"] = "{outline: [[?, ?], [?, ?], [?, ?], [?, ?], [?, ?], [?, ?], [?, ?]], arcs: [?, ?, ?, ?, ?, ?, ?]}"
    found["wrap"] = "{first face: ?, second face: ?, edge radius: ?, length: ?, turn: ?}"
    found["screen"] = "{width: ?, height: ?, run: ?, rise: ?}"
    found["boot"] = "{width: ?, height: ?, rise across: ?, chord across: ?, rise up: ?, chord up: ?}"
    found["bed"] = "{bottom width: ?, top width: ?, left inset: ?, height: ?}"
    return found


def job_of(panels: dict[str, str], more: str = "") -> str:
    rows = "".join(f"  {name}: {body}\n" for name, body in panels.items())
    return f"job: van\nbody: grey\npanels:\n{rows}{more}"


EVERY = every_kind()
HANDLES = {
    "door": "{width: 22.4 mm ± 0.05, height: ?, hand: left, obstacles: {"
    + ", ".join(f"{name}: {body}" for name, body in OBSTACLE.items())
    + "}}"
}
ROOF = {"roof": "{chord: ?, rise: ?, length: ?, obstacles: {vent: {circle: ?, at: [?, ?]}}}"}
CARDS = {
    "kinds": job_of(EVERY),
    "obstacles": job_of({**HANDLES, **ROOF}),
    "lettering": job_of({"door": "{width: 9 mm, height: ?}"}, MATCH),
    "many corners": job_of({"wing": "{outline: [" + ", ".join(["[?, ?]"] * 30) + "]}"}),
    "full size": "job: van\nbody: grey\nscale: '1:43'\npanels:\n  cab: {prototype: {width: 960 mm, height: 500 mm}}\n",
    "long names": job_of({f"a panel with a name of {n} that goes on and on to sixty": "{chord: ?, rise: ?, length: ?}"
                          for n in "abc"}),
}  # fmt: skip


def area(item: Contour) -> float:
    """That of the ring that a round outline would be."""
    x0, _, x1, _ = item.outline.polygon.bounds
    return math.pi * (RING if x1 - x0 < RING + WIDE_RING else WIDE_RING) ** 2


def ringed(document: Document) -> list[Words]:
    """The words that stand in a ring."""
    rings = [
        (n, item.outline.polygon)
        for n, page in enumerate(document.pages)
        for layer in page.layers
        for item in layer.items
        if isinstance(item, Contour) and item.outline.polygon.area == pytest.approx(area(item), rel=0.01)
    ]
    return [one for one in words_of(document) if any(one.page == n and ring.covers(one.box) for n, ring in rings)]


@pytest.mark.parametrize(("card", "size"), list(product(CARDS, SIZES)))
def test_words_keep_clear_of_each_other_of_lines_and_of_the_margin(card: str, size: str) -> None:
    document = job_card(CARDS[card], "Ferry van, harbour stores", *SIZES[size])
    found = words_of(document)
    margin = 12.0 if size != "A5" else 10.0
    assert not overlaps(found) and not outside(found, document, margin - 0.2)
    assert min(one.size for one in found) >= 8.0
    rings = ringed(document)
    for n, page in enumerate(document.pages):
        # A ring hides what runs through it, and its letter stands on that.
        assert not struck([one for one in found if one.page == n and one not in rings], page)
        for layer in page.layers:
            for item in layer.items:
                points = item.points if isinstance(item, Line) else ()
                assert all(margin - 0.2 < x < page.width - margin + 0.2 for x, _ in points)
                assert all(margin < y < page.height - margin for _, y in points)


def boxes_of(document: Document) -> list[tuple[int, float, float, float, float]]:
    """Every closed line of four corners: page, x, y of its foot, width, height."""
    found = []
    for n, page in enumerate(document.pages):
        for layer in page.layers:
            for item in layer.items:
                if isinstance(item, Line) and item.closed and len(item.points) == 4:
                    (x0, y0), (x1, y1) = item.points[0], item.points[2]
                    found.append((n, x0, y0, x1 - x0, y1 - y0))
    return found


def test_another_program_finds_the_boxes_too() -> None:
    document = job_card(CARDS["lettering"], "Ferry van", *SIZES["A5"])
    point = 25.4 / 72
    with pdfplumber.open(io.BytesIO(render(document, ".pdf")[0])) as pdf:
        sizes = [
            (item["width"] * point, item["height"] * point)
            for page in pdf.pages
            for item in (*page.rects, *page.curves)
        ]
    assert sum(size == pytest.approx((18.0, 8.0), abs=0.01) for size in sizes) == 3 * (2 + 4)


@pytest.mark.parametrize(("card", "size"), list(product(CARDS, SIZES)))
def test_three_boxes_for_each_reading_large_enough_for_a_pencil(card: str, size: str) -> None:
    document = job_card(CARDS[card], "Ferry van", *SIZES[size])
    boxes = boxes_of(document)
    readings = [one for one in boxes if one[3:] == pytest.approx((18.0, 8.0), abs=0.01)]
    rows = sum(len(part.rows) for block in card_blocks(CARDS[card]) for part in block.parts)
    whole: Any = values(CARDS[card])
    lettering = 0 if card == "lettering" else 4
    assert rows == len(all_slots(whole)) + lettering and len(readings) == 3 * rows
    # Date, instrument, resolution and expected error have boxes of their own.
    heads = [one for one in boxes if one[0] == 0 and one[4] == pytest.approx(8.0, abs=0.01) and one[3] > 20.0]
    assert len(heads) == 4
    areas = [(n, box(x, y, x + wide, y + high)) for n, x, y, wide, high in (*readings, *heads)]
    assert not [1 for a, b in product(areas, areas) if a[0] == b[0] and a is not b and a[1].intersects(b[1])]


@pytest.mark.parametrize("name", EVERY)
def test_every_letter_of_a_panel_stands_in_its_drawing_and_at_its_boxes(name: str) -> None:
    text = job_of({name: EVERY[name]})
    document = job_card(text, "Van")
    slots = panel_slots(values(text), name)
    counted = Counter(one.plain for one in ringed(document))
    wanted = Counter(slot.letter for slot in slots)
    for letter in set(wanted):
        # Once at each row, and once in the drawing; the block of lettering has a to d twice more.
        assert counted[letter] == wanted[letter] + 1 + 2 * (letter in "abcd"), letter
    assert all(reading_question(slot, ()).asked.startswith(f"({slot.letter}) ") for slot in slots)


@pytest.mark.parametrize("name", OBSTACLE)
def test_every_letter_of_an_obstacle_too(name: str) -> None:
    text = job_of({"door": f"{{width: 22 mm, height: 11 mm, obstacles: {{{name}: {OBSTACLE[name]}}}}}"})
    slots = [slot for slot in panel_slots(values(text), "door") if slot.path[2] == "obstacles"]
    counted = Counter(one.plain for one in ringed(job_card(text, "Van")))
    wanted = Counter(slot.letter for slot in slots)
    assert len(slots) == OBSTACLE[name].count("[?, ?]") * 2 + OBSTACLE[name].count(": ?") or name == "wheel arch"
    for letter in set(wanted):
        assert counted[letter] == wanted[letter] + 1 + 2 * (letter in "abcd"), letter


def test_every_kind_of_obstacle_is_drawn() -> None:
    assert set(obstacle_kinds()) < set(OBSTACLES)


@pytest.mark.parametrize(("name", "at", "drawn"), [("lamp", "-2 mm", "wheel arch"), ("lamp", "2 mm", "circle"),
                                                   ("rear arch", "?", "wheel arch")])  # fmt: skip
def test_a_circle_with_its_middle_below_the_foot_is_drawn_as_an_arch(name: str, at: str, drawn: str) -> None:
    text = job_of(
        {"door": f"{{width: 22 mm, height: 11 mm, obstacles: {{{name}: {{circle: 8 mm, at: [5 mm, {at}]}}}}}}"}
    )
    assert card_blocks(text)[0].parts[1].drawing == drawn


def test_the_order_is_that_of_a_hand_with_a_caliper() -> None:
    text = job_of(ROOF)
    (block, _) = card_blocks(text)
    asked = [(row.letter, row.name) for part in block.parts for row in part.rows]
    assert asked == [
        ("a", "chord"), ("b", "length"),
        ("c", "circle"), ("d", "at x"), ("e", "at y"),
        ("f", "rise"),
    ]  # fmt: skip
    assert [(slot.letter, slot.key) for slot in panel_slots(values(text), "roof")] == asked


def test_letters_are_never_ones_that_are_read_as_figures() -> None:
    text = CARDS["many corners"]
    letters = [slot.letter for slot in panel_slots(values(text), "wing")]
    assert len(set(letters)) == 30 and letters[0] == letters[1] == "a"
    assert not set("".join(letters)) & set("ilo")


def test_lettering_of_the_job_is_asked_for_by_its_words_and_else_once_in_blank() -> None:
    named = card_blocks(CARDS["lettering"])[-1]
    assert (named.name, [row.name for row in named.parts[0].rows]) == (
        "'FERRY'",
        ["cap height", "length", "stem", "crossbar"],
    )
    assert [row.so_far for row in named.parts[0].rows] == ["", "8.02 mm", "", ""]
    blank = card_blocks(CARDS["kinds"])[-1]
    assert blank.name == "Lettering left of an original" and len(blank.parts[0].rows) == 4


def test_what_a_reader_has_to_know_is_said() -> None:
    words = "".join(one.plain for one in words_of(job_card(CARDS["obstacles"], "Van")))
    for said in ("low-tack tape on the caliper's jaws", "date", "instrument", "it reads to", "± mm", "yes / no",
                 "so far 22.4 mm", "lower left corner"):  # fmt: skip
        assert said.replace(" ", "") in words, said


def test_each_obstacle_is_named_over_its_drawing() -> None:
    for size in SIZES.values():
        found = words_of(job_card(CARDS["obstacles"], "Van", *size))
        for name in OBSTACLE:
            (head,) = [one for one in found if one.plain == f"ondoor:{name}".replace(" ", "")]
            below = [one for one in ringed_words(found, head) if one.box.bounds[3] < head.box.bounds[1]]
            assert below and head.box.distance(below[0].box) < 60.0, name


def ringed_words(found: list[Words], head: Words) -> list[Words]:
    """Single letters on the page of a heading, from it down."""
    letters = [one for one in found if one.page == head.page and len(one.plain) in (1, 2) and one.plain.islower()]
    return sorted(letters, key=lambda one: -one.box.bounds[3] if one.box.bounds[3] < head.box.bounds[1] else 1e3)


def test_rows_that_no_page_holds_go_on_under_the_name_of_their_panel() -> None:
    document = job_card(CARDS["many corners"], "Van", *SIZES["A5"])
    found = words_of(document)
    heads = [one.plain for one in found if one.plain.startswith("1wing")]
    assert heads[0] == "1wing" and heads[1:] and set(heads[1:]) == {"1wing,continued"}
    assert len({one.page for one in found if one.plain.startswith("1wing")}) == len(heads)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", CARDS)
def test_no_heading_stands_alone_at_the_foot_of_a_page(name: str, size: str) -> None:
    """Below each there is at least the first row of its panel: 10 mm of it, over the foot."""
    found = [one for one in words_of(job_card(CARDS[name], "Van", *SIZES[size])) if one.size != style.TYPE_SMALL]
    heads = [one for one in found if one.size == style.TYPE_FIND and re.match(r"\d+[^\W\d]", one.plain)]
    assert heads
    for head in heads:
        lower = [one.box.bounds[1] for one in found if one.page == head.page]
        assert min(lower) < head.box.bounds[1] - 10.0, (head.text, head.page)


def test_it_is_good_in_grey() -> None:
    """Lines are dark, and shading is light enough for a line and a letter on it."""
    from decalgen.colour.typed import parse

    document = job_card(CARDS["obstacles"], "Van")
    for page in document.pages:
        for layer in page.layers:
            for item in layer.items:
                if isinstance(item, Line | Contour):
                    assert parse(item.colour).lab[0] < 45.0
                elif isinstance(item, Fill):
                    assert parse(item.colour).lab[0] > 80.0


def test_a_ring_hides_the_line_under_it() -> None:
    document = job_card(job_of({"door": "{width: ?, height: ?}"}), "Van")
    items = [item for layer in document.pages[0].layers for item in layer.items]
    rings = [n for n, item in enumerate(items) if isinstance(item, Contour)]
    for n in rings:
        ground = items[n - 1]
        middle = Point(items[n].outline.polygon.centroid)  # type: ignore[union-attr]
        assert isinstance(ground, Fill) and ground.colour == "#ffffff" and ground.region.contains(middle)


@pytest.mark.parametrize("name", ["gannet", "h9", "ostmerrow", "dravenhoe"])
@pytest.mark.parametrize("size", SIZES)
def test_no_page_but_the_last_is_a_third_blank(name: str, size: str, repository: Path) -> None:
    document = job_card((repository / "demo" / f"{name}.yaml").read_text("utf-8"), "Van", *SIZES[size])
    found = [one for one in words_of(document) if not one.plain.startswith(("eachletter", "page"))]
    for n, page in enumerate(document.pages[:-1]):
        lowest = min(
            *(one.box.bounds[1] for one in found if one.page == n),
            *(y for at, _, y, *_ in boxes_of(document) if at == n),
        )
        assert lowest < page.height / 3, n


@pytest.mark.parametrize("size", SIZES)
def test_the_boxes_of_a_reading_are_at_its_own_words(size: str) -> None:
    """Nearer to them than to the words of any other reading, in a row with them or under them."""
    document = job_card(CARDS["lettering"], "Van", *SIZES[size])
    found = words_of(document)
    names = {one.plain: _with_the_line_under_it(one, found) for one in found if one.size == style.TYPE_BODY}
    asked = ["width", "height", "capheight", "length", "stem", "crossbar"]
    rows = sorted({(n, -y) for n, _, y, wide, high in boxes_of(document) if (round(wide), round(high)) == (18, 8)})
    assert len(rows) == len(asked)
    for (n, down), name in zip(rows, asked, strict=True):
        row = box(0.0, -down, document.pages[0].width, -down + 8.0)
        apart = {other: names[other][1].distance(row) for other in asked if names[other][0] == n}
        nearest, other = sorted(apart, key=lambda one: apart[one])[:2]
        assert nearest == name and apart[other] > max(1.5 * apart[name], apart[name] + 1.0), apart


def _with_the_line_under_it(name: Words, found: list[Words]) -> tuple[int, Polygon]:
    """The page, and a box round what a reading is called and what that means."""
    x0, y0, *_ = name.box.bounds
    under = [one.box for one in found if one.page == name.page and abs(one.box.bounds[0] - x0) < 0.5]
    about = [one for one in under if 0.0 < y0 - one.bounds[3] < 2.0]
    return name.page, shapely.union_all([name.box, *about]).envelope


def test_what_was_read_so_far_stands_in_the_line_of_its_reading() -> None:
    for size in SIZES:
        found = words_of(job_card(CARDS["lettering"], "Van", *SIZES[size]))
        (length,) = [one for one in found if one.plain == "length"]
        (so_far,) = [one for one in found if one.plain == "sofar8.02mm"]
        assert abs(length.box.bounds[1] - so_far.box.bounds[1]) < 1.0 and so_far.colour == style.TEXT
