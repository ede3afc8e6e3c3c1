"""What is said of a reading while it is typed: the value it makes, and what is wrong or looks wrong about it, by the
rules that judge it once it is taken. Pure but for files that a job includes.

Half a number is no mistake: as long as more digits, a unit or an instrument may still follow and mend it, nothing is
said to be wrong.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from decalgen.commands.deciding import reading_name
from decalgen.commands.question_values import checked, new_doubts
from decalgen.commands.questions import Slot
from decalgen.commands.readings_typed import typed_boxes
from decalgen.core.errors import DecalgenError, JobError, in_a_sentence
from decalgen.core.instruments import instruments
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.job.edits import set_value
from decalgen.job.loader import job_as_written
from decalgen.panels.base import Panel
from decalgen.panels.uncertainty import expanded
from decalgen.panels.unmeasured import SIGN

_BEGUN = re.compile(r"(.*?)(?<![\d.,])(\d+)([.,]?\d?)", re.DOTALL)
"""A number that may go on: of its decimals none, or one."""
_TAIL = re.compile(r".*[\d.]\s*(\D+)", re.DOTALL)
_AFTER = ("mm", "cm", "inch", "inches", "thou", "degrees", "°", "±", "+/-", "+-", "/", ";")
"""What may follow a number, beside an instrument."""
_UNITS = ("mm", "cm", "in", "inch", "inches", "thou", "°")
_OPEN = ("±", "+/-", "+-", "/", "-")
"""What a number has to follow."""


@dataclass(frozen=True)
class ReadingVerdict:
    """``made``: the value that the readings make, with its uncertainty; ``sizes``: those of its panel then; ``wrong``:
    why it is refused; ``doubts``: what looks wrong. All empty where the reading is plainly not finished."""

    made: str = ""
    sizes: tuple[str, ...] = ()
    wrong: str = ""
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Typed:
    """What stands in the boxes of a reading, the instrument chosen beside them, and the box that is being typed in."""

    boxes: tuple[str, ...]
    by: str = ""
    writing: int | None = None


def reading_verdict(text: str, path: Path, slot: Slot, typed: Typed) -> ReadingVerdict:
    """What is to be said of readings of a job's ``text`` that are being typed."""
    found = _judged(text, path, slot, typed.boxes, typed.by)
    at = typed.writing
    if at is None or not (found.wrong or found.doubts) or not 0 <= at < len(typed.boxes):
        return found
    if _names_begun(typed.boxes[at]):
        return ReadingVerdict()
    others = [one.strip() for n, one in enumerate(typed.boxes) if n != at]
    for more in _completions(typed.boxes[at].rstrip(), [*others, *_numbers(slot)]):
        whole = (*typed.boxes[:at], more, *typed.boxes[at + 1 :])
        later = _judged(text, path, slot, whole, typed.by)
        if not (later.wrong or later.doubts):
            return ReadingVerdict()
    return found


def _judged(text: str, path: Path, slot: Slot, boxes: Sequence[str], by: str) -> ReadingVerdict:
    value = typed_boxes(boxes, by, angle=slot.angle)
    if value == SIGN:
        return ReadingVerdict()
    try:
        new = set_value(text, slot.path, value)
        checked(new, path, slot.path, text)
    except DecalgenError as error:
        return ReadingVerdict(wrong=in_a_sentence(error))
    doubts = tuple(map(in_a_sentence, new_doubts(new, path, slot.path, text)))
    try:
        panels = job_as_written(new, path).panels
    except JobError:
        return ReadingVerdict(doubts=doubts)
    made = ""
    sizes: tuple[str, ...] = ()
    for panel in panels:
        if slot.path[:2] != ("panels", panel.name):
            continue
        read = dict(panel.readings).get(reading_name(slot))
        if read is not None:
            made = _with_doubt(read)
        sizes = size_words(panel)
    return ReadingVerdict(made, sizes, "", doubts)


def size_words(panel: Panel) -> tuple[str, ...]:
    """The sizes of a panel with their uncertainty, each once: what its width and height are is said by their own names
    where they have some. None while readings are open."""
    if panel.unmeasured:
        return ()
    named = {label: _with_doubt(size) for label, size in panel.sizes}
    own = {words for label, words in named.items() if label not in ("width", "height")}
    return tuple(
        f"{label} {words}" for label, words in named.items() if label not in ("width", "height") or words not in own
    )


def _with_doubt(size: Quantity) -> str:
    return f"{size.value:.2f} ± {expanded(size):.2f} {'mm' if size.dimension else 'degrees'}"


def _names_begun(text: str) -> bool:
    """Whether a text ends in the beginning of a unit, of ± or of an instrument."""
    found = _TAIL.fullmatch(text)
    if not found:
        return not re.search(r"\d", text) and text.strip() in ("-", ".", ",")
    tail = " ".join(found[1].split()).casefold()
    named = [*_AFTER, *(f"by {one.name}" for one in instruments())]
    # A unit that is whole may go on with ± or an instrument.
    last = max(tail.rfind(" by"), tail.rfind(" b"), tail.rfind("±"), 0)
    parts = (tail, tail[last:].strip())
    return parts[1] not in _UNITS and any(
        part in _OPEN or (one.startswith(part) and one != part) for part in parts for one in named if part
    )


def _completions(text: str, known: Sequence[str]) -> Iterator[str]:
    """What a number that is half typed may become: those that are ``known`` to be about right first."""
    found = _BEGUN.fullmatch(text)
    if not found:
        return
    if "/" in text:
        yield f"{text} in"
    before, whole, rest = found.groups()
    begun = (whole + rest).replace(",", ".")
    yield from (before + one for one in known if one.replace(",", ".").startswith(begun))
    for more in ("5",) if rest else (".5", "5", "5.5", "50", "50.5"):
        yield text + more


def _numbers(slot: Slot) -> list[str]:
    """The numbers that stand in the file."""
    several = slot.value if isinstance(slot.value, list) else [slot.value]
    return [found[0] for one in several if (found := re.match(r"[\d.]+", str(one)))]
