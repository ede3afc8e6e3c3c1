"""The film drawer on the page: each act is the command's, with its messages and its files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.svgLib.path import parse_path
from starlette.testclient import TestClient

from decalgen.bench.typed_mm import typed_count, typed_mm
from decalgen.bench.workshop_now import sheets_now
from decalgen.commands.film_drawer import Cutting
from decalgen.commands.film_drawer import add as add_by_command
from decalgen.commands.film_drawer import cut_off as cut_by_command
from decalgen.commands.film_drawer import export as export_by_command
from decalgen.commands.options import Options
from decalgen.commands.proof import make_proof
from decalgen.commands.run import Run
from decalgen.core.errors import InputError
from decalgen.workshop.drawer import Drawer, drawer_file
from tests.bench.answers import refusal_of, screen_of

PAPER = {"kind": "white", "adhesive": "waterslide", "process": "inkjet", "size": "A5"}


def look(client: TestClient, **view: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/state", params={"screen": "film", "tab": "1", **view}).json()
    return found


def act(client: TestClient, act: str, **asked: Any) -> Any:
    return client.post(f"/do/film/{act}", json={**asked, "view": {"screen": "film"}})


def good(client: TestClient, what: str, **asked: Any) -> dict[str, Any]:
    return screen_of(act(client, what, **asked))


def refused(client: TestClient, what: str, **asked: Any) -> str:
    return refusal_of(act(client, what, **asked))


def card(client: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in look(client)["beside"] if one["key"] == "film")
    return found


def test_it_lies_beside_the_steps_and_the_card_says_what_is_there(inside: TestClient) -> None:
    assert "film" not in [one["key"] for one in look(inside)["steps"]]
    assert card(inside)["words"] == "none in the drawer" and not drawer_file().exists()
    good(inside, "add", **PAPER, count="2")
    assert card(inside)["words"] == "2 sheets to print on"
    good(inside, "cut_off", sheet="white A5 1", way="all")
    assert card(inside)["words"] == "1 sheet to print on"
    assert look(inside)["screen"]["opening"] == "1 sheet to print on: 1 white. 1 used up."


def test_every_change_is_the_very_one_of_the_command(
    inside: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    more = {"bought": "March 2026", "leads": "left", "note": "curls", "price": "4.50 EUR"}
    good(inside, "add", **PAPER, count="3", **more)
    good(inside, "cut_off", sheet="white A5 1", way="edge", edge="bottom", depth="60,5")
    good(inside, "cut_off", sheet="white A5 1", way="corner", corner="upper left", width="40", height="1 1/2 in")
    good(inside, "cut_off", sheet="white A5 2", way="rectangle", x="0", y="180", width="148", height="30")
    good(inside, "cut_off", sheet="white A5 2", way="polygon", polygon="0,0 40,0 0,30")
    good(inside, "cut_off", sheet="white A5 3", way="all")
    export_by_command(tmp_path / "page.json")
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "other"))
    add_by_command("white A5", None, 3, "March 2026", "left", "curls", "4.50 EUR")
    for sheet, cutting in (
        ("1", Cutting(edge="bottom 60.5")),
        ("1", Cutting(corner="upper left 40x38.1")),  # 1.5 in of 25.4 mm
        ("2", Cutting(rectangle="0,180 148x30")),
        ("2", Cutting(polygon="0,0 40,0 0,30")),
        ("3", Cutting(all=True)),
    ):
        cut_by_command(sheet, cutting)
    export_by_command(tmp_path / "command.json")
    assert (tmp_path / "page.json").read_bytes() == (tmp_path / "command.json").read_bytes()


def test_a_sheet_is_drawn_with_what_is_gone_of_it(inside: TestClient) -> None:
    good(inside, "add", **PAPER)
    good(inside, "cut_off", sheet="white A5 1", way="edge", edge="bottom", depth="60")
    chosen = look(inside)["screen"]["chosen"]
    drawing = chosen["drawing"]
    assert drawing["box"] == [0, 0, 148000, 210000]  # A5: 148 × 210 mm, ISO 216
    assert drawing["largest"] == [0, 60000, 148000, 210000] and drawing["size"] == "148 × 150 mm"
    (gone,) = drawing["gone"]
    assert gone["why"] == "cut off" and gone["hatch"].count("M") > 10
    assert area_of(gone["d"]) == 148 * 60 and area_of(drawing["free"]) == 148 * 150
    assert drawing["labels"][0]["words"] == "cut off: 148 × 60 mm"
    assert "worth keeping: 148 × 150 mm in one piece" in chosen["lines"]


def area_of(data: str) -> float:
    """mm² of one ring of path data, whole µm, as another reader of SVG paths takes it."""
    pen = AreaPen()
    parse_path(data, pen)
    return abs(float(pen.value)) / 1e6


def test_the_last_thing_done_comes_back_and_only_the_one_that_was_meant(inside: TestClient) -> None:
    good(inside, "add", **PAPER)
    good(inside, "cut_off", sheet="white A5 1", way="edge", edge="bottom", depth="60")
    good(inside, "cut_off", sheet="white A5 1", way="edge", edge="top", depth="20")
    assert "changed meanwhile" in refused(inside, "back", sheet="white A5 1", done=1)
    screen = good(inside, "back", sheet="white A5 1", done=2)
    assert screen["chosen"]["steps"] == ["cut off: 148 × 60 mm"]
    assert screen["said"]["done"] == "undid the last use of 'white A5 1'"
    assert screen["said"]["lines"][0] == "restored: 1 part, cut off"


def test_a_print_beside_the_job_is_offered_marked_shifted_and_taken_back(inside: TestClient, job: Path) -> None:
    good(inside, "add", **PAPER)
    made = make_proof(Run([job], Options(films=("drawer",), effort="quick")), job.with_name("gannet-proof.pdf"))
    made.write()
    (offer,) = look(inside)["screen"]["chosen"]["prints"]
    assert offer["file"] == "gannet.positions.json" and offer["words"].endswith("13 pieces on it.")
    coming = sum(area_of(f"M{one}") for one in offer["d"].split("M") if one)
    whole = Drawer().sheet("1").free.area
    screen = good(inside, "use", sheet="white A5 1", file=offer["file"])
    assert whole - Drawer().sheet("1").free.area == pytest.approx(coming, rel=1e-3), "drawn before it is marked"
    chosen = screen["chosen"]
    assert chosen["prints"] == [] and chosen["printed"] and chosen["steps"] == ["printed: gannet.positions.json"]
    assert "already taken off" in refused(inside, "use", sheet="white A5 1", file=offer["file"])
    before = Drawer().sheet("1")
    screen = good(inside, "shift", sheet="white A5 1", x="0,4", y="")
    moved = Drawer().sheet("1")
    assert moved.marks[0].x == pytest.approx(before.marks[0].x + 0.4)
    assert "+0.40 mm across and +0.00 mm up" in screen["said"]["lines"][0]
    good(inside, "shift", **screen["said"]["undo"])
    assert Drawer().sheet("1").marks == before.marks
    good(inside, "back", sheet="white A5 1", done=1)
    assert not Drawer().sheet("1").parts


def test_pictures_a_carrier_and_a_copy_are_files_beside_the_job(inside: TestClient, job: Path) -> None:
    good(inside, "add", **PAPER)
    screen = good(inside, "show", sheet="white A5 1", form="svg")
    assert screen["said"]["files"] == ["white-a5-1.svg"]
    assert inside.get("/file/white-a5-1.svg").content == job.with_name("white-a5-1.svg").read_bytes()
    for edge in ("top", "bottom", "left", "right"):
        good(inside, "cut_off", sheet="white A5 1", way="edge", edge=edge, depth="10")
    assert look(inside)["screen"]["chosen"]["carrier"]
    assert good(inside, "carrier", sheet="white A5 1")["said"]["files"] == ["white-a5-1-carrier.pdf"]
    assert good(inside, "export")["said"]["files"] == ["film-drawer.json"]
    text = job.with_name("film-drawer.json").read_text(encoding="utf-8")
    assert good(inside, "bring_in", name="a.json", text=text)["said"]["done"] == "put in 0 sheets, 1 there already"
    drawer_file().unlink()
    assert good(inside, "bring_in", name="a.json", text=text)["said"]["done"] == "put in 1 sheet"
    assert Drawer().sheet("1").steps == 4


def test_what_a_new_user_gets_wrong_costs_nothing_and_is_said_once(inside: TestClient) -> None:
    good(inside, "add", **PAPER)
    before = json.dumps(look(inside)["screen"])
    for message, what, asked in (
        ("Depth: nothing is typed", "cut_off", {"way": "edge", "edge": "bottom", "depth": ""}),
        ("Depth: '60 30' is more than one length", "cut_off", {"way": "edge", "edge": "bottom", "depth": "60 30"}),
        ("Depth: 'a lot' is not a length", "cut_off", {"way": "edge", "edge": "bottom", "depth": "a lot"}),
        ("off the sheet of 148 × 210 mm", "cut_off", {"way": "edge", "edge": "bottom", "depth": "1000000"}),
        ("say which part was cut off", "cut_off", {"way": "polygon", "polygon": ""}),
        ("has a corner without y", "cut_off", {"way": "polygon", "polygon": "0,0 40"}),
        ("How many: '2.5' is not a whole number", "add", {**PAPER, "count": "2.5"}),
        ("100000 sheets cannot be put in at once", "add", {**PAPER, "count": "100000"}),
        ("is not a film", "add", {**PAPER, "size": "A55"}),
        ("Price of a sheet: 'cheap' is not a price", "add", {**PAPER, "price": "cheap"}),
        ("Price of a sheet: '3 mm' is not a price", "add", {**PAPER, "price": "3 mm"}),
        ("in the drawer already", "add", {**PAPER, "name": "white A5 1"}),
        ("nothing was printed on 'white A5 1' yet", "shift", {"x": "0.4"}),
        ("no positions called '../gannet.yaml'", "use", {"file": "../gannet.yaml"}),
        ("nothing was taken off", "back", {"done": 0}),
        ("is not an exported film drawer", "bring_in", {"name": "x.json", "text": "[1, 2"}),
    ):
        assert message in refused(inside, what, **{"sheet": "white A5 1", **asked}), message
    assert json.dumps(look(inside)["screen"]) == before
    assert "there is no sheet 'white'" in refused(inside, "cut_off", sheet="white", way="all")


def test_no_box_leads_to_a_file(inside: TestClient, tmp_path: Path) -> None:
    film = "film: mine\nkind: white\nprocess: inkjet\nsheet: A5\n"
    (tmp_path / "mine.yaml").write_text(film, encoding="utf-8")
    for key in ("kind", "adhesive", "process"):
        assert "is not one of" in refused(inside, "add", **{**PAPER, key: str(tmp_path / "mine.yaml")})
    assert "Size: " in refused(inside, "add", **{**PAPER, "size": str(tmp_path / "mine.yaml")})
    assert "Size: " in refused(inside, "add", **{**PAPER, "size": "..\\mine.yaml"})
    good(inside, "add", **{**PAPER, "size": "8 1/2 x 5 1/2 in"})
    assert sheets_now()[0].entry.width == pytest.approx(8.5 * 25.4)


def test_a_damaged_drawer_is_said_and_every_other_screen_goes_on(inside: TestClient) -> None:
    drawer_file().parent.mkdir()
    drawer_file().write_bytes(b"no drawer at all" * 20)
    found = look(inside)
    assert card(inside)["words"] == "cannot be read" and "film-drawer.sqlite" in found["screen"]["wrong"]
    assert inside.get("/state", params={"screen": "draw"}).status_code == 200
    assert "film-drawer.sqlite" in refused(inside, "add", **PAPER)


def test_what_the_command_does_meanwhile_is_seen(inside: TestClient) -> None:
    good(inside, "add", **PAPER)
    Drawer().take("white A5 1", [((0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0))], "cut off")
    assert look(inside)["screen"]["chosen"]["done"] == 1


def test_the_oldest_of_a_kind_is_named_where_there_is_a_choice(inside: TestClient) -> None:
    good(inside, "add", **PAPER, bought="May 2026")
    assert "oldest" not in look(inside)["screen"]["sheets"][0]["more"]
    good(inside, "add", **PAPER, bought="April 2026")
    aged = {one["name"]: one["more"] for one in look(inside)["screen"]["sheets"]}
    assert aged == {"white A5 1": "bought May 2026", "white A5 2": "oldest white sheet; bought April 2026"}


@pytest.mark.parametrize(
    ("typed", "mm"),
    [("60", 60.0), ("60,5", 60.5), ("-0.4", -0.4), ("2 3/8 in", 60.325), ("1 cm", 10.0), ("0", 0.0)],
)
def test_lengths_are_read_as_they_are_typed_at_the_bench(typed: str, mm: float) -> None:
    """An inch is 25.4 mm (international yard and pound agreement of 1959)."""
    assert typed_mm(typed, "Depth") == mm


def test_a_count_is_whole_and_one_where_nothing_is_typed() -> None:
    assert (typed_count("", "How many"), typed_count(" 3 ", "How many")) == (1, 3)
    for text in ("-1", "1e3", "²", "three"):
        with pytest.raises(InputError, match="How many: "):
            typed_count(text, "How many")
