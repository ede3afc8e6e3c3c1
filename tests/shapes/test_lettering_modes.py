"""Lettering in a job file in all its ways, read back from the PDF by another program (pdfplumber) or by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from decalgen.cli.main import cli
from decalgen.core.errors import DecalgenError
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Arc, Rim, Shadow

JOB = """\
job: gannet
title: Harbour pick-up
scale: "1:43"
body: navy
paints: {{navy: "#1d2b4a"}}
inks:
  orange: {{colour: "#e8641b"}}
  black: {{colour: "#101010"}}
panels:
  door: {{width: 60 mm, height: 30 mm}}
decals:
  sign:
    panel: door
    width: 50 mm
    height: 20 mm
    artwork:
      - lettering: {{ink: orange, {keys}}}
"""


def run_check(tmp_path: Path, keys: str) -> tuple[int, str]:
    job = tmp_path / "job.yaml"
    job.write_text(JOB.format(keys=keys), encoding="utf-8")
    done = CliRunner().invoke(cli, ["check", "-v", str(job)])
    assert "Traceback" not in done.output
    if isinstance(done.exception, DecalgenError):
        return done.exception.exit_code, str(done.exception) + "\n" + done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return done.exit_code, done.output


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ("text: '', cap height: 2 mm", "no text"),
        ("text: '\U0001f69a', cap height: 2 mm", "has no lett"),
        (f"text: {'A' * 10_000}, cap height: 2 mm", "500 characters"),
        ("text: HOE, match: {cap height: 2 mm, stem: 3 mm, length: 6 mm}", "stems"),
        (
            "text: HOE, match: {cap height: 2 mm, stem: 1 mm, letters: [[0 mm, 0.5 mm], [2 mm, 2 mm], [5 mm, 1 mm]]}",
            "stem 1 mm",
        ),
        ("text: HARBOUR, match: {cap height: 2 mm, stem: 0.4 mm, length: 3 mm}", "do not go into a length"),
        ("text: HOE, cap height: 2 mm, match: {cap height: 2 mm}", "leave it out"),
        ("text: HOE", "cap height"),
    ],
)
def test_bad_input_is_told_with_a_fix(tmp_path: Path, keys: str, told: str) -> None:
    code, output = run_check(tmp_path, keys)
    assert code != 0
    assert told in output and "fix:" in output


def test_check_tells_what_a_match_reached_with_the_readings_own_uncertainty(tmp_path: Path) -> None:
    # ± 0.02 as a limit is U = 2 · 0.02/√3 = 0.023 (JCGM 100:2008, 4.3.7).
    code, output = run_check(tmp_path, "text: HARBOUR, match: {cap height: 1.6 mm ± 0.02, length: 9 mm ± 0.02}")
    assert code == 0
    assert "cap height 1.600 mm ± 0.023" in output and "length 9.000 mm ± 0.023" in output
    off = re.search(r"off the readings by (?:less than )?([0-9.]+) \u00b5m", output)
    # A fiftieth of a per cent of 1.6 mm is 0.32 µm.
    assert off is not None and float(off[1]) <= 0.3


def test_check_offers_compensation_for_small_letters(tmp_path: Path) -> None:
    assert "compensate: yes" in run_check(tmp_path, "text: SMALL, cap height: 0.8 mm")[1]
    assert "drawn for the printer" in run_check(tmp_path, "text: SMALL, cap height: 1 mm, compensate: yes")[1]


@pytest.mark.parametrize("word", ["HARBOUR", "HELP", "HILL", "HOTEL", "HOLM"])
def test_matched_lettering_keeps_its_measures_in_the_pdf(tmp_path: Path, word: str) -> None:
    """Cap height and length within 0.02 %, stem and crossbar of the first H within 0.1 %."""
    pdfplumber = pytest.importorskip("pdfplumber")
    cap, length, stem = 4.0, 5.0 * len(word), 0.7
    job = tmp_path / "job.yaml"
    keys = f"text: {word}, match: {{cap height: {cap} mm, length: {length} mm, stem: {stem} mm, crossbar: 0.6 mm}}"
    job.write_text(JOB.format(keys=keys), encoding="utf-8")
    out = tmp_path / "out.pdf"
    done = CliRunner().invoke(cli, ["sheet", str(job), "-o", str(out), "--without-proof", "a test"])
    assert done.exit_code == 0, done.output
    mm = 25.4 / 72
    rings = []
    with pdfplumber.open(out) as pdf:
        for curve in (*pdf.pages[0].curves, *pdf.pages[0].rects):
            red, green, blue = (*(curve.get("non_stroking_color") or ()), 0, 0, 0)[:3]
            if red > 0.8 and 0.2 < green < 0.6 and blue < 0.3:
                rings += [[(x * mm, -y * mm) for x, y in curve["pts"]]]
    assert rings
    xs = [x for ring in rings for x, _ in ring]
    assert max(xs) - min(xs) == pytest.approx(length, rel=2e-4)
    first = min(rings, key=lambda ring: min(x for x, _ in ring))
    ys = [y for _, y in first]
    assert max(ys) - min(ys) == pytest.approx(cap, rel=2e-4)
    # A level line a quarter up crosses the left upright of H (an M has stems of its own weight).
    level = min(ys) + 0.25 * cap
    crossed = sorted(_crossings(first, level))
    assert crossed[1] - crossed[0] == pytest.approx(stem, rel=1e-3)
    middle = (min(x for x, _ in first) + max(x for x, _ in first)) / 2
    up = sorted(_crossings([(y, x) for x, y in first], middle))
    assert up[1] - up[0] == pytest.approx(0.6, rel=1e-3)


def _crossings(ring: list[tuple[float, float]], level: float) -> list[float]:
    found = []
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (y0 > level) != (y1 > level):
            found.append(x0 + (level - y0) * (x1 - x0) / (y1 - y0))
    return found


def test_modes_take_the_room_they_say() -> None:
    fitted = Lettering(("14",), "navy", fit=True, width=8.0, height=5.0)
    x0, y0, x1, y1 = fitted.block.region.bounds
    assert fitted.extent(Box(40, 40)) == Box(8.0, 5.0)
    assert max((x1 - x0) / 8.0, (y1 - y0) / 5.0) == pytest.approx(1.0, abs=1e-3)
    arc = Lettering(("BAY",), "navy", 2.0, arc=Arc(8.0))
    assert arc.extent(Box(40, 40)) == Box(20.0, 20.0)
    lines = Lettering(("TWO", "LINES"), "navy", 2.0, justify=True, width=12.0)
    assert lines.block.width == pytest.approx(12.0, abs=1e-6)


def test_effects_are_areas_of_their_own_inks() -> None:
    sign = Lettering(("14",), "navy", 4.0, outline=Rim(0.3, "white"), shadow=Shadow(0.5, -0.5, "green"))
    shade, rim, letters = sign.draw(sign.extent(Box(40, 40)))
    assert (shade.ink, rim.ink, letters.ink) == ("green", "white", "navy")
    for one, other in ((shade, rim), (rim, letters), (shade, letters)):
        assert one.region.intersection(other.region).area < 1e-6


def test_reversed_letters_are_bare_in_their_field() -> None:
    sign = Lettering(("OUT",), "navy", 2.0, reversed=True, margin=1.0)
    size = sign.extent(Box(40, 40))
    (field,) = sign.draw(size)
    assert field.region.area + sign.block.region.area == pytest.approx(size.width * size.height, rel=1e-6)


def test_two_ways_at_once_are_refused() -> None:
    with pytest.raises(ShapeError, match="has `justify` and `arc`"):
        Lettering(("A",), "navy", 2.0, arc=Arc(8.0), justify=True, width=8.0)


def test_faces_are_ranked_and_shown(tmp_path: Path) -> None:
    out = tmp_path / "like.png"
    args = ["fonts", "--like", "HARBOUR", "--cap", "1.6mm", "--length", "14.2mm", "--stem", "0.26mm", "-o", str(out)]
    done = CliRunner().invoke(cli, args)
    assert done.exit_code == 0, done.output
    assert "Archivo" in done.output and out.stat().st_size > 1000
