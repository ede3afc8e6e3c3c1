"""Every slip of measuring, from a job file through the command: the place, the fix, the exit code, no traceback."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.commands import Run, runner

JOB = """job: t
body: white
scale: "1:43"
film: white
inks: {red: {colour: "#c00000"}}
panels:
  side: PANEL
decals:
  band: {panel: side, width: 6 mm, height: 3 mm, MORE artwork: [field: {ink: red}]}
"""
VENT = "{width: 20 mm, height: 6 mm, obstacles: {vent: {rectangle: [16 mm, 5 mm], at: [2 mm, 0.5 mm]}}}"
HOLE = "{circle: 2 mm, at: [30 mm, 3 mm]}"
SQUARE = "outline: [[0 mm, 0 mm], [20 mm, 0 mm], [20 mm, 6 mm], [0 mm, 6 mm]]"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys)


@pytest.mark.parametrize(
    ("panel", "more", "code", "words", "fix"),
    [
        ("{chord: 20 mm, rise: 11 mm, length: 9 mm}", "", 2, "more than half the chord 20 mm", "straight line"),
        ("{radius: -5 mm, chord: 8 mm, length: 9 mm}", "", 2, "-5 mm is outside what is possible", "at least 0.001"),
        ("{bottom width: 20 mm, left inset: 12 mm, right inset: 9 mm, height: 6 mm}", "", 2, "cross before", "top"),
        (f"{{{SQUARE}, obstacles: {{hole: {HOLE}}}}}", "", 2, "'hole' (29.00 to 31.00 mm across", "lower left corner"),
        (VENT, "", 0, "warning on-obstacle: band: lies on 'vent'", "`cut around: [vent]`"),
        (VENT, "cut around: vent,", 7, "'vent' on panel 'side' leaves nothing of the decal", "move the decal"),
        ("{width: 20 mm ± 25 mm, height: 6 mm}", "", 2, "uncertainty of width is as large as", "largest error"),
        ("{width: 22.4 in, height: 11.6 mm}", "", 0, "warning size-unlikely: side: 568.96 x 11.60 mm", "write 22.4 mm"),
        ("{width: 20 mm, height: 6 mm, instrument: rular}", "", 2, "no instrument 'rular'", "steel rule"),
    ],
    ids=[
        "rise over half the chord",
        "negative radius",
        "taper that crosses itself",
        "hole outside",
        "obstacle under the decal",
        "obstacle that takes it all",
        "uncertainty over the value",
        "inches",
        "instrument",
    ],
)
def test_a_slip_is_told_with_its_place_and_fix(
    run: Run, tmp_path: Path, panel: str, more: str, code: int, words: str, fix: str
) -> None:
    file = tmp_path / "t.yaml"
    file.write_text(JOB.replace("PANEL", panel).replace("MORE", more), encoding="utf-8")
    said = run("check", str(file))
    assert said.code == code
    assert words in said.text and "Traceback" not in said.text
    told = re.search(rf"t\.yaml:(\d+):\d+: [^\n]*{re.escape(words)}.*?fix: ([^\n]*)", said.text, re.DOTALL)
    assert told is not None and int(told[1]) in (7, 9) and fix in told[2]
