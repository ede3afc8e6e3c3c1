"""Twenty sheets as a print shop gets them: all keep the rules of structure.py, qpdf finds nothing, forms are shared."""

from __future__ import annotations

import subprocess
from collections import Counter
from dataclasses import dataclass, field, replace
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pikepdf import Dictionary, Name

from decalgen.colour.printer import PrinterColour
from decalgen.job.model import Cut, Decal, InkSpec, Job, Paint, Printer
from decalgen.nesting.model import QUICK
from decalgen.pages.press import press_file
from decalgen.panels.base import Obstacle
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.export.structure import problems
from tests.helpers import jobs

PLAIN = jobs.PRINTER
SHOP = replace(PLAIN, name="shop", white=True, misregister=0.2, swatches=PrinterColour(opacity=0.9))
NAVY, ORANGE = jobs.element("field", ink="navy"), jobs.element("field", ink="orange", width=10.0, height=4.0)
WORDS = jobs.element("lettering", text=("STORES 14",), cap_height=2.0, ink="white")
GAP = Obstacle("shut line", jobs.outline(29.8, 0.0, 0.4, 40.0), 0.2, gap=True)


@dataclass(frozen=True)
class Sheet:
    """One file: its decals, film, printer and what else is special about it."""

    decals: tuple[Decal, ...]
    film: str = "white"
    printer: Printer = PLAIN
    size: tuple[float, float] = (148.0, 210.0)
    title: str = "Harbour tug"
    date: str = "2026-11-25"
    inks: tuple[InkSpec, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    body: str = "#1d2b4a"
    more: tuple[Job, ...] = field(default=())

    def jobs(self) -> list[Job]:
        panel = jobs.panel(obstacles=self.obstacles)
        one = jobs.job(*self.decals, film=self.film, panels=(panel,))
        changed = replace(one, inks=(*one.inks, *self.inks), paints=(Paint("navy", self.body),), date=self.date)
        return [changed, *self.more]


def band(*elements: Any, width: float = 30.0, height: float = 8.0, name: str = "band", **more: Any) -> Decal:
    return jobs.decal(name, width, height, *elements, **more)


SHEETS: dict[str, Sheet] = {
    "one field": Sheet((band(NAVY),)),
    "many copies": Sheet((band(NAVY, copies=24),)),
    "both hands": Sheet((band(NAVY, WORDS, hands="both", copies=2),)),
    "round": Sheet((band(NAVY, width=12.0, height=12.0, cut=Cut("round"), copies=3),)),
    "soft corners": Sheet((band(NAVY, cut=Cut(corner_radius=2.0)),)),
    "along the artwork": Sheet((band(ORANGE, cut=Cut("artwork")),)),
    "clear film": Sheet((band(ORANGE),), film="clear"),
    "white under": Sheet((band(ORANGE, underlay="all"),), film="clear", printer=SHOP),
    "white art": Sheet((band(NAVY, WORDS, underlay="all"),), film="clear", printer=SHOP),
    "white of no need": Sheet((band(ORANGE, underlay="none", copies=2),), film="clear", printer=SHOP),
    "white over a light body": Sheet((band(ORANGE, WORDS),), film="clear", printer=SHOP, body="#ffffff"),
    "cut around": Sheet((band(NAVY, cut_around=("handle",), width=50.0, height=30.0),), obstacles=(jobs.handle(),)),
    "split at a gap": Sheet((band(NAVY, split_at=("shut line",), width=50.0),), obstacles=(GAP,)),
    "several decals": Sheet((band(NAVY), band(ORANGE, name="two", margin=0.5), band(WORDS, NAVY, name="three"))),
    "several sheets": Sheet((band(NAVY, width=60.0, height=40.0, copies=14),), size=(148.0, 210.0)),
    "A3": Sheet((band(NAVY, WORDS, copies=6),), size=(297.0, 420.0)),
    "other letters": Sheet((band(NAVY),), title="Poste d'\u00e9t\u00e9 & \u6771\u4eac <14> (\\)"),
    "spot of any name": Sheet(
        (band(jobs.element("field", ink="H\u00e5vbl\u00e5 \u6771"), jobs.element("field", ink="gold", width=4.0)),),
        inks=(InkSpec("H\u00e5vbl\u00e5 \u6771", "spot", "#0055a4"), InkSpec("gold", "metallic", "#b08d57")),
    ),
    "an ink called Cutting": Sheet((band(jobs.element("field", ink="Cutting")),), inks=(InkSpec("Cutting", "spot"),)),
    "two jobs": Sheet((band(NAVY),), more=(jobs.job(band(ORANGE), name="h9"),)),
}


@lru_cache
def made(name: str) -> tuple[bytes, Arrangement]:
    sheet = SHEETS[name]
    work = sheet.jobs()
    layout = arrange(work, Plan([jobs.film(sheet.film, *sheet.size)], sheet.printer, effort=QUICK))
    return press_file(layout, work, sheet.title, sheet.date)[0], layout


def test_there_are_twenty() -> None:
    assert len(SHEETS) == 20
    assert len({made(name)[0] for name in SHEETS}) == 20


@pytest.mark.parametrize("name", SHEETS)
def test_it_keeps_the_rules(name: str) -> None:
    assert problems(made(name)[0]) == []


@pytest.mark.needs("qpdf")
@pytest.mark.parametrize("name", SHEETS)
def test_qpdf_finds_nothing(name: str, tmp_path: Path) -> None:
    (tmp_path / "press.pdf").write_bytes(made(name)[0])
    words = ["qpdf", "--check", "press.pdf"]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("name", SHEETS)
def test_spots_are_white_and_cutting_marks_in_all_and_nothing_else(name: str) -> None:
    with pikepdf.open(BytesIO(made(name)[0])) as pdf:
        spots = {
            str(space[1])
            for item in pdf.objects
            if isinstance(item, Dictionary | pikepdf.Stream)
            for space in item.get("/Resources", Dictionary()).get("/ColorSpace", Dictionary()).values()
        }
    assert spots - {"/White"} == {"/Cutting", "/All"}
    # Orange over a white body needs no white; the white lettering there is an ink like any other.
    assert ("/White" in spots) == (name in ("white under", "white art", "white over a light body"))


@pytest.mark.parametrize("name", ["many copies", "both hands", "several sheets", "two jobs"])
def test_a_form_a_distinct_decal_placed_as_often_as_there_are_pieces(name: str) -> None:
    data, layout = made(name)
    placed = [p.piece for sheet in layout.sheets for p in sheet.placed]
    distinct = {(piece.artwork.job, piece.artwork.digest) for piece in placed}
    with pikepdf.open(BytesIO(data)) as pdf:
        streams = [item for item in pdf.objects if isinstance(item, pikepdf.Stream)]
        forms = {item.objgen for item in streams if item.get("/Subtype") == Name.Form}
        uses: Counter[str] = Counter()
        for page in pdf.pages:
            layer = ""
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) == "BDC":
                    layer = str(page.Resources.Properties[str(operands[1])].Name)
                elif str(operator) == "Do":
                    uses[layer] += 1
    # Artwork and cut line, a form each.
    assert len(forms) == 2 * len(distinct)
    assert uses == {"Artwork": len(placed), "Cutting": len(placed)}


def test_layers_are_steps_and_bleed_is_off() -> None:
    with pikepdf.open(BytesIO(made("one field")[0])) as pdf:
        steps = {str(g.Name): g.get("/GTS_Metadata", Dictionary()) for g in pdf.Root.OCProperties.OCGs}
        off = [str(group.Name) for group in pdf.Root.OCProperties.D.OFF]
    assert list(steps) == ["Artwork", "Bleed", "Marks", "Crop marks", "Cutting"]
    assert (steps["Bleed"].GTS_ProcStepsGroup, steps["Bleed"].GTS_ProcStepsType) == (Name.Structural, Name.Bleed)
    assert (steps["Cutting"].GTS_ProcStepsGroup, steps["Cutting"].GTS_ProcStepsType) == (Name.Structural, Name.Cutting)
    assert off == ["Bleed"]


def test_dates_come_from_the_job_alone() -> None:
    with pikepdf.open(BytesIO(made("one field")[0])) as pdf:
        assert str(pdf.docinfo.CreationDate).startswith("D:20261125")
        assert str(pdf.docinfo.ModDate) == str(pdf.docinfo.CreationDate)
    again, _ = made("one field")
    made.cache_clear()
    assert made("one field")[0] == again


def test_titles_in_any_letters_are_whole() -> None:
    with pikepdf.open(BytesIO(made("other letters")[0])) as pdf, pdf.open_metadata() as packet:
        assert str(pdf.docinfo.Title) == packet["dc:title"] == SHEETS["other letters"].title


def test_streams_are_packed_as_bytes_not_as_text() -> None:
    """No ASCII filter: a quarter larger and slower (ISO 32000-1, 7.4.3)."""
    data, _ = made("A3")
    assert b"/ASCII85Decode" not in data and b"/ASCIIHexDecode" not in data and b"/FlateDecode" in data
