"""A small picture for the documentation, made here: a shaded boss with a soft edge, as a PNG file."""

from __future__ import annotations

import struct
import zlib

SIDE = 48


def example_png() -> bytes:
    """The bytes of the file (PNG 3rd edition, 5.3 and 11.2): 8 bits, red, green, blue and alpha."""
    rows = b"".join(b"\0" + bytes(value for x in range(SIDE) for value in _pixel(x, y)) for y in range(SIDE))
    head = struct.pack(">IIBBBBB", SIDE, SIDE, 8, 6, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in parts
    )


def _pixel(x: int, y: int) -> tuple[int, int, int, int]:
    across, down = (x + 0.5) / SIDE - 0.5, (y + 0.5) / SIDE - 0.5
    off = (across * across + down * down) ** 0.5 * SIDE
    cover = min(max(SIDE * 0.46 - off + 0.5, 0.0), 1.0)
    light = min(max(0.75 - across - down, 0.0), 1.0) * (0.6 if SIDE * 0.34 < off < SIDE * 0.4 else 1.0)
    return (round(70 + 170 * light), round(60 + 130 * light), round(30 + 60 * light), round(255 * cover))
