"""How block letters can be built, and the block alphabets as faces. Importing this draws nothing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from decalgen.core.values import dataclass
from decalgen.lettering.proportions import PROPORTIONS, Proportions
from decalgen.lettering.typeface import Axis, Face, LetteringError

Corner = Literal["square", "chamfer", "round"]

# Letters without a counter, and signs of two strokes, stay readable when at least so many strokes wide.
LEAST_WIDTHS = {**dict.fromkeys("EFLTZJftrjz7()[]4", 2.0), **dict.fromkeys('"\u201c\u201d', 2.7), "\u00b0": 2.0}


@dataclass(frozen=True)
class BlockStyle:
    """How block letters are built; lengths in mm, ``slant`` in degrees from the vertical, to the right positive.

    What is None follows the proportions: ``width`` (of an H; other letters in proportion), ``stroke``, ``gap`` between
    letters, ``word_gap``. ``corner_size`` is the outer radius, or the legs of a chamfer (default: by the
    width of the letters). ``ends`` round is a pen's line; then unmarked bends are round too.
    """

    height: float
    width: float | None = None
    stroke: float | None = None
    corner: Corner = "chamfer"
    corner_size: float | None = None
    slant: float = 0.0
    ends: Literal["square", "round"] = "square"
    gap: float | None = None
    word_gap: float | None = None
    proportions: str = "block"
    thin_slants: bool = True

    def __post_init__(self) -> None:
        if self.proportions not in PROPORTIONS:
            from decalgen.core.errors import did_you_mean

            raise LetteringError(
                f"there are no proportions called '{self.proportions}'",
                did_you_mean(self.proportions, list(PROPORTIONS)),
            )
        if not (math.isfinite(self.height) and 0.01 <= self.height <= 2000):
            raise LetteringError(f"a letter height of {self.height:g} mm is out of range", "use 0.01 to 2000 mm")
        for name in ("width", "stroke", "corner_size", "gap", "word_gap"):
            value = getattr(self, name)
            least = 0.0 if name in ("corner_size", "gap", "word_gap") else 1e-4
            if value is not None and not (math.isfinite(value) and least <= value <= 100 * self.height):
                raise LetteringError(f"a {name.replace('_', ' ')} of {value:g} mm is out of range", "use less, in mm")
        if not (math.isfinite(self.slant) and abs(self.slant) <= 45):
            raise LetteringError(f"a slant of {self.slant:g} degrees is out of range for lettering", "use -45 to 45")
        if self.pen > 0.3 * self.height:
            raise LetteringError(
                f"a stroke of {self.pen:.3g} mm closes letters {self.height:.3g} mm high",
                f"use {0.3 * self.height:.3g} mm at most",
            )

    @property
    def measures(self) -> Proportions:
        return PROPORTIONS[self.proportions]

    @property
    def pen(self) -> float:
        """The stroke, mm."""
        return self.stroke if self.stroke is not None else self.measures.stroke * self.height

    def letter_width(self, letter: str) -> float:
        """The width of a letter, mm."""
        share = self.measures.width_of(letter)
        if share is None:
            return self.pen
        wide = share * self.height if self.width is None else self.width * share / self.measures.width
        return max(wide, LEAST_WIDTHS.get(letter, 0.0) * self.pen)

    @property
    def bend(self) -> float:
        """The size of a bend: outer radius or legs of the chamfer, mm."""
        if self.corner == "square":
            return 0.0
        if self.corner_size is not None:
            return self.corner_size
        return (0.42 if self.corner == "round" else 0.3) * self.letter_width("H")

    @property
    def space(self) -> float:
        """The gap between letters, mm."""
        return self.gap if self.gap is not None else self.measures.gap * self.height

    @property
    def word_space(self) -> float:
        """The gap between words, mm."""
        return self.word_gap if self.word_gap is not None else self.measures.word_gap * self.height


def block_style(face: Face, cap_height: float, axes: Mapping[str, float], tracking: float = 0.0) -> BlockStyle:
    """The style a block face stands for, its axes (shares of the cap height, ``slant`` in degrees) applied."""
    base = _FACES[face.name]
    own = BlockStyle(cap_height, proportions=base.proportions)
    found = {tag: value for tag, value in axes.items() if value >= 0 or tag == "slant"}
    return replace(
        base,
        height=cap_height,
        width=found["width"] * cap_height if "width" in found else None,
        stroke=found["stroke"] * cap_height if "stroke" in found else None,
        corner_size=found["corner"] * cap_height if "corner" in found else None,
        slant=found.get("slant", 0.0),
        gap=max(0.0, found["gap"] * cap_height if "gap" in found else own.space) + tracking,
        word_gap=own.word_space + 2 * tracking,
    )


def _face(name: str, suits: str, style: BlockStyle) -> Face:
    measures = style.measures
    axes = (
        Axis("width", 0.2, round(measures.width, 4), 1.5),
        Axis("stroke", 0.03, round(measures.stroke, 4), 0.3),
        Axis("corner", 0.0, round(style.bend / style.height, 4), 0.75),
        Axis("gap", 0.0, round(measures.gap, 4), 1.0),
        Axis("slant", -30.0, 0.0, 30.0),
    )
    return Face(name, "", "block", suits, "MIT", "", "", (), "", "", axes)


_FACES: dict[str, BlockStyle] = {
    "Block": BlockStyle(1.0),
    "Block Round": BlockStyle(1.0, corner="round"),
    "Block Square": BlockStyle(1.0, corner="square"),
    "Block Two Thirds": BlockStyle(1.0, proportions="two thirds"),
    "Block Plate": BlockStyle(1.0, corner="round", proportions="plate"),
    "Block Seventh": BlockStyle(1.0, corner="round", proportions="seventh"),
    "Block Drawing": BlockStyle(1.0, corner="round", ends="round", proportions="drawing b"),
    "Block Drawing Fine": BlockStyle(1.0, corner="round", ends="round", proportions="drawing a"),
}
_SUITS = {
    "Block": "race numbers and names with cut corners; axes are in cap heights, slant in degrees",
    "Block Round": "numbers and names with round corners: pedal cars, tractors, club racers",
    "Block Square": "numbers and names with square corners: crates, wagons, machines",
    "Block Two Thirds": "aircraft marks of 14 CFR 45.29: two thirds as wide as high, stroke a sixth",
    "Block Plate": "number plates of 79 x 50 mm with a stroke of 14 mm",
    "Block Seventh": "strokes of a seventh of the height: road and railway signs, council vehicles",
    "Block Drawing": "pen lettering of ISO 3098-1:2015 type B, strokes of a tenth: data plates, blueprints",
    "Block Drawing Fine": "pen lettering of ISO 3098-1:2015 type A, strokes of a fourteenth: instrument panels, maps",
}


@lru_cache(maxsize=1)
def block_faces() -> tuple[Face, ...]:
    """The block alphabets under the names a job uses."""
    return tuple(_face(name, _SUITS[name], style) for name, style in _FACES.items())
