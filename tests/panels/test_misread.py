"""What a misread reading looks like: common practice, no source."""

from __future__ import annotations

import pytest

from decalgen.panels.misread import misreading


@pytest.mark.parametrize(
    ("values", "looks"),
    [
        ((22.40, 22.42, 24.20), "two digits of 24.20 look swapped: "),
        ((24.31, 24.33, 42.32), "two digits of 42.32 look swapped: "),
        ((22.40, 22.42, 42.22), ""),
        ((22.40, 22.42, 32.41), "32.41 looks 10 mm out: "),
        ((22.40, 22.42, 12.38), "12.38 looks 10 mm out: "),
        ((22.40, 22.42, 23.41), "23.41 looks 1 mm out: "),
        ((22.40, 22.42, 0.88), "0.88 looks like inches: "),
        ((22.40, 22.42, 224.1), "the point of 224.10 looks one place off: "),
        ((22.40, 22.42, 2.24), "the point of 2.24 looks one place off: "),
        ((22.40, 22.42, 25.00), ""),
        ((22.40, 24.20), "two digits of one of them look swapped: "),
        ((12.40, 22.41), "one of them looks 10 mm out: "),
        ((22.41, 0.882), "one of them looks like inches: "),
        ((22.41, 25.00), ""),
        ((0.0, 0.5), ""),
    ],
)
def test_the_slip_is_named(values: tuple[float, ...], looks: str) -> None:
    assert misreading(values) == looks
