"""The certificates of printers that answer over TLS. They are signed by the printer itself, so no authority vouches for
one: its fingerprint is kept at first use, and another one later is told."""

from __future__ import annotations

from pathlib import Path
from threading import Lock

from decalgen.core.errors import PrintingError
from decalgen.core.files import make_folder, write_files
from decalgen.core.small_files import is_ordinary, read_small_text
from decalgen.workshop.drawer import data_folder

MOST_BYTES = 200_000
_ONE_AT_A_TIME = Lock()


def certificates_file() -> Path:
    """A line a printer: its host and port, and the SHA-256 of its certificate."""
    return data_folder() / "printer-certificates.txt"


def check_certificate(place: str, certificate: bytes) -> None:
    """Keeps the certificate of a host and port met for the first time; raises PrintingError where it is another one
    than was kept."""
    with _ONE_AT_A_TIME:
        _check(place, certificate)


def _check(place: str, certificate: bytes) -> None:
    from hashlib import sha256

    path = certificates_file()
    found = sha256(certificate).hexdigest()
    text = read_small_text(path, MOST_BYTES) if is_ordinary(path) else ""
    kept = dict(line.split(maxsplit=1) for line in text.splitlines() if len(line.split()) == 2)
    if place not in kept:
        make_folder(path.parent)
        rows = [*text.splitlines(), f"{place} {found}"]
        write_files({path: ("\n".join(rows) + "\n").encode("utf-8")})
    elif kept[place] != found:
        raise PrintingError(
            f"the printer at {place} shows another certificate than before, so it may be another device",
            fix=f"if you reset or replaced it, delete the line that begins with {place} in '{path}'",
        )
