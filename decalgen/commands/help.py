"""What `decalgen help` says: the chapters of the handbook, one of them as plain text, or a page of keys."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from decalgen.commands.chapter_text import WIDE, chapter_lines
from decalgen.commands.options import Answer, Result
from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.names import slug
from decalgen.pages.handbook import Chapter, chapters
from decalgen.pages.handbook.parts import TABLE, BookHeading, BookPart, parts

if TYPE_CHECKING:
    from decalgen.commands.handbook_tables import CommandEntry

FIRST = "decalgen help first-job"


def explain(word: str, commands: Sequence[CommandEntry] = ()) -> Result:
    """The list of topics; a chapter, or a section of one by its title; a page of keys. ``commands``: those of the
    command line, for the tables.

    Raises `DecalgenError`, with the nearest word, where there is nothing of that name.
    """
    wanted = " ".join(word.split()).casefold()
    if not wanted:
        listed = _list()
        return Result((), lines=tuple(listed), answer=Answer(f"listed {len(chapters())} chapters", FIRST))
    chapter = next((one for one in chapters() if wanted in (one.name, one.title.casefold())), None)
    if chapter is not None:
        return _answer(_all_of(chapter, commands), f"showed the chapter '{chapter.title}'", _see_also(wanted))
    section = _section(wanted, commands)
    if section is not None:
        title, found = section
        return _answer(chapter_lines(found), f"showed the section '{title}'")
    from decalgen.commands.keys import explain_keys, known_words

    if slug(wanted) in {slug(one) for one in known_words()}:
        return explain_keys(wanted)
    raise _nothing(word, known_words())


def _answer(lines: Sequence[str], done: str, more: Sequence[str] = ()) -> Result:
    every = [*lines, *([""] if more else []), *more]
    return Result((), lines=tuple(every), answer=Answer(done, "decalgen handbook -o handbook.pdf"))


def _list() -> list[str]:
    wide = max(len(one.name) for one in chapters()) + 2
    lines = ["Chapters of the handbook", ""]
    for one in chapters():
        lines += wrap(one.title, WIDE, initial_indent=f"  {one.name:<{wide}}", subsequent_indent=" " * (wide + 2))
    return [
        *lines,
        "",
        *wrap("`decalgen help CHAPTER` shows one here; `decalgen handbook` prints them all, with pictures. "
              "`decalgen keys` explains the keys of your files, `decalgen COMMAND --help` a command.", WIDE),
    ]  # fmt: skip


def _all_of(chapter: Chapter, commands: Sequence[CommandEntry]) -> list[str]:
    return chapter_lines(_parts(chapter, commands))


def _parts(chapter: Chapter, commands: Sequence[CommandEntry]) -> tuple[BookPart, ...]:
    """The parts of a chapter with its tables; those of keys are left to `decalgen keys`, which has the room."""
    from decalgen.commands.handbook_tables import fill_tables

    def named(key: str) -> str:
        return f"`decalgen keys {key.removeprefix('keys ')}` lists them, each with an example."

    text = TABLE.sub(lambda m: named(m["key"]) if m["key"].startswith("keys ") else m[0], chapter.text)
    return parts(chapter, fill_tables(text, commands))


def _section(wanted: str, commands: Sequence[CommandEntry]) -> tuple[str, list[BookPart]] | None:
    """A section by its title, with what stands under it."""
    for chapter in chapters():
        title = next((one for one in chapter.sections() if one.casefold() == wanted), None)
        if title is None:
            continue
        found: list[BookPart] = []
        for part in _parts(chapter, commands):
            if isinstance(part, BookHeading):
                if found:
                    break
                if part.text != title:
                    continue
            elif not found:
                continue
            found.append(part)
        return title, found
    return None


def _see_also(wanted: str) -> list[str]:
    """The page of keys of the same name."""
    from decalgen.job.reference import topics

    return [f"`decalgen keys {wanted}` explains the keys."] if wanted in dict(topics()) else []


def _nothing(word: str, words: Sequence[str]) -> DecalgenError:
    known = [*(one.name for one in chapters()), *words]
    known += [title for one in chapters() for title in one.sections()]
    fix = did_you_mean(" ".join(word.split())[:60], list(dict.fromkeys(known)))
    if not fix.startswith("did"):
        fix = "`decalgen help` lists the chapters, `decalgen keys` the topics of keys"
    return DecalgenError(f"there is no help on '{word[:60]}'", fix=fix)
