"""One sheet in several files: every outline and every page box at the same place in all of them, each read back by a
reader of its own after the file's own correction is taken out; on A5 and on A3.

Within 1 um; 2 um where a file walks an arc and another its corners (each may be 1 um off the true arc).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from io import BytesIO

import pikepdf
import pytest
from shapely.affinity import affine_transform

from decalgen.core.document import Document, Fill, Use
from decalgen.export import render
from decalgen.job.model import Cut, Cutter, Job
from decalgen.nesting.model import QUICK
from decalgen.pages.cutting import cutting_document
from decalgen.pages.film import final
from decalgen.pages.press import press_document, press_file
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.export.outlines import POINT, Drawn, apart, pdf_outlines, svg_outlines, uncorrected
from tests.helpers import jobs
from tests.pages.test_cutting import dxf_rings

MICROMETRE = 0.001
SCALE = (1.0031, 0.9984)
PRINTER = replace(jobs.PRINTER, scale_x=SCALE[0], scale_y=SCALE[1])
CUTTER = Cutter("desk cutter", 0.9987, 1.0023)
SIZES = {"A5": (148.0, 210.0), "A3": (297.0, 420.0)}


def livery() -> Job:
    """Straight and round cut lines, bleed, a bare margin, slanted art, lettering, both hands."""
    words = jobs.element("lettering", text=("STORES",), cap_height=3.0, ink="navy")
    slanted = jobs.element("stripe", stripe_width=1.3, ink="orange", angle=33.0, count=3, pitch=3.1, height=8.0)
    return jobs.job(
        jobs.decal("band", 40.0, 8.0, slanted, words, hands="both"),
        jobs.decal("round", 13.3, 13.3, jobs.element("field", ink="navy"), cut=Cut("round"), copies=3),
        jobs.decal("soft", 21.7, 9.1, jobs.element("field", ink="green"), cut=Cut(corner_radius=1.7), margin=0.5),
    )


@lru_cache
def layout(name: str) -> Arrangement:
    return arrange([livery()], Plan([jobs.film("white", *SIZES[name])], PRINTER, effort=QUICK))


def farthest(one: list[Drawn], other: list[Drawn]) -> float:
    assert len(one) == len(other) > 20
    return max(apart(a.points, b.points) for a, b in zip(one, other, strict=True))


def taken_out(found: list[Drawn], size: tuple[float, float], scale: tuple[float, float]) -> list[Drawn]:
    return [replace(one, points=tuple(uncorrected(one.points, size, scale))) for one in found]


def cut_lines(name: str) -> list[list[tuple[float, float]]]:
    """Where the sheet has them."""
    (sheet,) = layout(name).sheets
    return [
        [(float(x), float(y)) for x, y in outline.moved(placed.matrix).polygon.exterior.coords]
        for placed in sheet.placed
        for outline in (placed.piece.artwork.cut, *placed.piece.artwork.holes)
    ]


@pytest.mark.parametrize("name", SIZES)
def test_home_print_as_pdf_and_svg(name: str) -> None:
    document = final(layout(name), "Harbour tug", "2026-11-25")
    (pdf,), (svg,) = render(document, ".pdf"), render(document, ".svg")
    one, other = (taken_out(found, SIZES[name], SCALE) for found in (pdf_outlines(pdf), svg_outlines(svg)))
    assert farthest(one, other) <= MICROMETRE
    # And both are where the sheet has the artwork, which knows nothing of files.
    wanted = drawn_rings(document)
    assert len(wanted) > 20
    assert max(apart(a.points, b) for a, b in zip(one, wanted, strict=False)) <= MICROMETRE


def drawn_rings(document: Document) -> list[list[tuple[float, float]]]:
    """The rings of the first layer's symbols where they are placed, moved by shapely."""
    found = []
    for use in document.pages[0].layers[0].items:
        assert isinstance(use, Use)
        a, b, c, d, e, f = use.matrix
        for item in use.symbol.items:
            assert isinstance(item, Fill)
            moved = affine_transform(item.region, [a, c, b, d, e, f])
            for polygon in moved.geoms:
                for ring in (polygon.exterior, *polygon.interiors):
                    found.append([(float(x), float(y)) for x, y in ring.coords])
    return found


@pytest.mark.parametrize("name", SIZES)
def test_press_file_is_true_and_agrees_with_svg(name: str) -> None:
    document = press_document(layout(name), [livery()], "Harbour tug", "2026-11-25")
    pdf, _ = press_file(layout(name), [livery()], "Harbour tug", "2026-11-25")
    (svg,) = render(document, ".svg")
    assert farthest(pdf_outlines(pdf), svg_outlines(svg)) <= 2 * MICROMETRE


@pytest.mark.parametrize("name", SIZES)
def test_cut_lines_in_press_pdf_dxf_and_svg(name: str) -> None:
    pdf, _ = press_file(layout(name), [livery()], "Harbour tug", "2026-11-25")
    document = cutting_document(layout(name), "cut", "2026-11-25", CUTTER)
    scale = (CUTTER.scale_x, CUTTER.scale_y)
    (dxf,), (svg,) = render(document, ".dxf"), render(document, ".svg")
    wanted = cut_lines(name)
    files = {
        "pdf": [one.points for one in pdf_outlines(pdf) if one.layer == "Cutting"],
        "dxf": [uncorrected(ring, SIZES[name], scale) for ring in dxf_rings(dxf, "CUTTING")],
        "svg": [one.points for one in taken_out(svg_outlines(svg), SIZES[name], scale) if one.layer == "Cut lines"],
    }
    for kind, found in files.items():
        assert len(found) == len(wanted) == 6, kind
        # A cutting file has its lines in the order of the shortest way.
        nearest = [min(range(6), key=lambda n, ring=ring: apart(ring, wanted[n])) for ring in found]  # type: ignore[misc]
        assert sorted(nearest) == list(range(6)), kind
        far = max(apart(ring, wanted[n]) for ring, n in zip(found, nearest, strict=True))
        assert far <= 2 * MICROMETRE, (kind, far)


@pytest.mark.parametrize("name", SIZES)
@pytest.mark.parametrize("kind", ["home", "press"])
def test_boxes_are_the_film_and_what_can_be_printed(name: str, kind: str) -> None:
    """The margins of the printer are 5, 5, 10 and 5 mm (left, right, bottom, top)."""
    if kind == "press":
        data, _ = press_file(layout(name), [livery()], "Harbour tug", "2026-11-25")
    else:
        (data,) = render(final(layout(name), "Harbour tug", "2026-11-25"), ".pdf")
    wide, high = SIZES[name]
    with pikepdf.open(BytesIO(data)) as pdf:
        page = pdf.pages[0]
        boxes = {key: [float(v) * POINT for v in page[key]] for key in ("/MediaBox", "/TrimBox", "/BleedBox")}
    trim = [5.0, 10.0, wide - 5.0, high - 5.0]
    if kind == "home":
        corners = uncorrected([(5.0, 10.0), (wide - 5.0, high - 5.0)], SIZES[name], (1 / SCALE[0], 1 / SCALE[1]))
        trim = [side for corner in corners for side in corner]
    else:
        # A press file's boxes hold all that belongs to the sheet: the pieces, the crosses, 4 mm overall with lines of
        # 0.1 mm, and a line of words less than 4 mm high beside them; nothing of the film that stays blank.
        sheet = layout(name).sheets[0]
        crosses = [(x - 2.05, y - 2.05, x + 2.05, y + 2.05) for x, y in sheet.furniture.registration]
        things = [*crosses, *(one.cut.bounds for one in sheet.placed)]
        held = [min(b[0] for b in things), min(b[1] for b in things), *(max(b[n] for b in things) for n in (2, 3))]
        found = boxes["/TrimBox"]
        assert trim[0] <= found[0] <= held[0] + MICROMETRE and trim[1] <= found[1] <= held[1] + MICROMETRE
        assert held[2] - MICROMETRE <= found[2] <= trim[2] and held[3] - MICROMETRE <= found[3] <= held[3] + 4.0
        trim = found
    assert boxes["/MediaBox"] == pytest.approx([0, 0, wide, high], abs=MICROMETRE)
    assert boxes["/TrimBox"] == pytest.approx(trim, abs=MICROMETRE)
    bleed = 0.5 if kind == "press" else 0.0
    wanted = [trim[0] - bleed, trim[1] - bleed, trim[2] + bleed, trim[3] + bleed]
    assert boxes["/BleedBox"] == pytest.approx(wanted, abs=MICROMETRE)
