"""A ± that borrows a unit other than mm is told as it was read."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core.lengths import borrowed_unit, length
from decalgen.job.loader import load_job

JOB = """job: tug
body: white
panels:
  door: {{width: {width}, height: 11.60 mm ± 0.05}}
"""


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("2.24 cm ± 0.05", "2.24 cm ± 0.05 cm, that is 22.4 mm ± 0.5 mm"),
        ("0.882 in ± 0.002", "0.882 in ± 0.002 in, that is 22.4 mm ± 0.0508 mm"),
        ('0.882" +/- 0.002', "that is 22.4 mm ± 0.0508 mm"),
        ("2.24 ± 0.05 cm", "2.24 cm ± 0.05 cm, that is 22.4 mm ± 0.5 mm"),
        ("2.24 cm u 0.03", "2.24 cm u 0.03 cm, that is 22.4 mm u 0.3 mm"),
        ("2.24 cm ± 1/20", "2.24 cm ± 1/20 cm, that is 22.4 mm ± 0.5 mm"),
        ("3 mm + 2.24 cm ± 0.05", "2.24 cm ± 0.05 cm"),
    ],
)
def test_a_unit_that_is_borrowed_is_said(text: str, read: str) -> None:
    remark = borrowed_unit(text)
    assert remark is not None and read in remark.message
    assert length(text).value == pytest.approx(22.4 + (3 if text.startswith("3 mm") else 0), abs=0.01)
    assert text[remark.start : remark.start + remark.length].strip()


@pytest.mark.parametrize(
    "text", ["22.4 mm ± 0.05", "22.4 ± 0.05 mm", "2.24 cm ± 0.5 mm", "2.24 cm ± 0.05 cm", "2.24 cm", "22.4", "± 3", ""]
)
def test_what_can_be_read_in_one_way_is_not_remarked(text: str) -> None:
    assert borrowed_unit(text) is None


def test_the_units_of_the_rewritten_value_are_those_it_was_read_with() -> None:
    remark = borrowed_unit("2.24 cm ± 0.05")
    assert remark is not None
    rewritten = remark.message.removeprefix("read as ").partition(",")[0]
    assert length(rewritten) == length("2.24 cm ± 0.05") and borrowed_unit(rewritten) is None


def test_a_job_notes_it_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.format(width="2.24 cm ± 0.05"), encoding="utf-8")
    (note,) = load_job(path).notes
    assert (note.severity, note.code) == ("note", "unit-taken") and "2.24 cm ± 0.05 cm" in note.message
    assert note.place is not None and (note.place.line, note.place.column) == (4, 17)
    path.write_text(JOB.format(width="[2.24 cm ± 0.05 cm by ruler, 22.4 mm]"), encoding="utf-8")
    assert load_job(path).notes == ()
