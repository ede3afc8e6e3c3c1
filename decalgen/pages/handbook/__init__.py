"""The handbook: its chapters, as they lie beside this file in Markdown, one file a chapter.

A file is called `NN-name.md`: the number puts the chapter in order, the name is what commands and links call it.
Adding a file adds a chapter. What the program makes is a comment on a line of its own, filled in by
`decalgen.commands.handbook`:

    <!-- table: keys decal -->        a table that the program makes
    <!-- picture: kinds | Caption --> a picture that the program draws
"""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

from decalgen.core.errors import InputError, did_you_mean
from decalgen.core.values import dataclass

_FILE = re.compile(r"(?P<order>\d+)-(?P<name>[a-z][a-z-]*)\.md")
_TITLE = re.compile(r"# (?P<title>\S.*)")


@dataclass(frozen=True)
class Chapter:
    """One chapter: ``name`` from its file, ``title`` its first line, ``text`` all of the Markdown."""

    name: str
    title: str
    path: Path
    text: str

    @property
    def about(self) -> str:
        """Its first paragraph, which says what it is for."""
        return " ".join(self.text.split("\n\n", 2)[1].split())

    def sections(self) -> tuple[str, ...]:
        """The titles of its sections, in order."""
        outside = re.sub(r"^```.*?^```$", "", self.text, flags=re.MULTILINE | re.DOTALL)
        return tuple(re.findall(r"^## (.+)$", outside, flags=re.MULTILINE))


def chapters_folder() -> Path:
    """Where the chapters lie: in the package, installed or not."""
    return Path(__file__).parent


@lru_cache(maxsize=1)
def chapters() -> tuple[Chapter, ...]:
    """Every chapter, in order. Raises InputError for an installation without them."""
    found = []
    for path in chapters_folder().glob("*.md"):
        matched = _FILE.fullmatch(path.name)
        if matched is not None:
            found.append((int(matched["order"]), _read(matched["name"], path)))
    if not found:
        raise InputError("the chapters of the handbook are missing", fix="install decalgen again")
    return tuple(chapter for _, chapter in sorted(found, key=lambda pair: pair[0]))


def chapter(name: str) -> Chapter:
    """The chapter of this name or title; case does not matter. Raises InputError, with the nearest, for none."""
    wanted = name.strip().casefold()
    for one in chapters():
        if wanted in (one.name, one.title.casefold()):
            return one
    raise InputError(f"the handbook has no chapter '{name}'", fix=did_you_mean(name, [one.name for one in chapters()]))


def _read(name: str, path: Path) -> Chapter:
    text = path.read_text(encoding="utf-8")
    head = _TITLE.match(text)
    if head is None:
        raise InputError(f"the chapter '{path.name}' has no title", fix="begin it with a line '# Title'")
    return Chapter(name, head["title"].strip(), path, text)
