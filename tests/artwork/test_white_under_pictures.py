"""White under pictures on clear film: judged by a few of their colours, not by their mean alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from decalgen.artwork.build import build
from decalgen.artwork.over_body import underlay, white_passes
from decalgen.core.pixels.means import mean_colour, telling_colours
from decalgen.core.pixels.values import PictureData
from decalgen.job.model import Job
from tests.helpers import jobs
from tests.helpers.pictures import saved

PRINTER = replace(jobs.PRINTER, white=True, misregister=0.15)


def picture(*shades: tuple[tuple[int, int, int], int]) -> Image.Image:
    """Columns of plain colours, each so many wide."""
    rows = [np.tile(np.array(shade, np.uint8), (100, wide, 1)) for shade, wide in shades]
    return Image.fromarray(np.concatenate(rows, axis=1))


def with_picture(image: Image.Image, **more: object) -> Job:
    file = PictureData("emblem.png", saved(image))
    shape = jobs.element("picture", file=file, width=20.0)
    return jobs.job(jobs.decal("emblem", 24.0, 24.0, shape, **more), film="clear")


def test_a_few_colours_tell_of_a_picture() -> None:
    from decalgen.core.pixels.decode import pixels_of

    pixels = pixels_of(picture(((0, 0, 0), 90), ((90, 180, 240), 8), ((255, 0, 0), 2)))
    assert {"#000000", "#5ab4f0"} <= set(telling_colours(pixels)) and "#ff0000" not in telling_colours(pixels)
    assert mean_colour(pixels) == "#0c0e13"


@pytest.mark.parametrize(("light", "white"), [(0, False), (12, True)])
def test_one_colour_of_many_that_the_body_would_spoil_is_enough(light: int, white: bool) -> None:
    image = picture(((0, 0, 0), 100 - light), *([((120, 200, 250), light)] if light else []))
    job = with_picture(image)
    art = build(job, job.decals[0], white_printer=True)
    assert bool(white_passes(art, job, PRINTER)) == white


def test_it_lies_under_the_area_that_is_seen_drawn_in_by_the_misregister() -> None:
    job = with_picture(picture(((120, 200, 250), 100)))
    art = build(job, job.decals[0], white_printer=True)
    assert underlay(art, job, PRINTER).region.bounds == pytest.approx((2.15, 2.15, 21.85, 21.85))
    assert white_passes(replace(art, decal=replace(art.decal, underlay="none")), job, PRINTER) == {}
