"""One length or count as it is typed into a box of the page: a bare number is mm, a comma is a decimal one."""

from __future__ import annotations

from decalgen.commands.readings_typed import typed_reading
from decalgen.core.errors import InputError
from decalgen.core.lengths import ExpressionError, length

LONGEST = 60
"""No length is typed in more letters."""


def typed_mm(text: object, what: str) -> float:
    """mm of a length in a box called ``what``: '60', '60,5', '2 3/8 in'. Raises InputError that begins with ``what``,
    so that the page can mark the box."""
    shown = str(text).strip()
    if not shown:
        raise InputError(f"{what}: nothing is typed", fix="measure it, and type it in mm")
    read = typed_reading(shown[:LONGEST])
    if isinstance(read, list) or len(shown) > LONGEST:
        raise InputError(f"{what}: '{shown[:LONGEST]}' is more than one length", fix="type one, such as 60.5")
    try:
        found = length(str(read)).value
    except ExpressionError as error:
        raise InputError(f"{what}: '{shown}' is not a length: {error.message}", fix="write mm, such as 60.5") from None
    return float(f"{found:.9g}")


def typed_count(text: object, what: str) -> int:
    """A whole number in a box called ``what``; left empty, one. Raises InputError that begins with ``what``."""
    shown = str(text).strip()
    if not shown:
        return 1
    if not (shown.isascii() and shown.isdigit() and len(shown) < 7):
        raise InputError(f"{what}: '{shown[:LONGEST]}' is not a whole number", fix="write it in digits, such as 3")
    return int(shown)
