"""The command to type after this one, with the jobs and options that were given, ready to paste."""

from __future__ import annotations

from typing import TYPE_CHECKING

from decalgen.commands.options import Options
from decalgen.core.command_line import typed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from decalgen.commands.run import Run
    from decalgen.job.model import Job


def given(options: Options) -> list[str]:
    """The options of a printing command as they were typed, without those that are as they always are."""
    words: list[str] = []
    for film in options.films:
        words += ["--film", film]
    plain = Options()
    for option, value, usual in (
        ("--printer", options.printer, plain.printer),
        ("--variant", options.variant, plain.variant),
        ("--hands", options.hands, plain.hands),
        ("--gap", None if options.gap is None else f"{options.gap:g} mm", plain.gap),
        ("--effort", options.effort, plain.effort),
        ("--seed", options.seed, plain.seed),
        ("--leave", options.leave, plain.leave),
    ):
        if value is not None and value != usual:
            words += [option, str(value)]
    return words


def after(command: str, run: Run, more: Iterable[object] = ()) -> str:
    """Another command over the same jobs with the same options."""
    return typed(words_after(command, run, more))


def words_after(command: str, run: Run, more: Iterable[object] = ()) -> list[str]:
    """The same, word by word."""
    return ["decalgen", command, *map(str, run.paths), *map(str, more), *given(run.options)]


def open_readings(run: Run) -> int:
    """How many readings of the jobs are still to be taken."""
    return sum(map(_open, run.jobs))


def measured_first(run: Run, then: str) -> str:
    """What is next: `decalgen measure` over the first job with an open reading; ``then`` where none is open."""
    waiting = next((job for job in run.jobs if _open(job)), None)
    return then if waiting is None else typed(["decalgen", "measure", waiting.file])


def _open(job: Job) -> int:
    waiting = [*(panel.unmeasured for panel in job.panels), *(decal.unmeasured for decal in job.decals)]
    return sum(map(len, waiting))
