"""The text of a drawing as a job holds it, with the inks it may be printed in. No file access."""

from __future__ import annotations

import hashlib
from dataclasses import field

from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass


class SvgError(DecalgenError):
    """A drawing that cannot be read or drawn; ``line`` is where in it, from 1, or 0."""

    exit_code = 2

    def __init__(self, message: str, fix: str = "", line: int = 0) -> None:
        super().__init__(message, fix=fix)
        self.line = line


@dataclass(frozen=True)
class DrawingText:
    """A drawing: its name as the job says it, its text, and the inks of the job by name, each with its '#rrggbb'."""

    name: str
    text: str = field(repr=False)
    inks: tuple[tuple[str, str], ...] = ()

    @property
    def digest(self) -> str:
        """SHA-256 of the text."""
        return hashlib.sha256(self.text.encode("utf-8")).hexdigest()


def is_dxf(name: str) -> bool:
    """Whether a drawing of that name is one in DXF."""
    return name.lower().endswith(".dxf")
