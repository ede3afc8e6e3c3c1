"""Slanted stripes, chevrons, crosses and stars read from generated scans, and drawn anew from the block that comes of
it: the same ink wherever the pattern that was scanned has it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from decalgen import api
from decalgen.commands.scan import notes_of
from decalgen.commands.scan_into import with_decal
from decalgen.commands.scan_words import ScanJob
from decalgen.core.pixels.values import PictureData
from decalgen.scan.decal import TYPED, TypedOverError, shapes_of, typed_over
from decalgen.scan.frames import frame_of
from decalgen.scan.light import read_scan
from decalgen.scan.measuring import MeasuredScan, ScanRequest, measure_scan
from decalgen.scan.outlines import FigureEdges, lay, lines_between
from decalgen.scan.remains import FoundValue, PatternFit, remains_in
from decalgen.scan.scale import by_dpi
from decalgen.scan.slanting import FEW_EDGES, sizes_told
from decalgen.scan.things import ground_of
from tests.scan.scans import Faults, Floats, Pattern, chevrons, cross, plate, scan_of, slanted, star

INKS = ["#7a1f2b", "#e9d9b0", "#1d4a6b"]
AGED = Faults(yellow=0.5, fade=0.2, scratches=1, card=False, margin=3.0, torn=0.12)
DPI = 200.0
EDGE_MM = 0.02
JOB = """\
job: van
body: grey
inks: {grey blue: "#90a0b0"}
panels:
    door: {width: 40 mm, height: 40 mm}
"""
GRID = 60
BESIDE_MM = 0.12


@dataclass(frozen=True)
class Drawn:
    """A pattern that fills a sticker, what is true of it, and what is told in words."""

    pattern: Pattern
    size: tuple[float, float]
    truth: dict[str, float]
    points: str = ""


def in_a_square(pattern: Pattern, points: int) -> Drawn:
    truth = {"diameter": 12.0, "inner diameter": 5.2, "turn": 10.0, "points": points}
    return Drawn(pattern, (12.0, 12.0), truth)


STRIPES = {"stripe width": 1.5, "pitch": 3.4, "shift": 0.3, "stripe angle": 60.0, "width": 18.0, "height": 6.0}
FALLING = {"shift": -0.3, "stripe angle": 145.0}
BANDS = {"stripe width": 1.4, "gap": 1.8, "shift": 0.4, "arm angle": 50.0}
ALONG, UP = (13.0, 7.0), (9.0, 10.0)
CROSS = {"arm width": 2.0, "width": 15.0, "height": 9.0}
PLACED = {**CROSS, "centre x": 6.0, "centre y": 4.0}
CASES: dict[str, tuple[str, Callable[[], Drawn]]] = {
    "rising": ("slanted stripes", lambda: Drawn(slanted((18, 6), 60.0, 3.4, 1.5, 0.3), (18.0, 6.0), STRIPES)),
    "falling": (
        "slanted stripes",
        lambda: Drawn(slanted((18, 6), 145.0, 3.4, 1.5, -0.3), (18.0, 6.0), STRIPES | FALLING),
    ),
    "right": ("chevrons", lambda: Drawn(chevrons(ALONG, "right", 50, (1.4, 1.8), 0.4), ALONG, BANDS, "right")),
    "down": ("chevrons", lambda: Drawn(chevrons(UP, "down", 50, (1.4, 1.8), 0.4), UP, BANDS, "down")),
    "edged": (
        "cross",
        lambda: Drawn(cross((15, 9), (6.0, 4.0), 2.0, 0.8), (15.0, 9.0), PLACED | {"edge width": 0.8}, "sides"),
    ),
    "free": ("cross", lambda: Drawn(cross((15, 9), (6.0, 4.0), 2.0, 0.0, -1), (15.0, 9.0), PLACED, "sides")),
    "saltire": ("cross", lambda: Drawn(cross((15, 9), None, 2.0), (15.0, 9.0), CROSS, "corners")),
    "five": ("star", lambda: in_a_square(star(6.0, 2.6, 5, 10.0), 5)),
}
SIBLINGS = ("falling", "down", "free")


def scanned(drawn: Drawn, faults: Faults = AGED) -> PictureData:
    return PictureData("remains.png", scan_of(drawn.pattern, drawn.size, INKS, faults, DPI, 8).data)


def read(drawn: Drawn, faults: Faults = AGED, kind: str = "") -> MeasuredScan:
    return measure_scan(scanned(drawn, faults), ScanRequest(dpi=(DPI, DPI), kind=kind))


def held(fit: PatternFit, truth: dict[str, float], within: float = EDGE_MM) -> None:
    """Every value near the truth, degrees to a fifth, and inside what it says of itself."""
    for name, value in truth.items():
        found = next(one for one in fit.values if one.name == name)
        assert found.value == pytest.approx(value, abs=0.2 if found.unit == "\u00b0" else within), name
        assert abs(found.value - value) <= 3 * found.u + 1e-9 and not found.doubt, (name, found)


@pytest.mark.parametrize("name", CASES)
def test_a_torn_pattern_is_read_and_its_block_draws_it(name: str, tmp_path: Path) -> None:
    kind, make = CASES[name]
    drawn = make()
    # The ends of free arms are short: what is torn off them is gone.
    # One of each kind is told from all the others; of its siblings the kind is said, which is quicker.
    found = read(drawn, replace(AGED, torn=0.0) if name == "free" else AGED, kind if name in SIBLINGS else "")
    fit = found.fits[0]
    assert fit.kind == kind and fit.points == drawn.points
    held(fit, drawn.truth)
    path = tmp_path / "van.yaml"
    path.write_text(JOB)
    _, text = with_decal(ScanJob(path, "door", "read"), found, notes_of(found))
    path.write_text(text)
    run = api.load([path])
    (artwork,) = run.artworks(run.jobs[0])
    assert (artwork.width, artwork.height) == pytest.approx(drawn.size, abs=EDGE_MM)
    across, up = (np.linspace(BESIDE_MM, side - BESIDE_MM, GRID)[1:-1] for side in drawn.size)
    spots = np.array([(x, y) for x in across for y in up])
    around = [spots + BESIDE_MM * np.array(way) for way in ((0, 0), (1, 1), (1, -1), (-1, 1), (-1, -1))]
    wanted = np.stack([drawn.pattern(*one.T) for one in around])
    calm = (wanted == wanted[0]).all(axis=0)
    inks = np.full(len(spots), -1)
    names = {ink: n for n, ink in enumerate(dict.fromkeys(one.ink for one in artwork.shown))}
    for one in artwork.shown:
        inks[shapely.contains_xy(one.region, *spots.T)] = names[one.ink]
    pairs = set(zip(wanted[0][calm].tolist(), inks[calm].tolist(), strict=True))
    # One ink of the block for each of the pattern's, at every place.
    assert len(pairs) == len({one for one, _ in pairs}) == len({one for _, one in pairs}) >= 2
    # And bare film for none of them.
    assert all((one < 0) == (drawn_as < 0) for one, drawn_as in pairs)
    assert calm.mean() > 0.5


def test_a_side_torn_off_chevrons_is_told_by_where_the_arms_meet() -> None:
    size = (12.0, 8.0)

    def torn(u: Floats, v: Floats) -> NDArray[np.int64]:
        made = chevrons(size, "up", 50, (1.4, 1.4), 0.0)(u, v)
        return np.where(u < 1.2 + 2.4 * np.abs(((v * 0.45) % 1.0) - 0.5) + 0.12 * np.sin(v * 31), -1, made)

    fit = read(Drawn(torn, size, {}), replace(AGED, torn=0.0), "chevrons").fits[0]
    assert (fit.kind, fit.points) == ("chevrons", "up")
    held(fit, {"stripe width": 1.4, "gap": 1.4, "height": 8.0})
    assert fit.value("width") == pytest.approx(12.0, abs=0.03)


def test_a_shift_is_in_doubt_where_the_side_it_is_measured_from_is_torn_off() -> None:
    def torn(u: Floats, v: Floats) -> NDArray[np.int64]:
        made = slanted((18, 6), 60.0, 3.4, 1.5, 0.3)(u, v)
        return np.where(u > 14 + 0.8 * np.abs(((v * 0.9) % 1.0) - 0.5) + 0.12 * np.sin(v * 31), -1, made)

    fit = read(Drawn(torn, (18.0, 6.0), {}), replace(AGED, torn=0.0), "slanted stripes").fits[0]
    values = {one.name: one for one in fit.values}
    assert fit.kind == "slanted stripes" and values["width"].least and values["width"].value < 15
    assert "torn off" in values["shift"].doubt and not values["pitch"].doubt
    held(fit, {"stripe width": 1.5, "pitch": 3.4, "height": 6.0})


@pytest.mark.parametrize(
    ("edges", "told"),
    [
        # Starts of three stripes, then their ends: which are seen.
        ("100 100", (False, True, False)),
        ("010 100", (False, False, True)),
        ("011 100", (True, True, True)),
        ("110 000", (True, False, False)),
        ("010 110", (True, True, True)),
        ("100 001", (False, False, False)),
    ],
)
def test_sizes_of_stripes_are_told_by_the_edges_that_are_seen(edges: str, told: tuple[bool, bool, bool]) -> None:
    seen = np.array([0.9 if one == "1" else 0.1 for one in edges if one != " "])
    laid = SimpleNamespace(share=np.concatenate((np.ones(4), seen)))
    assert sizes_told(laid, 3) == told  # type: ignore[arg-type]
    # On either arm of a chevron.
    laid.share = np.concatenate((np.ones(4), np.zeros(6), seen))
    assert sizes_told(laid, 3, arms=2) == told  # type: ignore[arg-type]


def test_a_pitch_of_which_one_stripe_is_seen_is_in_doubt() -> None:
    # The next stripe would lie beyond the sticker.
    whole = replace(AGED, torn=0.0)
    stripes = Drawn(slanted((18, 6), 60.0, 30.0, 13.0, 0.3), (18.0, 6.0), {"stripe width": 13.0})
    bands = Drawn(chevrons((12.0, 7.0), "right", 50, (4.0, 8.0), 4.0), (12.0, 7.0), {"stripe width": 4.0})
    for drawn, kind, name in ((stripes, "slanted stripes", "pitch"), (bands, "chevrons", "gap")):
        fit = read(drawn, whole, kind).fits[0]
        assert {one.name: one.doubt for one in fit.values}[name] == FEW_EDGES
        held(fit, drawn.truth)


def test_what_the_rarer_kinds_are_not_is_left_to_the_others() -> None:
    found = read(Drawn(plate((12.0, 7.0), 1e-6), (12.0, 7.0), {}))
    assert found.fits[0].kind == "rectangle"
    others = [one.score for one in found.fits if one.kind in ("slanted stripes", "chevrons", "cross", "star")]
    assert max(others, default=0.0) < 0.7 * found.fits[0].score


def test_a_figure_is_laid_with_what_is_gone_of_it_and_a_value_that_no_dot_tells_stays() -> None:
    scan = read_scan(scanned(Drawn(plate((12.0, 7.0), 1e-6), (12.0, 7.0), {}), replace(AGED, torn=0.0, scratches=0)))
    remains = remains_in(scan, scan.whole, by_dpi((DPI, DPI), True), ground_of(scan, scan.whole))
    frame = frame_of(remains, 0.0)
    assert frame is not None and frame.size == pytest.approx((12.0, 7.0), abs=0.05) and all(frame.sure)

    def figure(values: Floats) -> FigureEdges:
        left, right, foot, head, lost = values
        ends = [[(left, foot), (left, head)], [(right, foot), (right, head)], [(left, foot), (right, foot)]]
        return lines_between(np.array([*ends, [(left, head), (right, head)], [(left, lost), (right, lost)]], float))

    left, right, foot, head = frame.box
    start = np.array([left + 0.1, right - 0.1, foot + 0.1, head, 1.0])
    laid = lay(remains, figure, start, 0.3)
    assert laid.values[:4] == pytest.approx(frame.box, abs=0.02) and laid.values[4] == pytest.approx(1.0, abs=0.01)
    assert laid.share[:4].min() > 0.8 and laid.share[4] < 0.05
    # The scanner alone: 4 um a side, of a length of two sides at most so much more.
    assert 0.002 < laid.u_of(lambda v: float(v[1] - v[0])) < 0.012
    assert len([one for one in laid.drawn if one.there]) > 0.7 * len(laid.drawn) * 38 / 50


def test_angles_and_negative_shifts_are_typed_over() -> None:
    fit = PatternFit("slanted stripes", tuple(_values()), ((0.1, 0.1, 0.1),), (0, None), 0.9)
    typed = typed_over(fit, {"stripe angle": "45", "shift": "-0.4 mm"})
    assert typed.value("stripe angle") == 45 and typed.value("shift") == pytest.approx(-0.4)
    assert {one.name for one in typed.values if one.doubt == TYPED} == {"stripe angle", "shift"}
    assert shapes_of(typed, ["navy"]) == [
        {
            "stripe": {
                "ink": "navy",
                "stripe width": "1.50 mm",
                "pitch": "3.40 mm",
                "shift": "-0.40 mm",
                "angle": "45.00\u00b0",
                "fill": "yes",
            }
        }
    ]
    for words in ("steep", "nan", "inf", "45 mm"):
        with pytest.raises(TypedOverError, match=f"'{words}' is not an angle for stripe angle") as told:
            typed_over(fit, {"stripe angle": words})
        assert "stripe angle = 45" in told.value.fix
    assert math.isclose(typed_over(fit, {"stripe angle": "30\u00b0"}).value("stripe angle"), 30.0)


def _values() -> list[FoundValue]:
    rows = {"width": 18.0, "height": 6.0, "stripe width": 1.5, "pitch": 3.4, "shift": 0.3}
    lengths = [FoundValue(name, value, 0.01, 0.9) for name, value in rows.items()]
    return [*lengths, FoundValue("stripe angle", 60.0, 0.1, 0.9, "\u00b0")]
