"""What `decalgen handbook` does: fills the chapters with tables and pictures, and prints them as one file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen import __version__
from decalgen.commands.handbook_pictures import draw_pictures
from decalgen.commands.handbook_tables import CommandEntry, fill_tables
from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.core.command_line import quoted
from decalgen.core.errors import OutputError
from decalgen.core.files import write_files
from decalgen.pages.handbook import Chapter, chapters
from decalgen.pages.handbook.parts import PICTURE
from decalgen.pages.handbook.pdf_look import paper_form

if TYPE_CHECKING:
    from decalgen.pages.handbook.book import Book

ENDINGS = (".pdf", ".html")


def filled_chapters(commands: Sequence[CommandEntry]) -> list[tuple[Chapter, str]]:
    """Every chapter with its text, tables in their places. ``commands``: those of the command line."""
    return [(one, fill_tables(one.text, commands)) for one in chapters()]


def make_book(commands: Sequence[CommandEntry]) -> Book:
    """The handbook with all of its tables and pictures."""
    from decalgen.pages.handbook.book import COVER, book
    from decalgen.pages.handbook.screen_pictures import KEY

    texts = filled_chapters(commands)
    keys = [place["key"] for _, text in texts for place in PICTURE.finditer(text)]
    keys = [key for key in keys if not key.startswith(KEY)]
    pictures = draw_pictures([*keys, COVER], [text for _, text in texts])
    return book(texts, pictures, __version__)


def print_handbook(output: Path, paper: str, commands: Sequence[CommandEntry]) -> Result:
    """Writes the handbook: a PDF on that paper, or HTML. Raises OutputError for another ending, InputError for another
    paper."""
    ending = output.suffix.lower()
    if ending not in ENDINGS:
        raise OutputError(f"'{output.name}' is neither PDF nor HTML", fix="name a file .pdf or .html")
    form = paper_form(paper)
    made = make_book(commands)
    if ending == ".pdf":
        from decalgen.pages.handbook.pdf import pdf

        data = pdf(made, form.name)
    else:
        from decalgen.pages.handbook.html import html

        data = html(made)
    files = write_files({output: data})
    group = FileGroup("to read" if ending == ".html" else f"to read, or to print on {form.name}", files)
    return Result(
        files,
        answer=Answer(f"printed the handbook, {len(made.chapters)} chapters", f"open {quoted(str(output))}", (group,)),
    )
