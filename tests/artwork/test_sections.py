"""Decals split at gaps, cut around obstacles, and drawn as they are to look: what is printed and what is cut."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import box
from shapely.ops import unary_union

from decalgen.artwork.build import Artwork as Art
from decalgen.artwork.build import build_all
from decalgen.artwork.drawn import artworks
from decalgen.artwork.on_panel import on_panel
from decalgen.core.errors import Place
from decalgen.core.geometry import mirror_x, transform
from decalgen.core.lengths import Quantity
from decalgen.job.model import Decal, Hand, Printer
from decalgen.panels.base import Obstacle, Panel, PanelError
from decalgen.panels.cone import Cone
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.dome import Dome
from decalgen.panels.edge import EdgeWrap
from decalgen.panels.kinds import PanelKind
from decalgen.panels.leaning import Leaning
from decalgen.panels.sections import keep_off
from decalgen.panels.views import as_seen
from decalgen.shapes.base import At, Box
from decalgen.sheet.pieces import pieces
from tests.helpers import jobs

WIDE, HIGH = 60.0, 40.0
MIDDLE = At()


def gap(x: float, width: float = 0.4) -> Obstacle:
    """A shut line from the bottom of the panel to its top."""
    return Obstacle(f"gap {x:g}", jobs.outline(x - width / 2, -0.5, width, HIGH + 1), 0.1, gap=True)


def rivet(x: float, y: float, size: float = 1.2) -> Obstacle:
    """A square head."""
    return Obstacle(f"rivet {x:g} {y:g}", jobs.outline(x - size / 2, y - size / 2, size, size), 0.2)


def split(decal_width: float, height: float, obstacles: tuple[Obstacle, ...], **more: object) -> tuple[Decal, Panel]:
    """A decal of checks taken out at all these obstacles."""
    decal = jobs.decal(
        "band",
        decal_width,
        height,
        jobs.element("checks", rows=2, columns=7, inks=("orange", "white", "navy")),
        cut_around=tuple(o.name for o in obstacles if not o.gap),
        split_at=tuple(o.name for o in obstacles if o.gap),
        **more,
    )
    return decal, jobs.panel(width=WIDE, height=HIGH, obstacles=obstacles)


OBSTACLES = st.lists(
    st.one_of(
        st.floats(5, 55).map(lambda x: gap(round(x, 2))),
        st.builds(lambda x, y: rivet(round(x, 2), round(y, 2)), st.floats(10, 50), st.floats(12, 28)),
    ),
    max_size=4,
    unique_by=lambda o: o.name,
).map(tuple)


@given(
    OBSTACLES, st.floats(20, 50), st.floats(6, 18), st.sampled_from([None, "left", "right"]), st.sampled_from([0, 1])
)
def test_sections_and_strips_are_the_unsplit_artwork(
    obstacles: tuple[Obstacle, ...], width: float, height: float, hand: Hand | None, margin: int
) -> None:
    """Ink by ink: what the sections show, with what lies in the strips taken out, is what shows unsplit; the strips
    come from the obstacles alone, in the hand's own panel."""
    decal, panel = split(width, height, obstacles, margin=0.5 * margin)
    job = jobs.job(decal, panels=(panel,))
    bare = jobs.decal("band", width, height, *decal.artwork, margin=decal.margin)
    (unsplit,) = build_all(job, bare, hand)
    parts = build_all(job, decal, hand)
    seen, at = on_panel(job, decal, hand)
    x, y = at.corner(Box(width, height), Box(WIDE, HIGH))
    taken = unary_union([translate(keep_off(o), -x, -y) for o in seen.obstacles])
    for ink in ("orange", "navy"):
        before = unary_union([i.region for i in unsplit.shown if i.ink == ink])
        after = unary_union([i.region for part in parts for i in part.shown if i.ink == ink])
        assert after.intersection(taken).area < 1e-6
        assert unary_union([after, before.intersection(taken)]).symmetric_difference(before).area < 1e-6
    film = unary_union([part.cut_polygon for part in parts])
    whole = unsplit.cut_polygon.difference(taken)
    assert film.difference(whole).area < 1e-6
    # Film that is left out is wholly beside the decal: a piece of the margin alone, beyond a gap, would show nothing.
    left_out = whole.difference(film)
    assert left_out.intersection(box(0, 0, width, height)).area < 1e-6
    assert margin or left_out.area < 1e-6


def test_sections_are_numbered_from_the_left_and_nest_as_pieces() -> None:
    decal, panel = split(40.0, 8.0, (gap(20.0), gap(40.0)), hands="both", spares=1)
    job = jobs.job(decal, panels=(panel,))
    made = artworks(job)
    assert [art.name for art in made] == [f"band, {hand}, {n} of 3" for hand in ("left", "right") for n in (1, 2, 3)]
    for hand in ("left", "right"):
        edges = [art.cut_polygon.bounds for art in made if art.hand == hand]
        assert all(a[2] == pytest.approx(b[0] - 0.6) for a, b in itertools.pairwise(edges))
    everything = pieces([job], Printer())
    assert len(everything) == 12
    assert len({(piece.key, piece.copy) for piece in everything}) == 12


def test_the_pattern_runs_on_into_the_gap_by_the_bleed() -> None:
    """A cut that is off shows the pattern, not a bare edge."""
    decal, panel = split(40.0, 8.0, (gap(25.0, 2.0),))
    first = build_all(jobs.job(decal, panels=(panel,)), decal)[0]
    right = first.cut_polygon.bounds[2]
    printed = unary_union([i.region for i in first.printed])
    assert printed.bounds[2] == pytest.approx(right + first.bleed, abs=1e-6)


def test_film_is_cut_out_round_an_obstacle_inside_it() -> None:
    decal, panel = split(40.0, 20.0, (rivet(30.0, 20.0),))
    (art,) = build_all(jobs.job(decal, panels=(panel,)), decal)
    assert art.section == 0 and art.name == "band"
    (hole,) = art.holes
    # A square of 1.2 with 0.2 round it, corners round: 1.44 + 4 x 1.2 x 0.2 + pi x 0.2².
    assert hole.polygon.area == pytest.approx(1.44 + 0.96 + math.pi * 0.04, abs=1e-3)
    assert art.cut_polygon.area == pytest.approx(800 - hole.polygon.area, abs=1e-6)


def test_the_right_hand_is_split_where_the_mirror_has_its_gap() -> None:
    decal, panel = split(40.0, 8.0, (gap(15.0),), hands="both")
    job = jobs.job(decal, panels=(panel,))
    left, right = build_all(job, decal, "left"), build_all(job, decal, "right")
    for a, b in zip(left, reversed(right), strict=True):
        turned = transform(a.cut_polygon, mirror_x(a.width))
        assert turned.symmetric_difference(b.cut_polygon).area < 1e-6


def test_a_gap_that_the_decal_does_not_reach_changes_nothing() -> None:
    decal, panel = split(10.0, 8.0, (gap(5.0),))
    job = jobs.job(decal, panels=(panel,))
    plain = jobs.decal("band", 10.0, 8.0, *decal.artwork)
    assert [a.digest for a in build_all(job, decal)] == [a.digest for a in build_all(job, plain)]


def bonnet() -> Panel:
    """Half a cylinder's worth of bend: chord 24, rise 5."""
    return Cylinder(chord=24.0, rise=5.0, length=20.0).build("door")


@pytest.mark.parametrize("angle", [45.0, 60.0, 90.0])
def test_a_stripe_as_seen_is_straight_and_at_its_angle_in_the_view(angle: float) -> None:
    """Carried back to the view, the sides of the stripe are straight and lie at the angle asked for; drawn on the
    film instead, a slanted one bends."""
    panel = bonnet()
    stripe = jobs.element("stripe", ink="orange", stripe_width=1.5, angle=angle)

    def bow(seen: bool) -> tuple[float, float]:
        decal = jobs.decal("band", panel.width.value - 1, 18.0, stripe, as_seen=seen)
        (art,) = build_all(jobs.job(decal, panels=(panel,)), decal)
        x, y = At().corner(Box(art.width, art.height), Box(panel.width.value, panel.height.value))
        assert panel.surface is not None
        view = as_seen(translate(art.shown[0].region, x, y), panel.surface)
        return _bow_and_angle(view, art)

    off, found = bow(True)
    assert off < 0.003
    assert found == pytest.approx(angle, abs=0.05)
    if angle != 90.0:
        assert bow(False)[0] > 2 * 0.003


def _bow_and_angle(view: object, art: Art) -> tuple[float, float]:
    """How far the stripe's middle line leaves a straight line, and that line's angle: centroids of slices."""
    from shapely.geometry import box

    x0, y0, x1, y1 = view.bounds  # type: ignore[attr-defined]
    middles = []
    for n in range(3, 18):
        low = y0 + (y1 - y0) * n / 20
        slice_ = view.intersection(box(x0 - 1, low, x1 + 1, low + 0.05))  # type: ignore[attr-defined]
        middles.append((slice_.centroid.x, low + 0.025))
    (ax, ay), (bx, by) = middles[0], middles[-1]
    length = math.hypot(bx - ax, by - ay)
    off = max(abs((px - ax) * (by - ay) - (py - ay) * (bx - ax)) / length for px, py in middles)
    return off, math.degrees(math.atan2(by - ay, bx - ax))


def test_on_a_flat_panel_as_seen_changes_nothing() -> None:
    stripe = jobs.element("stripe", ink="orange", stripe_width=1.5, angle=45.0)
    plain = jobs.decal("band", 20.0, 8.0, stripe)
    seen = jobs.decal("band", 20.0, 8.0, stripe, as_seen=True)
    job = jobs.job(plain)
    assert build_all(job, plain)[0].digest == build_all(job, seen)[0].digest


def edge(turn: float) -> Panel:
    """8 and 5 mm on both sides of an edge of radius 1, 40 long."""
    kind = EdgeWrap(first_face=8.0, second_face=5.0, edge_radius=1.0, length=40.0, turn=Quantity(turn, 0))
    return kind.build("door")


def stripes(panel: Panel, width: float, height: float, at: At = MIDDLE) -> tuple[Art, Decal]:
    """The stripe of a decal drawn as seen, on its film, and the decal."""
    stripe = jobs.element("stripe", ink="orange", stripe_width=1.5, angle=45.0)
    decal = jobs.decal("band", width, height, stripe, as_seen=True, at=at)
    (art,) = build_all(jobs.job(decal, panels=(panel,)), decal)
    return art, decal


def test_round_a_right_angle_a_stripe_is_straight_on_the_film_and_that_is_told() -> None:
    """Each face seen square to itself is the film itself (the development of two planes is an isometry), so a stripe
    that is straight on the film keeps its 45 degrees on both."""
    art, decal = stripes(edge(90.0), 30.0, 11.0)
    plain = replace(decal, as_seen=False)
    assert art.digest == build_all(jobs.job(plain, panels=(edge(90.0),)), plain)[0].digest
    assert [f.code for f in art.findings] == ["as-seen-folds"]


def test_a_decal_on_the_first_face_alone_says_nothing_of_the_edge() -> None:
    assert stripes(edge(90.0), 30.0, 5.0, At("bottom", 0.0, 1.0))[0].findings == ()


def test_over_a_chamfer_that_is_seen_from_the_front_a_stripe_is_carried() -> None:
    """At 40 degrees both faces are seen: on the second the stripe steepens on the film, by 1/cos 40 along it."""
    panel = edge(40.0)
    art, _ = stripes(panel, 30.0, panel.height.value - 1.0)
    assert art.findings == ()
    x, y = At().corner(Box(art.width, art.height), Box(panel.width.value, panel.height.value))
    assert panel.surface is not None
    off, found = _bow_and_angle(as_seen(translate(art.shown[0].region, x, y), panel.surface), art)
    assert found == pytest.approx(45.0, abs=0.3) and off < 0.02


def test_tape_alone_does_not_tell_how_it_looks() -> None:
    (finding,) = stripes(Cylinder(tape=21.3, length=20.0).build("door"), 15.0, 10.0)[0].findings
    assert (finding.severity, finding.code) == ("warning", "as-seen-bend")
    assert "chord, rise or radius" in finding.fix


@pytest.mark.parametrize(
    "panel",
    [
        Cone(bottom_chord=26.0, bottom_rise=3.0, top_chord=20.0, top_rise=1.9, slant_length=20.0),
        Leaning(width=26.0, height=12.0, lean=Quantity(30.0, 0)),
        Dome(width=26.0, height=20.0, radius_across=30.0, radius_up=24.0),
    ],
    ids=lambda kind: kind.name,
)
def test_on_every_kind_that_bends_or_leans_a_stripe_as_seen_is_at_its_angle(panel: PanelKind) -> None:
    built = panel.build("door")
    art, _ = stripes(built, 14.0, 9.0)
    assert built.surface is not None
    x, y = At().corner(Box(art.width, art.height), Box(built.width.value, built.height.value))
    off, found = _bow_and_angle(as_seen(translate(art.shown[0].region, x, y), built.surface), art)
    assert found == pytest.approx(45.0, abs=0.3) and off < 0.02


def test_a_decal_that_cannot_be_drawn_is_named_with_its_place() -> None:
    """Film more than half round a tube: part of it is never seen from the front."""
    tube = Cylinder(radius=3.0, tape=9.0, length=10.0).build("door")
    place = Place("job.yaml", 9, 3, "  band:")
    field = jobs.element("field", ink="orange")
    decal = jobs.decal("band", tube.width.value, 5.0, field, as_seen=True, place=place)
    with pytest.raises(PanelError) as caught:
        artworks(jobs.job(decal, panels=(tube,)))
    assert caught.value.message.startswith("'band': ") and str(caught.value).startswith("job.yaml:9:3: ")
