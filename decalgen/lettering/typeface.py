"""A face as a value: what it is called, where its file lies, what it can be adjusted in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass


class LetteringError(DecalgenError):
    """Lettering that cannot be set: what is wrong, and what to do about it."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message, fix=fix)


class UnknownFace(LetteringError):
    """A face name that is neither a shipped one nor one of the job's."""


OWN = "own:"
"""What the file of a face of a job's own begins with; no path of a shipped one does."""
USUAL_CAP = 1.6
"""The cap height, mm, at which every face holds that says nothing else."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One thing a face can be adjusted in (``wght``, ``wdth`` ...), in the face's own units."""

    tag: str
    least: float
    default: float
    most: float


@dataclass(frozen=True, slots=True)
class Face:
    """A face. ``file`` and ``licence_file`` are relative to the fonts folder; ``reserved_names`` are all
    that its licence reserves (OFL 1.1, condition 3), which no changed file may carry. ``smallest_cap``: from which
    cap height, mm, its thinnest strokes keep two dots of 600 dpi."""

    name: str
    file: str
    category: str
    suits: str
    licence: str
    licence_file: str
    copyright: str
    reserved_names: tuple[str, ...]
    version: str
    sha256: str
    axes: tuple[Axis, ...]
    smallest_cap: float = USUAL_CAP

    @property
    def drawn(self) -> bool:
        """Whether decalgen draws its letters itself, without a font file: the block alphabets."""
        return not self.file

    @property
    def defaults(self) -> Mapping[str, float]:
        """The axis values the face is set at when a job says nothing."""
        return MappingProxyType({axis.tag: axis.default for axis in self.axes})


class OwnFont:
    """A font that a job brought: its tables unpacked, the SHA-256 of the file it came in, and what is known of it.

    ``embedding`` is what its OS/2 table forbids ("restricted", "bitmaps only"), or ''. No dataclass: every command
    would load it, and few jobs have one.
    """

    def __init__(self, data: bytes, sha256: str, category: str, embedding: str, axes: tuple[Axis, ...]) -> None:
        self.data = data
        self.sha256 = sha256
        self.category = category
        self.embedding = embedding
        self.axes = axes

    @property
    def file(self) -> str:
        """What stands for a file name wherever a face has one: the same for the same bytes alone."""
        return f"{OWN}{self.sha256}"


class OwnFaceName(str):
    """The name of a face of a job's own, with its font: two jobs may call two fonts by one name.

    A name without a font is never the same, so nothing that is kept by the name of a face is taken for another's.
    """

    __slots__ = ("font",)
    font: OwnFont

    def __new__(cls, name: str, font: OwnFont) -> OwnFaceName:
        made = super().__new__(cls, name)
        made.font = font
        return made

    def __eq__(self, other: object) -> bool:
        return isinstance(other, OwnFaceName) and str.__eq__(self, other) and self.font.sha256 == other.font.sha256

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:
        return hash((str(self), self.font.sha256))

    def __getnewargs__(self) -> tuple[str, OwnFont]:  # type: ignore[override]
        return str(self), self.font


def check_size(what: str, value: float) -> None:
    """Raises `LetteringError` for a length that no lettering has."""
    if not (math.isfinite(value) and 0.01 <= value <= 10_000):
        raise LetteringError(f"a {what} of {value:g} mm is out of range", "use 0.01 to 10000 mm")
