"""Pictures of every kind that people have: read in sRGB and upright, or refused with what to do."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

import decalgen
from decalgen.core.pixels.decode import MOST_PIXELS, decode, size_of
from decalgen.core.pixels.values import PictureData, Pixels, PixelsError
from tests.helpers.pictures import colours, emblem, photograph, saved

PROFILE = (Path(decalgen.__file__).parent / "colour" / "coated_tr006.icc").read_bytes()


def read(data: bytes) -> Pixels:
    return decode(PictureData("emblem.png", data)).pixels


def rgb(pixels: Pixels) -> np.ndarray:
    return np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height, pixels.width, 3).astype(int)


def alpha(pixels: Pixels) -> np.ndarray:
    assert pixels.alpha is not None
    return np.frombuffer(pixels.alpha, np.uint8).reshape(pixels.height, pixels.width)


def test_colours_and_alpha_of_a_png_come_through_as_they_are() -> None:
    image = emblem(60)
    found = read(saved(image))
    assert (rgb(found) == np.asarray(image)[..., :3]).all() and (alpha(found) == np.asarray(image)[..., 3]).all()


def test_what_is_nowhere_clear_has_no_alpha() -> None:
    assert read(saved(photograph())).alpha is None
    assert read(saved(photograph().convert("RGBA"))).alpha is None


@pytest.mark.parametrize("kind", ["JPEG", "TIFF", "PNG"])
def test_kinds_of_files(kind: str) -> None:
    more = {"quality": 95, "subsampling": 0} if kind == "JPEG" else {}
    found = read(saved(photograph(), kind, **more))
    off = abs(rgb(found) - colours(160, 120))
    assert off.mean() < 2 if kind == "JPEG" else not off.any()


GREY = np.arange(256, dtype=np.uint8).reshape(16, 16)


def _palette() -> Image.Image:
    image = Image.fromarray(GREY).convert("P")
    image.info["transparency"] = 0
    return image


def _wide() -> bytes:
    """Grey of 16 bits, each level 257 times that of 8, one of them clear (PNG 3rd edition, 11.3.1.1)."""
    rows = b"".join(b"\0" + (row.astype(">u2") * 257).tobytes() for row in GREY)
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", 16, 16, 16, 0, 0, 0, 0)),
        (b"tRNS", struct.pack(">H", 3 * 257)),
        (b"IDAT", zlib.compress(rows)),
        (b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(d)) + k + d + struct.pack(">I", zlib.crc32(k + d)) for k, d in parts
    )


@pytest.mark.parametrize(
    ("data", "clear"),
    [
        (saved(Image.fromarray(GREY)), None),
        (saved(Image.fromarray(GREY).convert("P")), None),
        (saved(_palette(), transparency=0), 0),
        (_wide(), 3),
        (saved(Image.fromarray(GREY.astype(np.uint16) * 257), "TIFF"), None),
        (saved(Image.fromarray(np.dstack([GREY, np.where(GREY == 9, 0, 255).astype(np.uint8)]))), 9),
    ],
    ids=["grey", "palette", "palette with a clear colour", "grey of 16 bits", "TIFF of 16 bits", "grey with alpha"],
)
def test_grey_palette_and_16_bits(data: bytes, clear: int | None) -> None:
    found = read(data)
    shown = np.ones((16, 16), bool) if clear is None else clear != GREY
    assert (rgb(found)[shown] == GREY[shown][:, None]).all()
    if clear is None:
        assert found.alpha is None
    else:
        assert (alpha(found) == shown * 255).all()


@pytest.mark.parametrize("turn", range(1, 9))
def test_how_the_camera_was_held_is_obeyed(turn: int) -> None:
    # Orientation as in EXIF 2.32, 4.6.4: where row 0 and column 0 of the file belong in the picture.
    seen = colours(30, 20)
    stored: dict[int, Callable[[np.ndarray], np.ndarray]] = {
        1: lambda a: a,
        2: lambda a: a[:, ::-1],
        3: lambda a: a[::-1, ::-1],
        4: lambda a: a[::-1],
        5: lambda a: a.swapaxes(0, 1),
        6: lambda a: a.swapaxes(0, 1)[::-1],
        7: lambda a: a[::-1, ::-1].swapaxes(0, 1),
        8: lambda a: a.swapaxes(0, 1)[:, ::-1],
    }
    exif = Image.Exif()
    exif[0x0112] = turn
    data = saved(Image.fromarray(np.ascontiguousarray(stored[turn](seen))), "PNG", exif=exif)
    assert size_of(PictureData("a", data)) == (30, 20)
    assert (rgb(read(data)) == seen).all()


def test_a_profile_in_the_file_is_obeyed() -> None:
    # A profile of linear light with sRGB's primaries is not at hand: Lab's own D50 white stays white, and black black.
    wide = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    plain = photograph()
    assert (rgb(read(saved(plain, icc_profile=wide))) == colours(160, 120)).all()
    found = decode(PictureData("a.png", saved(plain, icc_profile=b"nothing of the kind" * 20)))
    assert found.notes == ("its colour profile cannot be used: its colours are taken as sRGB",)


def test_cmyk_is_read_by_its_profile_and_refused_without() -> None:
    # The corners of offset print on coated paper, TR 006 (the profile's own data): paper is white, four inks are black.
    inks = Image.fromarray(np.array([[[0, 0, 0, 0], [255, 255, 255, 255]]], np.uint8), "CMYK").resize((16, 8), 0)
    found = rgb(read(saved(inks, "JPEG", icc_profile=PROFILE, quality=100)))
    assert found[:, 0].min() > 245 and found[:, -1].max() < 50
    with pytest.raises(PixelsError, match="in CMYK and has no colour profile") as refused:
        read(saved(inks, "JPEG"))
    assert refused.value.fix == "save it as RGB in your picture program"


def _header(side: int, bits: int, kind: int) -> bytes:
    """A PNG that has no more than its header."""
    head = struct.pack(">IIBBBBB", side, side, bits, kind, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", b"not even packed"), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(d)) + k + d + struct.pack(">I", zlib.crc32(k + d)) for k, d in parts
    )


def _animated() -> bytes:
    first, second = photograph(seed=1), photograph(seed=2)
    return saved(first, "PNG", save_all=True, append_images=[second], duration=100)


WHOLE = saved(emblem())


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (_header(30_000, 1, 0), "has far more than 50 million pixels"),
        (_animated(), "holds several pictures: it is animated, or has pages"),
        (saved(photograph(), "TIFF", save_all=True, append_images=[photograph()]), "holds several pictures"),
        (saved(photograph(), "GIF"), "is not a PNG, JPEG or TIFF picture"),
        (b"%PDF-1.7", "is not a PNG, JPEG or TIFF picture"),
        (b"", "is not a PNG, JPEG or TIFF picture"),
        (WHOLE[: len(WHOLE) // 2], "cannot be read"),
        (saved(photograph(), "JPEG")[:2000], "cannot be read"),
        (saved(Image.fromarray(np.ones((4, 4), np.float32)), "TIFF"), "has pixels of the kind 'F'"),
    ],
)
def test_what_cannot_be_read_is_refused(data: bytes, message: str) -> None:
    with pytest.raises(PixelsError) as refused:
        read(data)
    assert message in refused.value.message and refused.value.fix


def test_the_size_is_judged_before_anything_is_unpacked() -> None:
    side = int((MOST_PIXELS + 1) ** 0.5) + 1
    data = _header(side, 8, 2)
    with pytest.raises(PixelsError, match=f"has {side} × {side} pixels, more than 50 million"):
        size_of(PictureData("a.png", data))


@pytest.mark.parametrize("seed", range(60))
def test_damaged_files_raise_nothing_else(seed: int) -> None:
    some = np.random.default_rng(seed)
    data = bytearray((WHOLE, saved(photograph(), "JPEG"), saved(photograph(), "TIFF"))[seed % 3])
    for at in some.integers(0, len(data), int(some.integers(1, 40))):
        data[at] = int(some.integers(0, 256))
    try:
        read(bytes(data))
    except PixelsError as error:
        assert error.fix
