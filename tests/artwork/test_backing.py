"""The piece of white film under a clear decal: its size, its sheet, what is said of it.

Sizes are checked by arithmetic on rectangles; that a backing is cut smaller than the art is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.artwork.backing import GUIDE, GUIDE_WIDTH, NARROWEST, backings
from decalgen.artwork.build import build
from decalgen.commands.draw import draw
from decalgen.commands.inputs import films_of
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.job.model import Decal, Job
from decalgen.nesting.model import QUICK
from decalgen.pages.decal_and_panel import decal_picture
from decalgen.pages.film import final
from decalgen.pages.plates import separated
from decalgen.sheet.arrange import arrange
from decalgen.sheet.plan import Plan
from tests.helpers import jobs
from tests.helpers.checks import check_jobs
from tests.helpers.commands import runner

CHOKE = 0.3


def banded(backing: str = "white", **more: object) -> Decal:
    """A field of 30 × 8 mm with white words on it."""
    return jobs.decal(
        "band",
        30,
        8,
        jobs.element("field", ink="orange"),
        jobs.element("lettering", text="BUOY", cap_height=4.0, ink="white"),
        backing=backing,
        **more,
    )


def clear(*decals: Decal) -> Job:
    return jobs.job(*decals, film="clear")


def codes(job: Job, **printer: object) -> set[str]:
    return {finding.code for finding in check_jobs([job], replace(jobs.PRINTER, **printer))}  # type: ignore[arg-type]


def test_a_base_is_the_art_drawn_in_by_its_choke_white_words_and_all() -> None:
    decal = banded()
    (backing,) = backings(build(clear(decal), decal))
    assert backing.film == "white"
    assert backing.cut_polygon.area == pytest.approx((30 - 2 * CHOKE) * (8 - 2 * CHOKE))
    assert backing.cut_polygon.bounds == pytest.approx((CHOKE, CHOKE, 30 - CHOKE, 8 - CHOKE))


def test_its_choke_is_the_jobs_to_say() -> None:
    decal = banded(backing_choke=0.5)
    (backing,) = backings(build(clear(decal), decal))
    assert backing.cut_polygon.bounds == pytest.approx((0.5, 0.5, 29.5, 7.5))


def test_nothing_is_printed_on_it_and_its_guide_lies_in_the_waste() -> None:
    decal = banded()
    (backing,) = backings(build(clear(decal), decal))
    assert backing.shown == ()
    (line,) = backing.printed
    assert line.ink == GUIDE.name
    assert line.region.intersection(backing.cut_polygon).area == pytest.approx(0, abs=1e-9)
    wide, high = 30 - 2 * CHOKE, 8 - 2 * CHOKE
    around = (wide + 2 * GUIDE_WIDTH) * (high + 2 * GUIDE_WIDTH) - wide * high
    assert line.region.area == pytest.approx(around)


def test_a_window_in_the_art_is_a_window_in_the_base() -> None:
    frame = jobs.decal("frame", 30, 20, jobs.element("border", ink="orange", line_width=4.0), backing="white")
    (backing,) = backings(build(clear(frame), frame))
    (hole,) = backing.holes
    assert hole.polygon.bounds == pytest.approx((4 - CHOKE, 4 - CHOKE, 26 + CHOKE, 16 + CHOKE))


def test_white_above_a_base_is_left_open_and_is_no_mistake() -> None:
    decal = banded()
    art = build(clear(decal), decal)
    assert {inked.ink for inked in art.shown} == {"orange"} and not art.bare.is_empty
    shown = sum(inked.region.area for inked in art.shown)
    assert shown + art.bare.area == pytest.approx(30 * 8)
    assert "white-on-clear" not in codes(clear(decal))
    assert "white-on-clear" in codes(clear(banded("none")))


def test_the_colours_are_judged_over_the_base() -> None:
    assert "colour-film" in codes(clear(jobs.decal("band", 30, 8, jobs.element("field", ink="orange"))))
    assert "colour-film" not in codes(clear(banded()))
    assert "lettering-contrast" not in codes(clear(banded()))


def test_each_copy_has_its_base_on_white_film_with_a_number_of_its_own() -> None:
    job = clear(banded(copies=2, hands="both"))
    layout = arrange([job], Plan([jobs.film("clear"), jobs.film("white")], jobs.PRINTER, effort=QUICK))
    by_film = {sheet.film.kind: sheet for sheet in layout.sheets}
    assert sorted(p.piece.number for p in by_film["clear"].placed) == [1, 1, 3, 3]
    assert sorted(p.piece.number for p in by_film["white"].placed) == [2, 2, 4, 4]
    assert {p.piece.artwork.name for p in by_film["white"].placed} == {
        "band, left, white backing",
        "band, right, white backing",
    }
    inks = {fill.ink for page in final(layout, "t", None).pages for layer in page.layers for use in layer.items
            if hasattr(use, "symbol") for fill in use.symbol.items}  # fmt: skip
    assert inks == {"orange", GUIDE.name}


def test_white_film_is_taken_for_it_where_none_is_named() -> None:
    films = films_of(Options(), [clear(banded())], jobs.PRINTER)
    assert [film.kind for film in films] == ["clear", "white"]


def test_a_printer_with_white_puts_none_under_what_has_a_base() -> None:
    printer = replace(jobs.PRINTER, white=True)
    layout = arrange([clear(banded())], Plan([jobs.film("clear"), jobs.film("white")], printer, effort=QUICK))
    names = [file.name for file in separated(layout, [clear(banded())], "t", None).files]
    assert not any("white" in name for name in names), names


def test_art_too_thin_for_a_base_is_said_with_its_place() -> None:
    thin = jobs.decal(
        "strip",
        30,
        20,
        jobs.element("field", jobs.At("top"), ink="orange", height=8.0),
        jobs.element("field", jobs.At("bottom"), ink="navy", height=NARROWEST + 2 * CHOKE - 0.1),
        backing="white",
    )
    (found,) = [f for f in check_jobs([clear(thin)], jobs.PRINTER) if f.code == "backing-dropped"]
    assert found.severity == "warning" and "backing choke" in found.fix and len(found.areas) == 1
    assert f"{30 * (NARROWEST + 2 * CHOKE - 0.1):.1f}" in found.message


def test_art_that_leaves_nothing_to_cut_is_an_error() -> None:
    hair = jobs.decal("hair", 30, 1.5, jobs.element("field", ink="orange"), backing="white")
    assert "backing-lost" in codes(clear(hair))


def test_a_base_under_white_film_is_an_error() -> None:
    assert "backing-film" in codes(jobs.job(banded(), film="white"))


def test_its_picture_gives_its_own_size() -> None:
    decal = banded()
    (backing,) = backings(build(clear(decal), decal))
    page = decal_picture(backing, clear(decal), None).pages[0]
    assert page.width > 0 and backing.name == "band, white backing"


JOB = """\
job: tug
body: "#5b3a21"
film: clear
panels: {funnel: {width: 40 mm, height: 22 mm}}
decals:
  band: {panel: funnel, width: 30 mm, height: 8 mm, backing: white, backing choke: 0.4 mm,
    artwork: [field: {ink: black}]}
"""


def test_a_job_file_asks_for_it_and_the_picture_is_drawn(tmp_path: Path) -> None:
    (tmp_path / "tug.yaml").write_text(JOB, encoding="utf-8")
    made = draw(Run([tmp_path / "tug.yaml"]), tmp_path / "out", [".svg"]).write()
    assert "tug-band-white-backing.svg" in {path.name for path in made.files}
    text = (tmp_path / "out" / "tug-band-white-backing.svg").read_text(encoding="utf-8")
    assert "<svg" in text


def test_white_asked_of_a_printer_without_names_the_key_to_write(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = JOB.replace("backing: white, backing choke: 0.4 mm", "underlay: all")
    (tmp_path / "tug.yaml").write_text(text, encoding="utf-8")
    said = runner(capsys)("check", str(tmp_path / "tug.yaml"))
    assert said.code != 0 and "`backing: white`" in said.err + said.out
