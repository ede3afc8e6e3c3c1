"""What every page of `decalgen keys` says, as values: made from the marks of the keys alone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from decalgen.core import keys
from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.values import dataclass
from decalgen.job.examples import example
from decalgen.job.key_groups import KeyGroup, KeyPage, pages
from decalgen.job.key_words import as_written, default, group, in_lines, meaning, takes, unit
from decalgen.job.written import YamlValue


@dataclass(frozen=True)
class KeyRow:
    """One key. ``unit``: 'mm', '°' or ''; ``takes``: what may be written after it; ``default``: what holds without it,
    in the words of a file, or 'required', or 'optional'; ``example``: the key as it stands in a file, with the keys it
    needs beside it; ``topic``: the page, or the part of one, that explains what stands inside it, or ''."""

    key: str
    meaning: str
    unit: str
    takes: str
    default: str
    example: str
    topic: str = ""


@dataclass(frozen=True)
class KeySection:
    """A group of keys: where it stands, what must be given, its rows, and an example with all that is round it."""

    name: str
    about: str
    where: str
    needs: str
    rows: tuple[KeyRow, ...]
    example: str


@dataclass(frozen=True)
class KeyTopic:
    """A page: one group of keys, or several that belong together."""

    name: str
    about: str
    sections: tuple[KeySection, ...]


def topics() -> tuple[tuple[str, str], ...]:
    """The name of every page and one line on it."""
    return tuple((page.name, page.about) for page in pages().values())


def reference(topic: str) -> KeyTopic:
    """A page by its name. Raises `DecalgenError`, with the nearest name, where there is none."""
    known = pages()
    if topic not in known:
        raise DecalgenError(f"there is no topic '{topic[:60]}'", fix=did_you_mean(topic[:60], list(known)))
    return _topic(known[topic])


def used_in(key: str) -> tuple[tuple[str, str, KeyRow], ...]:
    """Every place where a key may stand: the page, the section and its row."""
    return tuple(
        (page, section.name, row) for page, section in every_section() for row in section.rows if row.key == key
    )


@cache
def every_section() -> tuple[tuple[str, KeySection], ...]:
    """Every group of keys there is, with the page it is on."""
    return tuple((page.name, section) for page in pages().values() for section in _topic(page).sections)


def _topic(page: KeyPage) -> KeyTopic:
    return KeyTopic(page.name, page.about, tuple(_section(one) for one in page.groups))


def _section(one: KeyGroup) -> KeySection:
    return KeySection(
        one.name, one.about, one.where, needs(one), tuple(_row(one, spec) for spec in one.specs()), shown(one)
    )


def _row(one: KeyGroup, spec: keys.Spec) -> KeyRow:
    return KeyRow(
        spec.key,
        meaning(spec.kind),
        unit(spec.kind),
        takes(spec.kind),
        default(spec),
        "\n".join(in_lines(lines_of(one, spec))),
        topic_of(spec.kind),
    )


def lines_of(one: KeyGroup, spec: keys.Spec) -> dict[str, YamlValue]:
    """A key with a value, and the keys that must stand beside it."""
    by_key = {found.key: found for found in one.specs()}
    return {key: value_of(one, by_key[key]) for key in (spec.key, *spec.kind.beside)}


def value_of(one: KeyGroup, spec: keys.Spec) -> YamlValue:
    """A value for a key: the shape's, where it is not what holds anyway, the mark's own, or one of that kind."""
    kind = spec.kind
    given = (one.given or {}).get(spec.name, spec.default)
    if given is not None and given != spec.default:
        return as_written(kind, given)
    if kind.example is not None:
        return _frozen(kind.example)
    if isinstance(kind, keys.Flag):
        return "no" if spec.default else "yes"
    if isinstance(kind, keys.Choice):
        return next(word for word in kind.options if word != spec.default)
    if isinstance(kind, keys.InkName):
        return as_written(kind, "")
    if isinstance(kind, keys.Block):
        return of_class(kind.of)
    if isinstance(kind, keys.Part):
        inner = value_of(one, replace(spec, kind=kind.of[-1]))
        return [inner] if kind.many else inner
    if isinstance(kind, keys.Two):
        return [example(kind.of)] * 2
    if isinstance(kind, keys.Many):
        inner = value_of(one, replace(spec, kind=kind.of))
        return [inner] * max(1, kind.least)
    return example(kind)


def of_class(cls: type[Any]) -> dict[str, YamlValue]:
    """The keys that a group must have, with a value each; of one that must have none, all."""
    own = KeyGroup("", "", "", (cls,))
    needed = [spec for spec in own.specs() if spec.required] or list(own.specs())
    return {spec.key: value_of(own, spec) for spec in needed}


def own_example(one: KeyGroup) -> dict[str, YamlValue]:
    """The group's own keys in its example: the shape's own example; or what must be given, in the first way there is,
    with some more; and where nothing must, all that is no group."""
    if one.given is not None:
        return group(one.classes[0], one.given)
    first = {*one.first, *next(iter(one.ways), ())}
    specs = [spec for spec in one.specs() if spec.required or spec.key in first]
    specs = specs or [spec for spec in one.specs() if not isinstance(spec.kind, keys.Named | keys.Part | keys.Block)]
    found: dict[str, YamlValue] = {}
    for spec in specs:
        found |= lines_of(one, spec)
    return found


def shown(one: KeyGroup) -> str:
    """The example of a group with all that is round it, in lines."""
    return "\n".join(in_lines(one.around(own_example(one))))


def needs(one: KeyGroup) -> str:
    """Which keys must be given, where there is more than one way."""
    if len(one.ways) < 2:
        return ""
    return "; or ".join(" and ".join(_in_order(way, one)) for way in _without_twins(one)) + _twins_line(one)


def _in_order(way: frozenset[str], one: KeyGroup) -> list[str]:
    return [f"`{spec.key}`" for spec in one.specs() if spec.key in way]


def _twins(one: KeyGroup) -> list[str]:
    """Keys that stand for one another in every way: the length of a bent panel is its width or height too."""
    every = sorted({key for way in one.ways for key in way})
    whole = set(one.ways)
    for first in every:
        found = [first]
        for other in every:
            both = any({first, other} <= way for way in one.ways)
            if other != first and not both and {_swapped(way, first, other) for way in one.ways} == whole:
                found.append(other)
        if len(found) > 2:
            return [spec.key for spec in one.specs() if spec.key in found]
    return []


def _swapped(way: frozenset[str], a: str, b: str) -> frozenset[str]:
    return frozenset(b if key == a else a if key == b else key for key in way)


def _without_twins(one: KeyGroup) -> list[frozenset[str]]:
    later = set(_twins(one)[1:])
    return [way for way in one.ways if not way & later]


def _twins_line(one: KeyGroup) -> str:
    twins = _twins(one)
    others = " or ".join(f"`{key}`" for key in twins[1:])
    return f" ({others} may stand for `{twins[0]}`)" if twins else ""


def topic_of(kind: keys.Key) -> str:
    """The page, or the part of one, that explains what stands inside a value of this kind, or ''."""
    if isinstance(kind, keys.Named | keys.Part):
        return kind.topic
    if isinstance(kind, keys.Anchored):
        return "at"
    if isinstance(kind, keys.Block | keys.Many):
        inner = kind.of if isinstance(kind, keys.Block) else getattr(kind.of, "of", None)
        return next((one.name for page in pages().values() for one in page.groups if inner in one.classes), "")
    return ""


def _frozen(value: object) -> YamlValue:
    """A mark's example, whose lists are tuples and whose groups are pairs in a dict, as a value to be written."""
    if isinstance(value, tuple):
        return [_frozen(one) for one in value]
    if isinstance(value, dict):
        return {key: _frozen(one) for key, one in value.items()}
    return str(value)


def takes_words(row: KeyRow) -> str:
    """What may be written after a key, with its unit."""
    return row.takes + {"mm": ", in mm", "°": ", in degrees"}.get(row.unit, "")


def markdown(section: KeySection) -> str:
    """The rows of a section as a table of Markdown: key, meaning, what it takes, default, example."""
    lines = ["| key | meaning | takes | default | example |", "|---|---|---|---|---|"]
    for row in section.rows:
        example = "<br>".join(f"`{line}`" for line in row.example.replace("|", "\\|").split("\n"))
        lines.append(f"| `{row.key}` | {row.meaning} | {takes_words(row)} | {row.default} | {example} |")
    return "\n".join(lines)
