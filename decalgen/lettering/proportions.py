"""Proportions of block letters, in letter heights, as open standards give them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from types import MappingProxyType

from decalgen.core.values import dataclass


@dataclass(frozen=True)
class Proportions:
    """Shares of the letter height. ``width`` is an H's; ``widths`` those that differ, None for a lone stem."""

    about: str
    stroke: float
    width: float
    gap: float
    word_gap: float
    widths: Mapping[str, float | None] = field(default_factory=lambda: MappingProxyType({}))
    small: float = 0.86

    def width_of(self, letter: str) -> float | None:
        """A letter's width; None: as wide as its stroke."""
        if letter in self.widths:
            return self.widths[letter]
        if letter in _LONE:
            return None
        share = _SHARES.get(letter, self.small if letter.islower() else 1.0)
        return share * self.width


_LONE = frozenset("Iil\u0131.,:;!'|\u2019\u2018\u00b7\u0142")

# What stands against an H's width where no standard says: wide letters, narrow ones, signs.
_SHARES: dict[str, float] = {
    "M": 1.25, "W": 1.4, "\u00c6": 1.6, "\u0152": 1.5, "\u1e9e": 1.0, "m": 1.35, "w": 1.25, "\u00e6": 1.4,
    "\u0153": 1.4, "f": 0.62, "t": 0.62, "j": 0.55, "r": 0.62, "(": 0.5, ")": 0.5, "[": 0.45, "]": 0.45,
    "-": 0.6, "\u2013": 0.9, "\u2014": 1.3, "/": 0.7, '"': 0.55, "\u201c": 0.55, "\u201d": 0.55, "\u00b0": 0.6,
    "&": 1.1, "\u00d7": 0.8,
}  # fmt: skip


def _drawing_widths() -> dict[str, float | None]:
    # ISO 3098-1:2015 type A, in fourteenths of the height, strokes included.
    rows = {1: "I", 5: "JL", 6: "CEF", 7: "BDGHKNOPRSTUZ", 8: "AQVXY", 9: "M", 12: "W"}
    return {letter: None if n == 1 else n / 14 for n, letters in rows.items() for letter in letters}


def _plate(height: float, width: float, stroke: float, gap: float, group: float, about: str) -> Proportions:
    return Proportions(
        about,
        stroke / height,
        width / height,
        gap / height,
        group / height,
        # Every character is as wide as the others, but for I and 1.
        {"I": None, "1": None, "M": width / height, "W": width / height},
    )


PROPORTIONS: Mapping[str, Proportions] = MappingProxyType(
    {
        "block": Proportions("our own: race numbers and names", 0.18, 0.62, 0.15, 0.5, {"1": None}),
        "two thirds": Proportions(
            "14 CFR 45.29: width 2/3, stroke 1/6, M and W as wide as high, a 1 as wide as its stroke",
            1 / 6,
            2 / 3,
            1 / 6,
            2 / 3,
            {"I": 2 / 3, "1": None, "M": 1.0, "W": 1.0},
        ),
        "plate": _plate(79, 50, 14, 11, 33, "79 x 50 x 14 mm, gap 11, groups 33 (UK, since 2001)"),
        "plate motorcycle": _plate(64, 44, 10, 10, 30, "64 x 44 x 10 mm, gap 10, groups 30 (UK, since 2001)"),
        "plate wide": _plate(89, 64, 16, 13, 38, "89 x 64 x 16 mm, gap 13, groups 38 (UK, before 2001)"),
        "drawing a": Proportions(
            "ISO 3098-1:2015 type A: stroke 1/14", 1 / 14, 7 / 14, 2 / 14, 6 / 14, _drawing_widths() | {"1": 4 / 14}
        ),
        "drawing b": Proportions(
            "ISO 3098-1:2015 type B: stroke 1/10, gap 2/10, words 6/10", 1 / 10, 6 / 10, 2 / 10, 6 / 10
        ),
        "seventh": Proportions("stroke 1/7: road and railway signs", 1 / 7, 0.55, 0.14, 0.45, {"1": None}),
    }
)
