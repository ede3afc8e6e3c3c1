"""What the server holds while the page is open: the desk, what was drawn and found, and who listens."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Coroutine, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from decalgen.artwork.drawn import DrawnDecal
from decalgen.bench.applying import ApplyShelf
from decalgen.bench.blanks import asked_path, typed_value, with_groups
from decalgen.bench.busy import BusyError
from decalgen.bench.desk import ClashError, Desk, Edit, value_at
from decalgen.bench.examining import Examination, FitLine, OvertakenError, with_first
from decalgen.bench.faults import as_told, failure
from decalgen.bench.file_marks import Marks, choice_marks, marks
from decalgen.bench.folder_stamps import folder_stamps
from decalgen.bench.left_texts import left_text
from decalgen.bench.merge import ChosenSide
from decalgen.bench.original_shelf import OriginalShelf
from decalgen.bench.pictures import Drawings
from decalgen.bench.print_files import positions_path
from decalgen.bench.printer_search import PrintDesk
from decalgen.bench.proof_now import ProofOnDisk, ProofShelf
from decalgen.bench.readings import reading_edit, reading_judge
from decalgen.bench.sheet_choice import SheetChoice, changed, checked, read_choice, write_choice
from decalgen.bench.sheet_mates import SheetMates
from decalgen.bench.sheet_table import SheetTable
from decalgen.core.errors import DecalgenError, Finding
from decalgen.core.small_files import signature
from decalgen.job.edits import EditError
from decalgen.job.written import YamlValue

if TYPE_CHECKING:
    from decalgen.bench.sheet_layout import LaidSheets
    from decalgen.commands.options import Options
    from decalgen.sheet.positions import Saved
    from decalgen.workshop.drawer_for_jobs import PrintedError

QUIET_SECONDS = 0.4
"""So long after the last change the decals are checked: never in the way of typing."""


class Workplace:
    """One job file on the page. Everything here runs in the server's one thread, but for the checks and the writing."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.key = desk.path.name
        """What the page calls the job."""
        self.drawings = Drawings()
        self.findings: tuple[Finding, ...] | None = None
        self.fits: tuple[FitLine, ...] = ()
        """A line a decal that nothing is found on, as the command says it."""
        self.findings_of = 0
        self._examined_of: tuple[object, ...] = ()
        self._told_first: tuple[tuple[object, ...], str] = ((), "")
        self.trouble = ""
        """Why the text cannot be kept in the file just now."""
        self.clash: ClashError | None = None
        """Where an editor and the page changed the same, until one of the two is chosen."""
        self.run = os.urandom(8).hex()  # the sign of this run of the server: its versions are of no other
        self.listeners: set[asyncio.Queue[dict[str, Any]]] = set()
        self.told = 0
        self.busy = ""
        """What is being made just now, in words."""
        self.results: dict[str, dict[str, Any]] = {}
        """What was made while the page was open, by name: its files, and what to say of them; or why it was not."""
        self.tasks: set[asyncio.Task[None]] = set()
        self._kept_choice = read_choice(desk.path)
        self.table = SheetTable(desk.path)
        self.mates = SheetMates()
        self.apply = ApplyShelf(desk.path)
        self.originals = OriginalShelf()
        self.left = left_text(desk.path)
        """What could not be written when decalgen ended last, until it is taken over or left."""
        self.proof = ProofShelf(desk.path)
        self.printing = PrintDesk()
        self._laying = False

    @property
    def choice(self) -> SheetChoice:
        """What goes on the sheet of this job, and how it is nested."""
        return self._kept_choice.now

    def choose(self, asked: Mapping[str, Any]) -> None:
        """Chooses otherwise: values of a `SheetChoice` by their names. It is kept for the next time. Raises InputError
        for what cannot be chosen."""
        found = checked(self.choice, asked)
        found = replace(found, jobs=tuple(one for one in found.jobs if one != self.desk.path.name))
        self._kept_choice = replace(self._kept_choice, now=found)
        write_choice(self.desk.path, self._kept_choice)
        # Why nothing came of a nest is of the choice before.
        self.results.pop("nest", None)

    def proofed(self, choice: SheetChoice) -> None:
        """Notes what the proof was made with."""
        self._kept_choice = replace(self._kept_choice, proofed=choice)
        write_choice(self.desk.path, self._kept_choice)

    def changed_since_proof(self) -> list[str]:
        """What of the choice is another than on the proof, a line each; nothing where the proof was not made here."""
        before = self._kept_choice.proofed
        found = changed(before, self.choice) if before else []
        found = found or self._moved_since_proof()
        return found or (list(self.proof.changed) if self.proof.of == self._proof_question() else [])

    @property
    def printed(self) -> PrintedError | None:
        """On what the proof that holds is printed already; None where it is not."""
        return None if self.proof_unsure or self.changed_since_proof() else self.proof.printed

    @property
    def proof_unsure(self) -> bool:
        """Whether the proof was not compared yet with what the files say now."""
        return self.saved_proof() is not None and self.proof.of != self._proof_question()

    def saved_proof(self) -> Saved | None:
        """The positions of the proof beside the job; None where there is none."""
        return self.table.proof(positions_path(self.desk.path))

    def proof_on_disk(self) -> ProofOnDisk:
        """The proof beside the job, the verdict on it, and the sheet that was made from it."""
        return self.proof.on_disk(self.saved_proof())

    def _proof_question(self) -> tuple[object, ...]:
        """All that decides whether the proof still holds, to be compared."""
        return *self.sheet_of()[:-1], signature(positions_path(self.desk.path))

    def compare_proof(self) -> None:
        """Compares the proof anew with what the files say now, beside the typing, where anything has changed since."""
        saved, of, desk = self.saved_proof(), self._proof_question(), self.desk
        if saved is None or self._laying or self.busy or desk.job is None or desk.kept != desk.version:
            return
        if not self.proof.claims(of):
            return
        known = self.table.known(of[:-1])

        async def run() -> None:
            await self.proof.compare(saved, of, self.sheet_jobs(), self.options(), known.run if known else None)
            self.tell(made="proof compared", version=self.desk.version)
            self.compare_proof()

        self.begin(run())

    def _moved_since_proof(self) -> list[str]:
        """Whether pieces lie elsewhere than on the proof, a line."""
        proof, laid = self.saved_proof(), self.table.laid
        if proof is None or laid is None or not laid.positions or set(proof.positions) == set(laid.positions):
            return []
        return ["pieces were moved, nested again or counted differently since the proof"]

    def options(self) -> Options:
        """The choice as the commands take it."""
        return self.choice.options(self.desk.path.parent)

    def sheet_jobs(self) -> list[FilePath]:
        """The files of all jobs on the sheet, this one first."""
        return [self.desk.path, *(self.desk.path.with_name(name) for name in self.choice.jobs)]

    def change(self, asked: Mapping[str, Any]) -> None:
        """Makes the changes that the page asks for. Raises what `Desk.edit` raises, and EditError for what is no
        change."""
        try:
            base, label = int(asked["base"]), str(asked["label"])[:120]
            edits = [self._edit(one) for one in asked["edits"]]
        except (KeyError, TypeError, ValueError, AttributeError):
            raise EditError("that change cannot be read", fix="load the page again") from None
        self.desk.edit(base, edits, label, str(asked.get("key", ""))[:200], reading_judge(self.desk, edits, asked))

    def _edit(self, one: Mapping[str, Any]) -> Edit:
        at = asked_path(one["at"])
        do = str(one["do"])
        if do == "remove":
            return Edit("remove", at, None, one.get("was"))
        if do == "reading":
            return reading_edit(self.desk, at, one)
        to: YamlValue = typed_value(str(one["to"]))
        there = value_at(self.desk.values, at)
        if there is None:
            at, to = with_groups(self.desk.written, at, to)
        return Edit("set" if there is not None else "add", at, to, one.get("was"))

    def start(
        self, name: str, words: str, work: Callable[[], dict[str, Any]], then: Callable[[], None] | None = None
    ) -> None:
        """Makes something beside the typing, one thing at a time; what comes of it, or why nothing does, is in
        ``results`` under its name. ``then`` is done once it is made, in the server's thread. Raises BusyError while
        something else is being made."""
        if self.busy:
            raise BusyError(self.busy)
        self.busy = words
        self.results.pop(name, None)

        async def run() -> None:
            try:
                self.results[name] = await asyncio.to_thread(work)
                if then is not None:
                    then()
            except Exception as error:
                self.results[name] = {**failure(as_told(error)), "files": [], "groups": [], "lines": []}
            finally:
                self.busy = ""
                self.tell(made=name, version=self.desk.version)

        self.begin(run())

    def sheet_of(self) -> tuple[object, ...]:
        """All that the places of pieces on the sheet depend on, to be compared; last the places themselves."""
        return self.desk.version, self.choice, folder_stamps(self.desk.path.parent), self.table.positions

    def take_sheet(self, of: tuple[object, ...], laid: LaidSheets | None, lacking: str | None = None) -> None:
        """Takes over how pieces lie, as `SheetTable.take`; ``of``: what it is of. What changed meanwhile is judged
        next."""
        self.table.take(laid, lacking)
        self.table.keep()
        self.table.judged_of = of[:-1]
        now = self.sheet_of()
        self.table.of = now if now[:-1] == of[:-1] else None

    def lay(self) -> None:
        """Judges anew where the pieces of the sheet lie, beside the typing, where anything has changed since."""
        of, table = self.sheet_of(), self.table
        if self._laying or self.busy or of == table.of or self.desk.kept != self.desk.version:
            return
        if not table.positions and not table.seen:
            return
        self._laying = True
        paths, options = self.sheet_jobs(), self.options()
        known = table.known(of[:-1])

        async def run() -> None:
            try:
                laid = await asyncio.to_thread(table.laid_now, paths, options, known)
                # What was moved meanwhile stands: it is judged next.
                if of == self.sheet_of():
                    self.take_sheet(of, laid)
            except Exception as error:
                table.refuse(of, as_told(error))
            finally:
                self._laying = False
                self.tell(made="sheet laid", version=self.desk.version)
            self.lay()
            self.compare_proof()

        self.begin(run())

    def begin(self, work: Coroutine[Any, Any, None], ended: Callable[[], None] = lambda: None) -> None:
        """Starts something in the server's thread. ``ended``: called once it is over, or stopped before it began."""
        task = asyncio.get_running_loop().create_task(work)
        self.tasks.add(task)
        task.add_done_callback(self.tasks.discard)
        task.add_done_callback(lambda _: ended())

    def files(self) -> dict[str, FilePath]:
        """The files that were made while the page was open, and those of the proof and its sheet, by name: no other is
        handed out, nor one that a link put into the place of one leads to."""
        folder, beside = self.desk.path.parent.resolve(), self.proof_on_disk()
        names = [name for made in self.results.values() for name in made.get("files", ())]
        names += [name for group in (*beside.proof, *beside.sheet) for name in group.names]
        return {name: folder / name for name in names if (folder / name).resolve() == folder / name}

    def tell(self, **what: Any) -> None:
        """Says something to every page that listens, and of which job."""
        self.told += 1
        for one in tuple(self.listeners):
            with suppress(asyncio.QueueFull):
                one.put_nowait(what | {"job": self.key, "run": self.run})

    @property
    def unfinished(self) -> bool:
        """Whether something is being made, or not kept yet."""
        return bool(self.busy) or self.desk.kept != self.desk.version

    def news(self) -> dict[str, Any]:
        """What a page compares to see whether anything happened."""
        found = {"version": self.desk.version, "kept": self.desk.kept, "trouble": self.trouble, "run": self.run}
        return found | {"told": self.told}

    def keep(self) -> None:
        """Writes the file, and says so once it is on the disk; says why where it is not. What an editor is just writing
        is left in peace: it is taken over, and the text here kept, once it stands still."""
        self.table.keep()
        try:
            if not self.desk.as_left():
                return
            self.desk.keep()
        except DecalgenError as error:
            self._troubled(error)
        else:
            self._all_well()

    def look(self) -> None:
        """Takes over what an editor wrote, and keeps what is not kept yet."""
        version = self.desk.version
        try:
            # Both are looked at.
            if self.desk.look() | self.desk.look_beside():
                self.tell(version=self.desk.version, kept=self.desk.kept, by="your editor")
            if self.desk.kept != self.desk.version or self.trouble:
                self.desk.keep()
        except DecalgenError as error:
            self._troubled(error)
        else:
            if self.trouble or self.desk.version != version:
                self._all_well()

    def settle(self, choice: ChosenSide, of: str) -> None:
        """Settles a clash. Raises what `Desk.choose` does."""
        try:
            self.desk.choose(choice, of)
        except ClashError as error:
            self._troubled(error)
            raise

    def _all_well(self) -> None:
        self.trouble, self.clash = "", None
        self.tell(kept=self.desk.kept, version=self.desk.version)

    def _troubled(self, error: DecalgenError) -> None:
        clash = error if isinstance(error, ClashError) else None
        if (error.message, clash and clash.of) != (self.trouble, self.clash and self.clash.of):
            self.trouble, self.clash = error.message, clash
            self.tell(trouble=error.message, version=self.desk.version)

    def while_current(self, version: int, drawn: Iterable[DrawnDecal]) -> Iterator[DrawnDecal]:
        """What is checked one after another. Raises OvertakenError once the text is another: typing comes first."""
        for one in drawn:
            if self.desk.version != version:
                raise OvertakenError
            yield one

    def check_mates(self) -> None:
        """Checks the other jobs on the sheet that are not checked as they are now, beside the typing."""
        paths = self.sheet_jobs()[1:]
        if self.mates.busy or not self.mates.unchecked(paths):
            return

        async def run() -> None:
            await self.mates.examine(paths)
            self.tell(findings=self.findings_of, version=self.desk.version)

        self.begin(run())

    def examined_of(self) -> tuple[object, ...]:
        """All of the text and the choice that the findings depend on, to be compared."""
        choice = self.choice
        return self.desk.version, choice.printer, choice.variant, choice.films, tuple(self._beside().items())

    def _beside(self) -> Marks:
        return choice_marks((*self.choice.films, self.choice.printer), self.desk.path.parent)

    def files_read(self) -> Marks:
        """The files that the job is read from and judged by, those of the sheet's other jobs too, as they are now."""
        own = marks((self.desk.path, *self.desk.included))
        return {**own, **self._beside(), **self.mates.marks(self.sheet_jobs()[1:])}

    @property
    def examined_now(self) -> bool:
        """Whether the findings are of the present text and choice."""
        return self._examined_of == self.examined_of()

    @property
    def told_first(self) -> str:
        """The decal whose findings are of now while the others are checked; '' where there is none."""
        return "" if self.examined_now or self._told_first[0] != self.examined_of() else self._told_first[1]

    async def examine(self) -> None:
        """Checks every decal, as the sheet is to be printed, beside the typing; the one just changed is told first."""
        self.check_mates()
        job, version, of = self.desk.job, self.desk.version, self.examined_of()
        if job is None or self.examined_now or (self.choice.variant and self.desk.problems):
            return
        options = self.options()
        fits: tuple[FitLine, ...] = ()
        try:
            look = await asyncio.to_thread(
                Examination, self.desk, job, options, lambda drawn: self.while_current(version, drawn)
            )
            if look.touched and self.findings is not None:
                first = await asyncio.to_thread(look.first)
                if of != self.examined_of():
                    return
                self.findings, self._told_first = with_first(self.findings, first, look.touched), (of, look.touched)
                self.tell(findings=version, version=version)
            findings, fits = await asyncio.to_thread(look.all)
        except OvertakenError:
            return
        except Exception as caught:
            error = as_told(caught)
            findings = (*job.notes, Finding("error", "cannot-draw", job.name, error.message, error.fix, error.place))
        if of == self.examined_of():
            self.findings, self.findings_of, self.fits, self._examined_of = findings, version, fits, of
            self.tell(findings=version, version=version)
