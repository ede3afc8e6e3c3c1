"""What is ink and what is counter, against skia-pathops."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from decalgen.lettering import winding
from decalgen.lettering.faces import face, font_faces
from decalgen.lettering.shaping import checked_axes, has_glyphs, outline, shape
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.winding import nonzero, winding_numbers

from . import skia, sweep

HARD = "ØÐQЫÅÆ&8@é%§Żß"


def square(x0: float, y0: float, size: float) -> np.ndarray:
    return np.array([(x0, y0), (x0 + size, y0), (x0 + size, y0 + size), (x0, y0 + size)])


def test_overlapping_strokes_are_one_area() -> None:
    # Two 2 x 2 squares overlapping by 1 x 1: 4 + 4 - 1.
    assert nonzero([square(0, 0, 2), square(1, 1, 2)], 1e-9).area == pytest.approx(7.0)


def test_a_hole_runs_the_other_way() -> None:
    assert nonzero([square(0, 0, 3), square(1, 1, 1)[::-1]], 1e-9).area == pytest.approx(8.0)
    assert nonzero([square(0, 0, 3), square(1, 1, 1)], 1e-9).area == pytest.approx(9.0)


def test_a_contour_reaching_out_of_its_letter_is_ink_outside_and_hole_inside() -> None:
    # The rule says: +1 in the square, -1 in the reversed one, 0 where both lie. Sign of contour would say
    # otherwise.
    both = nonzero([square(0, 0, 2), square(1, 1, 2)[::-1]], 1e-9)
    assert both.area == pytest.approx(6.0)


def test_a_contour_that_crosses_itself() -> None:
    # A bow tie: two triangles of area 1, wound +1 and -1; both are ink.
    bow = np.array([(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)])
    assert nonzero([bow], 1e-9).area == pytest.approx(2.0)
    numbers = winding_numbers([bow], np.array([(0.5, 1.0), (1.5, 1.0), (1.0, 1.8)]))
    assert sorted(numbers.tolist()) == [-1, 0, 1]


def test_noise_is_dropped_but_not_counters() -> None:
    assert nonzero([square(0, 0, 1), square(0.5, 0.5, 1e-5)[::-1]], 1e-7).area == 1.0
    assert len(nonzero([square(0, 0, 1), square(0.5, 0.5, 1e-3)[::-1]], 1e-7).geoms[0].interiors) == 1


def scribble(count: int) -> np.ndarray:
    return np.random.default_rng(7).random((count, 2))


def zigzag(count: int) -> np.ndarray:
    """No two edges cross, and the box of each meets those of all others."""
    along = np.linspace(0.0, 1e-3, count)
    return np.column_stack((along + np.arange(count) % 2, np.arange(count) % 2 - along))


@pytest.mark.parametrize(
    "contours",
    [
        [scribble(1000)],
        [scribble(100_000)],
        [zigzag(100_000)],
        [square(-n / 10_000, -n / 10_000, n / 5_000) for n in range(1, 25_000)],
    ],
    ids=["1000 points", "100000 points", "zigzag", "nested"],
)
def test_hostile_contours_are_refused_before_an_edge_is_cut(
    contours: list[np.ndarray], monkeypatch: pytest.MonkeyPatch
) -> None:
    looked = 0

    def intersects(one: np.ndarray, other: np.ndarray) -> np.ndarray:
        nonlocal looked
        looked += len(one)
        return np.asarray(real(one, other))

    real = shapely.intersects
    monkeypatch.setattr(winding.shapely, "intersects", intersects)
    monkeypatch.setattr(winding.shapely, "union_all", lambda *_, **__: pytest.fail("it was cut"))
    with pytest.raises(LetteringError, match="cross too often"):
        nonzero(contours, 1e-7)
    assert looked <= winding.MOST_NEAR


def test_as_many_points_as_are_cut_unseen_come_to_a_bounded_number_of_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    # Pairs of chords of 400 points at random: fewer than half cross.
    steps: list[int] = []

    def wound(starts: np.ndarray, ends: np.ndarray, points: np.ndarray) -> np.ndarray:
        steps.append(len(starts) * len(points))
        return real(starts, ends, points)

    real = winding._wound
    monkeypatch.setattr(winding, "_wound", wound)
    area = nonzero([scribble(winding.FEW)], 1e-9)
    assert 0.5 < area.area < 1.0
    assert max(steps) <= winding.AT_ONCE and len(steps) > 1 and sum(steps) <= len(winding.GRIDS) * winding.MOST_STEPS


def test_a_distressed_letter_of_many_specks_is_drawn() -> None:
    specks = [square(x / 20 + 0.01, y / 20 + 0.01, 0.02)[::-1] for x in range(20) for y in range(20)]
    assert nonzero([square(0, 0, 1), *specks], 1e-9).area == pytest.approx(1 - 400 * 0.02**2)


@pytest.mark.parametrize("name", [f.name for f in font_faces()])
def test_hard_letters_against_skia(name: str) -> None:
    f = face(name)
    heavy = {a.tag: a.most for a in f.axes if a.tag == "wght"}
    for axes in (checked_axes(f, None), checked_axes(f, heavy)):
        upem = skia.font(f.file)["head"].unitsPerEm
        order = skia.font(f.file).getGlyphOrder()
        for letter in HARD:
            if ord(letter) not in has_glyphs(f.file):
                continue
            for glyph in shape(f.file, axes, letter):
                ours = outline(f.file, axes, glyph.gid, 1e-5)
                theirs = skia.ink(f.file, dict(axes), order[glyph.gid])
                wrong = ours.symmetric_difference(_shrunk(theirs, upem)).area
                # Both flatten within about 1e-4 em: the difference may be that along the edge, no more.
                assert wrong <= 1e-4 * ours.length, (letter, axes, wrong)


@pytest.mark.parametrize("name", [f.name for f in font_faces()])
def test_a_sample_of_every_face_at_its_extremes(name: str) -> None:
    # Every eleventh glyph, others at each setting; all of them at all settings: tests/benchmarks/glyphs.py.
    for number, axes in enumerate(sweep.settings(face(name))):
        assert list(sweep.wrong(face(name), axes, every=11, start=number)) == []


def test_edges_that_all_but_coincide() -> None:
    # Roboto Flex at the far corner of its axes lays one stroke of this letter along another, a rounding error apart.
    flex = face("Roboto Flex")
    eng = sweep.gid_of(flex, "\u014b")
    for axes in sweep.settings(flex):
        assert sweep.wrong_glyph(flex, axes, eng) is None


def test_a_wrong_fill_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    # Counters filled, as by a rule that takes every contour for ink.
    def filled(*glyph: object) -> shapely.Geometry:
        return shapely.MultiPolygon([shapely.Polygon(p.exterior) for p in outline(*glyph).geoms])  # type: ignore[arg-type]

    plain = face("Anton")
    gid = sweep.gid_of(plain, "O")
    assert sweep.wrong_glyph(plain, (), gid) is None
    monkeypatch.setattr(sweep, "outline", filled)
    assert sweep.wrong_glyph(plain, (), gid) is not None


def _shrunk(area: shapely.Geometry, upem: int) -> shapely.Geometry:
    return shapely.transform(area, lambda xy: xy / upem)
