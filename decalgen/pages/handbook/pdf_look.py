"""How the handbook looks on paper: page sizes, columns and styles, from the project's one look. Points, as reportlab
counts, unless a name says mm."""

from __future__ import annotations

from typing import Any

from decalgen.core import style
from decalgen.core.errors import InputError
from decalgen.core.values import dataclass
from decalgen.pages.handbook.picture_flow import PT

BOOK, BOLD = "handbook-book", "handbook-bold"
"""The two weights, as reportlab knows them."""

CONTENTS_COLUMNS = 2
GUTTER_MM = 8.0
"""Between columns, mm."""
INDENT = 0.55
"""What the beginning of a line of a job file is moved by for each space, in ems: in a face of different widths a space
alone is too narrow to see."""


@dataclass(frozen=True)
class PaperForm:
    """A paper with its margins and type: sizes in mm, ``body`` in points; ``hang`` is how far text is indented from the
    headings, ``columns`` those of the index."""

    name: str
    width: float
    height: float
    margin: float
    body: float
    hang: float
    columns: int

    @property
    def column(self) -> float:
        """The width between the margins, points."""
        return (self.width - 2 * self.margin) * PT

    def share(self, columns: int) -> float:
        """The width of one of some columns side by side, points."""
        return (self.column - (columns - 1) * GUTTER_MM * PT) / columns


FORMS = {
    one.name: one
    for one in (
        PaperForm("A4", 210.0, 297.0, 22.0, 10.0, 24.0, 3),
        PaperForm("A5", 148.0, 210.0, 15.0, 9.0, 0.0, 2),
        PaperForm("Letter", 215.9, 279.4, 22.0, 10.0, 24.0, 3),
    )
}


def paper_form(name: str) -> PaperForm:
    """A paper by its name. Raises InputError for another."""
    for one in FORMS.values():
        if one.name.casefold() == name.casefold():
            return one
    raise InputError(f"the handbook is not made for '{name}'", fix=f"use {', '.join(FORMS)}")


def styles(form: PaperForm) -> dict[str, Any]:
    """Every style of paragraphs by its name."""
    body = _body(form)
    found = [body, *_headings(body), *_blocks(body, form), *_lists(body)]
    return {one.name: one for one in found}


def _body(form: PaperForm) -> Any:
    from reportlab.lib.styles import ParagraphStyle

    return ParagraphStyle(
        "body",
        fontName=BOOK,
        fontSize=form.body,
        leading=form.body * 1.42,
        textColor=style.TEXT,
        leftIndent=form.hang * PT,
        spaceAfter=form.body * 0.55,
        splitLongWords=1,
        allowWidows=0,
        allowOrphans=0,
        bulletFontName=BOOK,
        bulletFontSize=form.body,
    )


def _more(name: str, body: Any, **others: Any) -> Any:
    from reportlab.lib.styles import ParagraphStyle

    return ParagraphStyle(name, parent=body, **others)


def _headings(body: Any) -> list[Any]:
    size = body.fontSize
    return [
        _more("title", body, fontName=BOLD, fontSize=size * 3.4, leading=size * 3.8, leftIndent=0, spaceAfter=size),
        _more("subtitle", body, fontSize=size * 1.5, leading=size * 2, leftIndent=0, textColor=style.QUIET),
        _more("chapter", body, fontName=BOLD, fontSize=size * 2.2, leading=size * 2.6, leftIndent=0, spaceAfter=size),
        _more(
            "section",
            body,
            fontName=BOLD,
            fontSize=size * 1.25,
            leading=size * 1.6,
            leftIndent=0,
            spaceBefore=size * 1.5,
            spaceAfter=size * 0.6,
            textColor=style.ACCENT,
            keepWithNext=1,
        ),
        _more("part", body, fontName=BOLD, spaceBefore=size * 0.8, spaceAfter=size * 0.3, keepWithNext=1),
    ]


def _blocks(body: Any, form: PaperForm) -> list[Any]:
    size, hang, small = body.fontSize, form.hang * PT, small_type(form)
    return [
        _more("item", body, leftIndent=hang + size * 1.6, bulletIndent=hang + size * 0.2, spaceAfter=size * 0.35),
        _more(
            "code",
            body,
            fontSize=size - 0.8,
            leading=(size - 0.8) * 1.42,
            leftIndent=hang + size * 0.6,
            rightIndent=size * 0.6,
            backColor=style.TINT_CODE,
            borderPadding=(size * 0.5, size * 0.6, size * 0.55, size * 0.6),
            spaceBefore=size * 0.75,
            spaceAfter=size * 1.15,
        ),
        _more("cell", body, fontSize=small, leading=small * 1.3, leftIndent=0, spaceAfter=0),
        _more("head", body, fontName=BOLD, fontSize=small, leading=small * 1.3, leftIndent=0, spaceAfter=0),
        _more(
            "caption",
            body,
            fontSize=small,
            leading=small * 1.35,
            leftIndent=0,
            textColor=style.QUIET,
            spaceBefore=size * 0.35,
            spaceAfter=size * 1.1,
        ),
    ]


def small_type(form: PaperForm) -> float:
    """The size of tables and captions, points: never under the least of the look."""
    return max(style.TYPE_SMALL, form.body - 1.5)


def _lists(body: Any) -> list[Any]:
    """Contents and index."""
    size = body.fontSize
    small = max(style.TYPE_SMALL, size - 1.5)
    fine = {"fontSize": small, "leading": small * 1.35}
    flat = {"leftIndent": 0, "spaceBefore": 0, "spaceAfter": 0}
    return [
        _more("contents", body, **{**flat, "fontName": BOLD, "spaceBefore": size * 0.35}),
        _more("contents page", body, fontName=BOLD, leftIndent=0, alignment=2),
        _more("contents section", body, **{**flat, **fine, "leading": small * 1.22, "leftIndent": size * 2.2}),
        _more("contents section page", body, **{**flat, **fine, "leading": small * 1.22, "alignment": 2}),
        _more("letter", body, **{**flat, "fontName": BOLD, "spaceBefore": size * 0.8, "textColor": style.ACCENT}),
        _more("term", body, **{**flat, **fine, "leftIndent": 9, "firstLineIndent": -9}),
    ]
