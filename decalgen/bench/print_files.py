"""The files that are printed: where they go beside a job, and what the page is told of those that were made."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.page_words import on_page
from decalgen.proofing.files import positions_file

if TYPE_CHECKING:
    from decalgen.commands.options import Made


def proof_path(job: Path) -> Path:
    """Where the proof of a job goes."""
    return job.with_name(f"{job.stem}-proof.pdf")


def sheet_path(job: Path) -> Path:
    """Where its sheet for film goes."""
    return job.with_name(f"{job.stem}-sheet.pdf")


def positions_path(job: Path) -> Path:
    """Where its proof keeps its positions: as the command names them after the proof, whatever the job is called."""
    return positions_file(proof_path(job))


def written(made: Made) -> dict[str, Any]:
    """What came of a command, its files by what they are for; they are written here."""
    result = made.write()
    groups = [
        {"what": one.purpose, "files": [path.name for path in one.paths]} for one in made.answer.groups if one.paths
    ]
    return {
        "files": [path.name for path in result.files],
        "groups": groups,
        "lines": [on_page(one) for one in made.lines],
    }
