"""Pages as the exporters see them: millimetres, y up, filled areas, thin lines, pictures of pixels and
symbols; nothing else.

The sheet, the proof, the measuring card and every preview become a `Document`; `export` turns a document into
bytes and knows nothing of decals. Lettering is already outlines here. A `Symbol` is drawn once and placed many
times (a form XObject in PDF, a `symbol` in SVG).
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Literal

from decalgen.core.geometry import IDENTITY, Bounds, Matrix, Outline, Region
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from decalgen.core.pixels.values import Pixels


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled area. ``colour`` is '#rrggbb' (sRGB); ``ink`` names the ink it stands for, if any."""

    region: Region
    colour: str
    ink: str | None = None
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Line:
    """A thin line through points, mm, or along an outline. ``dash``: lengths of dash and gap, mm."""

    points: tuple[tuple[float, float], ...]
    width: float
    colour: str
    closed: bool = False
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed outline as a line; exporters that can, keep its arcs as arcs."""

    outline: Outline
    width: float
    colour: str
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """Pixels, seen inside ``region``. ``matrix`` leads from the unit square, the picture's lower left corner at 0, 0,
    to the page."""

    pixels: Pixels
    matrix: Matrix
    region: Region
    ink: str | None = None


@dataclass(frozen=True, slots=True)
class Symbol:
    """A small picture of its own, placed by `Use`. ``key`` is unique in a document, ASCII letters, digits, '-'."""

    key: str
    items: tuple[Fill | Line | Contour | Picture, ...]


@dataclass(frozen=True, slots=True)
class Use:
    """A symbol placed by a matrix."""

    symbol: Symbol
    matrix: Matrix = IDENTITY


Painted = Fill | Picture
"""What fills an area."""
Item = Fill | Line | Contour | Picture | Use


@dataclass(frozen=True, slots=True)
class Layer:
    """Items drawn in order. ``purpose`` tells exporters what it is for."""

    name: str
    items: tuple[Item, ...]
    purpose: Literal["artwork", "white", "cutting", "bleed", "marks", "paperwork"] = "paperwork"


@dataclass(frozen=True, slots=True)
class Page:
    """One page. ``trim`` is the area of the pieces, ``bleed`` that area with bleed; None: the whole page."""

    width: float
    height: float
    layers: tuple[Layer, ...]
    trim: Bounds | None = None
    bleed: Bounds | None = None
    ground: str | None = None
    correction: tuple[float, float, float] | None = None
    """The correction of this page alone, x, y and lean, where films differ; None: the document's."""


@dataclass(frozen=True, slots=True)
class Document:
    """Pages with what a file says about itself. ``date`` is the job's (ISO 8601), never the clock's."""

    pages: tuple[Page, ...]
    title: str
    subject: str = ""
    keywords: tuple[str, ...] = ()
    date: str | None = None
    scale: tuple[float, float] = (1.0, 1.0)
    """The printer profile's x and y correction, applied last by the exporters, about the page's centre."""
    lean: float = 0.0
    """And its correction of lean: how far x moves a millimetre of height."""
    language: str = "en"
    extra: tuple[tuple[str, str], ...] = field(default=())
