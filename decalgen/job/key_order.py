"""Where a careful person writes a new key: those of a decal before its artwork, those of the job before its groups.
Pure: from the text of a job file to its new text, every other byte as it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from decalgen.core.keys import specs
from decalgen.job.blocks import inserted
from decalgen.job.edits import add_value
from decalgen.job.entries import DecalEntry, DecalParts, JobEntry, SizeEntry
from decalgen.job.splices import Path, values
from decalgen.job.written import YamlValue

_FIRST = ("layout", "panel", "hands", "at")
_LAST = ("values", "artwork")
"""What is long, and would part a new key from the short ones."""


def added(text: str, path: Path, value: YamlValue) -> str:
    """The text with one more value, as `edits.add_value`, a key of the job or of a decal where it belongs. Raises as
    that does."""
    order, part = _order(path), path[-1]
    around: Any = values(text)
    for one in path[:-1]:
        around = around.get(one) if isinstance(around, dict) else None
    if part not in order or not isinstance(around, dict) or part in around:
        return add_value(text, path, value)
    rank = {key: number for number, key in enumerate(order)}
    earlier = [key for key in around if rank.get(key, len(order)) < rank[part]]
    return inserted(text, path, value, earlier[-1]) if earlier else add_value(text, path, value)


def in_order(rows: Mapping[str, YamlValue]) -> dict[str, YamlValue]:
    """The keys of a decal as a tidy file has them."""
    rank = {key: number for number, key in enumerate(_order(("decals", "", "")))}
    return dict(sorted(rows.items(), key=lambda one: rank.get(one[0], len(rank))))


def _order(path: Path) -> tuple[str, ...]:
    """The keys of the group that a new one goes into, in the order of a tidy file; none where any order will do."""
    if len(path) == 1:
        return tuple(spec.key for spec in specs(JobEntry))
    if len(path) != 3 or path[0] != "decals":
        return ()
    rest = [spec.key for cls in (SizeEntry, DecalEntry, DecalParts) for spec in specs(cls)]
    return (*_FIRST, *(key for key in rest if key not in (*_FIRST, *_LAST)), *_LAST)
