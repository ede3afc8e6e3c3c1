"""Traced outlines as the shapes of a job file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from decalgen.scan.tracing.sides import TracedLoop
from decalgen.scan.tracing.trace import TracedFit


def traced_shapes(fit: TracedFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    """An `outline` for each area, the largest first, in inks of those names."""
    found = []
    for one in fit.shapes:
        rows: dict[str, Any] = {"ink": inks[one.ink], "in place": "true", **_ring_rows(one.outer)}
        if one.holes:
            rows["holes"] = [_ring_rows(hole) for hole in one.holes]
        found.append({"outline": rows})
    return found


def _ring_rows(ring: TracedLoop) -> dict[str, Any]:
    rows: dict[str, Any] = {"points": [[_mm(x), _mm(y)] for x, y in ring.points]}
    if any(ring.radii):
        rows["radii"] = [_mm(one) for one in ring.radii]
    if any(ring.rises):
        rows["rises"] = [_mm(one) for one in ring.rises]
    if ring.curves:
        rows["curves"] = [str(one) for one in ring.curves]
    if ring.joins:
        rows["smooth joins"] = [str(one) for one in ring.joins]
    return rows


def _mm(value: float) -> str:
    return f"{value:.3f} mm" if abs(value) >= 0.0005 else "0 mm"
