"""The fit of each decal as the check tells it: figures, verdicts, findings, and what is to be measured again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.artwork.build import build_all
from decalgen.commands.check import check
from decalgen.commands.run import Run
from decalgen.job.model import Decal, Hand, Printer
from decalgen.panels.base import Obstacle, Panel
from decalgen.panels.dome import Dome
from decalgen.panels.flat import Flat
from decalgen.panels.readings import MeasuredValue
from decalgen.preflight import Fitting
from decalgen.preflight.fitting import fitting
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.helpers.checks import check_jobs


def door(width: MeasuredValue = None, *obstacles: Obstacle) -> Panel:
    """A door of 22.40 ± 0.05 by 11.60 ± 0.05 (limits)."""
    panel = Flat(width=width or jobs.quantity(22.4, "door.width", 0.05 / 3**0.5), height=jobs.quantity(11.6)).build(
        "door"
    )
    return replace(panel, obstacles=obstacles)


def judged(decal: Decal, panel: Panel, hand: Hand | None = None) -> Fitting:
    """The fit of one hand."""
    job = jobs.job(decal, panels=(panel,))
    return fitting(build_all(job, decal, hand), decal, job)


def codes(decal: Decal, panel: Panel) -> list[tuple[str, str]]:
    """Severity and code of what the whole check finds about the fit."""
    found = check_jobs([jobs.job(decal, panels=(panel,))], Printer())
    others = ("thin-line", "thin-gap", "bleed-short", "uncertainty-assumed")
    return [(f.severity, f.code) for f in found if f.code not in others]


def field(width: float, height: float = 4.0, **more: object) -> Decal:
    """An orange field."""
    return jobs.decal("band", width, height, jobs.element("field", ink="orange"), **more)


def row(one: Fitting, label: str) -> str:
    """The row of the table with that label."""
    (found,) = [line.strip() for line in one.lines() if line.strip().startswith(label)]
    return " ".join(found.split())


def test_a_note_of_the_job_is_repeated_under_its_decal() -> None:
    noted = judged(replace(field(20.0), note="soften,  and press\nfrom the middle"), door())
    assert row(noted, "note") == "note soften, and press from the middle"
    assert not [line for line in judged(field(20.0), door()).lines() if line.strip().startswith("note")]


def test_the_figures_by_hand() -> None:
    """20 on 22.40 ± 0.05: 1.20 a side; U = 2 x 0.05/sqrt 3 / 2 = 0.029 for each side, 0.058 for the room (JCGM
    100:2008 4.3.7, worked here)."""
    one = judged(field(20.0), door())
    assert row(one, "left edge") == "left edge +1.20 ± 0.03 mm"
    assert row(one, "right edge") == "right edge +1.20 ± 0.03 mm"
    assert row(one, "spare width") == "spare width +2.40 ± 0.06 mm"
    assert row(one, "size") == "size 20.00 ± 0.00 mm wide, 4.00 ± 0.00 mm high"
    assert one.lines()[0].strip() == "band, on door: fits"


@pytest.mark.parametrize(
    ("width", "verdict", "found"),
    [
        (22.30, "fits", []),
        (22.40, "not known", [("warning", "fit-not-known")]),
        (22.44, "not known", [("warning", "fit-not-known")]),
        (22.50, "too big", [("error", "off-panel")]),
    ],
)
def test_verdicts_on_both_sides_of_nothing(width: float, verdict: str, found: list[tuple[str, str]]) -> None:
    decal = field(width, margin=0.0, bleed=0.0)
    assert judged(decal, door()).fit.verdict == verdict
    assert codes(decal, door()) == found


def test_what_is_to_be_measured_again_is_named() -> None:
    one = judged(field(22.40, margin=0.0, bleed=0.0), door())
    assert row(one, "measure again").startswith("measure again width of door (100% of")
    (finding,) = one.findings
    assert "measure width of door again" in finding.fix


def test_the_bare_margin_counts() -> None:
    assert codes(field(22.0, margin=0.0, bleed=0.0), door()) == []
    assert ("error", "off-panel") in codes(field(22.0, margin=0.5), door())


HANDLE = Obstacle("handle", jobs.outline(16.5, 8.2, 3.0, 0.8), 0.3)
SHUT = Obstacle("shut line", jobs.outline(8.0, -0.5, 0.4, 12.6), 0.0, gap=True)


def test_an_obstacle_in_the_way_is_a_warning_until_the_film_is_cut_around_it() -> None:
    over = field(20.0, 9.0)
    assert codes(over, door(None, HANDLE)) == [("warning", "on-obstacle")]
    around = replace(over, cut_around=("handle",))
    assert codes(around, door(None, HANDLE)) == []
    assert row(judged(around, door(None, HANDLE)), "cut around") == "cut around handle"


def test_a_gap_run_across_is_a_note_until_the_decal_is_split() -> None:
    over = field(20.0)
    assert codes(over, door(None, SHUT)) == [("note", "across-gap")]
    assert row(judged(over, door(None, SHUT)), "shut line gap") == "shut line gap runs across it"
    parted = replace(over, split_at=("shut line",))
    assert codes(parted, door(None, SHUT)) == []
    assert judged(parted, door(None, SHUT)).fit.verdict == "fits"


def test_a_sliver_beside_a_gap_is_told() -> None:
    """From x = 7.2 to the gap at 8.0: 0.8 mm."""
    decal = field(13.0, at=At("bottom left", 7.2, 2.0), split_at=("shut line",), margin=0.0)
    assert codes(decal, door(None, SHUT)) == [("warning", "section-narrow")]


def test_the_right_hand_meets_the_mirrored_obstacle_with_the_same_clearance() -> None:
    decal = field(4.0, at=At("left", 1.0, 0.0), hands="both")
    left, right = (judged(decal, door(None, HANDLE), hand) for hand in ("left", "right"))
    assert left.title == "band, left" and right.title == "band, right"
    assert row(left, "handle") == row(right, "handle")
    assert row(left, "left edge").split()[2:] == row(right, "right edge").split()[2:]


def test_a_right_panel_measured_itself_is_not_mirrored() -> None:
    panel = replace(door(None, HANDLE), hand="right")
    decal = field(4.0, at=At("left", 1.0, 0.0), hands="both")
    right = judged(decal, panel, "right")
    assert row(right, "left edge").split()[2] == "+1.00"


def dome() -> Panel:
    """A lid on a sphere of 18 mm."""
    return Dome(width=13.0, height=12.0, radius_across=18.0, radius_up=18.0).build("door")


def test_strain_is_told_with_what_helps() -> None:
    """10 mm across on 18: 1 - sin x/x at x = 5/18, 1.28 % at the rim of a disc."""
    disc = jobs.decal("spot", 10.0, 10.0, jobs.element("field", ink="orange"), cut=jobs.Cut("round"))
    one = judged(disc, dome())
    assert one.strain is not None
    assert "strain 1.3%" in row(one, "film")
    assert [(f.severity, f.code) for f in one.findings] == [("note", "strain-softener")]


def test_splitting_eases_the_strain() -> None:
    whole = field(11.0, 4.0)
    middle = Obstacle("line", jobs.outline(6.0, -0.5, 0.4, 16.0), 0.0, gap=True)
    panel = replace(dome(), obstacles=(middle,))
    before, after = judged(whole, panel).strain, judged(replace(whole, split_at=("line",)), panel).strain
    assert before is not None and after is not None
    assert after.most.value < before.most.value / 2


JOB = """job: t
body: white
film: white
inks: {red: {colour: "#c00000"}}
panels:
  door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}
decals:
  band: {panel: door, hands: both, width: 20 mm, height: 4 mm, artwork: [field: {ink: red}]}
  label: {panel: door, width: 22.40 mm, height: 2 mm, artwork: [field: {ink: red}]}
"""


def test_the_command_prints_a_table_of_every_decal_and_hand(tmp_path: Path) -> None:
    file = tmp_path / "t.yaml"
    file.write_text(JOB, encoding="utf-8")
    lines = check(Run([file])).answer.whole
    heads = [line.strip() for line in lines if ", on door" in line]
    assert heads == ["band, left, on door: fits", "band, right, on door: fits", "label, on door: not known"]
    assert sum("left edge" in line for line in lines) == 3
    assert lines[-1].startswith("± is the expanded uncertainty (k = 2)")
