"""Lettering: one or several lines in a shipped face, placed by its capitals."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, ClassVar

from decalgen import fields as mark
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from collections.abc import Callable

    from decalgen.lettering.text import Block

TIGHTEST, LOOSEST = 0.3, 3.0
"""Letters set closer or wider than this, in cap heights, are a slip."""


@shape
@dataclass(frozen=True)
class Lettering:
    """Lettering in one of the shipped faces, one line or several.

    Its size is the cap height, and its place is that of the capitals, from the first cap line to the last baseline;
    accents rise above and tails hang below. In the other hand it keeps its reading.

    Raises `decalgen.lettering.faces.LetteringError` for text that cannot be set.
    """

    name: ClassVar[str] = "lettering"
    about: ClassVar[str] = "lettering in one of the shipped faces, by cap height"
    reads: ClassVar[bool] = True
    example: ClassVar[dict[str, object]] = {
        "text": ("HARBOUR", "RESCUE"),
        "ink": "navy",
        "face": "Archivo",
        "cap_height": 2.4,
        "line_pitch": 4.0,
    }
    example_box: ClassVar[Box] = Box(24.0, 9.0)

    text: Annotated[tuple[str, ...], mark.Lines("the text; a list gives several lines")]
    ink: Annotated[str, mark.Ink("its ink")]
    cap_height: Annotated[float, mark.Size("height of a capital H", most=200.0)]
    face: Annotated[str, mark.Face("its face; `decalgen fonts` shows them")] = "Archivo"
    tracking: Annotated[float, mark.Length("added between letters", -50.0, 50.0)] = 0.0
    align: Annotated[str, mark.Choice("of several lines", ("left", "centre", "right"))] = "centre"
    width: Annotated[
        float | None, mark.Size("width of the longest line, reached by spacing the letters, instead of a tracking")
    ] = None
    axes: Annotated[
        tuple[str, ...], mark.Lines("settings of an adjustable face, such as wght 700; `decalgen fonts` lists them")
    ] = ()
    line_pitch: Annotated[float | None, mark.Size("from baseline to baseline; left out: 1.6 cap heights")] = None

    def __post_init__(self) -> None:
        _axes(self.axes)
        if self.width is not None and self.tracking:
            raise ShapeError("the lettering has both a width and a tracking", "give only one of them")

    @property
    def block(self) -> Block:
        """The lettering set; its ``missing`` and ``borrowed`` say what the face lacks."""
        return _set(self)

    def extent(self, box: Box) -> Box:
        """From the first ink to the last, from the first cap line to the last baseline."""
        return Box(self.block.width, self.block.height)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area; tails hang below the extent, accents rise above it. Lettering never runs on."""
        return (Inked(self.ink, self.block.region, lettering=True),)


@lru_cache(maxsize=256)
def _set(lettering: Lettering) -> Block:
    from decalgen.lettering.text import text_block

    def spaced(tracking: float) -> Block:
        return text_block(
            lettering.text,
            face=lettering.face,
            cap_height=lettering.cap_height,
            line_pitch=lettering.line_pitch,
            align=lettering.align,  # type: ignore[arg-type]
            tracking=tracking,
            axes=_axes(lettering.axes),
        )

    return spaced(lettering.tracking if lettering.width is None else _tracking(lettering, spaced))


def _tracking(lettering: Lettering, spaced: Callable[[float], Block]) -> float:
    """The tracking at which the longest line is as wide as asked. Raises `ShapeError`."""
    assert lettering.width is not None
    # A line's width grows in proportion to the tracking; two settings tell how fast. Neither may be 0, which would
    # set ligatures.
    step = 0.1 * lettering.cap_height
    near, far = spaced(step).lines, spaced(2 * step).lines
    wanted = [
        step + (lettering.width - a.width) * step / (b.width - a.width)
        for a, b in zip(near, far, strict=True)
        if b.width > a.width
    ]
    if not wanted:
        raise ShapeError("a single letter cannot be spaced to a width", "leave out `width`")
    tracking = min(wanted)
    if not -TIGHTEST * lettering.cap_height <= tracking <= LOOSEST * lettering.cap_height:
        natural = max(2 * a.width - b.width for a, b in zip(near, far, strict=True))
        raise ShapeError(
            f"this lettering cannot be spaced to {lettering.width:g} mm; unspaced it is about {natural:.2f} mm wide",
            "choose another width, cap height or face",
        )
    return tracking


def _axes(settings: tuple[str, ...]) -> dict[str, float]:
    """``wght 700`` as a name and a number. Raises `ShapeError`."""
    found: dict[str, float] = {}
    for setting in settings:
        name, _, value = setting.strip().rpartition(" ")
        try:
            found[name.strip()] = float(value)
        except ValueError:
            name = ""
        if not name:
            raise ShapeError(f"'{setting}' is no setting of a face", "write a name and a number, such as wght 700")
    return found
