"""The files of a job as lines of text."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Sequence
from pathlib import Path

from decalgen.core.errors import InputError
from decalgen.core.small_files import Wanted, read_as_written, read_small_text
from decalgen.job.nodes import Source

MOST_BYTES = 1_000_000


def read_source(path: Path, shown: str | None = None) -> Source:
    """A text file by lines. Raises `InputError` for whatever is not a small UTF-8 text file."""
    name = shown if shown is not None else str(path)
    text = read_small_text(path, MOST_BYTES, Wanted("name a job file, a text ending in .yaml", (".yaml", ".yml"), name))
    return Source(name, tuple(text.split("\n")))


def file_beside(name: str, beside: Path, folder: Path) -> Path:
    """The path of a file that another one names from where it lies. Raises `InputError` for a text that cannot be a
    name, and for a file outside the job's ``folder``, which is resolved."""
    try:
        wanted = beside.parent / name
        real = wanted.resolve()
    except (OSError, ValueError, RuntimeError):
        raise InputError(f"'{name[:60]}' is not a file name", fix="name a file beside the job") from None
    if Path(name).is_absolute() or not real.is_relative_to(folder):
        raise InputError(f"'{name[:60]}' is outside the job's folder", fix="copy the file beside the job")
    return wanted


def name_from(job_file: str, file: str) -> str:
    """The name of a file from the folder of a job, written with /."""
    return Path(os.path.relpath(file, Path(job_file).parent)).as_posix()


def source_of(text: str, name: str) -> Source:
    """A text by lines, as `read_source` gives that of a file."""
    return Source(name, tuple(text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")))


def job_text(path: Path) -> str:
    """The whole text of a job file as it lies on the disk, for those who change it. Raises `InputError`."""
    return read_as_written(path, MOST_BYTES, Wanted("name a job file, a text ending in .yaml", (".yaml", ".yml")))


def texts_of(sources: list[Source]) -> tuple[tuple[str, str], ...]:
    """The files by their names from the folder of the first, written with /."""
    if not sources:
        return ()
    first = sources[0].name
    return tuple((name_from(first, source.name), "\n".join(source.lines)) for source in sources)


def digest_of_sources(sources: list[Source], pictures: Sequence[str] = ()) -> str:
    """SHA-256 over the digests of pictures and the texts, each with its length, so that no two sets run together."""
    total = hashlib.sha256("".join(pictures).encode("ascii"))
    for source in sources:
        data = "\n".join(source.lines).encode("utf-8")
        total.update(f"{len(data)}:".encode("ascii"))
        total.update(data)
    return total.hexdigest()
