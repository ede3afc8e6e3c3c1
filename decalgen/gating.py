"""The proof gate's files: what a proof has to reach stands in its positions, the verdict in a file beside them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any, Literal

from decalgen.build import Result
from decalgen.calibrating import instrument
from decalgen.errors import InputError
from decalgen.gate import (
    WORST_FIRST,
    Asked,
    Fingerprint,
    GateError,
    Standard,
    Verdict,
    Word,
    judge,
    reading,
    worst,
)
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
    bars = tuple(
        Asked(int(bar["sheet"]), str(bar["axis"]), float(bar["length"]), str(bar["page"])) for bar in data["bars"]
    )
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
        elif any(bar.axis == axis and bar.sheet == sheet for bar in needed.bars):
            raise GateError(
                f"the check bar {'across' if axis == 'x' else 'up'} was not measured",
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
    kept = {**_others(proven_file(path), needed, page), **kept}
    rest = needed.unmeasured(kept)
    words: list[Word] = [one["verdict"] for one in kept.values()]
    word = worst([*words, "in part"] if rest else words)
    data = {"form": FORM, "verdict": word, "fingerprint": asdict(needed.fingerprint), "measured": kept}
    text = json.dumps(data, ensure_ascii=False, indent=1) + "\n"
    files = write_files({proven_file(path): text.encode("utf-8")})
    lines = [*verdict.lines, *(f"still to measure: sheet {n}, of {size}: --sheet {n}" for size, n in rest.items())]
    lines += [f"the sheets of {size}: {one['verdict']} before" for size, one in kept.items() if size != page]
    return Result(files, (), (*lines, SAID[word])), replace(verdict, word=word)


SAID: dict[Word, str] = {
    "passed": "passed: this sheet may be printed on film",
    "refused": "refused: film printed like this would not fit",
    "cannot tell": "cannot tell with this instrument",
    "in part": "passed so far: the sheets of another size are still to be measured",
}


def _measured(verdict: Verdict, tool: str) -> dict[str, Any]:
    """A verdict on one size of sheet as it is kept."""
    return {
        "verdict": verdict.word,
        "measured with": tool,
        "readings": [asdict(one) for one in verdict.readings],
        "said": list(verdict.lines),
    }


def _others(path: Path, needed: Standard, page: str) -> dict[str, Any]:
    """What was measured of the very same proof on other sizes of sheet. A damaged file is as good as none here."""
    try:
        data = _read(path)
        if data is None or _fingerprint(data["fingerprint"]) != needed.fingerprint:
            return {}
        pages = {bar.page for bar in needed.bars} - {page}
        return {size: one for size, one in data["measured"].items() if size in pages and one["verdict"] in WORST_FIRST}
    except (InputError, KeyError, TypeError, AttributeError):
        return {}


def read_proven(path: Path) -> tuple[Fingerprint, Word] | None:
    """The verdict in a file; None where there is none. Raises InputError for a damaged one."""
    try:
        data = _read(path)
        if data is None:
            return None
        if data["verdict"] not in WORST_FIRST:
            raise ValueError
        return _fingerprint(data["fingerprint"]), data["verdict"]
    except (ValueError, KeyError, TypeError):
        raise InputError(f"'{path}' is not the verdict on a proof", fix=ANEW) from None


def told_of(path: Path, now: Fingerprint) -> tuple[Word | Literal[""], tuple[str, ...]]:
    """The verdict on a proof of just this and what was measured, for its record; nothing where there is none."""
    try:
        data = _read(path)
        if data is None or _fingerprint(data["fingerprint"]) != now:
            return "", ()
        rows = [f"{size}: {line}" for size, one in data["measured"].items() for line in one["said"]]
        return data["verdict"], tuple(rows)
    except (InputError, KeyError, TypeError, AttributeError):
        return "", ()


ANEW = "delete it and pass the proof again: `decalgen proof passed`"


def _read(path: Path) -> dict[str, Any] | None:
    """What a file holds, as far as it says that it is a verdict; None where there is no file. Raises InputError."""
    try:
        if not path.is_file():
            return None
        if path.stat().st_size > LARGEST:
            raise ValueError
        data = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(data, dict) or data["form"] != FORM:
            raise ValueError
        return data
    except OSError as error:
        raise InputError(f"'{path}' cannot be read: {(error.strerror or str(error)).lower()}", fix=ANEW) from None
    except (ValueError, KeyError, RecursionError):
        raise InputError(f"'{path}' is not the verdict on a proof", fix=ANEW) from None


def _fingerprint(data: Mapping[str, Any]) -> Fingerprint:
    return Fingerprint(*(str(data[key]) for key in ("decals", "positions", "film", "printer")))
