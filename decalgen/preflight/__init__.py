"""Checks before anything is printed: one rule a function, each giving findings with a short code of its own."""

from __future__ import annotations

from decalgen.preflight.checks import FindingsError, examine, on_decal
from decalgen.preflight.fitting import Fitting

__all__ = ["FindingsError", "Fitting", "examine", "on_decal"]
