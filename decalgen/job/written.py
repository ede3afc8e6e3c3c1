"""Values written as YAML, so that the reader of job files gets back just what was meant."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

YamlValue = str | Sequence["YamlValue"] | Mapping[str, "YamlValue"]
"""A text, a list of values, or a group of them by key."""

_BEGINS = re.compile(r"[!&*?|>@`\"'%#{}\[\],:]|-(?:\s|$)|---|\.\.\.")
_INSIDE = re.compile(r":(?:\s|$)|\s#|^\s|\s$")
_BRACKETS = re.compile(r"[\[\]{},]")
_MEANS_NOTHING = ("", "-", "~", "null", "Null", "NULL")
_UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\xa0\xad\u1680\u2000-\u200f\u2028-\u202f\u205f-\u2069\u3000\ud800-\udfff\ufeff\ufff9-\uffff]"
)
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}


class Bracketed(dict[str, "YamlValue"]):
    """A group that is written in brackets, on the line of its key, as people write a short one."""


class ShortList(list["YamlValue"]):
    """A list that is written in brackets, on the line of its key."""


def scalar(text: str, *, flow: bool = False, quote: str = "") -> str:
    """A text as a value, in the quotes that stood there (``quote``) if they still serve, plain where it can be, else in
    quotes; so is ?, which our reader takes bare, but an editor marks: in YAML it is the sign of a key (1.2.2, 8.2.2).
    ``flow``: inside brackets."""
    if _UNSEEN.search(text) or "\n" in text:
        return _double(text)
    if quote == '"':
        return _double(text)
    if quote == "'":
        return _single(text)
    if text in _MEANS_NOTHING or _BEGINS.match(text) or _INSIDE.search(text) or (flow and _BRACKETS.search(text)):
        return _single(text) if '"' in text or "\\" in text else _double(text)
    return text


def key_text(text: str, *, flow: bool = False) -> str:
    """A text as a key."""
    return scalar(text, flow=flow)


def in_brackets(value: YamlValue) -> str:
    """A value in one line, lists and groups in brackets."""
    if isinstance(value, str):
        return scalar(value, flow=True)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key_text(key, flow=True)}: {in_brackets(one)}" for key, one in value.items()) + "}"
    return "[" + ", ".join(in_brackets(one) for one in value) + "]"


def after_colon(value: YamlValue, indent: int, end: str = "\n", step: int = 2) -> str:
    """What follows ``key:`` where no brackets are round it: a text on the same line, all else on lines of its own,
    ``indent`` deep and each group in it ``step`` deeper, in lists 2; lines end with ``end``."""
    if isinstance(value, str):
        return f" {scalar(value)}"
    if not value or isinstance(value, Bracketed | ShortList):
        return f" {in_brackets(value)}"
    return "".join(f"{end}{row}" for row in rows(value, indent, end, step))


def rows(value: YamlValue, indent: int, end: str = "\n", step: int = 2) -> list[str]:
    """A group or a list line by line, without brackets round it. A row may hold several lines."""
    lead = " " * indent
    if isinstance(value, str):
        return [lead + scalar(value)]
    if isinstance(value, Mapping):
        return [f"{lead}{key_text(key)}:{after_colon(one, indent + step, end, step)}" for key, one in value.items()]
    return [lead + "- " + end.join(_item(one, indent + 2, end)).lstrip() for one in value]


def _item(value: YamlValue, indent: int, end: str) -> list[str]:
    if not isinstance(value, str | Bracketed | ShortList) and value:
        return rows(value, indent, end)
    return [in_brackets(value) if not isinstance(value, str) else scalar(value)]


def _double(text: str) -> str:
    return '"' + "".join(_ESCAPES.get(c) or _escaped(c) for c in text) + '"'


def _escaped(c: str) -> str:
    return (f"\\U{ord(c):08x}" if ord(c) > 0xFFFF else f"\\u{ord(c):04x}") if _UNSEEN.match(c) else c


def _single(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
