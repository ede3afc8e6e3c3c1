"""The patterns that a scan is read as, for the command and the page. Nothing is imported: help starts at once."""

from __future__ import annotations

KINDS = {
    "checks": "checks",
    "stripes": "stripes or bands",
    "rectangle": "a rectangle",
    "roundel": "discs and rings",
    "slanted stripes": "slanted stripes",
    "chevrons": "chevrons",
    "cross": "a cross or saltire",
    "star": "a star",
    "outline": "any outlines, traced",
}
"""By the names that `scan/recognise.py` and `scan/tracing/` give them: what each is, in words."""


def are_many(kind: str) -> bool:
    """Whether the name of a kind is a plural, as checks are."""
    return kind.endswith("s") and kind != "cross"
