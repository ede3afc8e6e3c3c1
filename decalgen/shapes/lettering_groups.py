"""The groups of keys of a lettering: what was measured, its arc, and its outline, inline and shadow."""

from __future__ import annotations

from typing import Annotated

from decalgen.core import keys
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass


@dataclass(frozen=True)
class Match:
    """What was read off an original; what is left out, or still to be taken, stays as the face has it."""

    cap_height: Annotated[Quantity | None, keys.Taken("height of a capital H", example="5.00 mm ± 0.05")]
    length: Annotated[Quantity | None, keys.Taken("from the first ink to the last", example="7.6 mm ± 0.1")] = None
    stem: Annotated[Quantity | None, keys.Taken("thickness of an upright stroke", example="0.95 mm ± 0.05")] = None
    crossbar: Annotated[Quantity | None, keys.Taken("thickness of a horizontal stroke", example="0.80 mm ± 0.05")] = (
        None
    )
    slant: Annotated[float | None, keys.Angle("lean to the right of the upright", -45.0, 45.0, example="12°")] = None
    letters: Annotated[
        tuple[tuple[float, float], ...] | None,
        keys.Many(
            "left edge and width of each letter, spaces left out",
            of=keys.Two(of=keys.Length()),
            example=(("0 mm", "3.6 mm"), ("4.2 mm", "3.4 mm")),
        ),
    ] = None


@dataclass(frozen=True)
class Arc:
    """A circle the baseline runs along; the extent is round its centre."""

    radius: Annotated[float, keys.Size("radius of the baseline", example="8 mm")]
    side: Annotated[str, keys.Choice("side of the baseline the letters are on", ("outside", "inside"))] = "outside"


@dataclass(frozen=True)
class Rim:
    """A band round the letters."""

    width: Annotated[float, keys.Size("width of the band", most=50.0, example="0.3 mm")]
    ink: Annotated[str, keys.InkName("its ink", example="white")]
    gap: Annotated[float, keys.Length("bare space between the letters and the band", 0.0, 50.0, example="0.3 mm")] = 0.0


@dataclass(frozen=True)
class Inline:
    """A band inside the letters."""

    width: Annotated[float, keys.Size("width of the band", most=50.0, example="0.4 mm")]
    inset: Annotated[float, keys.Size("from the edge of the letters to the band", most=50.0, example="0.3 mm")]
    ink: Annotated[str, keys.InkName("its ink", example="white")]


@dataclass(frozen=True)
class Shadow:
    """A shadow beside the letters."""

    dx: Annotated[float, keys.Length("how far to the right", -50.0, 50.0, example="0.3 mm")]
    dy: Annotated[float, keys.Length("how far up", -50.0, 50.0, example="-0.3 mm")]
    ink: Annotated[str, keys.InkName("its ink", example="white")]
    kind: Annotated[str, keys.Choice("solid: as of thick letters; cast: thrown on the ground", ("solid", "cast"))] = (
        "solid"
    )
