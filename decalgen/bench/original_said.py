"""What is said of a scan on Originals, as it was typed and dragged, and what the commands make of it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal, get_args

from decalgen.commands.readings_typed import typed_reading
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Point
from decalgen.core.scan_kinds import KINDS
from decalgen.core.values import dataclass
from decalgen.job.edits import EditError

if TYPE_CHECKING:
    from decalgen.scan.measuring import ScanRequest
    from decalgen.scan.template.values import TemplateRequest

SizedBy = Literal["card", "corners", "dpi"]
"""What tells the size: a card that is looked for, a card whose corners are given, the resolution alone."""
BY = get_args(SizedBy)
OnPicture = Literal["pattern", "tape", "photo"]
"""What is on the picture: the pattern of a decal, a panel traced on tape, a panel itself."""
ON = get_args(OnPicture)
MOST_POINTS = 80
MOST_TYPED = 120
PLACES = ("white", "black", "own_white")
_BY = re.compile(r"\s*[x\N{MULTIPLICATION SIGN}]\s*")
_SPOT = re.compile(r"\d{1,6}(\.\d{1,3})?,\d{1,6}(\.\d{1,3})?( = #[0-9a-fA-F]{6})?")


@dataclass(frozen=True)
class TracedCorner:
    """A corner of a panel as it was pointed out, pixels. ``side``: that leaves it: line, arc, or '' for what is
    seen."""

    x: float
    y: float
    round: bool = False
    side: str = ""

    @property
    def typed(self) -> str:
        """As the command takes it."""
        return " ".join(filter(None, (f"{self.x:.2f},{self.y:.2f}", "round" if self.round else "", self.side)))


@dataclass(frozen=True)
class OriginalSaid:
    """``what`` is on the picture, and of a panel its corners, once round, and its size as typed. ``by``: what tells the
    size of all; ``size``: of the card, as typed, '' as the standard says; ``corners``: of it in pixels, round from the
    lower left; ``dpi``: as typed, '' as the file says; ``part``: left, upper, right and lower side in pixels of what is
    to be read, None: of its own accord; ``kind``: which pattern it is, '' asks; ``white``, ``black``, ``own_white``:
    patches, as the command takes them."""

    what: OnPicture = "pattern"
    points: tuple[TracedCorner, ...] = ()
    width: str = ""
    height: str = ""
    by: SizedBy = "card"
    size: str = ""
    corners: tuple[Point, ...] = ()
    dpi: str = ""
    part: tuple[int, int, int, int] | None = None
    kind: str = ""
    white: str = ""
    black: str = ""
    own_white: str = ""

    @property
    def waits(self) -> str:
        """What has to be said before anything can be read, in words; '' where nothing has."""
        if self.by == "corners" and not self.corners:
            return "drag its four corners onto those of the card"
        # On tape they can be looked for.
        if self.what == "photo" and not self.points:
            return "press its corners, once round the panel"
        return ""

    @property
    def reading(self) -> tuple[object, ...]:
        """Which thing on the picture is read: of another, what was typed over does not hold."""
        return self.what, self.part, self.kind

    def request(self) -> ScanRequest:
        """The same as the command takes it. Raises ScanWordsError for what was typed wrong."""
        from decalgen.commands.scan_words import request_of

        return request_of(self._given())

    def template(self) -> TemplateRequest:
        """The same of a panel. Raises ScanWordsError for what was typed wrong."""
        from decalgen.commands.template_words import template_request

        given = {key: value for key, value in self._given().items() if key not in ("kind", *PLACES)}
        given |= {"template": self.what, "points": " ".join(one.typed for one in self.points)}
        return template_request({**given, "width": self.width, "height": self.height})

    def _given(self) -> dict[str, Any]:
        """The options of the command."""
        given: dict[str, Any] = {name: getattr(self, name) for name in ("kind", *PLACES)}
        given["part"] = ",".join(map(str, self.part)) if self.part else None
        if self.by == "dpi":
            given["dpi"] = self.dpi
        else:
            given["beside"] = self.size or ("card" if self.by == "card" else None)
        if self.by == "corners":
            given["corners"] = " ".join(f"{x:.2f},{y:.2f}" for x, y in self.corners)
        return given


def said_with(said: OriginalSaid, asked: Mapping[str, Any]) -> OriginalSaid:
    """What was said, with what the page says now: values of an `OriginalSaid` by their names. Raises EditError for what
    cannot be said, and ScanWordsError for what is typed wrong."""
    found: dict[str, Any] = {}
    for name, value in asked.items():
        judge = _JUDGES.get(name)
        if judge is None:
            raise EditError("that cannot be said of a picture", fix="load the page again")
        try:
            found[name] = judge(value)
        except (TypeError, ValueError, OverflowError):
            raise EditError("that cannot be read", fix="load the page again") from None
    made = replace(said, **found)
    if not made.waits:
        _on_the_page(made)
    return made


def _on_the_page(said: OriginalSaid) -> None:
    """Raises ScanWordsError for what is typed wrong."""
    if said.what == "pattern":
        said.request()
    else:
        said.template()


def _by(value: Any) -> str:
    if value not in BY:
        raise ValueError(value)
    return str(value)


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > MOST_TYPED:
        raise ValueError(value)
    return value.strip()


def one_length(text: str) -> str:
    """A length as it is typed into a box of the page: a bare number is mm, a comma a decimal one. Raises EditError for
    several."""
    read = typed_reading(text)
    if not isinstance(read, str):
        raise EditError(f"'{text[:40]}' is more than one length", fix="type one, such as 2.4")
    return read


def typed_card(text: str) -> str:
    """The size of a card as it is typed into a box of the page, as the command takes it: a bare number is mm. Raises
    EditError for what is too long to be one."""
    if len(text) > MOST_TYPED:
        raise EditError(f"'{text[:40]}' is not the size of a card", fix="type its width and height: 85.58 x 53.97 mm")
    size = text.strip()
    sides = _BY.split(size)
    return " x ".join(map(one_length, sides)) if len(sides) == 2 and all(sides) else size


def _size(value: Any) -> str:
    return typed_card(_text(value))


def _kind(value: Any) -> str:
    kind = _text(value)
    if kind and kind not in KINDS:
        raise ValueError(kind)
    return kind


def _spot(value: Any) -> str:
    spot = _text(value)
    if spot and not _SPOT.fullmatch(spot):
        raise ValueError(spot)
    return spot


def _corners(value: Any) -> tuple[Point, ...]:
    points = tuple((float(x), float(y)) for x, y in value)
    if len(points) not in (0, 4) or not all(math.isfinite(one) and abs(one) < 1e6 for one in sum(points, ())):
        raise ValueError(value)
    return points


def _part(value: Any) -> tuple[int, int, int, int] | None:
    if value is None:
        return None
    left, top, right, bottom = (max(0, int(one)) for one in value)
    if right <= left or bottom <= top or max(right, bottom) >= 1_000_000:
        raise DecalgenError("the frame has no size", fix="drag it from one corner to the other")
    return left, top, right, bottom


def _what(value: Any) -> str:
    if value not in ON:
        raise ValueError(value)
    return str(value)


def _points(value: Any) -> tuple[TracedCorner, ...]:
    points = tuple(TracedCorner(float(x), float(y), around is True, str(side)) for x, y, around, side in value)
    if len(points) > MOST_POINTS or not all(math.isfinite(one.x) and math.isfinite(one.y) for one in points):
        raise ValueError(value)
    if any(one.side not in ("", "line", "arc") or max(abs(one.x), abs(one.y)) > 1e6 for one in points):
        raise ValueError(value)
    return points


def _length(value: Any) -> str:
    typed = _text(value)
    return one_length(typed) if typed else ""


_JUDGES = {
    "what": _what,
    "points": _points,
    "width": _length,
    "height": _length,
    "by": _by,
    "size": _size,
    "dpi": _text,
    "corners": _corners,
    "part": _part,
    "kind": _kind,
    **dict.fromkeys(PLACES, _spot),
}
