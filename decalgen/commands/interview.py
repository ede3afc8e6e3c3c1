"""The questions of `decalgen new` in their order. The job file itself is all that is kept: its first line says which
question is next, and after every answer it is a job that can be read.

Pure: from the text of a file to its next question, and from an answer to the new text. Going back changes nothing but
that first line: the question before is asked again with its answer as it stands, and once it is answered, what was
reached before comes next.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from decalgen.colour.palette import PALETTE
from decalgen.commands.deciding import deciding, with_more
from decalgen.commands.editor_help import SCHEMA_LINE
from decalgen.commands.panel_questions import after_reading, at_of_path, panel_question, put_panel, without_kind
from decalgen.commands.question_order import HEAD, asked_before
from decalgen.commands.question_values import checked, chosen, grown
from decalgen.commands.questions import Question, QuestionName, all_slots
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.errors import DecalgenError
from decalgen.core.names import slug
from decalgen.core.values import dataclass
from decalgen.job.edits import set_value, values
from decalgen.job.written import scalar
from decalgen.panels.unmeasured import SIGN

MARK = "# Unfinished: `decalgen new` goes on with: "
_AGAIN = "; first again: "
_MARK = re.compile(re.escape(MARK) + rf"(.*?)(?:{re.escape(_AGAIN)}(.*?))?(?:\r?\n|$)")
BACK = "back"
LONGEST_JOB = 60
"""No short name of a job has more characters (`job.entries.JobEntry`)."""
_FILMS = (("white", "opaque; suits every body colour"), ("clear", "for dark inks on a light body"))
_LEADS_ON = ("kind", "other", "way", "hand", "points", "full", "panel", "hands")
"""Questions that follow from a changed answer, and are asked at once even where one went back."""


@dataclass(frozen=True)
class NextAsked:
    """How far an interview is: the question it goes on with, and the one that is asked again before that."""

    on: QuestionName
    again: QuestionName = ()

    @property
    def at(self) -> QuestionName:
        """The question that is asked now."""
        return self.again or self.on


def begun(stem: str) -> str:
    """The text of a job before the first answer."""
    return _marked(
        f"{SCHEMA_LINE}\n# A job for decalgen. Text after # is a note.\njob: {scalar(stem)}\n"
        f'title: {scalar(_plain_title(stem))}\nscale: "1:43"\nfilm: white\nbody: grey\n',
        NextAsked(("title",)),
    )


def reached(text: str) -> NextAsked | None:
    """Which question is next; None for a file that is finished, or none of ours."""
    found = _MARK.match(text)
    if found is None:
        return None
    on, again = (tuple(part.strip() for part in (words or "").split("/")) for words in found.groups())
    return NextAsked(on, again if again != ("",) else ())


def finished(text: str) -> str:
    """The text without its mark; where that was there, without what only the questions asked for, either."""
    if reached(text) is None:
        return text
    text = _unmarked(text)
    for panel in values(text).get("panels") or {}:
        text = without_kind(text, panel)
    return text


def _unmarked(text: str) -> str:
    return _MARK.sub("", text, count=1)


def next_question(text: str, path: Path, printers: Sequence[str] = ()) -> Question | None:
    """The next question of an unfinished file; None where all is answered. ``printers``: the kept profiles. Raises
    JobError for a text that cannot be read."""
    now = reached(text)
    if now is None:
        return None
    whole = values(text)
    at = now.at
    if at == ("printer",) and not printers:
        # Without a kept profile there is nothing to choose.
        at = ("panels",)
    if at[0] == "more":
        return _deciding_question(text, path, at)
    if at == ("end",):
        return None
    try:
        return _question(whole, at, printers)
    except (KeyError, IndexError, StopIteration, TypeError):
        # Someone changed the file meanwhile: what is next is no longer there.
        return _question(whole, ("panels",), printers)


def answered(text: str, question: Question, typed: str, path: Path) -> str:
    """The text with an answer in it and the next question marked. Raises DecalgenError, with the fix, for an answer
    that the readers of job files would refuse."""
    whole = values(text)
    now = reached(text) or NextAsked(question.at)
    typed = typed.strip() or question.default
    if question.choices and typed:
        typed = chosen(question, typed)
    if question.at == ("scale",):
        # Boxes say 1/43, and people 43.
        typed = re.sub(r"^(?:1\s*/\s*)?(?=[1-9]\d*$)", "1:", typed)
    new, after = _put(text, whole, question, typed)
    then = NextAsked(after)
    if now.again and question.at == now.again:
        on = _still(now.on, question.at, list(whole.get("panels") or {}), values(new))
        # Only what lies before it is asked again on the way to what was reached.
        before = after[2:] in (("other",), ("way",)) or after in asked_before(values(new), on, True)
        then = NextAsked(on, after if before and _leads_on(whole, values(new), question, after) else ())
    new = _marked(_unmarked(new), then)
    checked(new, path, question.path or question.at, text)
    return new


def gone_back(text: str, question: Question, printers: Sequence[str] = ()) -> str:
    """The text with the question before this one marked as the next. Raises DecalgenError at the first."""
    now = reached(text) or NextAsked(question.at)
    before = asked_before(values(text), question.at, bool(printers))
    if not before:
        raise DecalgenError("this is the first question", fix="answer it, or stop with Ctrl-C")
    return _marked(_unmarked(text), NextAsked(now.on, before[-1]))


def asked_again(text: str, at: QuestionName) -> str:
    """The text of an unfinished file with a question marked as the next; after it, what was reached goes on."""
    now = reached(text)
    if now is None or now.at == at:
        return text
    return _marked(_unmarked(text), NextAsked(now.on, () if now.on == at else at))


def _marked(text: str, at: NextAsked) -> str:
    again = f"{_AGAIN}{' / '.join(at.again)}" if at.again else ""
    return f"{MARK}{' / '.join(at.on)}{again}\n{text}"


def _leads_on(before: Any, whole: Any, question: Question, after: QuestionName) -> bool:
    """Whether an answer that was given again opens more questions, which are asked before what was reached."""
    step, rest = _step(after)
    if step in _LEADS_ON:
        return question.at != after
    if step == "read":
        paths = {at_of_path(slot.path): slot for slot in all_slots(whole)}
        letterings = [slot for slot in all_slots(whole) if slot.path[:2] == ("decals", after[1])]
        slot = paths.get(rest) or next((one for one in letterings if one.key == after[-1]), None)
        return slot is not None and slot.open
    # What was open and is read now belongs to something new, of which the rest is to be asked, too.
    was_open = question.reading and any(slot.open and slot.path == question.path for slot in all_slots(before))
    return was_open and step in ("clearance", "obstacles")


def _step(at: QuestionName) -> tuple[str, QuestionName]:
    """What is asked of a panel, obstacle or decal, and of a reading the path; '' for what opens others."""
    if len(at) < 3:
        return "", ()
    if at[0] == "panels" and at[2] == "obstacles" and len(at) > 4:
        return at[4], (*at[:4], *at[5:])
    return at[2], (*at[:2], *at[3:])


def _still(on: QuestionName, at: QuestionName, panels: list[str], whole: Any) -> QuestionName:
    """What was reached, by the names that panels have now."""
    now = list(whole.get("panels") or {})
    if at[0] == "panels" and at[2:] == ("name",) and len(now) == len(panels) and on[:2] == ("panels", at[1]):
        return ("panels", now[panels.index(at[1])], *on[2:])
    return on


# ------------------------------------------------------------------------------------------------------- what is asked
def _question(whole: Any, at: QuestionName, printers: Sequence[str]) -> Question:
    if at[0] == "panels":
        return panel_question(whole, at)
    if at[0] == "decals":
        from decalgen.commands.first_decals import decal_question

        return decal_question(whole, at)
    if at[0] == "lettering":
        from decalgen.commands.lettering_questions import lettering_question

        return lettering_question(whole, at)
    if at == ("printer",):
        known = tuple((name, "") for name in printers)
        about = "a kept profile; Enter for any printer"
        return Question(at, "Printer", at, about, whole.get("printer") or "", choices=known)
    return {
        "title": Question(("title",), "What is the model called", ("title",), default=_titled(whole)),
        "scale": Question(
            ("scale",),
            "Its scale",
            ("scale",),
            "as on its base or its box, such as 1:43",
            default=whole.get("scale") or "1:43",
        ),
        "body": Question(
            ("body",),
            "Colour of the body",
            ("body",),
            f"Colours: #rrggbb, a name of CSS, or: {', '.join(PALETTE)}",
            whole["body"],
        ),
        "film": Question(("film",), "Film", ("film",), default=whole.get("film") or "white", choices=_FILMS),
    }[at[0]]


def _titled(whole: Any) -> str:
    return str(whole.get("title") or "") or _plain_title(str(whole["job"]))


def _plain_title(stem: str) -> str:
    return stem.replace("-", " ").replace("_", " ").capitalize()


def _deciding_question(text: str, path: Path, at: QuestionName) -> Question | None:
    """The next reading that decides a verdict, after the one that ``at`` names."""
    found = deciding(text, path)
    order = [at_of_path(slot.path) for slot in all_slots(values(text))]
    start = order.index(at[1:]) + 1 if at[1:] in order else 0
    for one in found:
        name = at_of_path(one.slot.path)
        if order.index(name) >= start:
            return one.question(("more", *name))
    return None


# --------------------------------------------------------------------------------------------------- what is put where
def _put(text: str, whole: Any, question: Question, typed: str) -> tuple[str, QuestionName]:
    """The text with the answer, and which question follows."""
    at = question.at
    if question.more:
        reading = typed_reading(typed, angle=question.angle)
        return (text if reading == SIGN else with_more(text, question.path, reading)), at
    if question.reading:
        if typed != question.default or not typed:
            text = set_value(text, question.path, typed_reading(typed, angle=question.angle))
        if at[0] == "lettering":
            from decalgen.commands.lettering_questions import after_measure

            return after_measure(text, at)
        return text, after_reading(values(text), at)
    if at[0] == "panels":
        return put_panel(text, whole, at, typed)
    if at[0] == "decals":
        from decalgen.commands.first_decals import put_decal

        return put_decal(text, whole, at, typed)
    if at[0] == "lettering":
        from decalgen.commands.lettering_questions import put_lettering

        return put_lettering(text, whole, at, typed)
    if at == ("printer",) and not typed:
        return text, ("panels",)
    if not typed or typed == SIGN:
        raise DecalgenError("an answer is needed here", fix="type one")
    return grown(text, question.path, typed), HEAD[HEAD.index(at) + 1]


def file_stem(path: Path) -> str:
    """A job's short name from its file's."""
    stem = re.sub(r"[^\w .\-]", "-", path.stem).strip(" .-_")
    short = stem[:LONGEST_JOB].rstrip(" .-_")
    return short if re.fullmatch(r"[^\W_](?:[\w .\-]*\w)?", short) else slug(stem, "job")[:LONGEST_JOB].rstrip("-")
