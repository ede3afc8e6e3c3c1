"""A drawing, a picture or a font dropped on Draw: copied beside the job, judged first; each attack."""

from __future__ import annotations

import base64
import io
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.guard import MOST_BODY, MOST_DROPPED
from decalgen.job.pictures import MOST_BYTES
from tests.bench.test_server import state
from tests.core.svg.drawn import whole
from tests.helpers.pictures import emblem, photograph, saved
from tests.lettering.test_own_fonts import CINZEL, FJALLA, built, packed

EMBLEM = saved(emblem(120))
CREST = whole('<circle cx="4" cy="4" r="4" fill="#a01c20"/><circle cx="4" cy="4" r="2" fill="#fff"/>', 8, 8).encode()


def drop(client: TestClient, name: object, data: bytes | str = EMBLEM, panel: str = "door") -> Any:
    text = data if isinstance(data, str) else base64.b64encode(data).decode("ascii")
    asked: dict[str, Any] = {"name": name, "data": text, "panel": panel, "view": {"screen": "draw"}}
    return client.post("/do/draw/drop_file", json=asked)


def files(job: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in job.parent.iterdir() if path.is_file() and path != job}


def decals(client: TestClient) -> list[str]:
    return list(state(client, "draw", panel="door")["screen"]["decals"])


def test_a_picture_is_copied_and_comes_in_the_middle_of_the_panel(inside: TestClient, job: Path) -> None:
    before = decals(inside)
    answer = drop(inside, "harbour emblem.png")
    assert answer.status_code == 200, answer.text
    assert files(job)["harbour emblem.png"] == EMBLEM
    assert decals(inside) == [*before, "harbour emblem"]
    desk = inside.app_state["place"].desk
    made = next(one for one in desk.job.decals if one.name == "harbour emblem")
    panel = desk.job.panel("door")
    # Half of the panel's lower side, in steps of 0.05 mm; the decal is just as large, and lies in the middle.
    side = min(panel.width.value, panel.height.value) / 2
    assert side - 0.05 < made.width.value <= side and made.height.value == pytest.approx(made.width.value, abs=0.01)
    assert (made.at.anchor, made.at.dx, made.at.dy, made.cut.kind) == ("centre", 0, 0, "artwork")


def test_a_drawing_has_its_true_size_where_it_fits(inside: TestClient, job: Path) -> None:
    assert drop(inside, "crest.svg", CREST).status_code == 200
    made = next(one for one in inside.app_state["place"].desk.job.decals if one.name == "crest")
    assert (made.width.value, made.height.value) == (8, 8)
    large = whole('<rect width="400" height="200" fill="#a01c20"/>', 400, 200).encode()
    assert drop(inside, "board.svg", large).status_code == 200
    board = next(one for one in inside.app_state["place"].desk.job.decals if one.name == "board")
    panel = inside.app_state["place"].desk.job.panel("door")
    assert board.width.value <= panel.width.value / 2 and board.height.value <= panel.height.value / 2 + 0.01


def outlined(unit: int, side: float) -> bytes:
    """A square with a round hole in DXF, as ezdxf writes it."""
    ezdxf = pytest.importorskip("ezdxf")
    document = ezdxf.new("R2010", units=unit)
    document.modelspace().add_lwpolyline([(0, 0), (side, 0), (side, side), (0, side)], close=True)
    document.modelspace().add_circle((side / 2, side / 2), side / 4)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def test_a_drawing_in_dxf_has_its_true_size_where_its_file_says_a_unit(inside: TestClient, job: Path) -> None:
    # $INSUNITS 4 is the millimetre, 0 is no unit (DXF reference).
    assert drop(inside, "plate.dxf", outlined(4, 6.0)).status_code == 200
    assert drop(inside, "Loose Plate.DXF", outlined(0, 6.0)).status_code == 200
    plate, loose = inside.app_state["place"].desk.job.decals[-2:]
    panel = inside.app_state["place"].desk.job.panel("door")
    assert (plate.name, plate.width.value, plate.height.value, plate.cut.kind) == ("plate", 6, 6, "artwork")
    side = min(panel.width.value, panel.height.value) / 2
    assert loose.name == "Loose Plate" and side - 0.05 < loose.width.value <= side
    assert state(inside, "draw", panel="door", decal="plate")["screen"]["drawings"][0]["file"] == "plate.dxf"


def test_no_file_is_written_over_and_the_same_one_is_not_kept_twice(inside: TestClient, job: Path) -> None:
    other = saved(photograph())
    job.with_name("emblem.png").write_bytes(other)
    assert drop(inside, "emblem.png").status_code == 200
    assert drop(inside, "emblem.png").status_code == 200
    there = files(job)
    assert there["emblem.png"] == other and there["emblem-2.png"] == EMBLEM and "emblem-3.png" not in there
    assert decals(inside)[-2:] == ["emblem", "emblem 2"]


def test_a_link_is_never_followed(inside: TestClient, job: Path, tmp_path: Path) -> None:
    outside = tmp_path.parent / f"{tmp_path.name}-outside.png"
    job.with_name("emblem.png").symlink_to(outside)
    assert drop(inside, "emblem.png").status_code == 200
    assert not outside.exists() and job.with_name("emblem-2.png").read_bytes() == EMBLEM


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("../emblem.png", EMBLEM, "that name cannot be a file's here"),
        ("/tmp/emblem.png", EMBLEM, "that name cannot be a file's here"),
        ("a/emblem.png", EMBLEM, "that name cannot be a file's here"),
        ("..\\emblem.png", EMBLEM, "that name cannot be a file's here"),
        ("C:emblem.png", EMBLEM, "that name cannot be a file's here"),
        (".emblem.png", EMBLEM, "that name cannot be a file's here"),
        ("emblem..png", EMBLEM, "that name cannot be a file's here"),
        ("emblem.png\0", EMBLEM, "that name cannot be a file's here"),
        ("em\u202eblem.png", EMBLEM, "that name cannot be a file's here"),
        ("<emblem>.png", EMBLEM, "that name cannot be a file's here"),
        ("nul.png", EMBLEM, "that name cannot be a file's here"),
        ("e" * 300 + ".png", EMBLEM, "that name cannot be a file's here"),
        ("gannet.yaml", EMBLEM, "is not a drawing, a picture or a font that decalgen reads"),
        ("page.html", EMBLEM, "is not a drawing, a picture or a font that decalgen reads"),
        ("run.exe", EMBLEM, "is not a drawing, a picture or a font that decalgen reads"),
        (7, EMBLEM, "that cannot be read"),
        ("emblem.png", "no base64!", "that file did not come through whole"),
        ("emblem.png", b"", "is not a PNG, JPEG or TIFF picture"),
        ("emblem.png", b"<html></html>", "is not a PNG, JPEG or TIFF picture"),
        ("emblem.png", EMBLEM[:2000], "cannot be read"),
        ("crest.svg", EMBLEM, "is not an SVG drawing"),
        ("crest.svg", b'<!DOCTYPE svg [<!ENTITY a "a">]><svg/>', "it declares an entity"),
        ("crest.svg", b'<svg xmlns="http://www.w3.org/2000/svg" width="8mm" height="8mm"><text>A</text></svg>',
         "nothing of the drawing"),
        ("plate.dxf", EMBLEM, "'plate.dxf' is not a DXF drawing"),
        ("plate.dxf", CREST, "'plate.dxf'"),
        ("plate.dxf", b" " * 4_000_001, "is too large: at most 4 MB are read"),
        ("old.woff", FJALLA, "is not a drawing, a picture or a font that decalgen reads"),
        ("../old.ttf", FJALLA, "that name cannot be a file's here"),
        ("old.ttf", b"", "'old.ttf' is not a font"),
        ("old.ttf", EMBLEM, "'old.ttf' is a PNG picture, not a font"),
        ("old.otf", FJALLA[:4000], "'old.otf' is damaged"),
        ("old.ttf", b"wOFF" + FJALLA, "'old.ttf' is a WOFF font of the first form"),
        ("old.woff2", packed(FJALLA)[:3000], "'old.woff2' unpacks to another size than it says"),
        ("old.ttf", built({"a": ["a"]}), "parts of parts without end"),
        ("old.ttf", FJALLA + bytes(4_000_000), "is too large: at most 4 MB are read"),
        ("crest.svg", b" " * 4_000_001, "is too large: at most 4 MB are read"),
    ],
)  # fmt: skip
def test_what_is_no_file_of_that_kind_leaves_nothing(
    inside: TestClient, job: Path, name: object, data: bytes | str, said: str
) -> None:
    before, text = files(job), job.read_bytes()
    answer = drop(inside, name, data)
    assert answer.status_code >= 400 and said in answer.json()["message"], answer.text
    assert files(job) == before and job.read_bytes() == text


def test_a_panel_that_is_not_there_leaves_nothing(inside: TestClient, job: Path) -> None:
    before = files(job)
    assert drop(inside, "emblem.png", panel="no such").status_code >= 400
    assert files(job) == before


def test_a_job_that_cannot_take_it_leaves_nothing(
    inside: TestClient, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from decalgen.bench import dropped
    from decalgen.job.edits import EditError

    def refused(*_: object) -> str:
        raise EditError("no", fix="none")

    before = files(job)
    monkeypatch.setattr(dropped, "add_decal", refused)
    assert drop(inside, "emblem.png").status_code >= 400
    assert files(job) == before


def test_only_a_dropped_file_may_be_that_large_and_no_larger(inside: TestClient, client: TestClient) -> None:
    # A picture of the largest size that is read comes through in base64, with its name.
    assert MOST_BYTES * 4 // 3 + 2000 < MOST_DROPPED
    length = {"content-length": str(MOST_DROPPED + 1), "content-type": "application/json"}
    assert inside.post("/do/draw/drop_file", content=b"{}", headers=length).status_code == 413
    more = {"content-length": str(MOST_BODY + 1), "content-type": "application/json"}
    for path in ("/edit", "/do/draw/add_decal", "/do/draw/drop_file/", "//do/draw/drop_file"):
        assert inside.post(path, content=b"{}", headers=more).status_code == 413
    client.cookies.clear()
    assert drop(client, "emblem.png").status_code == 401


def test_the_colours_of_a_drawing_are_told_with_their_inks_and_another_is_chosen(inside: TestClient, job: Path) -> None:
    assert drop(inside, "crest.svg", CREST).status_code == 200
    (told,) = state(inside, "draw", decal="crest", panel="door")["screen"]["drawings"]
    assert told["file"] == "crest.svg" and [row["colour"] for row in told["rows"]] == ["#a01c20", "#ffffff"]
    assert told["rows"][1]["ink"] == "white" and told["rows"][1]["off"] == "0.0"

    def choose(**more: object) -> Any:
        asked = {"decal": "crest", "number": 0, "colour": "#a01c20", "ink": "black", "view": {"screen": "draw"}}
        return inside.post("/do/draw/match_ink", json=asked | more)

    for ink in ("black", "white"):
        assert choose(ink=ink).status_code == 200
        (told,) = state(inside, "draw", decal="crest", panel="door")["screen"]["drawings"]
        assert told["rows"][0]["ink"] == ink
    assert choose(colour="#ffffff", ink="black").status_code == 200
    written = inside.app_state["place"].desk.values["decals"]["crest"]["artwork"][0]["drawing"]
    assert written["inks"] == {"#a01c20": "white", "#ffffff": "black"}
    for wrong in ({"number": 7}, {"number": "0"}, {"colour": "#123456"}, {"ink": "no such"}, {"decal": "door band"}):
        assert choose(**wrong).status_code >= 400


def test_a_colour_that_no_ink_has_can_get_an_ink_of_its_own(inside: TestClient, job: Path) -> None:
    assert drop(inside, "old_crest.svg", CREST).status_code == 200
    desk = inside.app_state["place"].desk
    before = desk.text

    def rows() -> list[dict[str, Any]]:
        (told,) = state(inside, "draw", decal="old crest", panel="door")["screen"]["drawings"]
        return list(told["rows"])

    # White is an ink already; the job has nothing like this red.
    assert [row["new"] for row in rows()] == [True, False] and float(rows()[0]["off"]) > 3
    asked = {"decal": "old crest", "number": 0, "colour": "#a01c20", "ink": "", "view": {"screen": "draw"}}
    assert inside.post("/do/draw/match_ink", json=asked).status_code == 200
    assert desk.values["inks"]["old crest"] == {"colour": "#a01c20"}
    assert desk.values["decals"]["old crest"]["artwork"][0]["drawing"]["inks"] == {"#a01c20": "old crest"}
    assert (rows()[0]["ink"], rows()[0]["off"], rows()[0]["new"]) == ("old crest", "0.0", False)
    # One step takes both back.
    assert desk.undo() and desk.text == before
    # What is printed in another ink than its own by choice gets no second one of that colour.
    choice = asked | {"colour": "#ffffff", "ink": "black"}
    assert inside.post("/do/draw/match_ink", json=choice).status_code == 200
    assert (rows()[1]["ink"], rows()[1]["new"]) == ("black", False) and float(rows()[1]["off"]) > 3


def test_a_font_is_copied_and_becomes_a_face_of_the_job(inside: TestClient, job: Path) -> None:
    before, desk = decals(inside), inside.app_state["place"].desk
    text = desk.text
    answer = drop(inside, "Old letterer.ttf", FJALLA)
    assert answer.status_code == 200, answer.text
    assert answer.json()["look"] == {"face": "Old letterer"}
    assert files(job)["Old letterer.ttf"] == FJALLA and decals(inside) == before
    assert [(file, str(name)) for file, name in desk.job.faces] == [("Old letterer.ttf", "Old letterer")]
    # Nothing but its two lines is new, and one step takes them back.
    there = text.splitlines()
    new = [line for line in desk.text.splitlines() if line not in there]
    assert new == ["faces:", "  Old letterer: Old letterer.ttf"] and len(desk.text.splitlines()) <= len(there) + 3
    # The same font is not taken twice; another of that name is, beside the first.
    again = drop(inside, "other.ttf", FJALLA)
    assert again.status_code >= 400 and "in the job already, as 'Old letterer'" in again.json()["message"]
    assert drop(inside, "Old letterer.ttf", CINZEL).status_code == 200
    assert files(job)["Old letterer.ttf"] == FJALLA and files(job)["Old letterer-2.ttf"] == CINZEL
    assert [str(name) for _, name in desk.job.faces] == ["Old letterer", "Old letterer 2"]
    assert desk.undo() and desk.undo() and desk.text == text


def test_a_font_of_a_shipped_face_s_name_gets_another_and_a_link_is_not_followed(inside: TestClient, job: Path) -> None:
    job.with_name("Oswald.ttf").symlink_to(job.parent / "nowhere.ttf")
    assert drop(inside, "Oswald.ttf", FJALLA).status_code == 200
    assert inside.app_state["place"].desk.values["faces"] == {"Oswald 2": "Oswald-2.ttf"}
    assert not (job.parent / "nowhere.ttf").exists() and job.with_name("Oswald-2.ttf").read_bytes() == FJALLA


def test_no_more_faces_are_taken_than_a_job_has(inside: TestClient, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from decalgen.bench import dropped

    monkeypatch.setattr(dropped, "MOST_FACES", 0)
    before, text = files(job), job.read_bytes()
    answer = drop(inside, "old.ttf", FJALLA)
    assert answer.status_code >= 400 and "more than 0 faces" in answer.json()["message"]
    assert files(job) == before and job.read_bytes() == text


def test_a_font_goes_into_a_job_whose_faces_are_in_a_file_it_includes(inside: TestClient, job: Path) -> None:
    job.with_name("theirs.ttf").write_bytes(CINZEL)
    job.with_name("letters.yaml").write_text("faces:\n  old letterer: theirs.ttf\n", encoding="utf-8")
    desk = inside.app_state["place"].desk
    include, both = "include: common-inks.yaml", "include:\n  - common-inks.yaml\n  - letters.yaml"
    assert include in desk.text
    desk.remake("include", lambda text: text.replace(include, both))
    assert [str(name) for _, name in desk.job.faces] == ["old letterer"]
    text = desk.text
    # The name of a face in the included file is taken, and that file stays as it is.
    assert drop(inside, "Old Letterer.ttf", FJALLA).status_code == 200
    assert sorted(str(name) for _, name in desk.job.faces) == ["Old Letterer 2", "old letterer"]
    assert desk.values["faces"] == {"Old Letterer 2": "Old Letterer.ttf"}
    assert job.with_name("letters.yaml").read_text(encoding="utf-8") == "faces:\n  old letterer: theirs.ttf\n"
    again = drop(inside, "again.ttf", CINZEL)
    assert again.status_code >= 400 and "in the job already, as 'old letterer'" in again.json()["message"]
    assert desk.undo() and desk.text == text
