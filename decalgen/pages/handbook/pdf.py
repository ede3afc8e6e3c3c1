"""The handbook as a PDF: text one can search and copy, in the paper face, with links, a list of contents and an index.

reportlab's platypus breaks the pages, because tables and paragraphs run over many and words have to stay words; a page
of a job, which must be true to the micrometre, is drawn by `decalgen.export.pdf`. `invariant` keeps the clock out, and
the fonts are cut here, so the same chapters give the same bytes. Pages are set until no number in the contents or the
index changes any more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from hashlib import md5
from io import BytesIO
from typing import Any

from decalgen.core import style
from decalgen.core.values import dataclass
from decalgen.pages.handbook.book import ABOUT, TITLE, Book, BookChapter, every, index_terms, letter_of
from decalgen.pages.handbook.fonts import font_file
from decalgen.pages.handbook.parts import BookCode, BookHeading, BookList, BookTable, BookText, plain
from decalgen.pages.handbook.pdf_flow import PartFlow, escaped
from decalgen.pages.handbook.pdf_look import (
    BOLD,
    BOOK,
    CONTENTS_COLUMNS,
    GUTTER_MM,
    PaperForm,
    paper_form,
    styles,
)
from decalgen.pages.handbook.picture_flow import PT, define_forms

MOST_PASSES = 5
DATE = "D:20000101000000+00'00'"
"""What stands for a date in the file: the handbook is as old as the program."""


@dataclass
class PageNumbers:
    """Where headings and terms came to lie: anchor → page, term → pages."""

    headings: dict[str, int]
    terms: dict[str, list[int]]


def pdf(book: Book, paper: str = "A4") -> bytes:
    """The handbook as one PDF on A4, A5 or Letter. Raises InputError for another paper."""
    form = paper_form(paper)
    _register()
    _, known = _set(book, form, PageNumbers({}, {}), draft=True)
    for _ in range(MOST_PASSES):
        made, found = _set(book, form, known)
        if found == known:
            break
        known = found
    return made


@lru_cache(maxsize=1)
def _register() -> None:
    """Makes the two weights known to reportlab, with every letter: a font of a name is registered once a process, and
    each file gets the letters that it uses."""
    from reportlab.lib.fonts import addMapping
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, weight in ((BOOK, "book"), (BOLD, "bold")):
        pdfmetrics.registerFont(TTFont(name, BytesIO(font_file(weight))))
    for bold in (0, 1):
        addMapping(BOOK, bold, 0, BOLD if bold else BOOK)
        addMapping(BOOK, bold, 1, BOLD if bold else BOOK)


def letters_of(book: Book) -> str:
    """Every character that the handbook sets, once; of ASCII, all."""
    found = {chr(code) for code in range(32, 127)} | set("•\N{NO-BREAK SPACE}\N{EM SPACE}")
    for part in every(book):
        match part:
            case BookHeading(_, text, _) | BookCode(_, text):
                found |= set(text)
            case BookText(prose, terms):
                found |= set(plain(prose) + "".join(terms))
            case BookTable(head, rows, _):
                found |= set("".join(plain(cell) for row in (head, *rows) for cell in row))
            case BookList():
                pass
            case _:
                found |= set(part.caption)
    return "".join(sorted(c for c in found if c.isprintable()))


def _set(book: Book, form: PaperForm, known: PageNumbers, draft: bool = False) -> tuple[bytes, PageNumbers]:
    """One pass: the file with these page numbers, and where all came to lie in it. ``draft``: without its pictures."""
    from reportlab.platypus import BaseDocTemplate

    found = PageNumbers({}, {})
    running = {"chapter": ""}

    class Pages(BaseDocTemplate):  # type: ignore[misc]
        """Notes where headings come to lie."""

        def afterFlowable(self, flowable: Any) -> None:
            heading = getattr(flowable, "book_heading", None)
            if heading is not None:
                found.headings[heading.anchor] = self.page
                running["chapter"] = heading.text if heading.level == 1 else running["chapter"]
                self.canv.bookmarkHorizontal(heading.anchor, 0, self.frame._y + heading_height(flowable))
                self.canv.addOutlineEntry(heading.text, heading.anchor, heading.level - 1, heading.level == 1)

    def begin(canvas: Any, _document: Any) -> None:
        # reportlab would take the day from the environment, for the file and for its number; the handbook has none.
        canvas.setDateFormatter(lambda *_: DATE)
        canvas._doc.signature = md5(usedforsecurity=False)
        canvas.setViewerPreference("DisplayDocTitle", "true")
        canvas.setCatalogEntry("Lang", "en")
        later(canvas, _document)
        for key, document in () if draft else book.pictures.items():
            define_forms(canvas, document.pages[0], key)

    def note(canvas: Any, _kind: str, label: str) -> None:
        pages = found.terms.setdefault(label, [])
        if canvas.getPageNumber() not in pages:
            pages.append(canvas.getPageNumber())

    def later(canvas: Any, _document: Any) -> None:
        canvas.setNamedCB("book_term", note)
        canvas.bookmarkPage(f"page{canvas.getPageNumber()}")

    def foot(canvas: Any, _document: Any) -> None:
        _foot(canvas, form, running["chapter"])

    made = BytesIO()
    document = Pages(
        made,
        pagesize=(form.width * PT, form.height * PT),
        title=TITLE,
        subject=ABOUT,
        author="decalgen",
        creator=f"decalgen {book.version}",
        invariant=1,
        # Without a first font of ours, reportlab names one in the file that it does not embed.
        initialFontName=BOOK,
    )
    document.addPageTemplates(_templates(form, begin, later, foot))
    document.build(list(_story(book, PartFlow(form, styles(form), book.pictures, draft), known)))
    return made.getvalue(), found


def heading_height(flowable: Any) -> float:
    """How far above a heading a link to it leads."""
    return float(flowable.height) + 12.0


def _templates(form: PaperForm, begin: Any, later: Any, foot: Any) -> list[Any]:
    from reportlab.platypus import Frame, PageTemplate

    left, low = form.margin * PT, (form.margin + 4.0) * PT
    wide, high = form.column, form.height * PT - low - form.margin * PT
    bare = {"leftPadding": 0, "rightPadding": 0, "topPadding": 0, "bottomPadding": 0}

    def columns(name: str, count: int) -> list[Any]:
        width = form.share(count)
        step = width + GUTTER_MM * PT
        return [Frame(left + n * step, low, width, high, id=f"{name}{n}", **bare) for n in range(count)]

    return [
        PageTemplate("title", [Frame(left, low, wide, high, id="title", **bare)], onPage=begin),
        PageTemplate("text", [Frame(left, low, wide, high, id="text", **bare)], onPage=later, onPageEnd=foot),
        PageTemplate("contents", columns("contents", CONTENTS_COLUMNS), onPage=later, onPageEnd=foot),
        PageTemplate("index", columns("index", form.columns), onPage=later, onPageEnd=foot),
    ]


def _foot(canvas: Any, form: PaperForm, chapter: str) -> None:
    """The foot of a page: its chapter, a rule, its number."""
    y, left, right = form.margin * PT * 0.75, form.margin * PT, (form.width - form.margin) * PT
    canvas.saveState()
    canvas.setStrokeColor(style.RULE)
    canvas.setLineWidth(style.LINE_RULE * PT)
    canvas.line(left, y + 11, right, y + 11)
    canvas.setFillColor(style.QUIET)
    canvas.setFont(BOOK, style.TYPE_SMALL)
    canvas.drawString(left, y, chapter)
    canvas.drawRightString(right, y, str(canvas.getPageNumber()))
    canvas.restoreState()


def _story(book: Book, flow: PartFlow, known: PageNumbers) -> Iterator[Any]:
    from reportlab.platypus import NextPageTemplate, PageBreak

    yield from flow.title_page(TITLE, ABOUT, f"decalgen {book.version}")
    yield NextPageTemplate("contents")
    yield PageBreak()
    yield flow.heading(BookHeading(1, "Contents", "contents"))
    yield from _contents(book, flow, known)
    yield NextPageTemplate("text")
    for number, one in enumerate(book.chapters, 1):
        yield PageBreak()
        for part in one.parts:
            numbered = part is one.parts[0] and isinstance(part, BookHeading)
            yield from flow.chapter_head(part, number) if numbered else flow.part(part)  # type: ignore[arg-type]
    yield NextPageTemplate("index")
    yield PageBreak()
    yield flow.heading(BookHeading(1, "Index", "index"))
    yield from _index(index_terms(book), flow, known.terms)


def _contents(book: Book, flow: PartFlow, known: PageNumbers) -> Iterator[Any]:
    def row(one: BookChapter, heading: BookHeading, label: str, name: str) -> Any:
        return flow.dotted(label, heading.anchor, known.headings.get(heading.anchor, 0), name)

    for number, one in enumerate(book.chapters, 1):
        head = one.parts[0]
        if isinstance(head, BookHeading):
            yield row(one, head, f"{number}\N{EM SPACE}{head.text}", "contents")
        for section in one.sections:
            yield row(one, section, section.text, "contents section")
    yield flow.dotted("Index", "index", known.headings.get("index", 0), "contents")


def _index(terms: tuple[str, ...], flow: PartFlow, pages: Mapping[str, list[int]]) -> Iterator[Any]:
    letter = ""
    for term in terms:
        if letter_of(term) != letter:
            letter = letter_of(term)
            yield flow.paragraph(escaped(letter), "letter", keep=True)
        where = sorted({page for name, some in pages.items() if name.casefold() == term.casefold() for page in some})
        numbers = ", ".join(f'<a href="#page{page}" color="{style.ACCENT}">{page}</a>' for page in where)
        yield flow.paragraph(f"{escaped(term)}\N{NO-BREAK SPACE} {numbers}", "term")
