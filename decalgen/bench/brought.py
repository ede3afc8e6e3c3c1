"""Pictures that a page brings: each comes as it is, without a detour through text, with what is said of it in the
address."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from decalgen.bench.page_state import refusal
from decalgen.bench.shelf import JobShelf
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PixelsError
from decalgen.job.edits import EditError

Taking = Callable[[Workplace, Mapping[str, str], bytes], object]
"""Takes in the bytes of a picture, with what is said of it; raises a DecalgenError for what cannot be taken."""


def picture_route(shelf: JobShelf, path: str, take: Taking, made: str) -> Route:
    """Where pictures are posted to. ``made``: what every page is told once one is taken in."""

    async def bring(request: Request) -> Response:
        place = shelf.place(request.query_params.get("job", ""))
        try:
            if place is None:
                raise EditError("no job is open", fix="choose one")
            take(place, request.query_params, await request.body())
        except DecalgenError as error:
            return JSONResponse(refusal(error, {}) | ({"unread": True} if isinstance(error, PixelsError) else {}), 422)
        place.tell(made=made)
        return JSONResponse({})

    return Route(path, bring, methods=["POST"])
