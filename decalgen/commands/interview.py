"""The questions of `decalgen new` in their order. The job file itself is all that is kept: its first line says which
question is next, and after every answer it is a job that can be read.

Pure: from the text of a file to its next question, and from an answer to the new text.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from decalgen.colour.palette import PALETTE
from decalgen.commands.editor_help import SCHEMA_LINE
from decalgen.commands.questions import (
    Question,
    QuestionName,
    obstacle_slots,
    own_slots,
    reading_question,
)
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.keys import Many, specs
from decalgen.core.names import slug
from decalgen.job.edits import add_value, set_value, values
from decalgen.job.loader import job_as_written
from decalgen.job.written import YamlValue, scalar
from decalgen.panels.registry import find, kinds, obstacle_kinds
from decalgen.panels.unmeasured import SIGN

MARK = "# Unfinished: `decalgen new` goes on with: "
_MARK = re.compile(re.escape(MARK) + r"(.*)\r?\n?")
_LINE_END = re.compile("\r\n|\n")
_NAME = re.compile(r"[^\W\d_]\w*(?:[ \-]\w+)*")
_HEAD = (("title",), ("scale",), ("body",), ("film",), ("printer",), ("panels",))
PRINTER = "# Printer: "
"""How the first lines of a job say on which printer it is to be printed: a job file has no key for that."""
_FILMS = (("white", "opaque; suits every body colour"), ("clear", "for dark inks on a light body"))
HANDS = ("left", "right")
OTHER_WAY = "other readings"
"""What is chosen to be asked which readings a kind is measured by."""
CLEARANCE = "0.3 mm"
"""How far decals keep away from what stands out, until the file says otherwise (common practice, no source)."""
FULL_SIZE = "prototype"
"""The kind that is known by the full-size vehicle alone."""
POINTS = {"outline": "4", "line": "2"}


def begun(stem: str) -> str:
    """The text of a job before the first answer."""
    return _marked(
        f"{SCHEMA_LINE}\n# A job for decalgen. Text after # is a note.\njob: {scalar(stem)}\nbody: grey\n", ("title",)
    )


def at_of(text: str) -> QuestionName | None:
    """Which question is next; None for a file that is finished, or none of ours."""
    found = _MARK.match(text)
    return tuple(part.strip() for part in found[1].split("/")) if found else None


def printer_of(text: str) -> str:
    """The printer that was chosen; '' for none."""
    found = re.search(rf"^{PRINTER}(.*?)\r?$", text, re.MULTILINE)
    return found[1] if found else ""


def finished(text: str) -> str:
    """The text without its mark."""
    return _MARK.sub("", text, count=1)


def next_question(text: str, printers: Sequence[str] = ()) -> Question | None:
    """The next question of an unfinished file; None where all is answered. ``printers``: the kept profiles. Raises
    JobError for a text that cannot be read."""
    at = at_of(text)
    if at is None or at == ("end",):
        return None
    whole = values(text)
    if at == ("printer",):
        # Without a kept profile there is nothing to choose.
        known = tuple((name, "") for name in printers)
        at = at if known else ("panels",)
        if known:
            return Question(at, "Printer", (), "a kept profile; Enter for any printer", choices=known)
    try:
        return _question(whole, at)
    except (KeyError, IndexError, StopIteration, TypeError):
        # Someone changed the file meanwhile: what is next is no longer there.
        return _question(whole, ("panels",))


def answered(text: str, question: Question, typed: str, path: Path) -> str:
    """The text with an answer in it and the next question marked. Raises DecalgenError, with the fix, for an answer
    that the readers of job files would refuse."""
    whole = values(text)
    typed = typed.strip() or question.default
    if question.choices and typed:
        typed = _chosen(question, typed)
    new, after = _put(text, whole, question, typed)
    new = _marked(finished(new), after)
    try:
        job_as_written(new, path)
    except JobError as error:
        first = error.problems[0]
        raise DecalgenError(first.message, fix=first.fix) from None
    return new


def _marked(text: str, at: QuestionName) -> str:
    return f"{MARK}{' / '.join(at)}\n{text}"


def _chosen(question: Question, typed: str) -> str:
    """One of the choices, by its number or its name."""
    names = [name for name, _ in question.choices]
    if typed.isdigit() and 1 <= int(typed) <= len(names):
        return names[int(typed) - 1]
    close = [name for name in names if name.casefold() == " ".join(typed.split()).casefold()]
    if close:
        return close[0]
    from decalgen.core.errors import did_you_mean

    raise DecalgenError(f"'{typed}' is not one of them", fix=f"{did_you_mean(typed, names)}, or its number")


# ------------------------------------------------------------------------------------------------------- what is asked
def _question(whole: Any, at: QuestionName) -> Question:
    if at[0] == "panels" and len(at) > 1:
        return _of_panel(whole, at)
    if at[0] == "decals":
        from decalgen.commands.first_decals import decal_question

        return decal_question(whole, at)
    return {
        "title": Question(("title",), "What is the model called", ("title",), default=_titled(whole["job"])),
        "scale": Question(("scale",), "Its scale", ("scale",), default="1:43"),
        "body": Question(
            ("body",), "Colour of the body", ("body",), f"#rrggbb, a name of CSS, or: {', '.join(PALETTE)}", "grey"
        ),
        "film": Question(("film",), "Film", ("film",), default="white", choices=_FILMS),
        "panels": Question(
            ("panels",), "Name of a panel", (), "door; or with its kind and hand: door, flat, left; Enter: no more"
        ),
    }[at[0]]


def _titled(stem: str) -> str:
    return stem.replace("-", " ").replace("_", " ").capitalize()


def _of_panel(whole: Any, at: QuestionName) -> Question:
    panel, step = at[1], at[2]
    group = whole["panels"][panel]
    if step == "kind":
        known = tuple((name, kind.about) for name, kind in kinds().items())
        other = (OTHER_WAY, "one of these, by other sizes than in the picture: by tape, by radius")
        return Question(at, f"{panel}: what kind is it", at, default="flat", choices=(*known, other))
    if step == "other":
        known = tuple((name, kind.about) for name, kind in kinds().items() if len(_ways(name)) > 1)
        return Question(at, f"{panel}: which of these kinds", at, choices=known)
    if step == "way":
        return Question(at, f"{panel}: which sizes can you measure", (), default="1", choices=_ways(group["kind"]))
    if step == "points":
        return Question(at, f"{panel}: how many corners has it", (), default=POINTS["outline"])
    if step == "full":
        about = "the full-size vehicle's, in mm, m or in; Enter if you will measure the panel itself"
        return Question(at, f"{panel}: full-size {at[3]}", (), about)
    if step == "obstacles" and len(at) == 3:
        about = "a handle, vent, rivet or shut line that no decal may cover; Enter when there are no more"
        return Question(at, f"{panel}: name of an obstacle", (), about)
    if step == "obstacles":
        return _of_obstacle(whole, at)
    slot = next(one for one in own_slots(whole, panel) if _at_of_path(one.path[2:]) == at[3:])
    return reading_question(slot, at)


def _of_obstacle(whole: Any, at: QuestionName) -> Question:
    panel, label, step = at[1], at[3], at[4]
    _ = whole["panels"][panel]["obstacles"][label]
    if step == "kind":
        known = tuple((name, kind.about) for name, kind in obstacle_kinds().items())
        return Question(at, f"{panel}, {label}: what shape has it", at, default="rectangle", choices=known)
    if step == "points":
        return Question(at, f"{panel}, {label}: how many points has it", (), default=POINTS[at[5]])
    slot = next(one for one in obstacle_slots(whole, panel, label) if _at_of_path(one.path[4:]) == at[5:])
    return reading_question(slot, at)


def _ways(kind: str) -> tuple[tuple[str, str], ...]:
    """The combinations of readings that make a kind, each in the order of its keys; of keys that mean the same, one."""
    order = [spec.key for spec in specs(_plain(find(kind)))]
    found: dict[str, str] = {}
    for need in find(kind).needs:
        if kind == "cylinder" and "length" not in need:
            continue
        found[", ".join(sorted(need, key=order.index))] = ""
    return tuple(found.items())


def _plain(cls: Any) -> Any:
    return cls


def _at_of_path(path: tuple[str | int, ...]) -> QuestionName:
    return tuple(str(part) for part in path)


# --------------------------------------------------------------------------------------------------- what is put where
def _put(text: str, whole: Any, question: Question, typed: str) -> tuple[str, QuestionName]:
    """The text with the answer, and which question follows."""
    at = question.at
    if question.reading:
        text = set_value(text, question.path, typed_reading(typed, angle=question.angle))
        return text, _after_reading(values(text), at)
    if at[0] == "panels" and len(at) > 1:
        return _put_panel(text, whole, at, typed)
    if at[0] == "decals":
        from decalgen.commands.first_decals import put_decal

        return put_decal(text, whole, at, typed)
    if at == ("panels",):
        if not typed:
            return text, ("decals",) if whole.get("panels") else ("end",)
        return _put_name(text, whole, typed)
    if at == ("printer",):
        line = _LINE_END.search(finished(text))
        head = line.end() if line else 0
        rest = finished(text)
        return (f"{rest[:head]}{PRINTER}{typed}\n{rest[head:]}" if typed else rest), ("panels",)
    if not typed:
        raise DecalgenError("an answer is needed here", fix="type one")
    return _grown(text, question.path, typed), _HEAD[_HEAD.index(at) + 1]


def _put_name(text: str, whole: Any, typed: str) -> tuple[str, QuestionName]:
    """A panel by its name, perhaps with its kind and the hand it is measured on: ``door, flat, left``."""
    first, *words = (part.strip() for part in typed.split(","))
    name = _named(first, whole.get("panels") or {}, "panel")
    hands = [word for word in words if word in HANDS]
    others = [word for word in words if word and word not in HANDS]
    if len(hands) > 1 or len(others) > 1:
        raise DecalgenError(f"'{typed}' is more than a name, a kind and a hand", fix="write it like: door, flat, left")
    base = ("panels", name)
    text = _grown(text, base, {"width": SIGN, "height": SIGN, **({"hand": hands[0]} if hands else {})})
    if not others:
        return text, (*base, "kind")
    question = _of_panel({"panels": {name: {}}}, (*base, "kind"))
    kind = _chosen(question, others[0])
    return _put_panel(text, values(text), (*base, "kind"), kind)


def _named(typed: str, there: Any, what: str) -> str:
    name = " ".join(typed.split())
    if not _NAME.fullmatch(name) or len(name) > 60:
        raise DecalgenError(
            f"'{name}' cannot be the name of a {what}",
            fix="begin with a letter, then letters, digits, single spaces or hyphens",
        )
    if any(name.casefold() == other.casefold() for other in there):
        raise DecalgenError(f"there is a {what} '{name}' already", fix="give it another name")
    return name


def _grown(text: str, path: tuple[str | int, ...], value: YamlValue) -> str:
    """The text with a value at a path; groups that lead there are made."""
    whole: Any = values(text)
    for n, part in enumerate(path):
        if not isinstance(whole, dict) or part not in whole:
            for key in reversed(path[n + 1 :]):
                value = {str(key): value}
            return add_value(text, path[: n + 1], value)
        whole = whole[part]
    return set_value(text, path, value)


def _put_panel(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    panel, step = at[1], at[2]
    base = at[:2]
    hand = _hand_of(whole, panel)
    if step == "full":
        return _put_full_size(text, whole, at, typed)
    if step == "kind" and typed == FULL_SIZE:
        # Until both sizes are known it is a flat panel that nobody has measured.
        return set_value(text, base, {**_rows("flat", "width, height"), **hand}), (*base, "full", "width")
    if step == "kind":
        if typed == OTHER_WAY:
            return text, (*base, "other")
        text = set_value(text, base, {**_rows(typed, _ways(typed)[0][0]), **hand})
        return text, (*base, "points") if typed == "outline" else _first(values(text), base)
    if step == "other":
        return set_value(text, base, {**_rows(typed, _ways(typed)[0][0]), **hand}), (*base, "way")
    if step == "way":
        text = set_value(text, base, {**_rows(whole["panels"][panel]["kind"], typed), **hand})
        return text, _first(values(text), base)
    if step == "points":
        text = set_value(text, (*base, "outline"), _points(typed, 3))
        return text, _first(values(text), base)
    if len(at) == 3:
        if not typed:
            return text, ("panels",)
        label = _named(typed, whole["panels"][panel].get("obstacles") or {}, "obstacle")
        return _grown(text, (*at, label), _obstacle("rectangle", 0)), (*at, label, "kind")
    return _put_obstacle(text, at, typed)


def _hand_of(whole: Any, panel: str) -> dict[str, YamlValue]:
    hand = whole["panels"][panel].get("hand")
    return {"hand": hand} if hand else {}


def _put_full_size(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    """One of the two sizes of the full-size vehicle; without them the panel is to be measured like any other."""
    base, key = at[:2], at[3]
    size = typed_reading(typed)
    if size == SIGN:
        return text, (*base, "obstacles")
    if key == "width":
        return _grown(text, (*base, "prototype", "width"), size), (*base, "full", "height")
    wide = whole["panels"][base[1]]["prototype"]["width"]
    rows: dict[str, YamlValue] = {"kind": FULL_SIZE, "prototype": {"width": wide, "height": size}}
    return set_value(text, base, {**rows, **_hand_of(whole, base[1])}), (*base, "obstacles")


def _put_obstacle(text: str, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    base, step = at[:4], at[4]
    if step == "kind":
        text = set_value(text, base, _obstacle(typed, int(POINTS.get(typed, "0"))))
        return text, (*base, "points", typed) if typed in POINTS else _first(values(text), base)
    text = set_value(text, (*base, at[5]), _points(typed, 2 if at[5] == "line" else 3))
    return text, _first(values(text), base)


def _rows(kind: str, way: str) -> dict[str, YamlValue]:
    """A panel of a kind with nothing measured yet."""
    rows: dict[str, YamlValue] = {"kind": kind}
    for key in way.split(", "):
        spec = next(one for one in specs(_plain(find(kind))) if one.key == key)
        rows[key] = _points(POINTS["outline"], 3) if isinstance(spec.kind, Many) else SIGN
    return rows


def _points(typed: str, least: int) -> YamlValue:
    if not typed.isascii() or not typed.isdigit() or not least <= int(typed) <= 40:
        raise DecalgenError(f"'{typed}' is not a number of points", fix=f"a whole number from {least} to 40")
    return [[SIGN, SIGN] for _ in range(int(typed))]


def _obstacle(kind: str, points: int) -> dict[str, YamlValue]:
    if kind in POINTS:
        rows: dict[str, YamlValue] = {kind: [[SIGN, SIGN] for _ in range(points)]}
        return {**rows, "width": SIGN} if kind == "line" else {**rows, "clearance": CLEARANCE}
    return {kind: SIGN if kind == "circle" else [SIGN, SIGN], "at": [SIGN, SIGN], "clearance": CLEARANCE}


def _first(whole: Any, base: QuestionName) -> QuestionName:
    """The first reading of a panel or obstacle, or what follows its readings."""
    slots = _slots_of(whole, base)
    return (*base, "read", *_at_of_path(slots[0].path[len(base) :])) if slots else _after_all(base)


def _after_reading(whole: Any, at: QuestionName) -> QuestionName:
    base = at[: at.index("read", 4 if len(at) > 4 and at[2] == "obstacles" else 2)]
    slots = _slots_of(whole, base)
    names = [_at_of_path(slot.path[len(base) :]) for slot in slots]
    number = names.index(at[len(base) + 1 :]) + 1
    return (*base, "read", *names[number]) if number < len(names) else _after_all(base)


def _slots_of(whole: Any, base: QuestionName) -> list[Any]:
    return own_slots(whole, base[1]) if len(base) == 2 else obstacle_slots(whole, base[1], base[3])


def _after_all(base: QuestionName) -> QuestionName:
    return (*base, "obstacles") if len(base) == 2 else base[:3]


def file_stem(path: Path) -> str:
    """A job's short name from its file's."""
    stem = re.sub(r"[^\w .\-]", "-", path.stem).strip(" .-_")
    return stem[:60] if re.fullmatch(r"[^\W_](?:[\w .\-]*\w)?", stem[:60]) else slug(path.stem, "job")
