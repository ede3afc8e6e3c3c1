"""The short answer of a check: a line a decal with its verdict and its tightest place, and in it the first warning on
the decal. Both hands share a line where they agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.core.errors import Finding
    from decalgen.job.model import Job
    from decalgen.panels.fit import Clearance
    from decalgen.preflight import Fitting
    from decalgen.preflight.checks import Examined

MIRRORED = {"left edge": "right edge", "right edge": "left edge"}
"""What an edge is on the other hand."""
BOTH = ", both hands"
ALIKE = 0.0005
"""Places whose room differs by less, mm, are equally tight: the first in order is named."""


@dataclass(frozen=True)
class DecalLine:
    """A decal, or one hand of it: what it is called, and how it fits its panel."""

    title: str
    panel: str
    fit: str

    def __str__(self) -> str:
        return f"{self.title}, on {self.panel}: {self.fit}"


def decal_lines(
    jobs: Sequence[Job], examined: Examined, findings: Sequence[Finding]
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """The lines of decals that no warning is for, and the findings of the short answer: errors and warnings once for
    both hands, the first warning on a decal with the decal's line before it.

    Of several jobs each line begins with its job's name."""
    lines: list[str] = []
    shown: dict[int, Finding] = {}
    left_out: set[int] = set()
    for job in jobs:
        lead = f"{job.name}: " if len(jobs) > 1 else ""
        for decal in job.decals:
            hands = [one for one in examined.fits[job.name] if one.decal.name == decal.name]
            own = set(examined.on_decals.get((job.name, decal.name), ()))
            at = [n for n, one in enumerate(findings) if one.severity != "note" and one in own]
            merged, gone = _once(at, findings, decal.name)
            left_out |= gone
            shown |= merged
            free = {n: one for n, one in merged.items() if one.severity == "warning"}
            for row in _rows(hands):
                first = next((n for n, one in free.items() if _is_of(one.subject, row, decal.name)), None)
                if first is None:
                    lines.append(f"{lead}{row}")
                    continue
                one = free.pop(first)
                # The place names the job's file already.
                head = "" if one.place and one.place.file == str(job.file) else lead
                subject = f"{head}{row.title}, on {row.panel}"
                shown[first] = replace(one, subject=subject, message=f"{row.fit}; {one.message}")
    brief = [shown.get(n, one) for n, one in enumerate(findings) if n not in left_out]
    return tuple(lines), tuple(brief)


def once_for_both(findings: Sequence[Finding], job: Job) -> tuple[Finding, ...]:
    """The findings of a job, what both hands of a decal have the same told once, with the places on the first."""
    shown, gone = dict(enumerate(findings)), set[int]()
    for decal in job.decals:
        merged, twins = _once(range(len(findings)), findings, decal.name)
        shown |= {n: one for n, one in merged.items() if one is not findings[n]}
        gone |= twins
    return tuple(one for n, one in shown.items() if n not in gone)


def _is_of(subject: str, row: DecalLine, decal: str) -> bool:
    """Whether a warning with this subject goes to a line: it names the decal, both its hands or that of the line."""
    return subject in (decal, row.title) or (row.title == f"{decal}{BOTH}" and subject.startswith(f"{decal}, "))


def _once(at: Sequence[int], findings: Sequence[Finding], decal: str) -> tuple[dict[int, Finding], set[int]]:
    """Of findings by their number: those to show, where both hands have the same once, and the numbers of the rest."""
    merged: dict[int, Finding] = {}
    gone: set[int] = set()
    for n in at:
        one = findings[n]
        twin = next((k for k, other in merged.items() if _same_on_both(other, one, decal)), None)
        if twin is None:
            merged[n] = one
        else:
            merged[twin] = replace(merged[twin], subject=f"{decal}{BOTH}")
            gone.add(n)
    return merged, gone


def _same_on_both(one: Finding, other: Finding, decal: str) -> bool:
    hands = {one.subject, other.subject} == {f"{decal}, left", f"{decal}, right"}
    return hands and (one.code, one.message, one.fix) == (other.code, other.message, other.fix)


def _rows(hands: Sequence[Fitting]) -> list[DecalLine]:
    """A line for both hands where they agree, else one each."""
    if len(hands) == 2 and hands[0].fit.panel == hands[1].fit.panel:
        left, right = hands
        both = _both(left, right)
        if both:
            return [DecalLine(f"{left.decal.name}{BOTH}", left.fit.panel, both)]
    return [DecalLine(one.title, one.fit.panel, fit_words(one)) for one in hands]


def _both(left: Fitting, right: Fitting) -> str:
    """What fits both hands; '' where they do not agree."""
    words, other = fit_words(left), fit_words(right)
    if words == other:
        return words
    a, b = tightest(left), tightest(right)
    if a is None or b is None or left.verdict != right.verdict or _figures(a) != _figures(b):
        return ""
    return f"{words} (right hand: {b.label})" if MIRRORED.get(a.label) == b.label else ""


def fit_words(one: Fitting) -> str:
    """'fits, tightest: left edge 0.50 ± 0.03 mm'."""
    if one.fit.waits:
        count = len(one.fit.waits)
        return f"not known yet, {count} reading{'' if count == 1 else 's'} open"
    tight = tightest(one)
    return one.verdict if tight is None else f"{one.verdict}, tightest: {tight.label} {_figures(tight)}"


def tightest(one: Fitting) -> Clearance | None:
    """The place with least left after U: an edge or an obstacle; the spare width or height only where the decal has no
    other clearance."""
    from decalgen.preflight.fitting import in_order

    every = one.fit.clearances
    places = in_order([item for item in every if item.towards != "room"] or every)
    least = min((item.surplus for item in places), default=0.0)
    return next((item for item in places if item.surplus <= least + ALIKE), None)


def _figures(item: Clearance) -> str:
    """'0.50 ± 0.03 mm'; a plus goes without saying."""
    return item.figures.removeprefix("+")
