"""The steps of the card, in the order one walks down: a new screen is its module and a line here."""

from __future__ import annotations

from decalgen.bench.screens import check, draw, measure

STEPS = {"measure": measure, "draw": draw, "check": check}
"""By the name of the screen's file, here and among the scripts of the page."""
