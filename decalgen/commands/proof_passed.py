"""What `proof passed` does: the readings of a proof's check bars are judged into a verdict beside its positions."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from decalgen.commands.options import Made
from decalgen.core.errors import GateError, InputError
from decalgen.core.instruments import line_instrument
from decalgen.printer.typed_lengths import readings
from decalgen.proofing.files import ENDING, FORM, others, positions_file, proven_file, standard_of
from decalgen.proofing.judge import Verdict, VerdictWord, judge, reading, worst
from decalgen.sheet.positions import read_positions

SAID: dict[VerdictWord, str] = {
    "passed": "passed: this sheet may be printed on film",
    "refused": "refused: film printed like this would not fit",
    "cannot tell": "cannot tell with this instrument",
    "in part": "passed so far: the sheets of another size are still to be measured",
}


def pass_proof(shown: Path, across: Sequence[str], up: Sequence[str], tool: str, sheet: int) -> tuple[Made, Verdict]:
    """Judges the readings of a proof into a file of the verdict beside its positions.

    ``shown``: the proof, its positions or the sheet to be. Raises InputError where there is no proof, GateError and
    CalibrationError for readings that are none.
    """
    path = shown if shown.name.endswith(ENDING) else positions_file(shown)
    if not path.is_file():
        raise InputError(f"there is no proof '{path}'", fix="make one with `decalgen proof`, or name its file")
    saved = read_positions(path)
    try:
        needed = standard_of(saved.proof or {})
    except (KeyError, TypeError, ValueError):
        raise InputError(
            f"'{path}' does not say what was proofed: it comes from no proof, or from an older version",
            fix="make the proof again with `decalgen proof`",
        ) from None
    measure = line_instrument(tool)
    given = {axis: [v for word in words for v in readings(word)] for axis, words in (("x", across), ("y", up))}
    found = []
    for axis, option in (("x", "--x"), ("y", "--y")):
        if given[axis]:
            found.append(reading(needed.bars, axis, given[axis], sheet, measure))
        elif any(bar.axis == axis and bar.sheet == sheet for bar in needed.bars):
            raise GateError(
                f"the {'horizontal' if axis == 'x' else 'vertical'} check bar was not measured",
                fix=f"add what it measures: {option} 99.8",
            )
    if not found:
        raise GateError(
            f"sheet {sheet} of this proof has no check bars to measure",
            fix="name another with --sheet, or proof it together with others, on a larger film",
        )
    verdict = judge(needed, found, measure)
    page = needed.page_of(sheet)
    kept = {page: {**_measured(verdict, measure.name), "sheet": sheet}}
    kept = {**others(proven_file(path), needed, page), **kept}
    rest = needed.unmeasured(kept)
    words: list[VerdictWord] = [one["verdict"] for one in kept.values()]
    word = worst([*words, "in part"] if rest else words)
    data = {"form": FORM, "verdict": word, "fingerprint": asdict(needed.fingerprint), "measured": kept}
    text = json.dumps(data, ensure_ascii=False, indent=1) + "\n"
    lines = [*verdict.lines, *(f"still to measure: sheet {n}, of {size}: --sheet {n}" for size, n in rest.items())]
    lines += [f"the sheets of {size}: {one['verdict']} before" for size, one in kept.items() if size != page]
    return Made({proven_file(path): text.encode("utf-8")}, (), (*lines, SAID[word])), replace(verdict, word=word)


def _measured(verdict: Verdict, tool: str) -> dict[str, Any]:
    """A verdict on one size of sheet as it is kept."""
    return {
        "verdict": verdict.word,
        "measured with": tool,
        "readings": [asdict(one) for one in verdict.readings],
        "said": list(verdict.lines),
    }
