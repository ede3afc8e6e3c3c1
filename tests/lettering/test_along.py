"""Letters turned to a curve, against HarfBuzz's advances, fontTools' outlines and sums reckoned here by numpy."""

from __future__ import annotations

import io
import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
import uharfbuzz as hb
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont

from decalgen.core.curves.course import Course, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.lettering.along import ArcSide, Beside, circle_curve, stood_along, stood_on_arc
from decalgen.lettering.faces import face, face_bytes
from decalgen.lettering.shaping import checked_axes
from decalgen.lettering.text import Align
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset

FACE = "Anton"
"""A face whose file varies in nothing, so that both readers see whole numbers."""
SWEEP = curve_through(Course(((0, 2), (9, 2.2), (18, 6), (27, 10), (36, 10.5))))
HOLLOW = curve_through(Course(((0, 8), (6, 2), (12, 0), (18, 2), (24, 8))))


def ink_middles(name: str, text: str, cap: float) -> np.ndarray:
    """The middles of the ink of capitals on a straight line, from HarfBuzz's advances and fontTools' bounds."""
    one = face(name)
    axes = dict(checked_axes(one, None))
    font = hb.Font(hb.Face(face_bytes(one.file)))
    font.set_variations(axes)
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(font, buffer)
    x, spans = 0.0, []
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        points = corners(name, font.glyph_to_string(info.codepoint))
        spans.append((x + place.x_offset + points[:, 0].min(), x + place.x_offset + points[:, 0].max()))
        x += place.x_advance
    high = corners(name, "H")[:, 1].max()
    return np.array([(a + b) / 2 - spans[0][0] for a, b in spans]) * cap / high


def corners(name: str, glyph: str) -> np.ndarray:
    """The points of a glyph of straight sides, font units, read by fontTools."""
    one = face(name)
    ttfont = TTFont(io.BytesIO(face_bytes(one.file)))
    glyphs = ttfont.getGlyphSet(location=dict(checked_axes(one, None)) or None)
    pen = RecordingPen()
    glyphs[glyph].draw(pen)
    assert {kind for kind, _ in pen.value} <= {"moveTo", "lineTo", "closePath"}
    return np.array([args[0] for kind, args in pen.value if args], dtype=float)


def lengths(area: shapely.Geometry) -> tuple[float, float, float]:
    """What no turn changes: the length of an area's edge, that of what lies round it, and its greatest extent."""
    round_it = shapely.convex_hull(area)
    points = shapely.get_coordinates(round_it)
    return area.length, round_it.length, float(np.hypot(*(points[:, None] - points).T).max())


@pytest.mark.parametrize("curve", [circle_curve(9.0, "outside"), circle_curve(9.0, "inside"), SWEEP, HOLLOW])
def test_letters_are_turned_and_never_bent(curve: Curve) -> None:
    """Lengths on each letter are those on fontTools' outline, to a picometre."""
    high = corners(FACE, "H")[:, 1].max()
    stood = stood_along(typeset("HELITE", face=FACE, cap_height=2.0), curve)
    for letter in stood.letters:
        own = shapely.Polygon(corners(FACE, letter.text) * 2.0 / high)
        assert lengths(letter.region) == pytest.approx(lengths(own), abs=1e-9)


@pytest.mark.parametrize(("side", "height"), [("outside", 0.25), ("inside", -0.5)])
@pytest.mark.parametrize("radius", [6.0, 12.0, 40.0])
def test_angles_on_a_circle_are_the_straight_distances_at_a_height(side: ArcSide, height: float, radius: float) -> None:
    """HarfBuzz's advances over R + cap / 4, or R - cap / 2; each letter's foot is as far under the circle in its middle
    as over it at its ends (the sagitta w² / 8 R, halved)."""
    text, cap = "HIHHI", 1.6
    middles = ink_middles(FACE, text, cap)
    stood = stood_on_arc(typeset(text, face=FACE, cap_height=cap), radius, side=side)
    centres = np.array([letter.region.convex_hull.centroid.coords[0] for letter in stood.letters])
    angles = np.unwrap(np.arctan2(centres[:, 1], centres[:, 0]))
    out = 1 if side == "outside" else -1
    assert np.diff(angles) * -out == pytest.approx(np.diff(middles) / (radius + height * cap), abs=1e-9)
    for one, centre in zip(text, centres, strict=True):
        wide = float(np.ptp(corners(FACE, one)[:, 0])) * cap / float(corners(FACE, "H")[:, 1].max())
        assert np.hypot(*centre) == pytest.approx(radius + out * cap / 2 - wide**2 / 16 / radius, abs=1e-9)


def test_the_whole_word_stands_in_the_middle_of_its_arc() -> None:
    line = typeset("HARBOUR", face="Oswald", cap_height=2.0)
    over = stood_on_arc(line, 15.0)
    x0, _, x1, top = shapely.total_bounds([letter.region for letter in over.letters])
    assert x0 == pytest.approx(-x1, abs=0.2) and top == pytest.approx(17.0, abs=0.06)
    assert over.end - over.start == pytest.approx(line.width * 15.0 / 15.5, abs=1e-9)
    assert (over.start + over.end) / 2 == pytest.approx(math.pi * 15.0, abs=1e-9)


@pytest.mark.parametrize("name", ["Overpass", "Anton", "Roboto Slab"])
@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize(("times", "off"), [(6, 0.05), (10, 0.03), (20, 0.016)])
def test_gaps_are_those_of_a_straight_line_in_the_middle(name: str, side: ArcSide, times: int, off: float) -> None:
    """Measured by shapely: the mean of the gaps differs from the straight line's by less than a third of what distances
    along the baseline would make it differ (0.17, 0.10 and 0.05 mm inside, of which shapes of letters are a part)."""
    line = typeset("HARBOUR STORES", face=name, cap_height=2.0)
    stood = stood_on_arc(line, 2.0 * times, side=side)

    def gaps(letters: tuple) -> list[float]:
        pairs = [(a, b) for a, b in pairwise(letters) if not b.begins_word]
        return [a.region.distance(b.region) for a, b in pairs]

    assert np.mean(gaps(stood.letters)) == pytest.approx(np.mean(gaps(line.letters)), abs=off)


@pytest.mark.parametrize("curve", [SWEEP, HOLLOW])
def test_distances_beside_a_changing_bend_are_the_integral(curve: Curve) -> None:
    """dx = (1 - k q cap) ds, with q a half where the curve is hollow and a quarter where it is round, summed in 400 000
    steps."""
    n, cap = 400_000, 1.8
    along = (np.arange(n) + 0.5) * curve.length / n
    bend = curve.curvatures(along)
    beside = np.cumsum((1 - bend * np.where(bend > 0, 0.5, 0.25) * cap) * curve.length / n)
    found = Beside(curve, cap)
    assert found.length == pytest.approx(beside[-1], abs=1e-8)
    some = slice(5000, n, 7919)
    assert found.along(beside[some]) == pytest.approx(along[some] + curve.length / n / 2, abs=1e-8)


def test_a_pair_that_leans_too_near_is_opened_alone() -> None:
    line = typeset("HARBOUR", face="Anton", cap_height=2.0)
    plain, opened = (stood_along(line, HOLLOW, least=least) for least in (0.0, 0.3))
    straight = [a.region.distance(b.region) for a, b in pairwise(line.letters)]
    before = [a.region.distance(b.region) for a, b in pairwise(plain.letters)]
    after = [a.region.distance(b.region) for a, b in pairwise(opened.letters)]
    wanted = [min(0.3, one) for one in straight]
    pairs = zip(pairwise(line.letters), before, wanted, strict=True)
    # What is under half a dot is not told.
    near = [f"{a.text}{b.text}" for (a, b), g, w in pairs if g < w - 0.018]
    assert 0 < len(near) < 6
    assert [one.pair for one in opened.opened] == near
    assert all(g >= w - 1e-3 for g, w in zip(after, wanted, strict=True))
    # The others keep the distance that their curve gives them: here it bends a little less or more than there.
    kept = [(a, b) for a, b, w in zip(before, after, wanted, strict=True) if a >= w]
    assert all(b == pytest.approx(a, abs=0.02) for a, b in kept)
    held = stood_along(line, HOLLOW, least=0.3, held=True)
    assert all(a.region.distance(b.region) >= 0.3 - 1e-3 for a, b in pairwise(held.letters))


def test_joined_letters_of_a_script_are_left_together() -> None:
    assert stood_along(typeset("Harbour", face="Lobster", cap_height=2.0), HOLLOW, least=0.3).opened == ()


@pytest.mark.parametrize(("align", "at"), [("left", 0.0), ("centre", 0.5), ("right", 1.0)])
def test_a_word_stands_at_the_start_in_the_middle_or_at_the_end(align: Align, at: float) -> None:
    stood = stood_along(typeset("BAY", face="Archivo", cap_height=2.0), SWEEP, align)
    share = {0.0: stood.start, 1.0: SWEEP.length - stood.end}
    if at in share:
        assert share[at] == pytest.approx(0.0, abs=1e-9)
    else:
        assert (stood.start + stood.end) / 2 == pytest.approx(SWEEP.length / 2, abs=0.5)


def test_the_tightest_hollow_bend_under_the_word_is_known() -> None:
    line = typeset("BAY", face="Archivo", cap_height=2.0)
    stood = stood_along(line, HOLLOW)
    dense = np.linspace(stood.start, stood.end, 100_000)
    assert stood.tightest == pytest.approx(1 / HOLLOW.curvatures(dense).max(), rel=1e-5)
    assert stood_on_arc(line, 9.0).tightest == math.inf
    assert stood_on_arc(line, 9.0, side="inside").tightest == pytest.approx(9.0)


@pytest.mark.parametrize(
    ("text", "curve", "says"),
    [
        ("HARBOUR STORES BOARD OF THE BAY", SWEEP, "do not go on a baseline with room for"),
        ("I", circle_curve(1.9, "inside"), "reach over the centre of a bend of 1.9 mm radius"),
    ],
)
def test_what_does_not_go_on_a_curve(text: str, curve: Curve, says: str) -> None:
    with pytest.raises(LetteringError) as caught:
        stood_along(typeset(text, face="Archivo", cap_height=2.0), curve)
    assert says in caught.value.message and caught.value.fix


@pytest.mark.parametrize(
    ("text", "radius", "side", "says"),
    [
        ("STORES", 1.0, "outside", "do not go round"),
        ("I", 2.0, "inside", "reach over the centre"),
        ("I", 9.0, "under", "'under' is not a side"),
        ("I", math.nan, "outside", "a radius of nan mm"),
    ],
)
def test_what_does_not_go_on_an_arc(text: str, radius: float, side: str, says: str) -> None:
    with pytest.raises(LetteringError) as caught:
        stood_on_arc(typeset(text, face="Archivo", cap_height=2.0), radius, side=side)  # type: ignore[arg-type]
    assert says in caught.value.message and caught.value.fix
