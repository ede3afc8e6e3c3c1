"""What a print was made of beside its jobs, as a record has it: own drawings, pictures and fonts, held against what
lies there.

One rule for all: a print is made again from what it was made of, or not at all. A record keeps the text of a drawing,
which need not be there any more; of a picture and a font it keeps the SHA-256 alone, because a picture is large and the
licence of a font may forbid to hand it on.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.small_files import is_ordinary, read_small, read_small_text
from decalgen.job.drawings import KINDS
from decalgen.job.drawings import MOST_BYTES as MOST_DRAWING
from decalgen.job.model import Job
from decalgen.job.own_faces import MOST_BYTES as MOST_FONT
from decalgen.job.pictures import MOST_BYTES as MOST_PICTURE
from decalgen.sheet.record import AGAIN, JobText, Record


def check_drawings(record: Record, folder: Path) -> None:
    """Raises DecalgenError for a drawing in the folder of a record that is not as the record has it."""
    for name, text in (file for job in record.jobs for file in job.files if file[0].lower().endswith(KINDS)):
        if is_ordinary(folder / name) and _text(folder / name) != text:
            raise DecalgenError(
                f"the drawing '{folder / name}' was changed since this was printed",
                fix="put it back as it was, or move it away: then the one in the record is printed; "
                "or make a new proof from the jobs",
            )


def _text(path: Path) -> str | None:
    try:
        return read_small_text(path, MOST_DRAWING)
    except InputError:
        return None


def font_digests(job: Job) -> tuple[tuple[str, str], ...]:
    """What a record keeps of the fonts of a job: each file by its name, and its SHA-256."""
    return tuple(sorted({file: name.font.sha256 for file, name in job.faces}.items()))


def fonts_of(job: JobText, folder: Path) -> Iterator[tuple[str, bytes]]:
    """The fonts of a job as they lie in the folder of its record, by their names. Raises InputError for one that is
    missing, DecalgenError for one that was changed."""
    for name, total in job.faces:
        path = folder / name
        if not path.resolve().is_relative_to(folder.resolve()):
            raise InputError(f"the record names the font '{name}', which is outside its folder", fix=AGAIN)
        if not is_ordinary(path):
            raise InputError(
                f"the font '{path}' is not there, in which this was printed",
                fix="copy it to that place: a record keeps no font",
            )
        data = read_small(path, MOST_FONT)
        if hashlib.sha256(data).hexdigest() != total:
            raise DecalgenError(
                f"the font '{path}' was changed since this was printed",
                fix="put it back as it was, or make a new proof from the jobs",
            )
        yield name, data


def pictures_of(job: JobText, record: Path) -> Iterator[tuple[str, bytes]]:
    """The pictures of a job as they lie beside its ``record``, by their names. Raises InputError for one that is
    missing or lies elsewhere, DecalgenError for one that was changed."""
    for name, total in job.pictures:
        path = record.parent / name
        if not path.resolve().is_relative_to(record.parent.resolve()):
            raise InputError(f"'{record}' names a file outside its jobs' folders", fix=AGAIN)
        try:
            data = read_small(path, MOST_PICTURE)
        except InputError as error:
            raise InputError(
                f"the picture '{name}' of this print cannot be read: {error.message}",
                fix=f"put the picture it was printed from beside '{record.name}'",
            ) from None
        if hashlib.sha256(data).hexdigest() != total:
            raise DecalgenError(
                f"the picture '{path}' was changed since this print, which keeps only its fingerprint",
                fix="put back the picture it was printed from, or make a new proof from the jobs",
            )
        yield name, data
