"""The ready layouts: each draws on its sample panel, keeps its published proportions, and follows its panel."""

from __future__ import annotations

import math
import os
from itertools import pairwise
from pathlib import Path

import pytest
from shapely.affinity import scale, translate
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.ops import unary_union

from decalgen.artwork.build import Artwork
from decalgen.artwork.drawn import artworks
from decalgen.core.errors import JobError
from decalgen.job.films import sheet_sizes
from decalgen.job.layouts import layout_names, load_layout
from decalgen.job.loader import load_job
from decalgen.job.model import Job, Printer
from decalgen.job.samples import sample as sample_of
from decalgen.lettering.typeface import LetteringError
from tests.helpers.checks import check_jobs
from tests.helpers.grids import grid

GOLDENS = Path(__file__).parents[1] / "goldens" / "layouts"
NAMES = layout_names()
PRINTER = Printer("inkjet", "inkjet", (5.0, 5.0, 10.0, 5.0), dpi=600)
WANTED = {
    "arch-sweep",
    "arched-board",
    "arched-name",
    "block-band",
    "bonnet-label",
    "check-sweep",
    "checker-band",
    "chevron-edging",
    "coach-line",
    "cross-panel",
    "dog-tooth-band",
    "door-band",
    "door-legend",
    "emblem-belt",
    "emblem-leaves",
    "emblem-lozenge",
    "emblem-oval",
    "emblem-shield",
    "faded-flank",
    "fleet-number",
    "hazard-plate",
    "load-plate",
    "lozenge-word",
    "number-board",
    "number-class",
    "number-early",
    "number-plate",
    "number-roundel",
    "plate-bordered",
    "plate-long",
    "plate-two-rows",
    "reproduction-mark",
    "ringed-roundel",
    "roof-code",
    "roof-number",
    "scallops",
    "shield-word",
    "star-roundel",
    "sun-strip",
    "sweep-name",
    "tailgate-chevrons",
    "tapered-flash",
    "turned-corner-line",
    "waist-lines",
    "warning-stripes",
}


def sample(name: str) -> tuple[Job, dict[str | None, Artwork]]:
    """A layout's own sample, and its artwork by hand."""
    job = sample_of(load_layout(name))
    return job, {art.hand: art for art in artworks(job)}


def one(name: str) -> Artwork:
    """The artwork of a sample: the only one, or the left."""
    _, found = sample(name)
    return found.get(None) or found["left"]


def used(folder: Path, layout: str, panel: str = "width: 40 mm, height: 20 mm", values: str = "") -> Artwork:
    """A layout in a job of its own, on another panel or with other values."""
    path = folder / "job.yaml"
    path.write_text(
        f"job: trial\nbody: grey\nfilm: white\npanels: {{panel: {{{panel}}}}}\n"
        f"decals: {{decal: {{layout: {layout}, panel: panel, values: {{{values}}}}}}}\n",
        encoding="utf-8",
    )
    return artworks(load_job(path))[0]


def area(art: Artwork, ink: str) -> float:
    """What an ink covers inside the cut line, mm2."""
    return float(sum(i.region.area for i in art.shown if i.ink == ink))


def ink(art: Artwork, name: str) -> MultiPolygon:
    """The region of an ink."""
    return next(i.region for i in art.shown if i.ink == name)


def runs(region: MultiPolygon, start: tuple[float, float], end: tuple[float, float]) -> list[tuple[float, float]]:
    """Where a line from start to end lies in a region: from and to, mm along it."""
    line = LineString([start, end])
    met = line.intersection(region)
    parts = [part for part in getattr(met, "geoms", [met]) if part.length > 1e-9]
    ends = [sorted(line.project(type(line)([c, c]).centroid) for c in part.coords) for part in parts]
    return sorted((found[0], found[-1]) for found in ends)


# ---------------------------------------------------------------------------------------------------- every layout
def test_there_are_the_layouts_that_the_documentation_names() -> None:
    assert set(NAMES) == WANTED


@pytest.mark.parametrize("name", NAMES)
def test_a_layout_draws_on_its_sample_without_error_or_warning(name: str) -> None:
    job, found = sample(name)
    assert len(job.decals) == 1
    serious = [f for f in check_jobs([job], PRINTER) if f.severity != "note"]
    assert not serious, "\n".join(map(str, serious))
    for art in found.values():
        assert art.shown
        assert art.cut_polygon.is_valid
        assert art.cut_polygon.area > 1.0


@pytest.mark.parametrize("name", NAMES)
def test_a_layout_says_what_it_is_in_one_line(name: str) -> None:
    layout = load_layout(name)
    assert 15 <= len(layout.about) <= 66
    assert not layout.about.endswith(".")


@pytest.mark.parametrize("name", NAMES)
def test_a_layout_looks_as_it_was_seen_and_approved(name: str) -> None:
    golden = GOLDENS / f"{name}.txt"
    drawn = grid(one(name))
    assert len(drawn) < 20_000
    if os.environ.get("DECALGEN_WRITE_GOLDENS") == "1":
        golden.write_text(drawn, encoding="utf-8")
        pytest.fail(f"{golden.name} is written: look at it, then run again without DECALGEN_WRITE_GOLDENS")
    assert drawn == golden.read_text(encoding="utf-8")


def test_no_golden_is_left_over() -> None:
    assert {path.stem for path in GOLDENS.glob("*")} == set(NAMES)


@pytest.mark.parametrize(
    ("name", "gap"),
    [("door-band", 0.5), ("checker-band", 0.5), ("coach-line", 0.6), ("sun-strip", 0.4), ("tailgate-chevrons", 0.4)],
)
@pytest.mark.parametrize("width", [18.0, 44.0])
def test_a_layout_from_end_to_end_follows_its_panel(tmp_path: Path, name: str, gap: float, width: float) -> None:
    art = used(tmp_path, name, f"width: {width} mm, height: 16 mm")
    assert art.width == pytest.approx(width - 2 * gap, abs=1e-9)


def test_a_mistyped_value_is_told(tmp_path: Path) -> None:
    with pytest.raises(Exception, match="no value 'wrod'") as error:
        used(tmp_path, "door-band", values="wrod: POLDER")
    assert "did you mean 'word'" in str(error.value)


@pytest.mark.parametrize("name", [name for name in NAMES if sample_of(load_layout(name)).decals[0].hands == "both"])
def test_the_right_hand_has_as_much_of_each_ink(name: str) -> None:
    _, found = sample(name)
    left, right = found["left"], found["right"]
    for inked in left.shown:
        assert area(right, inked.ink) == pytest.approx(inked.region.area, abs=1e-6)
    # A bare margin is grown by GEOS, whose rounding of a thousand points depends on where they lie.
    assert right.cut_polygon.area == pytest.approx(left.cut_polygon.area, abs=1e-6, rel=1e-7)


# ----------------------------------------------------------------------------------------------- along curves and edges
ALONG = {
    "arch-sweep": "outline: [[0 mm, 0 mm], [{a} mm, 0 mm], [{b} mm, 0 mm], [{w} mm, 0 mm], [{w} mm, {h} mm], "
    "[0 mm, {h} mm]], arc rises: [0, -{rise} mm, 0, 0, 0, 0]",
    "waist-lines": "outline: [[0 mm, 0 mm], [{w} mm, 0 mm], [{w} mm, {h} mm], [0 mm, {h} mm]], "
    "arc rises: [0, 0, 1 mm, 0]",
}


@pytest.mark.parametrize("width", [24.0, 44.0, 90.0])
@pytest.mark.parametrize(
    "name",
    ["arch-sweep", "check-sweep", "chevron-edging", "scallops", "tapered-flash", "turned-corner-line", "waist-lines"],
)
def test_a_layout_along_a_curve_fits_panels_of_three_sizes_on_both_hands(
    tmp_path: Path, name: str, width: float
) -> None:
    panel = ALONG.get(name, "width: {w} mm, height: {h} mm").format(
        a=0.22 * width, b=0.52 * width, w=width, h=9 + width / 6, rise=0.14 * width
    )
    film = sample_of(load_layout(name)).film
    path = tmp_path / "job.yaml"
    path.write_text(
        f"job: trial\nbody: white\nfilm: {film}\npanels: {{panel: {{{panel}}}}}\n"
        f"decals: {{decal: {{layout: {name}, panel: panel}}}}\n",
        encoding="utf-8",
    )
    job = load_job(path)
    hands = {art.hand: art for art in artworks(job)}
    assert set(hands) == {"left", "right"}
    assert not [f for f in check_jobs([job], PRINTER) if f.severity == "error"]
    for art in hands.values():
        assert art.cut_polygon.is_valid and sum(i.region.area for i in art.shown) > 0.03 * art.cut_polygon.area
        x0, _, x1, _ = art.cut_polygon.bounds
        assert x1 - x0 <= width


def test_no_two_layouts_draw_alike() -> None:
    drawn = {name: (GOLDENS / f"{name}.txt").read_text(encoding="utf-8") for name in NAMES}
    assert len(set(drawn.values())) == len(NAMES)


def test_turned_corners_are_quarter_circles_turned_in() -> None:
    """About the corner of the middle of both lines, 0.5 mm in: broad from 1.1 to 1.6 mm off, fine from 1.9 to 2.1."""
    art = one("turned-corner-line")
    corner = (art.width - 0.5, 0.5)
    for angle in (125.0, 135.0, 145.0):
        out = [corner[i] + 3 * f(math.radians(angle)) for i, f in enumerate((math.cos, math.sin))]
        lines = runs(ink(art, "cherry dark"), corner, (out[0], out[1]))
        assert lines == [pytest.approx((1.1, 1.6), abs=0.002), pytest.approx((1.9, 2.1), abs=0.002)]


# -------------------------------------------------------------------------------------- published and own proportions
def plate(folder: Path, registration: str) -> tuple[Artwork, list[tuple[float, float]]]:
    """A plate, and from where to where each of its characters goes, full-size mm."""
    art = used(folder, "number-plate", values=f"registration: {registration}")
    letters = sorted(ink(art, "black").geoms, key=lambda part: part.bounds[0])
    return art, [(part.bounds[0] * 43, part.bounds[2] * 43) for part in letters]


def test_number_plate_has_the_regulation_proportions(tmp_path: Path) -> None:
    # Road Vehicles (Display of Registration Marks) Regulations 2001, Schedule 3: 79 x 50, stroke 14, gap 11,
    # group gap 33, margins 11; "AA22 AAA" is then 438 mm long, 460 with margins (worked out from these).
    art, spans = plate(tmp_path, "QQ00 HBR")
    assert art.width * 43 == pytest.approx(460, abs=1e-6)
    assert art.height * 43 == pytest.approx(79 + 22, abs=1e-6)
    assert [b - a for a, b in spans] == pytest.approx([50] * 7, abs=0.01)
    assert [b[0] - a[1] for a, b in pairwise(spans)] == pytest.approx([11, 11, 11, 33, 11, 11], abs=0.01)
    assert spans[0][0] == pytest.approx(11, abs=0.01) and spans[-1][1] == pytest.approx(11 + 438, abs=0.01)
    h = sorted(ink(art, "black").geoms, key=lambda part: part.bounds[0])[4]
    left, low, _, high = h.bounds
    assert (high - low) * 43 == pytest.approx(79, abs=0.05)
    (stem, _) = runs(MultiPolygon([h]), (left - 1, low + 0.3), (left + 5, low + 0.3))
    assert (stem[1] - stem[0]) * 43 == pytest.approx(14, rel=0.02)


@pytest.mark.parametrize(
    ("registration", "widths", "gaps"),
    [
        # 1 and I are as wide as their stroke (the same Schedule: "except in the case of the letter I or the figure 1").
        ("KV4 817", [50, 50, 50, 50, 14, 50], [11, 11, 33, 11, 11]),
        ("QI00 HBR", [50, 14, 50, 50, 50, 50, 50], [11, 11, 11, 33, 11, 11]),
        ("4", [50], []),
        ("HBR 7", [50] * 4, [11, 11, 33]),
        ("0 H 7", [50] * 3, [33, 33]),
    ],
)
def test_number_plate_takes_any_registration(
    tmp_path: Path, registration: str, widths: list[float], gaps: list[float]
) -> None:
    art, spans = plate(tmp_path, f'"{registration}"')
    assert [b - a for a, b in spans] == pytest.approx(widths, abs=0.01)
    assert [b[0] - a[1] for a, b in pairwise(spans)] == pytest.approx(gaps, abs=0.01)
    assert spans[0][0] == pytest.approx(art.width * 43 - spans[-1][1], abs=0.01)


def test_a_registration_too_long_for_its_plate_is_told_and_a_longer_plate_takes_it(tmp_path: Path) -> None:
    for length, said in (("460", ["lettering-cut-off"]), ("520", [])):
        used(tmp_path, "number-plate", values=f"registration: QQ00 HBRS, length: {length} mm / scale")
        found = check_jobs([load_job(tmp_path / "job.yaml")], PRINTER)
        assert [f.code for f in found if f.severity == "error"] == said


@pytest.mark.parametrize(("scale_of", "height"), [(18, 4.389), (43, 1.837), (64, 1.234)])
def test_plate_characters_at_scale(tmp_path: Path, scale_of: int, height: float) -> None:
    # 79 mm at 1:18, 1:43 and 1:64 (worked out).
    art = used(tmp_path, "number-plate", values=f"scale: {scale_of}, registration: HHHH HHH")
    x0, y0, x1, y1 = ink(art, "black").bounds
    assert y1 - y0 == pytest.approx(height, abs=0.0006)
    assert x1 - x0 == pytest.approx(438 / scale_of, abs=0.001)
    assert (x0, y0) == pytest.approx((11 / scale_of, 11 / scale_of), abs=0.001)


def test_warning_stripes_are_half_and_half_in_squares() -> None:
    # DIN 30710: stripes 100 mm wide at 45 degrees in squares of 141 mm (100 times the root of 2), half of it red.
    _, found = sample("warning-stripes")
    art = found["left"]
    assert art.height * 43 == pytest.approx(100 * math.sqrt(2), abs=0.01)
    assert art.width == pytest.approx(4 * art.height, abs=1e-9)
    assert area(art, "berry red") / art.cut_polygon.area == pytest.approx(0.5, abs=1e-4)
    middle = (art.width / 2, art.height / 2)
    across = (art.width / 2 + art.height, art.height / 2 - art.height)
    first = runs(ink(art, "berry red"), (middle[0] - 2, middle[1] + 2), across)
    widest = max(b - a for a, b in first)
    assert widest * 43 == pytest.approx(100, abs=0.01)
    # Outward and down: the left one rises to the right, the right one to the left.
    for hand, way in (("left", 1), ("right", -1)):
        red = ink(found[hand], "berry red")
        along = LineString([(middle[0] - way * 1.2, middle[1] - 1.2), (middle[0] + way * 1.2, middle[1] + 1.2)])
        assert red.buffer(1e-6).contains(along)


def test_chevrons_slope_down_and_away_in_bands_of_six_inches() -> None:
    # NFPA 1901 (2009), 15.9.3.3: 6 in bands at 45 degrees, down and away from the centre line, half of the rear.
    job, found = sample("tailgate-chevrons")
    art = found[None]
    panel = job.panels[0]
    assert art.cut_polygon.area / (panel.width.value * panel.height.value) >= 0.5
    red, cream = ink(art, "cherry dark"), ink(art, "oat cream")
    assert red.area + cream.area == pytest.approx(art.cut_polygon.area, abs=1e-6)
    middle = art.width / 2
    for side in (-1, 1):
        start = (middle + side * 15.0, art.height - 0.5)
        bands = runs(red, start, (start[0] - side * 12.0, start[1] - 12.0))
        whole = [b - a for a, b in bands if a > 1e-6 and b < 12 * math.sqrt(2) - 1e-6]
        assert whole
        assert all(w * 43 == pytest.approx(152.4, abs=0.05) for w in whole)
    # From a red spot on the middle line one stays in red going down and outward.
    top = max(b for a, b in runs(red, (middle, 0), (middle, art.height)))
    for side in (-1, 1):
        start = (middle + side * 0.01, top - 0.5)
        assert red.buffer(1e-6).contains(LineString([start, (start[0] + side * 6, start[1] - 6)]))


def test_ringed_roundel_has_rings_of_one_width() -> None:
    # Geometry: diameters 1:2:3, areas 1/9, 3/9 and 5/9.
    art = one("ringed-roundel")
    disc = math.pi * art.width**2 / 4
    assert area(art, "rust") / disc == pytest.approx(1 / 9, abs=1e-4)
    assert area(art, "oat cream") / disc == pytest.approx(3 / 9, abs=1e-4)
    assert area(art, "deep wood") / disc == pytest.approx(5 / 9, abs=2e-4)


def test_star_is_the_pentagram() -> None:
    # Geometry: area 1.12257 R2, width 1.90211 R, height 1.80902 R.
    art = one("star-roundel")
    star = min(ink(art, "plum dark").geoms, key=lambda part: Polygon(part.exterior).area)
    x0, y0, x1, y1 = star.bounds
    radius = (x1 - x0) / 1.90211
    assert star.area == pytest.approx(1.12257 * radius**2, rel=1e-4)
    assert y1 - y0 == pytest.approx(1.80902 * radius, rel=1e-4)
    # Its points keep inside the disc, and its circle is in the middle of the decal.
    assert y1 - radius == pytest.approx(art.height / 2, abs=1e-4)
    assert radius < art.width / 2 - 0.25


def test_cross_has_the_published_arms() -> None:
    # Swiss Coat of Arms Protection Act: arms 7 to 6, cross to field 5 to 8; area 0.19922 of the field (worked out).
    art = one("cross-panel")
    cross = art.bare
    x0, y0, x1, y1 = cross.bounds
    assert x1 - x0 == pytest.approx(art.width * 5 / 8, abs=1e-6)
    assert y1 - y0 == pytest.approx(art.height * 5 / 8, abs=1e-6)
    assert cross.area / art.cut_polygon.area == pytest.approx(0.19922, abs=1e-5)
    ((a, b),) = runs(cross, (0, y0 + 0.01), (art.width, y0 + 0.01))
    assert ((x1 - x0) - (b - a)) / 2 / (b - a) == pytest.approx(7 / 6, abs=1e-5)


def test_no_layout_draws_a_red_cross_on_white() -> None:
    # Geneva Conventions: a protected emblem.
    for spec in sample_of(load_layout("cross-panel")).inks:
        red, green, _ = (int(spec.colour[i : i + 2], 16) for i in (1, 3, 5))
        assert not (red > 120 and green < 80)


def test_figures_of_the_number_roundel_are_stout() -> None:
    # SCCA solo rules 3.7.E: numbers at least 8 in high with strokes of at least 1.25 in (a tenth of the height is for
    # class letters: tests/published/test_numbers_and_signs.py).
    least = 1.25 / 8
    art = one("number-roundel")
    figures = [p for p in ink(art, "black").geoms if p.area < 0.5 * math.pi * art.width**2 / 4 and p.bounds[0] > 0.5]
    assert len(figures) == 2
    height = max(p.bounds[3] for p in figures) - min(p.bounds[1] for p in figures)
    foot = min(p.bounds[1] for p in figures) + 0.1
    strokes = runs(MultiPolygon(figures), (0, foot), (art.width, foot))
    assert all(b - a >= least * height for a, b in strokes)
    # The bar of the 4, met from above at its right end.
    four = min(figures, key=lambda part: part.bounds[0])
    right = four.bounds[2] - 0.02 * height
    ((low, high),) = runs(MultiPolygon([four]), (right, 0), (right, art.height))
    assert high - low >= least * height
    # They keep clear of the ring by more than a gap that closes up (0.20 mm at 600 dpi).
    ring = next(p for p in ink(art, "black").geoms if p.bounds[0] < 0.1)
    assert all(p.distance(ring) > 0.4 for p in figures)


def test_checks_of_the_bands_are_square() -> None:
    band = one("door-band")
    cell = band.width / 12
    (first, *_) = runs(ink(band, "harbour teal"), (0, band.height - 0.1), (band.width, band.height - 0.1))
    assert first == pytest.approx((cell, 2 * cell), abs=1e-6)
    down = runs(ink(band, "harbour teal"), (cell / 2, band.height), (cell / 2, 0))
    assert down[0][0] == pytest.approx(cell, abs=1e-6)
    plain = one("checker-band")
    assert area(plain, "deep wood") == pytest.approx(
        plain.width * (plain.height - 1.2) / 2 + 2 * 0.3 * plain.width, abs=1e-6
    )


def test_the_word_of_a_handed_band_reads_on_both_sides() -> None:
    _, found = sample("door-band")
    left, right = (letters_of(found[hand]) for hand in ("left", "right"))
    assert left.symmetric_difference(right).area < 1e-6
    mirrored = translate(scale(left, -1, 1, origin=(0, 0)), found["left"].width, 0)
    assert mirrored.symmetric_difference(right).area > 0.3 * left.area
    # The checks above it are mirrored: the corner that is cream on one side is teal on the other.
    corner = Polygon([(0.1, 6.2), (0.6, 6.2), (0.6, 6.0), (0.1, 6.0)])
    assert ink(found["left"], "harbour teal").intersection(corner).area < 1e-6
    assert ink(found["right"], "harbour teal").contains(corner)


def letters_of(art: Artwork) -> MultiPolygon:
    """The word in the field of a door band."""
    word = Polygon([(0.5, 0), (art.width - 0.5, 0), (art.width - 0.5, 2.6), (0.5, 2.6)])
    return unary_union([ink(art, "rope cream").intersection(word)])


def test_coach_line_is_a_broad_and_a_fine_line() -> None:
    art = one("coach-line")
    across = runs(ink(art, "cherry dark"), (10, art.height), (10, 0))
    assert across == [pytest.approx((0, 0.6)), pytest.approx((0.95, 1.15))]


def test_lettering_of_the_label_and_strip_is_in_the_middle() -> None:
    label = one("bonnet-label")
    letters = [p for p in ink(label, "deep wood").geoms if p.bounds[0] > 1.0]
    left, right = min(p.bounds[0] for p in letters), max(p.bounds[2] for p in letters)
    assert left == pytest.approx(label.width - right, abs=0.01)
    strip = one("sun-strip")
    word = [p for p in strip.bare.geoms if p.bounds[2] - p.bounds[0] < 5]
    left, right = min(p.bounds[0] for p in word), max(p.bounds[2] for p in word)
    assert left == pytest.approx(strip.width - right, abs=0.01)


def test_the_reproduction_mark_has_the_year_of_the_job(tmp_path: Path) -> None:
    def years(date: str, values: str = "") -> MultiPolygon:
        path = tmp_path / "job.yaml"
        path.write_text(
            f"job: trial\n{date}\nbody: black\npanels: {{base: {{width: 20 mm, height: 9 mm}}}}\n"
            f"decals: {{mark: {{layout: reproduction-mark, panel: base, {values}}}}}\n",
            encoding="utf-8",
        )
        (art,) = artworks(load_job(path))
        assert art.film == "white"  # black on clear film over a black base cannot be read
        return ink(art, "black")

    first = years('date: "2026-11-25"')
    assert years("", "values: {year: 2026}").symmetric_difference(first).area < 1e-9
    other = years('date: "2025-01-02"')
    # Only the last figure of the year differs: the words above and the other figures are the same.
    differ = other.symmetric_difference(first)
    assert differ.area > 0.05
    assert differ.bounds[3] < 2.0 and differ.bounds[1] >= 0.5 - 0.05
    with pytest.raises(JobError, match="the job has no date"):
        years("")


# ------------------------------------------------------------------------------------------------- sheet formats
@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        ("A4", 210.0, 297.0),  # ISO 216
        ("A5", 148.0, 210.0),  # ISO 216
        ("Letter", 8.5 * 25.4, 11 * 25.4),  # ANSI/ASME Y14.1, size A
        ("Half Letter", 5.5 * 25.4, 8.5 * 25.4),  # size A cut in half; common practice, no source
    ],
)
def test_sheet_formats(name: str, width: float, height: float) -> None:
    size = next(size for size in sheet_sizes() if size.name == name)
    assert (size.width, size.height) == pytest.approx((width, height), abs=1e-9)
    assert size.source


@pytest.mark.parametrize(
    ("registration", "characters", "borrowed"),
    [("kv4 817", 6, False), ("KV4-817", 7, False), ("KV4\u00b7817", 7, False), ("KV4.817", 7, False),
     ("HB 12 E 7 T", 7, False), ("\u041c\u041a 4817", 6, True), ("\u0391\u0392\u0393 417", 6, True),
     ("M\u00dc HB 117", 9, False)],
)  # fmt: skip
def test_number_plate_takes_other_signs_and_says_what_it_borrows(
    tmp_path: Path, registration: str, characters: int, borrowed: bool
) -> None:
    """Small letters, several groups, hyphens and dots, other scripts; the two dots of an umlaut are areas of their
    own."""
    values = f'registration: "{registration}", length: 640 mm / scale'
    art = used(tmp_path, "number-plate", values=values)
    assert len(ink(art, "black").geoms) == characters
    codes = {one.code for one in check_jobs([load_job(tmp_path / "job.yaml")], PRINTER)}
    assert ("borrowed-glyph" in codes) == borrowed
    assert not codes & {"no-glyph", "lettering-cut-off"}


@pytest.mark.parametrize(("registration", "way"), [("\u00c5 44", "down"), ("ij 4", "up")])
def test_accents_ask_for_the_margin_that_the_plate_can_have(tmp_path: Path, registration: str, way: str) -> None:
    used(tmp_path, "number-plate", values=f'registration: "{registration}"')
    (finding,) = [f for f in check_jobs([load_job(tmp_path / "job.yaml")], PRINTER) if f.code == "lettering-cut-off"]
    assert finding.place is not None and finding.place.file.endswith("job.yaml")
    used(tmp_path, "number-plate", values=f'registration: "{registration}", margin: 27 mm / scale')
    found = check_jobs([load_job(tmp_path / "job.yaml")], PRINTER)
    assert [f.code for f in found if f.severity == "error"] == []


def test_what_no_face_can_draw_is_told_where_the_job_names_the_layout(tmp_path: Path) -> None:
    for registration, said in (("\u0664\u0667", "no letter any face can draw"), (" ", "no text")):
        with pytest.raises(LetteringError, match=said) as caught:
            used(tmp_path, "number-plate", values=f'registration: "{registration}"')
        assert caught.value.place is not None and caught.value.place.file.endswith("job.yaml")


# ------------------------------------------------------------------------------------------------ lettering on curves
ARCHED = ("arched-board", "arched-name", "sweep-name")


def test_arched_layouts_draw_unlike_each_other() -> None:
    drawn = {name: grid(one(name)) for name in ARCHED}
    assert len(set(drawn.values())) == len(ARCHED)


@pytest.mark.parametrize("name", ARCHED)
@pytest.mark.parametrize("size", [(26, 9), (44, 14), (70, 30)])
def test_arched_layouts_keep_in_panels_of_three_sizes(tmp_path: Path, name: str, size: tuple[int, int]) -> None:
    values = "name: BAY" if name == "sweep-name" else ""
    used(tmp_path, name, f"width: {size[0]} mm, height: {size[1]} mm", values)
    found = check_jobs([load_job(tmp_path / "job.yaml")], PRINTER)
    assert not {one.code for one in found} & {"cannot-draw", "lettering-cut-off", "off-panel", "letters-break"}
    assert not [one for one in found if one.severity == "error" and one.code != "colour-legibility"]


def test_the_arched_name_rises_as_its_value_says(tmp_path: Path) -> None:
    """Capitals with a rise r take r + h in height: from the ends' feet to the middle's head (no letter of it is round
    at the top or foot)."""
    for rise in (1.0, 2.0):
        art = used(
            tmp_path, "arched-name", "width: 40 mm, height: 20 mm", f"name: HIHIHIHIH, place: I, rise: {rise} mm"
        )
        letters = [part for part in ink(art, "deep wood").geoms if not part.interiors]
        name = [part for part in letters if part.bounds[3] > art.height / 2]
        low, high = min(part.bounds[1] for part in name), max(part.bounds[3] for part in name)
        assert high - low == pytest.approx(rise + 2.0, abs=0.03)


def test_the_word_of_the_board_fills_it_but_for_its_margin() -> None:
    art = one("arched-board")
    assert ink(art, "oat cream").bounds == pytest.approx((0.8, 0.8, art.width - 0.8, art.height - 0.8), abs=1e-3)


def test_the_name_on_a_sweep_follows_its_line_on_both_sides() -> None:
    """Each letter's foot lies as far over the line as the value says, 0.6 mm, on either side, and the line is the
    mirror image."""
    _, found = sample("sweep-name")
    lines = {}
    for hand in ("left", "right"):
        parts = sorted(ink(found[hand], "deep wood").geoms, key=lambda part: part.bounds[2] - part.bounds[0])
        *letters, lines[hand] = parts
        assert len(letters) == 13
        gaps = [letter.distance(lines[hand]) for letter in letters]
        assert gaps == pytest.approx([0.6] * 13, abs=0.05)
    mirrored = scale(lines["left"], -1, 1, origin=(found["left"].width / 2, 0))
    assert mirrored.symmetric_difference(lines["right"]).area < 1e-6
