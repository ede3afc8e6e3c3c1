"""Lettering: one or several lines in a shipped face, placed by its capitals."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, ClassVar

from decalgen import fields as mark
from decalgen.shapes.base import Box, Inked
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.lettering.text import Block


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
    line_pitch: Annotated[float | None, mark.Size("from baseline to baseline; left out: 1.6 cap heights")] = None

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

    return text_block(
        lettering.text,
        face=lettering.face,
        cap_height=lettering.cap_height,
        line_pitch=lettering.line_pitch,
        align=lettering.align,  # type: ignore[arg-type]
        tracking=lettering.tracking,
    )
