"""Where a decal lies on its panel, and how one drawn as it is seen is carried to the film. Pure; mm."""

from __future__ import annotations

from shapely.geometry import MultiPolygon

from decalgen.core.geometry import rectangle, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Hand, Job
from decalgen.panels.base import Panel, Surface
from decalgen.panels.hands import mirrored as mirrored_panel
from decalgen.panels.views import as_cut, as_seen, folds_away
from decalgen.shapes.base import At, Box, Element, edged


def on_panel(job: Job, decal: Decal, hand: Hand | None) -> tuple[Panel, At]:
    """The panel of one hand and where the decal lies on it: the left one's readings mirrored for the right, unless
    the right one was measured itself."""
    panel = job.panel(decal.panel)
    if hand == "right" and panel.hand != "right":
        return other_hand(panel), decal.at.mirrored()
    return panel, decal.at


def other_hand(panel: Panel) -> Panel:
    """The right panel from the left one, made once."""
    if not panel.other_hand:
        panel.other_hand.append(mirrored_panel(panel))
    return panel.other_hand[0]


def corner(job: Job, decal: Decal, box: Box, mirrored: bool) -> tuple[Panel, float, float]:
    """The panel, and where the artwork's lower left corner lies on it."""
    panel, at = on_panel(job, decal, "right") if mirrored else (job.panel(decal.panel), decal.at)
    return (panel, *corner_on(panel, at, box))


def corner_on(panel: Panel, at: At, box: Box) -> tuple[float, float]:
    """Where the lower left corner of a box that is placed by ``at`` lies on a panel, mm."""
    return at.corner(box, Box(panel.width.value, panel.height.value))


def along_edges(job: Job, decal: Decal, box: Box) -> tuple[Element, ...]:
    """The decal's elements, those along the panel's edge with the line of that edge; not mirrored yet.

    Raises `ShapeError`, with the element's place, for a side that the panel does not have.
    """
    if not any(edged(element.shape) for element in decal.artwork):
        return decal.artwork
    panel, x, y = corner(job, decal, box, mirrored=False)
    outline = panel.outline.moved(translation(-x, -y))
    found = []
    for element in decal.artwork:
        if edged(element.shape):
            from decalgen.artwork.edge_band import on_edge

            element = on_edge(element, outline, panel.sides, panel.name)
        found.append(element)
    return tuple(found)


@dataclass(frozen=True)
class SeenView:
    """The artwork as it is seen: the box that the film fills in the view, and the way from there to the film."""

    box: Box
    left: float
    bottom: float
    surface: Surface
    x: float
    y: float

    def to_film(self, area: MultiPolygon) -> MultiPolygon:
        """From the artwork as seen to the artwork as cut."""
        seen = transform(area, translation(self.left, self.bottom))
        return region(transform(as_cut(seen, self.surface), translation(-self.x, -self.y)))


def seen_view(job: Job, decal: Decal, box: Box, mirrored: bool) -> SeenView | None:
    """How a decal drawn ``as seen`` is carried to the film; None where it is drawn on the film, or nothing bends."""
    if not decal.as_seen:
        return None
    panel, x, y = corner(job, decal, box, mirrored)
    if panel.surface is None:
        return None
    film = rectangle(x, y, x + box.width, y + box.height)
    if folds_away(film, panel.surface):
        return None
    rim = as_seen(film, panel.surface)
    x0, y0, x1, y1 = rim.bounds
    return SeenView(Box(x1 - x0, y1 - y0), x0, y0, panel.surface, x, y)
