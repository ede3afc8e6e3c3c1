"""Commands as a person types or pastes them."""

from __future__ import annotations

import shlex
from collections.abc import Iterable

PLAIN = "-_./\\:=+,"
"""Signs that need no quotes in any shell, beside letters and digits."""


def quoted(word: str) -> str:
    """A word as it is typed on a command line: in double quotes, which every shell takes, where it needs any; what a
    shell would still read inside them is quoted as POSIX shells need it."""
    if word and all(sign.isalnum() or sign in PLAIN for sign in word):
        return word
    return shlex.quote(word) if set(word) & set('"$`!') else f'"{word}"'


def typed(words: Iterable[object]) -> str:
    """A whole command, ready to paste."""
    return " ".join(quoted(str(word)) for word in words)
