"""How a knife goes: arcs as arcs, inner lines first, one way round, little travel; waste frames, and the cut alone."""

from __future__ import annotations

import math
from dataclasses import replace
from io import StringIO
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import shapely
from shapely.geometry import LinearRing

from decalgen.core.errors import JobError
from decalgen.core.geometry import Outline, Segment
from decalgen.export import render
from decalgen.job.films import load_cutter
from decalgen.job.model import Cut, Cutter
from decalgen.nesting.model import QUICK
from decalgen.pages.cutting import aligning, cutting_document, waste_frame
from decalgen.panels.base import Obstacle
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.helpers import jobs as helper
from tests.helpers.commands import Run, runner
from tests.pages.test_cutting import DEMO, FILMS, apart, dxf_rings, layout, run, svg_rings, wanted

__all__ = ["layout", "run"]


def arcs_of(data: bytes, ending: str) -> tuple[int, int]:
    """How many lines and how many arcs the cut lines of a file have."""
    if ending == ".svg":
        group = next(g for g in ElementTree.fromstring(data) if g.get("data-purpose") == "cutting")
        words = "".join(path.get("d") or "" for path in group)
        return words.count("L"), words.count("A")
    space = ezdxf.read(StringIO(data.decode("cp1252"))).modelspace()
    bends = [v[2] for e in space if e.dxf.layer == "CUTTING" for v in e.get_points("xyb")]
    return sum(not bend for bend in bends), sum(bool(bend) for bend in bends)


@pytest.mark.parametrize("ending", [".dxf", ".svg"])
def test_openings_and_wheel_arches_are_arcs(ending: str) -> None:
    """A round opening, a wheel arch cut into the foot, four soft corners: as many arcs as a hand would draw."""
    opening = Obstacle("filler cap", circle_outline(20.0, 15.0, 3.0), 0.0)
    arch = Obstacle("wheel arch", circle_outline(40.0, 2.0, 7.0), 0.0)
    panel = helper.panel(obstacles=(opening, arch))
    decal = helper.decal(
        "side", 56.0, 24.0, helper.element("field", ink="navy"), cut=Cut(corner_radius=2.0),
        cut_around=("filler cap", "wheel arch"), margin=0.0, bleed=0.5,
    )  # fmt: skip
    job = helper.job(decal, panels=(panel,))
    arrangement = arrange([job], Plan([helper.film(job.film)], helper.PRINTER, effort=QUICK))
    art = arrangement.sheets[0].placed[0].piece.artwork
    assert len(art.holes) == 1 and len(art.cut.segments) > 30
    (data,) = render(cutting_document(arrangement, "cut", None), ending)
    lines, arcs = arcs_of(data, ending)
    # The opening is written in four quarters, the arch and each corner is one; the foot has two parts.
    assert (arcs, lines) == (9, 5)
    expected = wanted(arrangement, 0)
    height = arrangement.sheets[0].film.height
    rings = dxf_rings(data, "CUTTING") if ending == ".dxf" else svg_rings(data, "cutting", height)
    assert max(min(apart(ring, one) for ring in rings) for one in expected) <= 0.002


def circle_outline(x: float, y: float, radius: float) -> Outline:
    left, right = (x - radius, y), (x + radius, y)
    return Outline((Segment(left, right, (x, y)), Segment(right, left, (x, y))))


def nearest_neighbour(spots: list[tuple[float, float]]) -> float:
    """The tour that always goes on to the nearest spot left, from the page's corner."""
    here, way = (0.0, 0.0), 0.0
    while spots:
        spot = min(spots, key=lambda one: math.dist(one, here))
        way += math.dist(spot, here)
        here = spot
        spots = [one for one in spots if one is not spot]
    return way


def test_the_knife_travels_little_and_one_way_round(layout: Arrangement) -> None:
    for data in render(cutting_document(layout, "cut", None), ".dxf"):
        space = ezdxf.read(StringIO(data.decode("cp1252"))).modelspace()
        lines = [e for e in space if e.dxf.layer == "CUTTING"]
        starts = [tuple(map(float, line.get_points("xy")[0])) for line in lines]
        way = sum(math.dist(a, b) for a, b in pairwise([(0.0, 0.0), *starts]))
        assert way <= 1.3 * nearest_neighbour(starts)
        assert all(LinearRing(ring).is_ccw for ring in dxf_rings(data, "CUTTING"))


def adhesive(layout: Arrangement) -> Arrangement:
    sheets = tuple(replace(sheet, film=replace(sheet.film, adhesive=True)) for sheet in layout.sheets)
    return replace(layout, sheets=sheets)


def test_a_waste_frame_is_cut_last_round_all_pieces(layout: Arrangement) -> None:
    plotter = Cutter("blade plotter", waste_frame=2.0)
    plain = dxf_rings(render(cutting_document(adhesive(layout), "cut", None), ".dxf")[0], "CUTTING")
    framed = dxf_rings(render(cutting_document(adhesive(layout), "cut", None, plotter), ".dxf")[0], "CUTTING")
    assert framed[:-1] == plain
    outers = [placed.outer.bounds for placed in layout.sheets[0].placed]
    low, high = np.min(outers, axis=0)[:2], np.max(outers, axis=0)[2:]
    assert shapely.bounds(LinearRing(framed[-1])) == pytest.approx([*(low - 2.0), *(high + 2.0)], abs=1e-5)


def test_a_waste_frame_stays_on_the_film(layout: Arrangement) -> None:
    frame = waste_frame(adhesive(layout).sheets[0], 50.0)
    film = layout.sheets[0].film
    assert frame is not None
    x0, y0, x1, y1 = frame.polygon.bounds
    assert x0 > 0 and y0 > 0 and x1 < film.width and y1 < film.height


def test_a_waste_frame_that_has_no_room_goes_half_as_far_as_the_film_reaches(layout: Arrangement) -> None:
    sheet = adhesive(layout).sheets[0]
    frame = waste_frame(sheet, 1000.0)
    assert frame is not None
    outers = [placed.outer.bounds for placed in sheet.placed]
    low, high = np.min(outers, axis=0)[:2], np.max(outers, axis=0)[2:]
    film = np.array([sheet.film.width, sheet.film.height])
    assert frame.polygon.bounds == pytest.approx([*(low / 2), *((high + film) / 2)])


def test_waterslide_film_gets_no_waste_frame_and_it_is_told(layout: Arrangement) -> None:
    plotter = Cutter("blade plotter", waste_frame=2.0)
    assert render(cutting_document(layout, "cut", None, plotter), ".dxf") == render(
        cutting_document(layout, "cut", None), ".dxf"
    )
    assert "sheet 1: no waste frame, as 'white A5' is not self-adhesive film" in aligning(layout, plotter)
    assert not any("waste frame" in row for row in [*aligning(layout), *aligning(adhesive(layout), plotter)])


def test_a_cutter_file_says_how_far_the_waste_frame_is(tmp_path: Path) -> None:
    (tmp_path / "blade.yaml").write_text("cutter: blade plotter\nwaste frame: 2 mm\n", encoding="utf-8")
    assert load_cutter(tmp_path / "blade.yaml") == Cutter("blade plotter", waste_frame=2.0)
    (tmp_path / "blade.yaml").write_text("cutter: blade plotter\nwaste frame: 0 mm\n", encoding="utf-8")
    with pytest.raises(JobError):
        load_cutter(tmp_path / "blade.yaml")


@pytest.mark.parametrize("ending", [".dxf", ".svg"])
def test_a_file_has_the_cut_alone(run: Run, tmp_path: Path, ending: str) -> None:
    both = ("--cut", tmp_path / f"c{ending}", "--cut-alone", tmp_path / f"a{ending}")
    assert run("sheet", DEMO / "gannet.yaml", *FILMS, "-o", tmp_path / "s.pdf", *both).code == 0
    whole, alone = (sorted(tmp_path.glob(f"{name}*{ending}"))[0].read_bytes() for name in ("c", "a"))
    if ending == ".dxf":
        assert dxf_rings(alone, "CUTTING") == dxf_rings(whole, "CUTTING") != []
        space = ezdxf.read(StringIO(alone.decode("cp1252"))).modelspace()
        assert {e.dxf.layer for e in space} == {"CUTTING"}
    else:
        assert svg_rings(alone, "cutting", 210.0) == svg_rings(whole, "cutting", 210.0) != []
        assert [g.get("data-purpose") for g in ElementTree.fromstring(alone) if g.get("data-purpose")] == ["cutting"]


def test_the_cut_alone_is_written_again_from_the_record(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    start = runner(capsys, gated=True)
    words = ("-o", "s.pdf", "--cut-alone", "a.dxf", "--without-proof", "a test of something else")
    assert start("sheet", str(DEMO / "gannet.yaml"), *FILMS, *words).code == 0
    before = {path.name: path.read_bytes() for path in Path().glob("a*.dxf")}
    for name in before:
        Path(name).unlink()
    (record,) = Path().glob("*.record.json")
    assert start("sheet", "--again", str(record)).code == 0
    assert {path.name: path.read_bytes() for path in Path().glob("a*.dxf")} == before != {}
