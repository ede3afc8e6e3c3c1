"""Lettering: one or several lines in a shipped face, placed by its capitals."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, ClassVar

from shapely.affinity import translate

from decalgen.core import keys
from decalgen.core.geometry import Region, rectangle, region
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.lettering_groups import Arc, Inline, Match, Rim, Shadow
from decalgen.shapes.lettering_modes import (
    SetLettering,
    Setter,
    between_points,
    fitted,
    matched,
    on_an_arc,
    opened_lines,
)
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from collections.abc import Callable

    from decalgen.lettering.text import TextBlock

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
    needs: ClassVar[tuple[frozenset[str], ...]] = (
        frozenset({"cap height"}),
        frozenset({"match"}),
        frozenset({"fit", "width", "height"}),
    )
    reads: ClassVar[bool] = True
    example: ClassVar[dict[str, object]] = {
        "text": ("HARBOUR", "STORES"),
        "ink": "night sea",
        "face": "Archivo",
        "cap_height": 2.4,
        "line_pitch": 4.0,
    }
    example_box: ClassVar[Box] = Box(24.0, 9.0)

    text: Annotated[tuple[str, ...], keys.Lines("the text; a list gives several lines")]
    ink: Annotated[str, keys.InkName("its ink")]
    cap_height: Annotated[float | None, keys.Size("height of a capital H; not with `match`, `fit`", most=200.0)] = None
    face: Annotated[str, keys.FaceName("its face; `decalgen fonts` shows them", example="Oswald")] = "Archivo"
    tracking: Annotated[float, keys.Length("space added between letters", -50.0, 50.0, example="0.2 mm")] = 0.0
    align: Annotated[str, keys.Choice("how several lines line up", ("left", "centre", "right"), example="left")] = (
        "centre"
    )
    width: Annotated[
        float | None,
        keys.Size("width of the longest line, reached by spacing the letters, instead of a tracking", example="20 mm"),
    ] = None
    axes: Annotated[
        tuple[str, ...],
        keys.Lines("settings of an adjustable face, such as wght 700; `decalgen fonts` lists them", example="wght 700"),
    ] = ()
    line_pitch: Annotated[float | None, keys.Size("from baseline to baseline; if left out, 1.6 cap heights")] = None

    height: Annotated[
        float | None, keys.Size("height of the box, with `fit`", example="6 mm", beside=("fit", "width"))
    ] = None
    match: Annotated[Match | None, keys.Block("the measures of an original, to be met exactly", of=Match)] = None
    fit: Annotated[
        bool, keys.Flag("as large as `width` and `height` hold", example="yes", beside=("width", "height"))
    ] = False
    justify: Annotated[bool, keys.Flag("every line spaced to `width`", example="yes", beside=("width",))] = False
    arc: Annotated[
        Arc | None,
        keys.Block("the circle its baseline runs along, for words on a curve; `at` places its centre", of=Arc),
    ] = None
    start: Annotated[
        tuple[float, float] | None,
        keys.Two("where its baseline begins in the box", of=keys.Length(), example=("0 mm", "2 mm"), beside=("end",)),
    ] = None
    end: Annotated[
        tuple[float, float] | None,
        keys.Two("where its baseline ends", of=keys.Length(), example=("18 mm", "4 mm"), beside=("start",)),
    ] = None
    stretch: Annotated[
        bool,
        keys.Flag("between `start` and `end`: letters stretched, not spaced", example="yes", beside=("start", "end")),
    ] = False
    compensate: Annotated[bool, keys.Flag("strokes and gaps opened to what the printer lays down")] = False
    least_stroke: Annotated[
        float, keys.Length("thinnest stroke, for `compensate`", 0.0, 10.0, example="0.2 mm", beside=("compensate",))
    ] = 0.15
    least_gap: Annotated[
        float, keys.Length("narrowest gap, for `compensate`", 0.0, 10.0, example="0.25 mm", beside=("compensate",))
    ] = 0.20
    outline: Annotated[Rim | None, keys.Block("a band round the letters", of=Rim)] = None
    inline: Annotated[Inline | None, keys.Block("a band inside the letters", of=Inline)] = None
    shadow: Annotated[Shadow | None, keys.Block("a shadow beside the letters", of=Shadow)] = None
    reversed: Annotated[bool, keys.Flag("bare letters in a field of the ink")] = False
    margin: Annotated[
        float | None,
        keys.Length(
            "from the letters to the edge of the field, with `reversed`; if left out, half the cap height",
            0.0,
            100.0,
            example="0.8 mm",
            beside=("reversed",),
        ),
    ] = None

    def __post_init__(self) -> None:
        _axes(self.axes)
        if self.width is not None and self.tracking:
            raise ShapeError("the lettering has both a width and a tracking", "give only one of them")
        points = self.start is not None or self.end is not None
        ways = {
            "match": self.match is not None,
            "fit": self.fit,
            "justify": self.justify,
            "arc": self.arc is not None,
            "start and end": points,
        }
        given = [key for key, is_given in ways.items() if is_given]
        if len(given) > 1:
            raise ShapeError(f"the lettering has {' and '.join(f'`{g}`' for g in given)}", "give only one of them")
        if self.compensate and self.match:
            raise ShapeError(
                "`match` draws strokes as they were measured, and `compensate` would change them",
                "leave `compensate` out, or give a stem and a crossbar that the printer holds as readings",
            )
        if self.compensate and self.fit:
            raise ShapeError(
                "`fit` looks for the size, and `compensate` needs it",
                "give a `cap height` instead of `fit`, or leave `compensate` out",
            )
        if self.match or self.fit:
            if self.cap_height is not None:
                raise ShapeError(f"with `{given[0]}` the lettering has no `cap height` of its own", "leave it out")
        elif self.cap_height is None:
            raise ShapeError("the lettering has no `cap height`", "add the height of a capital H, such as 2 mm")
        if self.fit and (self.width is None or self.height is None):
            raise ShapeError("`fit` needs the box to fill", "add `width` and `height`")
        if self.height is not None and not self.fit:
            raise ShapeError("a `height` goes with `fit` only", "add `fit: yes`, or leave the height out")
        if self.justify and self.width is None:
            raise ShapeError("`justify` needs a width", "add `width`")
        if self.width is not None and given and given[0] not in ("fit", "justify"):
            raise ShapeError(f"`width` does not go with `{given[0]}`", "leave one of them out")
        if self.tracking and given and given[0] != "arc":
            raise ShapeError(f"`tracking` does not go with `{given[0]}`", "leave one of them out")
        if self.line_pitch is not None and given and given[0] != "justify":
            raise ShapeError(f"`line pitch` does not go with `{given[0]}`", "leave it out")
        if self.match and self.axes:
            raise ShapeError("`match` finds the settings of the face itself", "leave out `axes`")
        if points and (self.start is None or self.end is None):
            raise ShapeError("lettering between two points needs both", "add `start` and `end`")
        if self.stretch and not points:
            raise ShapeError("`stretch` goes with `start` and `end`", "add both points, or leave it out")
        if self.reversed and (self.outline or self.inline or self.shadow or points or self.arc):
            raise ShapeError(
                "`reversed` does not go with an outline, inline, shadow, arc or two points",
                "draw a `field` under the lettering instead",
            )

    @property
    def block(self) -> SetLettering:
        """The lettering set; its ``missing`` and ``borrowed`` say what the face lacks."""
        return _set(self)

    def extent(self, box: Box) -> Box:
        """From the first ink to the last, from the first cap line to the last baseline; reversed, the field."""
        if self.block.whole:
            return box
        if self.reversed:
            x0, y0, x1, y1 = self._field()
            return Box(x1 - x0, y1 - y0)
        left, bottom, right, top = self._pads()
        return Box(left + self.block.width + right, bottom + self.block.height + top)

    def _pads(self) -> tuple[float, float, float, float]:
        """Room for outline and shadow at the sides; below and above only in a box, since capitals place the rest."""
        if self.block_is_free:
            return 0.0, 0.0, 0.0, 0.0
        rim = self.outline.width + self.outline.gap if self.outline else 0.0
        dx, dy = (self.shadow.dx, self.shadow.dy) if self.shadow else (0.0, 0.0)
        low, high = (rim + max(0.0, -dy), rim + max(0.0, dy)) if self.fit else (0.0, 0.0)
        return rim + max(0.0, -dx), low, rim + max(0.0, dx), high

    @property
    def block_is_free(self) -> bool:
        """Whether it runs between two points of its box, and takes no room of its own."""
        return self.start is not None

    def _field(self) -> tuple[float, float, float, float]:
        """The field round reversed letters: capitals, accents and tails, with a margin."""
        block = self.block
        x0, y0, x1, y1 = block.region.bounds
        by = 0.5 * block.cap_height if self.margin is None else self.margin
        return min(0.0, x0) - by, min(0.0, y0) - by, max(block.width, x1) + by, max(block.height, y1) + by

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """Shadow, outline, letters and inline, in this order; tails hang below the extent, accents rise above it.

        Letters never run on; the field of reversed ones does. Each area carries the words.
        """
        return tuple(replace(area, words=" ".join(self.text)) for area in self._areas(size, run_on))

    def _areas(self, size: Box, run_on: float) -> tuple[Inked, ...]:
        letters = self.block.region
        if self.reversed:
            left, bottom, _, _ = self._field()
            ground = rectangle(-run_on, -run_on, size.width + run_on, size.height + run_on)
            return (Inked(self.ink, region(ground.difference(translate(letters, -left, -bottom)))),)
        if not (self.outline or self.inline or self.shadow):
            return (Inked(self.ink, letters, lettering=True),)
        from decalgen.lettering.effects import filled, inlined, outlined, shadowed

        pad_left, pad_below, _, _ = self._pads()
        letters = region(translate(letters, pad_left, pad_below))
        found = []
        body: Region = letters
        if self.outline:
            rim = outlined(letters, self.outline.width, self.outline.gap)
            found.append(Inked(self.outline.ink, rim, lettering=True))
            body = region(rim.union(letters))
        if self.shadow:
            shade = shadowed(body, self.shadow.dx, self.shadow.dy, self.shadow.kind)  # type: ignore[arg-type]
            if self.outline and self.outline.ink == self.shadow.ink:
                # One area, or the shadow would seem to run into the outline by mistake.
                found = [Inked(self.shadow.ink, region(shade.union(found[0].region)), lettering=True)]
            else:
                found.insert(0, Inked(self.shadow.ink, shade, lettering=True))
        if self.inline:
            width, inset = self.inline.width, self.inline.inset
            found.append(Inked(self.ink, filled(letters, width, inset), lettering=True))
            found.append(Inked(self.inline.ink, inlined(letters, width, inset), lettering=True))
        else:
            found.append(Inked(self.ink, letters, lettering=True))
        return tuple(found)


@lru_cache(maxsize=256)
def _set(lettering: Lettering) -> SetLettering:
    axes = _axes(lettering.axes)
    text, face = lettering.text, lettering.face
    if lettering.match:
        return matched(text, lettering.match, face)
    if lettering.fit:
        assert lettering.width is not None and lettering.height is not None
        left, low, right, high = lettering._pads()
        box = Box(lettering.width - left - right, lettering.height - low - high)
        return fitted(text, box, face, lettering.align, axes)
    cap = lettering.cap_height
    assert cap is not None
    least = (lettering.least_stroke, lettering.least_gap)
    if lettering.reversed:
        # Bare letters in ink: a stroke is a gap there, and what lies between strokes is ink.
        least = (lettering.least_gap, lettering.least_stroke)
    setter = Setter(face, cap, lettering.tracking, tuple(axes.items()), least if lettering.compensate else None)
    if lettering.arc:
        return on_an_arc(text, lettering.arc, setter)
    if lettering.start and lettering.end:
        return between_points(text, lettering.start, lettering.end, lettering.stretch, setter)
    if lettering.justify or lettering.compensate:
        pitch = 1.6 * cap if lettering.line_pitch is None else lettering.line_pitch
        return opened_lines(text, setter, pitch, lettering.align, lettering.width, lettering.justify)
    return _plain(lettering, cap, axes)


def _plain(lettering: Lettering, cap: float, axes: dict[str, float]) -> SetLettering:
    from decalgen.lettering.text import text_block

    def spaced(tracking: float) -> TextBlock:
        return text_block(
            lettering.text,
            face=lettering.face,
            cap_height=cap,
            line_pitch=lettering.line_pitch,
            align=lettering.align,  # type: ignore[arg-type]
            tracking=tracking,
            axes=axes,
        )

    tracking = lettering.tracking if lettering.width is None else _tracking(lettering.width, cap, spaced)
    block = spaced(tracking)
    return SetLettering(block.region, block.letters, block.width, block.height, cap, block.missing, block.borrowed)


def _tracking(width: float, cap: float, spaced: Callable[[float], TextBlock]) -> float:
    """The tracking at which the longest line is as wide as asked. Raises `ShapeError`."""
    # A line's width grows in proportion to the tracking; two settings tell how fast. Neither may be 0, which would
    # set ligatures.
    step = 0.1 * cap
    near, far = spaced(step).lines, spaced(2 * step).lines
    wanted = [
        step + (width - a.width) * step / (b.width - a.width)
        for a, b in zip(near, far, strict=True)
        if b.width > a.width
    ]
    if not wanted:
        raise ShapeError("a single letter cannot be spaced to a width", "leave out `width`")
    tracking = min(wanted)
    if not -TIGHTEST * cap <= tracking <= LOOSEST * cap:
        natural = max(2 * a.width - b.width for a, b in zip(near, far, strict=True))
        raise ShapeError(
            f"this lettering cannot be spaced to {width:g} mm; unspaced it is about {natural:.2f} mm wide",
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
            raise ShapeError(f"'{setting}' is not a setting of a face", "write a name and a number, such as wght 700")
    return found
