"""Cutting files of a sheet, read back by ezdxf and ElementTree: every cut line where the piece is, marks, mistakes."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from io import StringIO
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.path import make_path
from PIL import Image
from shapely.geometry import LinearRing

from decalgen.commands.sheet import in_short
from decalgen.core.document import Contour, Line
from decalgen.export import render
from decalgen.job.films import load_film, load_printer
from decalgen.job.loader import load_job
from decalgen.job.model import Cutter, Printer
from decalgen.nesting.model import QUICK
from decalgen.pages.cutting import aligning, cutting_document
from decalgen.sheet.arrange import Arrangement, Sheet, arrange
from decalgen.sheet.furniture import Furniture
from decalgen.sheet.plan import Plan
from tests.helpers.commands import Run, runner

DEMO = Path(__file__).parents[2] / "demo"
Ring = list[tuple[float, float]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    start = runner(capsys)
    return lambda *words: start(*map(str, words))


@pytest.fixture(scope="module")
def layout() -> Arrangement:
    """White film with bleed, clear film with round cut lines, on sheets of their own."""
    jobs = [load_job(DEMO / "gannet.yaml"), load_job(DEMO / "h9.yaml")]
    films = [load_film("white A5"), load_film("clear A5")]
    return arrange(jobs, Plan(films, load_printer(DEMO / "printer.yaml"), effort=QUICK))


def dxf_rings(data: bytes, layer: str) -> list[Ring]:
    """The closed lines of a layer, arcs flattened by ezdxf."""
    space = ezdxf.read(StringIO(data.decode("cp1252"))).modelspace()
    found = [e for e in space if e.dxf.layer == layer and e.closed]
    return [[(v.x, v.y) for v in make_path(e).flattening(0.0001)] for e in found]


def svg_rings(data: bytes, purpose: str, height: float) -> list[Ring]:
    """The closed lines of a layer, y turned up again, arcs walked by their centres (SVG 1.1, F.6.5)."""
    root = ElementTree.fromstring(data)
    group = next(g for g in root if g.get("data-purpose") == purpose)
    found = []
    for path in group:
        ring: Ring = []
        for letter, rest in re.findall(r"([MLAZ])([^MLAZ]*)", path.get("d") or ""):
            numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", rest)]
            if letter == "A":
                ring += arc(ring[-1], numbers)
            elif letter != "Z":
                ring.append((numbers[0], numbers[1]))
        if (path.get("d") or "").endswith("Z"):
            found.append([(x, height - y) for x, y in ring])
    return found


def arc(start: tuple[float, float], numbers: list[float]) -> Ring:
    """Points of a circular arc of at most a half turn."""
    radius, _, _, large, sweep, x, y = numbers
    assert large == 0
    a, b = complex(*start), complex(x, y)
    half = abs(b - a) / 2
    off = max(radius * radius - half * half, 0.0) ** 0.5
    side = 1j if sweep else -1j
    centre = (a + b) / 2 + side * (b - a) / abs(b - a) * off
    first, last = np.angle(a - centre), np.angle(b - centre)
    if sweep and last <= first:
        last += 2 * np.pi
    if not sweep and last >= first:
        last -= 2 * np.pi
    points = centre + abs(a - centre) * np.exp(1j * np.linspace(first, last, 400))
    return [(float(p.real), float(p.imag)) for p in points]


def apart(one: Ring, other: Ring) -> float:
    """Hausdorff distance of two courses, densely sampled."""
    return float(shapely.hausdorff_distance(LinearRing(one), LinearRing(other), 0.01))


def wanted(layout: Arrangement, index: int) -> list[Ring]:
    found = []
    for placed in layout.sheets[index].placed:
        for outline in (*placed.piece.artwork.holes, placed.piece.artwork.cut):
            ring = outline.moved(placed.matrix).polygon.exterior
            found.append([(float(x), float(y)) for x, y in ring.coords])
    return found


@pytest.mark.parametrize("ending", [".dxf", ".svg"])
def test_every_cut_line_lies_where_its_piece_does(layout: Arrangement, ending: str) -> None:
    # Within 2 um where there are arcs (the flattening of the expected course may itself be 1 um off).
    files = render(cutting_document(layout, "cut", None), ending)
    assert len(files) == len(layout.sheets) == 2
    for index, data in enumerate(files):
        height = layout.sheets[index].film.height
        rings = dxf_rings(data, "CUTTING") if ending == ".dxf" else svg_rings(data, "cutting", height)
        expected = wanted(layout, index)
        assert len(rings) == len(expected) > 0
        # They come in the order of cutting: each piece's line is there once.
        found = [[number for number, ring in enumerate(rings) if apart(ring, one) <= 0.002] for one in expected]
        assert sorted(found) == [[number] for number in range(len(rings))]


def test_round_corners_stay_arcs(layout: Arrangement) -> None:
    data = render(cutting_document(layout, "cut", None), ".svg")[0]
    rounded = sum(s.centre is not None for p in layout.sheets[0].placed for s in p.piece.artwork.cut.segments)
    group = next(g for g in ElementTree.fromstring(data) if g.get("data-purpose") == "cutting")
    assert rounded > 0
    assert sum((path.get("d") or "").count("A") for path in group) >= rounded


def test_marks_are_those_printed_on_the_film(layout: Arrangement) -> None:
    data = render(cutting_document(layout, "cut", None), ".dxf")[0]
    circles = dxf_rings(data, "REGISTRATION")
    middles = [tuple(np.round(np.mean(shapely.bounds(LinearRing(c)).reshape(2, 2), axis=0), 6)) for c in circles]
    assert middles == [pytest.approx(spot) for spot in layout.sheets[0].furniture.registration]
    assert len(middles) == 3
    told = aligning(layout)[0]
    assert all(f"({x:.2f}, {y:.2f})" in told for x, y in middles)


def test_the_bleed_is_shown_but_not_cut(layout: Arrangement) -> None:
    data = render(cutting_document(layout, "cut", None), ".dxf")[0]
    bleeding = [p for p in layout.sheets[0].placed if p.piece.artwork.bleed > 0]
    rings = dxf_rings(data, "BLEED")
    assert len(rings) == len(bleeding) > 0
    assert apart(rings[0], list(bleeding[0].outer.exterior.coords)) <= 0.001


def test_a_piece_without_bleed_has_its_cut_line_alone(layout: Arrangement) -> None:
    """On the clear film: a line beside the cut line could be taken for it."""
    for page, sheet in zip(cutting_document(layout, "t", None).pages, layout.sheets, strict=True):
        shown = [layer for layer in page.layers if layer.purpose == "bleed"]
        with_bleed = sum(1 + len(one.outer.interiors) for one in sheet.placed if one.piece.artwork.bleed > 0)
        assert sum(len(layer.items) for layer in shown) == with_bleed
    assert {one.piece.artwork.bleed > 0 for sheet in layout.sheets for one in sheet.placed} == {True, False}


def test_marks_are_as_large_as_those_printed(layout: Arrangement) -> None:
    """4 mm over all, with a circle inside the ends of the cross: an eye or a camera lays the one on the other."""
    for page, sheet in zip(cutting_document(layout, "t", None).pages, layout.sheets, strict=True):
        (marks,) = [layer.items for layer in page.layers if layer.purpose == "marks"]
        printed = [item for item in sheet.furniture.items if isinstance(item, Line)]
        crosses = [item for item in marks if isinstance(item, Line)]
        assert {item.points for item in crosses} == {item.points for item in printed if not item.closed}
        assert all(math.dist(*item.points) == pytest.approx(4.0) for item in crosses) and len(crosses) == 6
        rings = [item.outline.polygon.bounds for item in marks if isinstance(item, Contour)]
        wanted = [shapely.LineString(item.points).bounds for item in printed if item.closed]
        assert len(rings) == 3
        for ring, same in zip(rings, wanted, strict=True):
            assert ring == pytest.approx(same, abs=0.01)


def test_the_printers_correction_does_not_reach_the_cutter(layout: Arrangement) -> None:
    printer = replace(layout.sheets[0].printer, scale_x=1.03, scale_y=0.97)
    changed = replace(layout, sheets=tuple(replace(sheet, printer=printer) for sheet in layout.sheets))
    assert isinstance(printer, Printer)
    assert render(cutting_document(changed, "cut", None), ".dxf") == render(
        cutting_document(layout, "cut", None), ".dxf"
    )


def test_the_cutters_own_correction_stretches_about_the_middle(layout: Arrangement) -> None:
    plain = render(cutting_document(layout, "cut", None), ".dxf")[0]
    own = render(cutting_document(layout, "cut", None, Cutter("blade plotter", 1.01, 0.99)), ".dxf")[0]
    sheet = layout.sheets[0]
    middle = np.array([sheet.film.width / 2, sheet.film.height / 2])
    straight = np.array(dxf_rings(plain, "BLEED")[0])
    stretched = np.array(dxf_rings(own, "BLEED")[0])
    assert np.allclose(stretched - middle, (straight - middle) * [1.01, 0.99], atol=1e-5)


def test_openings_are_cut_before_the_piece_is(layout: Arrangement) -> None:
    from decalgen.core.geometry import rounded

    placed = layout.sheets[0].placed[0]
    hole = rounded(1.0, 1.0, (0.2,) * 4, 0.5, 0.5)
    holed = replace(placed, piece=replace(placed.piece, artwork=replace(placed.piece.artwork, holes=(hole,))))
    one = replace(layout, sheets=(replace(layout.sheets[0], placed=(holed,)),))
    rings = dxf_rings(render(cutting_document(one, "cut", None), ".dxf")[0], "CUTTING")
    first = LinearRing(rings[0]).bounds
    assert round(first[2] - first[0], 3) == 1.0
    assert len(rings) == 2


FILMS = ("--film", "white A5", "--film", "clear A5", "--effort", "quick")


def test_how_right_a_cutter_is_that_was_aligned_by_the_marks_is_told(layout: Arrangement) -> None:
    """A mark is read to 0.1 mm; what lies beyond a mark moves by that times its distance over the span. From 0.25 mm on
    (half of a bleed) it is said what helps."""
    rows = aligning(layout)
    told = [row for row in rows if "put its cuts right to" in row]
    assert len(told) == len(layout.sheets) == 2
    near = (*layout.sheets, replace(layout.sheets[0], furniture=_marks_nearer(layout.sheets[0])))
    for sheet, row in zip(near, [*told, aligning(replace(layout, sheets=near[2:]))[1]], strict=True):
        (x, y), (across, _), (_, up) = sheet.furniture.registration
        corners = [point for one in sheet.placed for point in one.cut.exterior.coords]
        far = max(max(abs(px - x) / abs(across - x), abs(py - y) / abs(up - y)) for px, py in corners)
        error = 0.1 * max(1.0, far)
        assert f"marks read to 0.1 mm put its cuts right to {error:.2f} mm" in row
        assert ("cut a trial on paper" in row) == (error > 0.25), row
    assert "trial" in row


def _marks_nearer(sheet: Sheet) -> Furniture:
    """The same with marks 12 mm apart."""
    x, y = sheet.furniture.registration[0]
    return replace(sheet.furniture, registration=((x, y), (x + 12.0, y), (x, y + 12.0)))


def test_the_command_writes_them_and_lists_the_marks(run: Run, tmp_path: Path) -> None:
    said = run("sheet", DEMO / "gannet.yaml", *FILMS, "-o", tmp_path / "s.pdf", "--cut", tmp_path / "c.dxf", "-v")
    assert said.code == 0
    assert "cutting: in true millimetres" in said.out
    assert "align the cutter by the marks at (" in said.out
    assert re.search(r"sheet 1: marks read to 0\.1 mm put its cuts right to 0\.\d\d mm", said.out)
    assert list(tmp_path.glob("c*.dxf"))


def test_where_to_align_is_told_on_asking_and_a_trial_at_once() -> None:
    """Two lines a sheet that are read when it is cut do not stand between those read before it is printed."""
    plain = "sheet 1: marks read to 0.1 mm put its cuts right to 0.16 mm"
    grave = plain + ": the marks are near each other; align it by the film's corner as well, and cut a trial on paper"
    small = "sheet 2: the film is too small for marks; align the cutter by the film's corner"
    lines = ["cutting: in true millimetres", "sheet 1: align the cutter by the marks at (1, 2)", plain, grave, small]
    assert in_short(lines) == ["cutting: in true millimetres", grave, small]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--cut", "c.pdf"), "let its name end in .dxf or .svg"),
        (("--cutter", "blade.yaml"), "name one with --cut"),
        (("--cut-alone", "c.pdf"), "let its name end in .dxf or .svg"),
        (("--cut", "c.svg", "--cut-alone", "c.svg"), "is named twice"),
        (("--cut", "c.dxf", "--cutter", "none.yaml"), "none.yaml"),
        (("--cut", "c.svg", "--cut", "c.svg"), "named twice"),
        (("--dpi", "0"), "give a dpi from 1 to 10000"),
    ],
)
def test_mistakes_are_told_and_nothing_is_written(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    said = run("sheet", DEMO / "gannet.yaml", *FILMS, "-o", "s.png", *words)
    assert said.code != 0
    assert told in said.err
    assert not list(tmp_path.iterdir())


def test_a_printer_file_is_no_cutter_file(run: Run, tmp_path: Path) -> None:
    cut = ("--cut", tmp_path / "c.dxf", "--cutter", DEMO / "printer.yaml")
    said = run("sheet", DEMO / "gannet.yaml", *FILMS, "-o", tmp_path / "s.pdf", *cut)
    assert said.code == 2
    assert "the cutter has no 'cutter'" in said.err


def test_a_picture_has_the_dots_asked_for(run: Run, tmp_path: Path) -> None:
    said = run("sheet", DEMO / "gannet.yaml", *FILMS, "-o", tmp_path / "s.png", "--dpi", "200")
    assert said.code == 0
    with Image.open(next(tmp_path.glob("s*.png"))) as image:
        # A5 is 148 x 210 mm (ISO 216).
        assert image.size == (round(148 / 25.4 * 200), round(210 / 25.4 * 200))
        assert image.info["dpi"] == pytest.approx((200, 200), abs=0.01)
