"""One run: the inputs of a command and its stages, each made once and kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.inputs import films_of, jobs_of, printer_in, printer_of, printers_of, seed_of
from decalgen.commands.options import Options, Watch, from_drawer
from decalgen.commands.rendering import date_of, title_of
from decalgen.core.errors import DecalgenError, did_you_mean

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork
    from decalgen.artwork.drawn import DrawnDecal
    from decalgen.core.errors import Finding
    from decalgen.job.model import Job, Printer
    from decalgen.preflight.checks import Examined
    from decalgen.sheet.arrange import Arrangement
    from decalgen.sheet.plan import Plan
    from decalgen.sheet.positions import Saved

SHARED = ("jobs", "printer", "drawn", "examined")
"""The stages that are the same for a print shop."""


class Run:
    """Jobs by their files, with the options of a command.

    Every stage is a value that is made when it is first asked for and kept, so that several commands over the same
    inputs (a check, a proof, a sheet) read, draw and judge once. Files that change on the disk meanwhile are not read
    again: make a new run. ``watch`` sees the progress of a nest, and may end it; ``stage`` hears in words what is done
    next.
    """

    def __init__(
        self,
        paths: Sequence[Path],
        options: Options | None = None,
        watch: Watch | None = None,
        stage: Callable[[str], None] | None = None,
    ) -> None:
        self.paths = tuple(paths)
        self.options = options or Options()
        self.watch = watch
        self.stage = stage or _unheard
        self._arrangements: list[Arrangement] = []

    @cached_property
    def jobs(self) -> tuple[Job, ...]:
        """All jobs; the mistakes of all files are reported together. The printer that they name is taken where the
        options name none. Raises JobError, InputError, FilmError."""
        found = jobs_of(self.paths, self.options)
        if self.options.printer is None:
            self.options = replace(self.options, printer=printer_in(found))
        return found

    @cached_property
    def printer(self) -> Printer:
        """The printer asked for, by the options or the jobs. Raises InputError, JobError."""
        _ = self.jobs
        return printer_of(self.options)

    @cached_property
    def drawn(self) -> Mapping[str, tuple[DrawnDecal, ...]]:
        """By the job's name each hand of its decals drawn, or why it cannot be."""
        from decalgen.artwork.drawn import draw_decals

        made = {}
        for number, job in enumerate(self.jobs, 1):
            self.stage(f"drawing {job.name} ({number} of {len(self.jobs)})")
            made[job.name] = draw_decals(job, self.printer.white)
        return made

    def artworks(self, job: Job) -> tuple[Artwork, ...]:
        """All decals of a job drawn. Raises DecalgenError for one that cannot be drawn."""
        from decalgen.artwork.drawn import sound

        return sound(self.drawn[job.name])

    @cached_property
    def examined(self) -> Examined:
        """What a check finds, how every decal fits, and its artwork; what cannot be drawn is a finding."""
        from decalgen.preflight import examine

        drawn = self.drawn
        self.stage("checking the decals")
        return examine(self.jobs, self.printer, drawn)

    @property
    def title(self) -> str:
        """What the jobs are called together."""
        return title_of(self.jobs)

    @property
    def date(self) -> str | None:
        """The latest of the jobs' own dates."""
        return date_of(self.jobs)

    def sound(self) -> Examined:
        """What a check finds. Raises FindingsError for errors: no film is spent on them."""
        _stop_at_errors(self.examined.findings)
        return self.examined

    def plan(self, saved: Saved | None = None) -> Plan:
        """The films and the printer for each, and how to nest. ``saved``: positions that are to be printed.

        Raises FilmError, InputError, and DecalgenError for an effort that is none.
        """
        from decalgen.nesting.model import EFFORTS, effort_of
        from decalgen.sheet.plan import GAP, Plan

        options = self.options
        films = films_of(options, self.jobs, self.printer, saved)
        printers = printers_of(options, films)
        effort = effort_of(options.effort)
        if effort is None:
            fix = f"{did_you_mean(options.effort, list(EFFORTS))}, or a time from '1 s' to '60 min'"
            raise DecalgenError(f"there is no effort '{options.effort}'", fix=fix)
        return Plan(
            films,
            next(iter(printers.values()), self.printer),
            printers,
            GAP if options.gap is None else options.gap,
            seed_of(options, self.jobs),
            effort,
            options.hands,
            options.leave,
        )

    def arrangement(self, positions: Path | Saved | None = None) -> Arrangement:
        """The sheets, nested anew, or from positions or a file of them.

        Raises FilmError, FitError, InputError, DecalgenError for positions of another geometry, FindingsError for
        pieces that saved positions put where they cannot be printed, and for those of a new nest that have no number.
        """
        from decalgen.sheet.positions import read_positions

        saved = read_positions(positions) if isinstance(positions, Path) else positions
        known = self._known(saved)
        return known or self._arranged(saved)

    @property
    def arranged(self) -> bool:
        """Whether a sheet was made of it already, so that nothing is refused."""
        return bool(self._arrangements)

    def _known(self, saved: Saved | None) -> Arrangement | None:
        # What is left in the drawer may have changed since.
        if saved is None or from_drawer(self.options.films):
            return None
        for one in self._arrangements:
            if (one.digest, one.positions, one.complete) == (saved.digest, saved.positions, saved.complete):
                return one
        return None

    def _arranged(self, saved: Saved | None) -> Arrangement:
        from decalgen.preflight.sheets import check_sheets
        from decalgen.sheet.arrange import arrange

        artworks = self.examined.artworks
        self.stage("nesting the decals")
        made = arrange(self.jobs, self.plan(saved), saved=saved, progress=self.watch, made=artworks)
        found = check_sheets(made)
        _stop_at_errors((*made.findings, *found))
        made = replace(made, findings=(*made.findings, *found))
        self._arrangements.append(made)
        self.stage("drawing the sheets")
        return made

    def for_press(self) -> Run:
        """The same for a print shop's printer: what does not depend on it is shared."""
        other = Run(self.paths, replace(self.options, press=True), self.watch, self.stage)
        for stage in SHARED:
            if stage in vars(self):
                vars(other)[stage] = vars(self)[stage]
        return other


def _unheard(_: str) -> None:
    """Hears a stage where nobody listens."""


def _stop_at_errors(findings: Sequence[Finding]) -> None:
    """Raises FindingsError with all errors among some findings."""
    from decalgen.preflight import FindingsError

    errors = tuple(finding for finding in findings if finding.severity == "error")
    if errors:
        raise FindingsError(errors)
