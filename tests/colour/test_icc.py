"""Printer profiles: what is one, what is refused with which words, what it says of colours."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image, ImageCms

from decalgen.colour.difference import delta_e
from decalgen.colour.icc import CmykProfile, open_profile, shipped
from decalgen.colour.typed import parse
from decalgen.colour.value import ColourError


def display_profile() -> bytes:
    """sRGB as Little CMS makes it: class mntr."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def picture(kind: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (8, 8), "red").save(out, kind)
    return out.getvalue()


def changed(at: int, value: bytes) -> bytes:
    data = bytearray(shipped().data)
    data[at : at + len(value)] = value
    return bytes(data)


def test_a_good_profile_opens() -> None:
    found = open_profile(shipped().data, "mine.icc")
    assert isinstance(found, CmykProfile)
    assert "TR 006-2007" in found.name
    assert "data" not in repr(found)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (display_profile(), "mine.icc is a display profile (RGB)"),
        (changed(12, b"scnr"), "a scanner or camera profile"),
        (changed(12, b"link"), "a device link"),
        (changed(12, b"????"), "unknown class"),
        (changed(16, b"RGB "), "a printer that is fed RGB, not CMYK"),
        (picture("JPEG"), "mine.icc is a JPEG picture"),
        (picture("PNG"), "a PNG picture"),
        (picture("TIFF"), "a TIFF picture"),
        (b"%PDF-1.6 ...", "a PDF"),
        (b"", "not an ICC profile"),
        (b"hello" * 100, "not an ICC profile"),
        (shipped().data[:5000], "damaged: 5000 bytes"),
        (shipped().data[:132] + bytes(len(shipped().data) - 132), "damaged or has no tables"),
    ],
)
def test_refusals(data: bytes, says: str) -> None:
    with pytest.raises(ColourError) as caught:
        open_profile(data, "mine.icc")
    assert says in caught.value.message
    assert caught.value.fix


def test_every_cut_is_refused_with_words() -> None:
    data = shipped().data
    for length in (1, 127, 131, 133, 200, 1000, len(data) // 2, len(data) - 1):
        with pytest.raises(ColourError):
            open_profile(data[:length], "cut.icc")


@pytest.mark.parametrize("code", ["#8a5040", "#e8641b", "#808080", "#6bb1df", "#eadfbd"])
def test_colours_inside_the_gamut_come_back(code: str) -> None:
    assert shipped().miss(parse(code)) < 2


@pytest.mark.parametrize("code", ["#00ff00", "#0000ff", "#ff00ff", "#00ffff"])
def test_screen_colours_outside_the_gamut_do_not(code: str) -> None:
    """Offset print cannot show the screen's primaries (ISO 12647-2 solids lie far inside)."""
    assert shipped().miss(parse(code)) > 5


def test_inks_of_plain_colours() -> None:
    c, m, y, k = shipped().cmyk(parse("#ffffff"))
    assert max(c, m, y, k) < 2
    assert sum(shipped().cmyk(parse("#000000"))) <= 322  # the profile's ink limit, 320 %
    c, m, y, k = shipped().cmyk(parse("#f3df2f"))
    assert y > 70
    assert max(c, k) < 10


def test_soft_proof_dulls_what_print_cannot_show() -> None:
    strip = Image.new("RGB", (2, 1))
    strip.putpixel((0, 0), (0, 255, 0))
    strip.putpixel((1, 0), (138, 80, 64))
    seen = shipped().soft_proof(strip)
    assert (seen.mode, seen.size) == ("RGB", (2, 1))
    green, brown = ("#{:02x}{:02x}{:02x}".format(*seen.getpixel((x, 0))) for x in (0, 1))  # type: ignore[misc]
    assert delta_e(parse(green), parse("#00ff00")) > 10
    assert delta_e(parse(brown), parse("#8a5040")) < 3
