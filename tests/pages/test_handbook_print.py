"""A small handbook of two chapters, printed: what its parts are, and that PDF and HTML keep what they promise."""

from __future__ import annotations

import base64
import re
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from fontTools.ttLib import TTFont
from PIL import Image
from reportlab.pdfbase.pdfmetrics import stringWidth
from shapely.geometry import Polygon

from decalgen.core.document import Document, Fill, Layer, Page, Symbol, Use
from decalgen.core.errors import InputError
from decalgen.core.geometry import rectangle
from decalgen.pages.handbook import Chapter
from decalgen.pages.handbook.book import Book, book, index_terms, letter_of, sort_key
from decalgen.pages.handbook.fonts import font_file, letters
from decalgen.pages.handbook.html import html
from decalgen.pages.handbook.parts import (
    BookCode,
    BookHeading,
    BookList,
    BookPicture,
    BookTable,
    BookText,
    Words,
    parts,
)
from decalgen.pages.handbook.pdf import pdf
from decalgen.pages.handbook.pdf_flow import folded
from decalgen.pages.handbook.pdf_look import BOOK, FORMS, paper_form
from decalgen.pages.handbook.picture_flow import fitting_scale

SOAK = """# Soak

A decal soaks in **lukewarm water** until it moves; see [Slide](20-slide.md#by-hand).

## How long

<!-- index: time; water -->

Read `decalgen <here>` & there.

- one
- two
  more

1. first

```yaml
job: tug
  deeper: yes
```

<!-- picture: square | A square. -->

<!-- index: rows -->

| tool | use |
|---|---|
| brush: soft | wet it<br>well |
| `decalgen film add FILM` | add |
"""
SLIDE = "# Slide\n\nSlide it from its paper.\n\n## By hand\n\nUse Ärmel and **water**.\n\n" + "Wait. " * 900 + "\n"


def chapter(name: str, text: str) -> Chapter:
    return Chapter(name, text.split("\n", 1)[0][2:], Path(f"{10 if name == 'soak' else 20}-{name}.md"), text)


def square() -> Document:
    symbol = Symbol("one-square", (Fill(rectangle(0, 0, 20, 20), "#127077"),))
    page = Page(400.0, 40.0, (Layer("Picture", (Use(symbol, (1, 0, 0, 1, 5, 5)), *symbol.items)),))
    return Document((page,), "A square")


@pytest.fixture(scope="module")
def small() -> Book:
    texts = [(chapter("soak", SOAK), SOAK), (chapter("slide", SLIDE), SLIDE)]
    return book(texts, {"square": square(), "cover": square()}, "9.9.9")


@pytest.fixture(scope="module")
def printed(small: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("handbook") / "small.pdf"
    path.write_bytes(pdf(small, "A5"))
    return path


@pytest.fixture(scope="module")
def shown(small: Book) -> str:
    return html(small).decode("utf-8")


def text_of(path: Path) -> list[str]:
    """The text of each page."""
    done = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True)
    return done.stdout.split("\f")[:-1]


# ------------------------------------------------------------------------------------------------------------- parts
def test_every_part_of_a_chapter_is_read() -> None:
    found = parts(chapter("soak", SOAK))
    assert [type(part) for part in found] == [
        BookHeading,
        BookText,
        BookHeading,
        BookText,
        BookList,
        BookList,
        BookCode,
        BookPicture,
        BookTable,
    ]
    head, first, section, second, _, numbered, code, picture, table = found
    assert head == BookHeading(1, "Soak", "soak") and section == BookHeading(2, "How long", "soak-how-long")
    assert isinstance(first, BookText) and first.terms == ("lukewarm water",)
    assert first.prose[-2] == Words("Slide", href="#slide-by-hand")
    assert isinstance(second, BookText) and second.terms == ("time", "water")
    assert isinstance(numbered, BookList) and numbered.numbered
    assert code == BookCode("yaml", "job: tug\n  deeper: yes") and picture == BookPicture("square", "A square.")
    assert isinstance(table, BookTable) and table.indexed and len(table.rows) == 2


def test_terms_of_several_comments_and_bold_words_come_together() -> None:
    text = "# Soak\n\n<!-- index: time -->\n\n<!-- index: water -->\n\nA **bath**.\n\nNo more.\n"
    _, first, second = parts(chapter("soak", text))
    assert isinstance(first, BookText) and first.terms == ("time", "water", "bath")
    assert isinstance(second, BookText) and second.terms == ()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("<!-- table: nothing here -->", "neither"),
        ("<div>HTML</div>", "neither"),
        ("See [it](../README.md).", "leads to no chapter"),
        ("![picture](a.png)", "image"),
        ("> quoted", "blockquote"),
        ("An <b>inline</b> tag.", "html_inline"),
    ],
)
def test_what_a_chapter_may_not_hold_is_refused_with_its_file(wrong: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as refused:
        parts(chapter("soak", f"# Soak\n\n{wrong}\n"))
    assert "10-soak.md" in str(refused.value)


@pytest.mark.parametrize("link", ["20-slide.md#by-foot", "30-gone.md", "#nowhere"])
def test_a_link_that_leads_nowhere_is_refused(link: str) -> None:
    text = f"# Soak\n\nSee [it]({link}).\n"
    with pytest.raises(InputError, match="has no place"):
        book([(chapter("soak", text), text), (chapter("slide", SLIDE), SLIDE)], {}, "1")


def test_a_link_in_a_list_or_a_table_is_looked_at_too() -> None:
    for text in ("# Soak\n\n- [it](#gone)\n", "# Soak\n\n| a | b |\n|---|---|\n| c | [it](#gone) |\n"):
        with pytest.raises(InputError, match="has no place"):
            book([(chapter("soak", text), text)], {}, "1")


def test_a_picture_that_nobody_draws_is_refused() -> None:
    with pytest.raises(InputError, match="'square'"):
        book([(chapter("soak", SOAK), SOAK), (chapter("slide", SLIDE), SLIDE)], {}, "1")


# ------------------------------------------------------------------------------------------------------------- index
def test_the_index_has_each_term_once_in_the_order_of_the_alphabet(small: Book) -> None:
    assert index_terms(small) == ("brush", "decalgen film add", "lukewarm water", "time", "water")


def test_terms_are_sorted_without_regard_to_case_accents_and_signs() -> None:
    assert sorted(["zinc", "Ärmel", "±", "arm", "`body`"], key=sort_key) == ["±", "arm", "Ärmel", "`body`", "zinc"]
    assert [letter_of(term) for term in ("Ärmel", "±", "`body`", "3 mm")] == ["A", "#", "B", "#"]


# --------------------------------------------------------------------------------------------------------------- PDF
@pytest.mark.needs("pdftotext")
def test_the_words_of_the_pdf_can_be_searched(printed: Path) -> None:
    pages = text_of(printed)
    whole = " ".join(" ".join(pages).split())
    for words in (
        "The decalgen handbook",
        "A decal soaks in lukewarm water",
        "decalgen <here>",
        "Ärmel",
        "decalgen 9.9.9",
    ):
        assert words in whole


@pytest.mark.needs("pdffonts")
def test_the_paper_face_is_embedded_in_two_weights_and_no_other_font_is_named(printed: Path) -> None:
    done = subprocess.run(["pdffonts", printed], capture_output=True, text=True, check=True)
    rows = [line.split() for line in done.stdout.splitlines()[2:]]
    assert sorted(row[0].split("+")[1] for row in rows) == ["Archivo-Bold", "Archivo-Book"]
    # emb sub uni: in the file, only what is used, and with what each letter is.
    assert all(row[-5:-2] == ["yes", "yes", "yes"] for row in rows)


@pytest.mark.needs("pdftotext")
def test_contents_outline_and_index_name_the_page_where_it_is(printed: Path) -> None:
    pages = text_of(printed)
    with pikepdf.open(printed) as file:
        numbers = {page.objgen: n for n, page in enumerate(file.pages, 1)}
        with file.open_outline() as outline:
            found = {item.title: item for top in outline.root for item in (top, *top.children)}
        at = {title: numbers[pikepdf.Page(item.destination[0]).objgen] for title, item in found.items()}
    assert list(at) == ["Contents", "Soak", "How long", "Slide", "By hand", "Index"]
    contents = pages[at["Contents"] - 1]
    for title in ("Soak", "How long", "Slide", "By hand", "Index"):
        assert re.search(rf"{title} +{at[title]}$", contents, re.MULTILINE), title
        assert title in pages[at[title] - 1]
    (index,) = [page for page in pages if re.search(r"^\W*Index", page) and "lukewarm" in page]
    assert re.search(rf"lukewarm water +{at['Soak']}\b", index)
    assert re.search(rf"water +{at['Soak']}, {at['Slide']}\b", index)


def test_every_link_of_the_pdf_leads_to_a_page_of_it(printed: Path) -> None:
    with pikepdf.open(printed) as file:
        names = {str(name) for name in file.Root.Dests} if "/Dests" in file.Root else set()
        tree = pikepdf.NameTree(file.Root.Names.Dests) if "/Names" in file.Root else {}
        links = [note for page in file.pages for note in page.get("/Annots", []) if note.Subtype == "/Link"]
        assert len(links) > 8
        for note in links:
            target = note.get("/Dest")
            assert isinstance(target, pikepdf.Array) or str(target) in names or str(target) in tree


def test_it_says_what_it_is_and_in_which_language(printed: Path) -> None:
    with pikepdf.open(printed) as file:
        assert file.docinfo["/Title"] == "The decalgen handbook" and file.Root.Lang == "en"
        assert "decalgen 9.9.9" in str(file.docinfo["/Creator"])


@pytest.mark.parametrize(("name", "size"), [("A4", (595.28, 841.89)), ("a5", (419.53, 595.28)), ("Letter", (612, 792))])
def test_papers_have_their_sizes(small: Book, name: str, size: tuple[float, float]) -> None:
    """ISO 216 and ANSI/ASME Y14.1, in points."""
    with pikepdf.open(BytesIO(pdf(small, name))) as file:
        for page in file.pages:
            assert [float(one) for one in page.mediabox[2:]] == pytest.approx(size, abs=0.01)


def test_another_paper_is_refused_with_those_there_are() -> None:
    with pytest.raises(InputError) as refused:
        paper_form("A3")
    assert all(name in refused.value.fix for name in FORMS)


@pytest.mark.needs("pdftotext")
@pytest.mark.parametrize("name", list(FORMS))
def test_nothing_is_set_outside_the_margins(small: Book, name: str, tmp_path: Path) -> None:
    path = tmp_path / "book.pdf"
    path.write_bytes(pdf(small, name))
    form = FORMS[name]
    done = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True)
    boxes = [
        [float(one) for one in found] for found in re.findall(r'xMin="(.+?)" yMin="(.+?)" xMax="(.+?)"', done.stdout)
    ]
    assert len(boxes) > 500
    for left, _, right in boxes:
        assert form.margin * 72 / 25.4 - 0.5 <= left and right <= (form.width - form.margin) * 72 / 25.4 + 1.0


def test_the_same_chapters_give_the_same_bytes_whatever_clock_and_hash_seed(small: Book, printed: Path) -> None:
    code = (
        "import sys; sys.path.insert(0, '.')\n"
        "from tests.pages import test_handbook_print as t\n"
        "texts = [(t.chapter('soak', t.SOAK), t.SOAK), (t.chapter('slide', t.SLIDE), t.SLIDE)]\n"
        "made = t.book(texts, {'square': t.square(), 'cover': t.square()}, '9.9.9')\n"
        "sys.stdout.buffer.write(t.pdf(made, 'A5') + t.html(made))\n"
    )
    environment = {"PYTHONHASHSEED": "3", "TZ": "Asia/Kolkata", "SOURCE_DATE_EPOCH": "1", "PATH": "/usr/bin"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, env=environment)
    assert done.stdout == printed.read_bytes() + html(small)


# -------------------------------------------------------------------------------------------------------------- HTML
class Seen(HTMLParser):
    """The tags of a page with their attributes."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "img", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_every_tag_is_closed_every_link_leads_somewhere_and_every_picture_says_what_it_shows(shown: str) -> None:
    page = Seen(shown)
    assert page.open == []
    names = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(names) == len(set(names))
    links = [attrs["href"] or "" for tag, attrs in page.tags if tag == "a" and "href" in attrs]
    assert len(links) > 8 and all(link[1:] in names for link in links if link.startswith("#"))
    assert all(attrs["alt"] for tag, attrs in page.tags if tag == "img")


def resources(shown: str) -> Iterator[str]:
    """Everything that a browser would fetch."""
    for tag, attrs in Seen(shown).tags:
        assert tag not in ("script", "link", "iframe", "object", "base")
        yield from (attrs[key] or "" for key in ("src", "srcset", "data", "poster") if key in attrs)
    yield from re.findall(r"url\((.+?)\)", shown)
    assert "@import" not in shown


def test_nothing_is_fetched_and_pictures_fetch_nothing(shown: str) -> None:
    found = list(resources(shown))
    assert len(found) == 3 and all(one.startswith("data:") for one in found)
    (picture,) = [one for one in found if one.startswith("data:image/svg+xml;base64,")]
    drawing = base64.b64decode(picture.split(",", 1)[1]).decode("utf-8")
    assert "<svg" in drawing and not re.search(r"href=\"(?!#)|url\((?!#)|<script|<image", drawing)


def test_what_is_typed_is_shown_as_it_is(shown: str) -> None:
    assert "decalgen &lt;here&gt;</code> &amp; there" in shown and "<code>job: tug\n  deeper: yes</code>" in shown
    assert 'lang="en"' in shown and 'content="width=device-width, initial-scale=1"' in shown


def test_the_index_of_the_page_names_the_section(shown: str) -> None:
    index = shown.split('id="index"', 1)[1]
    assert re.search(r'water <span><a href="#term-water-2">By hand</a>, <a href="#term-water-1">How long</a>', index)


def test_it_is_light_and_dark_by_the_colours_of_the_look(shown: str) -> None:
    from decalgen.core import style

    light, dark = shown.split("@media (prefers-color-scheme:dark)", 1)
    for name in ("GROUND", "TEXT", "QUIET", "ACCENT", "RULE", "TINT_CODE"):
        assert f":{getattr(style, name)}" in light and f":{getattr(style, f'NIGHT_{name}')}" in dark
    assert not re.search(r":(?:NIGHT_)?[A-Z]{4,}", light.split(":root", 1)[1] + dark.split("*{", 1)[0])


# ------------------------------------------------------------------------------------------------------------- fonts
def test_a_font_holds_the_letters_asked_for_its_weight_and_figures_of_one_width() -> None:
    files = {name: TTFont(BytesIO(font_file(name, "Ab±"))) for name in ("book", "bold")}
    for font in files.values():
        cmap = font.getBestCmap()
        assert {ord(c) for c in "Ab±0123456789 "} == set(cmap)
        assert len({font["hmtx"][cmap[ord(c)]][0] for c in "0123456789"}) == 1
        assert "fvar" not in font
    assert files["book"]["name"].getDebugName(6) != files["bold"]["name"].getDebugName(6)
    stems = {name: font["hmtx"][font.getBestCmap()[ord("A")]] for name, font in files.items()}
    assert stems["book"] != stems["bold"]


def test_letters_that_the_face_lacks_are_named() -> None:
    assert letters("Harbour ± → 漢 ×") == "漢"


def test_what_was_printed_before_in_a_process_changes_nothing(small: Book, printed: Path) -> None:
    text = "# Other\n\nŁódź, ŷ, ∞ and ¼.\n"
    pdf(book([(chapter("soak", text), text)], {}, "1"), "A4")
    assert pdf(small, "A5") == printed.read_bytes()


# ---------------------------------------------------------------------------------------------------- pictures, code
def ring() -> Document:
    """A square of 60 mm with an opening of 20 mm, once as it is and once as a symbol beside it."""
    # Both rings run the same way round: only the even-odd rule leaves the opening open.
    around, hole = [(0, 0), (60, 0), (60, 60), (0, 60)], [(20, 20), (40, 20), (40, 40), (20, 40)]
    area = Fill(Polygon(around, [hole]), "#127077")
    items = (area, Use(Symbol("ring", (area,)), (1, 0, 0, 1, 80, 0)))
    return Document((Page(240.0, 60.0, (Layer("Picture", items),)),), "Rings")


def test_a_picture_is_made_smaller_to_fit_and_never_larger() -> None:
    wide, small = ring().pages[0], Page(50.0, 20.0, ())
    assert fitting_scale(wide, 120.0, 500.0) == 0.5 and fitting_scale(wide, 500.0, 30.0) == 0.5
    assert fitting_scale(small, 120.0, 500.0) == 1.0


@pytest.mark.needs("pdftoppm")
def test_a_picture_is_drawn_at_its_scale_with_its_openings_and_the_caption_says_so(tmp_path: Path) -> None:
    text = "# Soak\n\nSee.\n\n<!-- picture: ring | Two rings. -->\n"
    path = tmp_path / "rings.pdf"
    path.write_bytes(pdf(book([(chapter("soak", text), text)], {"ring": ring()}, "1"), "A5"))
    (page,) = [n for n, said in enumerate(text_of(path), 1) if "Two rings" in said]
    assert "Two rings. Shown at 49 % of its size." in " ".join(text_of(path)[page - 1].split())
    done = ["pdftoppm", "-r", "254", "-f", str(page), "-l", str(page), "-png", "-singlefile", path, tmp_path / "page"]
    subprocess.run(done, check=True)
    shown = Image.open(tmp_path / "page.png").convert("RGB")
    ink = (18, 112, 119)
    inked = [(x, y) for x in range(shown.width) for y in range(shown.height) if shown.getpixel((x, y)) == ink]
    left, right = min(x for x, _ in inked), max(x for x, _ in inked)
    # 118 of 240 mm; ten dots to the millimetre.
    scale = 118.0 / 240.0
    assert right - left == pytest.approx(140 * 10 * scale, abs=3)
    middle = sum(y for _, y in inked) / len(inked)
    for centre in (30, 110):
        assert shown.getpixel((round(left + centre * 10 * scale), round(middle))) == (255, 255, 255)
        assert shown.getpixel((round(left + (centre - 20) * 10 * scale), round(middle))) == ink


def test_a_long_line_of_code_goes_on_in_the_next_further_in() -> None:
    pdf(book([(chapter("soak", "# Soak\n\nSee.\n"), "# Soak\n\nSee.\n")], {}, "1"), "A5")
    line = "decalgen sheet tug.yaml -o tug-sheet.pdf --film 'white A5' --without-proof 'to try the plotter'"
    rows = folded(line, 150.0, 8.0)
    assert len(rows) > 2 and " ".join(row.strip() for row in rows) == line
    assert all(stringWidth(row, BOOK, 8.0) <= 150.0 for row in rows)
    assert all(row.startswith("\N{NO-BREAK SPACE}") for row in rows[1:])
    assert folded("short: yes", 150.0, 8.0) == ["short: yes"]


@pytest.mark.needs("pdftotext")
@pytest.mark.parametrize("before", [40, 90, 140, 190, 240])
def test_a_short_block_of_code_stays_on_one_page(before: int, tmp_path: Path) -> None:
    block = "\n".join(f"row {n}: yes" for n in range(20))
    text = f"# Soak\n\n{'Wait for it. ' * before}\n\n```yaml\n{block}\n```\n"
    path = tmp_path / "code.pdf"
    path.write_bytes(pdf(book([(chapter("soak", text), text)], {}, "1"), "A5"))
    holding = [page for page in text_of(path) if "row 0:" in page or "row 19:" in page]
    assert len(holding) == 1
