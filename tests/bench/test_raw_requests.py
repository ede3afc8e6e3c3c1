"""Attacks on the running server, byte by byte over a socket, as no well-behaved client would send them.

The rules are those of RFC 9112 (messages: one Host, no two lengths) and RFC 9110 (methods and what they carry); DNS
rebinding is a request under a made-up name that resolves to this machine.
"""

from __future__ import annotations

import json
import re
import shutil
import socket
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from decalgen.bench.guard import HEADERS, MOST_BODY
from tests.bench.browsing import Opened
from tests.bench.conftest import ROOT

pytestmark = pytest.mark.slow


class Raw:
    """A server that runs, and the cookie of one who was let in."""

    def __init__(self, opened: Opened, job: Path) -> None:
        self.opened, self.job = opened, job
        parts = urlsplit(opened.address)
        self.host = parts.netloc
        self.port = int(parts.port or 0)
        body = json.dumps({"token": parts.fragment.removeprefix("k=")})
        said = self.ask(f"POST /enter HTTP/1.1\r\nHost: {self.host}\r\n{self.from_page(body)}\r\n{body}")
        found = re.search(r"set-cookie: ([^;\r\n]+)", said, re.IGNORECASE)
        assert found is not None, said
        self.cookie = found[1]

    def from_page(self, body: str) -> str:
        """The headers with which the page posts."""
        return (
            f"Origin: http://{self.host}\r\nContent-Type: application/json\r\n"
            f"Content-Length: {len(body)}\r\nConnection: close\r\n"
        )

    def ask(self, text: str) -> str:
        """All that is answered, until the server closes; a server that waits for more than was sent fails the test."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=60) as line:
            line.sendall(text.encode("latin-1"))
            found = b""
            while part := line.recv(65536):
                found += part
        return found.decode("latin-1")

    def status(self, text: str) -> int:
        return int(self.ask(text).split(" ", 2)[1])


@pytest.fixture(scope="module")
def raw(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Raw]:
    folder = tmp_path_factory.mktemp("raw")
    for name in ("gannet", "common-inks"):
        shutil.copy(ROOT / "demo" / f"{name}.yaml", folder)
    opened = Opened(folder / "gannet.yaml", folder / "data", anew=True)
    yield Raw(opened, folder / "gannet.yaml")
    assert opened.end() in (0, 130)


def get(raw: Raw, path: str, host: str | None = None, more: str = "", method: str = "GET") -> str:
    lines = f"Host: {host if host is not None else raw.host}\r\nCookie: {raw.cookie}\r\nConnection: close\r\n{more}"
    return f"{method} {path} HTTP/1.1\r\n{lines}\r\n"


def test_its_own_name_is_answered_and_a_made_up_one_is_not(raw: Raw) -> None:
    assert raw.status(get(raw, "/news")) == 200
    for host in (f"rebound.example:{raw.port}", f"localhost:{raw.port}", "127.0.0.1", f"127.0.0.1:{raw.port + 1}", ""):
        assert raw.status(get(raw, "/news", host)) == 421, host
    for host in (f"127.0.0.1.rebound.example:{raw.port}", f"[::1]:{raw.port}", f"0.0.0.0:{raw.port}"):
        assert raw.status(get(raw, "/", host)) == 421, host


def test_a_name_in_the_request_line_does_not_pass_for_the_host(raw: Raw) -> None:
    """RFC 9112, 3.2.2: a whole address may stand there."""
    text = get(raw, f"http://rebound.example:{raw.port}/news", f"rebound.example:{raw.port}")
    assert raw.status(text) in (400, 421)
    assert raw.status(get(raw, "/news", raw.host, f"X-Forwarded-Host: {raw.host}\r\n")) == 200
    assert raw.status(get(raw, "/news", "rebound.example", f"X-Forwarded-Host: {raw.host}\r\n")) == 421


def test_two_hosts_or_none_are_refused(raw: Raw) -> None:
    assert raw.status(get(raw, "/news", raw.host, "Host: rebound.example\r\n")) in (400, 421)
    assert raw.status(get(raw, "/news", raw.host, f"Host: {raw.host}\r\n")) in (400, 421)
    assert raw.status("GET /news HTTP/1.1\r\nConnection: close\r\n\r\n") in (400, 421)
    assert raw.status("GET /news HTTP/1.0\r\n\r\n") in (400, 421)


def test_200_mb_are_refused_before_they_are_sent(raw: Raw) -> None:
    head = raw.from_page("").replace("Content-Length: 0", f"Content-Length: {200_000_000}")
    text = f"POST /edit HTTP/1.1\r\nHost: {raw.host}\r\nCookie: {raw.cookie}\r\n{head}\r\n"
    assert raw.status(text) == 413
    assert raw.status(text.replace("200000000", str(MOST_BODY + 1))) == 413
    assert raw.status(get(raw, "/state", None, "Content-Length: 200000000\r\n")) == 413


@pytest.mark.parametrize("lengths", ["", "Content-Length: 7\r\n"], ids=["alone", "with a length"])
def test_a_body_in_pieces_is_refused(raw: Raw, lengths: str) -> None:
    head = re.sub(r"Content-Length: .*\r\n", f"{lengths}Transfer-Encoding: chunked\r\n", raw.from_page(""))
    text = f"POST /undo HTTP/1.1\r\nHost: {raw.host}\r\nCookie: {raw.cookie}\r\n{head}\r\n2\r\n{{}}\r\n0\r\n\r\n"
    assert raw.status(text) in (400, 413)
    piece = "Transfer-Encoding: chunked\r\n"
    assert raw.status(get(raw, "/state", None, piece) + "2\r\n{}\r\n0\r\n\r\n") in (400, 413)


def test_what_follows_a_body_is_not_taken_for_a_part_of_it(raw: Raw) -> None:
    before = raw.job.read_bytes()
    body = "{}"
    edit = json.dumps({"base": 1, "label": "x", "edits": [{"do": "set", "at": ["job"], "was": "gannet", "to": "x"}]})
    text = f"POST /undo HTTP/1.1\r\nHost: {raw.host}\r\nCookie: {raw.cookie}\r\n{raw.from_page(body)}\r\n{body}{edit}"
    assert raw.status(text) == 422 and raw.job.read_bytes() == before


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "MAKE"])
def test_only_three_methods_are_known(raw: Raw, method: str) -> None:
    assert raw.status(get(raw, "/state", method=method)) == 405


def test_no_websocket_is_opened(raw: Raw) -> None:
    """RFC 6455: neither the stream nor anything else is had that way."""
    key = "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n"
    more = f"Upgrade: websocket\r\nConnection: Upgrade\r\n{key}"
    lines = f"Host: {raw.host}\r\nCookie: {raw.cookie}\r\n{more}Connection: close\r\n"
    assert not raw.ask(f"GET /news HTTP/1.1\r\n{lines}\r\n").startswith("HTTP/1.1 101")


@pytest.mark.parametrize(
    "path",
    [
        "/../../etc/passwd",
        "/app/../desk.py",
        "/app/..%2fdesk.py",
        "/app/%2e%2e%2fdesk.py",
        "/app/..%5cdesk.py",
        "/app//etc/passwd",
        "/file/../gannet.yaml",
        "/file/..%2f..%2fetc%2fpasswd",
        "/file/gannet.yaml",
        "/file/%00",
        "//etc/passwd",
    ],
)
def test_no_path_leads_out(raw: Raw, path: str) -> None:
    said = raw.ask(get(raw, path))
    assert int(said.split(" ", 2)[1]) in (400, 404)
    assert "root:" not in said and "import" not in said and "panels:" not in said


def test_every_answer_and_the_stream_forbid_what_the_page_does_not_need(raw: Raw) -> None:
    refused = get(raw, "/news", "rebound.example")
    for text in (get(raw, "/"), get(raw, "/news"), get(raw, "/app/main.js"), get(raw, "/none"), refused):
        said = raw.ask(text)
        for name, value in HEADERS:
            assert f"{name.decode()}: {value.decode()}\r\n" in said, text
        assert not re.search(r"^server:", said, re.MULTILINE | re.IGNORECASE)
    with socket.create_connection(("127.0.0.1", raw.port), timeout=60) as line:
        line.sendall(get(raw, "/events").encode("latin-1"))
        said = ""
        while "data: " not in said:
            said += line.recv(65536).decode("latin-1")
    assert "text/event-stream" in said
    for name, value in HEADERS:
        assert f"{name.decode()}: {value.decode()}\r\n" in said


def test_only_this_machine_is_listened_to(raw: Raw) -> None:
    """On Linux all of 127.0.0.0/8 is this machine, and an address of it that is not bound refuses."""
    with pytest.raises(OSError):
        socket.create_connection(("127.0.0.2", raw.port), timeout=5).close()


def test_the_address_works_once(raw: Raw) -> None:
    body = json.dumps({"token": urlsplit(raw.opened.address).fragment.removeprefix("k=")})
    for text in (body, "{}", '{"token": ["x"]}', "[" * 100_000):
        said = raw.status(f"POST /enter HTTP/1.1\r\nHost: {raw.host}\r\n{raw.from_page(text)}\r\n{text}")
        assert said == 403, text[:40]
