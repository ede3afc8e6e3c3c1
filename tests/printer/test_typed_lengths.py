"""Readings as people type them: decimal commas, inches, and what cannot be one reading."""

from __future__ import annotations

import pytest

from decalgen.printer.target import CalibrationError
from decalgen.printer.typed_lengths import readings


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("99.85", [99.85]),
        (" 99.85  99,90 mm ", [99.85, 99.9]),
        ("119.6, 119.8", [119.6, 119.8]),
        ("119,6, 119,8", [119.6, 119.8]),
        ("119,6; 119,8", [119.6, 119.8]),
        ("119.62mm 120 mm", [119.62, 120.0]),
        ("3.937 in", [99.9998]),
        ('3,9370" 3.937inch', [99.9998, 99.9998]),
        ("+99.85", [99.85]),
        ("11.961 cm 11,96cm 119.6", [119.61, 119.6, 119.6]),
        ("", []),
    ],
)
def test_readings_are_millimetres(text: str, values: list[float]) -> None:
    """An inch is 25.4 mm exactly (international yard and pound agreement of 1959)."""
    assert readings(text) == pytest.approx(values)


@pytest.mark.parametrize(
    ("text", "says", "fix"),
    [
        ("-99.85", "is negative", "without the minus"),
        ("\u221299.85", "is negative", "without the minus"),
        ("3.94 in", "too coarse: one step of its last digit is 0.25 mm", "three decimals"),
        ("1,2,3", "more than one point or comma", "spaces"),
        ("1.234,5", "more than one point or comma", "spaces"),
        ("119,120", "one reading or two", "119.120, or 119 120"),
        ("nan", "is not a reading", "in mm"),
        ("1e3", "is not a reading", "in mm"),
        ("12 km", "'km' is not a reading", "in mm"),
        (",", "is not a reading", "in mm"),
    ],
)
def test_what_cannot_be_one_reading_is_said_with_a_fix(text: str, says: str, fix: str) -> None:
    with pytest.raises(CalibrationError) as caught:
        readings(text)
    assert says in caught.value.message and fix in caught.value.fix
