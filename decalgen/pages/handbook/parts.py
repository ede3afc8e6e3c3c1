"""The text of a chapter as values: headings, paragraphs, lists, code, tables, pictures. Read from Markdown by
markdown-it, which knows CommonMark; of its rest tables are taken, and of HTML nothing but our own comments."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from decalgen.core.errors import InputError
from decalgen.core.names import slug
from decalgen.core.values import dataclass
from decalgen.pages.handbook import Chapter

PICTURE = re.compile(r"<!-- picture: (?P<key>[^|>]+?)(?: \| (?P<caption>[^>]+?))? -->")
TABLE = re.compile(r"<!-- table: (?P<key>[^>]+?) -->")
_INDEX = re.compile(r"<!-- index: (?P<terms>[^>]+?) -->")
_FILE = re.compile(r"\d+-(?P<name>[a-z-]+)\.md(?:#(?P<section>[\w-]+))?")


@dataclass(frozen=True)
class Words:
    """A stretch of text in one dress. ``href``: '#anchor' inside the handbook, or an address."""

    text: str
    strong: bool = False
    code: bool = False
    href: str | None = None


Prose = tuple[Words, ...]


@dataclass(frozen=True)
class BookHeading:
    """``level`` 1 is a chapter's title, 2 a section's. ``anchor`` is unique in the handbook."""

    level: int
    text: str
    anchor: str


@dataclass(frozen=True)
class BookText:
    """A paragraph, with the terms of the index that it explains."""

    prose: Prose
    terms: tuple[str, ...] = ()


@dataclass(frozen=True)
class BookList:
    """A list; each item is parts of its own."""

    numbered: bool
    items: tuple[tuple[BookPart, ...], ...]


@dataclass(frozen=True)
class BookCode:
    """What is typed or shown as it is; ``language`` as behind the fence."""

    language: str
    text: str


@dataclass(frozen=True)
class BookTable:
    """Cells of text. ``indexed``: the first cell of each row goes into the index."""

    head: tuple[Prose, ...]
    rows: tuple[tuple[Prose, ...], ...]
    indexed: bool = False


@dataclass(frozen=True)
class BookPicture:
    """Where a picture goes that the program draws: which, and what it shows."""

    key: str
    caption: str


BookPart = BookHeading | BookText | BookList | BookCode | BookTable | BookPicture


def anchor(chapter: Chapter, section: str = "") -> str:
    """The anchor of a chapter, or of a section by its title."""
    return f"{chapter.name}-{slug(section, 'section')}" if section else chapter.name


def parts(chapter: Chapter, text: str | None = None) -> tuple[BookPart, ...]:
    """The parts of a chapter; ``text`` in place of its own, where tables are filled in.

    Raises InputError for a comment that means nothing here, a link to no chapter's file, and HTML.
    """
    from markdown_it import MarkdownIt

    tokens = MarkdownIt("commonmark").enable("table").parse(chapter.text if text is None else text)
    return tuple(_Reader(chapter, tokens).all())


def plain(prose: Prose) -> str:
    """The text alone."""
    return "".join(words.text for words in prose)


class _Reader:
    """Goes through the tokens of one chapter."""

    def __init__(self, chapter: Chapter, tokens: Sequence[Any]) -> None:
        self.chapter = chapter
        self.tokens = tokens
        self.at = 0
        self.waiting: tuple[str, ...] = ()

    def all(self, until: str = "") -> Iterator[BookPart]:
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            self.at += 1
            if token.type == until:
                return
            part = self.part(token)
            if part is not None:
                yield part

    def part(self, token: Any) -> BookPart | None:
        match token.type:
            case "heading_open":
                text = plain(self.prose())
                level = int(token.tag[1:])
                return BookHeading(level, text, anchor(self.chapter, text if level > 1 else ""))
            case "paragraph_open":
                prose = self.prose()
                strong = tuple(words.text.rstrip(".:,") for words in prose if words.strong)
                return BookText(prose, (*self.taken(), *strong))
            case "bullet_list_open" | "ordered_list_open":
                close = token.type.replace("open", "close")
                return BookList(token.type.startswith("ordered"), tuple(self.items(close)))
            case "fence":
                return BookCode(token.info.strip(), token.content.rstrip("\n"))
            case "table_open":
                return self.table()
            case "html_block":
                return self.comment(token.content.strip())
        raise self.fault(f"'{token.type}' is not used in the handbook")

    def fault(self, why: str) -> InputError:
        return InputError(f"chapter '{self.chapter.path.name}': {why}", fix="correct the chapter")

    def taken(self) -> tuple[str, ...]:
        terms, self.waiting = self.waiting, ()
        return terms

    def comment(self, text: str) -> BookPart | None:
        picture, index = PICTURE.fullmatch(text), _INDEX.fullmatch(text)
        if picture is not None:
            return BookPicture(picture["key"], picture["caption"] or "")
        if index is None:
            raise self.fault(f"'{text.splitlines()[0]}' is neither a picture, a table nor for the index")
        self.waiting += tuple(term.strip() for term in index["terms"].split(";"))
        return None

    def items(self, close: str) -> Iterator[tuple[BookPart, ...]]:
        while self.tokens[self.at].type != close:
            self.at += 1
            yield tuple(self.all("list_item_close"))
        self.at += 1

    def table(self) -> BookTable:
        rows: list[tuple[Prose, ...]] = []
        row: list[Prose] = []
        while (token := self.tokens[self.at]).type != "table_close":
            self.at += 1
            if token.type in ("th_open", "td_open"):
                row.append(self.prose())
            elif token.type == "tr_close":
                rows.append(tuple(row))
                row = []
        self.at += 1
        return BookTable(rows[0], tuple(rows[1:]), "rows" in self.taken())

    def prose(self) -> Prose:
        """The inline token that comes next, and past what closes it."""
        inline = self.tokens[self.at]
        self.at += 2
        found: list[Words] = []
        strong, href = False, None
        for token in inline.children or ():
            match token.type:
                case "text" | "code_inline":
                    found.append(Words(token.content, strong, token.type == "code_inline", href))
                case "html_inline" if token.content == "<br>":
                    found.append(Words("\n"))
                case "softbreak":
                    found.append(Words(" ", strong, False, href))
                case "strong_open" | "strong_close":
                    strong = token.type == "strong_open"
                case "link_open":
                    href = self.target(str(token.attrGet("href")))
                case "link_close":
                    href = None
                case _:
                    raise self.fault(f"'{token.type}' is not used in the handbook")
        return tuple(words for words in found if words.text)

    def target(self, href: str) -> str:
        """A link as the handbook knows it; from one chapter's file to another's it becomes an anchor."""
        if href.startswith("https://"):
            return href
        if href.startswith("#"):
            return f"#{self.chapter.name}-{href[1:]}"
        file = _FILE.fullmatch(href)
        if file is None:
            raise self.fault(f"the link '{href}' leads to no chapter")
        return f"#{file['name']}-{file['section']}" if file["section"] else f"#{file['name']}"
