"""What `decalgen measure` does: takes the open readings of a job one by one, and puts each into the file at once,
changing those bytes alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from decalgen.commands.options import Answer, Result
from decalgen.commands.questions import Question, Slot, all_slots, reading_question
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.command_line import typed
from decalgen.core.errors import DecalgenError, JobError
from decalgen.core.files import write_files
from decalgen.core.small_files import Wanted, read_small
from decalgen.job.edits import set_value, values
from decalgen.job.files import MOST_BYTES
from decalgen.job.loader import job_as_written
from decalgen.panels.unmeasured import SIGN


class Measuring:
    """The open readings of a job file, in the order of the measuring card. What is on the disk is all there is."""

    def __init__(self, path: Path) -> None:
        """Raises InputError and JobError for a file that cannot be read as a job."""
        self.path = path
        self.skipped: set[tuple[str | int, ...]] = set()
        job_as_written(self._read(), path)

    def left(self) -> int:
        """How many readings are open."""
        return sum(slot.open for slot in self._slots())

    def question(self) -> Question | None:
        """The next open reading; None where none is, or those that are were passed over."""
        found = next((slot for slot in self._slots() if slot.open and slot.path not in self.skipped), None)
        return None if found is None else reading_question(found, tuple(map(str, found.path)))

    def answer(self, question: Question, typed: str) -> None:
        """Puts a reading into the file; nothing, or ?, passes it over. Raises DecalgenError for what the job file's
        readers refuse: nothing is written then."""
        value = typed_reading(typed, angle=question.angle)
        if value == SIGN:
            self.skipped.add(question.path)
            return
        # An editor may have changed the file meanwhile: what it changed stays.
        text = set_value(self._read(), question.path, value)
        try:
            job_as_written(text, self.path)
        except JobError as error:
            first = error.problems[0]
            raise DecalgenError(first.message, fix=first.fix) from None
        write_files({self.path: text.encode("utf-8")})

    def finish(self) -> Result:
        """What is left, and what to do next."""
        left = self.left()
        if left:
            done = f"{left} reading{'s are' if left > 1 else ' is'} still to be taken"
            return Result((), answer=Answer(done, typed(["decalgen", "measure", self.path])))
        elsewhere = sum(len(panel.unmeasured) for panel in job_as_written(self._read(), self.path).panels)
        check = typed(["decalgen", "check", self.path])
        if elsewhere:
            more = "other readings are open in files that this one includes, or under values"
            return Result((), lines=(more,), answer=Answer("all is measured here", check))
        return Result((), answer=Answer("all is measured", check))

    def _slots(self) -> list[Slot]:
        whole: Any = values(self._read(), str(self.path))
        return all_slots(whole)

    def _read(self) -> str:
        wanted = Wanted("name a job file, a text ending in .yaml", (".yaml", ".yml"))
        data = read_small(self.path, MOST_BYTES, wanted)
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError:
            raise DecalgenError(f"'{self.path}' is not UTF-8 text", fix="save it as UTF-8 in your editor") from None
