"""Attacks on the page's server, each turned away; and the ways in that are meant.

What a browser sends with a request is that of the Fetch standard (`Sec-Fetch-Site`, `Origin`) and RFC 6265 (cookies,
which know no ports); DNS rebinding is a page under another name that resolves to this machine.
"""

from __future__ import annotations

import asyncio
from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.guard import HEADERS, MOST_BODY, Guard, Keys
from tests.bench.conftest import HOME, PORT

BODY = b'{"base": 1}'
JSON = {"content-type": "application/json"}


def test_the_page_itself_is_public_and_shows_nothing_of_the_job(client: TestClient) -> None:
    for path in ("/", "/app/main.js", "/app/style.css", "/app/archivo.woff2"):
        answer = client.get(path)
        assert answer.status_code == 200 and b"Gannet" not in answer.content
    assert client.get("/state").status_code == 401


def test_a_link_from_another_site_may_open_the_page_and_nothing_else(client: TestClient) -> None:
    other = {"sec-fetch-site": "cross-site"}
    assert client.get("/", headers=other).status_code == 200
    assert client.get("/state", headers=other).status_code == 403
    assert client.get("/app/main.js", headers=other).status_code == 403


def test_a_token_lets_one_browser_in_once(client: TestClient, keys: Keys) -> None:
    token = keys.token()
    assert client.post("/enter", json={"token": token[:-1]}).status_code == 403
    assert client.post("/enter", json={"token": token}).status_code == 200
    cookie = client.cookies.get(f"decalgen-{PORT}")
    assert cookie == keys.cookie and client.get("/state").status_code == 200
    client.cookies.clear()
    near = cookie[:-1] + ("1" if cookie.endswith("0") else "0")
    assert client.post("/enter", json={"token": token}).status_code == 403
    assert client.get("/state", headers={"cookie": f"decalgen-{PORT}={near}"}).status_code == 401
    assert client.get("/state", headers={"cookie": f"decalgen-1={cookie}"}).status_code == 401


def test_the_cookie_cannot_be_read_by_scripts_nor_sent_from_elsewhere(client: TestClient, keys: Keys) -> None:
    said = client.post("/enter", json={"token": keys.token()}).headers["set-cookie"].lower()
    assert "httponly" in said and "samesite=strict" in said and "path=/" in said


@pytest.mark.parametrize("host", ["evil.example", "localhost", f"localhost:{PORT}", "127.0.0.1", "127.0.0.1:1", ""])
def test_another_host_is_refused(inside: TestClient, host: str) -> None:
    assert inside.get("/state", headers={"host": host}).status_code == 421
    assert inside.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"origin": f"http://localhost:{PORT}"}, 403),
        ({"origin": ""}, 403),
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"content-type": "text/plain"}, 415),
        ({"content-type": "application/x-www-form-urlencoded"}, 415),
        ({"content-length": str(MOST_BODY + 1)}, 413),
        ({"content-length": "-1"}, 413),
        ({"content-length": "two"}, 413),
    ],
)
def test_a_post_that_did_not_come_from_the_page_is_refused(
    inside: TestClient, headers: dict[str, str], status: int
) -> None:
    answer = inside.post("/undo", content=BODY, headers={**JSON, **headers})
    assert answer.status_code == status
    assert inside.post("/undo", content=BODY, headers=JSON).status_code == 200


def test_a_post_without_origin_or_length_is_refused(inside: TestClient) -> None:
    assert inside.post("/undo", content=iter([BODY]), headers=JSON).status_code == 413
    del inside.headers["origin"]
    assert inside.post("/undo", content=BODY, headers=JSON).status_code == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(inside: TestClient, method: str) -> None:
    assert inside.request(method, "/state").status_code == 405


@pytest.mark.parametrize(
    "path",
    ["/app/../../etc/passwd", "/app/..%2f..%2fdesk.py", "/app/%2e%2e/guard.py", "/etc/passwd", "/app/", "/app/x.js"],
)
def test_no_path_leaves_the_page_s_own_parts(inside: TestClient, path: str) -> None:
    answer = inside.get(path)
    assert answer.status_code in (404, 401) and b"root:" not in answer.content and b"import" not in answer.content


def test_every_answer_forbids_what_the_page_does_not_need(inside: TestClient) -> None:
    for answer in (
        inside.get("/"),
        inside.get("/state"),
        inside.get("/nothing"),
        inside.get("/", headers={"host": "x"}),
    ):
        for name, value in HEADERS:
            assert answer.headers[name.decode()] == value.decode(), answer.url
    policy = dict(HEADERS)[b"content-security-policy"].decode()
    assert "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy


def test_the_shell_has_no_script_or_style_of_its_own() -> None:
    folder = Path(__file__).parents[2] / "decalgen" / "bench" / "page"
    shell = (folder / "index.html").read_text(encoding="utf-8")
    assert "<style" not in shell and "style=" not in shell and "onclick" not in shell
    assert shell.count("<script") == 1 and 'src="/app/main.js"' in shell
    for script in folder.glob("*.js"):
        text = script.read_text(encoding="utf-8")
        assert not [
            word
            for word in ("innerHTML", "insertAdjacentHTML", "eval(", "http://", "https://")
            if word in text.replace("http://www.w3.org/2000/svg", "")
        ], script.name


def test_only_a_second_start_on_this_machine_gets_a_token(client: TestClient, keys: Keys) -> None:
    assert client.post("/knock", json={"door": "x"}).status_code == 403
    token = client.post("/knock", json={"door": keys.door}).json()["token"]
    assert client.post("/enter", json={"token": token}).status_code == 200 and HOME


@pytest.mark.parametrize("second", ["evil.example", f"127.0.0.1:{PORT}"])
def test_a_second_host_is_refused_whatever_server_passes_it_on(keys: Keys, second: str) -> None:
    """One that takes the first of two, as it may by RFC 9112 (3.2) before it answers 400, would be answered else."""
    sent: list[MutableMapping[str, Any]] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        raise AssertionError("it was let through")

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: MutableMapping[str, Any]) -> None:
        sent.append(message)

    headers = [(b"host", f"127.0.0.1:{PORT}".encode()), (b"Host", second.encode())]
    scope = {"type": "http", "method": "GET", "path": "/", "headers": headers}
    asyncio.run(Guard(app, keys, PORT, ("/",))(scope, receive, send))
    assert sent[0]["status"] == 421
