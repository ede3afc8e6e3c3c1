"""The routes of Originals: a picture comes, and parts of it are shown."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from decalgen.bench.brought import picture_route
from decalgen.bench.guard import PICTURES
from decalgen.bench.original_shelf import OriginalPicture
from decalgen.bench.shelf import JobShelf
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError

MOST_SHOWN = 1600
"""No part that is shown has more pixels a side."""
LEAST_SIDE = 8


def original_routes(shelf: JobShelf) -> list[Route]:
    """A picture to be read, by POST; a part of one to be looked at, by GET."""

    def take(place: Workplace, _: Mapping[str, str], one: OriginalPicture) -> None:
        place.originals.bring(place, one)

    async def part(request: Request) -> Response:
        place = shelf.place(request.query_params.get("job", ""))
        one = place.originals.of(request.path_params["key"]) if place else None
        window = _window(request.query_params)
        if one is None or window is None:
            return Response("there is no such picture", 404)
        try:
            data = await asyncio.to_thread(_part, one, window)
        except DecalgenError as error:
            return Response(error.message, 404)
        return Response(data, media_type="image/jpeg")

    return [picture_route(shelf, PICTURES, OriginalPicture, take, "original"), Route(PICTURES + "/{key}.jpg", part)]


def _window(asked: Any) -> tuple[int, int, int, int] | None:
    try:
        left, top, right, bottom = (int(asked.get(name, "")) for name in ("left", "top", "right", "bottom"))
    except ValueError:
        return None
    fine = min(left, top) >= -MOST_SHOWN and max(right, bottom) < 1_000_000
    return (left, top, right, bottom) if fine and min(right - left, bottom - top) >= LEAST_SIDE else None


def _part(one: OriginalPicture, window: tuple[int, int, int, int]) -> bytes:
    """A part of a picture as JPEG; what lies beyond its edge is grey."""
    import numpy as np

    from decalgen.core.pixels.arrays import from_rgb, rgb_of
    from decalgen.core.pixels.decode import decode
    from decalgen.core.pixels.jpeg import jpeg_of

    whole = rgb_of(decode(one.picture).pixels)
    left, top, right, bottom = window
    high, wide = whole.shape[:2]
    right, bottom = min(right, wide + MOST_SHOWN), min(bottom, high + MOST_SHOWN)
    seen = whole[max(top, 0) : min(bottom, high), max(left, 0) : min(right, wide)]
    if seen.shape[:2] != (bottom - top, right - left):
        made = np.full((bottom - top, right - left, 3), 128, np.uint8)
        made[max(-top, 0) : max(-top, 0) + seen.shape[0], max(-left, 0) : max(-left, 0) + seen.shape[1]] = seen
        seen = made
    return jpeg_of(from_rgb(np.ascontiguousarray(seen)), MOST_SHOWN)
