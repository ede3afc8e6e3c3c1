"""Shapes that are drawn through measured points, with where these lie on the panel that is seen. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from decalgen.artwork.on_panel import corner_on, on_panel, seen_view
from decalgen.bench.blanks import Blank
from decalgen.bench.come_to import is_plain
from decalgen.bench.own_shapes import own_shapes
from decalgen.bench.pictures import UNIT, ring_data
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Point
from decalgen.job.edits import Path
from decalgen.job.model import Decal, Hand, Job
from decalgen.shapes.base import Box, Element
from decalgen.shapes.coursed import Coursed, curve_of


class SeenFrom(NamedTuple):
    """How points of a shape are seen: ``way`` is -1 where the hand mirrors them; x, y of where (0, 0) is seen, mm on
    the panel."""

    way: int
    x: float
    y: float

    def seen(self, point: Point) -> Point:
        """Where a point of the shape is seen."""
        return self.x + self.way * point[0], self.y + point[1]

    def own(self, point: Point) -> Point:
        """The point of the shape that is seen there."""
        return (point[0] - self.x) * self.way, point[1] - self.y


class TracedShape(NamedTuple):
    """A shape through points: ``at``: the path of their list; ``raw``: what stands there; ``course``: what has them;
    ``frame``: how they are seen, None where that is not by a shift."""

    at: Path
    raw: list[list[str]]
    course: Coursed
    element: Element
    frame: SeenFrom | None

    @property
    def placed_by_size(self) -> bool:
        """Whether it is laid by what it takes, so that it moves where that changes."""
        return self.frame is not None and not getattr(self.element.shape, "in_place", True)


def traced_shapes(job: Job, decal: Decal, group: Mapping[str, Any], hand: Hand | None) -> Iterator[TracedShape]:
    """The shapes through points that a decal's own list holds, as they are seen on one hand."""
    for number, item, element in own_shapes(decal, group):
        if len(item) != 1:
            continue
        ((name, body),) = item.items()
        path: Path = ("decals", decal.name, "artwork", number, name)
        course: Any = element.shape
        if isinstance(body, dict) and isinstance(body.get("along"), dict):
            path, body, course = (*path, "along"), body["along"], getattr(element.shape, "along", None)
        raw: Any = body.get("points") if isinstance(body, dict) else None
        points = getattr(course, "points", ())
        if not _is_plain_list(raw) or not hasattr(course, "straights") or len(points) != len(raw):
            continue
        yield TracedShape((*path, "points"), raw, course, element, _frame(job, decal, element, hand))


def _is_plain_list(raw: Any) -> bool:
    """Whether every point stands there as two texts."""
    pairs = isinstance(raw, list) and all(isinstance(one, list) and len(one) == 2 for one in raw)
    return pairs and all(isinstance(text, str) for one in raw for text in one)


def _frame(job: Job, decal: Decal, element: Element, hand: Hand | None) -> SeenFrom | None:
    box = Box(decal.width.value, decal.height.value)
    panel, at = on_panel(job, decal, hand)
    mirrored = hand == "right" and job.panel(decal.panel).hand != "right"
    try:
        if seen_view(job, decal, box, mirrored) is not None:
            return None
        extent = element.shape.extent(box)
        zero_x, zero_y = getattr(element.shape, "zero", (0.0, 0.0))
    except DecalgenError:
        return None
    left, low = corner_on(panel, at, box)
    x, y = element.at.corner(extent, box)
    if not mirrored:
        return SeenFrom(1, left + x + zero_x, low + y + zero_y)
    if element.never_mirror:
        return SeenFrom(1, left + box.width - x - extent.width + zero_x, low + y + zero_y)
    return SeenFrom(-1, left + box.width - x - zero_x, low + y + zero_y)


def own_shift(decal: Decal, element: Element) -> Point:
    """How far the points of a shape lie from where they would lie in place, mm."""
    box = Box(decal.width.value, decal.height.value)
    x, y = element.at.corner(element.shape.extent(box), box)
    zero_x, zero_y = getattr(element.shape, "zero", (0.0, 0.0))
    there_x, there_y = element.at.corner(box, box)
    return x + zero_x - there_x, y + zero_y - there_y


# -------------------------------------------------------------------------------------------------------- for the page
def traced_rows(job: Job, decal: Decal, group: Mapping[str, Any], hand: Hand | None) -> list[dict[str, Any]]:
    """Each for the page: its points as blanks and as places on the panel, µm, with the line through them and what a
    point catches on."""
    return [_row(job, decal, one, hand) for one in traced_shapes(job, decal, group, hand)]


def _row(job: Job, decal: Decal, one: TracedShape, hand: Hand | None) -> dict[str, Any]:
    found: dict[str, Any] = {
        "at": list(one.at),
        "words": f"{one.at[4]} {int(one.at[3]) + 1}",
        "closed": one.course.is_closed,
        "raw": one.raw,
        "blanks": [[_blank(one, n, way).told() for way in (0, 1)] for n in range(len(one.raw))],
        "by_size": one.placed_by_size,
    }
    if one.frame is None:
        return found
    spots = [one.frame.seen(point) for point in one.course.points]
    found |= {"hand": hand or "", "way": one.frame.way, "own": [list(point) for point in one.course.points]}
    found["spots"] = [[round(x * UNIT), round(y * UNIT)] for x, y in spots]
    try:
        found["line"] = ring_data((one.frame.seen((x, y)) for x, y in curve_of(one.course).points()), closed=False)
    except DecalgenError:
        found["line"] = ring_data(spots, closed=False)
    found["snaps"] = _snaps(job, decal, hand, spots)
    return found


def _blank(one: TracedShape, number: int, way: int) -> Blank:
    raw = one.raw[number][way]
    comes = "" if is_plain(raw.strip()) else f"{one.course.points[number][way]:.2f} mm"
    about = "from the left" if way == 0 else "from below"
    label = f"{'xy'[way]} of point {number + 1}"
    return Blank(label, (*one.at, number, way), raw, "", f"{about}, mm", raw=raw, comes=comes, unit="mm")


def _snaps(job: Job, decal: Decal, hand: Hand | None, spots: list[Point]) -> list[list[list[Any]]]:
    """What a point catches on across and up, as `sides` tells it of decals: edges and centres of panel and decal, edges
    of obstacles, and the other points."""
    panel, at = on_panel(job, decal, hand)
    box = Box(decal.width.value, decal.height.value)
    whole = Box(panel.width.value, panel.height.value)
    corner = corner_on(panel, at, box)
    found: list[list[list[Any]]] = []
    for way, (near, far) in enumerate((("left", "right"), ("bottom", "top"))):
        places: list[tuple[float, str, str]] = []
        for name, start, size in (("the " + panel.name, 0.0, whole[way]), (decal.name, corner[way], box[way])):
            places += [(start, f"{near} edge of {name}", ""), (start + size, f"{far} edge of {name}", "")]
            places += [(start + size / 2, f"centre of {name}", "")]
        for thing in panel.obstacles:
            bounds = thing.outline.polygon.bounds
            places += [
                (bounds[way], f"edge of the {thing.name}", ""),
                (bounds[way + 2], f"edge of the {thing.name}", ""),
            ]
        level = "above or below" if way == 0 else "level with"
        places += [(spot[way], f"{level} point {n}", f"point {n}") for n, spot in enumerate(spots, 1)]
        found.append([[round(to * UNIT), round(to * UNIT), words, "", of] for to, words, of in places])
    return found
