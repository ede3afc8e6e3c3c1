"""Starting the page: a server for this machine alone, its address, a browser, and the end of it."""

from __future__ import annotations

import asyncio
import json
import os
import socket
import threading
import webbrowser
from collections.abc import Callable, Coroutine, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, NoReturn
from urllib.error import URLError
from urllib.request import Request, urlopen

from decalgen.bench.entry_page import handed_over, remove_entries
from decalgen.bench.guard import Keys
from decalgen.bench.left_texts import UnkeptError, keep_copies
from decalgen.bench.page_state import restore
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf, demo_jobs
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError
from decalgen.core.files import make_folder, write_files
from decalgen.core.small_files import read_small
from decalgen.workshop.drawer import data_folder

LEFT_SECONDS = 60.0
"""So long after the last tab was closed the server ends: a page that is loaded anew is back by then."""
LOOK_SECONDS = 0.5
STOP_SECONDS = 1
KNOCK_SECONDS = 10.0
"""So long a page that is just being opened may take to answer."""
PORTS = range(20_000, 30_000)
"""A job gets the same port each time if it can: what a tab has not seen kept when decalgen was killed is known only to
the page's address, and is offered there again. No system gives ports of this range to others by itself."""
MOST_LOCK = 10_000


class PortError(DecalgenError):
    """A port that cannot be had."""

    exit_code = 4


def serve(path: Path, say: Callable[[str], None], port: int = 0, browser: bool = True, stay: bool = False) -> None:
    """Opens the page of a job, or of the jobs of a folder, and stays until its last tab is closed, or Ctrl-C. ``say``
    prints a line. Raises InputError for a file that cannot be read, PortError for a port that is taken, UnkeptError at
    the end where a file could not be written: then a copy of it is kept."""
    path = path.resolve()
    lock = lock_file(path)
    known = elsewhere(path)
    if known:
        say(known)
        say("This page is open already; it runs in the other window.")
        _open(known, lock, browser).join()
        return
    shelf = shelf_of(path)
    listener = _listener(path, port)
    port = listener.getsockname()[1]
    keys = Keys(port)
    keys.spent = lambda token: remove_entries(lock.parent, token=token)
    # Those of a server that was killed lead nowhere.
    remove_entries(lock.parent, owner=lock.stem)
    address = f"http://127.0.0.1:{port}/#k={keys.token()}"
    locks: list[Path] = []

    def note(lock: Path, key: str = "") -> None:
        _note(lock, {"port": port, "door": keys.door, "job": key})
        locks.append(lock)

    # Noted before anyone is told, so that a second start finds it.
    note(lock)
    shelf.noted = lambda job: note(lock_file(job.resolve()), _key_of(shelf, job))
    shelf.elsewhere = elsewhere
    say(address)
    end = "Press Ctrl-C here" if stay else "Close its last tab, or press Ctrl-C here,"
    say(f"This page is on this machine alone. {end} to end it.")
    _open(address, lock, browser)
    for place in shelf.places.values():
        if place.left:
            say(restore(place)["words"])
    try:
        _run_whole(shelf, _run(listener, shelf, keys, port, stay))
    finally:
        for one in locks:
            remove_entries(one.parent, owner=one.stem)
            with suppress(OSError):
                one.unlink()


def _run_whole(shelf: JobShelf, run: Coroutine[Any, Any, None]) -> None:
    """Runs the server to its end. Raises UnkeptError, with where it is now, where something could not be written."""
    try:
        asyncio.run(run)
    finally:
        unkept = keep_copies(place.desk for place in shelf.places.values())
        if unkept:
            raise UnkeptError(
                "; ".join(unkept), fix="start `decalgen bench` on that job again: it offers to take it over"
            )


def shelf_of(path: Path) -> JobShelf:
    """The shelf of a folder, or of a job with that open. In a folder without jobs a finished one is open. Raises
    InputError."""
    if not path.is_dir():
        return JobShelf.of(path)
    shelf = JobShelf(path)
    jobs = demo_jobs()
    if jobs and not shelf.found():
        shelf.first = shelf.taken_up(jobs[0].key).key
    return shelf


def _key_of(shelf: JobShelf, job: Path) -> str:
    return next((key for key, place in shelf.places.items() if place.desk.path == job), "")


async def _run(listener: socket.socket, shelf: JobShelf, keys: Keys, port: int, stay: bool) -> None:
    import uvicorn

    servers: list[uvicorn.Server] = []
    config = uvicorn.Config(
        page_app(shelf, keys, port, lambda: any(one.should_exit for one in servers)),
        lifespan="on",
        log_level="error",
        access_log=False,
        http="h11",
        ws="none",
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=STOP_SECONDS,
    )
    server = uvicorn.Server(config)
    servers.append(server)

    async def watch() -> None:
        alone = 0.0
        while alone < LEFT_SECONDS:
            await asyncio.sleep(LOOK_SECONDS)
            alone = 0.0 if stay or shelf.needed else alone + LOOK_SECONDS
        server.should_exit = True

    watching = asyncio.create_task(watch())
    try:
        await server.serve(sockets=[listener])
    finally:
        watching.cancel()


def lock_file(path: Path) -> Path:
    """Where it is noted that the page of a job, or folder, is open, in the user's own data folder."""
    return data_folder() / "pages" / f"{digest_of(str(path))[:16]}.json"


def _note(lock: Path, what: Mapping[str, Any]) -> None:
    """Notes it, for nobody else to read: the folder is closed to them before anything is in it."""
    folder = make_folder(lock.parent)
    with suppress(OSError):
        folder.chmod(0o700)
    write_files({lock: json.dumps(what).encode("utf-8")})
    with suppress(OSError):
        lock.chmod(0o600)


def elsewhere(path: Path) -> str:
    """A new address of the page of a job, or folder, that is open already; '' where none is."""
    try:
        found = json.loads(read_small(lock_file(path), MOST_LOCK))
        port, door = int(found["port"]), str(found["door"])
        body = json.dumps({"door": door, "job": str(found.get("job", ""))}).encode()
        headers = {"Content-Type": "application/json", "Origin": f"http://127.0.0.1:{port}"}
        with urlopen(Request(f"http://127.0.0.1:{port}/knock", body, headers), timeout=KNOCK_SECONDS) as answer:
            token = json.loads(answer.read(MOST_LOCK))["token"]
    except (DecalgenError, ValueError, KeyError, TypeError, URLError, OSError):
        return ""
    return f"http://127.0.0.1:{port}/#k={token}"


def _listener(path: Path, port: int) -> socket.socket:
    """The socket of a job's page. Raises PortError for a port that was asked for and is taken."""
    if port:
        return _bound(port) or _taken(port)
    own = PORTS[int(digest_of(str(path))[:8], 16) % len(PORTS)]
    return _bound(own) or _bound(0) or _taken(0)


def _taken(port: int) -> NoReturn:
    said = f"port {port} is in use" if port else "no port is free"
    raise PortError(said, fix=f"leave out --port, or take {_free()}, which is free" if port else "end another program")


def _bound(port: int) -> socket.socket | None:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
        # From here on a browser waits for the answer, however long the server takes to start.
        listener.listen(128)
    except (OSError, OverflowError):
        listener.close()
        return None
    return listener


def _free() -> int:
    """A port that nobody uses just now."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as one:
        one.bind(("127.0.0.1", 0))
        found: int = one.getsockname()[1]
        return found


def _open(address: str, lock: Path, browser: bool) -> threading.Thread:
    """Asks for a browser; its answer is not to be believed, so the address is printed anyway. Beside the server: asking
    takes a while, and some browsers come back only at their end."""

    def ask() -> None:
        handed = handed_over(lock.parent, lock.stem, address) if browser else ""
        # Where there is no browser the address that is printed has to do.
        with suppress(webbrowser.Error, OSError):
            if handed:
                webbrowser.open_new_tab(handed)

    thread = threading.Thread(target=ask, daemon=True)
    thread.start()
    return thread
