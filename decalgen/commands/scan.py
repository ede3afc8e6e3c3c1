"""What `decalgen scan` does: a picture measured, told in words, drawn, and put into a job where that is asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Made, Result
from decalgen.commands.page_scans import picture_in
from decalgen.commands.rendering import rendered
from decalgen.core.command_line import typed as command
from decalgen.core.errors import DecalgenError, Finding
from decalgen.core.files import write_files
from decalgen.scan.decal import TYPED, size_of, typed_over

if TYPE_CHECKING:
    from decalgen.commands.scan_words import ScanJob
    from decalgen.scan.counts import FilledSize, LikelyCount
    from decalgen.scan.measuring import MeasuredScan, ScanRequest
    from decalgen.scan.remains import FoundValue, PatternFit

ENOUGH = 0.5
"""Values of which less of the edges is left are told with how much."""


def print_corner_card(output: Path, paper: str) -> Result:
    """Writes the corner card, as PDF. Raises OutputError."""
    from decalgen.commands.card import PAPERS, only_pdf
    from decalgen.export import render
    from decalgen.pages.corner_card import corner_card

    only_pdf(output)
    files = write_files({output: render(corner_card(*PAPERS[paper]), ".pdf")[0]})
    group = FileGroup(f"print on {paper} at 100 %, and measure the frame", files)
    follow = 'decalgen scan PICTURE --beside "99.82 x 69.91 mm", with what you measured'
    return Result(files, answer=Answer("printed the corner card", follow, (group,)))


def scan(
    image: Path,
    request: ScanRequest,
    output: Path | None = None,
    typed: Mapping[str, str] | None = None,
    into: ScanJob | None = None,
    fills: FilledSize | None = None,
) -> Result:
    """Measures a picture. ``typed``: values over what was read; ``fills``: what the whole pattern filled. Raises
    DecalgenError; nothing is written then."""
    from decalgen.scan.measuring import measure_scan

    found = measure_scan(picture_in(image, "a scan or photo"), request)
    fit = typed_over(found.fits[0], typed or {})
    found = replace(found, fits=(fit, *found.fits[1:]))
    files: dict[Path, bytes] = {}
    groups = []
    # Its other options count as much as its name, so the command is not written out.
    follow = f"the same with -o {image.stem}-fit.png, and compare the fit with the scan"
    if output is not None:
        from decalgen.commands.scan_drawing import report_of

        made = rendered(report_of(found, told_values(fit)), output)
        files |= made
        groups.append(FileGroup("the fit over the scan", tuple(made)))
        follow = "compare the fit with the scan; then add --into JOB.yaml --panel NAME"
    if into is not None:
        from decalgen.commands.scan_into import with_decal

        name, text = with_decal(into, found, notes_of(found))
        files[into.path] = text.encode()
        groups.append(FileGroup(f"decal '{name}' added", (into.path,)))
        follow = command(["decalgen", "check", into.path])
    lines = told(found)
    if fills is not None:
        lines[1:1] = [(line, True) for line in counts_told(fit, fills)]
    short = tuple(line for line, always in lines if always)
    answer = Answer(f"read {fit.kind} from {image.name}", follow, tuple(groups), tuple(line for line, _ in lines))
    return Made(files, findings_of(image, found), short, answer).write()


def findings_of(image: Path, found: MeasuredScan) -> tuple[Finding, ...]:
    """What is in doubt, as warnings."""
    fit = found.fits[0]
    rows = [Finding("warning", "scan-doubt", image.name, doubt, _LOOK) for doubt in found.doubts]
    for one in fit.values:
        if one.doubt and one.doubt != TYPED:
            fix = f"measure it, and type it over: --value '{one.name} = ...'"
            rows.append(Finding("warning", "scan-little-left", one.name, one.doubt, fix))
        elif one.least and one.unit == "":
            fix = f"count what there was, and type it over: --value '{one.name} = {one.value:g}'"
            rows.append(
                Finding("warning", "scan-at-least", one.name, f"at least {one.value:g}: an outer edge is torn off", fix)
            )
        elif one.least and fit.kind != "checks":
            fix = f"measure it elsewhere, and type it over: --value '{one.name} = ...'"
            rows.append(
                Finding("warning", "scan-at-least", one.name, f"at least {one.value:.2f} mm: an end is torn off", fix)
            )
    return tuple(rows)


_LOOK = "look at the fit over the scan: `-o fit.png`"


def told_values(fit: PatternFit) -> list[tuple[FoundValue, str]]:
    """Each value with its words: '2.400 ± 0.004 mm'; ± is the expanded uncertainty, k = 2."""
    return [(one, told_value(one)) for one in fit.values]


def told_value(one: FoundValue) -> str:
    """A value in words."""
    least = "at least " if one.least else ""
    if one.unit == "":
        return f"{least}{one.value:g}"
    if one.unit != "mm":
        return f"{one.value:.2f} \N{PLUS-MINUS SIGN} {2 * one.u:.2f}{one.unit}"
    return f"{least}{one.value:.3f} \N{PLUS-MINUS SIGN} {max(2 * one.u, 0.001):.3f} mm"


def told(found: MeasuredScan) -> list[tuple[str, bool]]:
    """The lines of the answer, and whether the short one has each."""
    fit = found.fits[0]
    values = {one.name: one for one in fit.values}
    width, height = size_of(fit)
    size = f"{width:.2f} \N{MULTIPLICATION SIGN} {height:.2f} mm"
    head = f"{fit.heading}, {size}"
    if fit.kind == "checks":
        counts = [told_value(values[name]) for name in ("columns", "rows")]
        head = f"checks, {counts[0]} columns \N{MULTIPLICATION SIGN} {counts[1]} rows, {size}"
    elif fit.kind == "star":
        head = f"star, {told_value(values['points'])} points, diameter {width:.2f} mm"
    elif fit.points and fit.kind == "chevrons":
        head = f"chevrons pointing {fit.points}, {size}"
    elif fit.kind == "cross":
        head = f"{'saltire' if fit.points == 'corners' else 'cross'}, {size}"
    elif fit.kind == "roundel":
        head = f"roundel, diameter {width:.2f} mm"
    lines = [(f"{head}; the size by {found.scale.told}", True)]
    wide = max(len(one.name) for one in fit.values)
    for one, words in told_values(fit):
        left = f"  {one.share:.0%} of its edges left" if one.share < ENOUGH else ""
        typed = "  as typed" if one.doubt == TYPED else ""
        lines.append((f"  {one.name:<{wide}}  {words}{typed or left}", one.name != "angle"))
    lines.append((f"  {'inks':<{wide}}  {', '.join(fit.colours)}, {found.colours}", True))
    lines += [(f"  {one}", True) for one in fit.remarks]
    lines.append((f"  {'fit':<{wide}}  explains {fit.score:.0%} of the edges; \N{PLUS-MINUS SIGN} is U, k = 2", False))
    rest = ", ".join(f"{one.kind} {one.score:.0%}" for one in found.fits[1:])
    if rest:
        lines.append((f"  {'other':<{wide}}  {rest}", False))
    return lines


def counts_told(fit: PatternFit, room: FilledSize) -> list[str]:
    """Which counts of checks fill a room, in words. Raises DecalgenError for another pattern."""
    from decalgen.scan.counts import likely_counts

    if fit.kind != "checks":
        raise DecalgenError(
            f"--fills counts the cells of checks, and this was read as {fit.kind}",
            fix="leave it out, or add --as checks",
        )
    by = "\N{MULTIPLICATION SIGN}"
    ranked = likely_counts(fit, room)
    fitting = sum(one.fits for one in ranked)
    size = f"{room.size[0]:.2f} {by} {room.size[1]:.2f} mm"
    if fitting == 1:
        others = "; no other count does" if len(ranked) > 1 else ""
        head = f"  {ranked[0].columns} {by} {ranked[0].rows} cells fill {size}{others}"
    else:
        head = f"  {fitting or 'no'} counts of cells fill {size}{': it cannot be told which' if fitting else ''}"
    return [head, *(f"    {_count_told(one)}" for one in ranked)]


def _count_told(one: LikelyCount) -> str:
    by, give = "\N{MULTIPLICATION SIGN}", "\N{PLUS-MINUS SIGN}"
    words = []
    for off, u, way, large, small in zip(
        one.off, one.u, ("across", "up"), ("wide", "high"), ("narrow", "low"), strict=True
    ):
        side = f"off {way}" if abs(off) < 0.005 else f"too {large if off > 0 else small}"
        words.append(f"{abs(off):.2f} {give} {2 * u:.2f} mm {side}")
    return f"{one.columns} {by} {one.rows} cells: {', '.join(words)}"


def notes_of(found: MeasuredScan) -> list[str]:
    """What a decal in a job file is noted with."""
    fit = found.fits[0]
    rows = [f"{fit.kind} read from {found.scan.name}; the size by {found.scale.told}; \N{PLUS-MINUS SIGN} is U, k = 2"]
    for one, words in told_values(fit):
        extra = ", as typed" if one.doubt == TYPED else f", {one.doubt}" if one.doubt else ""
        rows.append(f"{one.name}: {words}{extra}")
    return [*rows, *fit.remarks, f"inks {found.colours}: {', '.join(fit.colours)}"]
