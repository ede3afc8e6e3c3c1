"""Declarations of a style, read by tinycss2: plain ones, and important ones."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import tinycss2

Declared = tuple[dict[str, str], dict[str, str]]


@lru_cache(maxsize=4096)
def own_style(text: str) -> Declared:
    """The declarations of a ``style`` attribute: plain ones, and important ones."""
    return declarations(tinycss2.parse_blocks_contents(text, skip_comments=True, skip_whitespace=True))


def declarations(nodes: list[Any]) -> Declared:
    """The same from what tinycss2 read."""
    plain: dict[str, str] = {}
    important: dict[str, str] = {}
    for one in nodes:
        if one.type == "declaration":
            (important if one.important else plain)[one.lower_name] = tinycss2.serialize(one.value).strip()
    return plain, important
