"""What `proof passed` does: the readings of a proof's check bars are judged, and kept beside its positions."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Made
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import GateError, InputError
from decalgen.core.instruments import line_instrument
from decalgen.core.small_files import is_ordinary
from decalgen.printer.typed_lengths import readings
from decalgen.proofing.files import (
    ENDING,
    Proven,
    check_printed,
    kept_beside,
    positions_file,
    proof_of,
    proven_file,
    proven_of,
    standard_of,
    verdict_on,
    write_proven,
)
from decalgen.proofing.fingerprint import Fingerprint, code_of, typed_code
from decalgen.proofing.gate import bare_words
from decalgen.proofing.judge import SheetReading, Verdict, VerdictWord, judge
from decalgen.proofing.standard import Standard
from decalgen.sheet.positions import Saved, read_positions

if TYPE_CHECKING:
    from decalgen.commands.page_scans import PageScan

SAID: dict[VerdictWord, str] = {
    "passed": "passed: this sheet may be printed on film",
    "refused": "refused: film printed like this would not fit",
    "cannot tell": "cannot tell yet",
    "in part": "passed so far, but not all of it was measured: no film is printed yet",
}
DONE: dict[VerdictWord, str] = {
    "passed": "proof passed",
    "refused": "proof refused",
    "cannot tell": "proof not decided",
    "in part": "proof passed in part",
}


def pass_proof(
    shown: Path,
    across: Sequence[str],
    up: Sequence[str],
    tool: str,
    sheet: int,
    code: str | None,
    scan: PageScan | None = None,
) -> tuple[Made, Verdict]:
    """Judges the readings of a proof, which go into a file beside its positions.

    ``shown``: the proof, its positions or the sheet to be; ``code``: what is printed on the sheet that was measured;
    ``scan``: of that sheet, from which the bars are read where nothing was typed.
    Raises InputError where there is no proof, GateError for a proof that was not written or was changed, for a code
    that is not its own and for readings that are none, CalibrationError for words that are no readings.
    """
    saved = _positions(shown)
    path = Path(saved.file)
    needed = standard_of(saved)
    check_printed(saved, path.parent)
    if scan is not None and (across or up):
        raise GateError("the bars are both typed and scanned", fix="leave out --x and --y, or --scan")
    source: list[str] = []
    if scan is None:
        found = _typed(needed, (across, up), tool, sheet)
        _check_code(code, needed.fingerprint)
    else:
        _check_code(code, needed.fingerprint)
        found, told = _scanned(needed, scan, sheet)
        source.append(told)
    verdict = judge(needed, found, line_instrument(found.tool))
    kept_in, before = _kept(needed.fingerprint, path)
    rest = tuple(one for one in before if one.sheet != sheet and one.page == needed.page_of(one.sheet))
    stays = _staying(before, found, verdict.word)
    if stays is not None:
        found = stays
        source.append(f"the readings of before stay, made with a {stays.tool}")
    proven = Proven(needed.fingerprint, (*rest, found))
    word, _ = verdict_on(needed, proven)
    missing = needed.unmeasured(one.sheet for one in proven.measured)
    lines = [*source, *verdict.lines]
    lines += [f"still to measure: sheet {n}, of {size}: --sheet {n}" for size, n in missing.items()]
    lines += [bare_words(one) for one in needed.bare]
    for one in rest:
        was = judge(needed, one, line_instrument(one.tool)).word
        lines.append(
            f"sheet {one.sheet}, of {one.page}: {was} before"
            + (f"; measure it again once it is right: --sheet {one.sheet}" if was != "passed" else "")
        )
    answer = Answer(
        DONE[word],
        _after_verdict(word, saved, shown, tuple(missing.values())),
        (FileGroup("readings, kept for the print on film", (kept_in,)),),
        also=() if word in ("passed", "in part") else ("error",),
    )
    return Made({kept_in: write_proven(proven)}, (), (*lines, SAID[word]), answer), replace(verdict, word=word)


def _typed(needed: Standard, words: tuple[Sequence[str], Sequence[str]], tool: str, sheet: int) -> SheetReading:
    measure = line_instrument(tool)
    wide, high = (tuple(value for word in some for value in readings(word)) for some in words)
    return SheetReading(needed.page_of(sheet), sheet, measure.name, wide, high)


def _scanned(needed: Standard, scan: PageScan, sheet: int) -> tuple[SheetReading, str]:
    """What is read from a scan, and a line that says so."""
    from decalgen.proofing.scanned_bars import read_bars

    found = read_bars(needed, sheet, scan.picture, scan.card)
    reading = SheetReading(needed.page_of(sheet), sheet, found.tool.name, found.x, found.y)
    return reading, f"read from the scan '{scan.picture.name}', the size by {found.told}"


def _staying(before: Sequence[SheetReading], found: SheetReading, word: VerdictWord) -> SheetReading | None:
    """The reading that stays in place of a new one of its sheet: a scan that cannot tell puts none aside."""
    if word != "cannot tell" or not line_instrument(found.tool).by_scan:
        return None
    return next((one for one in before if (one.sheet, one.page) == (found.sheet, found.page)), None)


def _after_verdict(word: VerdictWord, saved: Saved, shown: Path, missing: Sequence[int]) -> str:
    blanks = "--code _____ --x ____ --y ____"
    again = f"decalgen proof passed {quoted(str(shown))} {blanks}"
    if word == "passed":
        positions = Path(saved.file)
        output = positions.with_name(f"{positions.name.removesuffix(ENDING)}-sheet.pdf")
        if not saved.command:
            return "run decalgen sheet with the jobs, film and printer of the proof"
        return typed(["decalgen", "sheet", *saved.command, "-o", output])
    if word == "in part" and missing:
        return f"measure sheet {missing[0]}, then run: {again} --sheet {missing[0]}"
    if word == "refused":
        return f"print the proof again as said above, then run: {again}"
    return f"measure as said above, then run: {again}"


def _positions(shown: Path) -> Saved:
    """The positions of the proof that is meant: of the very file shown, else by its name."""
    if shown.name.endswith(ENDING):
        return read_positions(shown)
    if is_ordinary(shown):
        beside = []
        for path in kept_beside([shown.parent], ENDING):
            with suppress(InputError):
                beside.append(read_positions(path))
        found = proof_of(shown, beside)
        if found is not None:
            return found
    path = positions_file(shown)
    if not is_ordinary(path):
        raise InputError(f"there is no proof '{path}'", fix="make one with `decalgen proof`, or name its file")
    return read_positions(path)


def _check_code(code: str | None, printed: Fingerprint) -> None:
    """Raises GateError unless the code is that of the proof. The right one is never said: it stands on the paper."""
    fix = "read it off the sheet that you measured, and type it after --code: --code _____"
    if code is None or not code.strip():
        raise GateError("each sheet of a proof carries a code of five letters, and it was not typed", fix=fix)
    plain = typed_code(code)
    if not plain:
        raise GateError(f"'{code.strip()[:20]}' is not a code: a letter is wrong, missing or swapped", fix=fix)
    if plain != code_of(printed):
        raise GateError(
            f"'{plain}' is the code of another proof: the paper you measured is not of these sheets as they are now",
            fix="print this proof, and measure that; or name the proof that the paper is of",
        )


def _kept(printed: Fingerprint, positions: Path) -> tuple[Path, tuple[SheetReading, ...]]:
    """The file that readings of this proof go into, and what was read before: there is one for each fingerprint in a
    folder, so that what was read last counts."""
    for path, proven in proven_of(printed, [positions.parent]).items():
        return path, proven.measured
    return proven_file(positions), ()
