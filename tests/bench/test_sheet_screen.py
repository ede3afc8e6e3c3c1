"""The sheet of the page: what lies on it, what may be done to it, and that the commands make the same of it."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf
from decalgen.bench.workplace import Workplace
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from decalgen.sheet.positions import read_positions
from decalgen.workshop.drawer import Drawer
from tests.bench.conftest import HOME, PORT
from tests.bench.sheeting import STARS, ask, carry, look, lying, nested, tug
from tests.bench.test_server import step_of


@pytest.fixture
def shelf(tmp_path: Path) -> JobShelf:
    return JobShelf.of(tug(tmp_path))


@pytest.fixture
def place(shelf: JobShelf) -> Workplace:
    return shelf.places[shelf.first]


def open_page(shelf: JobShelf) -> TestClient:
    keys = Keys(PORT)
    client = TestClient(page_app(shelf, keys, PORT), base_url=HOME)
    client.headers["origin"] = HOME
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    return client


@pytest.fixture
def client(shelf: JobShelf) -> Iterator[TestClient]:
    with open_page(shelf) as client:
        yield client


def made(client: TestClient, screen: str) -> dict[str, Any]:
    """What a screen made, once it is done."""
    assert client.post(f"/do/{screen}/make", json={}).status_code == 200
    look(client)
    found: dict[str, Any] = client.get("/state", params={"screen": screen}).json()["screen"]["made"]
    return found


def command(folder: Path, *words: str) -> None:
    subprocess.run([sys.executable, "-m", "decalgen", *words], check=True, cwd=folder, capture_output=True)


# ------------------------------------------------------------------------------------------------------------- nesting
def test_a_nest_lies_as_the_command_s(client: TestClient, place: Workplace, tmp_path: Path) -> None:
    before = look(client)
    assert before["screen"]["opening"] == "Nothing is nested yet: choose the film, then press Nest."
    assert [one["film"] for one in before["screen"]["sheets"]] == ["white A5"] and not lying(before["screen"])
    found = nested(client)
    assert found["opening"] == "6 pieces on 1 sheet." and found["wrong"] == {} and found["lacking"] == ""
    theirs = Run([place.desk.path], Options()).arrangement()
    assert place.table.positions == theirs.positions and place.table.digest == theirs.digest
    assert step_of(look(client), "sheet") == {
        "key": "sheet",
        "name": "Sheet",
        "done": True,
        "words": "6 pieces on 1 sheet",
    }
    # What stays whole has the size that the command says.
    left = found["sheets"][0]["rest"]["words"].removeprefix("stays whole: ")
    assert any(f"left: {left} in one piece" in line for line in found["lines"])


def test_the_drawings_are_sent_once(client: TestClient) -> None:
    found = nested(client)
    assert set(found["arts"]) == {"tug/band/left", "tug/band/right", "tug/square/"}
    assert "arts" not in look(client, arts=found["arts_name"])["screen"]
    # 20 × 5 mm, grown by the usual bare margin of white film, none (design of the house), in whole micrometres.
    assert found["arts"]["tug/band/left"]["box"] == [0, 0, 20000, 5000]


def test_positions_outlive_the_page(client: TestClient, place: Workplace) -> None:
    first = lying(nested(client))
    carry(client, "tug/square/|1", 60.0, 100.0)
    after = lying(look(client)["screen"])
    assert after != first
    with open_page(JobShelf.of(place.desk.path)) as again:
        assert lying(look(again)["screen"]) == after


def test_a_nest_can_be_stopped_and_what_it_found_is_kept(client: TestClient, place: Workplace) -> None:
    path = place.desk.path
    path.write_text(path.read_text(encoding="utf-8") + STARS, encoding="utf-8")
    place.desk.look()
    look(client)
    assert ask(client, "settle", key="effort", to="60 s").status_code == 200
    look(client)
    assert ask(client, "nest").json()["screen"]["nesting"]
    while not client.post("/ask/sheet/best", json={}).json()["sheets"]:
        pass
    assert ask(client, "nest").status_code == 422
    assert ask(client, "move", piece="tug/square/|1", dx=1.0, dy=0.0).status_code == 422
    assert ask(client, "stop").status_code == 200
    found = look(client)["screen"]
    assert len(lying(found)) == 9 and not place.table.complete
    assert any("nesting was cut short" in line for line in found["lines"])


def test_what_finds_no_room_is_counted_and_the_rest_lies(client: TestClient, tmp_path: Path) -> None:
    look(client)
    assert ask(client, "add_film", film="offcut.yaml").status_code == 200
    ask(client, "count", file="tug.yaml", decal="square", key="copies", to="30")
    found = nested(client)
    lost = 34 - len(lying(found))
    assert lost > 0 and found["opening"] == f"{lost} pieces find no room: another sheet, or fewer spares."
    assert "fits on no white film" in found["lacking"] and "--film" not in found["lacking"]
    assert step_of(look(client), "sheet")["words"] == f"{lost} pieces find no room"
    assert "do not lie" in made(client, "proof")["wrong"]


# ---------------------------------------------------------------------------------------------------- moved by hand
def test_a_proof_prints_what_was_moved_and_the_command_makes_the_same(client: TestClient, tmp_path: Path) -> None:
    before = lying(nested(client))
    carry(client, "tug/square/|1", 60.0, 100.0)
    screen = look(client)["screen"]
    moved = lying(screen)["tug/square/|1"]["at"]
    assert moved == [60000, 100000] != before["tug/square/|1"]["at"] and screen["moved"] == "move of 3 square"
    # Numbers and marks are those of the new place.
    assert screen["sheets"][0]["numbers"] and screen["sheets"][0]["rest"]
    assert made(client, "proof")["files"] == ["tug-proof.pdf", "tug.positions.json"]
    saved = read_positions(tmp_path / "tug.positions.json")
    place = next(one for one in saved.positions if (one.key, one.copy) == ("tug/square/", 1))
    assert [round(place.x * 1000), round(place.y * 1000)] == moved and not saved.complete
    page = (tmp_path / "tug-proof.pdf").read_bytes()
    words = ["tug.yaml", "-o", "again/tug-proof.pdf", "--positions", "tug.positions.json"]
    command(tmp_path, "proof", *words)
    assert (tmp_path / "again" / "tug-proof.pdf").read_bytes() == page
    command(tmp_path, "sheet", "tug.yaml", "-o", "tug-sheet.pdf", "--without-proof", "a test")
    theirs = Run([tmp_path / "tug.yaml"], Options()).arrangement(tmp_path / "tug.positions.json")
    assert theirs.positions == saved.positions


def test_a_proof_without_a_nest_is_nested_and_lies_on_the_sheet(client: TestClient, tmp_path: Path) -> None:
    look(client)
    made(client, "proof")
    found = look(client)["screen"]
    assert found["opening"] == "6 pieces on 1 sheet." and found["since"] == []
    assert len(lying(found)) == 6


def test_a_piece_moved_after_the_proof_locks_the_print_and_says_why(client: TestClient) -> None:
    nested(client)
    made(client, "proof")
    assert look(client)["screen"]["since"] == []
    carry(client, "tug/square/|1", 60.0, 100.0)
    since = ["pieces were moved, nested again or counted differently since the proof"]
    assert look(client)["screen"]["since"] == since
    ask(client, "back")
    found = look(client)["screen"]
    assert found["since"] == [] and found["moved"] == ""
    assert ask(client, "back").status_code == 422


def test_a_piece_lies_only_where_it_fits(client: TestClient, place: Workplace) -> None:
    """The gap is 3 mm; white film prints to 10 mm from its edges, bleed of 0.5 mm counted in; the offcut's used part
    begins 48 mm up, and its clearance is 1 mm beside the bleed (README of the sheet)."""
    look(client)
    ask(client, "add_film", film="offcut.yaml")
    found = lying(nested(client))
    before = place.table.positions
    one, other = found["tug/square/|0"]["at"], found["tug/square/|1"]["at"]
    way = {"dx": (other[0] - one[0]) / 1000, "dy": (other[1] - one[1]) / 1000}
    for dx, dy, words in (
        (way["dx"], way["dy"], "3 square lies on 3 square"),
        (way["dx"] + 8.0 if way["dx"] < 0 else way["dx"] - 8.0, way["dy"], "mm from"),
        (10.5 - one[0] / 1000 - 2.0, 0.0, "3 square reaches 2.00 mm past what can be printed"),
    ):
        said = client.post("/ask/sheet/lies", json={"piece": "tug/square/|0", "dx": dx, "dy": dy}).json()
        assert said["wrong"] and any(words in line for line in said["wrong"]), said
        answer = ask(client, "move", piece="tug/square/|0", dx=dx, dy=dy)
        assert answer.status_code == 422 and answer.json()["message"] == said["wrong"][0]
        assert answer.json()["fix"] == "it is back where it lay" and place.table.positions == before
    there = {"piece": "tug/square/|0", "dx": 12.0 - one[0] / 1000, "dy": 42.5 - one[1] / 1000}
    said = client.post("/ask/sheet/lies", json=there).json()
    assert "3 square lies on used film" in said["wrong"]
    there["dy"] -= 1.5
    said = client.post("/ask/sheet/lies", json=there).json()
    assert any(line.startswith("3 square is ") and "from used film" in line for line in said["wrong"]), said


@pytest.mark.parametrize(
    "asked",
    [
        {"piece": "tug/square/|7", "dx": 1, "dy": 1},
        {"piece": "nothing", "dx": 1, "dy": 1},
        {"piece": "tug/square/|1", "dx": "far", "dy": 1},
        {"piece": "tug/square/|1", "dx": 1e30, "dy": 1},
        {"piece": "tug/square/|1"},
        {},
    ],
)
def test_a_move_that_cannot_be_is_refused(client: TestClient, place: Workplace, asked: dict[str, Any]) -> None:
    nested(client)
    before = place.table.positions
    assert ask(client, "move", **asked).status_code == 422 and place.table.positions == before
    assert client.post("/ask/sheet/lies", json=asked).status_code == 422
    assert client.post("/ask/sheet/nothing", json=asked).status_code == 422


def test_a_piece_turns_a_quarter_about_its_middle(client: TestClient) -> None:
    nested(client)
    carry(client, "tug/band/left|0", 60.0, 100.0)
    art = look(client)["screen"]
    one = lying(art)["tug/band/left|0"]
    answer = ask(client, "turn", piece="tug/band/left|0")
    assert answer.status_code == 200, answer.json()
    now = lying(look(client)["screen"])["tug/band/left|0"]
    assert now["turn"] == (one["turn"] + 90) % 360
    assert middle(now) == pytest.approx(middle(one), abs=1)
    answer = ask(client, "turn", piece="tug/square/|0")
    assert answer.status_code == 422 and "must not be turned: its decal says turn: no" in answer.json()["message"]


def middle(one: dict[str, Any]) -> tuple[float, float]:
    """The middle of a band, 20 × 5 mm, in whole micrometres: its corner and half its sides, turned by quarters."""
    x, y = {0: (10000, 2500), 90: (-2500, 10000), 180: (-10000, -2500), 270: (2500, -10000)}[one["turn"]]
    return one["at"][0] + x, one["at"][1] + y


# ------------------------------------------------------------------------------------------------------------- pinned
def test_a_pin_goes_into_the_job_file_and_every_nest_leaves_it(client: TestClient, place: Workplace) -> None:
    before = place.desk.text
    nested(client)
    carry(client, "tug/band/right|1", 60.123, 100.004)
    was = lying(look(client)["screen"])["tug/band/right|1"]
    assert ask(client, "pin", piece="tug/band/right|1").status_code == 200
    found = look(client)["screen"]
    # The copies of a decal are alike: the pinned one is the first now.
    one = lying(found)["tug/band/right|0"]
    assert one["pinned"] and [sum(p["pinned"] for p in lying(found).values()), one["wrong"]] == [1, []]
    assert one["at"] == pytest.approx(was["at"], abs=20) and found["opening"] == "6 pieces on 1 sheet."
    added = [line for line in place.desk.text.splitlines() if line not in before.splitlines()]
    assert added[0] == "    pin:" and added[-1] == "      hand: right" and len(added) in (5, 6)
    again = lying(nested(client))["tug/band/right|0"]
    assert again["at"] == one["at"] and again["pinned"]
    # It is moved with its pin, and undo takes both back.
    assert ask(client, "move", piece="tug/band/right|0", dx=0.0, dy=10.0).status_code == 200
    moved = lying(look(client)["screen"])["tug/band/right|0"]
    assert moved["at"][1] - one["at"][1] == pytest.approx(10000, abs=20) and not moved["wrong"]
    client.post("/undo", json={"base": place.desk.version})
    assert ask(client, "unpin", piece="tug/band/right|0").status_code == 200
    look(client)
    assert place.desk.text == before and place.desk.path.read_text(encoding="utf-8") == before
    assert ask(client, "unpin", piece="tug/band/right|0").status_code == 422


def test_a_piece_wedged_between_others_is_pinned_where_it_lies(client: TestClient, place: Workplace) -> None:
    """As close nests leave it: with the gap of 3 mm below and above, and no hundredth that keeps both."""
    nested(client)
    low = 40 + math.pi / 7
    rows = {("tug/band/left", 0): low, ("tug/square/", 0): low + 5 + 3, ("tug/band/left", 1): low + 5 + 3 + 6 + 3}
    place.table.positions = tuple(
        replace(one, x=60.0, y=rows[one.key, one.copy], turn=0)
        if (one.key, one.copy) in rows
        else replace(one, y=150.0)
        for one in place.table.positions
    )
    stacked = [f"{key}|{copy}" for key, copy in rows]
    before = lying(look(client)["screen"])
    assert not any(before[name]["wrong"] for name in stacked)
    assert ask(client, "pin", piece="tug/square/|0").status_code == 200
    after = lying(look(client)["screen"])
    assert after["tug/square/|0"]["pinned"] and not any(after[name]["wrong"] for name in stacked)
    (x, y) = values(place.desk.text)["decals"]["square"]["pin"]["at"]
    assert x.endswith(" mm") and len(x) <= len("60.00 mm"), "what need not be exact is not"
    assert float(y.removesuffix(" mm")) == pytest.approx(low + 8, abs=1e-6)


def test_several_pins_of_one_decal_stand_in_a_list(client: TestClient, place: Workplace) -> None:
    nested(client)
    for piece in ("tug/square/|1", "tug/square/|1", "tug/band/right|0", "tug/band/left|0", "tug/band/right|1"):
        assert ask(client, "pin", piece=piece).status_code == 200
        assert not any(one["wrong"] for one in lying(look(client)["screen"]).values())
    decals = {one.name: one for one in load_job(place.desk.path).decals}
    assert len(decals["square"].pins) == 2 and [pin is not None for pin in decals["band"].pins] == [
        True,
        False,
        True,
        True,
    ]
    found = look(client, piece="tug/band/left|0")["screen"]
    assert found["piece"]["pinned"] and found["piece"]["sentence"].endswith("It is pinned there.")
    before = lying(found)
    assert {name: one["at"] for name, one in lying(nested(client)).items() if one["pinned"]} == {
        name: one["at"] for name, one in before.items() if one["pinned"]
    }
    assert ask(client, "unpin", piece="tug/band/right|0").status_code == 200
    look(client)
    assert [pin is not None for pin in load_job(place.desk.path).decals[0].pins] == [True, False, True]


def test_one_less_takes_the_chosen_piece(client: TestClient, place: Workplace) -> None:
    before = lying(nested(client))
    ask(client, "pin", piece="tug/band/left|0")
    look(client)
    assert ask(client, "less", piece="tug/square/|0").status_code == 200
    found = lying(look(client)["screen"])
    assert found["tug/square/|0"]["at"] == before["tug/square/|1"]["at"] and "tug/square/|1" not in found
    assert "copies: 1\n" in place.desk.text
    assert ask(client, "less", piece="tug/band/left|0").status_code == 200
    found = lying(look(client)["screen"])
    assert sorted(found) == ["tug/band/left|0", "tug/band/right|0", "tug/square/|0"]
    assert found["tug/band/left|0"]["at"] == before["tug/band/left|1"]["at"]
    assert "spares: 0\n" in place.desk.text and "pin:" not in place.desk.text
    assert look(client)["screen"]["opening"] == "3 pieces on 1 sheet."
    client.post("/undo", json={"base": place.desk.version})
    found = look(client)["screen"]
    assert found["opening"] == "5 pieces on 1 sheet."
    assert {name: one["at"] for name, one in lying(found).items() if "left" in name} == {
        name: one["at"] for name, one in before.items() if "left" in name
    }


# ------------------------------------------------------------------------------------- film, jobs, what is open
def test_copies_and_spares_are_values_of_the_job_files(client: TestClient, place: Workplace, tmp_path: Path) -> None:
    other = tmp_path / "barge.yaml"
    other.write_text(
        place.desk.text.replace("job: tug", "job: barge").replace("Harbour tug", "Barge"), encoding="utf-8"
    )
    look(client)
    (tmp_path / "notes.yaml").write_text("jobs: none\n", encoding="utf-8")
    found = look(client)["screen"]["jobs"]
    assert [(one["file"], one["on"], one["words"]) for one in found] == [
        ("tug.yaml", True, "2 decals, 6 pieces"),
        ("barge.yaml", False, "2 decals, 6 pieces"),
    ]
    assert ask(client, "put_job", file="barge.yaml", on=True).status_code == 200
    assert ask(client, "count", file="barge.yaml", decal="band", key="spares", to="3").status_code == 200
    assert ask(client, "count", file="tug.yaml", decal="square", key="spares", to="1").status_code == 200
    assert other.read_text(encoding="utf-8").count("spares: 3") == 1
    assert len(lying(nested(client))) == 7 + 10
    assert place.desk.text.count("spares: 1") == 2
    for asked in (
        {"file": "barge.yaml", "decal": "band", "key": "spares", "to": "many"},
        {"file": "barge.yaml", "decal": "band", "key": "spares", "to": "-1"},
        {"file": "barge.yaml", "decal": "band", "key": "width", "to": "3"},
        {"file": "barge.yaml", "decal": "other", "key": "spares", "to": "3"},
        {"file": "../barge.yaml", "decal": "band", "key": "spares", "to": "3"},
    ):
        assert ask(client, "count", **asked).status_code == 422, asked
    look(client)
    ask(client, "put_job", file="barge.yaml", on=False)
    assert look(client)["screen"]["opening"] == "7 pieces on 1 sheet."


def test_a_job_that_cannot_be_read_is_named_with_its_line(client: TestClient, place: Workplace, tmp_path: Path) -> None:
    before = lying(nested(client))
    (tmp_path / "barge.yaml").write_text("job: barge\nbody: [navy\n", encoding="utf-8")
    row = next(one for one in look(client)["screen"]["jobs"] if one["file"] == "barge.yaml")
    assert row["words"] == "cannot be read" and row["wrong"].startswith("line 2: ")
    ask(client, "put_job", file="barge.yaml", on=True)
    found = look(client)["screen"]
    assert "barge.yaml, line 2" in found["wrong"]["message"] and lying(found) == before
    (tmp_path / "barge.yaml").unlink()
    found = look(client)["screen"]
    assert [one["wrong"] for one in found["jobs"]] == ["", "it is gone"] and found["wrong"]


def test_a_mistake_in_its_own_file_leaves_what_lies_there(client: TestClient, place: Workplace) -> None:
    before = lying(nested(client))
    text = place.desk.text
    place.desk.path.write_text(text.replace("width: 20 mm", "width: wide"), encoding="utf-8")
    while not client.get("/state", params={"screen": "sheet"}).json()["problems"]:
        pass
    found = client.get("/state", params={"screen": "sheet"}).json()["screen"]
    assert lying(found) == before and found["opening"] == "The file has a mistake; what lies here is from before it."


def test_what_changed_in_the_file_is_judged_at_once(client: TestClient, place: Workplace) -> None:
    nested(client)
    edits = [{"do": "set", "at": ["decals", "square", "width"], "was": "6 mm", "to": "40 mm"}]
    body = {"base": place.desk.version, "label": "width", "edits": edits}
    assert client.post("/edit", json=body).status_code == 200
    found = look(client)["screen"]
    wrong = {name: one["wrong"] for name, one in lying(found).items() if one["wrong"]}
    assert "tug/square/|0" in wrong and any("lies on" in words for lines in wrong.values() for words in lines)
    assert found["opening"].endswith("move, or nest again.") and found["sheets"][0]["rest"] is None
    assert nested(client)["opening"] == "6 pieces on 1 sheet."
    # Another colour changes nothing that counts.
    edits = [{"do": "set", "at": ["inks", "teal", "colour"], "was": "#1f7f86", "to": "#802020"}]
    where = {name: one["at"] for name, one in lying(look(client)["screen"]).items()}
    client.post("/edit", json={"base": place.desk.version, "label": "colour", "edits": edits})
    found = look(client)["screen"]
    assert {name: one["at"] for name, one in lying(found).items()} == where
    assert found["arts"]["tug/square/"]["inks"][0]["colour"] == "#802020"


def test_an_open_reading_leaves_the_sheet_unfinished(client: TestClient, place: Workplace) -> None:
    edits = [{"do": "set", "at": ["panels", "side", "width"], "was": "30 mm ± 0.05", "to": "?"}]
    assert client.post("/edit", json={"base": 1, "label": "open", "edits": edits}).status_code == 200
    found = nested(client)
    assert found["opening"] == "6 pieces on 1 sheet. Placed, not final: 1 reading open."
    step = step_of(look(client), "sheet")
    assert step["words"] == "placed, not final: 1 reading open" and not step["done"]


def test_film_is_chosen_by_words_and_missing_film_is_told(client: TestClient, place: Workplace) -> None:
    look(client)
    assert ask(client, "add_film", film="clear A4").status_code == 200
    found = look(client)["screen"]
    assert "ask for white film" in found["wrong"]["message"] and "--film" not in found["wrong"]["fix"]
    assert ask(client, "add_film", film="white  A6").status_code == 200
    found = nested(client)
    assert [one["film"] for one in found["sheets"]] == ["white A6"] and not found["wrong"]
    for words in ("white A6", "", "blue A4", "white A4 / x", "../film.yaml", "missing.yaml"):
        assert ask(client, "add_film", film=words).status_code == 422, words
    ask(client, "drop_film", film="clear A4")
    assert place.choice.films == ("white A6",)
    where = lying(look(client)["screen"])
    ask(client, "drop_film", film="white A6")
    assert look(client)["screen"]["opening"] == "6 pieces are not placed yet: nest again."
    # Nothing is lost by trying another film.
    ask(client, "add_film", film="white A6")
    found = look(client)["screen"]
    assert lying(found) == where and found["opening"] == "6 pieces on 1 sheet."


def test_the_drawer_is_shown_and_its_sheets_are_used(client: TestClient, place: Workplace, tmp_path: Path) -> None:
    command(tmp_path, "film", "add", "white A6", "--price", "2.00 EUR")
    Drawer().take("white A6 1", [((0.0, 0.0), (105.0, 0.0), (105.0, 40.0), (0.0, 40.0))], "cut off")
    found = look(client)["screen"]
    assert [(one["name"], one["words"], one["sheet"]) for one in found["drawer"]] == [
        ("white A6 1", "white inkjet, 73% free", 0)
    ]
    ask(client, "add_film", film="drawer")
    found = nested(client)
    assert found["opening"] == "6 pieces on 1 sheet." and found["drawer"][0]["sheet"] == 1 and found["from_drawer"]
    assert [one["word"] for one in found["sheets"][0]["used"]] == ["cut off"]
    assert all(one["at"][1] > 41000 for one in lying(found).values())
    # 27 % of it are gone; the price is of what is used.
    assert any(line.startswith("total film, as taken from the drawer") and "EUR" in line for line in found["lines"])
    assert made(client, "proof")["files"]


def test_a_sheet_of_the_drawer_is_chosen_and_no_other_is_used(
    client: TestClient, place: Workplace, tmp_path: Path
) -> None:
    command(tmp_path, "film", "add", "white A6", "--count", "2")
    (first, second) = look(client)["screen"]["drawer"]
    assert (second["film"], second["chosen"]) == ("drawer white A6 2", False)
    ask(client, "add_film", film=second["film"])
    found = nested(client)
    assert [(one["sheet"], one["chosen"]) for one in found["drawer"]] == [(0, False), (1, True)]
    assert found["films"] == [{"film": "drawer white A6 2", "words": "'white A6 2' of the film drawer", "chosen": True}]
    # The command takes the same words, and the proof that is made here is for that sheet.
    assert made(client, "proof")["files"]
    assert place.options().films == ("drawer white A6 2",)
    # Any of the drawer goes without it.
    ask(client, "add_film", film=first["film"])
    assert place.choice.films == ("drawer white A6 2", "drawer white A6 1")
    ask(client, "drop_film", film=first["film"])
    assert place.choice.films == ("drawer white A6 2",)
    ask(client, "add_film", film="drawer")
    assert place.choice.films == ("drawer",)
    ask(client, "add_film", film=second["film"])
    assert place.choice.films == ("drawer white A6 2",)
    answer = ask(client, "add_film", film="drawer white A6 7")
    assert answer.status_code == 422 and "no sheet 'white A6 7'" in answer.json()["message"]


def test_a_chosen_sheet_that_does_not_hold_the_decals_is_told(
    client: TestClient, place: Workplace, tmp_path: Path
) -> None:
    command(tmp_path, "film", "add", "white A6", "--count", "2")
    Drawer().take("white A6 2", [((0.0, 0.0), (105.0, 0.0), (105.0, 140.0), (0.0, 140.0))], "cut off")
    ask(client, "add_film", film="drawer white A6 2")
    wrong = nested(client)["wrong"]
    assert wrong["message"].startswith("'white A6 2' (8 cm² free) does not hold these decals of "), wrong


def test_sheets_of_the_drawer_and_other_film_serve_together(
    client: TestClient, place: Workplace, tmp_path: Path
) -> None:
    """One kind of film from the drawer and the other new, each as the page names it."""
    job = tmp_path / "tug.yaml"
    text = job.read_text(encoding="utf-8").replace('navy: {colour: "#1d2b4a"}', 'navy: {colour: "#f4efe0"}')
    job.write_text(text.replace("    over: band\n", "    over: band\n    film: clear\n"), encoding="utf-8")
    command(tmp_path, "film", "add", "white A6")
    look(client)
    ask(client, "add_film", film="drawer white A6 1")
    found = nested(client)
    assert found["wrong"] == {
        "message": "some of these decals go on clear film, and no sheet of it is chosen",
        "fix": "press a sheet of clear film as well, or choose Add film: clear A5",
    }
    assert not found["sheets"], "film that is not chosen is not shown"
    ask(client, "add_film", film="clear A6")
    assert place.choice.films == ("drawer white A6 1", "clear A6")
    found = look(client)["screen"]
    assert not found["wrong"], "what was said is of the film before"
    found = nested(client)
    assert not found["wrong"] and [one["film"] for one in found["sheets"]] == ["white A6 1", "clear A6"], found["wrong"]
    assert found["opening"] == "6 pieces on 2 sheets."
    assert made(client, "proof")["files"]
    # It is the same when the page is opened anew, and of a command with the same words.
    words = ("--film", "drawer white A6 1", "--film", "clear A6")
    command(tmp_path, "proof", "tug.yaml", "-o", "again.pdf", *words)
    own, again = (read_positions(tmp_path / f"{one}.positions.json") for one in ("tug", "again"))
    assert set(own.positions) == set(again.positions)


def test_settings_are_checked_as_they_are_typed(client: TestClient, place: Workplace) -> None:
    look(client)
    for key, to in (("gap", "5 mm"), ("hands", "left"), ("leave", "strip"), ("effort", "quick")):
        assert ask(client, "settle", key=key, to=to).status_code == 200
    found = nested(client)
    assert place.options() == Options(gap=5.0, hands="left", leave="strip", effort="quick")
    assert sorted({one["key"] for one in lying(found).values()}) == ["tug/band/left", "tug/square/"]
    for key, to in (("gap", "wide"), ("effort", "very"), ("leave", "all"), ("colour", "red")):
        assert ask(client, "settle", key=key, to=to).status_code == 422
    ask(client, "settle", key="gap", to="")
    assert place.choice.gap is None and json.loads(json.dumps(look(client)["screen"]["settings"]))[0]["value"] == ""
