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

from decalgen.bench.brought import picture_route
from decalgen.bench.desk import StaleError
from decalgen.bench.guard import PROOF_SCANS, ASGIApp, Guard, Keys
from decalgen.bench.included_edits import redo, undo
from decalgen.bench.opening import RESTORING, answer, glance, whole_state
from decalgen.bench.original_routes import original_routes
from decalgen.bench.page_state import answer_of, do, refusal
from decalgen.bench.proof_scan import bring_scan, looked_at
from decalgen.bench.shelf import JobShelf
from decalgen.bench.shown_pixels import SHOWN
from decalgen.bench.two_sides import stale_words
from decalgen.bench.watching import FileWatch
from decalgen.bench.workplace import QUIET_SECONDS, Workplace
from decalgen.bench.workshop_now import workshop_signature
from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import read_small
from decalgen.job.edits import EditError

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
    shelf: JobShelf,
    keys: Keys,
    port: int,
    ending: Callable[[], bool] = lambda: False,
) -> ASGIApp:
    """The whole server, guard and all. ``ending``: whether the server is about to stop, so that its streams end."""
    routes = _Routes(shelf, keys, ending)
    app = Starlette(
        routes=[
            Route("/", routes.shell),
            Route("/app/{name}", routes.part),
            Route("/enter", routes.enter, methods=["POST"]),
            Route("/knock", routes.knock, methods=["POST"]),
            Route("/state", routes.state),
            Route("/news", routes.news),
            Route("/events", routes.events),
            Route("/file/{name}", routes.file),
            Route("/pixels/{name}.png", routes.pixels),
            *original_routes(shelf),
            picture_route(shelf, PROOF_SCANS, looked_at, bring_scan, "proof scan"),
            Route("/edit", routes.edit, methods=["POST"]),
            Route("/do/{screen}/{act}", routes.do, methods=["POST"]),
            Route("/ask/{screen}/{what}", routes.ask, methods=["POST"]),
            Route("/undo", routes.undo, methods=["POST"]),
            Route("/redo", routes.redo, methods=["POST"]),
            Route("/line", routes.line, methods=["POST"]),
            Route("/jobs/glance", routes.glance),
            Route("/open", routes.take_up, methods=["POST"]),
            Route("/new", routes.begin, methods=["POST"]),
            Route("/answer", routes.answer, methods=["POST"]),
            Route("/restore", routes.restore, methods=["POST"]),
            Route("/settle", routes.settle, methods=["POST"]),
            Route("/leaving", routes.leaving, methods=["POST"]),
        ],
        lifespan=routes.life,
    )
    return Guard(app, keys, port, PUBLIC)


class _Routes:
    def __init__(self, shelf: JobShelf, keys: Keys, ending: Callable[[], bool]) -> None:
        self.shelf, self.keys, self.ending = shelf, keys, ending
        self.quiet: dict[str, asyncio.Task[None]] = {}
        self.glancing = asyncio.Lock()

    @asynccontextmanager
    async def life(self, _: Starlette) -> AsyncIterator[None]:
        """Looks at the files while the server runs."""
        task = asyncio.create_task(self._watch())
        yield
        for place in self.shelf.places.values():
            place.table.stopped = True
        for one in (task, *self.quiet.values()):
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
        job = self.keys.spend(str(asked.get("token", "")))
        if job is None:
            return JSONResponse({"message": "this address was used already; start `decalgen bench` again"}, 403)
        answer = JSONResponse({"job": job})
        answer.set_cookie(self.keys.cookie_name, self.keys.cookie, httponly=True, samesite="strict", path="/")
        return answer

    async def knock(self, request: Request) -> Response:
        """A token for a second start on this machine."""
        asked = await _asked(request)
        if not self.keys.opens(str(asked.get("door", ""))):
            return Response("no", 403)
        key = str(asked.get("job", ""))
        return JSONResponse({"token": self.keys.token(key if key in self.shelf.places else "")})

    async def state(self, request: Request) -> Response:
        """What a screen needs."""
        view = dict(request.query_params)
        self.shelf.tabs.add(view.get("tab", ""))
        place = self.shelf.place(view.get("job", ""))
        if place is not None and view.get("screen") == "sheet":
            place.table.seen = True
            place.lay()
        if place is not None:
            if view.get("screen") == "apply":
                place.apply.seen = True
                place.apply.look(place)
            place.check_mates()
            place.compare_proof()
        return JSONResponse(whole_state(self.shelf, view))

    async def glance(self, request: Request) -> Response:
        """A job of the folder at a glance; one after another, beside the typing."""
        try:
            path = self.shelf.path(request.query_params.get("job", ""))
        except DecalgenError as error:
            return JSONResponse({"message": error.message, "fix": error.fix}, 404)
        async with self.glancing:
            return JSONResponse(await asyncio.to_thread(glance, path, self.shelf.drawings))

    async def take_up(self, request: Request) -> Response:
        """Another job, by its name among those that are shown; where another start of decalgen has it open, that one's
        address."""
        key = str((await _asked(request)).get("job", ""))
        try:
            if key not in self.shelf.places:
                address = await asyncio.to_thread(self.shelf.elsewhere, self.shelf.path(key).resolve())
                if address:
                    return JSONResponse({"address": address})
            return JSONResponse({"job": self.shelf.taken_up(key).key})
        except DecalgenError as error:
            return _refusal(error)

    async def begin(self, request: Request) -> Response:
        """A new job, by its title."""
        try:
            return JSONResponse({"job": self.shelf.begun(str((await _asked(request)).get("title", ""))).key})
        except DecalgenError as error:
            return _refusal(error)

    async def answer(self, request: Request) -> Response:
        """An answer to one of the first questions."""
        return await self._changed(request, answer)

    async def restore(self, request: Request) -> Response:
        """A file that is gone is put back, a finished job becomes what it was; or what is here is kept under another
        name."""
        asked = await _asked(request)
        if change := RESTORING.get(str(asked.get("do"))):
            return await self._changed(request, change)
        try:
            place = self._place(asked)
            if asked.get("do") == "as":
                return JSONResponse({"job": self.shelf.copied(place.key, str(asked.get("name", ""))).key})
            if not place.desk.gone:
                raise EditError("the file is there again", fix="load the page again")
            place.desk.put_back()
            place.trouble = ""
            return JSONResponse({"job": place.key})
        except DecalgenError as error:
            return _refusal(error)

    async def news(self, request: Request) -> Response:
        """Whether anything happened: for a browser without a stream."""
        asked = request.query_params
        self.shelf.tabs.add(asked.get("tab", ""))
        place = self.shelf.place(asked.get("job", ""))
        return JSONResponse(place.news() if place else {"run": ""})

    async def file(self, request: Request) -> Response:
        """A file that was made while the page was open."""
        place = self.shelf.place(request.query_params.get("job", ""))
        path = place.files().get(request.path_params["name"]) if place else None
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

    async def pixels(self, request: Request) -> Response:
        """A picture that a page was told of."""
        data = await asyncio.to_thread(SHOWN.png, request.path_params["name"])
        return Response("there is no such picture", 404) if data is None else Response(data, media_type="image/png")

    async def edit(self, request: Request) -> Response:
        """Changes of values."""
        return await self._changed(request, lambda place, asked: place.change(asked))

    async def do(self, request: Request) -> Response:
        """What a screen offers beside changes of values."""
        screen, act = request.path_params["screen"], request.path_params["act"]
        return await self._changed(request, lambda place, asked: do(place, screen, act, asked))

    async def ask(self, request: Request) -> Response:
        """A question of a screen, whose answer changes nothing."""
        screen, what = request.path_params["screen"], request.path_params["what"]
        asked = await _asked(request)
        try:
            return JSONResponse(answer_of(self._place(asked), screen, what, asked))
        except DecalgenError as error:
            return _refusal(error)

    async def undo(self, request: Request) -> Response:
        """The last step taken back."""
        return await self._changed(request, lambda place, asked: _step(place, asked, lambda: undo(place.desk)))

    async def redo(self, request: Request) -> Response:
        """The step taken back last, done again."""
        return await self._changed(request, lambda place, asked: _step(place, asked, lambda: redo(place.desk)))

    async def settle(self, request: Request) -> Response:
        """Which of two changes of the same is kept: the page's or the editor's."""

        def settle(place: Workplace, asked: Mapping[str, Any]) -> None:
            choice = asked.get("keep")
            if choice not in ("mine", "theirs"):
                raise EditError("choose one of the two", fix="load the page again")
            place.settle(choice, str(asked.get("of", "")))

        return await self._changed(request, settle)

    async def line(self, request: Request) -> Response:
        """One line of a file that cannot be read."""

        def mend(place: Workplace, asked: Mapping[str, Any]) -> None:
            line = asked.get("line")
            if not isinstance(line, int):
                raise EditError("no line is named", fix="load the page again")
            place.desk.mend(line, str(asked.get("was", "")), str(asked.get("to", "")))

        return await self._changed(request, mend)

    async def leaving(self, request: Request) -> Response:
        """A tab that is closed or loaded anew."""
        asked = await _asked(request)
        self.shelf.tabs.discard(str(asked.get("tab", "")))
        return JSONResponse({})

    async def events(self, _: Request) -> Response:
        """What happens, as it happens."""
        queue: asyncio.Queue[dict[str, Any]] = asyncio.Queue(MOST_WAITING)
        self.shelf.listeners.add(queue)

        async def stream() -> AsyncIterator[str]:
            try:
                # What was told before it began is told with it.
                for one in tuple(self.shelf.places.values()):
                    yield _event(one.news() | {"job": one.key, "findings": one.findings_of})
                silent = 0.0
                while not self.ending():
                    try:
                        yield _event(await asyncio.wait_for(queue.get(), LOOK_SECONDS))
                        silent = 0.0
                    except TimeoutError:
                        silent += LOOK_SECONDS
                    if silent >= BEAT_SECONDS:
                        silent = 0.0
                        yield _event({"beat": True})
            finally:
                self.shelf.listeners.discard(queue)

        return StreamingResponse(stream(), media_type="text/event-stream")

    def _place(self, asked: Mapping[str, Any]) -> Workplace:
        """The job that the page shows. Raises EditError where it shows none."""
        place = self.shelf.place(_view(asked).get("job", ""))
        if place is None:
            raise EditError("no job is open", fix="choose one")
        return place

    async def _changed(
        self, request: Request, change: Callable[[Workplace, Mapping[str, Any]], Mapping[str, str] | None]
    ) -> Response:
        asked = await _asked(request)
        place: Workplace | None = None
        try:
            place = self._place(asked)
            then = change(place, asked) or {}
        except StaleError as error:
            return JSONResponse(stale_words(error) | (place.news() if place else {}), 409)
        except DecalgenError as error:
            return JSONResponse(refusal(error, asked) | (place.news() if place else {}), 422)
        place.tell(version=place.desk.version)
        answer = JSONResponse(whole_state(self.shelf, {**_view(asked), **then}) | {"look": {**then}})
        # The picture first; the file follows.
        asyncio.get_running_loop().call_soon(place.keep)
        self._check_soon(place, QUIET_SECONDS)
        return answer

    def _check_soon(self, place: Workplace, seconds: float) -> None:
        """Checks the decals of a job once nothing was changed in it for so long."""

        async def later() -> None:
            await asyncio.sleep(seconds)
            await place.examine()
            if place.apply.seen:
                place.apply.look(place)
            place.lay()
            place.compare_proof()

        before = self.quiet.get(place.key)
        if before is not None:
            before.cancel()
        self.quiet[place.key] = asyncio.get_running_loop().create_task(later())

    async def _watch(self) -> None:
        """Looks for what an editor writes, and for what the commands do to the drawer and the profiles. A job that was
        opened since is checked."""
        watch, owned = FileWatch(), workshop_signature()
        while True:
            there = workshop_signature()
            for place in tuple(self.shelf.places.values()):
                if watch.look(place):
                    self._check_soon(place, QUIET_SECONDS if place.findings is not None else 0.0)
                if there != owned:
                    place.tell(made="workshop", version=place.desk.version)
            owned = there
            await asyncio.sleep(LOOK_SECONDS)
            watch.rest()


def _view(asked: Mapping[str, Any]) -> dict[str, str]:
    """What the page shows, as it says with each change."""
    view = asked.get("view")
    return {str(k): str(v) for k, v in view.items()} if isinstance(view, dict) else {}


def _refusal(error: DecalgenError) -> Response:
    return JSONResponse({"message": error.message, "fix": error.fix}, 422)


def _step(place: Workplace, asked: Mapping[str, Any], step: Callable[[], str]) -> None:
    """Takes back, or does again, only what the page named when it was asked."""
    if asked.get("base") != place.desk.version:
        raise EditError("something was changed meanwhile", fix="look at it, then try again")
    step()


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
