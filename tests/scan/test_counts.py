"""Counts of cells that fill a room: whole numbers, ranked by what each misses."""

from __future__ import annotations

import pytest

from decalgen.commands.scan import counts_told
from decalgen.commands.scan_words import ScanWordsError, room_of
from decalgen.core.errors import DecalgenError
from decalgen.scan.counts import FilledSize, likely_counts
from decalgen.scan.remains import FoundValue, PatternFit


def torn(columns: int, rows: int, least: tuple[bool, bool] = (True, False), u: float = 0.002) -> PatternFit:
    """Checks of 2.4 x 2.0 mm of which so many are seen."""
    values = (
        FoundValue("cell width", 2.4, u, 0.6),
        FoundValue("cell height", 2.0, u, 0.6),
        FoundValue("columns", columns, 0.0, 0.6, "", "", least[0]),
        FoundValue("rows", rows, 0.0, 0.6, "", "", least[1]),
    )
    return PatternFit("checks", values, ((0.1, 0.1, 0.1), (0.8, 0.8, 0.8)), (0, 1), 0.7)


def test_the_count_that_fills_the_room_comes_first_with_what_it_misses() -> None:
    best, *rest = likely_counts(torn(8, 3), FilledSize((24.05, 6.0), (0.05, 0.05)))
    assert (best.columns, best.rows) == (10, 3)
    # By hand: 10 x 2.4 - 24.05 = -0.05, u = sqrt((10 x 0.002)^2 + 0.05^2) = 0.0539.
    assert best.off == pytest.approx((-0.05, 0.0)) and best.u[0] == pytest.approx(0.0539, abs=1e-4)
    assert best.fits and not any(one.fits for one in rest)
    assert {one.columns for one in rest} == {9, 11} and {one.rows for one in rest} == {3}


def test_fewer_than_were_seen_is_never_offered_and_what_is_whole_is_kept() -> None:
    found = likely_counts(torn(9, 4), FilledSize((19.2, 6.0), (0.05, 0.05)))
    assert min(one.columns for one in found) == 9 and {one.rows for one in found} == {4}
    assert not any(one.fits for one in found)
    both = likely_counts(torn(8, 2, (True, True)), FilledSize((24.0, 6.0), (0.05, 0.05)))
    assert (both[0].columns, both[0].rows) == (10, 3)


def test_it_is_said_when_more_than_one_would_do_or_none() -> None:
    assert counts_told(torn(8, 3), room_of("24 mm x 6 mm"))[0].strip().startswith("10 \u00d7 3 cells fill 24.00")
    rough = counts_told(torn(8, 3), room_of("25.2 mm ± 3 x 6 mm ± 0.1"))
    assert "cannot be told which" in rough[0]
    none = counts_told(torn(8, 3), room_of("25 mm x 6 mm"))
    assert none[0].strip().startswith("no counts of cells fill")
    assert none[1].strip() == "10 × 3 cells: 1.00 ± 0.06 mm too narrow, 0.00 ± 0.04 mm off up"


@pytest.mark.parametrize("text", ["24 mm", "24 x 6", "big", "-24 mm x 6 mm"])
def test_a_room_that_cannot_be_read_is_told(text: str) -> None:
    with pytest.raises(ScanWordsError) as told:
        room_of(text)
    assert "--fills" in told.value.fix


def test_only_checks_have_cells() -> None:
    stripes = PatternFit("rectangle", (), (), (), 0.7)
    with pytest.raises(DecalgenError, match="counts the cells of checks"):
        counts_told(stripes, FilledSize((24.0, 6.0), (0.05, 0.05)))
