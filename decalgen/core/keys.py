"""How a frozen dataclass says what may stand in a job file for each of its fields.

A shape, panel or decal is a plain frozen dataclass whose fields are ``Annotated`` with one of the kinds of key below::

    @dataclass(frozen=True)
    class Field:
        ink: Annotated[str, InkName("the colour")]
        corner_radius: Annotated[float, Length("radius of all four corners")] = 0.0

From these the job reader knows how to read, limit and complain; `decalgen schema` publishes them and
`decalgen keys` prints them. A field ``cap_height`` is written ``cap height`` in a job file, ``for_`` is ``for``.
Nothing here knows YAML. Bounds are generous limits against slips and hostile files, not advice.
"""

from __future__ import annotations

from dataclasses import MISSING, field, fields
from functools import lru_cache
from inspect import get_annotations
from typing import Any

from decalgen.core.values import dataclass

LARGEST = 2000.0
"""No length on a toy or a sheet is longer, mm."""


@dataclass(frozen=True, slots=True)
class Key:
    """The base of all kinds of key; ``about`` is one line for the reader of the documentation: what the key means
    and, after "; if left out, ", what holds without it.

    ``example``: a value as it might stand in a file: a text, a tuple of such, or a dict by key; ``beside``: the keys
    that must be given with it.
    """

    about: str = ""
    example: object = field(default=None, kw_only=True)
    beside: tuple[str, ...] = field(default=(), kw_only=True)


@dataclass(frozen=True, slots=True)
class Length(Key):
    """A length or an expression of lengths → float, mm. Least and most are included."""

    least: float = -LARGEST
    most: float = LARGEST

    @property
    def bounds(self) -> tuple[float, float]:
        """Least and most, mm."""
        return self.least, self.most


@dataclass(frozen=True, slots=True)
class Size(Key):
    """A length greater than nothing → float, mm (at least 1 µm). ``spread``: what stands after a ±, alone."""

    most: float = LARGEST
    spread: bool = False

    @property
    def bounds(self) -> tuple[float, float]:
        """Least and most, mm."""
        return 0.001, self.most


@dataclass(frozen=True, slots=True)
class Measure(Key):
    """A length with its uncertainty → `lengths.Quantity` (a measured size or an expression over such)."""

    positive: bool = True

    @property
    def bounds(self) -> tuple[float, float]:
        """Least and most, mm."""
        return 0.001 if self.positive else -LARGEST, LARGEST


@dataclass(frozen=True, slots=True)
class Readings(Measure):
    """A size read once or several times, each reading perhaps with ``by INSTRUMENT`` after it → a
    `lengths.Quantity`, a `panels.readings.Reading` or a tuple of these. ``angle``: degrees (dimension 0), not mm.
    ``depth``: read with a depth rod, a gauge or a protractor, so after all that the jaws of a caliper take."""

    angle: bool = False
    depth: bool = False


@dataclass(frozen=True, slots=True)
class Taken(Readings):
    """A size read off an original, once or several times → one `lengths.Quantity`; None for ?, and the reader notes
    that it is still to be taken."""


@dataclass(frozen=True, slots=True)
class Number(Key):
    """A plain number or expression without unit → float; ``angle``: it may be degrees, told by their sign."""

    least: float = -1e6
    most: float = 1e6
    angle: bool = False


@dataclass(frozen=True, slots=True)
class Count(Key):
    """A whole number → int."""

    least: int = 1
    most: int = 500


@dataclass(frozen=True, slots=True)
class Angle(Key):
    """Degrees, with or without the word → float, anticlockwise."""

    least: float = -360.0
    most: float = 360.0


@dataclass(frozen=True, slots=True)
class Text(Key):
    """Any text → str, without control characters."""

    most: int = 500


@dataclass(frozen=True, slots=True)
class Lines(Key):
    """One text or a list of texts, one a line → tuple[str, ...]."""

    most: int = 40


@dataclass(frozen=True, slots=True)
class Flag(Key):
    """yes or no → bool."""


@dataclass(frozen=True, slots=True)
class Choice(Key):
    """One of a few words → str."""

    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class InkName(Key):
    """The name of an ink of the job → str."""


@dataclass(frozen=True, slots=True)
class FaceName(Key):
    """The name of a face in fonts/ → str."""


@dataclass(frozen=True, slots=True)
class DrawingFile(Key):
    """The name of a drawing in the job's folder → `core.svg.text.DrawingText`."""


@dataclass(frozen=True, slots=True)
class PictureFile(Key):
    """The name of a picture in the job's folder → `core.pixels.values.PictureData`."""


@dataclass(frozen=True, slots=True)
class InkTable(Key):
    """A mapping from colours to inks of the job → a tuple of ('#rrggbb', ink)."""


@dataclass(frozen=True, slots=True)
class ColourText(Key):
    """A colour as #rrggbb, a name, ``lab(58 52 60)`` or ``cmyk(0 70 100 0)`` → str: '#rrggbb', or what was written
    where that would round it."""


@dataclass(frozen=True, slots=True)
class Anchored(Key):
    """Where something lies in its box → `shapes.base.At`."""


@dataclass(frozen=True, slots=True)
class Many(Key):
    """A list of one kind, or one alone → tuple. ``least``/``most`` bound its length."""

    of: Key = Key()
    least: int = 1
    most: int = 500


@dataclass(frozen=True, slots=True)
class Two(Key):
    """Exactly two of one kind → tuple of two."""

    of: Key = Key()


@dataclass(frozen=True, slots=True)
class Block(Key):
    """A mapping read into another such dataclass → its instance."""

    of: type[Any] = object


@dataclass(frozen=True, slots=True)
class Named(Key):
    """A mapping from the user's own names to values of the kinds ``of``, read by code of its own. ``topic``: the page
    of `decalgen keys` that explains a value which is a group."""

    of: tuple[Key, ...] = ()
    topic: str = ""


@dataclass(frozen=True, slots=True)
class Part(Key):
    """A group of keys, or one of the kinds ``of``, read by code of its own. ``topic``: the page that explains it;
    ``many``: a list of such, or one alone."""

    of: tuple[Key, ...] = ()
    topic: str = ""
    many: bool = False


@dataclass(frozen=True, slots=True)
class Elements(Key):
    """A list of shapes, each ``- shape name: {…}`` → tuple[shapes.base.Element, ...]."""


@dataclass(frozen=True, slots=True)
class Spec:
    """One field of such a dataclass: its name in Python, its key in a file, of what kind, whether it must be given."""

    name: str
    key: str
    kind: Key
    required: bool
    default: Any


@lru_cache(maxsize=256)
def specs(cls: type[Any]) -> tuple[Spec, ...]:
    """The fields of a dataclass, in order. Raises TypeError for a field without a key."""
    marks: dict[str, Any] = {}
    # Bases first. Nothing else of `typing.get_type_hints` is wanted, which takes several times as long.
    for one in reversed(cls.__mro__[:-1]):
        marks |= get_annotations(one, eval_str=True)
    found = []
    for item in fields(cls):
        kinds = [m for m in getattr(marks[item.name], "__metadata__", ()) if isinstance(m, Key)]
        if not kinds:
            raise TypeError(f"{cls.__name__}.{item.name} has no key")
        required = item.default is MISSING and item.default_factory is MISSING
        default = None
        if item.default is not MISSING:
            default = item.default
        elif item.default_factory is not MISSING:
            default = item.default_factory()
        found.append(Spec(item.name, item.name.rstrip("_").replace("_", " "), kinds[0], required, default))
    return tuple(found)
