"""The shapes of a decal as sentences with blanks, and all that each could say besides.

Made from the marks of their keys alone: a new shape needs nothing here.
"""

from __future__ import annotations

from collections.abc import Container, Iterator
from typing import Any

from decalgen.bench.blanks import Blank, as_text, choices_of
from decalgen.bench.come_to import come_to
from decalgen.bench.letterings import MEASURES
from decalgen.core import keys
from decalgen.core.keys import Spec, specs
from decalgen.job.edits import Path
from decalgen.job.elements import Placing
from decalgen.job.key_words import OPTIONAL, REQUIRED, default, meaning, takes, unit
from decalgen.job.model import Decal
from decalgen.shapes import registry
from decalgen.shapes.base import Element

_AFTER = {"width": "wide", "height": "high"}
"""Keys that read better after their value."""
_BESIDE = tuple(f"match: {key}" for key in MEASURES)
"""What has blanks of its own, beside what the drawing has of each."""


def shape_rows(
    group: dict[str, Any], decal: Decal, inks: tuple[str, ...], asked: Container[str] = ()
) -> list[dict[str, Any]]:
    """The shapes of a decal, whose keys and values are the ``group``, in the order they are painted: ``blanks`` of what
    stands in the file; ``said``: texts and the numbers of these, in turn; ``more``: whether there is more to say.
    ``all``, of the shapes whose places in words are ``asked`` for: every key that may stand there, with what it means,
    takes and is without."""
    found = []
    artwork = group.get("artwork")
    items = artwork if isinstance(artwork, list) else []
    drawn = decal.artwork if len(decal.artwork) == len(items) else (None,) * len(items)
    for number, (item, element) in enumerate(zip(items, drawn, strict=True)):
        if not (isinstance(item, dict) and len(item) == 1):
            continue
        (shape, body), *_ = item.items()
        path: Path = ("decals", decal.name, "artwork", number, shape)
        every = list(key_blanks(shape, body if isinstance(body, dict) else {}, path, inks, element))
        written = [(kind, one) for kind, one in every if one.written and one.label not in _BESIDE]
        more = isinstance(body, dict) or not body
        whole = more and " ".join(map(str, path)) in asked
        found.append(
            {
                "shape": shape,
                "at": list(path),
                "blanks": [one.told() for _, one in written],
                "said": _sentence(shape, written),
                "more": more,
                "all": [one.told() for _, one in every] if whole else [],
            }
        )
    return found


def key_blanks(
    shape: str, body: dict[str, Any], path: Path, inks: tuple[str, ...], element: Element | None = None
) -> Iterator[tuple[keys.Key, Blank]]:
    """Every key of a shape in the order of its marks, then where it lies, with its kind; what an expression comes to is
    that of the ``element``."""
    cls = registry.load().get(shape)
    if cls is None:
        return
    marks: Any = cls
    for spec in specs(marks):
        yield from _of_spec(spec, body, path, inks, element and element.shape)
    for spec in specs(Placing):
        yield from _of_spec(spec, body, path, inks, element)


def _of_spec(
    spec: Spec, body: dict[str, Any], path: Path, inks: tuple[str, ...], read: object, of: str = ""
) -> Iterator[tuple[keys.Key, Blank]]:
    """``read``: what has the value of the key as the job was read; None where nothing has."""
    kind, value = spec.kind, body.get(spec.key)
    if isinstance(kind, keys.Block) and (value is None or isinstance(value, dict)):
        inside: Any = kind.of
        for one in specs(inside):
            yield from _of_spec(
                one, value or {}, (*path, spec.key), inks, getattr(read, spec.name, None), f"{of}{spec.key}: "
            )
        return
    label = f"{of}{spec.key}"
    words = _words(kind, value)
    yield (
        kind,
        Blank(
            label,
            (*path, spec.key),
            as_text(value),
            come_to(kind, value, getattr(read, spec.name, None)),
            help_words(spec),
            choices_of(kind, inks),
            spec.key in body,
            value,
            words,
            unit=unit(kind),
        ),
    )


def help_words(spec: Spec) -> str:
    """What a key means, what may be written, its unit, and what holds without it: 'How many rows: a whole number.'"""
    means, kind, without = meaning(spec.kind), spec.kind, default(spec)
    said = f"{means[:1].upper()}{means[1:]}"
    said += f" ({takes(kind)}{f', {unit(kind)}' if unit(kind) else ''})."
    if without == REQUIRED:
        return f"{said} It must be given."
    return said if without == OPTIONAL else f"{said} If left out: {without}."


def _sentence(shape: str, blanks: list[tuple[keys.Key, Blank]]) -> list[str | int]:
    """What stands in the file in words: 'Checks, 2 rows, 12 columns, 2.40 mm high, at top, in white and black.'"""
    said: list[str | int] = [f"{shape[:1].upper()}{shape[1:].replace('-', ' ')}"]
    for number in sorted(range(len(blanks)), key=lambda found: _turn(*blanks[found])):
        before, after = _round(*blanks[number])
        said += [f", {before}", number, after]
    return [*said, "."]


def _turn(kind: keys.Key, one: Blank) -> int:
    """The words of lettering first, sizes in the middle, then where it lies, and inks last."""
    if isinstance(kind, keys.Lines) and one.label == "text":
        return 0
    if one.label == "at":
        return 2
    return 3 if _of_inks(kind) and one.label in ("ink", "inks") else 1


def _round(kind: keys.Key, one: Blank) -> tuple[str, str]:
    """The words before and after a value."""
    if _of_inks(kind) and one.label in ("ink", "inks"):
        return "in ", ""
    if one.label in _AFTER:
        return "", f" {_AFTER[one.label]}"
    counted = isinstance(kind, keys.Count) or (isinstance(one.raw, list) and one.words == str(len(one.raw)))
    if counted and one.label.endswith("s"):
        group, colon, key = one.label.rpartition(": ")
        return f"{group}{colon}", f" {key[:-1] if '1' in (one.shown, one.words) else key}"
    return ("", "") if one.label == "text" else (f"{one.label} ", "")


def _of_inks(kind: keys.Key) -> bool:
    return isinstance(kind, keys.InkName) or (isinstance(kind, keys.Many) and isinstance(kind.of, keys.InkName))


def _words(kind: keys.Key, value: Any) -> str:
    """A list without its brackets: 'white and harbour teal'; how many there are of what is a list itself; '' where a
    value reads as it stands."""
    if not isinstance(value, list) or not value:
        return ""
    if not all(isinstance(one, str) for one in value):
        return str(len(value))
    if _of_inks(kind) and len(value) > 1:
        return f"{', '.join(value[:-1])} and {value[-1]}"
    return (" / " if isinstance(kind, keys.Lines) else ", ").join(value)
