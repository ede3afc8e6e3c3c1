"""The printer on the page: the same target, readings, profiles and printer files as the commands make."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench import calibrating
from decalgen.bench.calibrating import SPLIT
from decalgen.bench.sheet_choice import read_choice
from decalgen.commands.calibrate_colour import read_swatches
from decalgen.commands.calibrate_printer import CalibrationRequest, print_target, read_target
from decalgen.commands.printer_drift import Read
from decalgen.commands.printer_drift import bars as bars_by_command
from decalgen.commands.swatch_sheets import print_swatches
from decalgen.job.films import load_film, load_printer
from decalgen.printer.target import SPANS
from decalgen.workshop.profiles import folder, kept, printer_for
from tests.bench.answers import refusal_of, screen_of

SETTING = {
    **{"printer": "", "name": "desk inkjet", "film": "white A5", "tool": "caliper", "tray": "rear"},
    **{"feed": "short edge first", "date": "2026-11-25"},
}
ACROSS, UP, DIAGONAL = "109.62 109,60 109.61", "139.72 139.70 139.71", "139.69 139.70 139.71"
"""Of a target of 110 × 140 mm whose diagonals are 140 mm, each a little short."""
TYPED = {span: ACROSS if "across" in span else UP if "up" in span else DIAGONAL for span in SPANS}
READINGS = {span: [float(one.replace(",", ".")) for one in words.split()] for span, words in TYPED.items()}


def look(client: TestClient, screen: str = "printer", **setting: str) -> dict[str, Any]:
    view = {"screen": screen, "tab": "1", "target": json.dumps({**SETTING, **setting})}
    found: dict[str, Any] = client.get("/state", params=view).json()
    return found


def act(client: TestClient, what: str, **asked: Any) -> Any:
    view = {"screen": "printer", "target": json.dumps(SETTING)}
    return client.post(f"/do/printer/{what}", json={**SETTING, **asked, "view": view})


def good(client: TestClient, what: str, **asked: Any) -> dict[str, Any]:
    return screen_of(act(client, what, **asked))


def refused(client: TestClient, what: str, **asked: Any) -> str:
    return refusal_of(act(client, what, **asked))


def type_all(client: TestClient) -> dict[str, Any]:
    screen: dict[str, Any] = {}
    for span, words in TYPED.items():
        screen = good(client, "type", span=span, words=words)
    return screen


def card(client: TestClient) -> str:
    found: str = next(one["words"] for one in look(client, "film")["beside"] if one["key"] == "printer")
    return found


@pytest.fixture
def profile(inside: TestClient) -> TestClient:
    """A browser where a printer was calibrated."""
    type_all(inside)
    good(inside, "keep")
    return inside


def test_the_target_is_the_command_s_and_is_drawn_with_its_letters(
    inside: TestClient, job: Path, tmp_path: Path
) -> None:
    assert card(inside) == "not calibrated"
    screen = good(inside, "target")
    assert screen["said"]["files"] == ["target.pdf"]
    print_target(None, "white A5", "caliper", tmp_path / "other.pdf")
    assert job.with_name("target.pdf").read_bytes() == (tmp_path / "other.pdf").read_bytes()
    assert inside.get("/file/target.pdf").content == job.with_name("target.pdf").read_bytes()
    target = screen["target"]
    assert [one["letter"] for one in target["spans"]] == list("abcdefgh")
    a, d = target["spans"][0], target["spans"][3]
    assert a["asked"] == "110.00" and a["ends"][2] - a["ends"][0] == 110_000 and a["ends"][1] == a["ends"][3]
    assert d["asked"] == "140.00" and d["ends"][3] - d["ends"][1] == 140_000
    drawn = calibrating.draw_target(calibrating.target_size(None, "white A5", "caliper"))
    # Eight spans: six letters on their lines and two at both ends of the diagonals and at their boxes.
    assert sum(one["kind"] == "ground" for one in drawn) == 12
    assert sum(one["kind"] != "ground" and len(one["d"]) > 40 for one in drawn) > 12


def test_the_drawing_comes_by_itself_once_it_is_made(inside: TestClient) -> None:
    # What another test began may have ended with its server.
    calibrating._DRAWN.clear()
    calibrating._BEGUN.clear()
    first = look(inside)["screen"]["target"]
    assert first["drawing"] is None and len(first["spans"]) == 8
    while look(inside)["screen"]["target"]["drawing"] is None:
        pass
    assert look(inside)["screen"]["target"]["box"] == [0, 0, 148_000, 210_000]


def test_readings_are_kept_as_they_are_typed_and_judged_while_one_reads(inside: TestClient, data: Path) -> None:
    screen = good(inside, "type", span="across foot", words=ACROSS)
    assert screen["target"]["spans"][0]["typed"] == ACROSS.split()
    assert "at least one span across and one up" in screen["target"]["verdict"]["open"]
    (file,) = (data / "readings").iterdir()
    assert f"across foot: {ACROSS}" in file.read_text(encoding="utf-8")
    screen = good(inside, "type", span="up left", words=UP)
    assert screen["target"]["verdict"]["lines"][0].startswith("across: 0.9964")  # 109.61 of 110
    assert not kept()


def test_a_profile_is_kept_with_the_bytes_of_the_command(inside: TestClient, data: Path, tmp_path: Path) -> None:
    screen = type_all(inside)
    said = screen["target"]["verdict"]["lines"]
    screen = good(inside, "keep")
    page = {path.name: path.read_bytes() for path in folder().iterdir()}
    assert screen["said"]["done"] == "calibrated" and screen["said"]["lines"][: len(said)] == said
    assert not list((data / "readings").iterdir()), "what was typed is used"
    for path in folder().iterdir():
        path.unlink()
    wanted = CalibrationRequest(None, "white A5", "caliper", "2026-11-25", None, "desk inkjet", "rear")
    read_target(READINGS, wanted)
    assert {path.name: path.read_bytes() for path in folder().iterdir()} == page
    found = look(inside)
    assert found["screen"]["opening"] == "1 profile kept." and card(inside) == "1 profile kept"
    (one,) = found["screen"]["profiles"]
    assert one["words"] == "desk inkjet: white A5, tray rear, short edge first"
    assert one["lines"][0].startswith("2026-11-25  x 0.99645 ± ")
    assert ["desk inkjet", "desk inkjet"] in found["screen"]["choices"]["printer"]


def test_check_bars_say_whether_a_printer_has_drifted(profile: TestClient) -> None:
    (one,) = look(profile)["screen"]["profiles"]
    asked = {"profile": one["named"], "x": "100,52 100.50 100.51", "y": "100.02", "date": "2026-12-01"}
    small = good(profile, "bars", profile=one["named"], x="100.16", date="2026-11-30")
    assert [one["severity"] for one in small["said"]["findings"]] == ["note"], "moved, within 0.3 %"
    assert card(profile) == "1 profile kept" and not small["profiles"][0]["drifted"]
    screen = good(profile, "bars", **asked)
    page = kept()[0].path.read_bytes()
    assert card(profile) == "1 profile drifted" and screen["profiles"][0]["drifted"]
    assert screen["profiles"][0]["drift"] == [
        {"date": "2026-11-30", "x": 0.16, "y": None},
        {"date": "2026-12-01", "x": 0.51, "y": 0.02},
    ]
    assert "Calibrate again: desk inkjet" in screen["opening"]
    assert [one["severity"] for one in screen["said"]["findings"]] == ["warning"]
    assert any("check bars: x 100.51 mm of 100 mm (+0.51 %)" in line for line in screen["profiles"][0]["lines"])
    kept()[0].path.unlink()
    read_target(READINGS, CalibrationRequest(None, "white A5", "caliper", "2026-11-25", None, "desk inkjet", "rear"))
    bars_by_command(Read("desk inkjet", ["100.16"], [], "2026-11-30"))
    bars_by_command(Read("desk inkjet", [asked["x"]], ["100.02"], "2026-12-01"))
    assert kept()[0].path.read_bytes() == page


def test_a_profile_is_chosen_for_the_sheet(profile: TestClient, job: Path) -> None:
    sheet = look(profile)["screen"]["sheet"]
    assert sheet == {
        "printer": "",
        "choices": [["", "none: sizes are not corrected"], ["desk inkjet", "desk inkjet"]],
    }
    assert good(profile, "choose", printer="desk inkjet")["sheet"]["printer"] == "desk inkjet"
    assert read_choice(job).now.printer == "desk inkjet"
    assert "is not a printer of yours" in refused(profile, "choose", printer="../other.yaml")
    kept()[0].path.unlink()
    sheet = look(profile)["screen"]["sheet"]
    assert sheet["choices"][-1] == ["desk inkjet", "desk inkjet: not there any more"]


def test_profiles_of_one_film_are_told_apart_by_tray_or_feed(inside: TestClient) -> None:
    for tray, feed, film in (
        ("rear", "short edge first", "white A5"),
        ("front", "short edge first", "white A5"),
        ("front", "long edge first", "white A5"),
        ("", "short edge first", "clear A5"),
    ):
        wanted = CalibrationRequest(None, film, "caliper", "2026-11-25", None, "desk inkjet", tray, feed)
        read_target(READINGS, wanted)
    choices = [one for one, _ in look(inside)["screen"]["sheet"]["choices"]]
    assert sorted(choices) == [
        "",
        "desk inkjet",
        "desk inkjet, front, long edge first",
        "desk inkjet, front, short edge first",
        "desk inkjet, rear",
    ]
    white = load_film("white A5")
    found = [printer_for(one, white) for one in choices if "," in one]
    settings = [one.history.setting for one in found if one.history]
    assert len({str(one) for one in settings}) == 3, "each of them names one profile of the film"


def test_swatches_are_the_command_s_and_what_is_seen_goes_into_a_new_printer_file(
    inside: TestClient, job: Path, tmp_path: Path
) -> None:
    screen = good(inside, "swatches", film="clear A5")
    assert screen["said"]["files"] == ["swatches.pdf"]
    print_swatches([job], None, "clear A5", tmp_path / "other.pdf")
    assert job.with_name("swatches.pdf").read_bytes() == (tmp_path / "other.pdf").read_bytes()
    found = screen["swatches"]
    assert [one["letter"] for one in found["sizes"]] == ["a", "b", "c", "d"], "choke is of a printer with white"
    assert {"harbour teal", "oat cream"} <= {one["name"] for one in found["inks"]}
    seen = {"reading harbour teal": "#207a80", "reading darkest": "lab(9 0 0)", "reading line": "0,12"}
    screen = good(inside, "colours", output="colours.yaml", **seen)
    assert "smallest line: 0.12 mm" in screen["said"]["lines"]
    typed = tmp_path / "readings.txt"
    typed.write_text("harbour teal: #207a80\ndarkest: lab(9 0 0)\na: 0.12 mm\n", encoding="utf-8")
    read_swatches(typed, [job], None, "2026-11-25", tmp_path / "by-command.yaml")
    assert job.with_name("colours.yaml").read_bytes() == (tmp_path / "by-command.yaml").read_bytes()
    after = look(inside, printer="colours.yaml", name="")["screen"]
    assert after["swatches"]["measured"][0] == "line 0.12 mm" and not after["target"]["wrong"]
    named = [["", "a new printer"], ["by-command.yaml", "by-command.yaml"], ["colours.yaml", "colours.yaml"]]
    assert after["choices"]["printer"] == named, "no job file is a printer"


def test_what_a_new_user_gets_wrong_costs_nothing_and_is_said_once(profile: TestClient, job: Path) -> None:
    (one,) = kept()
    before = one.path.read_bytes()
    named = "desk inkjet, white A5, rear, short edge first"
    for message, what, asked in (
        ("it looks like inches", "type", {"span": "across foot", "words": "4.331"}),
        ("the decimal point looks misplaced", "type", {"span": "across foot", "words": "1096.2"}),
        ("spans across and up look swapped", "type", {"span": "across foot", "words": "139.7"}),
        ("is not a reading", "type", {"span": "across foot", "words": "about 109"}),
        ("do not agree", "type", {"span": "across foot", "words": "109.6 105.2"}),
        ("there is no span 'z'", "type", {"span": "z", "words": "109.6"}),
        ("spans are missing", "keep", {}),
        ("is not a date", "keep", {"date": "25.11.2026"}),
        ("cannot name a printer", "keep", {"name": "a/b"}),
        ("is not a film", "target", {"film": "whit A5"}),
        ("Film: '../white.yaml' is not the name of a file", "target", {"film": "../white.yaml"}),
        ("Film: '/etc/passwd' is not a film", "target", {"film": "/etc/passwd"}),
        ("Printer: '../p.yaml' is not the name of a file", "target", {"printer": "../p.yaml"}),
        ("Printer: 'a/b' is not a printer", "target", {"printer": "a/b"}),
        ("no bar was read", "bars", {"profile": named, "x": "", "y": ""}),
        ("it looks 10 mm out", "bars", {"profile": named, "x": "110.01", "y": ""}),
        ("Record of the print: '../x.json' is not", "bars", {"profile": named, "x": "100", "record": "../x.json"}),
        ("no profile is kept of a printer 'shelf'", "bars", {"profile": "shelf", "x": "100"}),
        ("there is no reading", "colours", {"output": "new.yaml"}),
        ("line: 'thin' is not a length", "colours", {"output": "new.yaml", "reading line": "thin"}),
        ("harbour teal: ", "colours", {"output": "new.yaml", "reading harbour teal": "teal-ish"}),
        ("already exists", "colours", {"output": "gannet.yaml", "reading line": "0.12"}),
        ("New printer file: '../new.yaml'", "colours", {"output": "../new.yaml", "reading line": "0.12"}),
    ):
        assert message in refused(profile, what, **asked), message
    assert one.path.read_bytes() == before and not job.with_name("new.yaml").exists()


def test_a_damaged_profile_is_said_and_every_other_screen_goes_on(profile: TestClient) -> None:
    path = kept()[0].path
    path.write_text("printer: [", encoding="utf-8")
    assert card(profile) == "cannot be read"
    assert path.name in look(profile)["screen"]["wrong"]
    assert profile.get("/state", params={"screen": "draw"}).status_code == 200
    path.unlink()
    assert card(profile) == "not calibrated"


def test_a_printer_without_a_name_waits_for_one(inside: TestClient) -> None:
    target = look(inside, name="")["screen"]["target"]
    assert target["waits"].startswith("Give the printer a name first") and len(target["spans"]) == 8
    target = look(inside, date="")["screen"]["target"]
    assert "the day of this calibration is missing" in target["waits"]
    for broken in ("[1]", "{", "9" * 5000, "[" * 3000):
        assert inside.get("/state", params={"screen": "printer", "target": broken}).status_code == 200


def test_what_a_new_printer_is_taken_for_is_said_and_a_laser_sheet_is_refused(inside: TestClient) -> None:
    screen = look(inside, film="white A5 laser")["screen"]
    assert "is laser film, the printer 'any printer' is an inkjet printer" in screen["target"]["wrong"]
    assert "an inkjet without white ink that leaves 10 mm at each edge" in screen["plain"]


def test_a_printer_file_beside_the_job_says_what_it_cannot_print(inside: TestClient, job: Path) -> None:
    text = "printer: lab laser\nprocess: laser\nmargins: [20 mm, 20 mm, 20 mm, 20 mm]\nwhite: yes\n"
    job.with_name("lab.yaml").write_text(text, encoding="utf-8")
    assert load_printer(job.with_name("lab.yaml")).white
    screen = look(inside, printer="lab.yaml", name="")["screen"]
    assert screen["target"]["spans"][0]["asked"] == "90.00"  # 148 - 2 × 20 - 16 mm, down to whole tens
    assert [one["letter"] for one in screen["swatches"]["sizes"]] == list("abcde")
    assert "white over black" in [one["name"] for one in screen["swatches"]["colours"]]


@pytest.mark.parametrize(
    ("words", "boxes"),
    [
        ("109.62 109,60", ["109.62", "109,60"]),
        ("4.331 in 4.332 in", ["4.331 in", "4.332 in"]),
        ("109.62mm", ["109.62mm"]),
        ("", []),
    ],
)
def test_each_reading_goes_into_a_box_with_its_unit(words: str, boxes: list[str]) -> None:
    assert SPLIT.findall(words) == boxes
