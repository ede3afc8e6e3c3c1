"""Who may ask the page's server anything: a browser on this machine that was let in, from the page itself.

The server listens to 127.0.0.1 alone. Other pages in the same browser can still send it requests, by name (DNS
rebinding) or by form; so the host, the origin, the kind of content and its length are looked at before anything is done
(the Fetch standard's `Sec-Fetch-Site` and RFC 6454's origin). A token in the address, which no server ever sees, is
posted once for a cookie, which is named by the port, as cookies know no ports.
"""

from __future__ import annotations

import hmac
import os
import re
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any

MOST_BODY = 2_000_000
MOST_DROPPED = 42_000_000
"""What holds a dropped file, in base64: the largest picture that is read has 30 MB."""
DROPS = "/do/draw/drop_file"
MOST_PICTURE = 200_000_000
"""A scan comes as it is: as large as the command `scan` reads."""
PICTURES = "/original"
PROOF_SCANS = "/proof_scan"
_SIZE = re.compile(r"[0-9]{1,9}")
HttpScope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
ASGIApp = Callable[[HttpScope, Receive, Send], Awaitable[None]]

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", _POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


class Keys:
    """The tokens that let a browser in, each once, and the cookie that it gets."""

    def __init__(self, port: int) -> None:
        self.cookie_name = f"decalgen-{port}"
        self.cookie = os.urandom(32).hex()
        self.door = os.urandom(32).hex()
        """What a second start on this machine shows to get a token of its own."""
        self._tokens: dict[str, str] = {}
        self.spent: Callable[[str], None] = lambda token: None
        """Is told each token that let a browser in."""

    def token(self, job: str = "") -> str:
        """A new token, good for one browser, and for the job that it is shown first: '' for the server's own."""
        made = os.urandom(32).hex()
        self._tokens[made] = job
        return made

    def spend(self, token: str) -> str | None:
        """The job that a good token leads to; None for one that is not good, as it is not a second time."""
        for one in tuple(self._tokens):
            if hmac.compare_digest(one.encode(), token.encode("utf-8", "replace")):
                self.spent(one)
                return self._tokens.pop(one)
        return None

    def knows(self, header: str) -> bool:
        """Whether a request's cookies hold the one that was given out."""
        try:
            found = SimpleCookie(header).get(self.cookie_name)
        except CookieError:
            return False
        return found is not None and hmac.compare_digest(found.value.encode("utf-8", "replace"), self.cookie.encode())

    def opens(self, door: str) -> bool:
        """Whether it is the sign of a second start on this machine."""
        return hmac.compare_digest(door.encode("utf-8", "replace"), self.door.encode())


class Guard:
    """Turns away what did not come from the page, and gives every answer its headers. ``public``: paths, and beginnings
    of paths ending in /, that need no cookie."""

    def __init__(self, app: ASGIApp, keys: Keys, port: int, public: tuple[str, ...]) -> None:
        self.app, self.keys, self.public = app, keys, public
        self.host = f"127.0.0.1:{port}"

    async def __call__(self, scope: HttpScope, receive: Receive, send: Send) -> None:
        """Passes a good request on; answers any other itself. Only HTTP is spoken: a websocket is closed unheard."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        refused = self._refused(scope)
        if refused:
            await _answer(send, *refused)
            return

        async def with_headers(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *HEADERS]
            await send(message)

        await self.app(scope, receive, with_headers)

    def _refused(self, scope: HttpScope) -> tuple[int, str] | None:
        headers = _Headers(scope["headers"])
        if headers.all("host") != [self.host]:
            return 421, "this page is only for this machine"
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "there is nothing to do that with"
        # The empty page itself may be opened by a link from anywhere; it shows nothing without a cookie.
        shell = scope["method"] == "GET" and scope["path"] == "/"
        if not shell and headers.one("sec-fetch-site") not in ("", "same-origin", "none"):
            return 403, "another page asked for this"
        wrong = self._post(headers, scope["path"]) if scope["method"] == "POST" else _bodiless(headers)
        if wrong:
            return wrong
        path = scope["path"]
        public = any(path == one or (one.endswith("/") and one != "/" and path.startswith(one)) for one in self.public)
        if not public and not self.keys.knows(headers.one("cookie")):
            return 401, "open the address that decalgen printed"
        return None

    def _post(self, headers: _Headers, path: str) -> tuple[int, str] | None:
        if headers.all("origin") != [f"http://{self.host}"]:
            return 403, "another page asked for this"
        # Another page can send neither kind without asking first (the Fetch standard, CORS-safelisted request-header).
        kind = "application/octet-stream" if path in (PICTURES, PROOF_SCANS) else "application/json"
        if headers.one("content-type").partition(";")[0].strip() != kind:
            return 415, f"send {kind}"
        # What comes in pieces says no length; pages send none like that.
        length = headers.one("content-length")
        most = {DROPS: MOST_DROPPED, PICTURES: MOST_PICTURE, PROOF_SCANS: MOST_PICTURE}.get(path, MOST_BODY)
        if headers.all("transfer-encoding") or not _SIZE.fullmatch(length) or int(length) > most:
            return 413, "that is too much at once"
        return None


def _bodiless(headers: _Headers) -> tuple[int, str] | None:
    if headers.all("transfer-encoding") or headers.one("content-length") not in ("", "0"):
        return 413, "nothing is sent along with that"
    return None


class _Headers:
    """The headers of a request by name, in small letters."""

    def __init__(self, raw: list[tuple[bytes, bytes]]) -> None:
        self.raw = raw

    def all(self, name: str) -> list[str]:
        """Every value of that name."""
        return [value.decode("latin-1") for key, value in self.raw if key.decode("latin-1").lower() == name]

    def one(self, name: str) -> str:
        """The values of that name, '' where there is none."""
        return ", ".join(self.all(name))


async def _answer(send: Send, status: int, words: str) -> None:
    body = words.encode()
    kind = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": [*kind, *HEADERS]})
    await send({"type": "http.response.body", "body": body})
