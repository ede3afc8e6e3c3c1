"""Small jobs put together in code, for tests that need no job file."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from shapely.geometry import Polygon

from decalgen.core.geometry import Outline, Point, rounded
from decalgen.core.lengths import Quantity
from decalgen.job.model import Cut, Decal, Film, InkSpec, Job, Paint, Printer
from decalgen.nesting.model import QUICK
from decalgen.panels.base import Obstacle, Panel
from decalgen.shapes.base import At, Element
from decalgen.shapes.registry import find

INKS = (
    InkSpec("white", "white", "#ffffff"),
    InkSpec("orange", "process", "#e8641b"),
    InkSpec("navy", "process", "#1d2b4a"),
    InkSpec("green", "process", "#2f6b3c"),
)
ONE_ORDER = replace(QUICK, name="one order", steps=1)
"""The least effort of a nest, where it makes no difference how well pieces lie."""
PRINTER = Printer("test printer", "inkjet", (5.0, 5.0, 10.0, 5.0))


def outline(x: float, y: float, width: float, height: float) -> Outline:
    """A rectangle as an outline."""
    return rounded(width, height, (0.0, 0.0, 0.0, 0.0), x, y)


def quantity(value: float, name: str = "size", u: float = 0.03) -> Quantity:
    """A measured length."""
    return Quantity(value, 1, ((name, u),))


def panel(name: str = "door", width: float = 60.0, height: float = 40.0, **more: Any) -> Panel:
    """A flat panel."""
    return Panel(name, "flat", outline(0, 0, width, height), quantity(width), quantity(height), **more)


def handle() -> Obstacle:
    """A door handle near the panel's upper right corner."""
    return Obstacle("handle", outline(16.5, 8.2, 3.0, 0.8), 0.3)


def element(shape: str, at: At | None = None, never_mirror: bool = False, **parameters: Any) -> Element:
    """A shape with its parameters, in the middle unless told otherwise."""
    return Element(find(shape)(**parameters), at or At(), never_mirror)


def decal(name: str, width: float, height: float, *artwork: Element, **more: Any) -> Decal:
    """A decal on the door."""
    more.setdefault("cut", Cut())
    return Decal(name, "door", Quantity(width), Quantity(height), artwork, **more)


def job(*decals: Decal, name: str = "gannet", film: Any = "white", panels: tuple[Panel, ...] | None = None) -> Job:
    """A job over a navy body."""
    return Job(
        name,
        f"Title of {name}",
        "navy",
        (Paint("navy", "#1d2b4a"),),
        INKS,
        panels or (panel(),),
        decals,
        film=film,
        date="2026-11-25",
        digest=name * 4,
    )


def corners(area: Polygon) -> tuple[Point, ...]:
    """The corners of an area as a file of film keeps them."""
    return tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1])


def film(kind: Any = "white", width: float = 148.0, height: float = 210.0, **more: Any) -> Film:
    """A sheet of film, A5 unless told otherwise."""
    return Film(f"{kind} {width:g}", kind, more.pop("process", "inkjet"), width, height, **more)
