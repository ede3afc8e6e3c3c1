"""What a decal says about its panel's obstacles, read from a job file; and bad measuring, seen from a whole job.

Every message is checked with the line it points at and its fix.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from decalgen.core.errors import Finding, Problem
from decalgen.job.model import Decal, Job, Printer
from tests.helpers.checks import check_jobs

HEAD = 'job: test\nbody: white\nscale: "1:43"\nfilm: white\ninks: {red: {colour: "#c00000"}}\npanels:\n'
DOOR = """  door:
    width: 22.40 mm ± 0.05
    height: 11.60 mm ± 0.05
    obstacles:
      handle: {rectangle: [3.0 mm ± 0.05, 0.8 mm ± 0.05], at: [16.5 mm, 8.2 mm], clearance: 0.3 mm}
      rivet: {circle: 1.0 mm ± 0.05, at: [4.0 mm, 3.0 mm]}
      shut line: {line: [[8 mm, 0 mm], [8 mm, 11.6 mm]], width: 0.4 mm ± 0.05}
"""


def text(panel: str = DOOR, *keys: str, width: str = "10 mm") -> str:
    """A job with one panel and one decal on it, the decal with some more keys."""
    name = panel.strip().partition(":")[0]
    rows = [f"panel: {name}", f"width: {width}", "height: 3 mm", "artwork: [field: {ink: red}]", *keys]
    return HEAD + panel + "decals:\n  band:\n" + "".join(f"    {row}\n" for row in rows)


@pytest.mark.parametrize(
    ("keys", "around", "split"),
    [
        ((), (), ()),
        (("cut around: handle",), ("handle",), ()),
        (("cut around: [rivet, handle]",), ("rivet", "handle"), ()),
        (("cut around: all",), ("handle", "rivet"), ()),
        (("split at: [shut line]",), (), ("shut line",)),
        (("split at: all", "cut around: handle"), ("handle",), ("shut line",)),
        (("cut around: [shut line, handle]", "split at: shut line"), ("handle",), ("shut line",)),
    ],
)
def test_obstacles_are_named_one_by_one_or_all(
    load: Callable[..., Job], keys: tuple[str, ...], around: tuple[str, ...], split: tuple[str, ...]
) -> None:
    (decal,) = load(text(DOOR, *keys)).decals
    assert (decal.cut_around, decal.split_at) == (around, split)
    assert decal.taken_out == around + split


ARCH = """  side:
    outline: [[0 mm, 0 mm], [12 mm, 0 mm], [27 mm, 0 mm], [61 mm, 0 mm], [61 mm, 12.6 mm], [0 mm, 12.6 mm]]
    arcs: [0, -7.5 mm, 0, 0, 0, 0]
    obstacles: {rivet: {circle: 1 mm, at: [40 mm, 3 mm]}}
"""


@pytest.mark.parametrize(
    ("key", "around"),
    [
        ("cut around: side 2", ("side 2",)),
        ("cut around: [rivet, side 4]", ("rivet", "side 4")),
        ("cut around: all", ("rivet", "side 2")),
    ],
)
def test_sides_of_an_outline_are_named_like_obstacles(
    load: Callable[..., Job], key: str, around: tuple[str, ...]
) -> None:
    (decal,) = load(text(ARCH, key)).decals
    assert decal.cut_around == around


def test_a_side_that_is_not_there(mistakes: Callable[..., tuple[Problem, ...]]) -> None:
    (problem,) = mistakes(text(ARCH, "cut around: side 9"))
    assert "no obstacle 'side 9'" in problem.message and "did you mean 'side " in problem.fix
    (problem,) = mistakes(text(DOOR, "cut around: left"))
    assert "no obstacle 'left'" in problem.message


def test_an_obstacle_called_all_is_that_one(load: Callable[..., Job]) -> None:
    (decal,) = load(text(DOOR.replace("rivet:", "all:"), "cut around: all")).decals
    assert decal.cut_around == ("all",)


def test_as_seen_is_off_unless_said(load: Callable[..., Job]) -> None:
    assert not load(text()).decals[0].as_seen
    assert load(text(DOOR, "as seen: yes")).decals[0].as_seen


@pytest.mark.parametrize(
    ("keys", "message", "fix", "under"),
    [
        (("cut around: [handel]",), "no obstacle 'handel'", "did you mean 'handle'?", "handel"),
        (("split at: shutline",), "no obstacle 'shutline'", "did you mean 'shut line'?", "shutline"),
        (("split at: handle",), "'handle' is not a gap", "cut around", "handle"),
    ],
)
def test_a_wrong_name_is_told_where_it_stands(
    mistakes: Callable[..., tuple[Problem, ...]], keys: tuple[str, ...], message: str, fix: str, under: str
) -> None:
    (problem,) = mistakes(text(DOOR, *keys))
    assert message in problem.message
    assert fix in problem.fix
    line = text(DOOR, *keys).split("\n")[problem.place.line - 1]
    assert line[problem.place.column - 1 :].startswith(under)


def test_names_on_a_panel_without_obstacles(mistakes: Callable[..., tuple[Problem, ...]]) -> None:
    (problem,) = mistakes(text("  lid: {width: 20 mm, height: 9 mm}\n", "cut around: handle"))
    assert "no obstacle 'handle'" in problem.message
    assert "obstacles:" in problem.fix


@pytest.mark.parametrize(
    ("panel", "message", "fix"),
    [
        ("{chord: 20 mm, rise: 11 mm, length: 10 mm}", "rise 11 mm is more than half the chord", "straight line"),
        ("{radius: -5 mm, chord: 8 mm, length: 10 mm}", "-5 mm is out of range", "at least"),
        ("{bottom width: 20 mm, left inset: 12 mm, right inset: 9 mm, height: 6 mm}", "sides cross", "top width"),
        (
            "{width: 20 mm, height: 6 mm, obstacles: {rivet: {circle: 2 mm, at: [30 mm, 3 mm]}}}",
            "'rivet' (29.00 to 31.00 mm across, 2.00 to 4.00 mm up) lies outside",
            "lower left corner",
        ),
        ("{width: 20 mm ± 25 mm, height: 6 mm}", "uncertainty of width is as large as its value", "largest error"),
    ],
)
def test_bad_measuring_is_no_panel(
    mistakes: Callable[..., tuple[Problem, ...]], panel: str, message: str, fix: str
) -> None:
    (problem,) = mistakes(text(f"  side: {panel}\n"))
    assert message in problem.message
    assert fix in problem.fix
    assert problem.place is not None and problem.place.line == 7


def test_inches_for_millimetres_are_noticed(load: Callable[..., Job]) -> None:
    found = findings(load(text("  side: {width: 22.4 in, height: 11.6 mm}\n")), "size-unlikely")
    assert [f.severity for f in found] == ["warning"]
    assert "1:43" in found[0].message and "write 22.4 mm" in found[0].fix
    assert found[0].place is not None and found[0].place.line == 7


VENT = "  side: {width: 20 mm, height: 6 mm, obstacles: {vent: {rectangle: [16 mm, 5 mm], at: [2 mm, 0.5 mm]}}}\n"


def test_an_obstacle_under_the_whole_decal(load: Callable[..., Job]) -> None:
    (over,) = findings(load(text(VENT)), "on-obstacle")
    assert over.severity == "warning" and "'vent'" in over.message
    assert "clearance of vent: it covers the whole decal" in over.fix and "cut around" not in over.fix
    low = VENT.replace("16 mm, 5 mm", "16 mm, 1 mm").replace("0.5 mm", "2.5 mm")
    (part,) = findings(load(text(low)), "on-obstacle")
    assert "`cut around: [vent]`" in part.fix
    (nothing,) = findings(load(text(VENT, "cut around: vent")), "cannot-draw")
    assert nothing.severity == "error" and "nothing of the decal" in nothing.message
    assert nothing.place is not None and nothing.place.line == 7


def test_seen_round_the_bend_there_is_nothing_to_draw(load: Callable[..., Job]) -> None:
    job = load(text("  tube: {radius: 3 mm, tape: 9 mm, length: 10 mm}\n", "as seen: yes", width="9 mm"))
    (one,) = findings(job, "cannot-draw")
    assert "not seen" in one.message and "within the panel" in one.fix


def findings(job: Job, code: str) -> list[Finding]:
    """The findings of a job with that code."""
    return [f for f in check_jobs([job], Printer()) if f.code == code]


def test_defaults_of_a_decal_made_by_hand() -> None:
    """A decal that says nothing of obstacles is laid as it is."""
    fields = Decal.__dataclass_fields__
    assert [fields[name].default for name in ("cut_around", "split_at", "as_seen")] == [(), (), False]
