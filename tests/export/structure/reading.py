"""Values out of a PDF that may hold anything: None where something else stands than is asked for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream

FARTHEST_UP = 50
"""No tree of pages is deeper."""


def held(item: Any) -> dict[str, Any]:
    """The entries of a dictionary or stream; none of anything else."""
    return {key: item[key] for key in dict(item)} if isinstance(item, (Dictionary, Stream)) else {}


def listed(item: Any) -> list[Any]:
    """The members of an array; none of anything else."""
    return list(item) if isinstance(item, Array) else []


def named(item: Any) -> str:
    """A name without its stroke; empty for anything else."""
    return str(item)[1:] if isinstance(item, Name) else ""


def text(item: Any) -> str:
    """A text string; empty for anything else."""
    return str(item) if isinstance(item, pikepdf.String) else ""


def number(item: Any) -> float | None:
    """A number; a truth value is none."""
    if isinstance(item, bool) or not isinstance(item, (int, float, Decimal)):
        return None
    value = float(item)
    return value if math.isfinite(value) else None


def numbers(item: Any, count: int) -> list[float] | None:
    """So many numbers."""
    found = [number(one) for one in listed(item)]
    return [one for one in found if one is not None] if len(found) == count and None not in found else None


def inherited(page: Any, key: str) -> Any:
    """An entry of a page, or of what stands above it in the tree of pages (ISO 32000-1, 7.7.3.4)."""
    node = page
    for _ in range(FARTHEST_UP):
        entries = held(node)
        if key in entries:
            return entries[key]
        node = entries.get("/Parent")
    return None


def within(item: Any) -> Iterator[Any]:
    """A dictionary or stream and all dictionaries that stand in it, not those it only refers to."""
    if isinstance(item, (Dictionary, Stream)):
        yield item
        children = [value for key, value in held(item).items() if key != "/Parent"]
    else:
        children = listed(item)
    for child in children:
        if isinstance(child, (Dictionary, Stream, Array)) and not child.is_indirect:
            yield from within(child)


def dictionaries(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Every dictionary and stream of a file, those that nothing refers to among them, and the trailer."""
    for outer in [*pdf.objects, pdf.trailer]:
        yield from within(outer)


def plain_pages(pdf: pikepdf.Pdf) -> list[Any]:
    """The pages as dictionaries."""
    return [page.obj for page in pdf.pages]
