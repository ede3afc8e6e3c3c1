"""Bleed against the knife: how much of the cut line ink meets, and how far it runs on."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from decalgen.core.errors import Finding
from tests.helpers import jobs
from tests.helpers.checks import check_jobs


def found(*elements: Any, film: str = "white", misregister: float = 0.15, **more: Any) -> list[Finding]:
    job = jobs.job(jobs.decal("band", 20.0, 8.0, *elements, **more), film=film)
    printer = replace(jobs.PRINTER, misregister=misregister)
    return [finding for finding in check_jobs([job], printer) if finding.code == "bleed-short"]


FIELD = jobs.element("field", ink="navy")


@pytest.mark.parametrize(("bleed", "told"), [(0.0, True), (0.29, True), (0.3, False), (0.5, False)])
def test_ink_to_the_edge_needs_bleed(bleed: float, told: bool) -> None:
    said = found(FIELD, bleed=bleed, margin=0.0)
    assert len(said) == told
    if told:
        assert (said[0].measured, said[0].limit) == (bleed, 0.3)
        # All four sides of 20 x 8 mm.
        assert "meets 56.0 mm of the cut line" in said[0].message


def test_only_what_meets_the_edge_counts() -> None:
    """A stripe of 2 mm from side to side meets 2 mm at each end."""
    (said,) = found(jobs.element("stripe", stripe_width=2.0, ink="navy"), bleed=0.1, margin=0.0)
    assert "meets 4.0 mm" in said.message
    assert len(said.areas) == 2
    assert found(jobs.element("field", ink="navy", width=18.0, height=6.0), bleed=0.0, margin=0.0) == []


def test_a_bare_margin_needs_none_and_a_coarse_printer_more() -> None:
    assert found(FIELD, film="clear") == []
    assert found(FIELD, margin=0.5) == []
    assert found(FIELD) == []
    assert found(FIELD, misregister=0.6)[0].limit == 0.6
