"""The file of positions that a proof leaves and the final print is made from. JSON, readable, one line a piece."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.core.errors import InputError
from decalgen.core.kept import Form, plain, read_kept, value_of, write_kept
from decalgen.core.small_files import Wanted, read_small_text
from decalgen.core.unfinished import settle
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.job.model import Job

FORM = Form("decalgen positions", 3, 2, "a file of positions", "make the proof again with `decalgen proof`")
"""The first form had no seal; the second was of sheets with check bars on the film."""
SAID = {"key": "decal"}
"""What the file calls a position's fields, where it is not by their names."""
MEANT = {said: name for name, said in SAID.items()}
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
    jobs: Mapping[str, str] = field(default_factory=dict)
    """The digest of each job it was made from, by the job's name."""
    earlier: bool = False
    """Whether version 0.1.0 left it: its layout is told by a digest of the first form."""
    command: tuple[str, ...] = ()
    """The jobs and options that its proof was made with, as typed; none in older files."""
    outdated: bool = False
    """Whether its proof was made by an earlier version, whose sheets carried other marks."""
    bars: bool = False
    """Whether its sheets are to carry check bars on the film, as those that earlier versions printed."""


def write_positions(
    digest: str,
    positions: Sequence[Position],
    jobs: Sequence[Job],
    complete: bool = True,
    taken: Sequence[FilmTaken] = (),
    proof: Mapping[str, Any] | None = None,
    parts: Mapping[str, str] | None = None,
    command: Sequence[str] = (),
) -> bytes:
    """The file's bytes. ``digest`` is that of the arrangement; ``complete``: False where a nest was ended early.
    ``proof``: what a proof of it has to reach; ``parts``: short hashes of what decided the nest, by name;
    ``command``: the jobs and options it was made with, as typed."""
    data: dict[str, Any] = {
        "layout": digest,
        "jobs": {job.name: job.digest for job in jobs},
        "nested completely": complete,
    }
    if parts:
        data["parts"] = parts
    if command:
        data["command"] = list(command)
    if proof:
        data["proof"] = proof
    data["positions"] = [{SAID.get(key, key): value for key, value in plain(one).items()} for one in positions]
    if taken:
        data["taken from the drawer"] = plain(taken)
    return write_kept(FORM, data)


def read_positions(path: Path) -> Saved:
    """The positions of a proof. Raises InputError for a file that is not one, or was changed since it was written."""
    settle(path.parent)  # a proof that was killed may have left new beside old
    text = read_small_text(path, LARGEST, Wanted(_beside(path) or FORM.fix))
    version, data = read_kept(text, FORM, str(path))
    try:
        rows = [{MEANT.get(key, key): value for key, value in row.items()} for row in data["positions"]]
        names = Mapping[str, str]
        return Saved(
            value_of(str, data["layout"], "layout"),
            value_of(tuple[Position, ...], rows, "positions"),
            str(path),
            value_of(bool, data["nested completely"], "nested completely"),
            value_of(tuple[FilmTaken, ...], data.get("taken from the drawer", []), "taken from the drawer"),
            value_of(Mapping[str, Any] | None, data.get("proof"), "proof"),
            value_of(names, data.get("parts", {}), "parts"),
            value_of(names, data.get("jobs", {}), "jobs"),
            version == 1,
            value_of(tuple[str, ...], data.get("command", []), "command"),
            outdated=version < FORM.newest,
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        raise InputError(f"'{path}' is not {FORM.what}", fix=FORM.fix) from None


def _beside(path: Path) -> str:
    """What to type where the positions lie under another name: people name them after the proof or the sheet."""
    try:
        near = [one for one in sorted(path.parent.glob("*.positions.json")) if one != path]
    except OSError:
        return ""
    if len(near) > NAMED:
        return ""
    return "the positions that lie there: " + ", ".join(f"'{one}'" for one in near) if near else ""
