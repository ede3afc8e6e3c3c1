"""The file of positions: what is said where it is not there."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core.errors import InputError
from decalgen.sheet.positions import read_positions


@pytest.mark.parametrize(("count", "told"), [(6, True), (7, False)])
def test_positions_under_another_name_are_named_where_they_are_few(tmp_path: Path, count: int, told: bool) -> None:
    for n in range(count):
        (tmp_path / f"tug{n}.positions.json").write_text("{}", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_positions(tmp_path / "tug-proof.positions")
    assert ("tug0.positions.json" in (caught.value.fix or "")) is told
