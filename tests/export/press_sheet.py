"""An invented sheet as a press file, for the tests of such files."""

from __future__ import annotations

from decalgen.core.document import Contour, Document, Fill, Layer, Line, Page, Symbol, Use
from decalgen.core.geometry import rectangle, rounded, translation
from decalgen.export.press import render
from tests.export.documents import NAVY, ORANGE

# What an output profile of four inks has at least, and how each tag's data begins (ICC.1:2010, 8.5.2 and 10).
TAG_TYPES = {
    b"desc": b"desc",
    b"cprt": b"text",
    b"wtpt": b"XYZ ",
    **dict.fromkeys((b"A2B0", b"A2B1", b"A2B2", b"B2A0", b"B2A1", b"B2A2", b"gamt"), b"mft2"),
}


def profile(kind: bytes = b"prtr", space: bytes = b"CMYK", without: tuple[bytes, ...] = ()) -> bytes:
    """The header of an ICC profile (ICC.1:2010, 7.2) and a table of tags that hold nothing: enough to be told apart,
    no more.
    """
    header = bytearray(128)
    header[8:12] = b"\x02\x40\0\0"
    header[12:16], header[16:20], header[20:24] = kind, space, b"Lab "
    header[36:40] = b"acsp"
    tags = {name: made + bytes(12) for name, made in TAG_TYPES.items() if name not in without}
    start = 132 + 12 * len(tags)
    rows = [name + (start + 16 * n).to_bytes(4, "big") + (16).to_bytes(4, "big") for n, name in enumerate(tags)]
    header[0:4] = (start + 16 * len(tags)).to_bytes(4, "big")
    return bytes(header) + len(tags).to_bytes(4, "big") + b"".join(rows) + b"".join(tags.values())


def convert(colour: str) -> tuple[float, float, float, float]:
    """The simplest conversion there is; which colours come out is not what is tested here."""
    r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    black = 1 - max(r, g, b)
    if black == 1:
        return (0, 0, 0, 1)
    return (
        (1 - r - black) / (1 - black),
        (1 - g - black) / (1 - black),
        (1 - b - black) / (1 - black),
        black,
    )


BAND = Symbol(
    "band",
    (
        Fill(rectangle(0, 0, 20, 5), ORANGE),
        Fill(rectangle(2, 1, 10, 4), NAVY),
        Line(((0, 6), (20, 6)), 0.2, NAVY),
    ),
)


def job() -> Document:
    """A sheet with everything a press file can have; white stands last here and must come first in the file."""
    layers = (
        Layer(
            "Door bands",
            (
                Use(BAND, translation(20, 20)),
                Use(BAND, translation(20, 30)),
                Fill(rectangle(60, 20, 80, 40), NAVY),
            ),
            "artwork",
        ),
        Layer(
            "Cut",
            tuple(
                Contour(rounded(width, height, (soft,) * 4, x, y), 0.1, "#ff00ff")
                # White's square corners lie a bleed beyond square corners, and farther beyond soft ones.
                for width, height, soft, x, y in ((24, 20, 1, 18, 18), (28, 28, 0, 56, 16))
            ),
            "cutting",
        ),
        Layer("Bleed", (Contour(rounded(25, 21, (1, 1, 1, 1), 17.5, 17.5), 0.1, "#00ff00"),), "bleed"),
        Layer("Dimensions", (Line(((20, 10), (40, 10)), 0.13, "#22262b"),), "paperwork"),
        Layer("Key", (Fill(rectangle(5, 90, 30, 93), "#22262b"),), "paperwork"),
        Layer(
            "Marks",
            (Line(((16, 50), (22, 50)), 0.1, "#000000"), Line(((19, 47), (19, 53)), 0.1, "#000000")),
            "marks",
        ),
        Layer("Crop marks", (Line(((4, 15), (10, 15)), 0.1, "#000000"),), "marks"),
        Layer(
            "White",
            (Fill(rectangle(20.1, 20.1, 39.9, 24.9), "#ffffff"), Fill(rectangle(55, 15, 85, 45), "#ffffff")),
            "white",
        ),
    )
    page = Page(100, 100, layers, trim=(15, 15, 90, 80), bleed=(14, 14, 91, 81))
    return Document((page,), "Poste d'\u00e9t\u00e9 & co", date="2026-05-14", scale=(1.0031, 0.9984))


def press(document: Document | None = None, **options: object) -> bytes:
    settings: dict[str, object] = {
        "convert": convert,
        "profile": profile(),
        "condition": "Test sheet, coated",
    }
    return render(document or job(), **{**settings, **options})  # type: ignore[arg-type]
