"""Pictures that a page brings: each comes as it is, without a detour through text, with what is said of it in the
address."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from typing import TypeVar

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from decalgen.bench.copies_beside import plain_name
from decalgen.bench.page_state import refusal
from decalgen.bench.shelf import JobShelf
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData, PixelsError
from decalgen.job.edits import EditError

T = TypeVar("T")


def picture_route(
    shelf: JobShelf,
    path: str,
    look: Callable[[PictureData], T],
    take: Callable[[Workplace, Mapping[str, str], T], object],
    made: str,
) -> Route:
    """Where pictures are posted to. ``look``: looks at one, in a thread of its own, for that may take a while; ``take``
    takes in what that gives, with what is said of it; each raises a DecalgenError for what cannot be taken. ``made``:
    what every page is told once one is taken in."""

    async def bring(request: Request) -> Response:
        asked = request.query_params
        place = shelf.place(asked.get("job", ""))
        try:
            if place is None:
                raise EditError("no job is open", fix="choose one")
            picture = PictureData(plain_name(asked.get("name", "")), await request.body())
            take(place, asked, await asyncio.to_thread(look, picture))
        except PixelsError as error:
            return JSONResponse(refusal(error, {}) | {"unread": True}, 422)
        except DecalgenError as error:
            return JSONResponse(refusal(error, {}), 422)
        place.tell(made=made)
        return JSONResponse({})

    return Route(path, bring, methods=["POST"])
