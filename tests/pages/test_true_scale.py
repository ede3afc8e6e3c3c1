"""The whole way from a job to a sheet's PDF keeps true scale, as programs read it that did not write it.

pdfplumber (pdfminer) reads the numbers, poppler's pdftocairo draws. Lengths in mm.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from shapely.geometry import MultiPolygon

from decalgen.commands.inputs import films_of, load_jobs, printer_of
from decalgen.commands.options import Options
from decalgen.core.geometry import Bounds, Matrix, transform
from decalgen.core.style import REGISTRATION_CROSS
from decalgen.export import render
from decalgen.job.model import InkSpec, Printer
from decalgen.nesting.model import QUICK
from decalgen.pages.film import artwork_symbol, final
from decalgen.pages.proof import proof
from decalgen.sheet.arrange import Arrangement, Sheet, arrange
from decalgen.sheet.plan import Plan
from tests.export.test_pdf_scale import coverage, read
from tests.helpers import jobs

TENTH = 1e-4
"""A tenth of a micrometre, mm."""
SCALES = [(1.0, 1.0), (1.0031, 0.9972)]


def correction(sheet: Sheet) -> Matrix:
    """The printer's correction about the page's centre, worked out here on its own."""
    sx, sy = sheet.printer.scale_x, sheet.printer.scale_y
    return (sx, 0.0, 0.0, sy, sheet.film.width * (1 - sx) / 2, sheet.film.height * (1 - sy) / 2)


def drawn_boxes(data: bytes) -> list[tuple[float, float, float, float]]:
    outlines, _ = read(data)
    return [(min(x for x, _ in o), min(y for _, y in o), max(x for x, _ in o), max(y for _, y in o)) for o in outlines]


def one_page(layout: Arrangement, sheet: Sheet) -> bytes:
    return render(final(replace(layout, sheets=(sheet,)), "t", None), ".pdf")[0]


@pytest.mark.parametrize("scale", SCALES)
def test_every_decal_of_the_demo_is_as_large_as_asked(repository: Path, scale: tuple[float, float]) -> None:
    demo = repository / "demo"
    films = (str(demo / "films" / "white-a5.yaml"), str(demo / "films" / "clear-a5.yaml"))
    options = Options(films=films, printer=str(demo / "printer.yaml"))
    loaded = load_jobs([demo / f"{name}.yaml" for name in ("gannet", "h9", "ostmerrow", "dravenhoe")])
    printer = replace(printer_of(options), scale_x=scale[0], scale_y=scale[1])
    layout = arrange(loaded, Plan(films_of(options, loaded, printer), printer, effort=QUICK))
    measured = 0
    for sheet in layout.sheets:
        found = drawn_boxes(one_page(layout, sheet))
        for placed in sheet.placed:
            symbol = artwork_symbol(placed.piece.artwork, "d")
            whole = shapely.union_all([fill.region for fill in symbol.items])  # type: ignore[union-attr]
            wanted = transform(transform(whole, placed.matrix), correction(sheet)).bounds
            inside = [
                b for b in found
                if b[0] >= wanted[0] - 1e-3 and b[1] >= wanted[1] - 1e-3
                and b[2] <= wanted[2] + 1e-3 and b[3] <= wanted[3] + 1e-3
            ]  # fmt: skip
            assert inside, placed.piece.artwork.name
            seen = (
                min(b[0] for b in inside), min(b[1] for b in inside),
                max(b[2] for b in inside), max(b[3] for b in inside),
            )  # fmt: skip
            assert seen == pytest.approx(wanted, abs=TENTH), placed.piece.artwork.name
            measured += 1
    assert measured == 49


def field_job(width: float, height: float) -> Arrangement:
    field = jobs.element("field", ink="black")
    one = jobs.decal("plate", width, height, field, margin=0.5, turn=False)
    job = replace(jobs.job(one, film="clear"), inks=(InkSpec("black", "process", "#000000"),))
    return arrange([job], Plan([jobs.film("clear", 210.0, 297.0)], printer(), effort=QUICK))


def printer(scale: tuple[float, float] = (1.0, 1.0)) -> Printer:
    return replace(jobs.PRINTER, scale_x=scale[0], scale_y=scale[1])


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize(("width", "height"), [(20.4, 5.0), (100.0, 1.0), (31.27, 12.6)])
def test_width_and_height_are_the_request_times_the_profile(
    width: float, height: float, scale: tuple[float, float]
) -> None:
    layout = field_job(width, height)
    (sheet,) = layout.sheets
    sheet = replace(sheet, printer=printer(scale))
    turn = sheet.placed[0].turn % 180
    wide, high = (height, width) if turn else (width, height)
    sizes = [(b[2] - b[0], b[3] - b[1]) for b in drawn_boxes(one_page(layout, sheet))]
    near = [s for s in sizes if abs(s[0] - wide * scale[0]) < TENTH and abs(s[1] - high * scale[1]) < TENTH]
    assert len(near) == 1


def flat_and_tall(data: bytes) -> tuple[list[Bounds], list[Bounds]]:
    """The lines that run straight across and straight up."""
    found = drawn_boxes(data)
    return [b for b in found if abs(b[3] - b[1]) < 1e-6], [b for b in found if abs(b[2] - b[0]) < 1e-6]


@pytest.mark.parametrize("scale", SCALES)
def test_the_check_bars_on_the_proof_are_100_mm_times_the_profile(scale: tuple[float, float]) -> None:
    layout = field_job(20.4, 5.0)
    layout = replace(layout, sheets=tuple(replace(s, printer=printer(scale)) for s in layout.sheets))
    flat, tall = flat_and_tall(render(proof(layout, [jobs.job(film="clear")], "t", None), ".pdf")[0])
    assert max(b[2] - b[0] for b in flat) == pytest.approx(100 * scale[0], abs=TENTH)
    assert max(b[3] - b[1] for b in tall) == pytest.approx(100 * scale[1], abs=TENTH)


@pytest.mark.parametrize("scale", SCALES)
def test_the_crosses_on_the_film_stand_as_far_apart_as_told_times_the_profile(scale: tuple[float, float]) -> None:
    layout = field_job(100.0, 80.0)
    (sheet,) = layout.sheets
    flat, tall = flat_and_tall(one_page(layout, replace(sheet, printer=printer(scale))))
    middles = {
        (round(x, 6), round(y, 6))
        for b in flat
        for u in tall
        if b[2] - b[0] == pytest.approx(REGISTRATION_CROSS * scale[0], abs=TENTH)
        and u[3] - u[1] == pytest.approx(REGISTRATION_CROSS * scale[1], abs=TENTH)
        and (x := (b[0] + b[2]) / 2) == pytest.approx(u[0], abs=TENTH)
        and (y := b[1]) == pytest.approx((u[1] + u[3]) / 2, abs=TENTH)
    }
    assert len(middles) == 3
    (ax, ay), (bx, by), (cx, cy) = sheet.furniture.registration
    assert ay == by and ax == cx and abs(bx - ax) > 60 and abs(cy - ay) > 40
    across, up = zip(*sorted(middles), strict=True)
    assert max(across) - min(across) == pytest.approx(abs(bx - ax) * scale[0], abs=TENTH)
    assert max(up) - min(up) == pytest.approx(abs(cy - ay) * scale[1], abs=TENTH)


@pytest.mark.needs("pdftocairo")
@pytest.mark.parametrize(("width", "height"), [(60.0, 21.7), (21.7, 60.0), (100.0, 12.34)])
def test_a_drawn_decal_is_true_to_one_and_a_half_micrometres(tmp_path: Path, width: float, height: float) -> None:
    """Darkness integrated along a row of dots across a straight-edged black decal.

    Along x only: cairo knows the share of a dot exactly in x, and to a fifteenth of a dot (5.6 µm) in y.
    """
    layout = field_job(width, height)
    dark = coverage(one_page(layout, layout.sheets[0]), tmp_path)
    dot = 25.4 / 300
    (placed,) = layout.sheets[0].placed
    area = MultiPolygon([p for i in placed.piece.artwork.shown for p in i.region.geoms])
    x0, y0, x1, y1 = transform(area, placed.matrix).bounds
    row = dark[round((297 - (y0 + y1) / 2) / dot), int(x0 / dot) - 3 : int(x1 / dot) + 4]
    assert row.sum() * dot == pytest.approx(x1 - x0, abs=1.5e-3)
    assert (x1 - x0, y1 - y0) == pytest.approx((width, height), abs=1e-9)
