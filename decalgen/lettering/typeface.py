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
    """A face name that is none of the shipped ones."""


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
    """A shipped face. ``file`` and ``licence_file`` are relative to the fonts folder; ``reserved_names`` are all
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


def check_size(what: str, value: float) -> None:
    """Raises `LetteringError` for a length that no lettering has."""
    if not (math.isfinite(value) and 0.01 <= value <= 10_000):
        raise LetteringError(f"a {what} of {value:g} mm is out of range", "use 0.01 to 10000 mm")
