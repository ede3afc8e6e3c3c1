"""What is typed at the bench, as it goes into a job file."""

from __future__ import annotations

import pytest

from decalgen.commands.readings_typed import typed_reading


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("", "?"),
        (" ? ", "?"),
        ("22.4", "22.4 mm"),
        ("22,4", "22.4 mm"),
        ("2.24e1", "22.4 mm"),
        ("2,24E+1 22.5", ["22.4 mm", "22.5 mm"]),
        ("1e6", "1000000 mm"),
        ("1e600", "1e600"),
        ("panels.e2", "panels.e2"),
        (" 22.40 mm ", "22.40 mm"),
        ("2.24cm", "2.24 cm"),
        ("0,882 in", "0.882 in"),
        ('0.882"', '0.882 "'),
        ("7/8 in", "7/8 in"),
        ("1 3/8 in", "1 3/8 in"),
        ("22.4 ± 0,05", "22.4 mm ± 0.05"),
        ("22.4 +/- 0.05 mm", "22.4 mm ± 0.05 mm"),
        ("22.4 22.5 22,3", ["22.4 mm", "22.5 mm", "22.3 mm"]),
        ("22,40; 22,42; 22,38", ["22.40 mm", "22.42 mm", "22.38 mm"]),
        ("22.40, 22.42, 22.38 mm", ["22.40 mm", "22.42 mm", "22.38 mm"]),
        ("0.88 in 0.87 in", ["0.88 in", "0.87 in"]),
        ("22.4 22.5 ± 0.1", ["22.4 mm ± 0.1", "22.5 mm ± 0.1"]),
        ("22.4 by steel rule", "22.4 mm by steel rule"),
        ("-1", "-1 mm"),
        ("\N{MINUS SIGN}1,5 ± 0.05", "\N{MINUS SIGN}1.5 mm ± 0.05"),
        ("-1 -1.1 -0.9 mm", ["-1 mm", "-1.1 mm", "-0.9 mm"]),
        ("panels.door.width - 2 mm", "panels.door.width - 2 mm"),
    ],
)
def test_sizes(typed: str, written: object) -> None:
    assert typed_reading(typed) == written


def test_an_angle_is_degrees() -> None:
    assert typed_reading("14,5", angle=True) == "14.5°"
    assert typed_reading("14.5 deg 15", angle=True) == ["14.5 deg", "15 deg"]
