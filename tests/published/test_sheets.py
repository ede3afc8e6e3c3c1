"""The formats of sheets against the standards they name."""

from __future__ import annotations

import math

import pytest

from decalgen.job.loader import load_film, sheet_sizes


def sizes() -> dict[str, tuple[float, float]]:
    """Width and height of each format, mm."""
    return {size.name: (size.width, size.height) for size in sheet_sizes()}


# ISO 216: A4 is 210 x 297 mm and A5 148 x 210 mm. ANSI/ASME Y14.1: size A is 8.5 x 11 in; its half is 5.5 x 8.5 in.
@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        ("A4", 210.0, 297.0),
        ("A5", 148.0, 210.0),
        ("Letter", 8.5 * 25.4, 11 * 25.4),
        ("Half Letter", 5.5 * 25.4, 8.5 * 25.4),
    ],
)
def test_sizes_of_paper(name: str, width: float, height: float) -> None:
    assert sizes()[name] == pytest.approx((width, height), abs=1e-9)
    film = load_film(f"white {name}")
    assert (film.width, film.height) == pytest.approx((width, height), abs=1e-9)


def test_rules_of_the_a_series() -> None:
    """ISO 216: A0 has 1 m2 and sides as 1 to the root of 2; each next size is the last one halved along its long side,
    rounded down to whole millimetres."""
    width, height = 841.0, 1189.0
    assert width * height == pytest.approx(1e6, rel=1e-3) and height / width == pytest.approx(math.sqrt(2), rel=1e-3)
    series = [(width, height)]
    for _ in range(5):
        width, height = math.floor(height / 2), width
        series.append((width, height))
    assert sizes()["A4"] == series[4] and sizes()["A5"] == series[5]
