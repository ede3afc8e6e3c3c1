"""Pins of a decal on both hands: in order, or each with its hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core.errors import JobError
from decalgen.job.loader import load_job
from tests.bench.sheeting import JOB


def read(tmp_path: Path, pin: str, hands: str = "both") -> list[tuple[float, int] | None]:
    """Where each piece of a decal of two copies a hand is pinned, x and turn."""
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.replace("    hands: both\n", f"    hands: {hands}\n    pin: {pin}\n"), encoding="utf-8")
    pins = load_job(path).decals[0].pins
    return [None if one is None else (one.at[0], one.turn) for one in pins]


@pytest.mark.parametrize(
    ("pin", "found"),
    [
        ("{at: [1 mm, 2 mm]}", [(1.0, 0)]),
        ("[{at: [1 mm, 2 mm]}, {at: [2 mm, 2 mm]}, {at: [3 mm, 2 mm]}]", [(1.0, 0), (2.0, 0), (3.0, 0)]),
        ("{at: [1 mm, 2 mm], hand: right, turn: 90}", [None, None, (1.0, 90)]),
        ("[{at: [1 mm, 2 mm], hand: right}, {at: [2 mm, 2 mm], hand: left}]", [(2.0, 0), None, (1.0, 0)]),
        # Those that name a hand come first of it; the others take what is left, in order.
        ("[{at: [1 mm, 2 mm]}, {at: [2 mm, 2 mm]}, {at: [3 mm, 2 mm], hand: left}]", [(3.0, 0), (1.0, 0), (2.0, 0)]),
    ],
)
def test_a_pin_is_for_the_piece_of_its_hand(tmp_path: Path, pin: str, found: list[tuple[float, int] | None]) -> None:
    assert read(tmp_path, pin) == found


@pytest.mark.parametrize(
    ("pin", "hands", "message"),
    [
        ("{at: [1 mm, 2 mm], hand: right}", "left", "a pin names a hand, but the decal is not printed for both"),
        (
            "[{at: [1 mm, 2 mm], hand: right}, {at: [2 mm, 2 mm], hand: right}, {at: [3 mm, 2 mm], hand: right}]",
            "both",
            "more pins for one hand than its 2 pieces",
        ),
    ],
)
def test_a_pin_of_a_hand_that_is_not_there_is_told(tmp_path: Path, pin: str, hands: str, message: str) -> None:
    with pytest.raises(JobError) as wrong:
        read(tmp_path, pin, hands)
    assert wrong.value.problems[0].message == message and wrong.value.problems[0].fix
