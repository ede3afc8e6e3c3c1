"""Every letter as it is drawn, judged by what a printer of 600 dpi holds: 0.15 mm lines, 0.20 mm gaps.

What fills is judged here by a raster of its own, not by the offsets that the program uses.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from decalgen.colour.printer import PrinterColour
from decalgen.core.errors import Finding
from decalgen.job.loader import load_job
from decalgen.lettering.faces import faces
from decalgen.lettering.text import text_block
from decalgen.preflight.features import broken, closed
from decalgen.preflight.letterforms import LARGEST, _large_enough
from decalgen.shapes.lettering import Lettering
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

GAP, LINE = 0.20, 0.15
CODES = ("letters-close", "letters-break")


def word(text: str, cap: float, face: str = "Block Plate", **more: Any) -> Any:
    return jobs.element("lettering", **{"text": (text,), "ink": "navy", "cap_height": cap, "face": face, **more})


def found(*artwork: Any, printer: Any = jobs.PRINTER, width: float = 40.0, **more: Any) -> list[Finding]:
    decal = jobs.decal("plate", width, 14.0, *artwork, **more)
    return [one for one in check_jobs([jobs.job(decal)], printer) if one.code in CODES]


def test_a_w_of_a_plate_whose_notches_are_narrower_than_a_gap() -> None:
    """At 1.84 mm capitals no disc of 0.2 mm goes into the W's notches; at their mouth they are about as wide."""
    (finding,) = found(word("W", 1.84))
    assert (finding.severity, finding.code, finding.limit) == ("warning", "letters-close", GAP)
    assert finding.measured is not None and 0.15 < finding.measured < GAP
    assert finding.message.startswith("'W' of 'W' closes up: openings down to 0.1")
    assert finding.areas


def test_a_fine_printer_holds_it_and_so_do_large_letters() -> None:
    # Measured on its swatch sheet: gaps of 0.05 mm stay open.
    fine = replace(jobs.PRINTER, swatches=PrinterColour(smallest_gap=0.05, smallest_line=0.05))
    assert found(word("W", 1.84), printer=fine) == []
    assert found(word("W", 6.0)) == []


@pytest.mark.parametrize("text", ["V", "M", "N", "H", "E", "TYNE", "DEPOT"])
def test_the_crotch_of_an_open_letter_is_no_fault(text: str) -> None:
    """A disc of 0.2 mm never goes to the bottom of a V: its ink creeps up a little on every printer."""
    assert found(word(text, 1.84, "Archivo")) == []


def test_letters_that_run_together() -> None:
    """The stems of two I beside each other, set 0.1 mm apart."""
    wide = found(word("II", 1.84, "Block", axes=("gap 0.2",)))
    near = found(word("II", 1.84, "Block", axes=("gap 0.054",)))
    assert wide == []
    assert [one.code for one in near] == ["letters-close"]
    assert near[0].measured == pytest.approx(0.054 * 1.84, abs=5e-3)


def test_hairlines_are_told_beside_a_large_area_of_their_ink() -> None:
    """The hairlines of an E of 1.3 mm are a small part of all navy on the decal, each under a millimetre long."""
    ground = jobs.element("field", jobs.At("bottom"), ink="navy", height=10.0)
    letter = {"text": ("E",), "ink": "navy", "cap_height": 1.3, "face": "Abril Fatface"}
    said = found(jobs.element("lettering", jobs.At("top"), **letter), ground)
    assert [one.code for one in said] == ["letters-break"]
    assert said[0].measured is not None and said[0].measured < LINE


def test_in_bare_letters_a_stroke_is_a_gap_and_an_opening_a_line() -> None:
    """'Block' at 1.0 mm has strokes of 0.18 mm: enough for a line, too thin for white left in a ground."""
    ground = jobs.element("field", ink="navy")
    stroke = Lettering(text=("H",), ink="navy", cap_height=1.0, face="Block")
    assert broken(stroke, LINE) is None and broken(stroke, GAP) is not None
    assert [one.code for one in found(ground, word("H", 1.0, "Block", ink="white"))] == ["letters-break"]
    assert [one.code for one in found(word("H", 1.0, "Block", reversed=True))] == ["letters-break"]
    assert found(word("H", 1.0, "Block")) == []


def test_letters_left_bare_over_a_backing_are_bare_too() -> None:
    decal = jobs.decal(
        "plate", 40.0, 14.0, jobs.element("field", ink="navy"), word("H", 1.0, "Block", ink="white"),
        film="clear", backing="white",
    )  # fmt: skip
    said = [one.code for one in check_jobs([jobs.job(decal)], jobs.PRINTER) if one.code in CODES]
    assert said == ["letters-break"]


def test_what_is_told_as_small_is_not_told_twice() -> None:
    decal = jobs.decal("plate", 40.0, 14.0, word("WA", 0.8, "Block"))
    codes = [one.code for one in check_jobs([jobs.job(decal)], jobs.PRINTER)]
    assert "small-lettering" in codes
    assert not set(codes) & set(CODES)


@pytest.mark.parametrize("face", ["Block Plate", "Block", "Anton", "Lobster"])
def test_every_way_it_offers_helps(face: str) -> None:
    """The larger size, and the letters drawn for the printer where they are offered."""
    text = "QUAY 4"
    (finding,) = found(word(text, 1.84, face))
    cap = finding.fix.partition("make capitals ")[2].partition(" mm")[0]
    assert cap
    assert found(word(text, float(cap), face)) == []
    smaller = round(float(cap) - 0.1, 1)
    assert found(word(text, smaller, face)) != []
    if "compensate" in finding.fix:
        opened = word(text, 1.84, face, compensate=True, least_stroke=LINE, least_gap=GAP)
        assert found(opened) == []


def test_lettering_of_a_ready_layout_is_told_where_the_user_wrote_the_decal(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(
        "job: tug\nbody: '#1d2b4a'\nfilm: white\npanels:\n  door: {width: 40 mm, height: 20 mm}\ndecals:\n"
        "  label:\n    panel: door\n    layout: bonnet-label\n    values: {name: WA4, face: Block Plate}\n",
        encoding="utf-8",
    )
    told = [one for one in check_jobs([load_job(path)], jobs.PRINTER) if one.code in CODES]
    assert told
    assert {(one.place.file, one.place.line) for one in told if one.place} == {(str(path), 7)}


# ------------------------------------------------------------------------------- judged by a raster of its own
PIXEL = 0.01


def filled_share(area: Any, hole: Any, gap: float) -> float:
    """Which share of an opening no disc of diameter ``gap`` reaches without touching ink, counted on a raster.

    A pixel stays open where some disc that lies wholly off the ink covers it: opening by a disc (Serra, Image Analysis
    and Mathematical Morphology, 1982, chapter II; from memory).
    """
    x0, y0, x1, y1 = area.bounds
    pad = gap
    xs, ys = np.arange(x0 - pad, x1 + pad, PIXEL), np.arange(y0 - pad, y1 + pad, PIXEL)
    gx, gy = np.meshgrid(xs, ys)
    shapely.prepare(area)
    shapely.prepare(hole)
    ink = shapely.contains_xy(area, gx, gy)
    inside = shapely.contains_xy(hole, gx, gy)
    if not inside.any():
        return 1.0  # Narrower than a pixel.
    centres = ~_grown(ink, gap / 2)
    return 1.0 - float((_grown(centres, gap / 2) & inside).sum() / inside.sum())


def _grown(mask: Any, radius: float) -> Any:
    n = round(radius / PIXEL)
    padded = np.pad(mask, n, constant_values=False)
    grown = np.zeros_like(mask)
    for dy in range(-n, n + 1):
        for dx in range(-n, n + 1):
            if dx * dx + dy * dy <= n * n:
                grown |= padded[n + dy : n + dy + mask.shape[0], n + dx : n + dx + mask.shape[1]]
    return grown


def openings(area: Any) -> list[Any]:
    """Counters, and notches at least 0.15 of the letter's size deep from their mouth."""
    counters = [shapely.Polygon(ring) for part in area.geoms for ring in part.interiors]
    x0, y0, x1, y1 = area.bounds
    notches = []
    for part in area.geoms:
        for one in shapely.get_parts(part.convex_hull.difference(shapely.Polygon(part.exterior))):
            depth = one.hausdorff_distance(one.intersection(part.convex_hull.exterior))
            if depth >= 0.15 * max(x1 - x0, y1 - y0):
                notches.append(one)
    return [*counters, *notches]


@pytest.mark.parametrize("name", [face.name for face in faces()])
def test_every_face_against_a_raster(name: str) -> None:
    """At 1.84 mm: what the raster sees filled but for a dimple is told, what it sees half open is not."""
    for letter in text_block(("WMAGS48",), face=name, cap_height=1.84).letters:
        told = closed(Lettering(text=(letter.text,), ink="navy", cap_height=1.84, face=name), GAP) is not None
        shares = [filled_share(letter.region, hole, GAP) for hole in openings(letter.region)]
        counted = max(shares, default=0.0)
        if counted > 0.95:
            # The raster's disc is up to two pixels wider than its gap: what opens for one so much less is not judged.
            surely = max(filled_share(letter.region, hole, GAP - 2 * PIXEL) for hole in openings(letter.region))
            assert told or surely < 0.95, (name, letter.text, counted)
        if counted < 0.6:
            assert not told, (name, letter.text, counted)


@pytest.mark.parametrize("face", ["Archivo", "Oswald", "Abril Fatface", "Black Ops One", "Block Plate", "Yellowtail"])
@pytest.mark.parametrize("text", ["4 BAY & Co.", "WM", "DRAINAGE"])
@pytest.mark.parametrize("cap", [0.7, 1.3])
def test_the_size_advised_is_the_least_at_which_all_letters_hold(face: str, text: str, cap: float) -> None:
    """Every tenth of a millimetre is tried on all letters together."""
    lettering = word(text, cap, face).shape
    assert isinstance(lettering, Lettering)
    sizes = [tenths / 10 for tenths in range(int(cap * 10) + 1, int(cap * 10 * LARGEST) + 1)]
    good = [
        size for size in sizes if not closed(lettering, GAP * cap / size) and not broken(lettering, LINE * cap / size)
    ]
    if closed(lettering, GAP) or broken(lettering, LINE):
        assert _large_enough(lettering, LINE, GAP) == (good[0] if good else None)
