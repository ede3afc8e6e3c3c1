"""Pictures that cannot be measured on: each one message and a way out, nothing else."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from PIL import Image

from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.decode import resolution_of
from decalgen.core.pixels.values import PictureData
from decalgen.scan.measuring import ScanRequest, measure_scan
from tests.scan.scans import Faults, checks, plate, scan_of

ASKED = ScanRequest(dpi=(200.0, 200.0))


def file_of(image: Image.Image, form: str = "PNG", **how: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, form, **how)
    return out.getvalue()


def bomb() -> bytes:
    """A PNG whose header says 30 000 × 30 000 (PNG 3rd edition, 11.2.1)."""
    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(b"")), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in parts
    )


def noise() -> Image.Image:
    return Image.fromarray(np.random.default_rng(1).integers(0, 255, (300, 400, 3), dtype=np.uint8))


def animated() -> bytes:
    frames = [Image.new("RGB", (200, 200), colour) for colour in ("red", "blue")]
    return file_of(frames[0], "PNG", save_all=True, append_images=frames[1:])


BAD: dict[str, tuple[Callable[[], bytes], str, str]] = {
    "blank": (lambda: file_of(Image.new("RGB", (400, 300), "white")), "is blank", "scan it again"),
    "tiny": (lambda: file_of(Image.new("RGB", (40, 30), "white")), "has only 40 × 30 pixels", "300 dpi"),
    "bomb": (bomb, "30000 × 30000 pixels|far more than", "smaller"),
    "no picture": (lambda: b"panel: door", "is not a PNG, JPEG or TIFF", "save it as PNG"),
    "cut short": (lambda: file_of(noise(), "JPEG")[:9000], "cannot be read", "cut short"),
    "animated": (animated, "holds several pictures", "save the one you want"),
    "cmyk": (lambda: file_of(noise().convert("CMYK"), "JPEG"), "in CMYK", "as RGB"),
    "noise": (lambda: file_of(noise()), "recognised", "--part"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_picture_is_told_with_a_way_out(name: str) -> None:
    make, message, fix = BAD[name]
    with pytest.raises(DecalgenError, match=message) as told:
        measure_scan(PictureData("scan.png", make()), ASKED)
    assert fix in told.value.fix


@pytest.fixture(scope="module")
def whole() -> bytes:
    """Checks beside a card, at 120 dpi, which the file says."""
    return scan_of(checks(2, 8, (3.0, 3.0)), (24, 6), ["#1f7f86", "#f4efe0"], Faults(), 120.0, 2).data


def test_without_dpi_and_card_nothing_tells_the_size(whole: bytes) -> None:
    bare = file_of(Image.open(io.BytesIO(whole)))
    bare = file_of(Image.fromarray(np.asarray(Image.open(io.BytesIO(bare)))))
    with pytest.raises(DecalgenError, match=r"nothing in 'scan.png' tells its size") as told:
        measure_scan(PictureData("scan.png", bare), ScanRequest(part=(0, 0, 580, 120)))
    assert "--beside card" in told.value.fix and "--dpi 300" in told.value.fix


def test_absurd_dpi_in_a_file_is_told(whole: bytes) -> None:
    absurd = file_of(Image.open(io.BytesIO(whole)), dpi=(2, 2))
    with pytest.raises(DecalgenError, match=r"2.01 dpi is not what a scan has"):
        measure_scan(PictureData("scan.png", absurd), ScanRequest())


def test_no_card_and_a_card_half_outside(whole: bytes) -> None:
    image = Image.open(io.BytesIO(whole))
    alone = scan_of(plate((20, 9), 1.5), (20, 9), ["#1f7f86"], Faults(card=False), 120.0, 2).data
    with pytest.raises(DecalgenError, match=r"no card of 85.6 × 53.98 mm is seen") as told:
        measure_scan(PictureData("scan.png", alone), ScanRequest(card="card"))
    assert "--corners" in told.value.fix
    cut = file_of(image.crop((0, 0, image.width, image.height - 35)))
    with pytest.raises(DecalgenError, match=r"cut off by the edge|no card of"):
        measure_scan(PictureData("scan.png", cut), ScanRequest(card="card"))


def test_a_card_with_nothing_beside_it(whole: bytes) -> None:
    image = Image.open(io.BytesIO(whole))
    alone = file_of(image.crop((0, 70, image.width, image.height)))
    with pytest.raises(DecalgenError, match="nothing lies beside the card"):
        measure_scan(PictureData("scan.png", alone), ScanRequest(card="card"))


def test_a_card_whose_corners_are_given_is_not_what_is_read() -> None:
    made = scan_of(checks(2, 8, (3.0, 3.0)), (24, 6), ["#1f7f86", "#f4efe0"], Faults(), 120.0, 2)
    said: list[str] = []
    read = measure_scan(PictureData("scan.png", made.data), ScanRequest(corners=tuple(made.card)), said.append)
    assert read.fits[0].kind == "checks"
    assert read.fits[0].value("cell width") == pytest.approx(3.0, abs=0.02)
    assert said[0] == "reading the picture" and {"trying checks", "trying stripes"} <= set(said)


def test_what_is_raised_at_a_stage_ends_the_reading(whole: bytes) -> None:
    class Enough(Exception):
        pass

    def stop(stage: str) -> None:
        if stage == "looking for edges":
            raise Enough

    with pytest.raises(Enough):
        measure_scan(PictureData("scan.png", whole), ScanRequest(card="card"), stop)


def test_a_part_beside_the_picture(whole: bytes) -> None:
    with pytest.raises(DecalgenError, match="the part lies beside the picture") as told:
        measure_scan(PictureData("scan.png", whole), ScanRequest(dpi=(120.0, 120.0), part=(5000, 0, 6000, 500)))
    assert "--part" in told.value.fix


def test_how_the_picture_is_kept_makes_no_difference(whole: bytes) -> None:
    image = Image.open(io.BytesIO(whole)).convert("RGB")
    read = measure_scan(PictureData("a.png", whole), ScanRequest(card="card")).fits[0]
    # On its side with a note that says so (EXIF 2.32, orientation 6: turn clockwise to see it upright).
    exif = Image.Exif()
    exif[0x0112] = 6
    on_its_side = file_of(image.transpose(Image.Transpose.ROTATE_90), "TIFF", exif=exif)
    turned = measure_scan(PictureData("a.tif", on_its_side), ScanRequest(card="card")).fits[0]
    assert turned.value("cell width") == pytest.approx(read.value("cell width"), abs=1e-6)
    assert (turned.value("columns"), turned.value("rows")) == (8, 2)
    # Grey, in 16 bits.
    grey = np.asarray(image.convert("L")).astype(np.uint16) * 257
    deep = measure_scan(PictureData("a.png", file_of(Image.fromarray(grey))), ScanRequest(card="card")).fits[0]
    assert deep.value("cell width") == pytest.approx(3.0, abs=0.02) and deep.value("columns") == 8


def test_the_resolution_goes_with_the_picture_as_it_is_seen() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    side = file_of(Image.new("RGB", (90, 60)), "TIFF", exif=exif, dpi=(300, 600))
    assert resolution_of(PictureData("a.tif", side)) == pytest.approx((600.0, 300.0))
    assert resolution_of(PictureData("a.png", file_of(Image.new("RGB", (90, 60))))) is None
