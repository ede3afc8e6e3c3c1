"""Files that a job includes, changed in an editor while the page is open: they show by themselves, as the job's own."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.folder_jobs import FolderJobs
from decalgen.bench.sheet_mates import SheetMates
from decalgen.job.files import MOST_BYTES
from tests.bench.small_job import JOB
from tests.bench.test_server import state

SHARED = 'values: {tall: 2 mm}\ninks:\n  teal: {colour: "#1f7f86"}\n'
WITHOUT = JOB.partition("inks:")[0].replace("2 mm\n", "tall\n")
MINE = WITHOUT.replace("job: tug\n", "job: tug\ninclude: [parts/shared.yaml]\n")


@pytest.fixture
def shared(tmp_path: Path) -> Path:
    """A file, in a folder of its own, that a job includes."""
    path = tmp_path / "parts" / "shared.yaml"
    path.parent.mkdir()
    path.write_text(SHARED, encoding="utf-8")
    (tmp_path / "tug.yaml").write_text(MINE, encoding="utf-8")
    return path


def change(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")


def until(told: Callable[[], bool]) -> None:
    """What is looked for again and again is waited for as long as it takes."""
    while not told():
        time.sleep(0.02)


def examined(client: TestClient) -> bool:
    """Whether all findings are of now."""
    said = state(client, "check")["screen"]["opening"]
    return not said.startswith("Looking") and not said.startswith("Being checked")


def height(desk: Desk) -> float:
    assert desk.job is not None
    found = desk.job.decals[0].height
    assert found is not None
    return found.value


def test_a_job_is_read_anew_when_a_file_it_includes_changes(tmp_path: Path, shared: Path) -> None:
    desk = Desk(tmp_path / "tug.yaml")
    assert height(desk) == 2.0 and not desk.look_beside()
    change(shared, "2 mm", "3 mm")
    assert desk.look_beside() and height(desk) == 3.0 and not desk.look_beside()
    # Nothing of it is a change of the job's own file.
    assert (desk.version, desk.kept, desk.history.done, desk.text) == (2, 2, [], MINE)


def test_what_is_not_kept_yet_stays_so(tmp_path: Path, shared: Path) -> None:
    desk = Desk(tmp_path / "tug.yaml")
    desk.mend(1, "job: tug", "job: boat")
    change(shared, "2 mm", "3 mm")
    assert desk.look_beside() and desk.kept == 1
    desk.keep()
    assert desk.kept == desk.version == 3 and desk.path.read_text(encoding="utf-8").startswith("job: boat")


def test_a_file_that_is_gone_or_spoilt_is_told_and_read_when_it_is_right_again(tmp_path: Path, shared: Path) -> None:
    shared.unlink()
    desk = Desk(tmp_path / "tug.yaml")
    assert desk.job is None and "shared.yaml" in desk.problems[0].message
    shared.write_text(SHARED.replace("2 mm", "2 mmm"), encoding="utf-8")
    assert desk.look_beside() and desk.job is None
    (wrong,) = {one.place.file: one for one in desk.problems if one.place}.items()
    assert wrong[0] == str(shared) and "mmm" in wrong[1].message
    shared.write_text(SHARED, encoding="utf-8")
    assert desk.look_beside() and not desk.problems and height(desk) == 2.0


def test_a_file_included_by_an_included_one_counts_too(tmp_path: Path, shared: Path) -> None:
    more = shared.with_name("more.yaml")
    more.write_text("values: {tall: 4 mm}\n", encoding="utf-8")
    shared.write_text("include: [more.yaml]\n" + SHARED.partition("\n")[2], encoding="utf-8")
    desk = Desk(tmp_path / "tug.yaml")
    assert height(desk) == 4.0
    change(more, "4 mm", "5 mm")
    assert desk.look_beside() and height(desk) == 5.0


def test_it_shows_by_itself_and_is_checked_again(inside: TestClient, job: Path) -> None:
    common = job.with_name("common-inks.yaml")
    until(lambda: examined(inside))
    first = state(inside, "body")
    assert '"#127077"' in common.read_text(encoding="utf-8") and "#127077" in str(first["screen"])
    change(common, '"#127077"', '"#203040"')
    until(lambda: state(inside, "measure")["version"] > first["version"])
    now = state(inside, "body")
    assert "#203040" in str(now["screen"]) and "#127077" not in str(now["screen"])
    assert now["kept"] == now["version"] and now["undo"] == ""
    until(lambda: examined(inside))


def test_a_variant_on_draw_follows_too(inside: TestClient, job: Path) -> None:
    def inks() -> str:
        return str(state(inside, "draw", variant="pilot", names="open")["screen"])

    common = job.with_name("common-inks.yaml")
    assert "#127077" in inks()
    version = state(inside, "measure")["version"]
    change(common, '"#127077"', '"#203040"')
    until(lambda: state(inside, "measure")["version"] > version)
    assert "#203040" in inks() and "#127077" not in inks()


def test_a_mistake_in_it_names_its_file_and_is_not_mended_in_the_job_s(inside: TestClient, job: Path) -> None:
    common = job.with_name("common-inks.yaml")
    change(common, '"#127077"', '"#12707"')

    def problems() -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = state(inside, "draw")["problems"]
        return found

    until(lambda: bool(problems()))
    lines = common.read_text(encoding="utf-8").splitlines()
    found = problems()[0]
    assert found["file"] == "common-inks.yaml" and "#12707" in lines[found["line"] - 1]
    assert state(inside, "draw")["screen"]["strip"], "the last good picture stays"
    change(common, '"#12707"', '"#127077"')
    until(lambda: not problems())


def test_a_file_of_a_printer_that_changes_is_judged_anew(inside: TestClient, job: Path) -> None:
    own = job.with_name("own.yaml")
    own.write_text("printer: own\ndpi: 600\n", encoding="utf-8")
    inside.app_state["place"].choose({"printer": "own.yaml"})
    until(lambda: examined(inside))
    assert "out of range" not in str(state(inside, "check")["screen"])
    change(own, "600", "6")
    until(lambda: "out of range" in str(state(inside, "check")["screen"]))
    assert examined(inside)


def test_the_other_jobs_on_the_sheet_are_read_anew_too(tmp_path: Path, shared: Path) -> None:
    mates, jobs, path = SheetMates(), FolderJobs(), tmp_path / "tug.yaml"
    jobs.look(tmp_path)
    assert mates.waits([path]) == [] and not jobs.found[0].wrong
    shared.write_text(SHARED.replace("2 mm", "2 mmm"), encoding="utf-8")
    jobs.look(tmp_path)
    assert mates.waits([path]) == ["'tug.yaml', which cannot be read"]
    assert jobs.found[0].wrong.startswith("shared.yaml, line 1: ")
    shared.write_text(SHARED, encoding="utf-8")
    jobs.look(tmp_path)
    assert mates.waits([path]) == [] and not jobs.found[0].wrong


CREST = '<svg xmlns="http://www.w3.org/2000/svg" width="6mm" height="2mm"><rect width="9" height="5"/></svg>\n'


def test_a_job_is_read_anew_when_a_drawing_it_names_comes_changes_or_goes(tmp_path: Path) -> None:
    path, crest = tmp_path / "tug.yaml", tmp_path / "crest.svg"
    path.write_text(JOB.replace("field: {ink: teal}", "drawing: {file: crest.svg}"), encoding="utf-8")
    desk = Desk(path)
    assert desk.job is None and "there is no file" in desk.problems[0].message
    crest.write_text(CREST, encoding="utf-8")
    assert desk.look_beside() and desk.job is not None
    assert desk.job.drawings == (("crest.svg", CREST),)
    assert not desk.look_beside()
    change(crest, 'width="9"', 'width="8"')
    assert desk.look_beside() and 'width="8"' in desk.job.drawings[0][1]
    change(crest, "<svg", "<g")
    assert desk.look_beside() and "line 1" in desk.problems[0].message
    crest.unlink()
    assert desk.look_beside() and "there is no file" in desk.problems[0].message
    assert not desk.look_beside()


def test_a_large_drawing_that_nobody_changes_is_not_read_anew(tmp_path: Path) -> None:
    """A drawing in DXF that is larger than a job file may be: its comments, group 999, are passed over."""
    # The sections and pairs of group code and value of the DXF reference.
    square: list[str | int] = ["POLYLINE", 8, "teal", 66, 1, 70, 1]
    for x, y in ((0, 0), (6, 0), (6, 6), (0, 6)):
        square += [0, "VERTEX", 8, "teal", 10, x, 20, y]
    pairs = [0, "SECTION", 2, "ENTITIES", 0, *square, 0, "SEQEND", 0, "ENDSEC", 0, "EOF"]
    drawing = "999\nlarge\n" * (MOST_BYTES // 10 + 1) + "".join(f"{one}\n" for one in pairs)
    (tmp_path / "square.dxf").write_text(drawing, encoding="ascii")
    path = tmp_path / "tug.yaml"
    path.write_text(
        JOB.replace("- field: {ink: teal}", "- drawing: {file: square.dxf, height: 2 mm}"), encoding="utf-8"
    )
    desk = Desk(path)
    assert desk.job is not None and not desk.problems and not desk.look_beside()
    change(tmp_path / "square.dxf", "\n6\n", "\n5\n")
    assert desk.look_beside() and not desk.look_beside()
