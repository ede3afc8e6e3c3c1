"""The proof gate's files: what a proof has to reach stands in its positions, the verdict in a file beside them."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, Literal

from decalgen.core.errors import InputError
from decalgen.core.small_files import Wanted, read_small_text
from decalgen.core.unfinished import settle
from decalgen.proofing.judge import (
    WORST_FIRST,
    Asked,
    Fingerprint,
    Standard,
    VerdictWord,
)

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


def others(path: Path, needed: Standard, page: str) -> dict[str, Any]:
    """What was measured of the very same proof on other sizes of sheet. A damaged file is as good as none here."""
    try:
        data = _read(path)
        if data is None or _fingerprint(data["fingerprint"]) != needed.fingerprint:
            return {}
        pages = {bar.page for bar in needed.bars} - {page}
        return {size: one for size, one in data["measured"].items() if size in pages and one["verdict"] in WORST_FIRST}
    except (InputError, KeyError, TypeError, AttributeError):
        return {}


def read_proven(path: Path) -> tuple[Fingerprint, VerdictWord] | None:
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


def told_of(path: Path, now: Fingerprint) -> tuple[VerdictWord | Literal[""], tuple[str, ...]]:
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
        settle(path.parent)
        if not os.path.lexists(path):
            return None
        data = json.loads(read_small_text(path, LARGEST, Wanted(ANEW)))
        if not isinstance(data, dict) or data["form"] != FORM:
            raise ValueError
        return data
    except (ValueError, KeyError, RecursionError):
        raise InputError(f"'{path}' is not the verdict on a proof", fix=ANEW) from None


def _fingerprint(data: Mapping[str, Any]) -> Fingerprint:
    return Fingerprint(*(str(data[key]) for key in ("decals", "positions", "film", "printer")))
