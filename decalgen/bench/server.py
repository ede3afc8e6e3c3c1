"""The routes of the page: what it asks for, and the answers, as JSON and as a stream of events."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from decalgen.bench.desk import StaleError
from decalgen.bench.guard import ASGIApp, Guard, Keys
from decalgen.bench.page_state import do, page_state, refusal
from decalgen.bench.workplace import QUIET_SECONDS, Workplace, stale_words
from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import read_small, signature

PARTS = Path(__file__).with_name("page")
KINDS = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".woff2": "font/woff2"}
PUBLIC = ("/", "/app/", "/enter", "/knock")
LOOK_SECONDS = 0.1
BEAT_SECONDS = 15.0
"""A stream says something at least so often, so that a dead one is noticed."""
MOST_WAITING = 200
MOST_PART = 1_000_000
MOST_FILE = 200_000_000


def page_app(
    place: Workplace,
    keys: Keys,
    port: int,
    ended: asyncio.Event | None = None,
    ending: Callable[[], bool] = lambda: False,
) -> ASGIApp:
    """The whole server for one job, guard and all. ``ended``: set when the last tab has gone; ``ending``: whether the
    server is about to stop, so that its streams end."""
    routes = _Routes(place, keys, ended or asyncio.Event(), ending)
    app = Starlette(
        routes=[
            Route("/", routes.shell),
            Route("/app/{name}", routes.part),
            Route("/enter", routes.enter, methods=["POST"]),
            Route("/knock", routes.knock, methods=["POST"]),
            Route("/state", routes.state),
            Route("/events", routes.events),
            Route("/file/{name}", routes.file),
            Route("/edit", routes.edit, methods=["POST"]),
            Route("/do/{screen}/{act}", routes.do, methods=["POST"]),
            Route("/undo", routes.undo, methods=["POST"]),
            Route("/redo", routes.redo, methods=["POST"]),
            Route("/line", routes.line, methods=["POST"]),
            Route("/leaving", routes.leaving, methods=["POST"]),
        ],
        lifespan=routes.life,
    )
    return Guard(app, keys, port, PUBLIC)


class _Routes:
    def __init__(self, place: Workplace, keys: Keys, ended: asyncio.Event, ending: Callable[[], bool]) -> None:
        self.place, self.keys, self.ended, self.ending = place, keys, ended, ending
        self.quiet: asyncio.Task[None] | None = None

    @asynccontextmanager
    async def life(self, _: Starlette) -> AsyncIterator[None]:
        """Looks at the file while the server runs."""
        task = asyncio.create_task(self._watch())
        self._check_soon(0.0)
        yield
        task.cancel()
        for one in (task, self.quiet):
            if one is not None:
                one.cancel()
                with suppress(asyncio.CancelledError):
                    await one

    async def shell(self, _: Request) -> Response:
        """The empty page."""
        return _file("index.html")

    async def part(self, request: Request) -> Response:
        """A script, the style or the font: only names of the package."""
        name = request.path_params["name"]
        return _file(name) if name in _names() else Response("there is no such part", 404)

    async def enter(self, request: Request) -> Response:
        """A token for a cookie."""
        asked = await _asked(request)
        if not self.keys.spend(str(asked.get("token", ""))):
            return JSONResponse({"message": "this address was used already; start `decalgen bench` again"}, 403)
        answer = JSONResponse({})
        answer.set_cookie(self.keys.cookie_name, self.keys.cookie, httponly=True, samesite="strict", path="/")
        return answer

    async def knock(self, request: Request) -> Response:
        """A token for a second start on this machine."""
        asked = await _asked(request)
        if not self.keys.opens(str(asked.get("door", ""))):
            return Response("no", 403)
        return JSONResponse({"token": self.keys.token()})

    async def state(self, request: Request) -> Response:
        """What a screen needs."""
        view = dict(request.query_params)
        self.place.tabs.add(view.get("tab", "")[:40])
        return JSONResponse(page_state(self.place, view.get("screen", ""), view))

    async def file(self, request: Request) -> Response:
        """A file that was made while the page was open."""
        path = self.place.files().get(request.path_params["name"])
        if path is None:
            return Response("there is no such file", 404)
        try:
            data = await asyncio.to_thread(read_small, path, MOST_FILE)
        except DecalgenError as error:
            return Response(error.message, 404)
        answer = Response(data, media_type="application/octet-stream")
        # Only names that decalgen gave itself come here; what is no ASCII is written by RFC 8187.
        answer.headers["content-disposition"] = f"attachment; filename*=UTF-8''{quote(path.name)}"
        return answer

    async def edit(self, request: Request) -> Response:
        """Changes of values."""
        return await self._changed(request, self.place.change)

    async def do(self, request: Request) -> Response:
        """What a screen offers beside changes of values."""
        screen, act = request.path_params["screen"], request.path_params["act"]
        return await self._changed(request, lambda asked: do(self.place, screen, act, asked))

    async def undo(self, request: Request) -> Response:
        """The last step taken back."""
        return await self._changed(request, lambda _: _ignore(self.place.desk.undo()))

    async def redo(self, request: Request) -> Response:
        """The step taken back last, done again."""
        return await self._changed(request, lambda _: _ignore(self.place.desk.redo()))

    async def line(self, request: Request) -> Response:
        """One line of a file that cannot be read."""

        def mend(asked: Mapping[str, Any]) -> None:
            self.place.desk.mend(int(asked.get("line", 0)), str(asked.get("was", "")), str(asked.get("to", "")))

        return await self._changed(request, mend)

    async def leaving(self, request: Request) -> Response:
        """A tab that is closed or loaded anew."""
        asked = await _asked(request)
        self.place.tabs.discard(str(asked.get("tab", ""))[:40])
        if not self.place.tabs:
            self.ended.set()
        return JSONResponse({})

    async def events(self, _: Request) -> Response:
        """What happens, as it happens."""
        queue: asyncio.Queue[dict[str, Any]] = asyncio.Queue(MOST_WAITING)
        self.place.listeners.add(queue)

        async def stream() -> AsyncIterator[str]:
            try:
                # What was told before it began is told with it.
                now = {"version": self.place.desk.version, "kept": self.place.desk.kept}
                yield _event(now | {"findings": self.place.findings_of})
                silent = 0.0
                while not self.ending():
                    try:
                        yield _event(await asyncio.wait_for(queue.get(), LOOK_SECONDS))
                        silent = 0.0
                    except TimeoutError:
                        silent += LOOK_SECONDS
                    if silent >= BEAT_SECONDS:
                        silent = 0.0
                        yield ": still here\n\n"
            finally:
                self.place.listeners.discard(queue)

        return StreamingResponse(stream(), media_type="text/event-stream")

    async def _changed(self, request: Request, change: Callable[[Mapping[str, Any]], None]) -> Response:
        asked = await _asked(request)
        try:
            change(asked)
        except StaleError as error:
            return JSONResponse(stale_words(error) | {"version": self.place.desk.version}, 409)
        except DecalgenError as error:
            return JSONResponse(refusal(error, asked) | {"version": self.place.desk.version}, 422)
        self.place.tell(version=self.place.desk.version)
        view = asked.get("view")
        view = {str(k): str(v) for k, v in view.items()} if isinstance(view, dict) else {}
        answer = JSONResponse(page_state(self.place, view.get("screen", ""), view))
        # The picture first; the file follows.
        asyncio.get_running_loop().call_soon(self.place.keep)
        self._check_soon(QUIET_SECONDS)
        return answer

    def _check_soon(self, seconds: float) -> None:
        """Checks the decals once nothing was changed for so long."""

        async def later() -> None:
            await asyncio.sleep(seconds)
            await self.place.examine()

        if self.quiet is not None and not self.quiet.done():
            self.quiet.cancel()
        self.quiet = asyncio.get_running_loop().create_task(later())

    async def _watch(self) -> None:
        """Looks for what an editor writes: only once the file stood still for two looks, as editors empty and refill
        it."""
        path = self.place.desk.path
        before = seen = signature(path)
        while True:
            await asyncio.sleep(LOOK_SECONDS)
            now = signature(path)
            if now == seen != before:
                before = seen
                version = self.place.desk.version
                self.place.look()
                if self.place.desk.version != version:
                    self._check_soon(QUIET_SECONDS)
            seen = now


def _ignore(_: object) -> None:
    return None


async def _asked(request: Request) -> Mapping[str, Any]:
    try:
        found = json.loads(await request.body())
    except (ValueError, UnicodeDecodeError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _event(what: dict[str, Any]) -> str:
    return f"data: {json.dumps(what)}\n\n"


def _names() -> set[str]:
    return {path.name for path in PARTS.iterdir() if path.suffix in KINDS}


def _file(name: str) -> Response:
    path = PARTS / name
    kind = KINDS[path.suffix]
    return Response(read_small(path, MOST_PART), media_type=kind)
