"""The groups of keys of a lettering: what was measured, its arc, and its outline, inline and shadow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from decalgen.core import keys as mark
from decalgen.core.lengths import Quantity


@dataclass(frozen=True)
class Match:
    """What was read off an original; what is left out stays as the face has it."""

    cap_height: Annotated[Quantity, mark.Measure("height of a capital H")]
    length: Annotated[Quantity | None, mark.Measure("from the first ink to the last")] = None
    stem: Annotated[Quantity | None, mark.Measure("thickness of an upright stroke")] = None
    crossbar: Annotated[Quantity | None, mark.Measure("thickness of a level stroke")] = None
    slant: Annotated[float | None, mark.Angle("lean to the right of the upright", -45.0, 45.0)] = None
    letters: Annotated[
        tuple[tuple[float, float], ...] | None,
        mark.Many("left edge and width of each letter, spaces left out", of=mark.Pair(of=mark.Length())),
    ] = None


@dataclass(frozen=True)
class Arc:
    """A circle the baseline runs along; the extent is round its centre."""

    radius: Annotated[float, mark.Size("radius of the baseline")]
    side: Annotated[str, mark.Choice("where letters stand", ("outside", "inside"))] = "outside"


@dataclass(frozen=True)
class Rim:
    """A band round the letters."""

    width: Annotated[float, mark.Size("width of the band", most=50.0)]
    ink: Annotated[str, mark.Ink("its ink")]
    gap: Annotated[float, mark.Length("off the letters", 0.0, 50.0)] = 0.0


@dataclass(frozen=True)
class Inline:
    """A band inside the letters."""

    width: Annotated[float, mark.Size("width of the band", most=50.0)]
    inset: Annotated[float, mark.Size("from the letters' edge", most=50.0)]
    ink: Annotated[str, mark.Ink("its ink")]


@dataclass(frozen=True)
class Shadow:
    """A shadow beside the letters."""

    dx: Annotated[float, mark.Length("how far to the right", -50.0, 50.0)]
    dy: Annotated[float, mark.Length("how far up", -50.0, 50.0)]
    ink: Annotated[str, mark.Ink("its ink")]
    kind: Annotated[str, mark.Choice("solid as of thick letters, or cast", ("solid", "cast"))] = "solid"
