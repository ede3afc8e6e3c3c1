"""Checks before anything is printed: one rule a function, each giving findings with a short code of its own."""

from __future__ import annotations

from decalgen.preflight.checks import FindingsError, check_jobs

__all__ = ["FindingsError", "check_jobs"]
