"""Letters forced to a build that their face has not: no stroke is lost or left a hairline unsaid, and all stay on their
lines. Thickness is read off by lines laid across with shapely, another way than the one that draws."""

from __future__ import annotations

import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, box

from decalgen.lettering.forcing import Forcing
from decalgen.lettering.losses import losses
from decalgen.lettering.match import match
from decalgen.lettering.measured import Matched, MeasuredLettering
from decalgen.lettering.swelling import swollen
from decalgen.lettering.thickness import thickness_of
from decalgen.lettering.typesetting import typeset


def area(*parts: shapely.Geometry) -> MultiPolygon:
    return MultiPolygon([p for p in shapely.get_parts(shapely.union_all(parts)) if p.area > 0])


TWO_STROKES = area(box(0, 0, 2, 10), box(2, 4, 8, 5), box(8, 0, 8.4, 10))
"""A stem of 2, a bar of 1 and a hairline of 0.4."""


def pieces(region: shapely.Geometry, line: LineString) -> list[float]:
    cut = region.intersection(line)
    return [part.length for part in sorted(getattr(cut, "geoms", [cut]), key=lambda p: p.bounds)]


def letter(found: Matched, text: str) -> MultiPolygon:
    return next(one.region for one in found.letters if one.text == text)


def test_thickness_is_what_a_rule_laid_across_reads() -> None:
    known = thickness_of(TWO_STROKES)
    middles = known.middles
    assert {round(float(t), 6) for t in middles.thickness} >= {2.0, 1.0, 0.4}
    assert min(middles.thickness) == pytest.approx(0.4)
    hair = middles.points[middles.thickness < 0.5]
    assert len(hair)
    assert all(x == pytest.approx(8.2) for x in hair[:, 0])


@pytest.mark.parametrize(("by", "stem", "hairline"), [(-0.5, 1.0, 0.2), (0.5, 3.0, 0.6)])
def test_a_hairline_gains_and_loses_its_share_of_what_a_stem_does(by: float, stem: float, hairline: float) -> None:
    made = swollen(TWO_STROKES, 0.0, (1.0, 1.0), (by, 0.0), (2.0, 1.0))
    across = pieces(made, LineString([(-9, 8), (20, 8)]))
    # It is made as wide as if all strokes were stems, which draws it out or presses it a little.
    wide = (8.4 + 2 * by) / (8.4 + by * 1.2)
    assert across == pytest.approx([stem * wide, hairline * wide], rel=1e-6)
    assert made.bounds[2] - made.bounds[0] == pytest.approx(8.4 + 2 * by)


@pytest.mark.parametrize("by", [(-0.3, -0.3), (-0.2, -0.15)])
def test_corners_that_are_rounded_by_less_than_is_taken_off_become_sharp(by: tuple[float, float]) -> None:
    """Their small edges are turned round, which left specks and hairs beside each serif."""
    rounded = area(*(one.buffer(-0.12).buffer(0.12) for one in (box(0, 0, 2, 10), box(8, 0, 8.4, 10))), box(2, 4, 8, 5))
    made, sharp = (swollen(one, 0.0, (1.0, 1.0), by, (2.0, 1.0)) for one in (rounded, TWO_STROKES))
    assert len(made.geoms) == 1 and not made.geoms[0].interiors
    assert made.symmetric_difference(sharp).area < 0.02 * sharp.area
    # Nothing as thin as a hair is left: opened by a disc of a fiftieth of the stem it is the same.
    opened = made.buffer(-0.02, join_style="mitre").buffer(0.02, join_style="mitre")
    assert made.difference(opened).area < 1e-6


def test_a_clarendon_with_rounded_serifs_keeps_its_strokes() -> None:
    found = match("BERM", MeasuredLettering(2.0, 8.0, 0.22, 0.2), "Besley")
    own = typeset("BERM", face="Besley", cap_height=2.0).letters
    assert found.by_letter == ("",) * 4
    for one, before in zip(found.letters, own, strict=True):
        assert len(one.region.geoms) == len(before.region.geoms), one.text


@pytest.mark.parametrize(
    ("face", "text", "measures"),
    [
        ("Anton", "AR&S", MeasuredLettering(2.0, 7.0, 0.26, 0.24)),
        ("Righteous", "B&M", MeasuredLettering(2.0, 6.0, 0.15, 0.15)),
        ("Alfa Slab One", "ADY", MeasuredLettering(2.0, 6.5, 0.25, 0.2)),
    ],
)
def test_no_stroke_is_lost_where_a_heavy_face_is_made_thin(face: str, text: str, measures: MeasuredLettering) -> None:
    found = match(text, measures, face)
    assert found.by_letter == ("",) * len(text)
    assert measures.stem is not None
    for one in found.letters:
        # What a disc of a fifth of the stem does not go into is no stroke, but a corner.
        kept = one.region.buffer(-0.1 * measures.stem)
        assert len(shapely.get_parts(kept)) == len(one.region.geoms), one.text


def test_a_bar_made_thin_is_still_there() -> None:
    found = match("DAIRY", MeasuredLettering(2.0, 10.0, 0.25, 0.2), "Alfa Slab One")
    a = letter(found, "A")
    left, _, right, _ = a.bounds
    middle = (left + right) / 2
    bar = pieces(a, LineString([(middle, -1), (middle, 1.4)]))
    # 0.028 mm where every edge was moved by the same: a tenth of the stem.
    assert max(bar) > 0.09


def test_a_lost_stroke_is_told_though_holes_and_pieces_are_as_many() -> None:
    # The bar of 1 is gone, and a slit of the stem's own makes up for the counter that it opened.
    frame = area(box(0, 0, 8, 2), box(0, 8, 8, 10), box(0, 0, 2, 10), box(6, 0, 8, 10))
    before = area(frame, box(2, 4, 6, 5))
    after = area(frame).difference(box(0.5, 3, 1.5, 7))
    after = MultiPolygon([after]) if after.geom_type == "Polygon" else after
    assert [len(p.interiors) for p in before.geoms] == [len(p.interiors) for p in after.geoms] == [2]
    same = Forcing((1.0, 1.0), (0.0, 0.0), 0.0, 0.0)
    assert losses(before, after, same, (2.0, 1.0), (2.0, 1.0)).stroke
    assert not losses(before, before, same, (2.0, 1.0), (2.0, 1.0)).stroke


def test_a_hairline_beside_full_stems_is_told() -> None:
    found = match("NAVY", MeasuredLettering(3.0, 12.0, 0.6, 0.4), "Cinzel")
    thin = match("NAVY", MeasuredLettering(3.0, 12.0, 0.9, 0.8), "Abril Fatface")
    told = [words for one in (found, thin) for words in one.out_of_range if "beside stems" in words or "lost" in words]
    assert told
    even = match("NAVY", MeasuredLettering(3.0, 12.0, 0.6, 0.5), "Archivo")
    assert not [words for words in even.out_of_range if "beside stems" in words]


def test_a_crossing_that_was_drawn_out_to_a_hairline_is_told() -> None:
    """Between the arms of Anton's X no middle line of a stroke lies, and its crossing is left a bar of 0.06 mm."""
    found = match("EXIT", MeasuredLettering(2.0, 5.8, 0.42, 0.32), "Anton")
    x = letter(found, "X")
    left, _, right, _ = x.bounds
    crossing = pieces(x, LineString([((left + right) / 2, -1), ((left + right) / 2, 3)]))
    assert min(crossing) < 0.3 * 0.42
    (told,) = (words for words in found.by_letter if words)
    assert told.startswith("'X' has strokes down to 0.0") and "beside stems of 0.420 mm" in told


@pytest.mark.parametrize("face", ["Archivo", "Overpass", "Saira"])
def test_plain_letters_made_thin_are_told_of_no_hairline(face: str) -> None:
    found = match("GRAXBO83", MeasuredLettering(2.0, 12.0, 0.16, 0.14), face)
    assert found.by_letter == ("",) * 8


@pytest.mark.parametrize("length", [7.0, 9.0, 16.0])
def test_an_m_that_is_made_wide_stays_on_its_lines(length: float) -> None:
    own = typeset("MW", face="Overpass", cap_height=3.0)
    drops = min(one.region.bounds[1] for one in own.letters)
    found = match("MW", MeasuredLettering(3.0, length, 0.5, 0.4), "Overpass")
    m = letter(found, "M")
    assert m.bounds[1] >= drops - 0.002
    assert m.bounds[3] == pytest.approx(3.0, abs=1e-3)
    # Its feet stand on the baseline, whatever its point does.
    left, _, right, _ = m.bounds
    for x in (left + 0.05, right - 0.05):
        foot = m.intersection(LineString([(x, -1), (x, 4)])).bounds[1]
        assert foot == pytest.approx(0.0, abs=1e-3)


def test_pointed_letters_reach_their_lines_when_they_are_made_thin() -> None:
    found = match("AVH", MeasuredLettering(3.0, 12.0, 0.2, 0.2), "Josefin Sans")
    own = {one.text: one.region.bounds for one in typeset("AVH", face="Josefin Sans", cap_height=3.0).letters}
    for one in found.letters:
        assert one.region.bounds[1] == pytest.approx(own[one.text][1], abs=0.03)
        assert one.region.bounds[3] == pytest.approx(own[one.text][3], abs=0.03)
