"""YAML read as nodes, by the events of its parser.

A job file is data from a stranger. The events are turned into nodes one by one, so that depth, count, tags, anchors
and aliases are refused before anything is built from them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from decalgen.core.errors import Place, Problem
from decalgen.job.fast_events import sure_events
from decalgen.job.nodes import Listing, Mapping, Node, Scalar, Source
from decalgen.job.problems import Problems
from decalgen.job.syntax import STAND_IN, hidden, reason, spaced

_REST = re.compile(r"[0-9]+ *(?:[^\W\d_]|\"|±|\+)")
MOST_DEPTH = 40
MOST_NODES = 50_000


def parse(source: Source, problems: Problems) -> Node | None:
    """The one document of a text; None, with the problems noted, where it cannot be read."""
    before = len(problems)
    hidden(source, problems)
    if len(problems) > before:
        return None
    text = spaced(source)
    events = sure_events(text, MOST_NODES)
    builder = _Builder(source, problems)
    try:
        return builder.document(iter(events)) if events is not None else _judged(builder, text)
    except _Refused as refused:
        problems.note(refused.problem)
    return None


def _judged(builder: _Builder, text: str) -> Node | None:
    """What the pure reader makes of a text; its complaint is noted. Raises `_Refused`."""
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    try:
        return builder.document(YAML(typ="safe", pure=True).parse(text))
    except MarkedYAMLError as error:
        builder.problems.note(reason(builder.source, error))
    except YAMLError:
        place = builder.source.place(0, 0)
        builder.problems.add("this is not YAML", place, "compare it with the example of 'decalgen new'")
    return None


class _Refused(Exception):
    def __init__(self, message: str, place: Place, fix: str) -> None:
        super().__init__(message)
        self.problem = Problem(message, fix, place)


class _Builder:
    """Builds nodes from events; counts them; refuses what a job file never holds."""

    def __init__(self, source: Source, problems: Problems) -> None:
        self.source = source
        self.problems = problems
        self.count = 0

    def document(self, events: Iterator[Any]) -> Node | None:
        root: Node | None = None
        documents = 0
        for event in events:
            name = type(event).__name__
            if name == "DocumentStartEvent":
                documents += 1
                if documents > 1:
                    place = self.source.place(event.start_mark.line, event.start_mark.column, 3)
                    raise _Refused(
                        "a second document starts here", place, "remove the line ---, or make it a file of its own"
                    )
            elif name in ("ScalarEvent", "SequenceStartEvent", "MappingStartEvent", "AliasEvent"):
                root = self.node(event, events, 1)
        return root

    def node(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        line, column = event.start_mark.line, event.start_mark.column
        self.check(event, depth)
        name = type(event).__name__
        if name == "ScalarEvent":
            end = (event.end_mark.line, event.end_mark.column)
            style = event.style
            text = self.text(event)
            if style in ("|", ">"):
                text = text.rstrip("\n")
            return Scalar(text, self.source, line, column, end, bool(style))
        flow = bool(event.flow_style)
        if name == "SequenceStartEvent":
            return self.listing(events, depth, (line, column), flow)
        return self.mapping(events, depth, (line, column), flow)

    def text(self, event: Any) -> str:
        """The text of a scalar, a plain ? as it was written."""
        text = str(event.value)
        if STAND_IN not in text:
            return text
        raw = "\n".join(self.source.lines[event.start_mark.line : event.end_mark.line + 1]).lower()
        # In double quotes the sign may also be an escape of the user's own.
        return text if f"\\u{ord(STAND_IN):04x}" in raw else text.replace(STAND_IN, "?")

    def listing(self, events: Iterator[Any], depth: int, start: tuple[int, int], flow: bool) -> Listing:
        items: list[Node] = []
        end = start
        for event in events:
            if type(event).__name__ == "SequenceEndEvent":
                end = self.end(event, items[-1] if items else None, flow, start)
                break
            item = self.item(self.node(event, events, depth + 1))
            if items and isinstance(item, Scalar) and self.comma(items[-1], item):
                items[-1] = replace(item, told=True)
            else:
                items.append(item)
        return Listing(tuple(items), self.source, *start, flow, end)

    def end(self, event: Any, last: Node | None, flow: bool, start: tuple[int, int]) -> tuple[int, int]:
        """Where a list or group ends: after its bracket, or else after its last value, as the parser looks on to the
        next word for the end of one without brackets."""
        if flow:
            return event.end_mark.line, event.end_mark.column
        return last.end if last is not None else start

    def item(self, node: Node) -> Node:
        """An item of a list, unless it was lost to a comment."""
        if isinstance(node, Scalar) and not node.quoted and node.text == "":
            return replace(node, told=self.lost(node, "-"))
        return node

    def mapping(self, events: Iterator[Any], depth: int, start: tuple[int, int], flow: bool) -> Mapping:
        entries: list[tuple[Scalar, Node]] = []
        seen: dict[str, Scalar] = {}
        end = start
        for event in events:
            if type(event).__name__ == "MappingEndEvent":
                end = self.end(event, entries[-1][1] if entries else None, flow, start)
                break
            key = self.node(event, events, depth + 1)
            key_end = (event.end_mark.line, event.end_mark.column)
            value = self.node(next(events), events, depth + 1)
            if isinstance(value, Scalar) and not value.quoted and value.text == "":
                # The parser puts what is missing where it looked last, perhaps lines below.
                value = replace(value, line=key_end[0], column=key_end[1], end=key_end)
            if not isinstance(key, Scalar):
                self.problems.add("a key must be a plain text", key.place, "write key: value")
                continue
            if key.text == "<<" and not key.quoted:
                self.problems.add("'<<' merges are not read here", key.place, "use include, variants or values")
                continue
            if isinstance(value, Scalar) and value.empty and entries and self.comma(entries[-1][1], key):
                entries[-1] = (entries[-1][0], replace(key, told=True))
                continue
            if key.text in seen:
                self.problems.add(
                    f"'{key.text}' is repeated (first on line {seen[key.text].line + 1})",
                    key.place,
                    "keep one of the two",
                )
                continue
            seen[key.text] = key
            if isinstance(value, Scalar) and not value.quoted and value.text == "":
                value = replace(value, told=self.lost(value, key.text))
            entries.append((key, value))
        return Mapping(tuple(entries), self.source, *start, flow, end)

    def comma(self, before: Node, after: Node) -> bool:
        """Whether a decimal comma has torn ``22,4 mm`` in two inside brackets or braces; then it is noted."""
        if not isinstance(before, Scalar) or not isinstance(after, Scalar) or before.quoted or after.quoted:
            return False
        next_door = before.end == (after.line, after.column - 1)
        if not (next_door and re.fullmatch(r"-?[0-9]+", before.text) and _REST.match(after.text)):
            return False
        length = after.end[1] - before.column if after.end[0] == before.line else 1
        self.problems.add(
            "there is a comma inside a number",
            self.source.place(before.line, before.column, length),
            f"write a full stop: {before.text}.{after.text}",
        )
        return True

    def lost(self, value: Scalar, key: str) -> bool:
        """Whether a value without quotes begins with # and so is only a comment; then it is noted."""
        text = self.source.lines[value.line] if value.line < len(self.source.lines) else ""
        rest = text[value.column :].removeprefix(":")
        word = rest.lstrip().split(" ", 1)[0].rstrip(",]}")
        if not rest.lstrip().startswith("#") or len(word) < 2:
            return False
        self.problems.add(
            f"nothing is left of '{key.strip()}': what follows # is a comment",
            self.source.place(value.line, text.index(word, value.column), len(word)),
            f'put quotes round it: "{word}"',
        )
        return True

    def check(self, event: Any, depth: int) -> None:
        """Refuses what is too deep, too much, or never needed. Raises `_Refused`."""
        self.count += 1
        line, column = event.start_mark.line, event.start_mark.column
        if self.count > MOST_NODES:
            place = self.source.place(line, column)
            raise _Refused(f"more than {MOST_NODES} values in one file", place, "split the job")
        if depth > MOST_DEPTH:
            place = self.source.place(line, column)
            raise _Refused(f"nested more than {MOST_DEPTH} deep", place, "no job needs this: close the brackets")
        anchor = getattr(event, "anchor", None)
        alias = type(event).__name__ == "AliasEvent"
        if anchor or alias:
            sign = "*" if alias else "&"
            place = self.source.place(line, column, len(str(anchor)) + 1)
            raise _Refused(
                f"'{sign}{anchor}' is an {'alias' if alias else 'anchor'}, which is not read here",
                place,
                "write the value out, or name it under 'values:'; a text that begins so needs quotes",
            )
        tag = getattr(event, "tag", None)
        if tag is not None and not (isinstance(tag, str) and tag == ""):
            place = self.source.place(line, column)
            raise _Refused("this is a tag (!), and tags are not read", place, "remove the word with !")
