"""What `sheet` does: the final print from a proof's positions, or nested anew."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.again import leave_record
from decalgen.commands.options import Made, SheetFiles
from decalgen.commands.proof import keep_inputs, pass_command, picked_of, positions_bytes, warned
from decalgen.commands.proven import ProofSearch, proven_arrangement
from decalgen.commands.sheet_files import cutter_of, results
from decalgen.core.small_files import is_ordinary
from decalgen.proofing.files import ENDING, positions_file
from decalgen.proofing.gate import proof_for, unproven
from decalgen.proofing.standard import standard

if TYPE_CHECKING:
    from collections.abc import Sequence

    from decalgen.commands.run import Run
    from decalgen.proofing.gate import Proof
    from decalgen.sheet.arrange import Arrangement
    from decalgen.workshop.drawer_for_jobs import Picked


def make_sheet(run: Run, wanted: SheetFiles) -> Made:
    """The final print from the proof's positions; nests where there is no proof, or anew if asked.

    Raises GateError unless a proof of just this was measured and passed: film is not spent on what was never proven.
    """
    cutter = cutter_of(wanted)
    keep_inputs(run, (*wanted.outputs, *wanted.cut, *wanted.cut_alone), *filter(None, [wanted.cutter]))
    if wanted.press:
        run = run.for_press()
    drawn = run.sound()
    kept, arrangement, proof = _to_print(run, wanted)
    made = results(arrangement, run.jobs, wanted, cutter)
    files = dict(made.files)
    picked = picked_of(run, arrangement)
    lines = [*_film_lines(run, arrangement, picked), *made.lines, *_size_lines(run, wanted, arrangement)]
    found = (*arrangement.findings, *made.findings)
    lines.append(_origin(kept, wanted))
    told = [str(finding) for finding in (*drawn.findings, *found)]
    files.update(leave_record(run, arrangement, wanted, files, told, proof, cutter))
    if kept is None:
        named = positions_file(wanted.outputs[0])
        kept = named.with_name(named.name.replace(ENDING, f"-printed{ENDING}"))
        if picked or not arrangement.complete:
            files[kept] = positions_bytes(arrangement, run.jobs, picked)
    return Made(files, found, (*lines, *_drawer_lines(picked, kept)))


def _to_print(run: Run, wanted: SheetFiles) -> tuple[Path | None, Arrangement, Proof]:
    """The proof's positions where those are printed, the sheets, and what is known of their proof.

    Raises GateError for film whose proof was not passed."""
    named = positions_file(wanted.outputs[0])
    folders = dict.fromkeys([named.parent, Path(), *(path.parent for path in run.paths)])
    asked = ProofSearch(named, tuple(folders), run.jobs)
    if wanted.without_proof is None and not wanted.press:
        if wanted.nest_again:
            raise unproven(pass_command(named), nested_again=True)
        return proven_arrangement(run, asked)
    kept = named if is_ordinary(named) and not wanted.nest_again else None
    arrangement = run.arrangement(kept)
    return kept, arrangement, proof_for(standard(arrangement, run.examined.fits), kept, asked.folders, "")


def _film_lines(run: Run, arrangement: Arrangement, picked: Sequence[Picked]) -> list[str]:
    from decalgen.sheet.film_shares import share_lines
    from decalgen.sheet.film_use import reckoned
    from decalgen.workshop.drawer_for_jobs import taken_off

    lines = reckoned(arrangement, run.options.leave)
    return [*lines, *share_lines(arrangement, run.jobs, taken_off(arrangement, picked)), *warned(run)]


def _size_lines(run: Run, wanted: SheetFiles, arrangement: Arrangement) -> list[str]:
    """What is known of the size it comes out at."""
    from decalgen.workshop.profiles import bars_to_read

    lines = [] if wanted.press else list(bars_to_read(run.options.printer, arrangement))
    if wanted.without_proof is not None:
        lines.append(f"printed without a proof: {wanted.without_proof}")
    return lines


def _origin(proof: Path | None, wanted: SheetFiles) -> str:
    if proof:
        return f"positions: as on the proof ({proof})"
    return "positions: nested now" + ("" if wanted.press else "; print a proof first if the size is not proven yet")


def _drawer_lines(picked: Sequence[Picked], kept: Path) -> list[str]:
    """What to do with the drawer's sheets once they are printed."""
    if not picked:
        return []
    from decalgen.core.command_line import quoted
    from decalgen.workshop.drawer_for_jobs import advice

    return [*advice(picked), *(f"after printing: decalgen film use {quoted(p.sheet.name)} {kept}" for p in picked)]
