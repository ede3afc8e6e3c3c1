"""When the server starts, where, and when it ends."""

from __future__ import annotations

import json
import re
import threading
import webbrowser
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.parse import unquote, urlsplit
from urllib.request import Request, urlopen

import pytest

from decalgen.bench import entry_page
from decalgen.bench import serve as serving
from decalgen.bench.serve import PORTS, PortError, lock_file, serve
from decalgen.bench.shelf import JobShelf
from decalgen.bench.tabs import SILENT_SECONDS, OpenTabs


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


# ------------------------------------------------------------------------------------------------------------ the tabs
def test_the_last_of_eight_tabs_is_the_last() -> None:
    tabs = OpenTabs(Clock())
    assert not tabs.visited and not tabs.any(False)
    for number in range(8):
        tabs.add(f"tab {number}")
    for number in range(8):
        assert tabs.any(False)
        tabs.discard(f"tab {number}")
    assert not tabs.any(False) and tabs.visited


def test_a_tab_that_is_loaded_anew_is_another_and_its_end_ends_no_other() -> None:
    tabs = OpenTabs(Clock())
    tabs.add("first")
    tabs.discard("first")
    tabs.add("again")
    tabs.discard("first")
    assert tabs.any(False)


def test_hidden_tabs_count_as_long_as_the_browser_holds_a_stream() -> None:
    clock = Clock()
    tabs = OpenTabs(clock)
    tabs.add("hidden")
    clock.now = 100 * SILENT_SECONDS
    assert tabs.any(True)
    clock.now += SILENT_SECONDS
    assert tabs.any(False)
    clock.now += 1
    assert not tabs.any(False), "a browser that crashed says nothing"


def test_it_stays_for_what_is_made_or_not_kept_yet(job: Path) -> None:
    shelf = JobShelf.of(job)
    (place,) = shelf.places.values()
    assert shelf.needed, "nobody came yet"
    shelf.tabs.add("1")
    assert shelf.needed
    shelf.tabs.discard("1")
    assert not shelf.needed
    place.busy = "nesting"
    assert shelf.needed
    place.busy = ""
    place.desk.version += 1
    assert shelf.needed
    place.desk.kept += 1
    assert not shelf.needed


# ---------------------------------------------------------------------------------------------------------- the server
class Served:
    """A server in a thread of the test, which ends soon after its last tab."""

    def __init__(self, job: Path, **more: Any) -> None:
        self.said: list[str] = []
        self.ready = threading.Event()
        self.thread = threading.Thread(target=serve, args=(job, self.say), kwargs={"browser": False, **more})
        self.thread.start()
        assert self.ready.wait(60)
        self.address = urlsplit(self.said[0])
        self.cookie = ""

    def say(self, line: str) -> None:
        """What it prints."""
        self.said.append(line)
        self.ready.set()

    def post(self, path: str, body: dict[str, Any]) -> Any:
        headers = {"Origin": f"http://{self.address.netloc}", "Content-Type": "application/json", "Cookie": self.cookie}
        with urlopen(Request(f"http://{self.address.netloc}{path}", json.dumps(body).encode(), headers)) as answer:
            self.cookie = (answer.headers["set-cookie"] or self.cookie).partition(";")[0]
            return json.loads(answer.read())

    def enter(self, address: str = "") -> None:
        fragment = urlsplit(address).fragment or self.address.fragment
        self.post("/enter", {"token": fragment.removeprefix("k=")})

    def get(self, path: str) -> Any:
        with urlopen(Request(f"http://{self.address.netloc}{path}", headers={"Cookie": self.cookie})) as answer:
            return json.loads(answer.read())


@pytest.fixture
def served(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    monkeypatch.setattr(serving, "LEFT_SECONDS", 0.2)
    monkeypatch.setattr(serving, "LOOK_SECONDS", 0.1)
    found = Served(job)
    yield found
    if found.thread.is_alive():
        found.enter(serving.elsewhere(job.resolve()))
        found.get("/news?tab=x")
        for tab in ("x", "1", "2"):
            found.post("/leaving", {"tab": tab})
    found.thread.join(60)
    assert not found.thread.is_alive()


def test_it_ends_after_the_last_tab_and_not_before(served: Served, job: Path) -> None:
    served.enter()
    for tab in ("1", "2"):
        served.get(f"/state?tab={tab}")
    served.post("/leaving", {"tab": "1"})
    for _ in range(10):
        # The other tab is told nothing and asks nothing; the server is still there.
        assert served.get("/news")["kept"] == 1
    assert lock_file(job.resolve()).exists()
    served.post("/leaving", {"tab": "2"})
    served.thread.join(60)
    assert not served.thread.is_alive() and not lock_file(job.resolve()).exists()
    with pytest.raises(URLError):
        served.get("/news")


def test_a_second_start_opens_the_page_of_the_first(served: Served, job: Path) -> None:
    said: list[str] = []
    serve(job, said.append, browser=False)
    assert urlsplit(said[0]).netloc == served.address.netloc and said[0] != served.said[0]
    assert "open already" in said[1]
    served.enter(said[0])
    served.enter()
    assert served.get("/news")["version"] == 1


def test_nobody_else_reads_where_it_is_noted(served: Served, job: Path) -> None:
    note = lock_file(job.resolve())
    assert note.stat().st_mode & 0o077 == 0 and note.parent.stat().st_mode & 0o077 == 0
    door = json.loads(note.read_text(encoding="utf-8"))["door"]
    with pytest.raises(HTTPError):
        served.post("/knock", {"door": door[:-1] + ("1" if door.endswith("0") else "0")})
    assert served.post("/knock", {"door": door})["token"]


def test_a_job_has_the_same_port_each_time_and_another_where_that_is_taken(
    served: Served, job: Path, tmp_path: Path
) -> None:
    assert served.address.port in PORTS
    with serving._listener(job.resolve(), 0) as other:
        assert other.getsockname()[1] != served.address.port
    served.enter()
    served.get("/state?tab=1")
    served.post("/leaving", {"tab": "1"})
    served.thread.join(60)
    with serving._listener(job.resolve(), 0) as again:
        assert again.getsockname()[1] == served.address.port


def test_a_note_that_was_left_by_a_killed_server_is_in_nobody_s_way(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    note = lock_file(job.resolve())
    note.parent.mkdir(parents=True)
    for text in ("", "{}", "[1]", '{"port": 1, "door": "x"}', '{"port": "x", "door": 1}', '{"port": 99999999}'):
        note.write_text(text, encoding="utf-8")
        assert serving.elsewhere(job.resolve()) == ""


def test_a_port_that_is_taken_is_told_with_one_that_is_free(served: Served, job: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    other.write_bytes(job.read_bytes())
    with pytest.raises(PortError, match="is in use") as caught:
        serve(other, lambda _: None, port=served.address.port or 0, browser=False)
    assert caught.value.fix is not None and "leave out --port" in caught.value.fix


# ------------------------------------------------------------------------------------------ the browser that is started
class Asked:
    """What a browser was started with, in order."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.came = threading.Event()

    def __call__(self, address: str) -> bool:
        self.said.append(address)
        self.came.set()
        return True

    def next(self) -> Path:
        assert self.came.wait(60)
        self.came.clear()
        found = urlsplit(self.said[-1])
        assert found.scheme == "file"
        return Path(unquote(found.path))


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    found = Asked()
    monkeypatch.setattr(serving.webbrowser, "open_new_tab", found)
    monkeypatch.setattr(entry_page, "usual_browser", lambda: "")
    monkeypatch.delenv("WSL_DISTRO_NAME", raising=False)
    return found


def leads_to(path: Path) -> str:
    """The address that a small file leads to."""
    found = re.findall(r"http://127\.0\.0\.1:\d+/#k=[0-9a-f]{64}", path.read_text(encoding="utf-8"))
    assert len(found) == 3 and len(set(found)) == 1
    return found[0]


def test_a_browser_is_handed_a_file_of_the_user_s_alone_and_not_the_token(
    job: Path, data: Path, monkeypatch: pytest.MonkeyPatch, asked: Asked
) -> None:
    monkeypatch.setattr(serving, "LEFT_SECONDS", 0.2)
    monkeypatch.setattr(serving, "LOOK_SECONDS", 0.1)
    lock = lock_file(job.resolve())
    lock.parent.mkdir(parents=True)
    dead = lock.with_name(f"{lock.stem}-0000.html")
    dead.write_text("of a server that was killed", encoding="utf-8")
    found = Served(job, browser=True)
    path = asked.next()
    assert not dead.exists()
    token = found.address.fragment.removeprefix("k=")
    assert token not in asked.said[0] and path.is_relative_to(data)
    assert path.stat().st_mode & 0o777 == 0o600 and path.parent.stat().st_mode & 0o777 == 0o700
    assert leads_to(path) == found.said[0]
    found.enter()
    assert not path.exists(), "it is of no use to anyone any more"

    # A second start is a program of its own, which ends at once: its file is taken away by the server.
    serve(job, lambda _: None)
    second = asked.next()
    assert second.exists() and second != path
    found.enter(leads_to(second))
    assert not second.exists()

    # One that no browser ever came by is gone with the server.
    serve(job, lambda _: None)
    third = asked.next()
    assert third.exists()
    found.get("/state?tab=1")
    found.post("/leaving", {"tab": "1"})
    found.thread.join(60)
    assert not found.thread.is_alive() and not third.exists()


def test_without_a_browser_no_file_is_written(served: Served, data: Path) -> None:
    assert not [*data.rglob("*.html")]


@pytest.mark.parametrize(
    ("usual", "platform", "own"),
    [
        ("firefox_firefox.desktop", "linux", True),
        ("firefox_firefox.desktop", "darwin", False),
        ("firefox_firefox.desktop", "win32", False),
        ("firefox.desktop", "linux", False),
        ("other_other.desktop", "linux", False),
        ("", "linux", False),
        ("_x", "linux", False),
    ],
)
def test_a_browser_that_is_kept_from_hidden_folders_finds_it_in_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, usual: str, platform: str, own: bool
) -> None:
    """What snapd lets a program read: nothing in ~/.local, all in ~/snap/NAME/common (its documentation of the `home`
    interface and of SNAP_USER_COMMON, from memory)."""
    (tmp_path / "snap" / "firefox" / "common").mkdir(parents=True)
    monkeypatch.setattr(entry_page, "usual_browser", lambda: usual)
    hidden = tmp_path / ".local" / "share" / "decalgen" / "pages"
    found = entry_page.readable_folder(hidden, {"HOME": str(tmp_path)}, platform)
    assert found == (tmp_path / "snap" / "firefox" / "common" / "decalgen" if own else hidden)


def test_a_file_in_a_browser_s_own_folder_is_taken_away_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "snap" / "firefox" / "common").mkdir(parents=True)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr(entry_page, "usual_browser", lambda: "firefox_firefox.desktop")
    monkeypatch.setattr(entry_page.sys, "platform", "linux")
    path = entry_page.write_entry(tmp_path / "pages", "mine", "http://127.0.0.1:1/#k=ab")
    assert path.is_relative_to(tmp_path / "snap") and path.parent.stat().st_mode & 0o777 == 0o700
    entry_page.remove_entries(tmp_path / "pages", owner="other")
    entry_page.remove_entries(tmp_path / "pages", token="cd")
    assert path.exists()
    entry_page.remove_entries(tmp_path / "pages", token="ab")
    assert not path.exists()


def test_under_wsl_the_browser_is_one_of_windows_and_gets_the_address(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WSL_DISTRO_NAME", "any")
    assert entry_page.handed_over(tmp_path, "mine", "http://127.0.0.1:1/#k=ab") == "http://127.0.0.1:1/#k=ab"
    assert not [*tmp_path.rglob("*.html")]


def test_where_no_file_can_be_written_no_browser_is_started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("WSL_DISTRO_NAME", raising=False)
    monkeypatch.setattr(entry_page, "usual_browser", lambda: "")
    (tmp_path / "pages").write_text("a file in its way", encoding="utf-8")
    assert entry_page.handed_over(tmp_path / "pages", "mine", "http://127.0.0.1:1/#k=ab") == ""


@pytest.mark.parametrize("what", ["none", "it cannot be started", "it is broken"])
def test_without_any_browser_the_address_is_printed_and_lets_in(
    job: Path, monkeypatch: pytest.MonkeyPatch, data: Path, what: str
) -> None:
    tried = threading.Event()
    hook: list[object] = []

    def start(address: str) -> bool:
        tried.set()
        if what == "none":
            return False
        raise (
            webbrowser.Error("could not locate runnable browser") if what == "it is broken" else OSError("no such file")
        )

    monkeypatch.setattr(serving.webbrowser, "open_new_tab", start)
    monkeypatch.setattr(entry_page, "usual_browser", lambda: "")
    monkeypatch.setattr(threading, "excepthook", hook.append)
    monkeypatch.setattr(serving, "LEFT_SECONDS", 0.2)
    monkeypatch.setattr(serving, "LOOK_SECONDS", 0.1)
    found = Served(job, browser=True)
    assert tried.wait(60) and found.said[0].startswith("http://127.0.0.1:")
    found.enter()
    assert found.get("/news?tab=1")["version"] == 1 and not hook
    found.post("/leaving", {"tab": "1"})
    found.thread.join(60)
    assert not found.thread.is_alive()
