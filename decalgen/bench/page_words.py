"""What commands say, as it is said on the page: where a fix names a command or an option that has a place here, the
place is named instead. What has none keeps its command."""

from __future__ import annotations

import re
from collections.abc import Sequence

_PLACES: Sequence[tuple[str, str]] = (
    # Of Sheet.
    (r" \(`--nest-again`\)", r' ("Nest again" on Sheet)'),
    (r"`?--nest-again`?", r'"Nest again" on Sheet'),
    (r"add `--film` with", r"add, under Film on Sheet,"),
    (r" with `--film`", r" under Film on Sheet"),
    (r"`--film`", r"Film on Sheet"),
    (r"give `--gap`", r"set gap, under How it is nested on Sheet, to"),
    (r"`--gap`", r"gap under How it is nested on Sheet"),
    # Of Measure.
    (r"type the readings in: decalgen measure \S+", r"type the readings in on Measure"),
    (r"`decalgen measure [^`]*`", r"Measure"),
    # Of Proof.
    (r".*--code.*", r"read it off the sheet that you measured: five letters, printed large"),
    (r"--sheet (\d+)", r"type \1 in Sheet"),
    (r"with `decalgen proof`", r"on Proof"),
    (r"`decalgen proof`", r"Proof"),
    # Of Printer.
    (r"\(`decalgen calibrate print`\)", r"(see Printer)"),
    (r"`decalgen calibrate print` writes the target", r"Printer makes the target"),
    # Of Film.
    (r"with `decalgen film add [^`]*`", r"on Film"),
    (r"`decalgen film (?:list|show)[^`]*`", r"Film"),
)
"""By patterns, each tried in turn: the words of a command, and those of the page."""


def on_page(words: str) -> str:
    """What a command says, as the page says it."""
    for command, place in _PLACES:
        words = re.sub(command, place, words)
    return words
