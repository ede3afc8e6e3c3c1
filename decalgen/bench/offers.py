"""What can be added, as pictures: layouts on this very panel, shapes in the job's inks."""

from __future__ import annotations

from typing import Any

from decalgen.artwork.build import hands
from decalgen.bench.desk import Desk
from decalgen.bench.pictures import UNIT, Drawings, decal_data, panel_data, path_data
from decalgen.commands.first_decals import SHRINK, layout_rows
from decalgen.core.errors import DecalgenError, in_a_sentence
from decalgen.core.lengths import Quantity
from decalgen.job.edits import values
from decalgen.job.first_shapes import example_inks, ranked_inks, ready_shapes
from decalgen.job.layouts import Layout, layouts
from decalgen.job.loader import job_as_written
from decalgen.job.model import Decal, Job
from decalgen.job.written import YamlValue, rows
from decalgen.shapes.registry import load


def layout_offers(drawings: Drawings, desk: Desk, job: Job, panel: str) -> list[dict[str, Any]]:
    """Every layout on a panel of the job, as it would come in; those that this panel cannot hold last, with why."""
    found = [_layout_offer(drawings, desk, job, panel, one) for one in layouts()]
    return sorted(found, key=lambda one: bool(one.get("wrong")))


def _layout_offer(drawings: Drawings, desk: Desk, job: Job, panel: str, layout: Layout) -> dict[str, Any]:
    key = ("layout", layout.name, job.panel(panel), job.inks, job.film, job.paint(job.body), job.date)

    def make() -> dict[str, Any]:
        offer = {"name": layout.name, "about": layout.about}
        there = job.panel(panel)
        wrong = "it does not go on this panel"
        for share in SHRINK:
            try:
                alone = _alone(desk, layout.name, layout_rows(layout.name, there, share))
                decal = alone.decals[0]
            except DecalgenError as error:
                wrong = in_a_sentence(error)
                continue
            if _inside(decal.width, there.width) and _inside(decal.height, there.height):
                drawn = decal_data(drawings, alone, decal, hands(decal)[0])
                if not drawn.get("wrong"):
                    return offer | {"panel": panel_data(there), "decal": drawn}
                wrong = drawn["wrong"]
        return offer | {"wrong": wrong, "panel": panel_data(there)}

    found: dict[str, Any] = drawings.kept(key, make)
    return found


def _inside(size: Quantity, room: Quantity) -> bool:
    return size.value <= room.value


def _alone(desk: Desk, name: str, decal: dict[str, YamlValue]) -> Job:
    """The job with that decal alone. Raises JobError."""
    whole = {key: one for key, one in values(desk.text).items() if key != "variants" and one is not None}
    text = "\n".join(rows({**whole, "decals": {name: decal}}, 0))
    return job_as_written(text, desk.path)


def shape_offers(drawings: Drawings, job: Job, decal: Decal | None) -> list[dict[str, Any]]:
    """Every shape that can come in as its example, in the inks it would come in."""
    inks = ranked_inks(job, decal, under=())
    colours = {name: job.ink(name).colour for name in inks}

    def make() -> list[dict[str, Any]]:
        return [_shape_offer(name, colours) for name in ready_shapes()]

    found: list[dict[str, Any]] = drawings.kept(("shapes", tuple(colours.items())), make)
    return found


def _shape_offer(name: str, colours: dict[str, str]) -> dict[str, Any]:
    cls: Any = load()[name]
    chosen = example_inks(name, list(colours))
    box = cls.example_box
    shape = cls(**cls.example)
    inked = shape.draw(shape.extent(box))
    bounds = [part.region.bounds for part in inked]
    x0, y0 = (min(one[n] for one in bounds) for n in (0, 1))
    x1, y1 = (max(one[n] for one in bounds) for n in (2, 3))
    return {
        "name": name,
        "about": cls.about,
        "box": [round(value * UNIT) for value in (x0, y0, x1, y1)],
        "inks": [{"colour": colours[chosen[part.ink]], "d": path_data(part.region)} for part in inked],
    }
