"""The families of ready layouts: where their proportions come from, panels of three sizes on both hands, and those that
keep a published proportion."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest
from shapely.affinity import scale, translate
from shapely.geometry import LineString, MultiPolygon

from decalgen.artwork.build import Artwork
from decalgen.artwork.drawn import artworks
from decalgen.job.layouts import layout_names, load_layout
from decalgen.job.loader import load_job
from decalgen.job.model import Job, Printer
from decalgen.job.samples import sample as sample_of
from tests.helpers.checks import check_jobs

PRINTER = Printer("inkjet", "inkjet", (5.0, 5.0, 10.0, 5.0), dpi=600)
NAMES = layout_names()
ELSEWHERE = {
    "arch-sweep", "waist-lines",  # They need a panel with an outline of its own.
    "arched-board", "arched-name", "sweep-name",  # Their words have a size of their own.
}  # fmt: skip
"""Tried on panels of three sizes in `test_ready_layouts`."""
FAMILIES = {
    "competition numbers": {"number-early", "number-roundel", "number-class", "number-board"},
    "lines and flashes": {"coach-line", "turned-corner-line", "scallops", "tapered-flash", "arch-sweep", "faded-flank"},
    "words in a frame": {"shield-word", "lozenge-word", "bonnet-label", "door-legend"},
    "numbers and weights": {"fleet-number", "load-plate", "roof-code", "roof-number"},
    "bands": {"checker-band", "dog-tooth-band", "block-band", "door-band"},
    "emblem blanks": {"emblem-shield", "emblem-oval", "emblem-lozenge", "emblem-leaves", "emblem-belt"},
    "plates": {"number-plate", "plate-long", "plate-two-rows", "plate-bordered", "hazard-plate"},
}


def on_a_panel(folder: Path, name: str, width: float, height: float, values: str = "") -> tuple[Job, list[Artwork]]:
    """A layout as it comes, on a panel of a size, over a body and on film as in its sample."""
    film = sample_of(load_layout(name)).film
    path = folder / "job.yaml"
    path.write_text(
        f'job: trial\ndate: "2026-11-25"\nbody: white\nfilm: {film}\n'
        f"panels: {{panel: {{width: {width} mm, height: {height} mm}}}}\n"
        f"decals: {{decal: {{layout: {name}, panel: panel, values: {{{values}}}}}}}\n",
        encoding="utf-8",
    )
    job = load_job(path)
    return job, artworks(job)


def ink(art: Artwork, name: str) -> MultiPolygon:
    return next(one.region for one in art.shown if one.ink == name)


def test_each_family_has_its_layouts() -> None:
    assert len(NAMES) >= 30
    assert all(some <= set(NAMES) for some in FAMILIES.values())


@pytest.mark.parametrize("name", NAMES)
def test_a_layout_says_where_its_proportions_come_from(name: str) -> None:
    layout = load_layout(name)
    assert layout.source
    assert "practice" not in layout.source or layout.source == "common practice, no source"


@pytest.mark.parametrize("size", [(18.0, 9.0), (40.0, 16.0), (80.0, 30.0)])
@pytest.mark.parametrize("name", sorted(set(NAMES) - ELSEWHERE))
def test_a_layout_fits_panels_of_three_sizes_on_every_hand(
    tmp_path: Path, name: str, size: tuple[float, float]
) -> None:
    job, found = on_a_panel(tmp_path, name, *size)
    assert [str(one) for one in check_jobs([job], PRINTER) if one.severity == "error"] == []
    hands = {"both": ["left", "right"]}.get(job.decals[0].hands, [None])
    assert [art.hand for art in found] == hands
    for art in found:
        x0, y0, x1, y1 = art.cut_polygon.bounds
        assert art.cut_polygon.is_valid and x1 - x0 <= size[0] + 1e-6 and y1 - y0 <= size[1] + 1e-6
        assert sum(one.region.area for one in art.shown) + art.bare.area > 0.05 * art.cut_polygon.area


@pytest.mark.parametrize(
    "name", sorted({"emblem-shield", "emblem-leaves", "emblem-lozenge", "faded-flank", "block-band"})
)
def test_what_has_no_words_is_mirrored_on_the_right(name: str) -> None:
    found = {art.hand: art for art in artworks(sample_of(load_layout(name)))}
    left, right = found["left"], found["right"]
    for one in left.shown:
        mirrored = translate(scale(one.region, -1, 1, origin=(0, 0)), left.width, 0)
        other = ink(right, one.ink)
        assert mirrored.symmetric_difference(other).area < 0.001


def test_a_hazard_plate_has_the_agreement_s_proportions() -> None:
    # ADR 5.3.2.2: 400 x 300 mm, border 15, middle line 15, figures 100 high with a stroke of 15, each ± 10 %; the equal
    # gaps over and under the figures are then 13.75 mm (worked out).
    (art,) = artworks(sample_of(load_layout("hazard-plate")))
    assert (art.width * 43, art.height * 43) == pytest.approx((400, 300))
    black = ink(art, "black")
    parts = sorted(black.geoms, key=lambda part: -part.area)
    frame, figures = parts[0], parts[1:]
    assert len(figures) == 6
    holes = sorted((hole.bounds for hole in frame.interiors), key=lambda box: box[1])
    (ax, ay, bx, by), (_, cy, _, dy) = ([side * 43 for side in box] for box in holes)
    assert (ax, ay, bx, by) == pytest.approx((15, 15, 385, 142.5), abs=0.01)
    assert (cy, dy) == pytest.approx((157.5, 285), abs=0.01)
    for figure in figures:
        x0, y0, x1, y1 = figure.bounds
        assert (y1 - y0) * 43 == pytest.approx(100, abs=0.05)
        middle = LineString([(x0 - 1, (y0 + y1) / 2), (x1 + 1, (y0 + y1) / 2)]).intersection(figure)
        assert [part.length * 43 for part in middle.geoms] == pytest.approx([15, 15], abs=0.05)
        row = holes[0] if y1 < art.height / 2 else holes[1]
        assert [(y0 - row[1]) * 43, (row[3] - y1) * 43] == pytest.approx([13.75, 13.75], abs=0.05)


@pytest.mark.parametrize(
    ("name", "ink_name", "height", "width", "stroke", "gap"),
    [
        # Road Vehicles (Display of Registration Marks) Regulations 2001, Schedule 3, before 2001 and of motorcycles.
        ("plate-long", "white", 89, 64, 16, 13),
        ("plate-two-rows", "night sea", 64, 44, 10, 10),
        # FIM 55.05: figures 140 x 70 mm with a stroke of 25 mm.
        ("number-board", "deep wood", 140, 70, 25, None),
    ],
)
def test_characters_have_published_proportions(
    name: str, ink_name: str, height: float, width: float, stroke: float, gap: float | None
) -> None:
    art = artworks(sample_of(load_layout(name)))[0]
    region = art.bare if ink_name == "white" else ink(art, ink_name)
    letters = [part for part in region.geoms if not part.contains(part.centroid.buffer(art.width / 3))]
    letters = [one for one in letters if one.bounds[2] - one.bounds[0] < art.width / 2]
    high = max(one.bounds[3] - one.bounds[1] for one in letters)
    unit = height / high
    wide = [(one.bounds[2] - one.bounds[0]) * unit for one in letters]
    full = [one for one in wide if one > 0.6 * width]
    assert full and full == pytest.approx([width] * len(full), rel=0.01)
    zero = min(letters, key=lambda one: abs((one.bounds[2] - one.bounds[0]) * unit - width) - 5 * len(one.interiors))
    x0, y0, x1, y1 = zero.bounds
    level = (y0 + y1) / 2
    across = LineString([(x0 - 1, level), (x1 + 1, level)]).intersection(zero)
    first = min(getattr(across, "geoms", [across]), key=lambda part: part.bounds[0])
    if name != "number-board":
        assert first.length * unit == pytest.approx(stroke, rel=0.02)
    if gap is not None:
        row = sorted((one.bounds for one in letters if abs(one.bounds[1] - y0) < 1e-3), key=lambda box: box[0])
        between = [(b[0] - a[2]) * unit for a, b in pairwise(row)]
        assert min(between) == pytest.approx(gap, rel=0.02)
    if name == "plate-long":
        assert sorted(round(one) for one in between) == [13, 13, 13, 38, 38]


def test_class_letters_and_strokes_keep_the_rule_of_the_club() -> None:
    # SCCA solo rules 3.7.E: class letters 25 to 75 % of the number's height, strokes at least a tenth of the height.
    art = artworks(sample_of(load_layout("number-class")))[0]
    parts = sorted(ink(art, "black").geoms, key=lambda part: part.bounds[0])
    number, letters = parts[:2], parts[2:]
    high = [part.bounds[3] - part.bounds[1] for part in parts]
    assert len(letters) == 2
    assert all(0.25 <= one / high[0] <= 0.75 for one in high[2:])
    for part, height in zip((*number, *letters), high, strict=True):
        assert not part.buffer(-0.499 * 0.1 * height).is_empty
        thick = part.buffer(-0.049 * height).buffer(0.06 * height)
        assert part.difference(thick).area < 0.01 * part.area


def test_the_teeth_of_a_band_are_as_wide_as_high_and_fill_it() -> None:
    art = artworks(sample_of(load_layout("dog-tooth-band")))[0]
    rust = ink(art, "rust")
    tooth = art.width / 16
    # A strip of 0.6 of a tooth and sixteen triangles.
    assert rust.area == pytest.approx(0.6 * tooth * art.width + 16 * tooth * tooth / 2, rel=1e-6)


def test_the_fade_of_a_flank_has_a_line_each_millimetre(tmp_path: Path) -> None:
    for lines in (2, 4, 6):
        _, found = on_a_panel(tmp_path, "faded-flank", 40.0, 16.0, f"lines: {lines}")
        art = found[0]
        x = 0.9 * art.width
        met = LineString([(x, 0.7), (x, art.height)]).intersection(ink(art, "black"))
        assert len(getattr(met, "geoms", [met])) == lines
        assert math.isclose(art.height, lines + 1.0, abs_tol=1e-9)
