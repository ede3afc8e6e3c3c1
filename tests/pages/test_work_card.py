"""The work card: steps and waits that fit the film, what lies over what, whose piece is which. Times are common
practice, no source."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest

from decalgen.commands.options import Options, SheetFiles
from decalgen.commands.run import Run
from decalgen.commands.sheet import make_sheet
from decalgen.core.cautions import LAW
from decalgen.core.errors import OutputError
from decalgen.job.model import Job
from decalgen.pages.whose_piece import laid_over, model_lines
from decalgen.pages.work_card import work_cards
from decalgen.pages.work_steps import DryingTime, after_steps, before_steps, waits, water_steps
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.helpers import jobs
from tests.helpers.page_words import words_of
from tests.helpers.tug import LETTERED


@lru_cache
def made(process: str = "inkjet", adhesive: bool = False, count: int = 1) -> tuple[Arrangement, tuple[Job, ...]]:
    field = jobs.element("field", ink="orange")
    ground = jobs.decal("ground", 20.0, 6.0, field, spares=2)
    name = jobs.decal("name", 8.0, 3.0, field, over=("ground",), copies=2)
    some = tuple(jobs.job(name, ground, name=("tug", "van")[n]) for n in range(count))
    films = [jobs.film("white", process=process, adhesive=adhesive)]
    printer = replace(jobs.PRINTER, process=process)
    return arrange(list(some), Plan(films, printer, effort=jobs.ONE_ORDER, hands="both")), some


def text_of(process: str = "inkjet", adhesive: bool = False) -> str:
    arrangement, some = made(process, adhesive)
    text = "".join(words.plain for words in words_of(work_cards(arrangement, some)))
    return unicodedata.normalize("NFKC", text)


@pytest.mark.parametrize(
    ("process", "adhesive", "sealing"), [("inkjet", False, 3), ("laser", False, 0), ("inkjet", True, 0)]
)
def test_only_inkjet_ink_on_waterslide_film_is_sealed(process: str, adhesive: bool, sealing: int) -> None:
    arrangement, some = made(process, adhesive)
    (sheet,) = arrangement.sheets
    rows = [row.what for row in waits(sheet, some)]
    assert sum("sealing" in row for row in rows) == sealing
    assert any(step.name == "Sealed" for step in before_steps(sheet.film)) == bool(sealing)
    assert ("sealing coat" in " ".join(rows)) == ("sealingcoat" in text_of(process, adhesive))


def test_a_laser_gets_no_opened_film_and_self_adhesive_film_no_water() -> None:
    assert "Nofilmwithopeningscutinit" in text_of("laser") and "Nofilmwithopenings" not in text_of("inkjet")
    assert "soak" in {step.name for step in water_steps(made()[0].sheets[0].film)}
    adhesive = made("inkjet", True)[0].sheets[0].film
    assert "soak" not in {step.name for step in water_steps(adhesive)}
    assert "wash" not in {step.name for step in after_steps(adhesive)}
    assert "Atthewater" not in text_of("inkjet", True)


def test_every_wait_is_a_range_and_the_label_goes_before_it() -> None:
    arrangement, some = made()
    assert all(" to " in row.time.words or "or more" in row.time.words for row in waits(arrangement.sheets[0], some))
    text = text_of()
    assert "commonpractice,nosource" in text and "thelabelcounts" in text.replace(" ", "")
    assert LAW.split(";")[0].replace(" ", "") in text


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [(480, 1440, "8 to 24 h"), (15, 60, "15 to 60 min"), (30, 60, "30 to 60 min"), (1440, None, "24 h or more")],
)
def test_a_time_is_told_in_the_unit_that_fits(least: int, most: int | None, words: str) -> None:
    assert DryingTime(least, most).words == words


def test_what_lies_over_what_is_told_in_clock_and_order() -> None:
    """The job names the piece on top first; it is laid last all the same."""
    arrangement, some = made()
    (sheet,) = arrangement.sheets
    assert laid_over(sheet, some) == [("1", "2")]
    assert any(row.what == "2" and row.until == "before 1 goes over it" for row in waits(sheet, some))
    (line,) = model_lines(sheet, arrangement, some)
    assert line.texts == ("ground 2 +2 \N{MIDDLE DOT} name 1 \N{MULTIPLICATION SIGN} 2",) and line.letter == ""


def test_each_model_has_its_line_and_the_pieces_all_are_in_one() -> None:
    arrangement, some = made(count=2)
    (sheet,) = arrangement.sheets
    lines = model_lines(sheet, arrangement, some)
    assert [line.letter for line in lines] == ["A", "C"] and [line.name for line in lines] == [
        job.title for job in some
    ]
    shown = " ".join(text for line in lines for text in line.texts).replace(",", "").split()
    assert {one.piece.label for one in sheet.placed} <= set(shown)


def test_a_sheet_leaves_its_card_only_where_it_is_asked_for_and_as_pdf(tmp_path: Path) -> None:
    job = tmp_path / "tug.yaml"
    job.write_text(LETTERED, encoding="utf-8")
    run, asked = Run([job], Options(("white A5",), effort="quick")), tmp_path / "card.pdf"
    plain = SheetFiles((tmp_path / "sheet.pdf",), without_proof="only a test")
    made = make_sheet(run, replace(plain, work_card=asked))
    assert made.files[asked].startswith(b"%PDF") and asked not in make_sheet(run, plain).files
    with pytest.raises(OutputError, match="is not a PDF"):
        make_sheet(run, replace(plain, work_card=tmp_path / "card.png"))
    with pytest.raises(OutputError, match="is named twice"):
        make_sheet(run, replace(plain, work_card=tmp_path / "sheet.pdf"))


def test_notes_lie_on_the_page_or_are_left_out() -> None:
    arrangement, some = made()
    for width, height in ((210.0, 297.0), (148.0, 210.0), (215.9, 279.4)):
        document = work_cards(arrangement, some, width, height)
        found = words_of(document)
        assert found and all(words.box.bounds[1] >= 9.0 for words in found)
