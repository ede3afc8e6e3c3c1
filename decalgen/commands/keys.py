"""What `decalgen keys` says: the topics, a topic's page, or where a key may stand; 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from textwrap import wrap

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save
from decalgen.core.errors import DecalgenError, OutputError, did_you_mean
from decalgen.core.names import slug
from decalgen.job.key_words import OPTIONAL, REQUIRED
from decalgen.job.reference import (
    KeyRow,
    KeySection,
    KeyTopic,
    every_section,
    reference,
    takes_words,
    topics,
    used_in,
)
from decalgen.shapes.registry import load

EXAMPLE = "decalgen keys arc"
WIDE = 80
SMALL_WORDS = frozenset(("a", "an", "and", "as", "at", "by", "for", "from", "how", "in", "is", "it", "of", "on", "or",
                         "the", "to", "with", "what"))  # fmt: skip
"""Words that say nothing about what is looked for."""
MOST_MENTIONED = 8
KEY_COLUMN = 20
"""The widest column of keys; a longer key stands on a line of its own."""


def explain_keys(word: str | None, output: Path | None = None) -> Result:
    """The list of topics, or all about a topic or a key; ``output``: a topic's page as a picture or a document.

    Raises `DecalgenError`, with the nearest word, where there is neither topic nor key; OutputError for a picture of
    no topic.
    """
    if word is None:
        if output is not None:
            raise OutputError("a picture needs a topic", fix="name one, such as: decalgen keys panel -o panel.pdf")
        return Result((), lines=tuple(_topics()), answer=Answer(f"listed {len(topics())} topics", EXAMPLE))
    name = " ".join(word.replace("_", " ").split()).casefold()
    found, places = _sections(name), used_in(name)
    if found is None and not places:
        return _mentioned(word, name)
    lines = page_lines(found) if found else []
    if places:
        lines += [""] if lines else []
        lines += _places(name, places, also=found is not None)
    if output is None:
        draw = f"decalgen keys {name} -o {slug(name)}.pdf" if found else f"decalgen keys {places[0][0]}"
        what = f"the keys of '{name}'" if found else f"where '{name}' stands"
        return Result((), lines=tuple(lines), answer=Answer(f"explained {what}", draw))
    if found is None:
        raise OutputError(f"'{name}' is a key, and only topics are drawn", fix=f"draw {_one_of(places)}")
    from decalgen.commands.keys_picture import picture_of

    files = save(picture_of(found, output), output)
    drawn = (FileGroup("page of the topic", files),)
    return Result(files, answer=Answer(f"drew the keys of '{name}'", f"decalgen keys {name}", drawn))


def _sections(name: str) -> KeyTopic | None:
    """The page of that name; or the sections of that name out of other pages, as a kind of panel."""
    if name in dict(topics()):
        return reference(name)
    found = [(topic, one) for topic, one in every_section() if one.name == name]
    if not found:
        return None
    return KeyTopic(name, found[0][1].about, tuple(one for _, one in found))


def _mentioned(word: str, name: str) -> Result:
    """Keys that are not called so, but whose line speaks of all these words. Raises `DecalgenError` where a near name
    was meant, or none does."""
    fault = _nothing(word, name)
    words = [one for one in name.split() if one not in SMALL_WORDS]
    if len(words) < 2 and fault.fix.startswith("did"):
        raise fault
    found = [
        (topic, row)
        for topic, section in every_section()
        for row in section.rows
        if all(one in f"{topic} {section.name} {row.key} {row.meaning} ".replace(",", " ") for one in words)
    ][:MOST_MENTIONED]
    if not words or not found:
        raise fault
    lines = [f"Nothing is called '{name}'; it is spoken of at:"]
    for topic, row in found:
        lines += _hanging("  ", f"{topic}, {row.key}: {row.meaning}", further=2)
    topic, row = found[0]
    page = f"decalgen keys {row.topic or topic}"
    return Result((), lines=(*lines, f"`{page}` explains the first."), answer=Answer(f"looked for '{name}'", page))


def _nothing(word: str, name: str) -> DecalgenError:
    fix = did_you_mean(name[:60], known_words())
    if not fix.startswith("did"):
        fix = "`decalgen keys` lists the topics"
    return DecalgenError(f"there is neither a topic nor a key '{word[:60]}'", fix=fix)


def known_words() -> tuple[str, ...]:
    """Every word that is explained: topics, parts of their pages, keys."""
    known = [*dict(topics()), *(one.name for _, one in every_section())]
    known += [row.key for _, one in every_section() for row in one.rows]
    return tuple(dict.fromkeys(known))


def _one_of(places: Sequence[tuple[str, str, KeyRow]]) -> str:
    return " or ".join(f"'{page}'" for page in dict.fromkeys(page for page, _, _ in places))


def _topics() -> list[str]:
    """Every topic with its line, the shapes apart."""
    known = dict(topics())
    heads = (
        ("Files", [name for name in known if name in ("job", "film", "printer", "cutter", "layout")]),
        ("Inside a job", ["paint", "ink", "panel", "obstacle", "decal", "cut", "pin", "at"]),
        ("Shapes", list(load())),
        ("Inside lettering", ["match", "arc", "along", "outline", "inline", "shadow"]),
    )
    lines: list[str] = []
    for head, names in heads:
        lines += ["", head] if lines else [head]
        for name in names:
            about = _inside(name) if head == "Inside lettering" else known[name]
            lines += _hanging(f"  {name:<11}", about)
    return [
        *lines,
        "",
        *wrap("`decalgen keys TOPIC` explains its keys, -o draws the page; `decalgen keys KEY` says where a key "
              "stands.", WIDE),
    ]  # fmt: skip


def _inside(name: str) -> str:
    """What a group of a lettering is."""
    return next(one.about for one in reference(name).sections if one.where.endswith("of `lettering`"))


def page_lines(topic: KeyTopic) -> list[str]:
    """A page in lines."""
    several = len(topic.sections) > 1
    lines: list[str] = []
    if several and topic.name not in {one.name for one in topic.sections}:
        lines += [*wrap(f"{topic.name}: {topic.about}", WIDE), ""]
        names = ", ".join(one.name for one in topic.sections)
        lines += [*_hanging("Parts: ", f"{names}. `decalgen keys {topic.sections[1].name}` shows one alone."), ""]
    for number, section in enumerate(topic.sections):
        if number:
            lines += ["", "-" * WIDE, ""]
        lines += section_lines(section)
    return lines


def section_lines(section: KeySection) -> list[str]:
    """A group of keys in lines: what it is, where it stands, every key, an example."""
    lines = [*wrap(f"{section.name}: {section.about}", WIDE), *wrap(f"It stands {section.where}.", WIDE)]
    if section.needs:
        lines += ["", "Give one of these:"]
        for way in section.needs.split("; or "):
            lines += _hanging("  ", way, further=2)
    lines.append("")
    column = min(KEY_COLUMN, max(len(row.key) for row in section.rows) + 4)
    for row in section.rows:
        lines += _row(row, column)
    return [*lines, "", *_in_a_file(section), "", *(f"    {line}" for line in section.example.split("\n"))]


def _in_a_file(section: KeySection) -> list[str]:
    """What is said before the example: where in a job it goes, as no key may stand twice at the left margin."""
    outer = [
        line[:-1] for line in section.example.split("\n") if line.endswith(":") and not line.startswith((" ", "-"))
    ]
    if section.name == "job" or not outer:
        return ["In a file:"]
    names = " and ".join(f"`{name}:`" for name in outer)
    return wrap(f"In a file; where it has {names} already, put what is below there:", WIDE)


def _row(row: KeyRow, column: int) -> list[str]:
    """A key: what it takes and its default, what it means, and how it stands in a file."""
    words = f"{takes_words(row)}; {default_words(row)}"
    head = f"  {row.key:<{column - 2}}"
    lines = [head.rstrip()] if len(row.key) > column - 3 else []
    lines += _hanging(" " * column if lines else head, words)
    more = f"; `decalgen keys {row.topic}` lists what it may hold" if row.topic else ""
    lines += _hanging(" " * column, f"{row.meaning}{more}")
    return lines + [f"{' ' * column}  {line}" for line in row.example.split("\n")]


def default_words(row: KeyRow) -> str:
    """What holds without a key, or whether it must be there."""
    return row.default if row.default in (REQUIRED, OPTIONAL) else f"default: {row.default}"


def _places(name: str, places: Iterable[tuple[str, str, KeyRow]], also: bool) -> list[str]:
    """Where a key may stand, with what it means there."""
    lines = [f"{name} is {'also ' if also else ''}a key of:"]
    for page, section, row in places:
        of = page if section == page else f"{page}, {section}"
        lines += _hanging("  ", f"{of}: {row.meaning} ({row.takes}; {default_words(row)})", further=2)
    pages = list(dict.fromkeys(page for page, _, _ in places))
    return [*lines, *wrap(f"`decalgen keys {pages[0]}` shows it with an example.", WIDE)]


def _hanging(head: str, text: str, further: int = 0) -> list[str]:
    """A text behind a head, its further lines indented as far."""
    return wrap(text, WIDE, initial_indent=head, subsequent_indent=" " * (len(head) + further))
