"""Words that are spelt in two ways: colour and color, centre and center, grey and gray. Both are read; inside, and in
messages, there is only the British one."""

from __future__ import annotations

import re
from collections.abc import Collection

_AMERICAN = re.compile(
    r"(?<![a-z])(colo)(r)(?=s?\b|ed\b)|(?<![a-z])(cent)(er)(?=s?\b|ed\b)|(gr)(a)(?=y)", re.IGNORECASE
)
_BRITISH = re.compile("colour|centr|grey", re.IGNORECASE)


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
