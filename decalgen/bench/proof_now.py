"""What is known of the proof beside a job and of the sheet that was made from it: told by what lies on the disk, so
that it is the same after a start of the page, and by what the files say now, so that it does not outlive a change."""

from __future__ import annotations

import asyncio
import os
import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.applied import ENDING as APPLIED
from decalgen.bench.print_files import positions_path
from decalgen.commands.again import record_text
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError, GateError, InputError
from decalgen.core.instruments import InstrumentError
from decalgen.core.kept import plain
from decalgen.core.small_files import sha256_of, signature
from decalgen.core.values import dataclass
from decalgen.proofing.files import proven_of, standard_of, verdict_on
from decalgen.proofing.fingerprint import Fingerprint, fingerprint
from decalgen.proofing.judge import WORST_FIRST, VerdictWord
from decalgen.sheet.record import RECORD_ENDING, Record, read_record
from decalgen.workshop.drawer_for_jobs import PrintedError

if TYPE_CHECKING:
    from decalgen.commands.options import Options
    from decalgen.commands.run import Run
    from decalgen.sheet.pieces import Piece
    from decalgen.sheet.positions import Saved

MOST_NAMES = 2_000
MOST_RECORDS = 40
"""So many records of a job, the newest first, are looked through for that of its present sheet."""
NAMED = 4
"""So many decals that changed are named."""
LARGEST = 500_000_000
"""A larger file is not offered, bytes."""
SAID = {
    "decals": "the decals are no longer as on the proof",
    "film": "the film is no longer as on the proof",
    "printer": "the printer is no longer as on the proof",
    "gap": "the gap is no longer as on the proof",
}
"""What decides where pieces lie, by its name in a file of positions, once it changed."""


@dataclass(frozen=True)
class MadeFiles:
    """Files on the disk that serve one purpose."""

    what: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class ProofOnDisk:
    """A proof and what came of it. ``word``: the verdict on what was read off it, None where nothing was; ``lines``:
    what is said of that; ``proof``, ``sheet``: the files that still lie there as they were written; ``sent``: by the
    number of its sheet of film, where a printer got it last."""

    word: VerdictWord | None = None
    lines: tuple[str, ...] = ()
    proof: tuple[MadeFiles, ...] = ()
    sheet: tuple[MadeFiles, ...] = ()
    sent: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True)
class SinceProof:
    """``changed``: what changed since a proof, a line each; ``drawn``: by decal a digest of how it is drawn now;
    ``printed``: its sheets are off the film drawer already, so that nothing is left to compare."""

    changed: tuple[str, ...]
    drawn: Mapping[str, str]
    printed: PrintedError | None = None


class ProofShelf:
    """The proof beside one job file, looked at again once a file there changed."""

    def __init__(self, job: Path) -> None:
        self.job = job
        self._known: tuple[object, ProofOnDisk] = None, ProofOnDisk()
        self.changed: tuple[str, ...] = ()
        """What changed since the proof, a line each."""
        self.of: object = None
        """What `changed` and `printed` were told of."""
        self.printed: PrintedError | None = None
        """Where the sheets of the proof are printed already: on what."""
        self._comparing = False
        self._held: tuple[Saved | None, Mapping[str, str]] = None, {}
        """The proof that held last, and how each decal was drawn on it."""

    def claims(self, of: object) -> bool:
        """Whether the proof is still to be compared with what this stands for; whoever asks does it then."""
        if of == self.of or self._comparing:
            return False
        self._comparing = True
        return True

    async def compare(
        self, saved: Saved, of: object, paths: Sequence[Path], options: Options, drawn: Run | None
    ) -> None:
        """Compares a proof with what the files say now, in a thread of its own. ``of``: what that is told by;
        ``drawn``: a run of just this, where there is one."""
        from decalgen.commands.run import Run

        held = self._held[1] if self._held[0] == saved else {}
        try:
            found = await asyncio.to_thread(lambda: since_proof(drawn or Run(paths, options), saved, held))
            self.changed, self.printed, self.of = found.changed, found.printed, of
            if not found.changed:
                self._held = saved, found.drawn
        finally:
            self._comparing = False

    def on_disk(self, saved: Saved | None) -> ProofOnDisk:
        """What lies there of a proof with these positions."""
        if saved is None:
            return ProofOnDisk()
        stamps = _stamps(self.job)
        if self._known[0] != stamps:
            self._known = stamps, _looked(self.job, saved)
        return self._known[1]


def since_proof(run: Run, saved: Saved, held: Mapping[str, str]) -> SinceProof:
    """What a run would print otherwise than its proof shows, or why it would not be printed at all. ``held``: how each
    decal is drawn on the proof, as far as that is known, so that those that changed are named."""
    from decalgen.bench.sheet_layout import question_of

    try:
        needed = standard_of(saved)
        question = question_of(run, saved)
        drawn = _drawn(question.pieces)
        other = [f"'{name}'" for name in dict.fromkeys([*held, *drawn]) if held.get(name) != drawn.get(name)]
        named = f": {', '.join(other[:NAMED])}{' and others' * (len(other) > NAMED)}" if held and other else ""
        if question.digest != saved.digest and not saved.earlier:
            parts = [name for name in SAID if question.parts.get(name) != saved.parts.get(name)] or ["decals"]
            return SinceProof(tuple(SAID[one] + named * (one == "decals") for one in parts), drawn)
        now = fingerprint(run.arrangement(saved))
        if now == needed.fingerprint:
            return SinceProof((), drawn)
        return SinceProof(
            tuple(f"{one} changed{named * (one == 'the decals')}" for one in needed.fingerprint.changed(now)), drawn
        )
    except PrintedError as error:
        return SinceProof((), held, error)
    except DecalgenError as error:
        return SinceProof((error.message,), {})


def _drawn(pieces: Iterable[Piece]) -> dict[str, str]:
    """By decal a digest of how all its copies are drawn, and in which colours."""
    found: dict[str, list[object]] = {}
    for one in pieces:
        used = {part.ink for part in one.artwork.printed}
        inks = sorted((spec.name, str(spec.colour)) for spec in one.artwork.inks if spec.name in used)
        found.setdefault(one.artwork.decal.name, []).append([one.key, one.copy, one.artwork.digest, inks])
    return {name: digest_of(rows) for name, rows in found.items()}


def _looked(job: Path, saved: Saved) -> ProofOnDisk:
    folder = job.parent
    hashes = dict((saved.proof or {}).get("files") or {})
    papers = tuple(name for name, total in hashes.items() if _is_still(folder, name, total))
    groups = [MadeFiles("print on plain paper at 100 %", papers)]
    if papers:
        groups.append(MadeFiles("positions, kept for the print on film", (positions_path(job).name,)))
    proof = tuple(one for one in groups if one.names)
    try:
        needed = standard_of(saved)
    except GateError:
        return ProofOnDisk(proof=proof)
    words: list[tuple[VerdictWord, tuple[str, ...]]] = []
    for one in proven_of(needed.fingerprint, [folder]).values():
        try:
            words.append(verdict_on(needed, one))
        except (GateError, InstrumentError) as error:
            words.append(("refused", (error.message,)))
    if not words:
        return ProofOnDisk(proof=proof)
    word, lines = min(words, key=lambda one: WORST_FIRST.index(one[0]))
    records = _records_of(job, needed.fingerprint)
    return ProofOnDisk(word, lines, proof, _sheet_of(job, records), _sent_of(records))


def _records_of(job: Path, printed: Fingerprint) -> list[tuple[Path, Record]]:
    """The records of prints of just this that lie beside a job, the newest first."""
    name = re.compile(rf"{re.escape(job.stem)}-[0-9a-f]{{8}}{re.escape(RECORD_ENDING)}")
    paths = [job.with_name(one) for one in _names(job.parent) if name.fullmatch(one)]
    found = []
    for path in sorted(paths, key=lambda one: signature(one) or (0, 0, 0), reverse=True)[:MOST_RECORDS]:
        with suppress(InputError):
            record = read_record(record_text(path), str(path))
            if dict(record.printed) == plain(printed):
                found.append((path, record))
    return found


def _sheet_of(job: Path, records: Sequence[tuple[Path, Record]]) -> tuple[MadeFiles, ...]:
    """The files of the newest of some prints that still lie there."""
    for path, record in records:
        if found := _groups(record, job.parent):
            return (*found, MadeFiles("record, to print it again", (path.name,)))
    return ()


def _sent_of(records: Sequence[tuple[Path, Record]]) -> dict[int, str]:
    """By the number of its sheet, where a printer got it last, unless nothing can have come out."""
    sent = [one for _, record in reversed(records) for one in record.sent if one.perhaps_printed]
    return {one.sheet: one.words for one in sorted(sent, key=lambda one: one.sheet)}


def _groups(record: Record, folder: Path) -> list[MadeFiles]:
    """A record's files by what they are for; none unless all still lie there as they were made."""
    if not record.files or not all(_is_still(folder, name, total) for name, total in record.files):
        return []
    asked = [Path(one) for one in (*record.cut, *record.cut_alone)]
    cutting = [
        name
        for name, _ in record.files
        if any(name.startswith(one.stem) and name.endswith(one.suffix) for one in asked)
    ]
    film = [name for name, _ in record.files if name not in cutting and not name.endswith(".json")]
    groups = MadeFiles("print on film at 100 %", tuple(film)), MadeFiles("for the cutting machine", tuple(cutting))
    return [one for one in groups if one.names]


def offered(groups: Iterable[MadeFiles], made: dict[str, Any]) -> dict[str, Any]:
    """Files on the disk as the page offers them; what was said when they were made, where that was just these.
    ``made``: what came of making them last, while the page was open; why nothing came of it stands before all."""
    if made.get("wrong"):
        return made
    rows = [{"what": one.what, "files": list(one.names)} for one in groups]
    names = [name for one in rows for name in one["files"]]
    if not names or set(names) == set(made.get("files", ())):
        return made if names else {}
    return {"files": names, "groups": rows, "lines": []}


def _is_still(folder: Path, name: str, total: str) -> bool:
    if Path(name).name != name:
        return False
    try:
        return sha256_of(folder / name, LARGEST) == total
    except InputError:
        return False


def _names(folder: Path) -> list[str]:
    with suppress(OSError), os.scandir(folder) as entries:
        return sorted(one.name for _, one in zip(range(MOST_NAMES), entries, strict=False))
    return []


def _stamps(job: Path) -> object:
    """What changes with every file that counts here."""
    names = [one for one in _names(job.parent) if one.endswith(".json") or one.startswith(job.stem)]
    names = [one for one in names if not one.endswith(APPLIED)]
    return tuple((name, signature(job.with_name(name))) for name in names)
