"""Parameters for lettering, made up by hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

from decalgen.core.lengths import Quantity
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Along, Arc, Inline, Match, Rim, Shadow
from tests.shapes.values import ink, maybe, mm

sides = st.sampled_from(["outside", "inside"])
WAYS = ("plain", "fit", "justify", "width", "arc", "rise", "box", "along", "points", "match")
BENDS = st.sampled_from(["turned", "fan", "upright"])


@st.composite
def letterings(draw: st.DrawFn) -> Lettering:
    """Every way to set a text, with every effect that goes with it, opened for the printer or not."""
    text = draw(st.lists(st.sampled_from(["HARBOUR", "Gy 14", "Poste d'été", "47"]), min_size=1, max_size=2).map(tuple))
    way = draw(st.sampled_from(WAYS))
    cap = draw(mm(0.8, 4))
    more: dict[str, object] = {"align": draw(st.sampled_from(["left", "centre", "right"]))}
    if way in ("arc", "rise", "box", "along", "points", "match"):
        text = text[:1]
    if way == "fit":
        more |= {"fit": True, "width": draw(mm(4, 20)), "height": draw(mm(4, 20))}
    elif way == "match":
        more["match"] = draw(matches(text[0], cap))
    else:
        more |= {"cap_height": cap, "compensate": draw(st.booleans())}
    if way == "arc":
        more |= {"arc": Arc(draw(mm(20, 30)), side=draw(sides)), "bend": draw(BENDS)}
    elif way == "rise":
        rise = draw(mm(0.2, 1)) * cap / 2
        more |= {"arc": Arc(rise=rise, side=draw(sides)), "bend": draw(BENDS)}
    elif way == "box":
        # Of any of these words 3 cap heights are more than a third.
        more |= {
            "arc": Arc(side=draw(sides)),
            "bend": draw(BENDS),
            "width": 12 * cap,
            "height": draw(mm(1.3, 1.5)) * cap,
        }
    elif way == "along":
        # Inside the smallest box: the letters lean out beyond a sloping line's ends.
        points = ((0.3, draw(mm(0.8, 1.2))), (2.0, draw(mm(0.8, 1.2))), (3.7, draw(mm(0.8, 1.2))))
        more |= {"along": Along(points), "cap_height": draw(mm(0.2, 0.4)), "bend": draw(BENDS), "compensate": False}
    elif way == "justify":
        more |= {"justify": True, "width": 6 * cap}
    elif way == "width":
        more["width"] = draw(mm(6, 12)) * cap / 1.5
    elif way == "points":
        # Inside the smallest box: a sloping line's letters lean out beyond its ends.
        more |= {"start": (1.5, 1.0), "end": (draw(mm(2.8, 3.2)), draw(mm(0.8, 1.2)))}
        more |= {"cap_height": draw(mm(0.8, 1.2)), "stretch": draw(st.booleans())}
    return Lettering(text, draw(ink), **more, **draw(effects(way)))


@st.composite
def matches(draw: st.DrawFn, text: str, cap: float) -> Match:
    def read(least: float, most: float) -> Quantity:
        return Quantity(draw(mm(least, most)) * cap, 1, (("reading", 0.02),))

    return (
        Match(
            Quantity(cap),
            length=read(0.55, 1.1) if draw(st.booleans()) else None,
            stem=read(0.1, 0.25) if draw(st.booleans()) else None,
            crossbar=read(0.08, 0.2) if draw(st.booleans()) else None,
            slant=draw(maybe(mm(-15, 20))),
        )
        if len(text) < 4
        else Match(Quantity(cap), length=read(4, 8), stem=read(0.1, 0.2), slant=draw(maybe(mm(-9, 9))))
    )


@st.composite
def effects(draw: st.DrawFn, way: str) -> dict[str, object]:
    if way in ("plain", "justify", "width", "match") and draw(st.integers(0, 3)) == 0:
        return {"reversed": True, "margin": draw(mm(0, 2))}
    if way == "points":
        return {}
    some: dict[str, object] = {}
    if draw(st.booleans()):
        some["outline"] = Rim(draw(mm(0.1, 1)), draw(ink), draw(st.just(0.0) | mm(0.05, 0.3)))
    if draw(st.booleans()):
        kind = draw(st.sampled_from(["solid", "cast"]))
        some["shadow"] = Shadow(draw(mm(-1, 1)), draw(st.sampled_from([-0.5, 0.5])), draw(ink), kind)
    if draw(st.booleans()):
        some["inline"] = Inline(draw(mm(0.03, 0.1)), draw(mm(0.02, 0.1)), draw(ink))
    return some
