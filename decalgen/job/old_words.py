"""Words of job and printer files that were changed: the old one is read as the new one, and a note says so.

Keys are renamed as soon as a file is read, before anything is laid over anything else, so that a variant that writes
the new word still replaces what its job writes in the old one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from collections.abc import Mapping as MappingOf
from dataclasses import replace

from decalgen.core.errors import Finding
from decalgen.core.names import spelt_as
from decalgen.job.nodes import Listing, Mapping, Node, Scalar
from decalgen.job.problems import Problems

DECAL = {"base": "backing", "base choke": "backing choke"}
PRINTER = {"shear": "lean"}
CALIBRATION = {"shear": "lean", "u shear": "u lean"}
SHAPES = {"group": {"rotate": "turn"}, "star": {"rotation": "turn"}}
PANEL_KINDS = {"cap": "dome"}


def renamed(group: Mapping, words: MappingOf[str, str], problems: Problems) -> Mapping:
    """The group with each old key under its new name, noted; an old key beside the new one is a mistake."""
    if not any(key.text in words for key, _ in group.entries):
        return group
    entries = []
    for key, value in group.entries:
        new = words.get(key.text)
        if new is None:
            entries.append((key, value))
        elif group.get(new) is not None:
            problems.add(f"'{key.text}' is the old word for '{new}', which is here too", key.place, "keep one of them")
        else:
            entries.append((_now(key, new, problems), value))
    return replace(group, entries=tuple(entries))


def respelt(group: Mapping, known: Collection[str]) -> Mapping:
    """The group with each key that is known in its other spelling by the known one, unless that is there too."""
    keys = set(group.keys())
    if keys <= set(known):
        return group
    entries = []
    for key, value in group.entries:
        same = key.text if key.text in known else spelt_as(key.text, known)
        other = same is not None and same != key.text and same not in keys
        entries.append((replace(key, text=same) if other and same else key, value))
    return replace(group, entries=tuple(entries))


def panel_renamed(group: Mapping, problems: Problems) -> Mapping:
    """A panel's keys with its kind by the new word."""
    entries = []
    for key, value in group.entries:
        if key.text == "kind" and isinstance(value, Scalar) and value.text in PANEL_KINDS:
            value = _now(value, PANEL_KINDS[value.text], problems)
        entries.append((key, value))
    return replace(group, entries=tuple(entries))


def file_renamed(group: Mapping, problems: Problems) -> Mapping:
    """A whole file, job, layout or printer, with every old word replaced, and `color` read as `colour`."""
    group = respelt(group, ("colour",)) if group.get("color") is not None else group
    if group.get("printer") is not None:
        group = renamed(group, PRINTER, problems)
    entries = []
    for key, value in group.entries:
        if key.text == "decal" and isinstance(value, Mapping):
            value = renamed(value, DECAL, problems)
        elif key.text == "decals" and isinstance(value, Mapping):
            value = _each(value, lambda one: renamed(one, DECAL, problems))
        elif key.text in ("inks", "paints") and isinstance(value, Mapping):
            value = _each(value, lambda one: respelt(one, ("colour",)))
        elif key.text == "panels" and isinstance(value, Mapping):
            value = _each(value, lambda one: panel_renamed(one, problems))
        elif key.text == "variants" and isinstance(value, Mapping):
            value = _each(value, lambda one: file_renamed(one, problems))
        elif key.text == "calibrations":
            value = _calibrations(value, problems)
        entries.append((key, value))
    return replace(group, entries=tuple(entries))


def _each(group: Mapping, change: Callable[[Mapping], Mapping]) -> Mapping:
    entries = ((key, change(value) if isinstance(value, Mapping) else value) for key, value in group.entries)
    return replace(group, entries=tuple(entries))


def _calibrations(node: Node, problems: Problems) -> Node:
    if isinstance(node, Listing):
        return replace(node, items=tuple(_calibrations(item, problems) for item in node.items))
    return renamed(node, CALIBRATION, problems) if isinstance(node, Mapping) else node


def _now(text: Scalar, new: str, problems: Problems) -> Scalar:
    """The text as the new word, at the place of the old one, which is noted."""
    message = f"is called '{new}' now; the old word is still read"
    problems.notes.append(Finding("note", "old-word", f"'{text.text}'", message, f"write {new}", text.place))
    return replace(text, text=new)
