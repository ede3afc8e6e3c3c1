"""The block alphabet as data: each letter's strokes on a grid of columns and levels.

``STROKES`` are level and upright: ``0t 0b 2b`` runs through points, each a column and a level. A ``*``
marks a bend that takes the chosen corner; ``o`` first closes the stroke. Columns run from 0 (middle of the
left stem) to 2 (middle of the right one); a ``+`` after one keeps clear of the left stem. Levels, on the
middle of the strokes: t cap line, b baseline, m half cap height, u and l the ends of an open bowl, x the
height of small letters, n half of it, d the line tails hang to, k the bar of a 4, p that of an A.

``SLANTS`` are slanting strokes from one end to the other. An end is (share of the width, share of the
stroke that lies left of there, stems added, height as a share of the cap height): (0, 0, 0, 0) is flush
left on the baseline, (1, 1, 0, 1) flush right under the cap line. They are cut level at both ends.

``DOTS`` are square dots: column, level.
"""

from __future__ import annotations

End = tuple[float, float, float, float]

SMALL = 0.7
"""Height of small letters, in cap heights (ISO 3098-1:2015: 7/10)."""

TAIL = 0.3
"""How far tails hang, in cap heights (ISO 3098-1:2015: 3/10)."""

STROKES: dict[str, str] = {
    "A": "0.45p 1.55p",
    "B": "0b 0t 2t* 2m* 0m, 0m 2m* 2b* 0b",
    "C": "2u 2t* 0t* 0b* 2b* 2l",
    "D": "o 0b 0t 2t* 2b*",
    "E": "2t 0t 0b 2b, 0m 1.6m",
    "F": "2t 0t 0b, 0m 1.6m",
    "G": "2u 2t* 0t* 0b* 2b* 2m 1.1+m",
    "H": "0b 0t, 2b 2t, 0m 2m",
    "J": "2t 2b* 0b* 0l",
    "K": "0b 0t",
    "L": "0t 0b 2b",
    "M": "0b 0t, 2b 2t",
    "N": "0b 0t, 2b 2t",
    "O": "o 0b* 0t* 2t* 2b*",
    "P": "0b 0t 2t* 2m* 0m",
    "Q": "o 0b* 0t* 2t* 2b*",
    "R": "0b 0t 2t* 2m* 0m",
    "S": "2u 2t* 0t* 0m* 2m* 2b* 0b* 0l",
    "T": "0t 2t, 1b 1t",
    "U": "0t 0b* 2b* 2t",
    "V": "", "W": "", "X": "",
    "Y": "1b 1n",
    "Z": "0t 2t, 0b 2b",
    "\u00c6": "2t 1t 1b 2b, 1m 1.7m, 0.5p 1p",
    "\u00d0": "o 0b 0t 2t* 2b*, -0.25m 0.8m",
    "\u00d8": "o 0b* 0t* 2t* 2b*",
    "\u0141": "0t 0b 2b",
    "\u0152": "1t 0t* 0b* 1b, 2t 1t 1b 2b, 1m 1.7m",
    "\u1e9e": "0b 0t* 2t* 2m* 1m, 1m 2m* 2b* 1b",
    "0": "o 0b* 0t* 2t* 2b*",
    "2": "0u 0t* 2t* 2m* 0m* 0b 2b",
    "3": "0u 0t* 2t* 2m* 0.8m, 0.8m 2m* 2b* 0b* 0l",
    "4": "0k 2k, 1.5b 1.5t",
    "5": "2t 0t 0m 2m* 2b* 0b* 0l",
    "6": "2u 2t* 0t* 0b* 2b* 2m* 0m",
    "7": "0t 2t",
    "8": "o 0m* 0t* 2t* 2m*, o 0b* 0m* 2m* 2b*",
    "9": "0l 0b* 2b* 2t* 0t* 0m* 2m",
    "a": "2x 2b, 2x 0x* 0b* 2b",
    "b": "0t 0b, 0b 2b* 2x* 0x",
    "c": "2i 2x* 0x* 0b* 2b* 2j",
    "d": "2t 2b, 2b 0b* 0x* 2x",
    "e": "0n 2n 2x* 0x* 0b* 2b",
    "f": "0.6b 0.6t* 2t, 0x 2x",
    "g": "2x 2d* 0d, 2x 0x* 0b* 2b",
    "h": "0b 0t, 0x 2x* 2b",
    "i": "1b 1x",
    "\u0131": "1b 1x",
    "j": "2x 2d* 0d",
    "k": "0b 0t",
    "l": "1b 1t",
    "m": "0b 0x 2x* 2b, 1b 1x",
    "n": "0b 0x 2x* 2b",
    "o": "o 0b* 0x* 2x* 2b*",
    "p": "0d 0x, 0x 2x* 2b* 0b",
    "q": "2d 2x, 2x 0x* 0b* 2b",
    "r": "0b 0x 2x",
    "s": "2x 0x* 0n* 2n* 2b* 0b",
    "t": "0.6t 0.6b* 2b, 0x 2x",
    "u": "0x 0b* 2b, 2b 2x",
    "v": "", "w": "", "x": "",
    "y": "0x 0b* 2b, 2x 2d* 0d",
    "z": "0x 2x, 0b 2b",
    "\u00df": "0b 0t* 2t* 2m* 1m, 1m 2m* 2b* 1b",
    "\u00e6": "0x 1x 1b, 1n 0n* 0b* 1b, 1n 2n 2x* 1x, 1b 2b",
    "\u00f8": "o 0b* 0x* 2x* 2b*",
    "\u0142": "1b 1t",
    "\u0153": "o 0b* 0x* 1x 1b, 1n 2n 2x* 1x, 1b 2b",
    "!": "1v 1t", "?": "0u 0t* 2t* 2m* 1m 1v", ".": "", ",": "", ":": "", ";": "", "\u00b7": "",
    "'": "1w 1t", "\u2019": "1w 1t", "\u2018": "1w 1t", '"': "0w 0t, 2w 2t", "\u201c": "0w 0t, 2w 2t",
    "\u201d": "0w 0t, 2w 2t", "-": "0m 2m", "\u2013": "0m 2m", "\u2014": "0m 2m", "_": "0b 2b",
    "+": "0m 2m, 1g 1f", "=": "0f' 2f', 0g' 2g'", "/": "", "(": "2t 0t* 0b* 2b", ")": "0t 2t* 2b* 0b",
    "[": "2t 0t 0b 2b", "]": "0t 2t 2b 0b", "|": "1b 1t", "\u00b0": "",
    "&": "1.5u 1.5t* 0t* 0m* 1m, 1m 0m* 0b* 1.5b* 1.5m, 1m 2m", "#": "0b 0t, 2b 2t, -0.5f' 2.5f', -0.5g' 2.5g'",
    "\u00d7": "",
}  # fmt: skip

_LOW = SMALL
SLANTS: dict[str, tuple[tuple[End, End], ...]] = {
    "A": (((0, 0, 0, 0), (0.5, 0.5, 0, 1)), ((1, 1, 0, 0), (0.5, 0.5, 0, 1))),
    "K": (((0, 0.5, 1, 0.34), (1, 1, 0, 1)), ((1, 1, 0, 0), (0.424, 0.712, 0.576, 0.62))),
    "M": (((0.5, 0.5, 0, 0.22), (0, 0, 0, 1)), ((0.5, 0.5, 0, 0.22), (1, 1, 0, 1))),
    "N": (((1, 1, 0, 0), (0, 0, 0, 1)),),
    "Q": (((1, 1, 0, 0), (0.62, 0.5, 0, 0.34)),),
    "R": (((1, 1, 0, 0), (0.52, 0.5, 0, 0.5)),),
    "V": (((0.5, 0.5, 0, 0), (0, 0, 0, 1)), ((0.5, 0.5, 0, 0), (1, 1, 0, 1))),
    "W": (
        ((0.25, 0.25, 0, 0), (0, 0, 0, 1)),
        ((0.25, 0.25, 0, 0), (0.5, 0.5, 0, 1)),
        ((0.75, 0.75, 0, 0), (0.5, 0.5, 0, 1)),
        ((0.75, 0.75, 0, 0), (1, 1, 0, 1)),
    ),
    "X": (((0, 0, 0, 0), (1, 1, 0, 1)), ((1, 1, 0, 0), (0, 0, 0, 1))),
    "Y": (((0.5, 0.5, 0, 0.38), (0, 0, 0, 1)), ((0.5, 0.5, 0, 0.38), (1, 1, 0, 1))),
    "Z": (((0, 0, 0, 0), (1, 1, 0, 1)),),
    "\u00c6": (((0, 0, 0, 0), (0.5, 0.5, 0, 1)),),
    "\u00d8": (((0, 0, 0, 0), (1, 1, 0, 1)),),
    "\u0141": (((0, 0.5, -0.4, 0.34), (0, 0.5, 1.9, 0.64)),),
    "4": (((0, 0, 0, 0.27), (0.75, 1, 0.25, 1)),),
    "7": (((0.16, 0, 0, 0), (1, 1, 0, 1)),),
    "k": (((0, 0.5, 1, 0.22), (1, 1, 0, _LOW)), ((1, 1, 0, 0), (0.424, 0.712, 0.576, 0.424))),
    "v": (((0.5, 0.5, 0, 0), (0, 0, 0, _LOW)), ((0.5, 0.5, 0, 0), (1, 1, 0, _LOW))),
    "w": (
        ((0.25, 0.25, 0, 0), (0, 0, 0, _LOW)),
        ((0.25, 0.25, 0, 0), (0.5, 0.5, 0, _LOW)),
        ((0.75, 0.75, 0, 0), (0.5, 0.5, 0, _LOW)),
        ((0.75, 0.75, 0, 0), (1, 1, 0, _LOW)),
    ),
    "x": (((0, 0, 0, 0), (1, 1, 0, _LOW)), ((1, 1, 0, 0), (0, 0, 0, _LOW))),
    "z": (((0, 0, 0, 0), (1, 1, 0, _LOW)),),
    "\u00f8": (((0, 0, 0, 0), (1, 1, 0, _LOW)),),
    "\u0142": (((0, 0.5, -0.55, 0.34), (0, 0.5, 1.55, 0.64)),),
    "/": (((0, 0, 0, 0), (1, 1, 0, 1)),),
    "\u00d7": (((0, 0, 0, 0.25), (1, 1, 0, 0.75)), ((1, 1, 0, 0.25), (0, 0, 0, 0.75))),
}

DOTS: dict[str, tuple[tuple[float, str], ...]] = {
    ".": ((1, "b"),), ",": ((1, "b"),), ":": ((1, "b"), (1, "x")), ";": ((1, "b"), (1, "x")), "!": ((1, "b"),),
    "?": ((1, "b"),), "i": ((1, "t"),), "j": ((2, "t"),), "\u00b7": ((1, "m"),),
}  # fmt: skip

TAILED = ",;"
"""Dots that hang a tail."""

WIDE_BARS = {"I": "0t 2t, 0b 2b, 1b 1t", "1": "0b 2b, 1b 1t, 0.2t 1t"}
"""An I or a 1 that is wider than its stroke has bars."""

STEM_ONLY = {"I": "1b 1t", "1": "1b 1t"}
