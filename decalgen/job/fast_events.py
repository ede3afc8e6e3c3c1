"""The events of a plain YAML text by a reader in C, where it and the pure one are sure to agree.

Reading YAML in Python was a twentieth of a check, and the most of one edit. The C reader (libyaml, YAML 1.1) and the
pure one (YAML 1.2) differ in what they refuse, in where they place what is missing, and in block texts; a file without
these gives the same events at the same places (`tests/job/test_fast_events.py` compares them over spoilt texts). So it
is used for such files alone: whatever it refuses, or is unusual, goes to the pure reader, which is the only judge.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

_GROUPS = ("MappingStartEvent", "SequenceStartEvent")
_ENDS = ("MappingEndEvent", "SequenceEndEvent")
_EDGES = ("DocumentStartEvent", "DocumentEndEvent")
_STREAM = ("StreamStartEvent", "StreamEndEvent")


@lru_cache(maxsize=2)
def sure_events(text: str, most: int) -> tuple[Any, ...] | None:
    """Every event of a text, at most ``most`` of them; None where the pure reader has to judge. A text that was changed
    is read twice in a row: once for its values and places, once as a job."""
    if "\t" in text:
        # YAML 1.2 takes fewer of them.
        return None
    try:
        from yaml import CSafeLoader, YAMLError
    except ImportError:
        # No reader in C for this computer.
        return None
    reader = CSafeLoader(text)
    found: list[Any] = []
    try:
        while reader.check_event():
            event = reader.get_event()
            if len(found) >= most or not _plain(event):
                return None
            found.append(event)
    except YAMLError:
        return None
    finally:
        reader.dispose()
    return tuple(found)


def _plain(event: Any) -> bool:
    """Whether both readers give this event alike."""
    name = type(event).__name__
    if name == "ScalarEvent":
        # What is missing (an empty text without quotes) and texts over several lines end elsewhere.
        there = bool(event.value or event.style)
        one_line = event.start_mark.line == event.end_mark.line
        return there and one_line and not (event.anchor or event.tag) and event.style not in ("|", ">")
    if name in _GROUPS:
        return not (event.anchor or event.tag)
    if name in _EDGES:
        return not event.explicit
    return name in _ENDS or name in _STREAM
