"""The formats of sheets against the standards they name."""

from __future__ import annotations

import math

import pytest

from decalgen.job.films import load_film, sheet_sizes


def sizes() -> dict[str, tuple[float, float]]:
    """Width and height of each format, mm."""
    return {size.name: (size.width, size.height) for size in sheet_sizes()}


# ISO 216: A4 is 210 x 297 mm and A5 148 x 210 mm, B4 250 x 353 mm and B5 176 x 250 mm. ANSI/ASME Y14.1: size A is
# 8.5 x 11 in, size B 11 x 17 in; half of A is 5.5 x 8.5 in. Legal is 8.5 x 14 in (common practice, no source).
@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        ("A4", 210.0, 297.0),
        ("A5", 148.0, 210.0),
        ("Letter", 8.5 * 25.4, 11 * 25.4),
        ("Half Letter", 5.5 * 25.4, 8.5 * 25.4),
        ("Tabloid", 11 * 25.4, 17 * 25.4),
        ("Legal", 8.5 * 25.4, 14 * 25.4),
        ("A3", 297.0, 420.0),
        ("A6", 105.0, 148.0),
        ("B4", 250.0, 353.0),
        ("B5", 176.0, 250.0),
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
    for _ in range(7):
        width, height = math.floor(height / 2), width
        series.append((width, height))
    assert [sizes()[f"A{number}"] for number in range(2, 8)] == series[2:]
