"""Files that decalgen keeps for itself, as JSON that one can read: values to plain data and back, and a seal.

A kept file names its form and version first and ends with a digest of its own content, so that one that was changed is
told as changed, whatever it says. The seal keeps out slips and second thoughts, not forgers. Pure: text in, text out.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from decalgen.core.errors import InputError
from decalgen.core.values import dataclass

SEAL = "content"
"""The key of the digest."""


class MisfitError(ValueError):
    """Plain data that are not of a kind; the message says where."""


@dataclass(frozen=True)
class Form:
    """A form of kept file. ``family``: the words before its version; ``newest``: the version written now; ``sealed``:
    the first that carries a seal; ``what``: what such a file is, for messages; ``fix``: what helps with a bad one."""

    family: str
    newest: int
    sealed: int
    what: str
    fix: str


def plain(value: object) -> Any:
    """Values as JSON knows them: a dataclass is an object by its fields' names, a sequence a list."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    return value


def value_of(kind: Any, data: Any, where: str = "it") -> Any:
    """The value of a kind in plain data: a dataclass, tuple, mapping of text, Literal, union, text, number or bool.

    A key that is missing takes its field's default. Raises MisfitError for what does not fit, naming where.
    """
    if kind is Any:
        return data
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        return _one_of(inner, data, where)
    if origin is Literal:
        if data not in inner or isinstance(data, bool) != isinstance(inner[0], bool):
            raise MisfitError(f"{where} is none of {', '.join(map(str, inner))}")
        return data
    if origin is tuple:
        return _tuple(inner, data, where)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        if not isinstance(data, dict):
            raise MisfitError(f"{where} has no keys")
        return {key: value_of(inner[1], one, f"{where}, {key}") for key, one in data.items()}
    if is_dataclass(kind):
        return _dataclass(kind, data, where)
    return _scalar(kind, data, where)


def _scalar(kind: Any, data: Any, where: str) -> Any:
    if kind in (None, NoneType) and data is None:
        return None
    if kind is float and isinstance(data, int | float) and not isinstance(data, bool):
        # A whole number of a thousand digits is not a length.
        number = float(data) if abs(data) < 1e15 else math.inf
        if math.isfinite(number):
            return number
    elif kind in (str, bool, int) and type(data) is kind:
        return data
    raise MisfitError(f"{where} is {str(data)[:40]!r}, not {getattr(kind, '__name__', kind)}")


def _one_of(kinds: tuple[Any, ...], data: Any, where: str) -> Any:
    for kind in kinds:
        try:
            return value_of(kind, data, where)
        except MisfitError as error:
            said = error
    raise said


def _tuple(inner: tuple[Any, ...], data: Any, where: str) -> tuple[Any, ...]:
    if not isinstance(data, list):
        raise MisfitError(f"{where} is not a list")
    kinds = inner[:1] * len(data) if inner[-1] is Ellipsis else inner
    if len(kinds) != len(data):
        raise MisfitError(f"{where} has {len(data)} values, not {len(kinds)}")
    return tuple(value_of(kind, one, f"{where}, {n}") for n, (kind, one) in enumerate(zip(kinds, data, strict=True), 1))


def _dataclass(kind: Any, data: Any, where: str) -> Any:
    if not isinstance(data, dict):
        raise MisfitError(f"{where} has no keys")
    hints = _hints(kind)
    known = {one.name: one for one in fields(kind)}
    for key in data:
        if key not in known:
            raise MisfitError(f"{where} has an unknown key '{key[:40]}'")
    missing = [
        name
        for name, one in known.items()
        if name not in data and one.default is MISSING and one.default_factory is MISSING
    ]
    if missing:
        raise MisfitError(f"{where} lacks '{missing[0]}'")
    return kind(**{name: value_of(hints[name], data[name], f"{where}, {name}") for name in known if name in data})


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def write_kept(form: Form, data: Mapping[str, Any]) -> bytes:
    """A kept file's bytes: form first, seal last, a list's entries a line each."""
    whole = {"form": f"{form.family} {form.newest}", **plain(data)}
    rows = [f" {json.dumps(key, ensure_ascii=False)}: {_rows(value)}" for key, value in _sealed(whole).items()]
    return ("{\n" + ",\n".join(rows) + "\n}\n").encode("utf-8")


def read_kept(text: str, form: Form, shown: str) -> tuple[int, dict[str, Any]]:
    """The version and the data of a kept file, without form and seal. ``shown`` names it in messages.

    Raises InputError for what is no such file, is newer, or was changed since it was written.
    """
    bad = InputError(f"'{shown}' is not {form.what}", fix=form.fix)
    try:
        data = json.loads(text)
        json.dumps(data, ensure_ascii=False).encode("utf-8")  # half of a character, escaped, is no text
    except (ValueError, RecursionError):
        raise bad from None
    said = data.pop("form", None) if isinstance(data, dict) else None
    if not isinstance(said, str) or not said.startswith(f"{form.family} "):
        raise bad
    number = said.removeprefix(f"{form.family} ")
    if not number.isascii() or not number.isdigit() or len(number) > 6:
        raise bad
    version = int(number)
    if version > form.newest:
        raise InputError(f"'{shown}' was written by a newer version of decalgen", fix="install that version")
    if version >= form.sealed:
        total = data.pop(SEAL, None)
        if total != _total({"form": said, **data}):
            raise InputError(f"'{shown}' was changed since decalgen wrote it", fix=form.fix)
    return version, data


def _sealed(data: Mapping[str, Any]) -> dict[str, Any]:
    return {**data, SEAL: _total(data)}


def _total(data: Mapping[str, Any]) -> str:
    """SHA-256 of the data, however they are laid out in the file."""
    text = json.dumps(data, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _rows(value: Any) -> str:
    if isinstance(value, list) and value and all(isinstance(one, dict | list) for one in value):
        return "[\n  " + ",\n  ".join(json.dumps(one, ensure_ascii=False) for one in value) + "\n ]"
    if isinstance(value, dict) and any(isinstance(one, dict | list) for one in value.values()):
        inner = ",\n".join(
            f"  {json.dumps(key, ensure_ascii=False)}: {json.dumps(one, ensure_ascii=False)}"
            for key, one in value.items()
        )
        return "{\n" + inner + "\n }"
    return json.dumps(value, ensure_ascii=False)
