"""What is asked of a template and what was read from it. Millimetres, the panel's lower left corner at 0, 0, y up;
pixels where it is said."""

from __future__ import annotations

from dataclasses import field

from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Point
from decalgen.core.values import dataclass
from decalgen.scan.light import PixelWindow, Scan
from decalgen.scan.measuring import ScanRequest
from decalgen.scan.scale import ScanScale

SOURCES = ("tape", "photo")
SIDES = ("line", "arc")


class TemplateError(DecalgenError):
    """A picture from which no panel can be read."""

    exit_code = 2


@dataclass(frozen=True)
class GivenCorner:
    """A corner as it was pointed out: pixels; where it is round, where its two sides would meet. ``side``: the side
    that leaves it, going round: line, arc, or '' for what the pencil shows."""

    at: Point
    round: bool = False
    side: str = ""


@dataclass(frozen=True)
class TypedSize:
    """A size that was measured on the panel, along the skin, with its standard uncertainty, mm."""

    value: float
    u: float


@dataclass(frozen=True)
class TemplateRequest:
    """``scan``: what tells the size, as of any scan, and the part to look at. ``source``: one of SOURCES. ``corners``:
    in order once round, () looks for them; ``width``, ``height``: of the box round the panel as it stands on its
    foot."""

    scan: ScanRequest = ScanRequest()
    source: str = "tape"
    corners: tuple[GivenCorner, ...] = ()
    width: TypedSize | None = None
    height: TypedSize | None = None


@dataclass(frozen=True)
class TemplateCorner:
    """Where two sides meet; ``u``: standard uncertainties of x and y. ``radius``: 0 for a sharp one, its ``radius_u``
    standard. ``pixel``: where it is in the scan."""

    at: Point
    u: Point
    pixel: Point
    radius: float = 0.0
    radius_u: float = 0.0


@dataclass(frozen=True)
class TemplateSide:
    """The side from a corner to the next. ``rise``: how far its middle bulges outward, 0 for a line. ``there``: the
    share of it along which the edge is seen, ``gap``: the longest part without, mm. ``drawn``: the fit in pixels, piece
    by piece, and whether the edge is seen there."""

    kind: str
    rise: float
    rise_u: float
    there: float
    gap: float
    drawn: tuple[tuple[tuple[Point, ...], bool], ...] = ()


@dataclass(frozen=True)
class TemplateMark:
    """An obstacle that was drawn on the tape: circle (``size``: its diameter, ``points``: its middle), rectangle
    (``size``: width and height, ``points``: its lower left corner), line or outline (``points`` along or round it;
    ``size`` of a line: the width of the stroke). ``u``: standard uncertainty of each place. ``drawn``: pixels."""

    kind: str
    points: tuple[Point, ...]
    size: tuple[float, ...]
    u: float
    drawn: tuple[Point, ...] = ()


@dataclass(frozen=True)
class TemplateDoubt:
    """What is in doubt and what to do about it."""

    message: str
    fix: str


@dataclass(frozen=True)
class MeasuredTemplate:
    """A panel that was read, after what was typed was weighed in. ``found``: whether the corners were looked for, which
    makes them an offer. ``width``, ``height``: of the box round it, each with its standard uncertainty; ``weighed``: in
    words, the sizes that were typed."""

    scan: Scan
    scale: ScanScale
    window: PixelWindow
    corners: tuple[TemplateCorner, ...]
    sides: tuple[TemplateSide, ...]
    width: TypedSize
    height: TypedSize
    marks: tuple[TemplateMark, ...] = ()
    doubts: tuple[TemplateDoubt, ...] = field(default=())
    found: bool = False
    weighed: tuple[str, ...] = ()
