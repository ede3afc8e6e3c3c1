"""Plates: one ink each, in printing order, the same marks on all, white choked and first; areas by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pypdfium2
import pytest
from shapely.geometry import MultiPolygon
from shapely.ops import unary_union

from decalgen.artwork.build import build
from decalgen.colour.printer import PrinterColour
from decalgen.colour.separations import trap
from decalgen.core.document import Document, Fill, Page, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import transform
from decalgen.export import render
from decalgen.job.model import InkSpec, Job, Paint, Printer
from decalgen.nesting.model import QUICK
from decalgen.pages.film import artwork_symbol, final
from decalgen.pages.plates import Separated, separated
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.helpers import jobs

MISS = 0.2
WHITE = replace(jobs.PRINTER, name="two-pass", white=True, misregister=MISS, swatches=PrinterColour(opacity=0.9))
HOME = replace(jobs.PRINTER, misregister=MISS)


def laid(job: Job | Sequence[Job], printer: Printer, width: float = 148.0, height: float = 210.0) -> Arrangement:
    some = [job] if isinstance(job, Job) else list(job)
    kinds = dict.fromkeys(one.film for one in some)
    return arrange(some, Plan([jobs.film(kind, width, height) for kind in kinds], printer, effort=QUICK))


def made(job: Job | Sequence[Job], printer: Printer, **size: float) -> Separated:
    some = [job] if isinstance(job, Job) else list(job)
    return separated(laid(job, printer, **size), some, "Test", "2026-11-25")


def area(document: Document) -> MultiPolygon:
    """Everything a plate prints but its marks."""
    (layer,) = [layer for layer in document.pages[0].layers if layer.purpose == "artwork"]
    found = [transform(f.region, use.matrix) for use in layer.items if isinstance(use, Use) for f in use.symbol.items]
    return unary_union(found)


def marks(page: Page) -> tuple[Any, ...]:
    (layer,) = [layer for layer in page.layers if layer.purpose == "marks"]
    return layer.items


def by_name(result: Separated) -> dict[str, Document]:
    return {file.name: file.document for file in result.files}


def band(film: str = "clear", **more: Any) -> Job:
    """A field of 10 x 4 mm in orange with a navy one of 4 x 2 in its middle, on film over navy."""
    field = jobs.element("field", ink="orange", width=10.0, height=4.0)
    inner = jobs.element("field", ink="navy", width=4.0, height=2.0)
    return jobs.job(jobs.decal("band", 12.0, 6.0, field, inner, **more), film=film)


def test_white_is_first_then_the_lighter_ink() -> None:
    result = made(band(), WHITE)
    assert [file.name for file in result.files] == ["plate-1-White", "plate-2-orange", "plate-3-navy", "artwork"]
    assert result.files[0].words == "plate 1 of 3: White, 2 passes, before everything else"
    assert result.findings == ()


def test_a_printer_without_white_has_plates_of_its_inks_alone() -> None:
    assert [file.name for file in made(band("white"), HOME).files] == ["plate-1-orange", "plate-2-navy"]


def test_white_lies_under_what_needs_it_choked_by_the_misregister() -> None:
    """Navy over navy wants white like orange does; the whole 10 x 4 is drawn in by 0.2 on every side."""
    plates = by_name(made(band(copies=3), WHITE))
    assert area(plates["plate-1-White"]).area == pytest.approx(3 * (10 - 2 * MISS) * (4 - 2 * MISS), abs=1e-6)


def test_no_white_where_the_decal_asks_for_none() -> None:
    assert [file.name for file in made(band(underlay="none"), WHITE).files] == ["plate-1-orange", "plate-2-navy"]


def test_all_its_inks_get_white_where_the_decal_asks_for_it() -> None:
    job = jobs.job(jobs.decal("dot", 6.0, 6.0, jobs.element("field", ink="k"), underlay="all"), film="clear")
    job = replace(job, inks=(*job.inks, InkSpec("k", "process", "#000000")))
    white = by_name(made(job, WHITE))["plate-1-White"]
    assert area(white).area == pytest.approx((6 - 2 * MISS) ** 2, abs=1e-6)


def test_white_art_is_on_the_white_plate_at_full_size_and_not_in_the_artwork() -> None:
    job = jobs.job(jobs.decal("dot", 6.0, 6.0, jobs.element("field", ink="white", width=5.0, height=3.0)), film="clear")
    plates = by_name(made(job, WHITE))
    assert list(plates) == ["plate-1-White", "artwork"]
    assert area(plates["plate-1-White"]).area == pytest.approx(15.0, abs=1e-6)
    assert area(plates["artwork"]).is_empty


def test_the_lighter_ink_runs_under_the_darker_by_the_misregister() -> None:
    plates = by_name(made(band("white", margin=0.5), HOME))
    # Orange is knocked out under navy, but for a rim of 0.2 mm inside the edge of the 4 x 2 field.
    left_open = (4 - 2 * MISS) * (2 - 2 * MISS)
    assert area(plates["plate-1-orange"]).area == pytest.approx(10 * 4 - left_open, abs=1e-6)
    assert area(plates["plate-2-navy"]).area == pytest.approx(4 * 2, abs=1e-6)


def test_without_misregister_plates_do_not_overlap() -> None:
    plates = by_name(made(band("white", margin=0.5), replace(HOME, misregister=0.0)))
    orange, navy = (area(document) for document in plates.values())
    assert orange.intersection(navy).area == pytest.approx(0.0, abs=1e-9)
    assert orange.area + navy.area == pytest.approx(40.0, abs=1e-6)


def test_white_leaves_the_other_plates_as_they_are() -> None:
    with_white, without = (by_name(made(band(underlay=words), WHITE)) for words in ("all", "none"))
    assert area(with_white["plate-2-orange"]).equals(area(without["plate-1-orange"]))
    assert area(with_white["plate-3-navy"]).equals(area(without["plate-2-navy"]))


# ---------------------------------------------------------------------------------------------------------- marks
def test_every_plate_has_the_same_marks_and_its_own_name() -> None:
    result = made(band(), WHITE)
    layout = laid(band(), WHITE)
    assert len(layout.sheets[0].furniture.registration) == 3
    same = {marks(file.document.pages[0])[:-1] for file in result.files}
    assert same == {marks(final(layout, "Test", None).pages[0])}
    names = [marks(file.document.pages[0])[-1] for file in result.files]
    assert len(set(names)) == len(names)


def test_a_plates_name_lies_on_nothing() -> None:
    """On a crowded sheet the name finds a place or is left to the file's name."""
    job = band(copies=12)
    layout = laid(job, WHITE, 100.0, 100.0)
    before: list[list[Fill]] = [[] for _ in layout.sheets]
    for file in separated(layout, [job], "Test", None).files:
        for sheet, page, names in zip(layout.sheets, file.document.pages, before, strict=True):
            name = marks(page)[len(sheet.in_waste) :]
            for fill in name:
                assert isinstance(fill, Fill)
                assert sheet.area.contains(fill.region)
                others = [*(p.outer for p in sheet.placed), *sheet.furniture.keep_outs]
                # All plates may be printed on one film, so no name lies on another either.
                for other in (*others, *(name.region for name in names)):
                    assert not other.intersects(fill.region)
                names.append(fill)
    assert sum(map(len, before)) == 4


def test_a_sheet_too_small_for_registration_marks_is_told() -> None:
    result = made(band("white"), HOME, width=32.0, height=22.0)
    assert [(f.severity, f.code, f.subject) for f in result.findings] == [("warning", "no-registration", "sheet 1")]


def test_thin_strokes_without_white_are_told_again() -> None:
    job = jobs.job(jobs.decal("line", 12.0, 6.0, jobs.element("field", ink="orange", height=0.4)), film="clear")
    assert [f.code for f in made(job, WHITE).findings] == ["white-dropped"]


# ------------------------------------------------------------------------------------------------------------- jobs
def test_an_ink_that_two_jobs_see_in_two_colours_has_no_plate() -> None:
    one, two = band("white"), band("white")
    other = replace(two, name="h9", inks=tuple(replace(i, colour="#d2501b") for i in two.inks))
    with pytest.raises(DecalgenError, match="the ink 'orange' is process #e8641b in job 'gannet' and process #d2501b"):
        made([one, other], HOME)
    assert len(made([one, replace(two, name="h9")], HOME).files) == 2


def test_one_drawing_over_two_bodies_gets_white_over_one() -> None:
    dark = band()
    light = replace(band(), name="h9", paints=(Paint("navy", "#ffffff"),))
    plates = by_name(made([dark, light], WHITE))
    assert area(plates["plate-1-White"]).area == pytest.approx((10 - 2 * MISS) * (4 - 2 * MISS), abs=1e-6)
    assert area(plates["plate-3-navy"]).area == pytest.approx(2 * 4 * 2, abs=1e-6)


# -------------------------------------------------------------------------------------------------------- the files
def test_the_black_of_a_plates_pdf_is_its_area() -> None:
    """Counted in a picture by another program (PDFium): within 0.6 of a pixel along the edge."""
    dpi = 1200
    (file, *_) = made(band(), WHITE).files
    picture = pypdfium2.PdfDocument(render(file.document, ".pdf")[0])[0].render(scale=dpi / 72)
    grey = 1.0 - np.asarray(picture.to_pil().convert("L"), dtype=float) / 255
    x0, y0, x1, y1 = (v * dpi / 25.4 for v in area(file.document).buffer(0.05).bounds)
    found = grey[round(grey.shape[0] - y1) : round(grey.shape[0] - y0), round(x0) : round(x1)].sum()
    pixel = 25.4 / dpi
    wanted = area(file.document)
    assert found * pixel**2 == pytest.approx(wanted.area, abs=0.6 * wanted.length * pixel)


def test_plates_are_of_plain_ink_and_the_same_every_time() -> None:
    first, again = (made(band(), WHITE) for _ in range(2))
    for one, two in zip(first.files, again.files, strict=True):
        data = render(one.document, ".pdf")[0]
        assert data == render(two.document, ".pdf")[0]
        assert b"/Separation" not in data and b"/OCProperties" not in data


def test_the_printers_correction_is_on_every_plate() -> None:
    result = made(band(), replace(WHITE, scale_x=1.01, scale_y=0.99))
    assert {file.document.scale for file in result.files} == {(1.01, 0.99)}


def test_a_wider_trap_would_change_nothing_in_a_file_of_one_pass() -> None:
    """Why only plates are trapped by the misregister: painted whole, from light to dark, no spread is left to see."""
    fields = jobs.element("field", ink="orange"), jobs.element("field", ink="navy", width=6.0)
    decal = jobs.decal("d", 20, 10, *fields)
    art = build(jobs.job(decal), decal)
    regions = {inked.ink: inked.region for inked in art.printed}
    lightness = {"orange": 60.0, "navy": 20.0}
    spread = trap(regions, lightness, 0.4)
    assert spread["orange"].area > regions["orange"].area + 1.0  # It is a spread, on both sides of the navy.
    seen = {"orange": spread["orange"].difference(spread["navy"]), "navy": spread["navy"]}
    painted = {fill.ink: fill.region for fill in artwork_symbol(art, "d").items}
    for ink, area in (("orange", painted["orange"].difference(painted["navy"])), ("navy", painted["navy"])):
        assert area.symmetric_difference(seen[ink]).area < 1e-6, ink
