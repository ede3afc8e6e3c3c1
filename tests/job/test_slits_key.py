"""Slits as a job file asks for them; every mistake with its place and its fix."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from decalgen.core.errors import Problem
from decalgen.job.model import Job

HEAD = """job: test
body: white
film: white
inks: {red: {colour: "#c00000"}}
panels:
  door:
    width: 22.40 mm ± 0.05
    height: 11.60 mm ± 0.05
    obstacles:
      handle: {rectangle: [3.0 mm, 0.8 mm], at: [16.5 mm, 8.2 mm]}
      hole: {circle: 1 mm, at: [3 mm, 3 mm], gap: yes}
      shut line: {line: [[8 mm, 0 mm], [8 mm, 11.6 mm]], width: 0.4 mm}
      flap: {line: [[14 mm, 0 mm], [14 mm, 6 mm]], width: 0.4 mm}
  lid: {width: 20 mm, height: 12 mm, radius across: 18 mm, radius up: 18 mm}
decals:
  band:
"""


def text(keys: str, panel: str = "door") -> str:
    rest = f"    panel: {panel}\n    width: 10 mm\n    height: 5 mm\n    artwork: [field: {{ink: red}}]\n"
    return HEAD + rest + "".join(f"    {row}\n" for row in keys.split("; "))


@pytest.mark.parametrize(
    ("keys", "panel", "along", "advised"),
    [
        ("slits: shut line", "door", ("shut line",), False),
        ("slits: [flap, shut line]", "door", ("flap", "shut line"), False),
        ("slits: all", "door", ("shut line", "flap"), False),
        ("split at: flap; slits: all", "door", ("shut line",), False),
        ("slits: as advised", "lid", (), True),
    ],
)
def test_what_a_job_may_ask_for(
    load: Callable[..., Job], keys: str, panel: str, along: tuple[str, ...], advised: bool
) -> None:
    (decal,) = load(text(keys, panel)).decals
    assert (decal.slits, decal.slit_as_advised) == (along, advised)
    assert decal.is_slit


@pytest.mark.parametrize(
    ("keys", "message", "fix", "under"),
    [
        ("slits: [shutline]", "no obstacle 'shutline'", "did you mean 'shut line'?", "shutline"),
        ("slits: yes", "no obstacle 'yes'", "name gaps of the panel, or write all, or as advised", "yes"),
        ("slits: handle", "'handle' is not a gap", "cut around", "handle"),
        ("slits: hole", "'hole' has no line to slit along", "`line:`", "hole"),
        ("split at: flap; slits: [flap]", "'flap' is split at already", "leave it out", "flap]"),
        ("slits: as advised", "not curved both ways", "name a shut line", "as advised"),
    ],
)
def test_what_cannot_be_slit_is_told_where_it_stands(
    mistakes: Callable[..., tuple[Problem, ...]], keys: str, message: str, fix: str, under: str
) -> None:
    (problem,) = mistakes(text(keys))
    assert message in problem.message and fix in problem.fix
    line = text(keys).split("\n")[problem.place.line - 1]
    assert line[problem.place.column - 1 :].startswith(under)
