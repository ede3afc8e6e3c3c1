"""Words on every page the tool makes: none on another, none in the margin, none too small, none grey that is to be
read, no signs of Markdown. Read back from the finished documents (`tests.helpers.page_words`), once by another program.

Each page is tried on A4, A5 and Letter where it has the size of film or paper, with the demo's jobs, crowded ones and
ones with long names.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import box

from decalgen.artwork.drawn import artworks
from decalgen.colour.inks import ink
from decalgen.colour.palette import PALETTE
from decalgen.commands.card import job_card
from decalgen.commands.draw import pictures
from decalgen.commands.inputs import load_jobs
from decalgen.commands.lists import layout_picture, shape_picture
from decalgen.core import style
from decalgen.core.cautions import cautions_for
from decalgen.core.document import Document, Fill, Use
from decalgen.core.instruments import line_instrument
from decalgen.export import render
from decalgen.job.colours import printer_colour
from decalgen.job.model import Job, Printer
from decalgen.lettering.faces import faces
from decalgen.pages.calibration_target import target_page
from decalgen.pages.drawer_sheet import carrier_page, sheet_page
from decalgen.pages.faces import specimen_page
from decalgen.pages.film import final
from decalgen.pages.guide import GuideMade, guide_pages
from decalgen.pages.guide_sides import GuideSide, guide_sides
from decalgen.pages.key import key_pages
from decalgen.pages.kind_drawings import kinds_picture
from decalgen.pages.overview import overview
from decalgen.pages.proof import proof
from decalgen.pages.swatches import swatch_pages
from decalgen.pages.work_card import work_cards
from decalgen.printer.target import target
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.film_area import printable
from decalgen.sheet.pieces import pieces
from decalgen.sheet.plan import Plan
from tests.core.test_style import contrast
from tests.helpers import jobs
from tests.helpers.drawers import BOTTOM, HOLE, NOTCH, owned
from tests.helpers.page_words import Words, outside, overlaps, words_of
from tests.helpers.paper_jobs import crowded_job

SIZES = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}
MARGINS = {"A4": 12.0, "A5": 10.0, "Letter": 12.0}
"""Of paper, mm."""
SETS = ("demo", "crowded", "long names", "one small job")
REPOSITORY = Path(__file__).resolve().parents[2]
PRINTER = jobs.PRINTER
LEAST = 8.0


@lru_cache
def job_set(name: str) -> tuple[Job, ...]:
    if name == "demo":
        return tuple(
            load_jobs([REPOSITORY / "demo" / f"{one}.yaml" for one in ("gannet", "h9", "ostmerrow", "dravenhoe")])
        )
    if name == "crowded":
        return (crowded_job(3, "tug"), crowded_job(8, "van"))
    if name == "long names":
        return (crowded_job(5, "tug", most=3, long=True), crowded_job(6, "van", most=3, long=True))
    field = jobs.element("field", ink="orange")
    return (jobs.job(jobs.decal("band", 20.0, 6.0, field), jobs.decal("aid", 4.0, 4.0, field, hands="both")),)


@lru_cache
def layout(name: str, size: str) -> Arrangement:
    width, height = SIZES[size]
    films = [jobs.film(kind, width, height) for kind in ("white", "clear")]
    return arrange(list(job_set(name)), Plan(films, PRINTER, effort=jobs.ONE_ORDER, hands="both", seed=1))


def title_of(name: str) -> str:
    return ", ".join(job.title for job in job_set(name))


# ------------------------------------------------------------------------------------------------- the pages by name
@lru_cache
def made(page: str, name: str, size: str) -> Document:
    """One kind of page for one set of jobs on one size of paper."""
    return PAGES[page](name, size)


def _key(name: str, size: str) -> Document:
    return Document(tuple(key_pages(layout(name, size), job_set(name))), title="key")


def _target(name: str, size: str) -> Document:
    width, height = SIZES[size]
    tool = "steel rule" if name in ("crowded", "one small job") else "caliper"
    asked = target(width - 10, height - 15, line_instrument(tool))
    words = f"{'a printer with a long name, ' if name == 'long names' else ''}white {size}"
    return target_page(asked, width, height, (5, 10, width - 5, height - 5), words)


def _swatches(name: str, size: str) -> Document:
    width, height = SIZES[size]
    count = {"demo": 9, "crowded": len(PALETTE), "long names": 12, "one small job": 1}[name]
    inks = [ink(one) for one in list(PALETTE)[:count]]
    if name == "long names":
        inks = [replace(one, name=f"{one.name} as mixed for the upper side of the van") for one in inks]
    printer = replace(PRINTER, white=name != "demo")
    film = jobs.film("clear", width, height)
    documents = swatch_pages(inks, printer_colour(printer), printer, film, printable(film, printer))
    return Document(tuple(page for _, one in documents for page in one.pages), title="swatches")


def _drawer(name: str, size: str) -> Document:
    width, height = SIZES[size]
    parts = {"demo": (NOTCH, HOLE), "crowded": (BOTTOM, HOLE), "long names": (HOLE,), "one small job": ()}[name]
    more = {"note": "bought from somebody who kept it in a damp cellar for years"} if name == "long names" else {}
    sheet = owned(*parts, why="printed" if name == "demo" else "cut off", width=width, height=height, **more)
    pages = sheet_page(sheet).pages
    return Document((*pages, *carrier_page(sheet).pages), title="drawer")


def _card(name: str, size: str) -> Document:
    """The cards of the demo's jobs, with their readings, or with sizes that are still open."""
    names = ("gannet", "h9", "dravenhoe") if name == "demo" else ("gannet", "ostmerrow")
    texts = [(REPOSITORY / "demo" / f"{one}.yaml").read_text("utf-8") for one in names]
    if name != "demo":
        texts = [re.sub(r"(width|height|chord|rise|length): \d[\d.]* mm(?: ± [\d.]+)?", r"\1: ?", one) for one in texts]
    pages = [page for text in texts for page in job_card(text, title_of(name), *SIZES[size]).pages]
    return Document(tuple(pages), title="card")


@lru_cache
def sides_of(name: str) -> list[tuple[Job, tuple[GuideSide, ...]]]:
    """Every job with its sides, which are the same on any paper."""
    return [(job, guide_sides(job, pieces([job], PRINTER))) for job in job_set(name)]


def _guide(name: str, size: str) -> Document:
    """The guides of all jobs, with every caution."""
    found = []
    for job, sides in sides_of(name):
        cautions = cautions_for({"paint", "lacquer", "waterslide", "laser", "emblem"}, bench=True)
        found += guide_pages(GuideMade(job.title, sides, cautions, title_of(name)), *SIZES[size]).pages
    return Document(tuple(found), title="guide")


PAGES: dict[str, Callable[[str, str], Document]] = {
    "film": lambda name, size: final(layout(name, size), title_of(name), None),
    "proof": lambda name, size: proof(layout(name, size), job_set(name), title_of(name), None, 0.0015, "ABCDE"),
    "key": _key,
    "card": _card,
    "guide": _guide,
    "work card": lambda name, size: work_cards(layout(name, "A5"), job_set(name), *SIZES[size]),
    "target": _target,
    "swatches": _swatches,
    "drawer": _drawer,
}
SAME = {("card", "one small job"), ("target", "one small job")}
"""Those that have the words of the crowded set."""
CASES = [(name, size, page) for name in SETS for size in SIZES for page in PAGES if (page, name) not in SAME]
"""Neighbours share a layout, so that each is made but once where tests run on several cores."""


def in_marks(document: Document) -> Iterator[Words]:
    """Lettering in the waste of film: numbers and the words of furniture, each one area."""
    for n, page in enumerate(document.pages):
        for layer in page.layers:
            if layer.purpose == "marks":
                for item in layer.items:
                    if isinstance(item, Fill) and item.region.bounds[3] - item.region.bounds[1] > 0.7:
                        yield Words(n, "(marks)", 0.0, item.colour, box(*item.region.bounds), True)


@pytest.mark.parametrize(("name", "size", "page"), CASES)
def test_words_lie_apart_off_the_margin_and_large_enough(name: str, size: str, page: str) -> None:
    document = made(page, name, size)
    found = words_of(document)
    assert found or page == "film"
    on_each_other = overlaps([*found, *in_marks(document)])
    assert [(one.text, other.text, one.page) for one, other in on_each_other] == []
    assert [(words.text, words.page) for words in in_margin(page, size, document, found)] == []
    assert [(words.text, words.size) for words in found if words.size < LEAST] == []
    grey = [words for words in found if words.size > style.TYPE_SMALL and words.colour == style.QUIET]
    assert [words.text for words in grey] == [], "grey, though it is to be read"
    # WCAG 2.2, 1.4.3, and as good without colour: contrast is reckoned of luminance.
    assert [words.text for words in found if contrast(words.colour, style.PAPER) < 4.5] == []
    assert [words.text for words in found if "`" in words.text or "**" in words.text] == []


def in_margin(page: str, size: str, document: Document, found: list[Words]) -> list[Words]:
    """Paper has the margin of its size; what is printed as film is, has the printer's."""
    if page in ("key", "card", "guide", "work card"):
        # Tails of letters on the lowest line may reach 0.6 mm further down.
        return outside(found, document, MARGINS[size] - 0.6)
    left, right, low, high = PRINTER.margins
    low = 5.0 if page == "drawer" else low
    sheets = [box(left, low, one.width - right, one.height - high).buffer(0.01) for one in document.pages]
    return [words for words in found if not sheets[words.page].covers(words.box)]


# -------------------------------------------------------------------------------------------------------- pictures
@lru_cache
def drawn(name: str) -> dict[str, Document]:
    white = Printer("white", "inkjet", (5.0, 5.0, 5.0, 5.0), white=True)
    found: dict[str, Document] = {}
    for job in job_set(name):
        printer = white if name == "crowded" else PRINTER
        found |= pictures(job, list(artworks(job, printer.white)), printer, marked=True)
    return found


@pytest.mark.parametrize("name", SETS)
def test_pictures_keep_their_words_apart_and_are_of_one_width(name: str) -> None:
    documents = drawn(name)
    assert len(documents) > 5
    for key, document in documents.items():
        found = words_of(document)
        assert [(one.text, other.text) for one, other in overlaps(found)] == [], key
        assert not [words.text for words in outside(found, document, 1.5)], key
        assert min(words.size for words in found) >= LEAST, key
        assert {page.width for page in document.pages} == {158.0}, f"{key}: its type would be shown in another size"
        assert not [words.text for words in found if words.colour == style.QUIET], key


@pytest.mark.parametrize("name", ["demo", "one small job"])
def test_the_overview_keeps_its_words_apart(name: str) -> None:
    made_of = {job.name: list(artworks(job, False)) for job in job_set(name)}
    document = overview(layout(name, "A5"), job_set(name), made_of)
    found = words_of(document)
    assert found and not overlaps(found) and not outside(found, document, 5.0)
    assert min(words.size for words in found) >= LEAST


@pytest.mark.parametrize("text", ["HARBOUR STORES 147", "A", "Straßenwacht der Grafschaft Nordmark ÄÖÜ 1234567890"])
def test_the_specimen_of_faces_keeps_its_words_apart(text: str) -> None:
    document = specimen_page(text)
    found = words_of(document)
    assert len(found) >= 2 * len(faces()) and not overlaps(found) and not outside(found, document, 10.0)
    assert min(words.size for words in found) >= LEAST


def test_the_picture_of_kinds_keeps_its_words_apart() -> None:
    document = kinds_picture([("flat", "a plain side"), ("cylinder", "bent one way"), ("dome", "bent both ways")])
    found = words_of(document)
    assert found and not overlaps(found) and not outside(found, document, 1.5)


@pytest.mark.parametrize("made_of", [shape_picture, layout_picture])
def test_pictures_of_shapes_and_layouts_keep_their_words_apart(made_of: Callable[[], Document]) -> None:
    document = made_of()
    found = words_of(document)
    assert len(found) > 20 and not overlaps(found) and not outside(found, document, 5.0)
    assert min(words.size for words in found) >= LEAST and document.pages[0].width == 158.0
    pictures_ = [item for item in document.pages[0].layers[0].items if isinstance(item, Use)]
    for one in pictures_:
        a, _, _, d, e, f = one.matrix
        for fill in one.symbol.items:
            if isinstance(fill, Fill) and not fill.region.is_empty:
                x0, y0, x1, y1 = fill.region.bounds
                drawn_ = box(e + a * x0, f + d * y0, e + a * x1, f + d * y1)
                assert not [words.text for words in found if words.box.intersects(drawn_)]


# ------------------------------------------------------------------------------------------------ by another program
@pytest.mark.needs("pdftoppm")
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", ["key", "target", "swatches"])
def test_nothing_is_printed_in_the_margin_as_poppler_draws_it(page: str, size: str, tmp_path: Path) -> None:
    data = render(made(page, "crowded", size), ".pdf")[0]
    (tmp_path / "page.pdf").write_bytes(data)
    subprocess.run(["pdftoppm", "-r", "60", "-gray", tmp_path / "page.pdf", tmp_path / "page"], check=True)
    margin = (MARGINS[size] if page == "key" else 5.0) - 0.8
    edge = int(margin / 25.4 * 60)
    pages = sorted(tmp_path.glob("page*.pgm"))
    assert pages
    for path in pages:
        grey = np.asarray(Image.open(path))
        assert grey.min() < 128, "the page is blank"
        inside = np.zeros(grey.shape, dtype=bool)
        inside[edge:-edge, edge:-edge] = True
        assert grey[~inside].min() > 200, path.name
