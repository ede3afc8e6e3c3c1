"""Names of decals, panels, films and printers as parts of file names."""

from __future__ import annotations

from collections.abc import Container, Iterable
from itertools import chain, count

LONGEST_BYTES = 120
"""So long may the part of a file's name be: most file systems take 255 bytes, and more is put round it."""


def slug(name: str, otherwise: str = "decal") -> str:
    """A name as part of a file's name: small letters and figures of any script, hyphens between; ``otherwise`` where
    nothing is left of it."""
    import unicodedata

    plain = unicodedata.normalize("NFC", name).casefold()
    words = "".join(c if c.isalnum() else "-" for c in plain).split("-")
    joined = "-".join(word for word in words if word)
    cut = joined.encode("utf-8")[:LONGEST_BYTES].decode("utf-8", errors="ignore").rstrip("-")
    return cut or otherwise


def slugs(names: Iterable[str]) -> dict[str, str]:
    """The slug of each name; where several names have the same, all but the first get a number."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in dict.fromkeys(names):
        found[name] = untaken(slug(name), taken)
        taken.add(found[name])
    return found


def untaken(name: str, taken: Container[str]) -> str:
    """The name, with a number behind it where it is taken already."""
    numbered = (f"{name}-{number}" for number in count(2))
    return next(one for one in chain((name,), numbered) if one not in taken)


def of_variant(stem: str, variant: str | None) -> str:
    """The beginning of a file's name for a variant of a job. No slug has a + in it, so no file of one variant takes the
    place of another's."""
    return f"{stem}+{slug(variant)}" if variant else stem
