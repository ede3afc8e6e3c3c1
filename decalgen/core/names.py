"""Names of decals, panels, films and printers: as parts of file names, and words in them that are spelt in two ways.

Colour and color, centre and center, grey and gray: both are read; inside, and in messages, there is only the British
one.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Container, Iterable, Sequence
from itertools import chain, count

LONGEST_BYTES = 120
"""So long may the part of a file's name be: most file systems take 255 bytes, and more is put round it."""

_AMERICAN = re.compile(
    r"(?<![a-z])(colo)(r)(?=s?\b|ed\b)|(?<![a-z])(cent)(er)(?=s?\b|ed\b)|(gr)(a)(?=y)", re.IGNORECASE
)
_BRITISH = re.compile("colour|centr|grey", re.IGNORECASE)


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


def untaken(name: str, taken: Container[str], form: str = "{}-{}") -> str:
    """The name, with a number behind it where it is taken already; ``form``: how the two are written together."""
    numbered = (form.format(name, number) for number in count(2))
    return next(one for one in chain((name,), numbered) if one not in taken)


def first_few(names: Sequence[str], most: int = 4) -> str:
    """Names one by one, so many at most: 'roof, door and 3 more'."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"


def of_variant(stem: str, variant: str | None) -> str:
    """The beginning of a file's name for a variant of a job. No slug has a + in it, so no file of one variant takes the
    place of another's."""
    return f"{stem}+{slug(variant)}" if variant else stem


def british(text: str) -> str:
    """A text with these words in their British spelling."""
    if not _AMERICAN.search(text):
        return text
    return _AMERICAN.sub(_british, text).replace("centreed", "centred")


def spelt_as(name: str, known: Collection[str]) -> str | None:
    """The known name that is this one in either spelling; None: there is none."""
    if name in known:
        return name
    plain = british(name)
    if plain in known:
        return plain
    if not _BRITISH.search(plain):
        return None
    return next((one for one in known if british(one) == plain), None)


def _british(found: re.Match[str]) -> str:
    if found[1]:
        return f"{found[1]}{'U' if found[2].isupper() else 'u'}{found[2]}"
    if found[3]:
        return found[3] + ("RE" if found[4].isupper() else "re")
    return found[5] + ("E" if found[6].isupper() else "e")
