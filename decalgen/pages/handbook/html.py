"""The handbook as one HTML file: nothing is fetched, no script runs. Pictures, fonts and looks are inside; it is light
or dark as the reader's system is."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from html import escape

from decalgen.core.document import Document
from decalgen.core.names import slug
from decalgen.pages.handbook.book import (
    ABOUT,
    TITLE,
    Book,
    BookChapter,
    index_terms,
    letter_of,
    sort_key,
    term_of,
    terms_in,
)
from decalgen.pages.handbook.fonts import font_file
from decalgen.pages.handbook.html_look import sheet_of_styles
from decalgen.pages.handbook.parts import (
    BookCode,
    BookHeading,
    BookList,
    BookPart,
    BookPicture,
    BookTable,
    BookText,
    Prose,
)
from decalgen.pages.handbook.pdf import letters_of
from decalgen.pages.handbook.screen_pictures import KEY, screen_picture

SHORT = 24
"""So many characters of code stay on one line."""


def html(book: Book) -> bytes:
    """The handbook as one file, UTF-8."""
    writer = HandbookPage(book)
    chapters = [line for number, one in enumerate(book.chapters, 1) for line in writer.chapter(number, one)]
    text = letters_of(book)
    fonts = {name: b64encode(font_file(name, text, "woff")).decode("ascii") for name in ("book", "bold")}
    lines = [
        "<!doctype html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="color-scheme" content="light dark">',
        f'<meta name="generator" content="decalgen {escape(book.version)}">',
        f'<meta name="description" content="{escape(ABOUT)}">',
        f"<title>{escape(TITLE)}</title>",
        f"<style>\n{sheet_of_styles(fonts)}</style>",
        "</head>",
        "<body>",
        '<a class="skip" href="#text">Skip to the text</a>',
        *writer.contents(),
        '<main id="text">',
        f'<header><h1 class="title">{escape(TITLE)}</h1><p class="about">{escape(ABOUT)}</p></header>',
        *chapters,
        *writer.index(),
        f"<footer>decalgen {escape(book.version)}</footer>",
        "</main>",
        "</body>",
        "</html>",
    ]
    return ("\n".join(lines) + "\n").encode("utf-8")


def svg_of(document: Document) -> str:
    """The first page of a picture as a drawing that an image shows."""
    from decalgen.export import render

    return "data:image/svg+xml;base64," + b64encode(render(document, ".svg")[0]).decode("ascii")


class HandbookPage:
    """Writes parts, and notes where the terms of the index are."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.places: dict[str, list[tuple[str, str]]] = {}
        """Term → anchors with what the reader finds there."""
        self.here = ""

    def contents(self) -> Iterator[str]:
        """The list of chapters, with the sections of each."""
        yield '<nav aria-label="Contents"><details><summary>Contents</summary><ol>'
        for one in self.book.chapters:
            head = one.parts[0]
            assert isinstance(head, BookHeading)
            yield f'<li><a href="#{head.anchor}">{escape(head.text)}</a>'
            if one.sections:
                rows = (f'<li><a href="#{part.anchor}">{escape(part.text)}</a></li>' for part in one.sections)
                yield f"<ul>{''.join(rows)}</ul>"
            yield "</li>"
        yield '</ol><p><a href="#index">Index</a></p></details></nav>'

    def chapter(self, number: int, one: BookChapter) -> Iterator[str]:
        """A chapter."""
        yield "<section>"
        for part in one.parts:
            if isinstance(part, BookHeading) and part.level == 1:
                self.here = part.text
                yield f'<h2 id="{part.anchor}"><span class="number">{number}</span> {escape(part.text)}</h2>'
            else:
                yield from self.part(part)
        yield "</section>"

    def part(self, part: BookPart) -> Iterator[str]:
        """Any part of a chapter but its title."""
        match part:
            case BookHeading(level, text, anchor):
                self.here = text
                name = f' id="{anchor}"' if level == 2 else ""
                yield f"<h{level + 1}{name}>{escape(text)}</h{level + 1}>"
            case BookText(prose, _):
                yield f"<p>{self.marks(terms_in(part))}{marked(prose)}</p>"
            case BookList(numbered, items):
                tag = "ol" if numbered else "ul"
                yield f"<{tag}>"
                for item in items:
                    yield f"<li>{''.join(line for some in item for line in self.part(some))}</li>"
                yield f"</{tag}>"
            case BookCode(_, text):
                yield f'<pre tabindex="0"><code>{escape(text)}</code></pre>'
            case BookTable():
                yield from self.table(part)
            case BookPicture(key, caption):
                screen = key.startswith(KEY)
                source = screen_picture(key).source if screen else svg_of(self.book.pictures[key])
                shown = escape(caption)
                yield f'<figure><img src="{source}" alt="{shown}"><figcaption>{shown}</figcaption></figure>'

    def table(self, part: BookTable) -> Iterator[str]:
        """A table, which scrolls by itself where a screen is narrow."""
        head = "".join(f'<th scope="col">{marked(cell)}</th>' for cell in part.head)
        yield f'<div class="table" tabindex="0"><table><thead><tr>{head}</tr></thead><tbody>'
        for row in part.rows:
            terms = (term_of(row[0]),) if part.indexed else ()
            cells = [marked(cell) for cell in row]
            cells[0] = self.marks(terms) + cells[0]
            yield f"<tr>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"
        yield "</tbody></table></div>"

    def marks(self, terms: Sequence[str]) -> str:
        """Anchors of terms at this place."""
        found = []
        for term in terms:
            places = self.places.setdefault(term.casefold(), [])
            name = f"term-{slug(term)}-{len(places) + 1}"
            places.append((name, self.here))
            found.append(f'<a id="{name}"></a>')
        return "".join(found)

    def index(self) -> Iterator[str]:
        """Every term with the places where it is explained."""
        yield '<section><h2 id="index">Index</h2><div class="index">'
        letter = ""
        for term in index_terms(self.book):
            if letter_of(term) != letter:
                letter = letter_of(term)
                yield f"<h3>{escape(letter)}</h3>"
            places = ", ".join(
                f'<a href="#{name}">{escape(where)}</a>' for name, where in _once(self.places[term.casefold()])
            )
            yield f"<p>{escape(term)} <span>{places}</span></p>"
        yield "</div></section>"


def _once(places: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """One place a section, the first."""
    found: dict[str, str] = {}
    for name, where in places:
        found.setdefault(where, name)
    return sorted(((name, where) for where, name in found.items()), key=lambda pair: sort_key(pair[1]))


def marked(prose: Prose) -> str:
    """A paragraph as HTML."""
    found = []
    for words in prose:
        text = escape(words.text).replace("\n", "<br>")
        if words.code:
            # A short one stays on one line: a browser would break it at a hyphen.
            text = f'<code class="short">{text}</code>' if len(words.text) <= SHORT else f"<code>{text}</code>"
        if words.strong:
            text = f"<strong>{text}</strong>"
        if words.href:
            text = f'<a href="{escape(words.href)}">{text}</a>'
        found.append(text)
    return "".join(found)
