"""The file of positions that a proof leaves and the final print is made from. JSON, readable, one line a piece."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.core.errors import InputError
from decalgen.core.small_files import Wanted, read_small_text
from decalgen.core.unfinished import settle
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.job.model import Job

FORM = "decalgen positions 1"
LARGEST = 4_000_000
"""No file of positions is larger, bytes: 20 000 pieces take a tenth of this a piece."""
NAMED = 6
"""Of so many files or fewer a message names each."""


@dataclass(frozen=True)
class Position:
    """Where one copy lies: turned by ``turn`` degrees about the artwork's corner, then moved by x, y (mm)."""

    key: str
    copy: int
    film: str
    sheet: int
    x: float
    y: float
    turn: int


@dataclass(frozen=True)
class FilmTaken:
    """What printing takes off a sheet of the film drawer: outlines, mm from the sheet's lower left corner."""

    sheet: str
    parts: tuple[tuple[tuple[float, float], ...], ...]
    marks: tuple[tuple[float, float], ...] = ()
    """The registration marks it prints there, by their middles."""


@dataclass(frozen=True)
class Saved:
    """Positions as read: of which arrangement (its digest), and where the file is."""

    digest: str
    positions: tuple[Position, ...]
    file: str
    complete: bool = True
    taken: tuple[FilmTaken, ...] = ()
    proof: Mapping[str, Any] | None = None
    """What its proof has to reach, as the proof gate writes it; None: no proof left it."""
    parts: Mapping[str, str] = field(default_factory=dict)
    """Short hashes of what decided the nest, by name; none in older files."""


def write_positions(
    digest: str,
    positions: Sequence[Position],
    jobs: Sequence[Job],
    complete: bool = True,
    taken: Sequence[FilmTaken] = (),
    proof: Mapping[str, Any] | None = None,
    parts: Mapping[str, str] | None = None,
) -> bytes:
    """The file's bytes. ``digest`` is that of the arrangement; ``complete``: False where a nest was ended early.
    ``proof``: what a proof of it has to reach; ``parts``: short hashes of what decided the nest, by name."""
    rows = [
        json.dumps(
            {"decal": p.key, "copy": p.copy, "film": p.film, "sheet": p.sheet, "x": p.x, "y": p.y, "turn": p.turn},
            ensure_ascii=False,
        )
        for p in positions
    ]
    head: dict[str, Any] = {
        "form": FORM,
        "layout": digest,
        "jobs": {job.name: job.digest for job in jobs},
        "nested completely": complete,
    }
    if parts:
        head["parts"] = dict(parts)
    if proof:
        head["proof"] = proof
    text = json.dumps(head, ensure_ascii=False, indent=1)[:-2]
    text += ',\n "positions": [\n  ' + ",\n  ".join(rows) + "\n ]"
    if taken:
        gone = [
            json.dumps({"sheet": one.sheet, "parts": one.parts, "marks": one.marks}, ensure_ascii=False)
            for one in taken
        ]
        text += ',\n "taken from the drawer": [\n  ' + ",\n  ".join(gone) + "\n ]"
    return (text + "\n}\n").encode("utf-8")


def read_positions(path: Path) -> Saved:
    """The positions of a proof. Raises InputError for a file that is not one."""
    fix = "make the proof again with `decalgen proof`"
    try:
        settle(path.parent)  # a proof that was killed may have left new beside old
        data = json.loads(read_small_text(path, LARGEST, Wanted(_beside(path) or fix)))
        if data["form"] != FORM:
            raise InputError(f"'{path}' was written by another version", fix=fix)
        found = tuple(
            Position(
                str(p["decal"]),
                int(p["copy"]),
                str(p["film"]),
                int(p["sheet"]),
                _finite(p["x"]),
                _finite(p["y"]),
                int(p["turn"]),
            )
            for p in data["positions"]
        )
        taken = tuple(
            FilmTaken(str(one["sheet"]), tuple(_points(ring) for ring in one["parts"]), _points(one.get("marks", [])))
            for one in data.get("taken from the drawer", [])
        )
        parts = {str(name): str(total) for name, total in data.get("parts", {}).items()}
        complete = bool(data["nested completely"])
        return Saved(str(data["layout"]), found, str(path), complete, taken, data.get("proof"), parts)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise InputError(f"'{path}' is not a file of positions", fix=fix) from None


def _beside(path: Path) -> str:
    """What to type where the positions lie under another name: people name them after the proof or the sheet."""
    try:
        near = sorted(path.parent.glob("*.positions.json"))
    except OSError:
        return ""
    if len(near) > NAMED:
        return ""
    return "the positions that lie there: " + ", ".join(f"'{one}'" for one in near) if near else ""


def _points(rows: Iterable[Any]) -> tuple[tuple[float, float], ...]:
    return tuple((_finite(x), _finite(y)) for x, y in rows)


def _finite(value: object) -> float:
    number = float(value)  # type: ignore[arg-type]
    if not math.isfinite(number):
        raise ValueError("not finite")
    return number
