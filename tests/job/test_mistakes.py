"""One job with all the mistakes people make: everything that is said about it, in one run.

The golden is written by the program and read by a person: after a change of wording look through the difference,
then copy what the failing test prints.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from decalgen.core.errors import JobError
from decalgen.job.loader import load_job

GOLDENS = Path(__file__).parent / "goldens"


def test_everything_is_said_in_one_run(monkeypatch):
    monkeypatch.chdir(GOLDENS)
    with pytest.raises(JobError) as caught:
        load_job("bad.yaml")
    assert str(caught.value) + "\n" == (GOLDENS / "bad.txt").read_text(encoding="utf-8")
    assert caught.value.exit_code == 2


def test_the_golden_itself_keeps_the_form():
    """file:line:column: what, the line itself, carets below exactly the words, fix."""
    lines = (GOLDENS / "bad.yaml").read_text(encoding="utf-8").split("\n")
    blocks = re.split(r"(?m)^(?=bad\.yaml)", (GOLDENS / "bad.txt").read_text(encoding="utf-8"))[1:]
    assert len(blocks) > 30
    before = (0, 0)
    for block in blocks:
        head, shown, carets, fix = block.rstrip("\n").split("\n")
        found = re.fullmatch(r"bad\.yaml:(\d+):(\d+): \S.*", head)
        assert found, head
        place = (int(found.group(1)), int(found.group(2)))
        assert place >= before
        before = place
        assert shown == "    " + lines[place[0] - 1].rstrip()
        assert re.fullmatch(r" +\^+", carets)
        assert carets.index("^") == 4 + place[1] - 1
        # Words, or the whole line as it should read, which begins as the line that stands there does.
        assert re.fullmatch(rf"    fix: (?:{shown[4 : len(shown) - len(shown.lstrip())]})?\S.*", fix)


def test_a_mended_job_is_read(folder):
    """The fixes, taken as they are given, make the mistake go away."""
    text = (GOLDENS / "bad.yaml").read_text(encoding="utf-8")
    for wrong, right in (
        ("scale: 43", "scale: 1:43"),
        ("14.3.2026", '"2026-03-14"'),
        ("body: navi", "body: navy"),
        ("withe", "white"),
        ("trim: #c8102e\n  }", 'trim: "#c8102e"}'),
        ("wite}", "white}"),
        ("colur:", "colour:"),
        ('"#2f6b"', '"#2f6b3c"'),
        ("0,4 mm", "0.4 mm"),
        ("widht", "width"),
        ("clearance: 0.3}", "clearance: 0.3 mm}"),
        ("circel", "circle"),
        ("1.10 ± 0.10", "1.10 mm ± 0.10"),
        ("boot: {length: 3 mm}", "boot: {length: 3 mm, tape: 4 mm}"),
        ("rows: 1e9, columns: 12.5", "rows: 2, columns: 13"),
        ("topp", "top"),
        ("lifeboy", "lifebuoy"),
        ("feild", "field"),
        ("panel: tailgat\n", "panel: tailgate\n"),
        ("field: {}", "field: {ink: white}"),
        ("booth", "both"),
        ("botom, offset: [0 mm, 1.2]", "bottom, offset: [0 mm, 1.2 mm]"),
        ("panel.width - 2\n", "panel.width - 2 mm\n"),
        ("    margin:\n", ""),
        (
            "{kind: outline, corner radius: 0.5 mm}",
            "{kind: outline, points: [[0 mm, 0 mm], [9 mm, 0 mm], [9 mm, 5 mm]]}",
        ),
        ("wrod", "word"),
        ("cap_height", "cap height"),
        ("bottom + 0.5,", "bottom + 0.5 mm,"),
        ("Archivoo", "Archivo"),
        ("decal.height / 0", "decal.height / 8"),
        ("45 mm", "45°"),
        ("spares: 300", "spares: 3"),
        ("copies: 300", "copies: 3"),
        ("door-bnad", "door-band"),
        ("Number:", "other number:"),
        ("perhaps", "yes"),
        ("{titel: Harbour pick-up, pilot livery}", '{title: "Harbour pick-up, pilot livery"}'),
    ):
        assert wrong in text
        text = text.replace(wrong, right)
    (folder / "good.yaml").write_text(text, encoding="utf-8")
    job = load_job("good.yaml")
    assert [decal.name for decal in job.decals] == [
        "door band",
        "tailgate stripe",
        "tailgate band",
        "number",
        "other number",
    ]
    assert load_job("good.yaml", "pilot").title == "Harbour pick-up, pilot livery"
