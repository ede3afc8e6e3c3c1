"""The fast reader of events against the pure one (ruamel.yaml, YAML 1.2), which stands as the judge."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from decalgen.job.fast_events import sure_events

ROOT = Path(__file__).parents[2]
FILES = sorted((*ROOT.glob("demo/*.yaml"), *ROOT.glob("demo/films/*.yaml"), *ROOT.glob("layouts/*.yaml")))
SIGNS = [*" \n:-,#[]{}'\"&*!|>?@%`~=\\0a.é±😀\u00a0\ufff9\t"]
SIGNS += ["  ", "\n  ", "- ", ": ", ", ", "# ", " #", "---\n", "...\n", "? ", "key: ", "{a: 1}", "[1, 2]", '"x"', "''"]
SIGNS += ["::", "a:b", "- - ", "null", '"\\u2028"', "<<: ", "%YAML 1.1\n", "!!str ", "&a ", "*a"]


def told(events: list[Any]) -> list[tuple[object, ...]]:
    """What the nodes are built from, an event a line; the end of a group without brackets is not looked at."""
    lines: list[tuple[object, ...]] = []
    brackets = []
    for event in events:
        name = type(event).__name__
        start = (event.start_mark.line, event.start_mark.column)
        end = (event.end_mark.line, event.end_mark.column)
        marks = (getattr(event, "anchor", None), str(getattr(event, "tag", None) or ""))
        if name == "ScalarEvent":
            lines.append((name, str(event.value), event.style or "", start, end, *marks))
        elif name in ("MappingStartEvent", "SequenceStartEvent"):
            brackets.append(bool(event.flow_style))
            lines.append((name, brackets[-1], start, *marks))
        elif name in ("MappingEndEvent", "SequenceEndEvent"):
            lines.append((name, end if brackets.pop() else None))
        else:
            lines.append((name,))
    return lines


def pure(text: str) -> list[tuple[object, ...]] | None:
    """What the judge says; None where it refuses."""
    try:
        return told(list(YAML(typ="safe", pure=True).parse(text)))
    except YAMLError:
        return None


def spoilt(random_: random.Random, text: str) -> str:
    """Some lines of a text with up to three changes."""
    lines = text.split("\n")
    first = random_.randrange(len(lines))
    text = "\n".join(lines[first : first + random_.randrange(2, 25)])
    for _ in range(random_.randrange(1, 4)):
        at, other = random_.randrange(len(text) + 1), random_.randrange(len(text) + 1)
        kind = random_.randrange(4)
        if kind == 0:
            text = text[:at] + random_.choice(SIGNS) + text[at:]
        elif kind == 1:
            text = text[:at] + text[at + random_.randrange(1, 4) :]
        elif kind == 2:
            text = text[:at] + text[other : other + random_.randrange(1, 12)] + text[at:]
        else:
            text = text[:at] + random_.choice(SIGNS) + text[at + 1 :]
    return text


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_sound_file_is_read_alike(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    events = sure_events(text, 50_000)
    assert events is not None and told(events) == pure(text)


@pytest.mark.parametrize("seed", range(6))
def test_spoilt_texts_are_read_alike_or_left_to_the_judge(seed: int) -> None:
    random_ = random.Random(seed)
    texts = [path.read_text(encoding="utf-8") for path in FILES]
    alike = 0
    for _ in range(150):
        text = spoilt(random_, random_.choice(texts))
        events = sure_events(text, 50_000)
        if events is not None:
            assert told(events) == pure(text), text
            alike += 1
    # The comparison is one only where it is made.
    assert alike > 20


@pytest.mark.parametrize(
    "text",
    [
        "a:\n",
        "a: [1,]\nb:",
        "a: |\n  text\n",
        "a: one\n  two\n",
        "a: 'one\n  two'\n",
        "a: &b 1\n",
        "a: !!str 1\n",
        "---\na: 1\n",
        "a: 1\n...\n",
        "a: {b: c: d}\n",
        "a: *b\n",
        "a: @b\n",
        "&g {a: 1}\n",
        "a: 1 \t2\n",
        "a: !g [1]\n",
    ],
)
def test_what_is_unusual_is_left_to_the_judge(text: str) -> None:
    assert sure_events(text, 100) is None


def test_no_more_than_the_most_is_taken() -> None:
    text = "[" + ", ".join(["1"] * 50) + "]"
    assert sure_events(text, 60) is not None and sure_events(text, 40) is None
