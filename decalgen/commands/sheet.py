"""What `proof` and `sheet` do: nest or take kept positions, and write what is printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.commands.again import leave_record
from decalgen.commands.run import (
    DRAWER,
    Options,
    Result,
    Watch,
    date_of,
    jobs_of,
    layout_of,
    printer_of,
    rendered,
    title_of,
)
from decalgen.commands.sheet_files import SheetFiles, cutter_of, results
from decalgen.core.errors import OutputError
from decalgen.core.files import write_files
from decalgen.proofing.files import ENDING, positions_file, proven_file, read_proven, standard_data, told_of
from decalgen.proofing.judge import Asked, check_proven, example, fingerprint, standard, unproven
from decalgen.sheet.positions import write_positions

if TYPE_CHECKING:
    from decalgen.job.model import Job
    from decalgen.preflight.checks import Examined
    from decalgen.sheet.arrange import Arrangement
    from decalgen.workshop.drawer_for_jobs import Picked


def make_proof(paths: Sequence[Path], output: Path, options: Options, watch: Watch | None = None) -> Result:
    """Nests, writes the proof and, beside it, the positions that ``make_sheet`` prints."""
    from decalgen.pages.proof import proof
    from decalgen.sheet.film_shares import share_lines
    from decalgen.sheet.film_use import reckoned
    from decalgen.workshop.drawer_for_jobs import taken_off

    _keep_inputs(paths, (output,), options)
    jobs = jobs_of(paths, options)
    drawn = _sound(jobs, options)
    layout = layout_of(jobs, options, watch, made=drawn.artworks)
    needed = standard(layout, drawn.fits)
    document = proof(layout, jobs, title_of(jobs), date_of(jobs), needed.share)
    files = rendered(document, output)
    picked = _picked(options, layout)
    files[positions_file(output)] = _positions(layout, jobs, picked, standard_data(needed))
    lines = reckoned(layout, options.leave) + share_lines(layout, jobs, taken_off(layout, picked))
    lines += _warned(drawn, paths, options)
    if needed.bars:
        lines.append(f"printed and measured, its size is told by: {_pass_command(output, needed.bars)}")
    else:
        lines.append("no sheet has room for a check bar, so its size cannot be proven: proof it beside a larger one")
    return Result(write_files(files), layout.findings, tuple(lines))


def make_sheet(paths: Sequence[Path], wanted: SheetFiles, options: Options, watch: Watch | None = None) -> Result:
    """Writes the final print from the proof's positions; nests where there is no proof, or anew if asked.

    Raises GateError unless a proof of just this was measured and passed: film is not spent on what was never proven.
    """
    from decalgen.sheet.film_shares import share_lines
    from decalgen.sheet.film_use import reckoned
    from decalgen.workshop.drawer_for_jobs import taken_off

    outputs = wanted.outputs
    cutter = cutter_of(wanted)
    _keep_inputs((*paths, *filter(None, [wanted.cutter])), (*outputs, *wanted.cut), options)
    options = replace(options, press=wanted.press)
    jobs = jobs_of(paths, options)
    drawn = _sound(jobs, options)
    saved = positions_file(outputs[0])
    from_proof = saved.is_file() and not wanted.nest_again
    gated = wanted.without_proof is None and not wanted.press
    if gated and not from_proof:
        # Nothing nested now can have been proven.
        from decalgen.workshop.drawer.store import quoted

        named = saved.with_name(saved.name.removesuffix(ENDING) + "-proof.pdf")
        raise unproven(_pass_command(named), wanted.nest_again and saved.is_file(), quoted(str(named)))
    layout = layout_of(jobs, options, watch, saved if from_proof else None, drawn.artworks)
    lines = []
    if gated:
        was, word = read_proven(proven_file(saved)) or (None, None)
        check_proven(fingerprint(layout), was, word, _pass_command(saved))
    made = results(layout, jobs, wanted, cutter)
    files = dict(made.files)
    picked = _picked(options, layout)
    lines += reckoned(layout, options.leave) + share_lines(layout, jobs, taken_off(layout, picked))
    lines += _warned(drawn, paths, options)
    lines += made.lines
    if not wanted.press:
        from decalgen.workshop.profiles import bars_to_read

        lines += bars_to_read(options.printer, layout)
    found = (*layout.findings, *made.findings)
    if wanted.without_proof is not None:
        lines.append(f"printed without a proof: {wanted.without_proof}")
    if from_proof:
        lines.append(f"positions: as on the proof ({saved})")
    else:
        unproven_size = "" if wanted.press else "; print a proof first if the size is not proven yet"
        lines.append(f"positions: nested now{unproven_size}")
    told = [str(finding) for finding in (*drawn.findings, *found)]
    proof = told_of(proven_file(saved), fingerprint(layout))
    files.update(leave_record(layout, jobs, options, wanted, files, told, proof))
    if not from_proof and (picked or not layout.complete):
        saved = saved.with_name(saved.name.replace(".positions.json", "-printed.positions.json"))
        files[saved] = _positions(layout, jobs, picked)
    if picked:
        from decalgen.workshop.drawer.store import quoted
        from decalgen.workshop.drawer_for_jobs import advice

        lines += advice(picked)
        lines += [f"when it is printed: decalgen film use {quoted(one.sheet.name)} {saved}" for one in picked]
    return Result(write_files(files), found, tuple(lines))


def _pass_command(output: Path, bars: Sequence[Asked] = ()) -> str:
    from decalgen.workshop.drawer.store import quoted

    return f"decalgen proof passed {quoted(str(output))} {example(bars) or '--x 99.8 --y 100.1'}"


def _keep_inputs(paths: Sequence[Path], outputs: Sequence[Path], options: Options) -> None:
    """Raises OutputError where a result would take the place of what it is made from, or of another result."""
    given = {
        path.resolve() for path in (*paths, *map(Path, options.films), *map(Path, filter(None, [options.printer])))
    }
    seen: set[Path] = set()
    for output in outputs:
        here = output.resolve()
        if here in given:
            raise OutputError(
                f"'{output}' is read here, so it is not written over", fix="name another file after -o, like sheet.pdf"
            )
        if here in seen:
            raise OutputError(f"'{output}' is asked for twice", fix="name each result once")
        seen.add(here)


def _picked(options: Options, layout: Arrangement) -> tuple[Picked, ...]:
    """The sheets of the drawer that a layout lies on; none where it lies on other film."""
    if DRAWER not in options.films:
        return ()
    from decalgen.workshop.drawer import Drawer
    from decalgen.workshop.drawer_for_jobs import picked_for

    return picked_for(layout, Drawer().sheets(), printer_of(options))


def _positions(
    layout: Arrangement, jobs: Sequence[Job], picked: Sequence[Picked], proof: Mapping[str, Any] | None = None
) -> bytes:
    from decalgen.workshop.drawer_for_jobs import taken_off

    taken = taken_off(layout, picked)
    return write_positions(layout.digest, layout.positions, jobs, layout.complete, taken, proof, layout.parts)


def _warned(drawn: Examined, paths: Sequence[Path], options: Options) -> list[str]:
    """How many warnings the check before a print has, and how to see them."""
    count = sum(finding.severity == "warning" for finding in drawn.findings)
    if not count:
        return []
    words = [*map(str, paths)]
    given = [("--film", film) for film in options.films]
    for option, value in (*given, ("--printer", options.printer), ("--variant", options.variant)):
        words += [option, value] if value else []
    command = " ".join(f'"{word}"' if " " in word else word for word in words)
    return [f"the check has {count} warning{'s' * (count > 1)}: decalgen check {command} lists them"]


def _sound(jobs: Sequence[Job], options: Options) -> Examined:
    """What a check finds, with the artworks it drew. Raises FindingsError for errors: no film is spent."""
    from decalgen.preflight import FindingsError, examine

    found = examine(jobs, printer_of(options))
    errors = tuple(f for f in found.findings if f.severity == "error")
    if errors:
        raise FindingsError(errors)
    return found
