"""Runs every rule over some jobs, in a fixed order, errors first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from typing import NamedTuple

from decalgen.artwork.build import Artwork
from decalgen.artwork.drawn import DrawnDecal, draw_decals
from decalgen.artwork.findings import written_at
from decalgen.core.errors import EXIT_FINDINGS, DecalgenError, Finding, FitError, Place
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.fitting import Fitting, fitting
from decalgen.preflight.rules import DECAL_RULES, JOB_RULES, PAIR_RULES, RUN_RULES, DecalRule, curves_of

_ORDER = {"error": 0, "warning": 1, "note": 2}


class FindingsError(DecalgenError):
    """Findings that stop a print: errors only, all of them."""

    exit_code = EXIT_FINDINGS

    def __init__(self, findings: Sequence[Finding]) -> None:
        super().__init__(findings[0].message, fix=findings[0].fix, place=findings[0].place)
        self.findings = tuple(findings)

    def __str__(self) -> str:
        return "\n".join(str(finding) for finding in self.findings)


class Examined(NamedTuple):
    """All findings; by the job's name how each decal that can be drawn fits its panel, and its artwork; and by job and
    decal what was found on the decal itself."""

    findings: tuple[Finding, ...]
    fits: dict[str, tuple[Fitting, ...]]
    artworks: dict[str, tuple[Artwork, ...]]
    on_decals: dict[tuple[str, str], tuple[Finding, ...]]


def examine(
    jobs: Sequence[Job],
    printer: Printer,
    drawn: Mapping[str, Iterable[DrawnDecal]] | None = None,
    rules: Sequence[DecalRule] = DECAL_RULES,
) -> Examined:
    """Every rule over every decal. ``drawn``: the decals by the job's name, where they are drawn already; the artworks
    are handed on, so that a print need not draw them again. ``rules``: those for one decal, where some are enough."""
    found: list[Finding] = [finding for run_rule in RUN_RULES for finding in run_rule(jobs, printer)]
    fits: dict[str, list[Fitting]] = {job.name: [] for job in jobs}
    arts: dict[str, list[Artwork]] = {job.name: [] for job in jobs}
    own: dict[tuple[str, str], list[Finding]] = {}
    for job in jobs:
        for rule in JOB_RULES:
            found += rule(job, printer)
        for one in drawn[job.name] if drawn else draw_decals(job, printer.white):
            if one.error is not None:
                found.append(Finding("error", "cannot-draw", *_cannot(one.decal, one.error)))
                if isinstance(one.error, FitError):
                    # Its artwork is there: a line that leaves it may be why it falls apart.
                    found += curves_of(one.decal, job)
                continue
            arts[job.name] += one.parts
            mine: list[Finding] = []
            try:
                fit = fitting(one.parts, one.decal, job)
                fits[job.name].append(fit)
                mine += fit.findings
            except DecalgenError as error:
                mine.append(Finding("error", "cannot-fit", *_cannot(one.decal, error)))
            mine += _ruled(one.parts, one.decal, job, printer, rules)
            own.setdefault((job.name, one.decal.name), []).extend(mine)
            found += mine
        for pair_rule in PAIR_RULES:
            found += pair_rule(arts[job.name], job, printer)
    return Examined(
        _in_order(found),
        {name: tuple(some) for name, some in fits.items()},
        {name: tuple(some) for name, some in arts.items()},
        {key: _in_order(some) for key, some in own.items()},
    )


def _cannot(decal: Decal, error: DecalgenError) -> tuple[str, str, str, Place | None]:
    """Subject, message, fix and place of what cannot be done with a decal."""
    return decal.name, error.message, error.fix, written_at(error.place, decal)


def on_decal(parts: Sequence[Artwork], decal: Decal, job: Job, printer: Printer) -> tuple[Finding, ...]:
    """What a check finds on one hand of a decal, its sections together, each finding with its own areas."""
    found: list[Finding] = []
    # What cannot be fitted is the check's to tell; it has no place on the decal.
    with suppress(DecalgenError):
        found += fitting(parts, decal, job).findings
    return _in_order([*found, *_ruled(parts, decal, job, printer)])


def _ruled(
    parts: Sequence[Artwork], decal: Decal, job: Job, printer: Printer, rules: Sequence[DecalRule] = DECAL_RULES
) -> list[Finding]:
    """What was noticed while drawing, and what the rules find."""
    found: list[Finding] = []
    for artwork in parts:
        found += artwork.findings
        for rule in rules:
            found += rule(artwork, decal, job, printer)
    return found


def _in_order(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Each once, errors first, else as they were found."""
    return tuple(sorted(dict.fromkeys(found), key=lambda finding: _ORDER[finding.severity]))
