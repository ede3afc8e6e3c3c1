"""What is found about own drawings."""

from __future__ import annotations

import pytest

from decalgen.core.errors import Finding
from decalgen.core.svg.text import DrawingText
from tests.core.svg.drawn import whole
from tests.helpers.checks import check_jobs
from tests.helpers.jobs import INKS, PRINTER, decal, element, job

PALETTE = tuple((ink.name, ink.colour) for ink in INKS)


def found_in(body: str, **keys: object) -> list[Finding]:
    """The findings about one drawing in a group."""
    text = DrawingText("crest.svg", whole(f"<g fill='#1d2b4a'>{body}</g>", 20, 20), PALETTE)
    group = element("group", elements=(element("drawing", file=text, **keys),), width=40.0, height=20.0)
    findings = check_jobs([job(decal("crest", 40.0, 20.0, group))], PRINTER)
    return [one for one in findings if one.code.startswith("drawing-")]


RECT = '<rect width="9" height="9"/>'


def test_a_drawing_in_the_job_s_own_colours_is_no_news() -> None:
    assert found_in(RECT) == []


def test_near_colours_are_noted_and_far_ones_warned_of_with_their_distance() -> None:
    far, near = found_in('<rect width="9" height="9" fill="#a01c20"/><rect width="3" height="3" fill="#1d2e4a"/>')
    assert (far.severity, far.code, far.unit, far.limit) == ("warning", "drawing-inks", "dE", 3.0)
    assert far.message == (
        f"colours of 'crest.svg' are printed in the nearest inks of the job: #a01c20 in 'orange' at dE {far.measured}"
    )
    # CIEDE2000 under D50 by coloraide 4: #a01c20 from #e8641b.
    assert far.measured == pytest.approx(26.8, abs=0.15)
    assert near.severity == "note" and "#1d2e4a in 'navy' at dE 2.0" in near.message


def test_an_ink_that_the_job_names_is_no_news_and_a_colour_that_is_not_there_is() -> None:
    assert found_in('<rect width="9" height="9" fill="#a01c20"/>', inks=(("#a01c20", "orange"),)) == []
    (found,) = found_in(RECT, inks=(("#a01c20", "orange"),))
    assert (found.severity, found.code) == ("warning", "drawing-no-colour")
    assert found.message == "nothing of 'crest.svg' is printed in #a01c20, which `inks` names an ink for"
    assert found.fix == "it has #1d2b4a"


def test_what_is_left_out_is_named_a_finding_a_reason() -> None:
    texts = "".join(f'<text id="t{n}">A</text>' for n in range(7))
    several, one = found_in(f'{RECT}{texts}<rect id="r" width="2" height="2" fill-opacity=".5"/>')
    assert several.severity == "warning" and several.code == "drawing-left-out" and several.measured == 7
    assert several.message == (
        "part of 'crest.svg' cannot be printed as flat ink and is left out: text, of 't0' in line 1, 't1' in line 1, "
        "'t2' in line 1, 't3' in line 1, 't4' in line 1 and 2 more"
    )
    assert "turn it into paths" in several.fix
    assert one.message.endswith("is left out: partial opacity, of 'r' in line 1")
