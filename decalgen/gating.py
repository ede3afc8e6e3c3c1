"""The proof gate's files: what a proof has to reach stands in its positions, the verdict in a file beside them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, get_args

from decalgen.build import Result
from decalgen.calibrating import instrument
from decalgen.errors import InputError
from decalgen.gate import Asked, Fingerprint, GateError, Standard, Verdict, Word, judge, reading
from decalgen.positions import read_positions
from decalgen.typed import readings
from decalgen.writing import write_files

FORM = "decalgen proven 1"
LARGEST = 100_000
ENDING = ".positions.json"


def positions_file(output: Path) -> Path:
    """Where a proof keeps its positions: beside the output, named after it without '-proof', '-sheet' or '-press'."""
    stem = output.stem
    for ending in ("-proof", "-sheet", "-press"):
        stem = stem.removesuffix(ending)
    return output.with_name(f"{stem}{ENDING}")


def proven_file(positions: Path) -> Path:
    """Where the verdict on a proof is kept: beside its positions."""
    return positions.with_name(positions.name.removesuffix(ENDING) + ".proven.json")


def standard_data(needed: Standard) -> dict[str, Any]:
    """A standard as it stands in a file of positions."""
    return asdict(needed)


def standard_of(data: Mapping[str, Any]) -> Standard:
    """The standard in a file of positions. Raises KeyError, TypeError, ValueError for what is none."""
    bars = tuple(Asked(int(bar["sheet"]), str(bar["axis"]), float(bar["length"])) for bar in data["bars"])
    return Standard(_fingerprint(data["fingerprint"]), bars, float(data["share"]), str(data["why"]))


def pass_proof(shown: Path, across: Sequence[str], up: Sequence[str], tool: str, sheet: int) -> tuple[Result, Verdict]:
    """Judges the readings of a proof and keeps the verdict beside its positions.

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
            f"'{path}' does not say what was proofed: it was not left by a proof, or by an older version",
            fix="make the proof again with `decalgen proof`",
        ) from None
    measure = instrument(tool)
    given = {axis: [v for word in words for v in readings(word)] for axis, words in (("x", across), ("y", up))}
    found = []
    for axis, option in (("x", "--x"), ("y", "--y")):
        if given[axis]:
            found.append(reading(needed.bars, axis, given[axis], sheet, measure))
        elif any(bar.axis == axis for bar in needed.bars):
            raise GateError(
                f"the check bar {'across' if axis == 'x' else 'up'} was not measured",
                fix=f"add what it measures: {option} 99.8",
            )
    if not found:
        raise GateError(
            "this proof has no check bars to measure", fix="proof it together with others, on a larger film"
        )
    verdict = judge(needed, found, measure)
    data = {
        "form": FORM,
        "verdict": verdict.word,
        "fingerprint": asdict(needed.fingerprint),
        "measured with": measure.name,
        "readings": [asdict(one) for one in found],
        "said": list(verdict.lines),
    }
    text = json.dumps(data, ensure_ascii=False, indent=1) + "\n"
    head = {
        "passed": "passed: this sheet may be printed on film",
        "refused": "refused: film printed like this would not fit",
        "cannot tell": "cannot tell with this instrument",
    }[verdict.word]
    files = write_files({proven_file(path): text.encode("utf-8")})
    return Result(files, (), (*verdict.lines, head)), verdict


def read_proven(path: Path) -> tuple[Fingerprint, Word] | None:
    """The verdict in a file; None where there is none. Raises InputError for a damaged one."""
    try:
        if not path.is_file():
            return None
        if path.stat().st_size > LARGEST:
            raise ValueError
        data = json.loads(path.read_text(encoding="utf-8"))
        if data["form"] != FORM or data["verdict"] not in get_args(Word):
            raise ValueError
        return _fingerprint(data["fingerprint"]), data["verdict"]
    except OSError as error:
        raise InputError(f"'{path}' cannot be read: {(error.strerror or str(error)).lower()}") from None
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError(
            f"'{path}' is not the verdict on a proof", fix="delete it and pass the proof again: `decalgen proof passed`"
        ) from None


def _fingerprint(data: Mapping[str, Any]) -> Fingerprint:
    return Fingerprint(*(str(data[key]) for key in ("decals", "positions", "film", "printer")))
