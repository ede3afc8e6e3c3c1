"""The parts of a chapter as what platypus sets: paragraphs, lists, code, tables and pictures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.pages.handbook.book import COVER, term_of
from decalgen.pages.handbook.parts import (
    BookCode,
    BookHeading,
    BookList,
    BookPart,
    BookPicture,
    BookTable,
    BookText,
    Prose,
    plain,
)
from decalgen.pages.handbook.pdf_look import BOLD, BOOK, CONTENTS_COLUMNS, INDENT, PaperForm
from decalgen.pages.handbook.picture_flow import PT, draw_page, fitting_scale
from decalgen.pages.handbook.screen_pictures import KEY, ScreenPicture, screen_picture

CELL_PAD = 3.0
"""Beside the text of a table's cell, points."""
HIGHEST = 0.5
"""So much of a page's height may a picture take."""
MOST_KEPT = 24
"""So many lines of code stay on one page."""


def escaped(text: str) -> str:
    """Text as reportlab's markup takes it."""
    return escape(text)


def marked(prose: Prose, terms: Sequence[str] = ()) -> str:
    """A paragraph in reportlab's markup. The terms of the index are noted where it begins."""
    found = [f'<onDraw name="book_term" label={quoteattr(term)}/>' for term in terms]
    for words in prose:
        text = escape(words.text).replace("\n", "<br/>")
        if words.code:
            text = f'<span backColor="{style.TINT_CODE}">{text}</span>'
        if words.strong:
            text = f'<font name="{BOLD}">{text}</font>'
        if words.href:
            text = f'<a href={quoteattr(words.href)} color="{style.ACCENT}">{text}</a>'
        found.append(text)
    return "".join(found)


SCREEN_PT = 0.5
"""Points to a pixel of a screen, where the column is wide enough."""


class PartFlow:
    """Makes flowables in the styles of one paper."""

    def __init__(
        self, form: PaperForm, looks: Mapping[str, Any], pictures: Mapping[str, Document], draft: bool = False
    ) -> None:
        """``draft``: pictures take their room and are not drawn."""
        self.draft = draft
        self.form = form
        self.looks = looks
        self.pictures = pictures

    def paragraph(self, markup: str, name: str = "body", bullet: str | None = None, keep: bool = False) -> Any:
        """A paragraph of reportlab's markup; ``keep``: with what follows it."""
        from reportlab.platypus import Paragraph

        made = Paragraph(markup, self.looks[name], bulletText=bullet)
        made.keepWithNext = keep or getattr(self.looks[name], "keepWithNext", 0)
        return made

    def title_page(self, title: str, about: str, version: str) -> Iterator[Any]:
        """What the first page shows: the title, a line about it, the ready layouts."""
        from reportlab.platypus import Spacer

        yield Spacer(1, self.form.height * PT * 0.10)
        yield self.paragraph(escape(title), "title")
        yield self.paragraph(escape(about), "subtitle")
        yield Spacer(1, self.form.height * PT * 0.04)
        if COVER in self.pictures:
            yield self.picture_box(COVER)
        yield Spacer(1, self.form.height * PT * 0.02)
        yield self.paragraph(escape(version), "caption")

    def heading(self, heading: BookHeading) -> Any:
        """A heading, which the contents and links find."""
        name = {1: "chapter", 2: "section"}.get(heading.level, "part")
        made = self.paragraph(escape(heading.text), name)
        if heading.level <= 2:
            made.book_heading = heading
        return made

    def chapter_head(self, heading: BookHeading, number: int) -> Iterator[Any]:
        """A chapter's title under its number."""
        yield self.paragraph(f'<font color="{style.ACCENT}">{number}</font>', "section", keep=True)
        yield self.heading(heading)

    def dotted(self, label: str, anchor: str, page: int, name: str) -> Any:
        """A row of the contents: the title, which is a link, and the page at the right edge."""
        from reportlab.platypus import Table

        look = self.looks[name]
        text = self.paragraph(f'<a href="#{anchor}">{escape(label)}</a>', name)
        number = self.paragraph(f"{page or ''}", f"{name} page")
        row = Table([[text, number]], colWidths=[self.form.share(CONTENTS_COLUMNS) - 24, 24], hAlign="LEFT")
        row.setStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), BOOK),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), look.spaceBefore),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
            ]
        )
        # A chapter is never parted from its first section.
        row.keepWithNext = name == "contents"
        return row

    def part(self, part: BookPart) -> Iterator[Any]:
        """Any part of a chapter."""
        match part:
            case BookHeading():
                yield self.heading(part)
            case BookText(prose, terms):
                yield self.paragraph(marked(prose, terms))
            case BookList():
                yield from self.items(part)
            case BookCode(_, text):
                yield self.code(text)
            case BookTable():
                yield self.table(part)
            case BookPicture():
                yield self.picture(part)

    def items(self, items: BookList) -> Iterator[Any]:
        """A list; the first paragraph of an item carries its sign or number."""
        for number, item in enumerate(items.items, 1):
            for place, part in enumerate(item):
                if isinstance(part, BookText):
                    sign = (f"{number}." if items.numbered else "•") if place == 0 else None
                    yield self.paragraph(marked(part.prose, part.terms), "item", sign)
                else:
                    yield from self.part(part)

    def code(self, text: str) -> Any:
        """What is typed: lines as they are, those that are too long go on in the next, further in."""
        from reportlab.pdfbase.pdfmetrics import stringWidth
        from reportlab.platypus import KeepTogether, XPreformatted

        look = self.looks["code"]
        space = "\N{NO-BREAK SPACE}"
        unit = stringWidth(space, BOOK, look.fontSize) / look.fontSize
        wide = self.form.column - look.leftIndent - look.rightIndent
        rows: list[str] = []
        for line in text.split("\n"):
            inner = line.lstrip(" ")
            lead = space * round((len(line) - len(inner)) * INDENT / unit)
            rows += [lead + row for row in folded(inner, wide - stringWidth(lead, BOOK, look.fontSize), look.fontSize)]
        made = XPreformatted(escape("\n".join(rows)), look)
        return made if len(rows) > MOST_KEPT else KeepTogether([made])

    def table(self, table: BookTable) -> Any:
        """A table below the text where it is narrow enough, else over the whole width; its head again on every page."""
        from reportlab.platypus import Table

        def cells(row: Sequence[Prose], head: bool = False) -> list[Any]:
            first = (term_of(row[0]),) if table.indexed and not head else ()
            return [
                self.paragraph(marked(cell, first if n == 0 else ()), "head" if head else "cell")
                for n, cell in enumerate(row)
            ]

        widths = self.widths([table.head, *table.rows])
        rows = [cells(table.head, True), *map(cells, table.rows)]
        hang = self.form.hang * PT
        first = 0
        if hang and sum(widths) <= self.form.column - hang + 0.01:
            # An empty column moves it below the text; what platypus indents by does not keep with a heading.
            widths, rows, first = [hang, *widths], [["", *row] for row in rows], 1
        made = Table(rows, colWidths=widths, repeatRows=1, hAlign="LEFT")
        made.setStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), BOOK),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 2 * CELL_PAD),
                ("TOPPADDING", (0, 0), (-1, -1), CELL_PAD),
                ("BOTTOMPADDING", (0, 0), (-1, -1), CELL_PAD),
                ("LINEBELOW", (first, 0), (-1, 0), style.LINE_PANEL * PT, style.TEXT),
                ("LINEBELOW", (first, 1), (-1, -1), style.LINE_RULE * PT, style.RULE),
            ]
        )
        made.spaceBefore, made.spaceAfter = 4, self.form.body
        return made

    def widths(self, rows: Sequence[Sequence[Prose]]) -> list[float]:
        """The widths of columns: each its longest word at least, what is left by how much text there is."""
        from reportlab.pdfbase.pdfmetrics import stringWidth

        size = self.looks["cell"].fontSize
        least, most = [], []
        for column in zip(*rows, strict=True):
            texts = [plain(cell) for cell in column]
            words = [word for text in texts for word in text.split()]
            least.append(max((stringWidth(word, BOLD, size) for word in words), default=0.0) + 2 * CELL_PAD + 1)
            most.append(max(stringWidth(text, BOLD, size) for text in texts) + 2 * CELL_PAD + 1)
        room = self.form.column
        if sum(most) <= room:
            return most
        limit = room / len(least)
        least = [min(one, max(limit, room * 0.3)) for one in least]
        if sum(least) > room:
            return [one * room / sum(least) for one in least]
        wish = [max(0.0, far - near) ** 0.5 for near, far in zip(least, most, strict=True)]
        spare = room - sum(least)
        return [near + spare * one / (sum(wish) or 1.0) for near, one in zip(least, wish, strict=True)]

    def picture(self, part: BookPicture) -> Any:
        """A picture with its caption, kept together."""
        from reportlab.platypus import KeepTogether

        if part.key.startswith(KEY):
            return KeepTogether(
                [self.screen_box(screen_picture(part.key)), self.paragraph(escape(part.caption), "caption")]
            )
        document = self.pictures[part.key]
        scale = self.scale(document)
        shown = "" if scale > 0.995 else f" Shown at {scale * 100:.0f} % of its size."
        caption = self.paragraph(escape(part.caption + shown), "caption")
        return KeepTogether([self.picture_box(part.key), caption])

    def scale(self, document: Document) -> float:
        """How large the first page of a picture is shown here."""
        return fitting_scale(document.pages[0], self.form.column / PT, self.form.height * HIGHEST)

    def screen_box(self, shot: ScreenPicture) -> Any:
        """A picture of the page in the browser, in a thin line, as its ground is nearly that of the paper."""
        from reportlab.lib.utils import ImageReader
        from reportlab.platypus import Flowable

        wide = min(self.form.column, shot.width * SCREEN_PT)
        high, draft = wide * shot.height / shot.width, self.draft

        class ScreenBox(Flowable):  # type: ignore[misc]
            """As large as the picture is shown."""

            def wrap(self, *_room: float) -> tuple[float, float]:
                return wide, high

            def draw(self) -> None:
                if not draft:
                    self.canv.drawImage(ImageReader(BytesIO(shot.png)), 0, 0, wide, high)
                    self.canv.setLineWidth(style.LINE_RULE * PT)
                    self.canv.setStrokeColor(style.RULE)
                    self.canv.rect(0, 0, wide, high, stroke=1, fill=0)

        made = ScreenBox()
        made.spaceBefore = self.form.body * 0.6
        return made

    def picture_box(self, key: str) -> Any:
        """The first page of a picture."""
        from reportlab.platypus import Flowable

        page, scale, draft = self.pictures[key].pages[0], self.scale(self.pictures[key]), self.draft

        class PictureBox(Flowable):  # type: ignore[misc]
            """As large as the picture is shown."""

            def wrap(self, *_room: float) -> tuple[float, float]:
                return page.width * scale * PT, page.height * scale * PT

            def draw(self) -> None:
                if not draft:
                    draw_page(self.canv, page, scale, key)

        made = PictureBox()
        made.spaceBefore = self.form.body * 0.6
        return made


def folded(line: str, width: float, size: float) -> list[str]:
    """A line of code in lines no wider than ``width``, broken at spaces; what goes on is moved in."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    rows, row = [], ""
    deep = "\N{NO-BREAK SPACE}" * 6
    for word in line.split(" "):
        longer = f"{row} {word}" if row else word
        if row.strip() and stringWidth(longer, BOOK, size) > width:
            rows.append(row)
            row = deep + word
        else:
            row = longer
    return [*rows, row]
