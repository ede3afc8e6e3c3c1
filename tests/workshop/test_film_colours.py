"""A film's own colour, from its file to what is said and drawn. Colours are invented; the product of an ink and its
ground is checked against published data in tests/colour."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.artwork.build import build
from decalgen.artwork.over_body import advised, as_planned, on_clear
from decalgen.colour.difference import delta_e
from decalgen.colour.typed import parse
from decalgen.commands.draw import draw
from decalgen.commands.inputs import jobs_of
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.core.errors import InputError
from decalgen.job.films import load_film
from decalgen.pages.decal_and_panel import decal_picture, panel_picture
from decalgen.workshop.drawer import Drawer, DrawerEntry
from decalgen.workshop.drawer.plain import read_plain, write_plain
from decalgen.workshop.drawer.rows import APPLICATION
from decalgen.workshop.drawer.store import SINCE_2, SINCE_3, TABLES, drawer_file
from tests.helpers import jobs
from tests.helpers.commands import runner

JOB = """\
job: tug
body: "#1d2b4a"
film: white
inks: {orange: {colour: "#e8641b"}}
panels: {funnel: {width: 40 mm, height: 22 mm}}
decals: {band: {panel: funnel, width: 30 mm, height: 8 mm, artwork: [field: {ink: orange}]}}
"""
FILM = """\
film: old box
kind: white
process: inkjet
sheet: A5
colour: lab(80 0 30)
"""


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    (tmp_path / "tug.yaml").write_text(JOB, encoding="utf-8")
    (tmp_path / "film.yaml").write_text(FILM, encoding="utf-8")
    return tmp_path


def test_a_film_file_keeps_its_colour(files: Path) -> None:
    assert load_film(files / "film.yaml").colour == "lab(80 0 30)"
    assert load_film("white A5").colour == ""


def test_ink_is_judged_on_the_film_there_is(files: Path) -> None:
    plain = jobs_of([files / "tug.yaml"], Options())[0]
    (job,) = jobs_of([files / "tug.yaml"], Options(films=(str(files / "film.yaml"),)))
    art = build(job, job.decals[0])
    on_film, usual = as_planned(art, job, jobs.PRINTER), as_planned(art, plain, jobs.PRINTER)
    assert delta_e(on_film.ground, parse("lab(80 0 30)")) == pytest.approx(0, abs=1e-9)
    # A translucent ink is never lighter than what lies under it, and darker on a darker ground.
    assert on_film.look("orange").lab[0] < usual.look("orange").lab[0]
    assert on_film.look("orange").lab[0] < 80
    assert delta_e(advised(art, job, jobs.PRINTER).ground, parse("lab(80 0 30)")) == pytest.approx(0, abs=1e-9)


def test_tinted_clear_film_tints_the_body(files: Path) -> None:
    (plain,) = jobs_of([files / "tug.yaml"], Options())
    job = replace(plain, film_colours=(("clear", "lab(85 0 25)"),))
    art = build(plain, plain.decals[0])
    assert (
        on_clear(art, job, jobs.PRINTER).look("orange").lab[0]
        < on_clear(art, plain, jobs.PRINTER).look("orange").lab[0]
    )


def test_the_picture_shows_the_film(files: Path) -> None:
    draw(Run([files / "tug.yaml"], Options(films=(str(files / "film.yaml"),))), files / "out", [".svg"]).write()
    text = (files / "out" / "tug-band-colours.svg").read_text(encoding="utf-8")
    assert parse("lab(80 0 30)").hex in text


def test_the_check_says_what_yellowed_film_does(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run = runner(capsys)
    assert "colour-film" not in run("check", str(files / "tug.yaml")).err
    said = run("check", str(files / "tug.yaml"), "--film", str(files / "film.yaml"))
    assert "colour-film" in said.err + said.out


def test_a_colour_out_of_range_is_told_with_its_place(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (files / "film.yaml").write_text(FILM.replace("lab(80", "lab(140"), encoding="utf-8")
    said = runner(capsys)("draw", str(files / "tug.yaml"), "--film", str(files / "film.yaml"), "-o", str(files / "out"))
    assert said.code != 0 and "film.yaml:5:9" in said.err and "between 0 and 100" in said.err


@pytest.mark.parametrize("words", ["film", "drawer"])
def test_thin_white_film_lets_the_body_through(files: Path, capsys: pytest.CaptureFixture[str], words: str) -> None:
    run, tug, film = runner(capsys), str(files / "tug.yaml"), str(files / "film.yaml")
    (files / "film.yaml").write_text(FILM.replace("colour: lab(80 0 30)", "opacity: 0.6"), encoding="utf-8")
    assert load_film(files / "film.yaml").opacity == 0.6
    if words == "drawer":
        assert run("film", "add", film).code == 0
        assert Drawer().sheets()[0].film().opacity == 0.6
        assert read_plain(write_plain(Drawer().sheets()), "x") == Drawer().sheets()
        film = "drawer"
    said = run("check", tug, "--film", film)
    assert "colour-film" in said.err + said.out
    (job,) = jobs_of([Path(tug)], Options(films=(film,)))
    art = build(job, job.decals[0])
    seen = as_planned(art, job, jobs.PRINTER)
    # ISO 6504-3: over the navy body a white of 0.6 is clearly darker than white, and lighter than the body.
    assert parse("#1d2b4a").lab[0] + 20 < seen.ground.lab[0] < 90


def test_a_film_that_covers_well_gives_no_warning(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (files / "film.yaml").write_text(FILM.replace("colour: lab(80 0 30)", "opacity: 0.99"), encoding="utf-8")
    said = runner(capsys)("check", str(files / "tug.yaml"), "--film", str(files / "film.yaml"))
    assert "colour-film" not in said.err + said.out


@pytest.mark.parametrize(
    ("line", "kind", "message"),
    [
        ("opacity: 0", "white", "leave it out"),
        ("opacity: 2", "white", "from 0.05 to 0.995"),
        ("opacity: 90", "white", "90 % is 0.9"),
        ("opacity: 0.9", "clear", "an opacity belongs to white film"),
        ("opacity: much", "white", "number"),
    ],
)
def test_an_opacity_that_cannot_be_is_told_with_its_place(
    files: Path, capsys: pytest.CaptureFixture[str], line: str, kind: str, message: str
) -> None:
    text = FILM.replace("colour: lab(80 0 30)", line).replace("kind: white", f"kind: {kind}")
    (files / "film.yaml").write_text(text, encoding="utf-8")
    said = runner(capsys)("check", str(files / "tug.yaml"), "--film", str(files / "film.yaml"))
    assert said.code != 0 and "film.yaml:5:10" in said.err and message in said.err


def test_a_drawer_of_the_form_before_opacities_is_brought_up_to_date(files: Path) -> None:
    drawer_file().parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(drawer_file())) as base:
        for statement in (*TABLES, *SINCE_2, *SINCE_3):
            base.execute(statement)
        base.execute(f"PRAGMA application_id = {APPLICATION}")
        base.execute("PRAGMA user_version = 3")
        base.execute(
            "INSERT INTO sheet (name, kind, process, width, height, adhesive, bought, leads, note, price, colour) "
            "VALUES ('before', 'white', 'inkjet', 148, 210, 0, '', 'top', '', '', 'lab(80 0 30)')"
        )
        base.commit()
    assert [(s.entry.colour, s.entry.opacity) for s in Drawer().sheets()] == [("lab(80 0 30)", None)]
    Drawer().add([DrawerEntry("thin", "white", "inkjet", 148.0, 210.0, opacity=0.6)])
    assert [s.entry.opacity for s in Drawer().sheets()] == [None, 0.6]
    # An exported drawer of that form, and one whose opacity cannot be.
    old = json.loads(write_plain(Drawer().sheets()))
    old["form"] = "decalgen film drawer 3"
    for sheet in old["sheets"]:
        del sheet["opacity"]
    assert [one.entry.opacity for one in read_plain(json.dumps(old).encode(), "x")] == [None, None]
    with pytest.raises(InputError, match=r"opacity 6 is out of range"):
        read_plain(write_plain(Drawer().sheets()).replace(b'"opacity": 0.6', b'"opacity": 6'), "x")


def test_the_drawer_keeps_a_film_s_colour_and_its_warning(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run, tug, film = runner(capsys), str(files / "tug.yaml"), str(files / "film.yaml")
    assert run("film", "add", "white A5").code == 0
    assert "colour-film" not in run("check", tug, "--film", "drawer").err
    assert run("film", "add", film).code == 0
    assert [sheet.entry.colour for sheet in Drawer().sheets()] == ["", "lab(80 0 30)"]
    assert Drawer().sheets()[1].film().colour == "lab(80 0 30)"
    said = run("check", tug, "--film", "drawer")
    assert "colour-film" in said.err + said.out
    # A kind of film whose last sheet is gone warns no longer.
    assert run("film", "cut-off", "2", "--all").code == 0
    assert "colour-film" not in run("check", tug, "--film", "drawer").err


def test_an_exported_drawer_keeps_colours_and_one_from_before_is_read(files: Path) -> None:
    entry = DrawerEntry("old box", "white", "inkjet", 148.0, 210.0, colour="lab(80 0 30)")
    sheets = Drawer().add([entry])
    assert read_plain(write_plain(sheets), "x") == sheets
    old = json.loads(write_plain(sheets))
    old["form"] = "decalgen film drawer 2"
    del old["sheets"][0]["colour"]
    assert read_plain(json.dumps(old).encode(), "x")[0].entry == replace(entry, colour="")
    spoilt = write_plain(sheets).replace(b"lab(80", b"lab(140")
    with pytest.raises(InputError, match=r"old box.*L. 140 is out of range"):
        read_plain(spoilt, "x")


def test_a_drawer_without_colours_is_read_and_brought_up_to_date(files: Path) -> None:
    drawer_file().parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(drawer_file())) as base:
        for statement in (*TABLES, *SINCE_2):
            base.execute(statement)
        base.execute(f"PRAGMA application_id = {APPLICATION}")
        base.execute("PRAGMA user_version = 2")
        base.execute(
            "INSERT INTO sheet (name, kind, process, width, height, adhesive, bought, leads, note, price) "
            "VALUES ('before', 'white', 'inkjet', 148, 210, 0, '', 'top', '', '4.50 EUR')"
        )
        base.commit()
    assert [(s.entry.price, s.entry.colour) for s in Drawer().sheets()] == [("4.50 EUR", "")]
    Drawer().add([DrawerEntry("new", "white", "inkjet", 148.0, 210.0, colour="lab(80 0 30)")])
    assert [(s.entry.price, s.entry.colour) for s in Drawer().sheets()] == [("4.50 EUR", ""), ("", "lab(80 0 30)")]


def test_pictures_of_decal_and_panel_show_the_film(files: Path) -> None:
    for words, shown in ((str(files / "film.yaml"), True), ("white A5", False)):
        (job,) = jobs_of([files / "tug.yaml"], Options(films=(words,)))
        art = build(job, job.decals[0])
        pictures = (decal_picture(art, job, None), panel_picture([art], job, job.panels[0], None))
        for picture in pictures:
            fills = {getattr(item, "colour", "") for layer in picture.pages[0].layers for item in layer.items}
            assert (parse("lab(80 0 30)").hex in fills) == shown
