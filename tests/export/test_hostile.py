"""Pages no exporter may write, and text no file may break on: one clear message, or a file that still opens."""

from __future__ import annotations

import math
from dataclasses import replace
from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pdfplumber
import pikepdf
import pytest
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.document import Contour, Document, Fill, Item, Layer, Line, Page, Symbol, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Outline, Segment, rectangle, translation
from decalgen.export import render
from tests.export.documents import NAVY, document

ENDINGS = (".pdf", ".svg", ".png")
NAN, INF = math.nan, math.inf
SQUARE = Fill(rectangle(10, 10, 20, 20), NAVY)

with np.errstate(invalid="ignore"):
    BAD_ITEMS: dict[str, Item] = {
        "no number": Fill(Polygon([(0, 0), (NAN, 1), (1, 1)]), NAVY),
        "endless": Fill(Polygon([(0, 0), (INF, 1), (1, 1)]), NAVY),
        "far away": Fill(rectangle(0, 0, 1e9, 1), NAVY),
        "in a second part": Fill(MultiPolygon([rectangle(0, 0, 1, 1), Polygon([(5, 5), (6, NAN), (6, 6)])]), NAVY),
        "line": Line(((0, 0), (NAN, 1)), 0.1, NAVY),
        "outline": Contour(
            Outline((Segment((0, 0), (1, 0)), Segment((1, 0), (NAN, 1)), Segment((NAN, 1), (0, 0)))),
            0.1,
            NAVY,
        ),
        "in a symbol": Use(Symbol("s", (Fill(Polygon([(0, 0), (NAN, 1), (1, 1)]), NAVY),))),
        "placement": Use(Symbol("s", (SQUARE,)), translation(NAN, 0)),
        "colour word": Fill(rectangle(0, 0, 1, 1), "navy"),
        "colour with a sign": Fill(rectangle(0, 0, 1, 1), "#-12345"),
        "line colour": Line(((0, 0), (1, 1)), 0.1, "#12"),
        "no width": Line(((0, 0), (1, 1)), 0.0, NAVY),
        "width no number": Line(((0, 0), (1, 1)), NAN, NAVY),
        "dash of nothing": Line(((0, 0), (1, 1)), 0.1, NAVY, dash=(1.0, 0.0)),
        "opacity above one": Fill(rectangle(0, 0, 1, 1), NAVY, opacity=1.5),
        "opacity no number": Fill(rectangle(0, 0, 1, 1), NAVY, opacity=NAN),
        "key with a blank": Use(Symbol("a b", (SQUARE,))),
        "key beyond ASCII": Use(Symbol("\u00e9", (SQUARE,))),
    }


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("item", BAD_ITEMS.values(), ids=BAD_ITEMS.keys())
def test_what_cannot_be_drawn_is_refused_with_a_fix(item: Item, ending: str) -> None:
    with pytest.raises(DecalgenError) as caught:
        render(document(SQUARE, item), ending)
    assert caught.value.message and caught.value.fix


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("size", [(0, 10), (10, -1), (NAN, 10), (INF, 10), (10, 6000)])
def test_a_page_without_a_size_is_refused(size: tuple[float, float], ending: str) -> None:
    with pytest.raises(DecalgenError, match="page cannot be"):
        render(document(SQUARE, size=size), ending)


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("scale", [(0, 1), (1, NAN), (-1, 1), (1, 3)])
def test_a_correction_no_printer_needs_is_refused(scale: tuple[float, float], ending: str) -> None:
    with pytest.raises(DecalgenError, match="correction"):
        render(document(SQUARE, scale=scale), ending)


def test_one_key_for_two_drawings_is_refused_but_equal_drawings_may_share_it() -> None:
    one = Use(Symbol("s", (SQUARE,)))
    same = Use(Symbol("s", (Fill(rectangle(10, 10, 20, 20), NAVY),)))
    other = Use(Symbol("s", (Fill(rectangle(10, 10, 20, 21), NAVY),)))
    for ending in ENDINGS:
        assert render(document(one, same), ending)
        with pytest.raises(DecalgenError, match="symbol key 's'"):
            render(document(one, other), ending)


@pytest.mark.parametrize("date", ["14.5.2026", "yesterday", "2026-13-01"])
def test_a_date_that_is_none_is_refused(date: str) -> None:
    with pytest.raises(DecalgenError, match="is not a date"):
        render(replace(document(SQUARE), date=date), ".pdf")


@pytest.mark.parametrize("trim", [(300, 10, 400, 20), (20, 10, 10, 20), (NAN, 0, 10, 10)])
def test_a_trim_off_the_page_is_refused(trim: tuple[float, float, float, float]) -> None:
    page = Page(100, 100, (), trim=trim)
    with pytest.raises(DecalgenError):
        render(Document((page,), "off"), ".pdf")


def test_fills_without_area_are_left_out() -> None:
    flat = Fill(Polygon([(50, 50), (60, 50), (70, 50)]), NAVY)
    both = Fill(MultiPolygon([rectangle(30, 30, 31, 31), Polygon([(1, 1), (2, 2), (3, 3)])]), NAVY)
    (pdf,) = render(document(flat, Fill(MultiPolygon(), NAVY), SQUARE, both), ".pdf")
    with pdfplumber.open(BytesIO(pdf)) as opened:
        page = opened.pages[0]
        assert len(page.rects) + len(page.curves) + len(page.lines) == 2
    (svg,) = render(document(flat, Fill(MultiPolygon(), NAVY), SQUARE, both), ".svg")
    assert svg.count(b"<path") == 2
    assert svg.count(b"M") == 2


def test_a_symbol_with_nothing_in_it_is_placed_nowhere() -> None:
    nothing = Symbol("nothing", (Fill(MultiPolygon(), NAVY),))
    (pdf,) = render(document(Use(nothing), Use(Symbol("empty", ()))), ".pdf")
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert "/XObject" not in opened.pages[0].Resources


TEXTS = (
    "",
    "plain",
    "(un)balanced) \\ paren",
    "Poste d'\u00e9t\u00e9",
    "\u2116 14 \U0001f69a",
    "<script>&\"']]>",
    "a\x00b\x1bc",
    "\ud800 alone",
)


@pytest.mark.parametrize("text", TEXTS)
def test_no_text_breaks_a_file(text: str) -> None:
    layer = Layer(text, (replace(SQUARE, ink=text),), "artwork")
    strange = Document(
        (Page(50, 50, (layer,)),),
        text,
        text,
        (text, text),
        language=text,
        extra=((text, text), ("note", text)),
    )
    (pdf,) = render(strange, ".pdf")
    with pikepdf.open(BytesIO(pdf)) as opened:
        found = str(opened.docinfo.get("/Title", ""))
        assert found == text.encode("utf-16", "replace").decode("utf-16")
    (svg,) = render(strange, ".svg")
    root = ElementTree.fromstring(svg)
    assert [e.tag.rsplit("}", 1)[1] for e in root.iter()].count("path") == 1
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    (png,) = render(strange, ".png", dpi=72)
    assert png.startswith(b"\x89PNG")


@pytest.mark.parametrize("key", ["Trapped", "title", "creation date", "", "\u00e9"])
def test_an_extra_note_never_replaces_what_the_file_says_of_itself(key: str) -> None:
    plain = replace(document(SQUARE), extra=())
    (pdf,) = render(replace(plain, extra=((key, "overwritten"),)), ".pdf")
    with pikepdf.open(BytesIO(pdf)) as opened:
        for name in ("/Title", "/CreationDate", "/ModDate", "/Trapped"):
            assert str(opened.docinfo.get(name, "")) != "overwritten"
