"""The job of one decal that shows a ready layout."""

from __future__ import annotations

from decalgen.job.layouts import Layout
from decalgen.job.loader import job_from
from decalgen.job.model import Job
from decalgen.job.nodes import Mapping, Node, Scalar


def sample(layout: Layout) -> Job:
    """The layout on the panel it is shown on. Raises `JobError` for a layout that cannot be used."""
    return job_from(_nodes(layout), f"layouts/{layout.name}.yaml")


def _nodes(layout: Layout) -> Mapping:
    """The job that shows a layout, as nodes."""
    base = layout.shown_on

    def text(word: str) -> Scalar:
        return Scalar(word, base.source, base.line, base.column, (base.line, base.column), quoted=True)

    def group(**entries: Node) -> Mapping:
        return Mapping(tuple((text(key), node) for key, node in entries.items()), base.source, base.line, base.column)

    panel = base.get("panel") or group(width=text("24 mm"), height=text("14 mm"))
    decal = group(layout=text(layout.name), panel=text("panel"))
    day = base.get("date")
    return group(
        job=text(layout.name),
        title=text(layout.about or layout.name),
        film=base.get("film") or text("white"),
        body=base.get("body") or text("white"),
        panels=group(panel=panel),
        decals=group(decal=decal),
        **({} if day is None else {"date": day}),
    )
