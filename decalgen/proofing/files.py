"""The proof gate's files: what a proof has to reach stands in its positions, what was read in a file beside them.

No verdict is kept: it is reckoned from the readings each time. Proofs are found by what they are of, not by name.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from decalgen.core.errors import GateError, InputError
from decalgen.core.instruments import line_instrument
from decalgen.core.kept import Form, plain, read_kept, value_of, write_kept
from decalgen.core.small_files import Wanted, read_small_text, sha256_of
from decalgen.core.unfinished import settle
from decalgen.core.values import dataclass
from decalgen.proofing.fingerprint import Fingerprint
from decalgen.proofing.judge import SheetReading, VerdictWord, judge, worst
from decalgen.proofing.standard import Standard
from decalgen.sheet.positions import Saved

FORM = Form(
    "decalgen proven", 3, 2, "a file of proof readings", "delete it and pass the proof again: `decalgen proof passed`"
)
"""The first form held a verdict and no seal; the second was of sheets with check bars on the film. A proof passed with
either has to be passed again."""
LARGEST = 100_000
LARGEST_PROOF = 500_000_000
"""A larger proof is not looked at, bytes."""
ENDING = ".positions.json"
PROVEN = ".proven.json"
MOST_NAMES = 2_000
"""So many names of a folder are looked through for a proof."""
AGAIN = "make the proof again with `decalgen proof`, print it and measure it"


@dataclass(frozen=True)
class Proven:
    """What was read off a proof, one for each sheet that was measured; ``earlier``: an earlier version left it, whose
    sheets carried other marks than are printed now."""

    fingerprint: Fingerprint
    measured: tuple[SheetReading, ...]
    earlier: bool = False


def positions_file(output: Path) -> Path:
    """Where a proof keeps its positions: beside the output, named after it without '-proof', '-sheet' or '-press'."""
    stem = output.stem
    # One of them only: a job may be called 'van-sheet' itself.
    named = next((stem.removesuffix(one) for one in ("-proof", "-sheet", "-press") if stem.endswith(one)), stem)
    return output.with_name(f"{named}{ENDING}")


def proven_file(positions: Path) -> Path:
    """Where what was read off a proof is kept: beside its positions."""
    return positions.with_name(positions.name.removesuffix(ENDING) + PROVEN)


def kept_beside(folders: Iterable[Path], ending: str) -> list[Path]:
    """The files of an ending in some folders, each once, by name. What cannot be looked into holds none."""
    found: dict[Path, Path] = {}
    for folder in folders:
        with suppress(OSError), os.scandir(folder) as entries:
            names = sorted(entry.name for _, entry in zip(range(MOST_NAMES), entries, strict=False))
            for name in names:
                if name.endswith(ending):
                    found.setdefault((folder / name).resolve(), folder / name)
    return list(found.values())


# ------------------------------------------------------------------------------------------- what a proof has to reach
def standard_data(needed: Standard, files: Mapping[str, str]) -> dict[str, Any]:
    """A standard as it stands in a file of positions, with the SHA-256 of each file of the proof by its name."""
    return {**plain(needed), "files": dict(files)}


def standard_of(saved: Saved, outdated: bool = False) -> Standard:
    """The standard in a file of positions. Raises GateError where there is none, or, unless ``outdated`` ones will do,
    one of an earlier version."""
    if saved.outdated and not outdated:
        raise GateError(
            f"'{saved.file}' is of a proof made by an earlier version, whose sheets carried other marks", fix=AGAIN
        )
    data = {key: value for key, value in (saved.proof or {}).items() if key != "files"}
    try:
        found: Standard = value_of(Standard, data, "proof")
    except ValueError:
        raise GateError(
            f"'{saved.file}' does not say what was proofed: it was not left by a proof", fix=AGAIN
        ) from None
    return found


def check_printed(saved: Saved, folder: Path) -> None:
    """Raises GateError unless each file of the proof lies in the folder as decalgen wrote it, under whatever name: what
    was not written, or was changed, cannot have been measured."""
    wanted: Mapping[str, str] = (saved.proof or {}).get("files") or {}
    if not wanted:
        raise GateError(f"'{saved.file}' names no proof that was written", fix=AGAIN)
    for name, total in wanted.items():
        named = folder / Path(name).name
        if _total(named) == total:
            continue
        others = (path for path in kept_beside([folder], Path(name).suffix) if path != named)
        if any(_total(path) == total for path in others):
            continue
        if os.path.lexists(named):
            raise GateError(f"the proof '{named}' is not as decalgen wrote it: it was changed since", fix=AGAIN)
        raise GateError(f"the proof '{named}' is not there, so it cannot have been measured", fix=AGAIN)


def proof_of(shown: Path, read: Iterable[Saved]) -> Saved | None:
    """Of some positions, those whose proof is just this file, whatever it is called."""
    total = _total(shown)
    if not total:
        return None
    return next((saved for saved in read if total in ((saved.proof or {}).get("files") or {}).values()), None)


def _total(path: Path) -> str:
    try:
        return sha256_of(path, LARGEST_PROOF)
    except InputError:
        return ""


# ---------------------------------------------------------------------------------------------------- what was read
def write_proven(proven: Proven) -> bytes:
    """The file's bytes."""
    return write_kept(FORM, {"fingerprint": proven.fingerprint, "measured": plain(proven.measured)})


def read_proven(path: Path) -> Proven | None:
    """The readings of a proof; None where the file is missing. Raises InputError for a damaged or changed one."""
    settle(path.parent)
    if not os.path.lexists(path):
        return None
    text = read_small_text(path, LARGEST, Wanted(FORM.fix))
    version, data = read_kept(text, FORM, str(path))
    if version == 1:
        return Proven(Fingerprint("", "", "", "", ""), (), earlier=True)
    try:
        return Proven(
            value_of(Fingerprint, data["fingerprint"], "fingerprint"),
            value_of(tuple[SheetReading, ...], data["measured"], "measured"),
            version < FORM.newest,
        )
    except (ValueError, KeyError, TypeError):
        raise InputError(f"'{path}' is not {FORM.what}", fix=FORM.fix) from None


def proven_of(now: Fingerprint, folders: Sequence[Path]) -> dict[Path, Proven]:
    """What was read off proofs of just this, by file. A damaged file tells nothing here."""
    found = {}
    for path in kept_beside(folders, PROVEN):
        with suppress(InputError):
            one = read_proven(path)
            if one is not None and one.fingerprint == now:
                found[path] = one
    return found


def verdict_on(needed: Standard, proven: Proven) -> tuple[VerdictWord, tuple[str, ...]]:
    """The verdict on all that was read off a proof, reckoned anew, and what is said of it: a line each, led by the
    sheet. Raises GateError for readings that are none."""
    words: list[VerdictWord] = []
    rows: list[str] = []
    for one in proven.measured:
        if needed.page_of(one.sheet) != one.page:
            raise GateError(f"sheet {one.sheet} is not of {one.page}", fix=AGAIN)
        verdict = judge(needed, one, line_instrument(one.tool))
        words.append(verdict.word)
        rows += [f"sheet {one.sheet}, {one.page}: {line}" for line in verdict.lines]
    if not words or needed.bare or needed.unmeasured(one.sheet for one in proven.measured):
        words.append("in part")
    return worst(words), tuple(rows)
