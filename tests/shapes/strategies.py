"""Parameters for every shape, made up by hypothesis. A new shape needs an entry here, or `test_every_shape` fails."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from decalgen.core.pixels.values import PictureData
from decalgen.core.svg.text import DrawingText
from decalgen.shapes.band import DrawnBand
from decalgen.shapes.band_keys import BandChecks, BandChevrons
from decalgen.shapes.base import ANCHORS, At, Box, Element, Shape
from decalgen.shapes.blocks import Blocks
from decalgen.shapes.border import Border
from decalgen.shapes.checks import Checks
from decalgen.shapes.chevrons import Chevrons
from decalgen.shapes.cross import Cross
from decalgen.shapes.curve import DrawnCurve
from decalgen.shapes.drawing import OwnDrawing
from decalgen.shapes.fade import Fade
from decalgen.shapes.field import Field
from decalgen.shapes.group import Group
from decalgen.shapes.outline import DrawnOutline, Hole
from decalgen.shapes.picture import OwnPicture
from decalgen.shapes.picture_outline import PictureCurve, PictureOutline
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.star import Star
from decalgen.shapes.stripe import Stripe
from tests.helpers.pictures import emblem, photograph, saved
from tests.shapes.lettering_strategies import letterings
from tests.shapes.values import INKS, ink, inks, maybe, mm

boxes = st.builds(Box, mm(4, 40), mm(4, 40))
ats = st.builds(At, st.sampled_from(list(ANCHORS)), mm(-3, 3), mm(-3, 3)) | st.builds(
    At, st.sampled_from(list(ANCHORS)), st.just(0.0), st.just(0.0)
)


@st.composite
def one_or_more(draw: st.DrawFn) -> dict[str, object]:
    """`ink` or `inks`."""
    return {"ink": draw(ink)} if draw(st.booleans()) else {"inks": draw(inks)}


@st.composite
def stripes(draw: st.DrawFn) -> Stripe:
    width = draw(mm(0.2, 6))
    angle = draw(st.sampled_from([0.0, 90.0, 180.0, -90.0, 45.0, -30.0]) | mm(-360, 360))
    free = draw(st.booleans())
    straight = angle % 90 == 0
    given = {
        "stripe_width": width,
        "angle": angle,
        "count": draw(st.integers(1, 6)),
        "fill": draw(st.booleans()) and not free,
        "pitch": draw(maybe(mm(width, 4 * width + 1))),
        "shift": draw(st.just(0.0) | mm(-2, 2)) if not free else 0.0,
        "ground": draw(maybe(ink)),
        **draw(one_or_more()),
    }
    if free:
        # Long enough for any number of stripes between slanted ends of up to 30 degrees.
        given["length"] = draw(mm(170, 200))
    elif straight:
        given["height"] = draw(maybe(mm(8, 20)))
        given["width"] = draw(maybe(mm(8, 20)))
    if free:
        given["start_slant"], given["end_slant"] = draw(mm(-30, 30)), draw(mm(-30, 30))
    return Stripe(**given)


@st.composite
def checks(draw: st.DrawFn) -> Checks:
    cell = draw(maybe(mm(1, 5)))
    return Checks(
        inks=draw(inks),
        rows=draw(st.integers(1, 6)) if cell is None else None,
        columns=draw(st.integers(1, 12)) if cell is None else None,
        cell=cell,
        width=draw(maybe(mm(5, 30))),
        height=draw(maybe(mm(5, 30))),
        half_cells=draw(st.booleans()),
        slant=draw(st.just(0.0) | mm(-60, 60)),
    )


@st.composite
def blocks(draw: st.DrawFn) -> Blocks:
    columns = draw(st.integers(1, 6))
    rows = draw(st.lists(st.text("abc.", min_size=columns, max_size=columns), min_size=1, max_size=5))
    shares = st.lists(mm(0.5, 3), min_size=columns, max_size=columns).map(tuple)
    return Blocks(rows=tuple(rows), inks=INKS[:3], column_shares=draw(maybe(shares)), cell=draw(maybe(mm(1, 4))))


@st.composite
def fields(draw: st.DrawFn) -> Field:
    return Field(
        ink=draw(ink),
        width=draw(maybe(mm(2, 30))),
        height=draw(maybe(mm(2, 30))),
        corner_radii=draw(maybe(st.tuples(*[st.just(0.0) | mm(0.1, 20)] * 4))),
    )


@st.composite
def roundels(draw: st.DrawFn) -> Roundel:
    sizes = draw(maybe(st.lists(mm(0.5, 20), min_size=1, max_size=4, unique=True).map(lambda d: tuple(sorted(d)))))
    count = draw(st.integers(1, 3))
    rings = len(sizes) if sizes else draw(st.integers(1, 4))
    shade = draw(st.lists(ink, min_size=rings, max_size=rings).map(tuple))
    how = draw(st.sampled_from(["ratios", "diameters"]))
    return Roundel(shade, **({how: sizes} if sizes else {}), count=count)


@st.composite
def chevrons(draw: st.DrawFn) -> Chevrons:
    return Chevrons(
        stripe_width=draw(mm(0.3, 4)),
        direction=draw(st.sampled_from(["up", "down", "left", "right"])),
        angle=draw(st.just(45.0) | mm(12, 78)),
        centred=draw(st.booleans()),
        count=draw(maybe(st.integers(1, 5))),
        gap=draw(maybe(mm(0, 3))),
        shift=draw(st.just(0.0) | mm(-2, 2)),
        ground=draw(maybe(ink)),
        **draw(one_or_more()),
    )


@st.composite
def crosses(draw: st.DrawFn) -> Cross:
    edges = draw(st.lists(mm(0.1, 0.4), max_size=2))
    couped, saltire = draw(st.booleans()), draw(st.booleans())
    plain = couped or saltire
    return Cross(
        ink=draw(ink),
        couped=couped,
        saltire=saltire,
        arm_width=None if couped else draw(maybe(mm(0.5, 3))),
        arm_ratio=draw(maybe(mm(0.3, 3))),
        centre_x=None if plain else draw(maybe(mm(0, 4))),
        centre_y=None if plain else draw(maybe(mm(0, 4))),
        fimbriation=tuple(edges),
        fimbriation_inks=INKS[: len(edges)],
    )


@st.composite
def stars(draw: st.DrawFn) -> Star:
    return Star(
        ink=draw(ink),
        points=draw(st.integers(3, 12)),
        inner_ratio=draw(maybe(mm(0.05, 0.99))),
        turn=draw(st.just(0.0) | mm(-90, 90)),
        diameter=draw(maybe(mm(2, 20))),
        in_circle=draw(st.booleans()),
    )


@st.composite
def borders(draw: st.DrawFn) -> Border:
    return Border(draw(ink), draw(mm(0.1, 3)), draw(st.just(0.0) | mm(0.1, 1.5)), draw(st.just(0.0) | mm(0.1, 9)))


@st.composite
def outlines(draw: st.DrawFn) -> DrawnOutline:
    """Corners in order round a middle, so that no side crosses another; rectangles, which meet their sides, as well."""
    if draw(st.booleans()):
        w, h = draw(mm(4, 20)), draw(mm(4, 20))
        points = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]
        radii = tuple(draw(st.just(0.0) | mm(0.1, 1.9)) for _ in points)
        return DrawnOutline(draw(ink), tuple(points), radii=radii, in_place=draw(st.booleans()))
    n = draw(st.integers(3, 9))
    points = []
    for i in range(n):
        r, a = draw(mm(3, 10)), 2 * math.pi * i / n
        points.append((12 + r * math.cos(a), 12 + r * math.sin(a)))
    hole = Hole(((11.8, 11.8), (12.2, 11.8), (12.0, 12.2)))
    holes = (hole,) if n > 4 else ()
    if draw(st.booleans()):
        points.reverse()
    if n > 6 and draw(st.booleans()):
        # Nearer to a circle, so that no point turns like a corner.
        middle = [(x - 12, y - 12, math.hypot(x - 12, y - 12)) for x, y in points]
        points = [(12 + x * (0.2 + 8 / far), 12 + y * (0.2 + 8 / far)) for x, y, far in middle]
        return DrawnOutline(draw(ink), tuple(points), curves=(2, 3, 4), in_place=draw(st.booleans()))
    return DrawnOutline(draw(ink), tuple(points), rises=(draw(st.just(0.0) | mm(-0.2, 0.2)),), holes=holes)


@st.composite
def curves(draw: st.DrawFn) -> DrawnCurve:
    """Round a middle, filled or as a line, with corners, straights or an arc; or from one side to another."""
    width = draw(maybe(mm(0.2, 2)))
    place = draw(st.booleans())
    if width is not None and draw(st.booleans()):
        n = draw(st.integers(2, 6))
        far = draw(st.sampled_from([10.0, 20.0]))
        points = tuple((far * i / (n - 1), draw(mm(3, 5))) for i in range(n))
        return DrawnCurve(
            draw(ink),
            points,
            width,
            ends=draw(st.sampled_from(["square", "round", "pointed"])),
            corners=(2, 4) if n > 3 else (),
            straights=(1,) if draw(st.booleans()) else (),
            within=draw(maybe(mm(0.02, 0.1))),
            in_place=place,
        )
    n = draw(st.integers(7, 10))
    away = [draw(mm(8, 10)) for _ in range(n)]
    angles = [i * math.tau / n for i in range(n)]
    points = tuple((10 + r * math.cos(a), 10 + r * math.sin(a)) for r, a in zip(away, angles, strict=True))
    how = draw(st.sampled_from([{}, {"corners": (2, 4)}, {"straights": (1,)}, {"arcs": (2,), "corners": (2, 4)}]))
    return DrawnCurve(draw(ink), points, width, closed=True, in_place=place, **how)


@st.composite
def bands(draw: st.DrawFn) -> DrawnBand:
    """From one side to another, or round a middle; one or several stripes, of one width or of one that changes, beside
    the line or about it, with ends of every kind."""
    count = draw(st.integers(1, 3))
    given: dict[str, object] = {"ink": INKS[0]} if count == 1 else {"inks": INKS[:count]}
    given |= {"in_place": draw(st.booleans()), "distance": draw(maybe(mm(-1, 1)))}
    one_width = {"stripe_width": (draw(mm(0.2, 1.2)),), "gap": (draw(mm(0, 0.4)),) if count > 1 else ()}
    if draw(st.booleans()):
        n = draw(st.integers(7, 10))
        away = [draw(mm(8, 10)) for _ in range(n)]
        angles = [i * math.tau / n for i in range(n)]
        points = tuple((10 + r * math.cos(a), 10 + r * math.sin(a)) for r, a in zip(away, angles, strict=True))
        how = draw(st.sampled_from([{}, {"corners": (2, 4)}, {"straights": (1,)}, {"part": (4.0, 21.0)}]))
        return DrawnBand(points=points, closed=True, **given, **one_width, **how)
    far = draw(st.sampled_from([10.0, 20.0]))
    n = draw(st.integers(2, 6))
    given["points"] = tuple((far * i / (n - 1), draw(mm(3, 5))) for i in range(n))
    given |= draw(st.sampled_from([{}, {"corners": (2,)}, {"straights": (1,)}])) if n > 2 else {}
    kind = draw(st.integers(0, 3))
    if kind == 0:
        del given["inks" if count > 1 else "ink"]
        given |= {"inks": draw(inks), "stripe_width": (draw(mm(0.5, 1.5)),), "corners": ()}
        # A bend too tight for cells is told as soon as the band is made.
        given |= {"points": (given["points"][0], (far / 2, 4.0), given["points"][-1]), "straights": ()}
        given |= draw(st.sampled_from([{"checks": BandChecks(1.2, 3)}, {"chevrons": BandChevrons(2.0, 50.0)}]))
        return DrawnBand(**given)
    if kind == 1:
        places = sorted(draw(st.sets(mm(0, 9), min_size=1, max_size=4)))
        given["widths"] = tuple((at, draw(mm(0.1, 3))) for at in places)
        given["smooth"] = draw(st.booleans())
        if count > 1 and max(width for _, width in given["widths"]) > 0.25 and draw(st.booleans()):
            given |= {"gap": (0.1,), "even_gaps": True}
    else:
        given |= one_width
    given["ends"] = draw(st.sampled_from(["square", "pointed", "pointed end"]))
    if given["ends"] != "square":
        given["point_length"] = draw(mm(0.5, 4))
    elif draw(st.booleans()):
        given["start_slant"], given["end_slant"] = draw(mm(-45, 45)), draw(mm(-45, 45))
    elif draw(st.booleans()):
        given["lead_in"], given["lead_out"] = draw(maybe(mm(0.5, 4))), draw(maybe(mm(0.5, 4)))
    return DrawnBand(**given)


EMBLEM = PictureData("emblem.png", saved(emblem(40)))
PHOTOGRAPH = PictureData("photograph.jpg", saved(photograph(40, 30), "JPEG"))
DRAWN_INKS = (("white", "#ffffff"), ("lifebuoy orange", "#f7641b"), ("navy", "#1d2b4a"), ("green", "#2f6b3c"))


@st.composite
def drawings(draw: st.DrawFn) -> OwnDrawing:
    """A few shapes of a drawing, filled and stroked, some over its edge, some along it."""
    colours = st.sampled_from(["#fff", "orange", "#1d2b4a", "green", "none"])
    rows = ['<rect width="20" height="6" fill="navy"/>']
    for _ in range(draw(st.integers(1, 5))):
        x, y, w, h = (draw(st.integers(*span)) for span in ((-4, 18), (-4, 14), (1, 14), (1, 12)))
        turn = draw(st.sampled_from([0, 0, 45, 17]))
        body = draw(
            st.sampled_from(
                [
                    f'<rect x="{x}" y="{y}" width="{w}" height="{h}" rx="1"/>',
                    f'<ellipse cx="{x}" cy="{y}" rx="{w}" ry="{h}"/>',
                    f'<path d="M{x} {y}l{w} 2q3 {h} -{w} {h}a3 4 20 1 0 -2 -3z"/>',
                    f'<polyline points="{x},{y} {x + w},{y} {x},{y + h}"/>',
                ]
            )
        )
        stroke = f'stroke="{draw(colours)}" stroke-width="{draw(st.sampled_from([0.5, 1.5]))}"'
        join = draw(st.sampled_from(["miter", "round", "bevel"]))
        rows.append(
            f'<g fill="{draw(colours)}" {stroke} stroke-linejoin="{join}" transform="rotate({turn} 10 8)">{body}</g>'
        )
    text = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 16">{"".join(rows)}</svg>'
    return OwnDrawing(DrawingText("crest.svg", text, DRAWN_INKS), width=draw(mm(3, 30)), cropped=draw(st.booleans()))


@st.composite
def fades(draw: st.DrawFn) -> Fade:
    outlined = draw(st.booleans())
    turns = st.sampled_from([0.0, 90.0, -90.0, 180.0, 45.0]) | mm(-360, 360)
    line, gap = draw(mm(0.08, 0.2)), draw(mm(0.1, 0.3))
    area: dict[str, object] = {"width": draw(maybe(mm(2, 20))), "height": draw(maybe(mm(2, 20)))}
    if outlined:
        area = {"points": ((0.0, 0.0), (8.0, 0.0), (11.0, 5.0), (3.0, 6.0)), "rises": (0.0, 0.0, draw(mm(-1, 2)), 0.0)}
        area["in_place"] = draw(st.booleans())
    return Fade(
        draw(ink),
        ground=draw(maybe(ink)),
        tones=draw(st.lists(st.integers(0, 100).map(float), min_size=2, max_size=5).map(tuple)),
        direction=draw(turns),
        marks=draw(st.sampled_from(["lines", "dots"])),
        angle=draw(maybe(turns)),
        pitch=draw(mm(1.3, 3)),
        smallest_line=line,
        smallest_gap=gap,
        **area,
    )


@st.composite
def own_pictures(draw: st.DrawFn) -> OwnPicture:
    """A disc cut out along its alpha, or a photograph in a box, an ellipse or a line of its own."""
    clear = draw(st.booleans())
    data = EMBLEM if clear else PHOTOGRAPH
    outline = draw(st.sampled_from([None, "box", "ellipse", "corners", "curve"]))
    size: dict[str, object] = {draw(st.sampled_from(["width", "height"])): draw(mm(3, 30))}
    if outline == "corners":
        size["cut_outline"] = PictureOutline(((0.0, 0.0), (2.5, 0.0), (2.0, 2.0)), rises=(0.0, -0.2, draw(mm(-0.3, 0))))
    elif outline == "curve":
        size["cut_curve"] = PictureCurve(((0.5, 1.2), (1.2, 0.6), (2.0, draw(mm(0.8, 1.6))), (1.0, 1.8)))
    words = outline if outline in ("box", "ellipse") else None
    return OwnPicture(data, outline=words, mirror=draw(st.booleans()), handed=draw(st.booleans()), **size)


@st.composite
def groups(draw: st.DrawFn, deep: int = 2) -> Group:
    some = elements(deep - 1)
    return Group(
        elements=draw(st.lists(some, min_size=1, max_size=3).map(tuple)),
        width=draw(mm(4, 12)),
        height=draw(mm(4, 12)),
        turn=draw(st.sampled_from([0.0, 90.0, 180.0, 270.0, -90.0, 30.0])),
        mirror=draw(st.booleans()),
        count=draw(st.integers(1, 3)),
        pitch_x=draw(mm(-14, 14)),
        pitch_y=draw(mm(-14, 14)),
        clip=draw(st.booleans()),
    )


SHAPES: dict[str, st.SearchStrategy[Shape]] = {
    "stripe": stripes(),
    "checks": checks(),
    "blocks": blocks(),
    "field": fields(),
    "fade": fades(),
    "roundel": roundels(),
    "chevrons": chevrons(),
    "cross": crosses(),
    "star": stars(),
    "border": borders(),
    "outline": outlines(),
    "curve": curves(),
    "band": bands(),
    "drawing": drawings(),
    "picture": own_pictures(),
    "lettering": letterings(),
    "group": groups(),
}


def elements(deep: int = 2) -> st.SearchStrategy[Element]:
    """A shape somewhere, perhaps in groups ``deep`` deep."""
    kinds = [s for name, s in SHAPES.items() if name != "group"]
    shapes = st.one_of(*kinds, groups(deep)) if deep > 0 else st.one_of(*kinds)
    return st.builds(Element, shapes, ats, st.booleans())
