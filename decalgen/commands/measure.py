"""What `decalgen measure` does: takes the open readings of a job one by one, and puts each into the file at once,
changing those bytes alone. Then it asks again for those, and only those, that leave open whether a decal fits."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from decalgen.commands.deciding import deciding, with_more
from decalgen.commands.options import Answer, Result
from decalgen.commands.question_values import checked, doubts
from decalgen.commands.questions import Question, Slot, all_slots, reading_question
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.command_line import typed as command
from decalgen.core.errors import DecalgenError
from decalgen.core.files import write_files
from decalgen.job.edits import Path as ValuePath
from decalgen.job.edits import set_value, values
from decalgen.job.files import job_text
from decalgen.job.loader import job_as_written
from decalgen.panels.unmeasured import SIGN

BACK = "back"


class Measuring:
    """The open readings of a job file, in the order of the measuring card. What is on the disk is all there is."""

    def __init__(self, path: Path) -> None:
        """Raises InputError and JobError for a file that cannot be read as a job."""
        self.path = path
        self._passed: set[ValuePath] = set()
        self._asked: list[ValuePath] = []
        self._again: ValuePath | None = None
        job_as_written(self._read(), path)

    def left(self) -> int:
        """How many readings are open."""
        return sum(slot.open for slot in self._slots())

    def question(self) -> Question | None:
        """The next open reading, then one that decides a verdict; None where none is, or those that are were passed
        over."""
        slots = self._slots()
        again = next((slot for slot in slots if slot.path == self._again), None)
        found = again or next((slot for slot in slots if slot.open and slot.path not in self._passed), None)
        if found is not None:
            return reading_question(found, tuple(map(str, found.path)))
        return next(
            (
                one.question(("more", *map(str, one.slot.path)))
                for one in deciding(self._read(), self.path)
                if one.slot.path not in self._passed
            ),
            None,
        )

    def answer(self, question: Question, typed: str) -> tuple[str, ...]:
        """Puts a reading into the file; nothing, or ?, passes it over, and 'back' asks for the one before again. What
        looks wrong about it. Raises DecalgenError for what the job file's readers refuse: nothing is written then."""
        looks: tuple[str, ...] = ()
        if " ".join(typed.split()).casefold() == BACK:
            self._back(question)
            return looks
        value = typed_reading(typed, angle=question.angle)
        if value != SIGN and typed.strip() != question.default:
            # An editor may have changed the file meanwhile: what it changed stays.
            there = self._read()
            text = with_more(there, question.path, value) if question.more else set_value(there, question.path, value)
            checked(text, self.path, question.path, there)
            write_files({self.path: text.encode("utf-8")})
            looks = doubts(text, self.path, question.path, there)
        if value == SIGN or question.more:
            self._passed.add(question.path)
        self._asked.append(question.path)
        self._again = None
        return looks

    def _back(self, question: Question) -> None:
        before = [path for path in self._asked if path != question.path]
        if not before:
            raise DecalgenError("nothing was asked before this", fix="answer it, or stop with Ctrl-C")
        self._again = before[-1]
        self._asked = before[:-1]

    def finish(self) -> Result:
        """What is left, and what to do next."""
        left = self.left()
        if left:
            done = f"{left} reading{'s are' if left > 1 else ' is'} still to be taken"
            return Result((), answer=Answer(done, command(["decalgen", "measure", self.path])))
        job = job_as_written(self._read(), self.path)
        check = command(["decalgen", "check", self.path])
        if any(panel.unmeasured for panel in job.panels) or any(decal.unmeasured for decal in job.decals):
            more = "other readings are open in files that this one includes, or under values"
            return Result((), lines=(more,), answer=Answer("all is measured here", check))
        return Result((), answer=Answer("all is measured", check))

    def _slots(self) -> list[Slot]:
        whole: Any = values(self._read(), str(self.path))
        return all_slots(whole)

    def _read(self) -> str:
        return job_text(self.path)
