"""Decals that lie on each other on one panel: told, unless the job says that it is meant; sizes worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from decalgen.core.document import Fill
from decalgen.core.errors import Finding, JobError
from decalgen.job.loader import load_job
from decalgen.job.model import Cut, Decal, Job
from decalgen.job.over import application_order, below
from decalgen.pages.clearance_marks import notes
from decalgen.pages.decal_and_panel import panel_picture
from decalgen.panels.base import Obstacle
from decalgen.preflight import examine
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.helpers.checks import check_jobs


def band(name: str, x: float, width: float = 20.0, ink: str = "navy", **more: Any) -> Decal:
    """A field of 8 mm height from ``x`` on, 10 mm above the foot of the door."""
    field = jobs.element("field", ink=ink)
    return jobs.decal(name, width, 8.0, field, at=At("bottom left", x, 10.0), **{"margin": 0.0, "bleed": 0.0, **more})


def told(*decals: Decal, job: Job | None = None) -> list[Finding]:
    found = check_jobs([job or jobs.job(*decals)], jobs.PRINTER)
    return [one for one in found if one.code in ("decals-overlap", "over-nothing")]


def test_two_decals_that_share_film_are_told_with_how_much() -> None:
    """From 10 to 30 mm and from 28 to 48 mm: 2 mm wide, 8 mm high."""
    (finding,) = told(band("one", 10.0), band("two", 28.0, ink="orange"))
    assert (finding.severity, finding.code, finding.subject) == ("warning", "decals-overlap", "two")
    assert finding.measured == pytest.approx(2.0, abs=0.02)
    assert "lies over 'one' on panel 'door' by up to 2.00 mm (16.00 mm²)" in finding.message
    assert "`over: one`" in finding.fix
    # In the coordinates of 'two', its left 2 mm; a tenth of a millimetre round it.
    assert finding.areas == (pytest.approx((-0.1, -0.1, 2.1, 8.1)),)


def test_saying_so_makes_it_meant_whichever_comes_first() -> None:
    one, two = band("one", 10.0), band("two", 28.0, ink="orange")
    assert told(one, replace(two, over=("one",))) == []
    assert told(replace(one, over=("two",)), two) == []


def test_what_lies_over_by_way_of_another_is_meant() -> None:
    three = (band("one", 10.0), band("two", 12.0, ink="orange", over=("one",)), band("three", 14.0, ink="green"))
    assert [one.subject for one in told(*three)] == ["three", "three"]
    assert told(*three[:2], replace(three[2], over=("two",))) == []


@pytest.mark.parametrize("apart", [0.0, 1e-9, 0.0005, 0.5])
def test_decals_that_meet_or_touch_do_not_overlap(apart: float) -> None:
    assert told(band("one", 10.0), band("two", 30.0 + apart, ink="orange")) == []
    assert told(band("one", 10.0), band("two", 30.0 - min(apart, 0.001), ink="orange")) == []


def test_round_outlines_that_touch_do_not_overlap() -> None:
    """Two discs of 8 mm side by side: their flattened outlines cross by no more than the tolerance."""
    disc = {"cut": Cut("round")}
    assert told(band("one", 10.0, 8.0, **disc), band("two", 18.0, 8.0, "orange", **disc)) == []
    assert len(told(band("one", 10.0, 8.0, **disc), band("two", 17.9, 8.0, "orange", **disc))) == 1


def test_bare_margins_alone_are_a_note() -> None:
    """0.5 mm of bare film round each, 0.6 mm between the artworks."""
    (finding,) = told(band("one", 10.0, margin=0.5), band("two", 30.6, ink="orange", margin=0.5))
    assert (finding.severity, finding.measured) == ("note", pytest.approx(0.4, abs=0.02))
    assert "bare film on bare film only" in finding.message
    (inked,) = told(band("one", 10.0, margin=0.5), band("two", 30.4, ink="orange", margin=0.5))
    assert inked.severity == "warning"


def test_left_and_right_are_told_once_and_do_not_meet_each_other() -> None:
    pair = band("one", 2.0, hands="both"), band("two", 20.0, ink="orange", hands="both")
    assert [one.subject for one in told(*pair)] == ["two"]
    # Only its mirrored copy would lie on the other.
    left = band("one", 2.0, hands="left"), band("two", 38.0, ink="orange", hands="right")
    assert told(*left) == []
    # A single one lies on the left door.
    assert len(told(band("one", 2.0), band("two", 20.0, ink="orange", hands="both"))) == 1
    assert told(band("one", 2.0), band("two", 20.0, ink="orange", hands="right")) == []


def test_sections_do_not_overlap_each_other_and_leave_the_gap_free() -> None:
    gap = Obstacle("shut line", jobs.outline(19.0, -1.0, 2.0, 42.0), 0.0, gap=True)
    split = band("one", 10.0, split_at=("shut line",))
    inside = band("two", 19.2, 1.6, ink="orange")
    job = jobs.job(split, inside, panels=(jobs.panel(obstacles=(gap,)),))
    assert told(job=job) == []
    across = jobs.job(split, band("two", 18.0, 4.0, ink="orange"), panels=(jobs.panel(obstacles=(gap,)),))
    assert {one.subject for one in told(job=across)} == {"two"}


def test_backing_under_a_clear_decal_is_meant() -> None:
    assert told(band("one", 10.0, film="clear", backing="white", margin=0.5)) == []


def test_decals_on_two_panels_do_not_meet() -> None:
    roof = replace(band("two", 10.0, ink="orange"), panel="roof")
    assert told(job=jobs.job(band("one", 10.0), roof, panels=(jobs.panel(), jobs.panel("roof")))) == []


def test_the_same_artwork_at_the_same_place_is_told_once() -> None:
    found = check_jobs([jobs.job(band("one", 10.0), band("two", 10.0))], jobs.PRINTER)
    assert [one.code for one in found if one.code in ("same-place", "decals-overlap")] == ["same-place"]


def test_over_what_it_does_not_meet_is_a_note() -> None:
    (finding,) = told(band("one", 1.0), band("two", 30.0, ink="orange", over=("one",)))
    assert (finding.severity, finding.code) == ("note", "over-nothing")


def test_the_order_of_application() -> None:
    top, middle = band("top", 1.0, over=("middle",)), band("middle", 2.0, over=("low",))
    decals = (top, middle, band("low", 3.0), band("x", 4.0))
    assert [one.name for one in application_order(decals)] == ["low", "middle", "top", "x"]
    assert below(decals)["top"] == {"middle", "low"}
    assert [one.name for one in application_order(decals[::-1])] == ["x", "low", "middle", "top"]


def test_the_picture_of_the_panel_shows_the_upper_one_on_top_and_says_the_order() -> None:
    """The one listed first is laid over the other."""
    job = jobs.job(band("number", 12.0, 6.0, ink="orange", over=("stripe",)), band("stripe", 10.0, 20.0))
    seen = examine([job], jobs.PRINTER)
    page = panel_picture(seen.artworks[job.name], job, job.panels[0], None).pages[0]
    fills = [item for layer in page.layers for item in layer.items if isinstance(item, Fill)]
    inks = [item.ink for item in fills if item.ink in ("orange", "navy")]
    assert inks == ["navy", "orange"]
    assert "Apply in this order: stripe, then number." in notes(seen.fits[job.name], job.panels[0])
    assert any("laid over" in line and "stripe" in line for line in seen.fits[job.name][0].lines())


# ---------------------------------------------------------------------------------------------------- in a file
PANELS = "  door: {width: 40 mm, height: 20 mm}\n  roof: {width: 40 mm, height: 20 mm}\n"
HEAD = f"job: tug\nbody: '#1d2b4a'\nfilm: white\npanels:\n{PANELS}decals:\n"


def written(tmp_path: Path, **over: str) -> Path:
    rows = [
        f"  {name}: {{panel: {'roof' if name == 'high' else 'door'}, width: 10 mm, height: 5 mm, "
        f"{text + ', ' if text else ''}artwork: [field: {{ink: black}}]}}\n"
        for name, text in over.items()
    ]
    path = tmp_path / "job.yaml"
    path.write_text(HEAD + "".join(rows), encoding="utf-8")
    return path


def test_one_name_or_a_list(tmp_path: Path) -> None:
    one, two, three = load_job(written(tmp_path, a="", b="over: a", c="over: [a, b]")).decals
    assert (one.over, two.over, three.over) == ((), ("a",), ("a", "b"))


@pytest.mark.parametrize(
    ("over", "said", "line"),
    [
        ({"stripe": "over: stipe", "b": ""}, "there is no decal 'stipe' to lie over", 8),
        ({"a": "over: a"}, "decals cannot be applied in a ring: 'a' over 'a'", 8),
        ({"a": "over: c", "b": "over: a", "c": "over: b"}, "in a ring: 'a' over 'c' over 'b' over 'a'", 8),
        ({"a": "", "high": "over: a"}, "'a' is on panel 'door', 'high' on 'roof'", 9),
    ],
)
def test_what_cannot_be(tmp_path: Path, over: dict[str, str], said: str, line: int) -> None:
    path = written(tmp_path, **over)
    with pytest.raises(JobError) as caught:
        load_job(path)
    (problem,) = caught.value.problems
    assert said in problem.message
    assert problem.place is not None and problem.place.line == line
    assert problem.fix
