"""Every finding leads somewhere on the page: to its decal, to the reading it is about, or to a screen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.registry import SCREENS
from decalgen.bench.screens.check import finding_data
from decalgen.bench.screens.measure import slots
from decalgen.core.errors import Finding
from tests.preflight.test_codes import rows

SHARED = 'panels:\n  roof: {width: "?", height: 9 mm}\ninks: {teal: {colour: "#1f7f86"}}\n'
JOB = """\
job: tug
body: navy
include: [shared.yaml]
panels:
  door: {width: 22.4 mm, height: 11.6 mm}
decals:
  band: {panel: door, width: 5 mm, height: 2 mm, artwork: [{field: {ink: teal}}]}
"""


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    (tmp_path / "shared.yaml").write_text(SHARED, encoding="utf-8")
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    return Desk(path)


def led(desk: Desk, code: str, subject: str) -> dict[str, Any]:
    return finding_data(desk, Finding("error", code, subject, "is wrong", "correct it"), slots(desk))


@pytest.mark.parametrize("code", sorted(rows()))
def test_every_finding_has_a_way_to_it(desk: Desk, code: str) -> None:
    for subject in ("band", "band, right", "door", "roof", "teal", "navy", "tug", "sheet", "white A5"):
        found = led(desk, code, subject)
        ways = [bool(found["decal"]), bool(found["ask"]), bool(found["go"])]
        assert ways.count(True) == 1, subject
        assert not found["go"] or found["go"]["screen"] in SCREENS


@pytest.mark.parametrize(
    ("code", "subject", "go"),
    [
        ("film-process", "white A5", {"screen": "sheet"}),
        ("film-unsuited", "white A5", {"screen": "sheet"}),
        ("film-too-small", "sheet", {"screen": "sheet"}),
        ("cannot-print", "sheet", {"screen": "sheet"}),
        ("nothing-to-print", "sheet", {"screen": "draw"}),
        ("unmeasured", "roof", {"screen": "measure"}),
        ("ink-metallic", "teal", {"screen": "draw", "names": "open"}),
        ("body-matt", "navy", {"screen": "draw", "names": "open"}),
        ("drift", "desk inkjet", {"screen": "printer"}),
    ],
)
def test_what_is_about_no_decal_leads_to_its_screen(desk: Desk, code: str, subject: str, go: dict[str, str]) -> None:
    assert code in rows() and led(desk, code, subject)["go"] == go


def test_a_reading_of_the_file_itself_is_asked(desk: Desk) -> None:
    found = led(desk, "size-unlikely", "door")
    assert found["ask"] == ["panels", "door", "width"] and not found["go"]
