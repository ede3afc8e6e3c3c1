"""Words on the command line that belong together and were typed without quotation marks: ``--film white A5``; and
options whose value was forgotten."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from itertools import pairwise

import click

from decalgen.core.names import british

_FILM = re.compile(
    r"clear|white|film|inkjet|laser|waterslide|self(?:-?adhesive)?|adhesive|landscape|portrait|half|letter|legal|tabloid"
    r"|[ab]\d|by|[x\u00d7*]|mm|cm|in|inch|inches|\d[\d.,/]*(?:mm|cm|in)?(?:[x\u00d7*]\d[\d.,/]*)?(?:mm|cm|in)?",
    re.IGNORECASE,
)
"""What a film by words may be made of; a file has an ending, and a job is a file."""
_NUMBER = re.compile(r"-?\d[\d.,/]*")
_UNIT = re.compile(r"mm|cm|in|inch|inches|s|min", re.IGNORECASE)
_WITH_UNITS = ("--gap", "--effort", "--x", "--y", "--cap", "--length", "--stem", "--crossbar")
_MARKS = "'\"\u2018\u2019\u201c\u201d\u201e"


def gathered(words: Sequence[str], commands: Collection[str]) -> list[str]:
    """The words as they were meant: those of a film, and a number with its unit, are one; a command's name, and an
    option's, are in the spelling that is known here. ``commands``: the names that may come first."""
    words = [_respelt(word, number < 2, commands) for number, word in enumerate(words)]
    found: list[str] = []
    at = 0
    while at < len(words):
        word = words[at]
        at += 1
        name, sign, value = word.partition("=")
        film = name == "--film" or (found[-2:] == ["film", "add"] and len(found) == 2 and not word.startswith("-"))
        if film and (sign or name != "--film"):
            whole, at = _film(value if sign else word, words, at)
            found.append(f"{name}={whole}" if sign else whole)
        elif film and at < len(words):
            whole, at = _film(words[at], words, at + 1)
            found += [word, whole]
        elif name in _WITH_UNITS and not sign and at + 1 < len(words):
            joined = _NUMBER.fullmatch(words[at]) and _UNIT.fullmatch(words[at + 1])
            found += [word, f"{words[at]} {words[at + 1]}" if joined else words[at]]
            at += 2 if joined else 1
        else:
            found.append(word)
    return found


def check_values(context: click.Context, command: click.Command, words: Sequence[str]) -> None:
    """Raises UsageError where an option of the command takes the next option for its value: ``--code --x 100``."""
    while isinstance(command, click.Group) and words and words[0] in command.commands:
        command, words = command.commands[words[0]], words[1:]
        context = click.Context(command, context, command.name)
    options = [one for one in command.params if isinstance(one, click.Option)]
    known = {name for one in options for name in (*one.opts, *one.secondary_opts)}
    valued = {name: one for one in options if not one.is_flag and not one.count for name in one.opts}
    for name, after in pairwise(words):
        if name == "--":
            return
        if name in valued and after in known:
            raise click.UsageError(f"{name} has no value: '{after}' comes right after it", context)


def _film(first: str, words: Sequence[str], at: int) -> tuple[str, int]:
    """The words of a film from its first on, and which word follows them."""
    parts = [first]
    if not all(_FILM.fullmatch(part.strip(_MARKS)) for part in first.split()):
        return first, at
    while at < len(words) and _FILM.fullmatch(words[at].strip(_MARKS)):
        parts.append(words[at])
        at += 1
    return (" ".join(part.strip(_MARKS) for part in parts) if len(parts) > 1 else first), at


def _respelt(word: str, first: bool, commands: Collection[str]) -> str:
    if word.startswith("--"):
        name, sign, value = word.partition("=")
        return british(name) + sign + value
    return british(word) if first and word not in commands and british(word) in commands else word
