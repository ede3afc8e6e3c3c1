"""Names of decals, panels, films and printers as parts of file names."""

from __future__ import annotations

import unicodedata

LONGEST_BYTES = 120
"""So long may the part of a file's name be: most file systems take 255 bytes, and more is put round it."""


def slug(name: str, otherwise: str = "decal") -> str:
    """A name as part of a file's name: small letters and figures of any script, hyphens between; ``otherwise`` where
    nothing is left of it."""
    plain = unicodedata.normalize("NFC", name).casefold()
    words = "".join(c if c.isalnum() else "-" for c in plain).split("-")
    joined = "-".join(word for word in words if word)
    cut = joined.encode("utf-8")[:LONGEST_BYTES].decode("utf-8", errors="ignore").rstrip("-")
    return cut or otherwise
