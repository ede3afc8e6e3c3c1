"""What could not be written when decalgen ended: kept as a copy, told, and taken over."""

from __future__ import annotations

import signal
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from decalgen.bench import left_texts
from decalgen.bench.desk import Desk, Edit
from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf
from decalgen.bench.workplace import Workplace
from tests.bench.browsing import MARKS, Opened
from tests.bench.conftest import HOME, PORT
from tests.bench.test_server import state, until_kept

if TYPE_CHECKING:
    from playwright import sync_api

WIDTH = ("panels", "door", "width")
WAS = "22.40 mm ± 0.05"


def changed(job: Path) -> Workplace:
    """A job whose width of the door was changed, in a file that takes no change."""
    place = Workplace(Desk(job))
    job.chmod(0o444)
    place.desk.edit(1, (Edit("set", WIDTH, "22.51 mm", WAS),), "width")
    place.keep()
    assert place.trouble
    return place


def test_what_cannot_be_written_is_kept_as_a_copy(job: Path, data: Path) -> None:
    before = job.read_bytes()
    place = changed(job)
    (said,) = left_texts.keep_copies([place.desk])
    copy = left_texts.copy_file(job)
    assert copy.is_relative_to(data) and str(copy) in said and job.name in said
    assert copy.read_bytes() == before.replace(WAS.encode(), b"22.51 mm", 1) and job.read_bytes() == before


def test_what_can_be_written_by_then_is_written_and_leaves_no_copy(job: Path) -> None:
    place = changed(job)
    job.chmod(0o644)
    assert left_texts.keep_copies([place.desk]) == [] and not left_texts.copy_file(job).exists()
    assert "22.51 mm" in job.read_text(encoding="utf-8")


def opened_again(job: Path) -> tuple[TestClient, Keys]:
    shelf, keys = JobShelf.of(job), Keys(PORT)
    client = TestClient(page_app(shelf, keys, PORT), base_url=HOME)
    client.headers.clear()
    client.headers["origin"] = HOME
    return client, keys


@pytest.mark.parametrize("do", ["left", "leave"])
def test_the_next_start_tells_of_it_and_takes_it_over_or_leaves_it(job: Path, do: str) -> None:
    before = job.read_text(encoding="utf-8")
    left_texts.keep_copies([changed(job).desk])
    job.chmod(0o644)
    client, keys = opened_again(job)
    with client:
        client.post("/enter", json={"token": keys.token()})
        found = state(client, "measure")["restore"]
        assert found["kind"] == "left" and str(left_texts.copy_file(job)) in found["words"]
        answer = client.post("/restore", json={"do": do, "view": {}}).json()
        assert answer["restore"]["kind"] == ""
        until_kept(client)
    after = before.replace(WAS, "22.51 mm", 1) if do == "left" else before
    assert job.read_text(encoding="utf-8") == after
    # It is told of once, and nothing is thrown away.
    assert left_texts.left_text(job) == "" and list(left_texts.copy_file(job).parent.iterdir())


def test_a_copy_that_says_what_the_file_says_is_not_told_of(job: Path) -> None:
    left_texts.keep_copies([changed(job).desk])
    job.chmod(0o644)
    job.write_text(left_texts.copy_file(job).read_text(encoding="utf-8"), encoding="utf-8")
    assert Workplace(Desk(job)).left == ""


def test_another_job_of_the_same_name_is_told_nothing(job: Path, tmp_path: Path) -> None:
    left_texts.keep_copies([changed(job).desk])
    other = tmp_path / "other" / job.name
    other.parent.mkdir()
    other.write_bytes(job.read_bytes())
    assert Workplace(Desk(other)).left == ""


class TestInTheBrowser:
    """Ctrl-C while the file is locked."""

    pytestmark = MARKS

    def test_the_end_says_where_it_is_and_the_next_start_offers_it(
        self, page: sync_api.Page, opened: Opened, job: Path
    ) -> None:
        job.chmod(0o444)
        page.locator("[data-key='reading 0']").fill("22.51")
        page.keyboard.press("Enter")
        page.get_by_text("not kept: ").wait_for()
        assert opened.process.stdout is not None
        opened.process.send_signal(signal.SIGINT)
        assert opened.process.wait(60) == 4
        copy = left_texts.copy_file(job)
        assert "width: 22.51 mm" in copy.read_text(encoding="utf-8")
        job.chmod(0o644)
        again = Opened(job, copy.parent.parent)
        try:
            page.goto("about:blank")
            page.goto(again.address)
            page.get_by_text(str(copy)).wait_for()
            page.get_by_role("button", name="Take it over").click()
            page.get_by_role("button", name="width 22.51").first.wait_for()
            page.get_by_text("all kept").wait_for()
            assert not page.get_by_label("Not kept").count()
            assert "width: 22.51 mm" in job.read_text(encoding="utf-8")
        finally:
            again.end()


def test_the_command_prints_the_path(job: Path, data: Path) -> None:
    """Without a browser: a server in a process of its own, whose file is deleted for a folder meanwhile."""
    code = (
        "import sys\n"
        "from decalgen.bench import serve as serving\n"
        "from decalgen.bench.desk import Edit\n"
        "from decalgen.cli.main import main\n"
        "async def run(listener, shelf, *_):\n"
        "    (place,) = shelf.places.values()\n"
        "    place.desk.path.chmod(0o444)\n"
        f"    place.desk.edit(1, (Edit('set', {WIDTH!r}, '22.51 mm', {WAS!r}),), 'width')\n"
        "    listener.close()\n"
        "    raise KeyboardInterrupt\n"
        "serving._run = run\n"
        "sys.exit(main(['bench', sys.argv[1], '--no-browser']))\n"
    )
    import sys

    done = subprocess.run([sys.executable, "-c", code, str(job)], capture_output=True, text=True, check=False)
    assert done.returncode == 4, done.stdout + done.stderr
    assert "could not be written" in done.stderr and str(left_texts.copy_file(job)) in done.stderr.replace("\n", " ")
