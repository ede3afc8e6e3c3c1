"""`decalgen scan --template`: what it says, draws and puts into a job, and that nothing else changes."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from decalgen.commands.scan_words import ScanWordsError
from decalgen.commands.template_words import points, template_request
from decalgen.job.loader import load_job
from decalgen.scan.template.values import GivenCorner
from tests.helpers.commands import Run, runner
from tests.scan.templates import Faults, MadeTemplate, Panel, template

JOB = """\ufeff# mine\r
job: van\r
body: grey\r
inks: {harbour teal: "#1f7f86"}   # as on the tin\r
panels:\r
    # the left one\r
    door:\r
        hand: left\r
        width: 30 mm   # by caliper\r
        height: 12 mm\r
        obstacles: {handle: {circle: 1 mm, at: [4 mm, 5 mm]}}\r
decals:\r
    line:\r
        panel: door\r
        width: 10 mm\r
        height: 1 mm\r
        artwork: [{stripe: {ink: harbour teal, stripe width: 1 mm}}]\r
"""
LID = Panel("door", [(0, 0), (14, 0), (12, 10), (0, 10)], [0.0] * 4, [0.0, 0.0, 0.8, 0.0])
TAPE = ("scan", "tape.png", "--dpi", "150", "--template", "tape")


@cache
def lid() -> MadeTemplate:
    return template(LID, Faults(card=False, margin=4.0, turn=1.0, noise=1.0), 150.0, 5)


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """A folder with a job and the scan of a template."""
    monkeypatch.chdir(tmp_path)
    Path("van.yaml").write_bytes(JOB.encode())
    Path("tape.png").write_bytes(lid().data)
    return runner(capsys)


def at() -> str:
    kinds = ["", "", " arc", ""]
    return " ".join(f"{x:.0f},{y:.0f}{kind}" for (x, y), kind in zip(lid().pixels, kinds, strict=True))


def test_it_tells_corners_and_sides_and_draws_the_fit(bench: Run) -> None:
    said = bench(*TAPE, "--points", at(), "--width", "14.00 mm ± 0.05", "-o", "fit.svg")
    assert said.code == 0
    assert "panel of 4 corners, 14.0" in said.out and "corner 3" in said.out
    assert "side 3, to corner 4  arc, rise 0." in said.out
    drawn = Path("fit.svg").read_text(encoding="utf-8")
    # The picture in it, the sides with a white line under each, and four numbers on plates.
    assert drawn.count("<image") == 1 and drawn.count('stroke="#ffffff"') >= 4 and drawn.count('fill="#ffffff"') >= 4


def test_into_a_job_goes_one_panel_and_nothing_else_changes(bench: Run) -> None:
    said = bench(*TAPE, "--points", at(), "--into", "van.yaml", "--panel", "lid")
    assert said.code == 0 and "panel 'lid' added" in said.out
    after = Path("van.yaml").read_bytes().decode()
    lines = iter(after.split("\r\n"))
    assert all(line in lines for line in JOB.split("\r\n"))
    assert "    # read from tape.png, corners given; the size by 150 dpi" in after
    assert "    # corner 2: 14." in after and "± is U, k = 2" in after
    panel = next(one for one in load_job("van.yaml").panels if one.name == "lid")
    assert panel.kind == "outline" and panel.width.value == pytest.approx(14.0, abs=0.4)
    assert panel.height.value == pytest.approx(10.8, abs=0.5)
    assert bench("check", "van.yaml").code == 0


def test_a_panel_that_is_there_is_replaced_only_when_asked(bench: Run) -> None:
    words = (*TAPE, "--points", at(), "--into", "van.yaml", "--panel", "door")
    said = bench(*words)
    assert said.code == 2 and "has a panel 'door' already" in said.err and "--instead" in said.err
    assert Path("van.yaml").read_bytes() == JOB.encode()
    assert bench(*words, "--instead").code == 0
    after = Path("van.yaml").read_bytes().decode()
    assert "# by caliper" not in after and "    # the left one\r\n" in after and "        hand: left\r\n" in after
    panel = next(one for one in load_job("van.yaml").panels if one.name == "door")
    assert panel.kind == "outline" and [one.name for one in panel.obstacles] == ["handle"]


@pytest.mark.parametrize(
    ("words", "message", "fix"),
    [
        (["--points", "1,2 3,4"], "2 corners make no outline", "--points"),
        (["--points", "round 1,2 3,4 5,6"], "'round' is not a corner", "--points"),
        (["--points", "1,2 bent 3,4 5,6"], "'bent' is neither a corner nor line, arc, round", "--points"),
        (["--points", "1,2 arc 3,4 round 5,6"], "corner 2 is round and has an arc beside it", "leave `round` out"),
        (["--width", "wide"], "--width: 'wide' is not a length", "22.40 mm"),
        (["--height", "2 km"], "--height", "22.40 mm"),
        (["--value", "columns = 3"], "--value is for a pattern", "leave out --value"),
        (["--as", "checks"], "--as is for a pattern", "leave out --as"),
        (["--chart", "1,1 9,1 9,9 1,9 = chart.txt"], "--chart is for a pattern", "leave out --chart"),
        (["--tolerance", "0.02 mm"], "--tolerance is for a pattern", "leave out --tolerance"),
    ],
)
def test_mistakes_in_words_have_one_message_each(bench: Run, words: list[str], message: str, fix: str) -> None:
    said = bench(*TAPE, *words)
    assert said.code == 2 and message in said.err and fix in said.err
    assert Path("van.yaml").read_bytes() == JOB.encode()


def test_options_of_a_panel_need_the_template_and_the_name(bench: Run) -> None:
    assert "add --template tape" in bench("scan", "tape.png", "--width", "14 mm").err
    assert "add --panel NAME" in bench(*TAPE, "--into", "van.yaml").err
    assert "add --into JOB" in bench(*TAPE, "--instead").err


def test_points_are_read_with_their_words() -> None:
    assert points("1,2 round; 3.5, 4 arc 5,6 line") == (
        GivenCorner((1.0, 2.0), True),
        GivenCorner((3.5, 4.0), False, "arc"),
        GivenCorner((5.0, 6.0), False, "line"),
    )
    with pytest.raises(ScanWordsError, match="not a kind of template"):
        template_request({"template": "wax"})
