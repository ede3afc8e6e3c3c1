"""Pictures for the eye: a decal alone, a decal on its panel over the body colour, all the shapes, a layout. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from shapely.geometry import Polygon, box

from decalgen.artwork.backing import backings
from decalgen.artwork.build import Artwork
from decalgen.artwork.cutting_lines import cased_slits, cutting_lines
from decalgen.artwork.on_panel import corner_on
from decalgen.artwork.painted import painted
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill, Item, Layer, Painted, Symbol, Use
from decalgen.core.geometry import (
    IDENTITY,
    Matrix,
    Outline,
    mirror_x,
    multiply,
    polygons,
    region,
    transform,
    translation,
)
from decalgen.job.model import Job
from decalgen.job.over import application_turns
from decalgen.lettering.paper import wrap
from decalgen.pages.clearance_marks import (
    CASING,
    PITCH,
    SLIT,
    WIDTHS,
    draw_clearances,
    keep_off_lines,
    notes,
    shown,
    strain_map,
    table_height,
    table_rows,
)
from decalgen.pages.composer import Sheaf
from decalgen.pages.picture_head import PAD, WIDE, head_height, write_head
from decalgen.panels.base import Obstacle, Panel, PanelError
from decalgen.panels.hands import mirrored as mirrored_panel
from decalgen.panels.unmeasured import is_assumed
from decalgen.preflight import Fitting
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import Box

SIZE_MM = 118.0
"""The longer side of a preview's picture, mm: about what a screen shows."""
NOTE = 4.0
"""From line to line of the notes, mm."""
DIMENSION = 7.5
"""From a panel to the dimension of its side, mm: the letters of clearances stand between."""
SCALE_BAR = 12.0
"""Room at the foot for the scale bar, mm."""
LEFT = 9.0
"""Room left of a picture for its dimension, mm."""


def position_on_panel(artwork: Artwork, panel: Panel) -> Matrix:
    """From the artwork's coordinates to the panel's; a right hand that was not measured itself is mirrored."""
    at = artwork.decal.at.mirrored() if is_mirrored(artwork, panel) else artwork.decal.at
    return translation(*corner_on(panel, at, Box(artwork.width, artwork.height)))


def is_mirrored(artwork: Artwork, panel: Panel) -> bool:
    """Whether this hand takes the panel's readings mirrored."""
    return artwork.hand == "right" and panel.hand != "right"


def panel_outline(panel: Panel, mirrored: bool) -> Outline:
    """The panel's outline, for the other hand if asked."""
    return panel.outline.moved(mirror_x(panel.width.value)) if mirrored else panel.outline


def white_film(job: Job) -> str:
    """The colour of white film in pictures: the film's own as it was measured, else paper white."""
    from decalgen.job.colours import film_look

    return film_look("white", job).colour.hex if dict(job.film_colours).get("white") else style.PAPER


def film_ground(artwork: Artwork, job: Job) -> str:
    """The colour a decal's film has where it is drawn alone."""
    return white_film(job) if artwork.film == "white" else "#eef1f1"


def decal_picture(artwork: Artwork, job: Job, date: str | None) -> Document:
    """One decal alone: what shows inside the cut line, the cut line dashed, its sizes, a scale bar."""
    x0, y0, x1, y1 = artwork.cut_polygon.bounds
    scale = _scale(x1 - x0, y1 - y0)
    film = "blank white film, cut inside the grey line" if artwork.backing else f"{artwork.film} film"
    open_ = {"panel": job.panel(artwork.decal.panel).unmeasured, "lettering": artwork.decal.unmeasured}
    waits = " and ".join(what for what, names in open_.items() if names)
    said = f" · sizes assumed: {waits} not measured yet" if waits else ""
    words = f"{job.title} · {film} · drawn {scale:.3g} : 1{said}"
    foot = SCALE_BAR + DIMENSION + 4.0
    sheaf = Sheaf(WIDE, foot + (y1 - y0) * scale + 4.0 + head_height(artwork.name, words))
    place = multiply(translation(PAD + LEFT, foot), multiply(_zoom(scale), translation(-x0, -y0)))
    items: list[Item] = [Fill(region(transform(artwork.cut_polygon, place)), film_ground(artwork, job))]
    items += painted(artwork.shown, artwork.colour, place)
    items += cutting_lines(artwork, place, style.LINE_TRIM, style.TEXT, style.DASH_TRIM)
    items += cased_slits(artwork, place, style.LINE_TRIM, CASING, (style.TEXT, style.PAPER), style.DASH_TRIM)
    # A section has sizes of its own; a whole decal is measured without its bare margin.
    left, bottom, wide, high = 0.0, 0.0, artwork.width, artwork.height
    if artwork.section or artwork.backing:
        left, bottom, wide, high = x0, y0, x1 - x0, y1 - y0
    a = (PAD + LEFT + (left - x0) * scale, foot + (bottom - y0) * scale)
    # Outside the film, which may go on beyond what is measured.
    below, beside = DIMENSION + (bottom - y0) * scale, DIMENSION + (left - x0) * scale
    sheaf.dimension(a, (a[0] + wide * scale, a[1]), -below, f"{wide:.2f}")
    sheaf.dimension(a, (a[0], a[1] + high * scale), beside, f"{high:.2f}")
    _caption(sheaf, artwork.name, words, scale)
    return _document(sheaf, Layer("Decal", tuple(items), "artwork"), f"{job.title}: {artwork.name}", date)


def panel_picture(artworks: Sequence[Artwork], job: Job, panel: Panel, date: str | None) -> Document:
    """A panel over the body colour with all the decals of one hand on it, laid as they are applied."""
    turn = application_turns(job.decals)
    artworks = sorted(artworks, key=lambda art: turn[art.decal.name])
    mirrored = any(is_mirrored(art, panel) for art in artworks)
    seen = mirrored_panel(panel) if mirrored else panel
    outline = seen.outline
    x0, y0, x1, y1 = outline.polygon.bounds
    scale = _scale(x1 - x0, y1 - y0)
    fits = _fits(artworks, job)
    hand = next((art.hand for art in artworks if art.hand), None)
    name = f"{panel.name}, {hand}" if hand else panel.name
    words = f"{job.title} · over {job.body} · drawn {scale:.3g} : 1"
    rows = shown(fits, seen, IDENTITY, mirrored)
    under = [part for text in notes(fits, seen) for part in wrap(text, style.TYPE_REST, WIDE - 2 * PAD)]
    below = table_height(rows) + len(under) * NOTE + 8 if fits else 0.0
    foot = SCALE_BAR + below + DIMENSION + 5.0
    sheaf = Sheaf(WIDE, foot + (y1 - y0) * scale + 8.0 + head_height(name, words))
    place = multiply(translation(PAD + LEFT, foot), multiply(_zoom(scale), translation(-x0, -y0)))
    items: list[Item] = [Fill(region(transform(outline.polygon, place)), job.paint(job.body).colour)]
    for art in artworks:
        on = multiply(place, position_on_panel(art, panel))
        if art.film == "white":
            items.append(Fill(region(transform(art.cut_polygon, on)), white_film(job)))
        for backing in backings(art):
            items.append(Fill(region(transform(backing.cut_polygon, on)), white_film(job)))
        items += painted(art.shown, art.colour, on)
        items += cutting_lines(art, on, 0.1, style.QUIET, style.DASH_TRIM)
    items.append(Contour(outline.moved(place), style.LINE_PANEL, style.TEXT))
    for obstacle in panel.obstacles:
        items += _obstacle(obstacle, panel, mirrored, place)
    items += keep_off_lines(seen, place)
    figures: list[Polygon] = []
    for one in fits:
        items += strain_map(sheaf, one, seen, place, figures)
    for art in artworks:
        on = multiply(place, position_on_panel(art, panel))
        items += cased_slits(art, on, SLIT, CASING, (style.ERROR, style.GROUND))
    cuts = [part for art in artworks for part in polygons(transform(art.cut_polygon, _on(place, art, panel)))]
    room = box(PAD + LEFT - DIMENSION + 0.4, foot - DIMENSION + 0.4, WIDE - 2, foot + (y1 - y0) * scale + 6.0)
    draw_clearances(sheaf, shown(fits, seen, place, mirrored), room, figures, cuts)
    if fits:
        y = sheaf.table(PAD, foot - DIMENSION - 3.0, WIDTHS, table_rows(rows), size=style.TYPE_REST, pitch=PITCH) - 4.5
        for text in under:
            sheaf.text(PAD, y, text, style.TYPE_REST)
            y -= NOTE
    a = (PAD + LEFT, foot)
    wide_said, high_said = (" (assumed)" * is_assumed(size, panel) for size in (panel.width, panel.height))
    sheaf.dimension(a, (a[0] + (x1 - x0) * scale, a[1]), -DIMENSION, f"{panel.width.value:.2f}{wide_said}")
    sheaf.dimension(a, (a[0], a[1] + (y1 - y0) * scale), DIMENSION, f"{panel.height.value:.2f}{high_said}")
    _caption(sheaf, name, words, scale)
    return _document(sheaf, Layer("Panel", tuple(items), "artwork"), f"{job.title}: {name}", date)


def _fits(artworks: Sequence[Artwork], job: Job) -> list[Fitting]:
    """The fit of every decal in a picture; what reaches too far round a dome to be judged is left out, and the check
    says so."""
    parts: dict[tuple[str, str | None], list[Artwork]] = {}
    for art in artworks:
        parts.setdefault((art.decal.name, art.hand), []).append(art)
    found = []
    for some in parts.values():
        with suppress(PanelError):
            found.append(fitting(some, some[0].decal, job))
    return found


def _on(place: Matrix, art: Artwork, panel: Panel) -> Matrix:
    """From a decal to the page."""
    return multiply(place, position_on_panel(art, panel))


def obstacle_outlines(obstacle: Obstacle, panel: Panel) -> tuple[Outline, ...]:
    """What of an obstacle lies on its panel: a wheel arch or a shut line may reach beyond its edge."""
    shape, whole = obstacle.outline.polygon, panel.outline.polygon
    if whole.contains(shape):
        return (obstacle.outline,)
    return tuple(Outline.from_polygon(part) for part in polygons(shape.intersection(whole)))


def _obstacle(obstacle: Obstacle, panel: Panel, mirrored: bool, place: Matrix) -> list[Item]:
    """Dashed where it is not measured yet."""
    items: list[Item] = []
    waits = any(name.startswith(f"{obstacle.name} ") for name in panel.unmeasured)
    dash = style.DASH_TRIM if waits else ()
    for part in obstacle_outlines(obstacle, panel):
        shape = part.moved(mirror_x(panel.width.value)) if mirrored else part
        items.append(Fill(region(transform(shape.polygon, place)), style.OBSTACLE))
        items.append(Contour(shape.moved(place), style.LINE_DIMENSION, style.TEXT, dash))
    return items


def contact_sheet(
    cells: Sequence[tuple[str, str, Sequence[Painted], tuple[float, float, float, float]]],
    title: str,
    date: str | None = None,
    high: float = 28.0,
    columns: int = 2,
) -> Document:
    """Small pictures in columns, no more than ``high`` mm high, each with a name and text under it: shapes, layouts,
    decals.

    Each cell is (name, text, fills, bounds of the picture).
    """
    wide = (WIDE - 2 * PAD) / columns
    words = [wrap(text, style.TYPE_REST, wide - 4.0) for _, text, _, _ in cells]
    rows = [max(len(words[k]) for k in range(n, min(n + columns, len(cells)))) for n in range(0, len(cells), columns)]
    deep = [high + 7.0 + NOTE * lines + 4.0 for lines in rows]
    sheaf = Sheaf(WIDE, head_height(title, "") + sum(deep) + PAD)
    write_head(sheaf, title, "")
    uses: list[Item] = []
    for n, (name, _, fills, bounds) in enumerate(cells):
        x = PAD + n % columns * wide
        y = sheaf.height - head_height(title, "") - sum(deep[: n // columns]) - high
        x0, y0, x1, y1 = bounds
        room = wide - 6.0
        scale = min(room / max(x1 - x0, 1e-6), high / max(y1 - y0, 1e-6))
        dx, dy = x + (room - (x1 - x0) * scale) / 2, y + (high - (y1 - y0) * scale) / 2
        place = multiply(translation(dx, dy), multiply(_zoom(scale), translation(-x0, -y0)))
        uses.append(Use(Symbol(f"cell-{n + 1}", tuple(fills)), place))
        sheaf.text(x, y - 5.0, name, style.TYPE_BODY, bold=True)
        for k, row in enumerate(words[n]):
            sheaf.text(x, y - 9.0 - k * NOTE, row, style.TYPE_REST)
    return _document(sheaf, Layer("Pictures", tuple(uses), "artwork"), title, date)


def artwork_cell(
    artwork: Artwork, name: str, text: str, body: str | None = None
) -> tuple[str, str, Sequence[Painted], tuple[float, float, float, float]]:
    """A decal as a cell of a contact sheet, on white film or over a body colour."""
    x0, y0, x1, y1 = artwork.cut_polygon.bounds
    fills: list[Painted] = []
    pad = 0.12 * max(x1 - x0, y1 - y0) if body else 0.0
    bounds = (x0 - pad, y0 - pad, x1 + pad, y1 + pad)
    if body:
        from decalgen.core.geometry import rectangle

        fills.append(Fill(rectangle(*bounds), body))
    if artwork.film == "white":
        fills.append(Fill(artwork.cut_polygon, "#ffffff"))
    fills += painted(artwork.shown, artwork.colour)
    return name, text, fills, bounds


def _scale(width: float, height: float) -> float:
    return SIZE_MM / max(width, height)


def _zoom(scale: float) -> Matrix:
    return (scale, 0.0, 0.0, scale, 0.0, 0.0)


def _caption(sheaf: Sheaf, head: str, text: str, scale: float) -> None:
    """Name and words at the top, the scale bar at the foot."""
    write_head(sheaf, head, text)
    bar = next(b for b in (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5) if b * scale <= sheaf.width / 2 or b == 0.5)
    sheaf.scale_bar(PAD, 4.0, bar, scale, f"{bar:g} mm on the model")


def _document(sheaf: Sheaf, layer: Layer, title: str, date: str | None) -> Document:
    from dataclasses import replace

    page = replace(sheaf.page(layer), ground=style.GROUND)
    return Document((page,), title=title, date=date)


def bounds_of(fills: Sequence[Painted]) -> tuple[float, float, float, float]:
    """The box round some fills."""
    boxes = [part.bounds for fill in fills for part in polygons(fill.region)]
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))
