"""Finding the proof that lets some jobs be printed on film: by what it is of, whatever its files are called."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.proof import pass_command
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.small_files import is_ordinary
from decalgen.core.values import dataclass
from decalgen.proofing.files import ENDING, kept_beside
from decalgen.proofing.gate import proof_for, unproven
from decalgen.proofing.standard import standard
from decalgen.sheet.positions import read_positions

if TYPE_CHECKING:
    from decalgen.commands.run import Run
    from decalgen.job.model import Job
    from decalgen.proofing.gate import Proof
    from decalgen.sheet.arrange import Arrangement

MOST = 100
"""So many files of positions are tried."""


@dataclass(frozen=True)
class ProofSearch:
    """Where to look for a proof: first the positions named like the sheet, then all that lie in some folders and were
    made from jobs of these names."""

    named: Path
    folders: tuple[Path, ...]
    jobs: Sequence[Job]

    def others(self) -> list[Path]:
        """The files of positions beside the named one that may be of these jobs."""
        names = {job.name for job in self.jobs}
        found = []
        for path in kept_beside(self.folders, ENDING)[:MOST]:
            if path.resolve() != self.named.resolve():
                with suppress(InputError):
                    saved = read_positions(path)
                    if saved.proof and set(saved.jobs) == names:
                        found.append(path)
        return found


def proven_arrangement(run: Run, asked: ProofSearch) -> tuple[Path, Arrangement, Proof]:
    """The positions, the sheets laid by them, and their proof, which was measured and passed.

    The positions named like the sheet decide where they hold; where there are none, or they are of something else,
    those of another proof of the same jobs do. Raises GateError where none was passed, what `Run.arrangement` raises
    where the named ones do not hold and no other does.
    """
    fits = run.examined.fits
    command = pass_command(asked.named)
    refusal: DecalgenError | None = None
    if is_ordinary(asked.named):
        try:
            arrangement = run.arrangement(asked.named)
        except DecalgenError as error:
            refusal = error
        else:
            proof = proof_for(standard(arrangement, fits), asked.named, asked.folders, command)
            if proof.refusal:
                raise proof.refusal
            return asked.named, arrangement, proof
    for path in asked.others():
        try:
            arrangement = run.arrangement(path)
        except DecalgenError:
            continue
        proof = proof_for(standard(arrangement, fits), path, asked.folders, pass_command(path))
        if not proof.refusal:
            return path, arrangement, proof
        refusal = refusal or proof.refusal
    raise refusal or unproven(pass_command(asked.named.with_name(f"{asked.named.name.removesuffix(ENDING)}-proof.pdf")))
