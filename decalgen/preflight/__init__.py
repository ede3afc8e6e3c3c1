"""Checks before anything is printed: one rule a function, each giving findings with a short code of its own."""

from __future__ import annotations

from decalgen.preflight.checks import FindingsError, check_jobs
from decalgen.preflight.fitting import Fitting, fittings

__all__ = ["FindingsError", "Fitting", "check_jobs", "fittings"]
