"""The whole handbook as one value, ready to be printed: chapters with their parts, pictures, and an index."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence

from decalgen.core.document import Document
from decalgen.core.errors import InputError
from decalgen.core.values import dataclass
from decalgen.pages.handbook import Chapter
from decalgen.pages.handbook.parts import (
    BookHeading,
    BookList,
    BookPart,
    BookPicture,
    BookTable,
    BookText,
    Prose,
    parts,
    plain,
)
from decalgen.pages.handbook.screen_pictures import KEY, screen_picture

_ARGUMENT = re.compile(r" \[?[A-Z]{2,}\]?(?:\.{3})?")

TITLE = "The decalgen handbook"
ABOUT = "From the caliper to decals on the model"
COVER = "cover"
"""The key of the picture on the first page."""


@dataclass(frozen=True)
class BookChapter:
    """A chapter with its parts; the first is its heading."""

    chapter: Chapter
    parts: tuple[BookPart, ...]

    @property
    def sections(self) -> tuple[BookHeading, ...]:
        """The headings of its sections."""
        return tuple(part for part in self.parts if isinstance(part, BookHeading) and part.level == 2)


@dataclass(frozen=True)
class Book:
    """``pictures`` by the key of their place; ``version`` is that of the program."""

    chapters: tuple[BookChapter, ...]
    pictures: Mapping[str, Document]
    version: str


def book(texts: Sequence[tuple[Chapter, str]], pictures: Mapping[str, Document], version: str) -> Book:
    """The handbook of these chapters, each with its text filled in.

    Raises InputError for a chapter that cannot be read, a picture that is missing, and a link that leads nowhere.
    """
    made = Book(tuple(BookChapter(one, parts(one, text)) for one, text in texts), pictures, version)
    anchors = {part.anchor for part in every(made) if isinstance(part, BookHeading)}
    for part in every(made):
        if isinstance(part, BookPicture) and part.key.startswith(KEY):
            screen_picture(part.key)
        elif isinstance(part, BookPicture) and part.key not in pictures:
            raise InputError(f"the handbook asks for a picture '{part.key}' that nobody draws", fix="correct the key")
        for words in (words for prose in _proses(part) for words in prose):
            if words.href and words.href.startswith("#") and words.href[1:] not in anchors:
                raise InputError(f"the handbook has no place '{words.href}'", fix="correct the link")
    return made


def every(made: Book) -> Iterator[BookPart]:
    """Every part of every chapter; those of lists too."""
    for one in made.chapters:
        yield from _within(one.parts)


def _within(some: Sequence[BookPart]) -> Iterator[BookPart]:
    for part in some:
        yield part
        if isinstance(part, BookList):
            for item in part.items:
                yield from _within(item)


def _proses(part: BookPart) -> Iterator[Prose]:
    if isinstance(part, BookText):
        yield part.prose
    elif isinstance(part, BookTable):
        for row in (part.head, *part.rows):
            yield from row


def term_of(cell: Prose) -> str:
    """The term of the index that a table's first cell gives: what is before a colon; of a command, without what is the
    user's to fill in."""
    return _ARGUMENT.sub("", plain(cell).split(":")[0])


def sort_key(term: str) -> tuple[str, str]:
    """Where a term goes in the index: letters first, without regard to case, accents and signs."""
    bare = "".join(c for c in unicodedata.normalize("NFD", term.casefold()) if c.isalnum() or c == " ")
    return bare.strip(), term


def letter_of(term: str) -> str:
    """The letter under which a term is found; '#' for one that begins with none."""
    first = sort_key(term)[0][:1].upper()
    return first if first.isalpha() else "#"


def index_terms(made: Book) -> tuple[str, ...]:
    """Every term of the index, in order, each once: what differs in the case of its first letter is one."""
    found: dict[str, str] = {}
    for part in every(made):
        for term in terms_in(part):
            found.setdefault(term.casefold(), term)
    return tuple(sorted(found.values(), key=sort_key))


def terms_in(part: BookPart) -> tuple[str, ...]:
    """The terms that a part puts into the index."""
    if isinstance(part, BookText):
        return part.terms
    if isinstance(part, BookTable) and part.indexed:
        return tuple(term_of(row[0]) for row in part.rows)
    return ()
