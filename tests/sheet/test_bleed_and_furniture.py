"""Bleed keeps off what is printed in the waste, marks and words, whatever the bleed and however full the film.

A cross under bleed cannot be measured or aligned by.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from decalgen.job.model import Cut
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.film_area import longest
from decalgen.sheet.plan import Plan
from tests.helpers import jobs


def full(bleed: float, width: float, height: float, copies: int) -> Arrangement:
    """Film so full of small pieces that some lie as near to the furniture as they may."""
    field = jobs.element("field", ink="navy")
    job = jobs.job(jobs.decal("tile", width, height, field, cut=Cut(), margin=0.0, bleed=bleed, copies=copies))
    return arrange(
        [job], Plan([jobs.film(job.film, 148.0, 210.0)], jobs.PRINTER, effort=jobs.ONE_ORDER, gap=2 * bleed + 0.5)
    )


@pytest.mark.parametrize(
    ("bleed", "size", "copies"), [(0.0, (9, 7), 60), (0.5, (9, 7), 60), (1.5, (9, 7), 60), (3.0, (5, 5), 40)]
)
def test_no_bleed_lies_over_any_furniture(bleed: float, size: tuple[float, float], copies: int) -> None:
    """Not at a corner either, where two bleeds meet in a point that reaches further out than the bleed."""
    for sheet in full(bleed, *size, copies).sheets:
        assert len(sheet.furniture.registration) == 3 and sheet.furniture.bars == ()
        for placed in sheet.placed:
            assert placed.piece.artwork.bleed == bleed
            assert not any(placed.outer.intersects(one) for one in sheet.furniture.keep_outs)
            # Half a cross of 4 mm, half its line of 0.1 mm, and 0.3 mm bare.
            for x, y in sheet.furniture.registration:
                x0, y0, x1, y1 = placed.outer.bounds
                assert max(x0 - x, x - x1, y0 - y, y - y1) >= 2.05 + 0.29 or not placed.outer.envelope.equals(
                    placed.outer
                )


def test_a_size_error_is_stated_for_the_longer_side_in_whole_centimetres() -> None:
    """Of A5 138 × 195 mm are printed on, upright or across."""
    assert longest(jobs.film(), jobs.PRINTER) == 190.0
    assert longest(replace(jobs.film(), width=210.0, height=148.0), jobs.PRINTER) == 200.0
