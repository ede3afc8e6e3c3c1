"""Originals without a browser: pictures that come in, what is said of them, what is read, and that as a decal.

What is true of a scan is known from how `tests/scan/scans.py` made it, apart from what reads it.
"""

from __future__ import annotations

import io
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from starlette.testclient import TestClient

from decalgen.bench import original_shelf
from decalgen.bench.copies_beside import plain_name
from decalgen.bench.guard import MOST_PICTURE, PICTURES
from decalgen.bench.original_said import OriginalSaid, said_with
from decalgen.bench.original_shelf import MOST_PICTURES, OriginalPicture
from decalgen.bench.page_words import on_page
from decalgen.bench.screens import originals
from decalgen.bench.workplace import Workplace
from decalgen.commands.page_scans import MOST_BYTES
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.job.edits import values
from decalgen.scan.measuring import MeasuredScan, measure_scan
from decalgen.scan.template.reading import measure_template
from decalgen.scan.template.values import MeasuredTemplate
from tests.bench.scanned_door import door, scanned_checks
from tests.bench.test_server import state
from tests.scan.scans import MadeScan
from tests.scan.templates import Faults as TapeFaults
from tests.scan.templates import MadeTemplate, Panel, template

RAW = {"content-type": "application/octet-stream"}


@pytest.fixture(scope="module")
def made() -> MadeScan:
    return scanned_checks()


@pytest.fixture(scope="module")
def measured(made: MadeScan) -> MeasuredScan:
    """What is read of it, once for all tests that only need something read."""
    return measure_scan(PictureData("door.png", made.data), OriginalSaid().request())


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return door(tmp_path)


@pytest.fixture
def place(inside: TestClient) -> Workplace:
    found: Workplace = inside.app_state["place"]
    return found


@pytest.fixture
def one(place: Workplace, made: MadeScan, measured: MeasuredScan) -> OriginalPicture:
    """A picture on the screen that is read already."""
    found = OriginalPicture(PictureData("door.png", made.data))
    found.take(found.said, measured, None)
    place.originals.pictures.append(found)
    place.originals.shown = found
    return found


def bring(client: TestClient, data: bytes, name: str = "door.png", **headers: str) -> Any:
    return client.post(PICTURES, params={"name": name}, content=data, headers={**RAW, **headers})


def act(client: TestClient, act: str, **asked: Any) -> Any:
    return client.post(f"/do/originals/{act}", json={**asked, "view": {"screen": "originals"}})


def shown(client: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = state(client, "originals")["screen"]
    return found


def until_read(client: TestClient) -> dict[str, Any]:
    """The screen once nothing is being read; it is waited for as long as it takes."""
    while (found := shown(client))["stage"]:
        time.sleep(0.02)
    return found


def file_of(image: Image.Image, form: str = "PNG") -> bytes:
    out = io.BytesIO()
    image.save(out, form)
    return out.getvalue()


def test_a_picture_is_read_as_it_comes_and_told_in_the_words_of_the_command(inside: TestClient, made: MadeScan) -> None:
    assert bring(inside, made.data, "Harbour door.png").status_code == 200
    found = until_read(inside)
    assert found["picture"]["name"] == "Harbour door.png" and found["wrong"] is None
    read = found["read"]
    assert read["kind"] == "checks" and read["head"].startswith("checks, 8 columns × 2 rows, 2")
    rows = {row["name"]: row for row in read["rows"]}
    assert float(rows["cell width"]["value"].split()[0]) == pytest.approx(3.0, abs=0.02)
    assert rows["columns"]["value"] == "8" and rows["cell width"]["value"].endswith(" mm")
    assert 0.5 < rows["cell width"]["part"] <= 1 and not found["open"]
    # Where the card lies is known from how the scan was made.
    assert np.abs(np.array(read["card"]) - np.array(made.card)).max() < 0.3
    assert "Compare the lines with the scan" in found["opening"]
    assert any(edge["there"] for edge in read["edges"]) and any(not edge["there"] for edge in read["edges"])
    step = next(step for step in state(inside, "originals")["steps"] if step["key"] == "originals")
    assert (step["done"], step["words"]) == (False, "read, not added")


BAD = {
    "no picture": (b"panel: door", "is not a PNG, JPEG or TIFF picture", 422),
    "nothing": (b"", "is not a PNG, JPEG or TIFF picture", 422),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_picture_is_refused_and_the_one_before_stays(
    inside: TestClient, one: OriginalPicture, name: str
) -> None:
    data, message, status = BAD[name]
    answer = bring(inside, data, "notes.png")
    assert answer.status_code == status
    assert message in answer.json()["message"] and answer.json()["fix"]
    assert shown(inside)["picture"]["name"] == "door.png" and shown(inside)["read"]


def test_only_the_page_brings_pictures_and_none_that_is_too_large(
    client: TestClient, inside: TestClient, made: MadeScan
) -> None:
    assert MOST_PICTURE == MOST_BYTES
    assert bring(inside, made.data, origin="http://rebound.example").status_code == 403
    assert bring(inside, made.data, **{"sec-fetch-site": "cross-site"}).status_code == 403
    for kind in ("application/json", "text/plain", "multipart/form-data; boundary=x", "image/png"):
        assert bring(inside, made.data, **{"content-type": kind}).status_code == 415
    assert inside.post("/edit", content=b"{}", headers=RAW).status_code == 415
    assert bring(inside, b"", **{"content-length": str(MOST_PICTURE + 1)}).status_code == 413
    assert not shown(inside)["pictures"]
    inside.cookies.clear()
    assert bring(inside, made.data).status_code == 401


def test_a_blank_scan_and_one_without_a_card_are_told_with_ways_out(inside: TestClient) -> None:
    bring(inside, file_of(Image.new("RGB", (400, 300), "white")), "lid.png")
    wrong = until_read(inside)["wrong"]
    assert "'lid.png' is blank" in wrong["wrong"] and wrong["ways"] == ["another"]
    grey = Image.new("RGB", (400, 300), (200, 200, 200))
    grey.paste((31, 127, 134), (150, 120, 220, 190))
    bring(inside, file_of(grey), "photo.png")
    found = until_read(inside)
    assert "no card of 85.6 × 53.98 mm is seen" in found["wrong"]["wrong"]
    assert "set its corners by hand" in found["wrong"]["fix"] and found["wrong"]["ways"] == ["corners", "dpi"]
    assert found["opening"].startswith("Nothing could be read from photo.png")
    # By corners nothing is read before they are set.
    assert act(inside, "say", what={"by": "corners"}).status_code == 200
    assert "drag its four corners" in until_read(inside)["opening"]
    assert [row["name"] for row in shown(inside)["pictures"]] == ["photo.png", "lid.png"]


def test_what_is_said_goes_to_the_command_as_it_was_typed() -> None:
    said = said_with(OriginalSaid(), {"size": "85.5 x 54.0 mm", "part": [1, 2, 300.7, 400], "kind": "stripes"})
    request = said.request()
    assert (request.card, request.card_mm) == ("card", (85.5, 54.0))
    assert (request.part, request.kind) == ((1, 2, 300, 400), "stripes")
    # As one types with a caliper in the other hand.
    for typed in ("85.58 x 53.97", "85,58 × 53,97", "85.58 x 53.97 mm"):
        assert said_with(said, {"size": typed}).request().card_mm == (85.58, 53.97)
    assert said_with(said, {"size": "85.5 ± 0.1 x 54 ± 0.2"}).request().card_off == pytest.approx((0.1, 0.2))
    corners = [[1, 200.25], [300, 200], [300, 1], [1, 1]]
    request = said_with(said, {"by": "corners", "corners": corners, "white": "12.5,30.0"}).request()
    assert request.corners[0] == (1.0, 200.25) and request.card == "" and request.card_mm == (85.5, 54.0)
    assert request.patches.white is not None and request.patches.white.place == (12.5, 30.0)
    request = said_with(said, {"by": "dpi", "dpi": "300x600"}).request()
    assert request.dpi == (300, 600) and request.card_mm is None


@pytest.mark.parametrize(
    ("what", "message"),
    [
        ({"size": "a card"}, "is not the size of a card"),
        ({"size": "85 paces x 54 mm"}, "is not a length"),
        ({"by": "dpi", "dpi": "many"}, "is not a resolution"),
        ({"part": [300, 2, 300, 400]}, "the frame has no size"),
        ({"part": "all"}, "cannot be read"),
        ({"corners": [[0, 0]] * 3}, "cannot be read"),
        ({"corners": [[0, 0], [9, 0], [9, float("nan")], [0, 9]]}, "cannot be read"),
        ({"kind": "tartan"}, "cannot be read"),
        ({"white": "here"}, "cannot be read"),
        ({"by": "guess"}, "cannot be read"),
        ({"size": "8" * 500}, "cannot be read"),
        ({"path": "/etc/passwd"}, "cannot be said"),
    ],
)
def test_what_cannot_be_said_is_refused_and_what_was_said_stays(what: dict[str, Any], message: str) -> None:
    said = OriginalSaid(size="85.5 x 54.0 mm")
    with pytest.raises(DecalgenError, match=message) as refused:
        said_with(said, what)
    assert refused.value.fix


def test_a_value_is_typed_over_and_taken_back(inside: TestClient, one: OriginalPicture) -> None:
    assert act(inside, "value", name="columns", to="12").status_code == 200
    read = shown(inside)["read"]
    assert read["head"].startswith("checks, 12 columns × 2 rows, 36.0") and read["kind"] == "checks"
    for name, to, message in (
        ("columns", "many", "is not a count"),
        ("cell width", "wide", "is not a length"),
        ("cell width", "0", "more than 0 mm"),
        ("weight", "2", "no value 'weight'"),
    ):
        answer = act(inside, "value", name=name, to=to)
        assert answer.status_code == 422 and message in answer.json()["message"], name
        assert "--" not in answer.json()["fix"]
    assert one.typed == {"columns": "12"}
    # A bare number is mm, a comma a decimal one.
    assert act(inside, "value", name="cell height", to="3,1").status_code == 200
    assert next(row for row in shown(inside)["read"]["rows"] if row["name"] == "cell height")["value"].startswith(
        "3.100"
    )
    assert "more than one" in act(inside, "value", name="cell height", to="3.1 3.2").json()["message"]
    assert act(inside, "value", name="columns", to=" ").status_code == 200
    assert shown(inside)["read"]["head"].startswith("checks, 8 columns")


def test_another_part_has_values_of_its_own_and_another_reference_does_not(one: OriginalPicture) -> None:
    one.type_over("columns", "12")
    one.say({"size": "85.5 x 54.0 mm"})
    assert one.typed == {"columns": "12"} and one.fit is None
    one.say({"part": [0, 0, 200, 200]})
    assert not one.typed


def test_a_value_in_doubt_is_taken_as_read_or_typed_over(inside: TestClient, one: OriginalPicture) -> None:
    assert one.found is not None
    fit = one.found.fits[0]
    of = {"rows": {"doubt": "only 9% of its edges are left"}, "columns": {"least": True}}
    doubted = tuple(replace(row, **of.get(row.name, {})) for row in fit.values)  # type: ignore[arg-type]
    one.found = replace(one.found, fits=(replace(fit, values=doubted),))
    # The width of a pattern of which columns may lack is no less in doubt.
    assert shown(inside)["open"] == ["columns", "width", "rows"]
    assert "3 values in doubt" in shown(inside)["opening"]
    flags = {row["name"]: row["flag"] for row in shown(inside)["read"]["rows"]}
    assert flags["columns"] == "an outer edge is torn off" and flags["rows"].startswith("only 9%")
    assert act(inside, "take", name="rows").status_code == 200
    assert shown(inside)["open"] == ["columns", "width"]
    act(inside, "value", name="columns", to="12")
    assert shown(inside)["open"] == []
    assert act(inside, "take", name="weight").status_code == 422


def test_it_becomes_a_decal_with_its_readings_as_notes_and_undo_takes_it_back(
    inside: TestClient, one: OriginalPicture, place: Workplace
) -> None:
    act(inside, "value", name="columns", to="7")
    # The file itself is older: what is on the page counts.
    place.desk.remake("a line", lambda text: text + "\n# a last line\n")
    originals.add(place, {"panel": "door", "name": "", "both": True})
    text = place.desk.text
    decal = values(text)["decals"]["checks of door"]
    assert (decal["panel"], decal["hands"]) == ("door", "both") and text.endswith("# a last line\n")
    assert decal["artwork"][0]["checks"]["columns"] == "7"
    assert "# checks read from door.png; the size by a card" in text and "# columns: 7, as typed" in text
    assert state(inside, "originals")["undo"] == "checks of door from door.png"
    assert shown(inside)["added"] == [["checks of door", "door"]]
    # Once more it gets a name of its own; the bonnet has one side alone.
    assert act(inside, "add", panel="bonnet", name="nose checks", both=True).status_code == 200
    assert "hands" not in values(place.desk.text)["decals"]["nose checks"]
    assert act(inside, "add", panel="door", name="", both=False).status_code == 200
    assert "checks of door 2" in values(place.desk.text)["decals"]
    for _ in range(3):
        base = state(inside, "originals")["version"]
        assert inside.post("/undo", json={"base": base, "view": {"screen": "originals"}}).status_code == 200
    assert shown(inside)["added"] == [] and "checks of door" not in values(place.desk.text)["decals"]


def test_what_it_cannot_be_added_as_is_told_and_nothing_is_changed(
    inside: TestClient, one: OriginalPicture, place: Workplace
) -> None:
    before = place.desk.text
    taken = next(iter(values(before)["decals"]))
    for panel, name, message in (("lid", "", "no panel 'lid'"), ("door", taken, taken)):
        answer = act(inside, "add", panel=panel, name=name)
        assert answer.status_code == 422 and message in answer.json()["message"], answer.text
    one.say({"kind": "stripes"})
    assert "is not read yet" in act(inside, "add", panel="door", name="").json()["message"]
    assert place.desk.text == before


def test_a_picture_is_kept_beside_the_job_only_when_asked_and_nothing_is_written_over(
    inside: TestClient, one: OriginalPicture, job: Path
) -> None:
    beside = {path.name for path in job.parent.iterdir()}
    job.with_name("door.png").write_bytes(b"another")
    assert act(inside, "keep").status_code == 200
    assert job.with_name("door.png").read_bytes() == b"another"
    assert shown(inside)["picture"]["kept"] == "door-2.png"
    assert job.with_name("door-2.png").read_bytes() == one.picture.data
    assert {path.name for path in job.parent.iterdir()} - beside <= {"door.png", "door-2.png"}
    # From there it is taken up again.
    assert act(inside, "away").status_code == 200 and shown(inside)["picture"] is None
    assert "door-2.png" in shown(inside)["beside"]
    assert act(inside, "beside", name="../door.png").status_code == 422
    assert act(inside, "beside", name="door-2.png").status_code == 200
    act(inside, "stop")
    assert until_read(inside)["picture"]["kept"] == "door-2.png"


def test_so_many_pictures_and_no_more_and_the_same_twice_is_one(
    inside: TestClient, place: Workplace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place.originals, "look", lambda _: None)
    images = [file_of(Image.new("RGB", (80, 70), (n, 0, 0))) for n in range(MOST_PICTURES + 1)]
    for data in images[:-1]:
        assert bring(inside, data).status_code == 200
    assert bring(inside, images[0]).status_code == 200
    assert len(shown(inside)["pictures"]) == MOST_PICTURES
    answer = bring(inside, images[-1])
    assert answer.status_code == 422 and "put one away" in answer.json()["fix"]
    first = place.originals.pictures[-1]
    assert act(inside, "show", key=first.key).status_code == 200 and place.originals.shown is first
    assert act(inside, "show", key="0").status_code == 422


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch, measured: MeasuredScan) -> Iterator[list[str]]:
    """Readings that go on only once they are let; the list has what each was of, 'go' lets all on."""
    begun: list[str] = []
    go = threading.Event()

    def measuring(picture: PictureData, said: OriginalSaid, stage: Any) -> MeasuredScan:
        begun.append(said.kind or "any")
        while not go.is_set() and "go" not in begun:
            stage("trying checks")
            time.sleep(0.005)
        stage("done")
        return measured

    monkeypatch.setattr(original_shelf, "_measured", measuring)
    yield begun
    go.set()


def test_a_reading_is_stopped_and_asked_for_again(inside: TestClient, made: MadeScan, held: list[str]) -> None:
    bring(inside, made.data)
    while not held:
        time.sleep(0.005)
    assert shown(inside)["stage"]
    assert act(inside, "stop").status_code == 200
    found = until_read(inside)
    assert found["read"] is None and found["wrong"] is None and found["opening"] == "door.png is not read yet."
    act(inside, "look")
    held.append("go")
    assert until_read(inside)["read"]["kind"] == "checks"


def test_what_is_said_while_it_is_read_has_it_read_again(inside: TestClient, made: MadeScan, held: list[str]) -> None:
    bring(inside, made.data)
    while not held:
        time.sleep(0.005)
    act(inside, "say", what={"kind": "stripes"})
    while "stripes" not in held:
        time.sleep(0.005)
    held.append("go")
    found = until_read(inside)
    assert found["picture"]["said"]["kind"] == "stripes" and found["read"]
    assert [one for one in held if one != "go"] == ["any", "stripes"]


def test_a_fault_of_its_own_is_told_and_the_server_goes_on(
    inside: TestClient, made: MadeScan, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: Any) -> MeasuredScan:
        raise RuntimeError("a screw is loose")

    monkeypatch.setattr(original_shelf, "_measured", fails)
    bring(inside, made.data)
    assert "decalgen itself failed" in until_read(inside)["wrong"]["wrong"]


def test_parts_of_a_picture_are_shown_and_grey_beyond_its_edge(inside: TestClient, place: Workplace) -> None:
    image = Image.new("RGB", (100, 80), (10, 20, 30))
    found = OriginalPicture(PictureData("small.png", file_of(image)))
    place.originals.pictures.append(found)

    def part(**window: int) -> Any:
        return inside.get(f"/original/{found.key}.jpg", params=window)

    answer = part(left=-10, top=0, right=20, bottom=40)
    assert answer.headers["content-type"] == "image/jpeg" and answer.headers["cache-control"] == "no-store"
    seen = np.asarray(Image.open(io.BytesIO(answer.content))).astype(int)
    assert seen.shape == (40, 30, 3)
    assert abs(seen[:, :6] - 128).max() < 12 and abs(seen[:, 14:] - (10, 20, 30)).max() < 12
    for bad in (
        {"left": 0, "top": 0, "right": 4, "bottom": 40},
        {"left": 0, "top": 0, "right": 10**7, "bottom": 40},
        {"left": 0, "top": 0, "right": 20},
        {"left": -(10**6), "top": 0, "right": 20, "bottom": 40},
    ):
        assert part(**bad).status_code == 404
    assert inside.get("/original/none.jpg", params={"left": 0, "top": 0, "right": 9, "bottom": 9}).status_code == 404


def test_a_large_picture_is_shown_smaller(inside: TestClient, place: Workplace) -> None:
    found = OriginalPicture(PictureData("wide.png", file_of(Image.new("RGB", (4000, 300), "white"))))
    place.originals.pictures.append(found)
    answer = inside.get(f"/original/{found.key}.jpg", params={"left": 0, "top": 0, "right": 4000, "bottom": 300})
    assert Image.open(io.BytesIO(answer.content)).size == (1600, 120)


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("door.png", "door.png"),
        ("../../etc/passwd", "passwd"),
        ("C:\\scans\\door left.jpg", "door left.jpg"),
        ("_DSC0012.JPG", "DSC0012.JPG"),
        (".hidden.png", "hidden.png"),
        ("a\nb\u202e.png", "a-b-.png"),
        ("con.png", "picture-con.png"),
        ("", "picture"),
        ("///", "picture"),
        ("n" * 300 + ".png", "n" * 77 + ".png"),
    ],
)
def test_names_are_those_of_plain_files(name: str, plain: str) -> None:
    assert plain_name(name) == plain


def test_a_picture_without_an_ending_gets_that_of_its_kind() -> None:
    image = Image.new("RGB", (80, 70), "white")
    for form, ending in (("PNG", ".png"), ("JPEG", ".jpg"), ("TIFF", ".tif")):
        assert OriginalPicture(PictureData("scan", file_of(image, form))).file_name == f"scan{ending}"


# ------------------------------------------------------------------------------------------------------------- a panel
@pytest.fixture(scope="module")
def traced() -> tuple[MadeTemplate, MeasuredTemplate]:
    """A door traced on tape, at 200 dpi, and what is read of it by its corners."""
    door = Panel("door", [(0, 0), (16, 0), (16, 14), (0, 14)], [0.0, 0.0, 0.0, 3.0], [0.0] * 4)
    faults = TapeFaults(card=False, margin=5.0, turn=2.0, noise=1.0, corners_kept=True)
    made = template(door, faults, 200.0, 3)
    points = [[x, y, n == 3, "line"] for n, (x, y) in enumerate(made.pixels)]
    said = said_with(OriginalSaid(), {"what": "tape", "by": "dpi", "dpi": "200", "points": points})
    return made, measure_template(PictureData("tape.png", made.data), said.template())


def test_a_panel_is_read_by_its_corners_and_put_into_the_job(
    inside: TestClient, place: Workplace, traced: tuple[MadeTemplate, MeasuredTemplate]
) -> None:
    made, measured = traced
    one = OriginalPicture(PictureData("tape.png", made.data))
    place.originals.pictures.append(one)
    place.originals.shown = one
    # Of a photo nothing is read without corners; on tape they are looked for.
    assert act(inside, "say", what={"what": "photo", "by": "dpi", "dpi": "200"}).status_code == 200
    assert "press its corners" in shown(inside)["opening"] and not shown(inside)["stage"]
    points = [[x, y, n == 3, "line"] for n, (x, y) in enumerate(made.pixels)]
    one.say({"what": "tape"})
    one.take(one.said, replace(measured, found=True), None)
    offer = shown(inside)["outline"]["offer"]
    assert [row[2:] for row in offer] == [[False, "line"]] * 3 + [[True, "line"]]
    one.say({"points": points})
    one.take(one.said, measured, None)
    outline = shown(inside)["outline"]
    assert outline["head"].startswith("panel of 4 corners, 16.") and len(outline["corners"]) == 4
    assert np.abs(np.array(outline["corners"]) - np.array(made.pixels)).max() < 6
    assert outline["offer"] == []
    assert [row[0] for row in outline["rows"]][:2] == ["corner 1", "corner 2"] and outline["edges"]
    assert shown(inside)["read"] is None
    answer = act(inside, "panel", name="door")
    assert answer.status_code == 422 and 'tick "in place of it"' in answer.json()["fix"]
    assert act(inside, "panel", name=" ").json()["message"] == "the panel needs a name"
    assert act(inside, "panel", name="side door").status_code == 200
    panel = values(place.desk.text)["panels"]["side door"]
    assert len(panel["outline"]) == 4 and panel["corner radii"][:3] == ["0.00 mm"] * 3
    assert shown(inside)["outlined"] == ["side door"] and place.desk.job is not None
    assert place.desk.job.panel("side door").width.value == pytest.approx(16.0, abs=0.3)
    base = state(inside, "originals")["version"]
    assert inside.post("/undo", json={"base": base, "view": {"screen": "originals"}}).status_code == 200
    assert shown(inside)["outlined"] == []


@pytest.mark.parametrize(
    ("what", "message"),
    [
        ({"points": [[1, 2, False, ""]] * 2}, "2 corners make no outline"),
        ({"points": [[1, 2, False, "wave"]] * 4}, "cannot be read"),
        ({"points": [[1, 2]] * 4}, "cannot be read"),
        ({"points": [[1, float("inf"), False, ""]] * 4}, "cannot be read"),
        ({"points": [[n, n, False, ""] for n in range(100)]}, "cannot be read"),
        ({"points": [[0, 9, True, "arc"], [9, 9, False, ""], [9, 0, False, ""]]}, "has an arc beside it"),
        ({"points": [[0, 9, False, ""], [9, 9, False, ""], [9, 0, False, ""]], "width": "wide"}, "is not a length"),
        ({"points": [[0, 9, False, ""], [9, 9, False, ""], [9, 0, False, ""]], "height": "2000"}, "no panel is 2000"),
    ],
)
def test_what_cannot_be_said_of_a_panel_is_refused(what: dict[str, Any], message: str) -> None:
    with pytest.raises(DecalgenError, match=message) as refused:
        said_with(OriginalSaid(what="tape"), what)
    assert "--" not in on_page(refused.value.fix)
