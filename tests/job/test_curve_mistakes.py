"""Mistakes with curves in a job file: each one message with its place and a fix, and what the fix says helps."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from decalgen.cli.main import cli
from decalgen.core.errors import DecalgenError

JOB = """\
job: trial
body: white
film: white
inks: {{soot: {{colour: '#222222'}}}}
panels: {{door: {{width: 40 mm ± 0.05, height: 20 mm ± 0.05}}}}
decals:
  sweep:
    panel: door
    width: 38 mm
    height: 18 mm
    artwork:
      - {shape}
"""
SMALL_LOOP = "closed: yes, points: [[10 mm, 5 mm], [15 mm, 10 mm], [10 mm, 15 mm], [5 mm, 10 mm]]"
BEND = "points: [[2 mm, 3 mm], [15 mm, 14 mm], [16 mm, 14.5 mm], [17 mm, 14 mm], [30 mm, 3 mm]]"
OUT = "points: [[2 mm, 10 mm], [15 mm, 16 mm], [20 mm, 20 mm], [25 mm, 16 mm], [36 mm, 10 mm]]"

MISTAKES = {
    "two equal points": (
        "curve: {ink: soot, line width: 1 mm, points: [[1 mm, 1 mm], [5 mm, 5 mm], [5 mm, 5 mm], [9 mm, 1 mm]]}",
        "points 2 and 3 are the same",
        "remove one of them",
        ("[5 mm, 5 mm], [5 mm, 5 mm]", "[5 mm, 5 mm]"),
    ),
    "three points on a line for an arc": (
        "curve: {ink: soot, line width: 1 mm, arcs: [1], points: [[1 mm, 1 mm], [5 mm, 1 mm], [9 mm, 1 mm]]}",
        "points 1, 2, 3 lie on a line, so no arc goes through them",
        "name 1 under `straights`",
        ("arcs: [1]", "straights: [1]"),
    ),
    "a direction at a point of straight sides": (
        "outline: {ink: soot, curves: [2], directions: [[1, 90]], within: 0.05 mm, in place: yes, "
        "points: [[1 mm, 1 mm], [9 mm, 1 mm], [9 mm, 5 mm], [1 mm, 5 mm]]}",
        "there is a direction for point 1, at which no curved side is",
        "points of curved sides: 2, 3",
        ("[[1, 90]]", "[[2, 60]]"),
    ),
    "a loop offset into itself": (
        f"band: {{ink: soot, stripe width: 1 mm, distance: 6 mm, {SMALL_LOOP}}}",
        "nothing is left of the band: its line is too small for that distance",
        "write distance: 4.00 mm, or nearer to 0 than that",
        ("distance: 6 mm", "distance: 4.00 mm"),
    ),
    "a band wider than its loop": (
        f"band: {{inks: [soot, white, soot], stripe width: 3 mm, distance: 0.2 mm, {SMALL_LOOP}}}",
        "nothing is left of stripe 3 of the band",
        "there is room for 5.00 mm in all",
        ("stripe width: 3 mm", "stripe width: 1.6 mm"),
    ),
    "a band wider than its curve's radius": (
        f"band: {{ink: soot, stripe width: 5 mm, in place: yes, {BEND}}}",
        "the band reaches 2.50 mm into a bend round 0.82 mm, 18.2 mm along it",
        "make the band narrower there",
        ("stripe width: 5 mm", "stripe width: 1 mm"),
    ),
    "a curve that leaves its panel": (
        f"curve: {{ink: soot, line width: 1 mm, in place: yes, {OUT}}}",
        "the curve leaves the decal",
        "bring it back inside",
        ("[20 mm, 20 mm]", "[20 mm, 17 mm]"),
    ),
    "an edge's distance that leaves the panel": (
        "band: {ink: soot, stripe width: 1 mm, edge: bottom, distance: -1 mm}",
        "a band 1 mm outside of the panel's edge lies off the panel",
        "inside the edge: distance: 1 mm",
        ("distance: -1 mm", "distance: 1 mm"),
    ),
}


def told(tmp_path: Path, shape: str) -> str:
    job = tmp_path / "sweep.yaml"
    job.write_text(JOB.format(shape=shape), encoding="utf-8")
    done = CliRunner().invoke(cli, ["check", "-v", str(job)])
    assert done.exception is None or isinstance(done.exception, SystemExit | DecalgenError)
    return f"{done.exception}\n{done.output}"


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_told_once_at_its_shape_and_its_fix_mends_it(tmp_path: Path, name: str) -> None:
    shape, message, fix, (wrong, right) = MISTAKES[name]
    said = told(tmp_path, shape)
    (found,) = re.findall(rf"sweep\.yaml:(\d+):(\d+): .*{re.escape(message)}", said)
    assert found == ("12", "9")
    assert re.search(rf"{re.escape(message)}.*\n.*\n +\^+\n +fix: .*{re.escape(fix)}", said)
    assert wrong in shape and message not in told(tmp_path, shape.replace(wrong, right))
