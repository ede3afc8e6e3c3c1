"""The colours of a picture over a body: as the model says for an ink of that colour."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from decalgen.colour.advice import planned
from decalgen.colour.difference import delta_e
from decalgen.colour.inks import CLEAR_FILM, WHITE_FILM, FilmLook, Ink, paint
from decalgen.colour.pictures import over
from decalgen.colour.printer import PrinterColour
from decalgen.colour.value import Colour
from decalgen.core.pixels.decode import pixels_of
from decalgen.core.pixels.recoloured import pale, recoloured
from tests.helpers.pictures import emblem


@pytest.mark.parametrize("film", [CLEAR_FILM, WHITE_FILM], ids=["clear", "white"])
@pytest.mark.parametrize("passes", [0, 2])
@pytest.mark.parametrize("shade", ["#1d2b4a", "#e8d9a0", "#ffffff"])
def test_each_pixel_looks_as_an_ink_of_its_colour_would(film: FilmLook, passes: int, shade: str) -> None:
    body, printer = paint("body", shade), PrinterColour(white=True)
    some = np.random.default_rng(5).integers(0, 256, (1, 60, 3)).astype(np.uint8)
    made = recoloured(pixels_of(Image.fromarray(some)), over(body, film, printer, passes))
    got = np.frombuffer(made.rgb, np.uint8).reshape(60, 3)
    off = []
    for (r, g, b), (x, y, z) in zip(some[0], got, strict=True):
        ink = Ink("some", "process", Colour.from_hex(f"#{r:02x}{g:02x}{b:02x}"))
        wanted = planned(ink, body, film, printer, passes).look
        off.append(delta_e(Colour.from_hex(wanted.hex), Colour.from_hex(f"#{x:02x}{y:02x}{z:02x}")))
    # Colours that no screen shows are brought in another way; and between the levels that are worked out it is linear.
    assert np.median(off) < 0.6 and max(off) < 3.0


def test_on_paper_a_picture_is_lightened_as_its_inks_are() -> None:
    pixels = pixels_of(emblem(40))
    made = pale(pixels, 0.45)
    own = np.frombuffer(pixels.rgb, np.uint8).astype(float)
    assert made.alpha == pixels.alpha
    assert abs(np.frombuffer(made.rgb, np.uint8) - (own + (255 - own) * 0.45)).max() <= 0.5 + 1e-9
