"""What `sheet` does: the final print from a proof's positions, or nested anew."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.again import leave_record
from decalgen.commands.next_step import after
from decalgen.commands.options import Answer, FileGroup, Made, SheetFiles
from decalgen.commands.print_pages import film_prints
from decalgen.commands.proof import (
    check_warnings,
    counted_pieces,
    film_lines,
    keep_inputs,
    pass_command,
    picked_of,
    positions_bytes,
)
from decalgen.commands.proven import ProofSearch, proven_arrangement
from decalgen.commands.sheet_files import cutter_of, results
from decalgen.commands.work_card import check_card, work_card_files
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import DecalgenError
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

AGAIN = re.compile(r"(?:make|nest)[^`]*`decalgen proof`")
"""A fix that asks for another proof, not for the one that is there."""
IN_ORDER = re.compile(r"sheet \d+: marks read to [^:]+ mm")
"""A cutter that is right enough by the marks alone."""


def make_sheet(run: Run, wanted: SheetFiles) -> Made:
    """The final print from the proof's positions; nests where there is no proof, or anew if asked.

    Raises GateError unless a proof of just this was measured and passed: film is not spent on what was never proven.
    """
    cutter = cutter_of(wanted)
    card = () if wanted.work_card is None else (wanted.work_card,)
    keep_inputs(run, (*wanted.outputs, *wanted.cut, *wanted.cut_alone, *card), *filter(None, [wanted.cutter]))
    check_card(wanted)
    if wanted.press:
        run = run.for_press()
    drawn = run.sound()
    try:
        kept, arrangement, proof = _to_print(run, wanted)
    except DecalgenError as error:
        error.next_step = _way_out(error, run, wanted.outputs[0])
        raise
    made = results(arrangement, run.jobs, wanted, cutter)
    files = dict(made.files)
    picked = picked_of(run, arrangement)
    lines = [*made.lines, *_size_lines(run, wanted, arrangement), _origin(kept, wanted)]
    found = (*arrangement.findings, *made.findings)
    told = [str(finding) for finding in (*drawn.findings, *found)]
    record = leave_record(run, arrangement, wanted, files, told, proof, cutter)
    files.update(record)
    cards = work_card_files(run, wanted, arrangement)
    files.update(cards)
    groups = [*made.answer.groups, FileGroup("record, to print it again", tuple(record))]
    if cards:
        groups.append(FileGroup("work card, for the bench", tuple(cards)))
    if kept is None:
        named = positions_file(wanted.outputs[0])
        kept = named.with_name(named.name.replace(ENDING, f"-printed{ENDING}"))
        if picked or not arrangement.complete:
            files[kept] = positions_bytes(arrangement, run.jobs, picked)
            groups.append(FileGroup("positions, for the film drawer", (kept,)))
    lines += _drawer_lines(picked, kept)
    answer = Answer(
        f"made the sheet{'s' * (len(arrangement.sheets) > 1)}, {counted_pieces(arrangement)}",
        _after_sheet(wanted, picked, kept, next(iter(record))),
        tuple(groups),
        (*film_lines(run, arrangement, picked, whole=True), *lines),
        also=check_warnings(run),
    )
    said = (*film_lines(run, arrangement, picked), *in_short(lines))
    whole = Made(files, found, said, answer, record=next(iter(record)))
    return film_prints(whole, arrangement, run.jobs, wanted.outputs[0]) if wanted.to_print else whole


def _way_out(error: DecalgenError, run: Run, output: Path) -> str:
    """The command that makes the proof of a sheet that was refused, where there is none or it has to be made again."""
    known = is_ordinary(positions_file(output))
    if not AGAIN.search(error.fix) and (known or "`decalgen proof`" not in error.fix):
        return ""
    proof = output.with_name(f"{output.stem.removesuffix('-sheet')}-proof.pdf")
    return after("proof", run, ["-o", proof])


def in_short(lines: Sequence[str]) -> list[str]:
    """Without where the cutter is aligned and how right that is, read when it is cut; what asks for more care stays."""
    return [line for line in lines if not (": align the cutter" in line or IN_ORDER.fullmatch(line))]


def _after_sheet(wanted: SheetFiles, picked: Sequence[Picked], kept: Path, record: Path) -> str:
    if wanted.press:
        return f"send {quoted(str(wanted.outputs[0]))} to the print shop"
    film = f"print {quoted(str(wanted.outputs[0]))} on film at 100 %"
    if picked:
        return f"{film}, then run: {typed(['decalgen', 'film', 'use', picked[0].sheet.name, kept])}"
    return f"{film}; to print it again: {typed(['decalgen', 'sheet', '--again', record])}"


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
    from decalgen.workshop.drawer_for_jobs import advice

    used = (typed(["decalgen", "film", "use", one.sheet.name, kept]) for one in picked)
    return [*advice(picked), *(f"after printing: {command}" for command in used)]
