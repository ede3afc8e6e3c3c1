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
from decalgen.shapes.lettering_groups import Along, Arc, Inline, Match, Rim, Shadow
from decalgen.shapes.lettering_modes import (
    SetLettering,
    Setter,
    between_points,
    check_keys,
    fitted,
    matched,
    one_line,
    opened_lines,
)
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from collections.abc import Callable

    from decalgen.lettering.text import TextBlock

SIDES = ("left", "centre", "right")
TIGHTEST, LOOSEST = 0.3, 3.0
"""Letters set closer or wider than this, in cap heights, are a slip."""


@shape
@dataclass(frozen=True)
class Lettering:
    """Lettering in one of the shipped faces, one line or several.

    Its size is the cap height, and its place is that of the capitals, from the first cap line to the last baseline;
    accents rise above and tails hang below. It is not mirrored in the other hand.

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
    align: Annotated[
        str,
        keys.Choice("how several lines line up, or where a line lies along its curve", SIDES, example="left"),
    ] = "centre"
    width: Annotated[
        float | None,
        keys.Size(
            "width of the longest line, reached by spacing the letters, instead of a tracking; or of a box",
            example="20 mm",
        ),
    ] = None
    axes: Annotated[
        tuple[str, ...],
        keys.Lines("settings of an adjustable face, such as wght 700; `decalgen fonts` lists them", example="wght 700"),
    ] = ()
    slant: Annotated[
        float, keys.Angle("lean of the letters to the right of the upright, in any face", -45.0, 45.0, example="12°")
    ] = 0.0
    line_pitch: Annotated[float | None, keys.Size("from baseline to baseline; if left out, 1.6 cap heights")] = None

    height: Annotated[
        float | None, keys.Size("height of a box, beside its `width`", example="6 mm", beside=("fit", "width"))
    ] = None
    match: Annotated[Match | None, keys.Block("the measures of an original, to be met exactly", of=Match)] = None
    fit: Annotated[
        bool, keys.Flag("as large as `width` and `height` hold", example="yes", beside=("width", "height"))
    ] = False
    justify: Annotated[bool, keys.Flag("every line spaced to `width`", example="yes", beside=("width",))] = False
    arc: Annotated[
        Arc | None,
        keys.Block(
            "the circle its baseline runs along, for words on a curve; by radius, by rise, or in a box",
            of=Arc,
            example={"radius": "8 mm"},
        ),
    ] = None
    along: Annotated[
        Along | None, keys.Block("a curve through measured points that its baseline runs along", of=Along)
    ] = None
    bend: Annotated[
        str,
        keys.Choice(
            "how letters follow an arc or a curve: turned, each as it is; as a fan, bent square to it; upright, bent "
            "with upright stems",
            ("turned", "fan", "upright"),
            example="fan",
            beside=("arc",),
        ),
    ] = "turned"
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
        check_keys(self)

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
        low, high = (rim + max(0.0, -dy), rim + max(0.0, dy)) if self.height is not None else (0.0, 0.0)
        return rim + max(0.0, -dx), low, rim + max(0.0, dx), high

    @property
    def block_is_free(self) -> bool:
        """Whether it runs through points of its box, and takes no room of its own."""
        return self.start is not None or self.along is not None

    def other_hand(self, box: Box) -> Lettering:
        """For the other hand: points of the box are mirrored, and read from the other end."""
        if not self.block_is_free:
            return self
        swap = {"left": "right", "right": "left"}
        return replace(
            self,
            align=swap.get(self.align, self.align),
            along=self.along and self.along.mirrored(box.width),
            start=self.end and (box.width - self.end[0], self.end[1]),
            end=self.start and (box.width - self.start[0], self.start[1]),
        )

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
    box = None
    if lettering.height is not None:
        assert lettering.width is not None
        left, low, right, high = lettering._pads()
        box = Box(lettering.width - left - right, lettering.height - low - high)
    if lettering.fit and not lettering.arc:
        assert box is not None
        return fitted(text, box, face, lettering.align, axes, lettering.slant)
    cap = 1.0 if lettering.fit else lettering.cap_height
    assert cap is not None
    least = (lettering.least_stroke, lettering.least_gap)
    if lettering.reversed:
        # Bare letters in ink: a stroke is a gap there, and what lies between strokes is ink.
        least = (lettering.least_gap, lettering.least_stroke)
    held = least if lettering.compensate else None
    setter = Setter(face, cap, lettering.tracking, tuple(axes.items()), held, lettering.least_gap, lettering.slant)
    if lettering.arc or lettering.along:
        from decalgen.shapes.lettering_arched import ArchedLine
        from decalgen.shapes.lettering_on_curves import along_points, on_an_arc

        if lettering.along:
            return along_points(text, lettering.along, setter, lettering.align, lettering.bend)
        assert lettering.arc is not None
        bend = lettering.bend
        if lettering.arc.rise == 0 or (lettering.arc.head_rise is not None and bend == "turned"):
            # Square to a level foot is upright.
            bend = "upright"
        arched = ArchedLine(one_line(text, "arc"), lettering.arc, setter, bend)
        if box is None:
            return on_an_arc(arched)
        from decalgen.shapes.lettering_in_boxes import boxed

        return boxed(arched, box, lettering.fit)
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
            slant=lettering.slant,
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
