"""The pictures of a print that is made again: those beside its record, if they are what was printed."""

from __future__ import annotations

import hashlib
from pathlib import Path

from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.small_files import read_small
from decalgen.job.pictures import MOST_BYTES
from decalgen.sheet.record import AGAIN, JobText


def put_pictures(kept: JobText, record: Path, folder: Path) -> None:
    """Copies the pictures of a job that lie beside its ``record`` to the ``folder`` of its copy. Raises InputError for
    one that is missing or lies elsewhere, DecalgenError for one that was changed."""
    for name, digest in kept.pictures:
        source, target = record.parent / name, (folder / name).resolve()
        if not target.is_relative_to(folder.resolve()) or not source.resolve().is_relative_to(record.parent.resolve()):
            raise InputError(f"'{record}' names a file outside its jobs' folders", fix=AGAIN)
        try:
            data = read_small(source, MOST_BYTES)
        except InputError as error:
            raise InputError(
                f"the picture '{name}' of this print cannot be read: {error.message}",
                fix=f"put the picture it was printed from beside '{record.name}'",
            ) from None
        if hashlib.sha256(data).hexdigest() != digest:
            raise DecalgenError(
                f"the picture '{source}' was changed since this print, which keeps only its fingerprint",
                fix="put back the picture it was printed from, or make a new proof from the jobs",
            )
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
