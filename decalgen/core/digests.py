"""A fixed text form of named values, and its SHA-256: what fingerprints and kept files are told apart by.

The form depends on names and values alone, never on how Python shows a value or what a class is called: a dataclass
is its fields, sorted, a line each; a number has nine decimals at most and no zeros at their end, so that 3 and 3.0 are
one; text is quoted as in JSON (RFC 8259).
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass

DECIMALS = 9
"""Of a number: a millionth of a micrometre where it is a length in mm."""


def text_form(value: object, leave_out: Iterable[str] = (), indent: int = 0) -> str:
    """The text of a value: a dataclass or mapping as sorted 'name: value' lines, a sequence an item a line.

    ``leave_out``: fields of the outermost dataclass that do not count. Raises TypeError for a kind of value that has no
    such form (sets have no order, objects no names), ValueError for a number that is not finite.
    """
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=True)
    if isinstance(value, int):
        return str(int(value))
    if isinstance(value, float):
        return _number(value)
    if is_dataclass(value) and not isinstance(value, type):
        kept = [one.name for one in fields(value) if one.name not in set(leave_out)]
        return _lines({name: getattr(value, name) for name in kept}, indent)
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise TypeError("only text names a value")
        return _lines(value, indent)
    if isinstance(value, Sequence) and not isinstance(value, bytes | bytearray | memoryview):
        step = "\n" + " " * (indent + 1)
        return f"{len(value)} of" + "".join(f"{step}- {text_form(one, (), indent + 1)}" for one in value)
    raise TypeError(f"a {type(value).__name__} has no text form")


def digest_of(value: object, leave_out: Iterable[str] = ()) -> str:
    """SHA-256 of the text form, in hexadecimal. Raises what `text_form` raises."""
    return hashlib.sha256(text_form(value, leave_out).encode("ascii")).hexdigest()


def _number(value: float) -> str:
    if not math.isfinite(value):
        raise ValueError(f"{value} is not finite")
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    # Nothing is nothing, whichever side it was reached from.
    return "0" if text == "-0" else text


def _lines(named: Mapping[str, object], indent: int) -> str:
    step = "\n" + " " * (indent + 1)
    rows = (f"{step}{json.dumps(name)[1:-1]}: {text_form(named[name], (), indent + 1)}" for name in sorted(named))
    return f"{len(named)} named" + "".join(rows)
