"""What a check says of colour, on small jobs over a navy body (#1d2b4a)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from decalgen.artwork.build import build
from decalgen.artwork.over_body import advised, as_planned, underlay, white_passes
from decalgen.colour.model import SOURCE_NOTE
from decalgen.colour.printer import PrinterColour
from decalgen.colour.typed import parse
from decalgen.core.errors import Finding
from decalgen.core.geometry import union
from decalgen.job.model import InkSpec, Job, Paint, Printer
from decalgen.preflight import colour as rules
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

HOME = jobs.PRINTER
# A white that covers well; one pass of the default 0.55 does not hide navy, nor do two.
WHITE = replace(HOME, name="white laser", white=True, swatches=PrinterColour(opacity=0.9))
WEAK = replace(WHITE, swatches=None)
BLACK = InkSpec("black", "process", "#000000")


def colour(job: Job, printer: Printer = HOME) -> list[Finding]:
    """The findings on colour alone."""
    ours = ("colour-", "ink-", "body-", "white-")
    return [f for f in check_jobs([job], printer) if f.code.startswith(ours)]


def codes(job: Job, printer: Printer = HOME) -> list[tuple[str, str, str]]:
    return [(f.severity, f.code, f.subject) for f in colour(job, printer)]


def one(*elements: Any, film: str = "clear", inks: Sequence[InkSpec] = (), body: str = "#1d2b4a", **more: Any) -> Job:
    """A job of one decal of 20 x 8 mm."""
    made = jobs.job(jobs.decal("band", 20.0, 8.0, *elements, **more), film=film)
    return replace(made, inks=(*made.inks, *inks), paints=(Paint("navy", body),))


FIELD = jobs.element("field", ink="orange")


def words(ink: str, **more: Any) -> Any:
    return jobs.element("lettering", text=("STORES",), cap_height=3.0, ink=ink, **more)


def test_orange_on_clear_film_over_navy_disappears() -> None:
    (finding,) = colour(one(FIELD))
    assert (finding.severity, finding.code, finding.subject) == ("warning", "colour-film", "orange on navy")
    assert finding.message.startswith("printed on clear waterslide film it will look like #")
    assert SOURCE_NOTE in finding.message
    assert finding.fix.startswith("white waterslide film")


@pytest.mark.parametrize(("film", "body"), [("white", "#1d2b4a"), ("clear", "#ffffff")])
def test_orange_on_white_film_or_a_white_body_is_orange(film: str, body: str) -> None:
    assert colour(one(FIELD, film=film, body=body)) == []


def test_a_white_printer_puts_white_under_it() -> None:
    job = one(FIELD)
    art = build(job, job.decals[0], white_printer=True)
    assert white_passes(art, job, WHITE) == {"orange": 2}
    assert colour(job, WHITE) == []
    (weak,) = colour(job, WEAK)
    assert weak.message.startswith("printed on clear waterslide film with 2 passes of white under the ink it will look")
    # Without: the same as at home.
    bare = one(FIELD, underlay="none")
    assert codes(bare, WHITE) == [("warning", "colour-film", "orange on navy")]


def test_no_more_passes_of_white_than_are_enough() -> None:
    job = one(FIELD)
    art = build(job, job.decals[0], white_printer=True)
    dense = replace(WHITE, swatches=PrinterColour(opacity=0.99, passes=3))
    assert white_passes(art, job, dense) == {"orange": 1}
    # Where none is enough, all that the printer can do.
    thin = replace(WHITE, swatches=PrinterColour(opacity=0.3, passes=3))
    assert white_passes(art, job, thin) == {"orange": 3}


def test_one_ink_that_needs_white_film_takes_the_whole_decal_there() -> None:
    job = one(FIELD, words("black"), body="#c9a050", inks=[BLACK])
    both = build(job, job.decals[0])
    coloured = advised(both, job, HOME)
    assert coloured.film.kind == "white" and [name for name, _ in coloured.options] == ["orange", "black"]
    alone = one(words("black"), body="#c9a050", inks=[BLACK])
    assert advised(build(alone, alone.decals[0]), alone, HOME).film.kind == "clear"


def test_a_decal_has_one_film_and_all_its_inks_are_told_the_same() -> None:
    """By itself the brown could stay on clear film, printed as another ink; the orange needs white film."""
    brown = InkSpec("brown", "process", "#7a4a30")
    alone = one(words("brown"), body="#d8c6a0", inks=[brown])
    (said,) = [f for f in colour(alone) if f.code == "colour-film"]
    assert said.fix.startswith("clear waterslide film with the ink printed as #")
    both = one(FIELD, words("brown"), body="#d8c6a0", inks=[brown])
    found = [f for f in colour(both) if f.code == "colour-film"]
    assert {f.subject for f in found} == {"orange on navy", "brown on navy"}
    assert all(f.fix.startswith("white waterslide film for the whole decal: #") for f in found)
    # The advice is tried: on white film no ink is told of.
    tried = one(FIELD, words("brown"), film="white", body="#d8c6a0", inks=[brown])
    assert [f for f in colour(tried) if f.code == "colour-film"] == []


def test_the_film_advised_is_the_one_whose_worst_ink_is_nearest() -> None:
    """Orange ink that prints as brown on any film: that does not send the decal to a film that is no better."""
    worn = replace(HOME, swatches=PrinterColour(patches=(("orange", parse("#7a4a30")),)))
    job = one(FIELD, words("black"), body="#ffffff", inks=[BLACK])
    best = advised(build(job, job.decals[0]), job, worn)
    assert best.film.kind == "clear"
    assert dict(best.options)["orange"].delta_e > 10


NAVY = InkSpec("navy ink", "process", "#1d2b4a")


@pytest.mark.parametrize(
    ("film", "ink", "body", "severity"),
    [
        ("white", NAVY, "#1d2b4a", "note"),
        # On clear film ink darkens what lies below: only one that hardly prints or makes up for the body is lost.
        ("clear", replace(NAVY, colour="#fbfbf8"), "#ffffff", "warning"),
        ("clear", replace(NAVY, compensate=True), "#1d2b4a", "warning"),
    ],
)
def test_an_area_in_the_body_s_own_colour_is_told(film: str, ink: InkSpec, body: str, severity: str) -> None:
    ground = jobs.element("field", ink="navy ink")
    (finding,) = [f for f in colour(one(ground, film=film, inks=[ink], body=body)) if f.code == "colour-as-body"]
    assert (finding.severity, finding.subject) == (severity, "band, navy ink")
    assert finding.measured is not None and finding.measured < 3 == finding.limit
    assert body in finding.message and finding.areas
    # Another ink, a body of another colour, or lettering alone, which is told by its contrast: nothing is said.
    for other in (
        one(jobs.element("field", ink="black"), film=film, inks=[BLACK], body=body),
        one(ground, film=film, inks=[ink], body="#8a8a2a"),
        one(words("navy ink"), film=film, inks=[ink], body=body),
    ):
        assert "colour-as-body" not in [f.code for f in colour(other)]


def test_what_the_body_hides_is_told_once() -> None:
    """Over black every ink on clear film is as good as black: that is a matter of film, not of the ink's own colour."""
    found = [f.code for f in colour(one(FIELD, body="#101010"))]
    assert "colour-film" in found and "colour-as-body" not in found


def test_white_is_put_under_what_needs_it_alone() -> None:
    job = one(FIELD, words("black"), body="#c9a050", inks=[BLACK])
    art = build(job, job.decals[0], white_printer=True)
    assert set(white_passes(art, job, WHITE)) == {"orange"}
    everything = replace(job.decals[0], underlay="all")
    assert set(white_passes(replace(art, decal=everything), job, WHITE)) == {"orange", "black"}
    assert white_passes(replace(art, decal=everything), job, HOME) == {}


def test_white_asked_for_on_a_printer_without_white() -> None:
    found = [f for f in colour(one(FIELD, underlay="all")) if f.severity == "error"]
    assert [(f.code, f.subject) for f in found] == [("colour-no-white", "band")]
    assert "test printer prints no white" in found[0].message
    assert "white film" in found[0].fix
    assert "colour-no-white" not in [f.code for f in colour(one(FIELD, underlay="all"), WHITE)]


def test_strokes_too_thin_for_white_are_told() -> None:
    # A choke of 0.15 mm on both sides and a line of 0.15 mm: nothing under 0.45 mm has white under it.
    thin = jobs.element("field", ink="orange", height=0.40)
    (finding,) = colour(one(thin, margin=0.5), WHITE)
    assert (finding.severity, finding.code) == ("warning", "white-dropped")
    assert "thinner than 0.45 mm" in finding.message
    thick = jobs.element("field", ink="orange", height=0.50)
    assert colour(one(thick, margin=0.5), WHITE) == []


def test_the_underlay_of_a_field_is_choked_on_all_sides() -> None:
    job = one(jobs.element("field", ink="orange", width=10.0, height=4.0))
    art = build(job, job.decals[0], white_printer=True)
    found = underlay(art, job, replace(WHITE, misregister=0.25)).region
    assert found.area == pytest.approx((10.0 - 0.5) * (4.0 - 0.5), abs=1e-6)


def test_white_lies_under_letters_that_need_none_themselves() -> None:
    """Black letters on an orange ground over ochre: the white below the ground runs on below them."""
    ground = jobs.element("field", ink="orange", width=18.0, height=7.0)
    job = one(ground, words("black"), body="#c9a050", inks=[BLACK])
    art = build(job, job.decals[0], white_printer=True)
    assert set(white_passes(art, job, WHITE)) == {"orange"}
    found = underlay(art, job, replace(WHITE, misregister=0.2)).region
    assert found.area == pytest.approx((18.0 - 0.4) * (7.0 - 0.4), abs=1e-3)


def test_no_white_lies_under_an_ink_that_makes_up_for_the_body() -> None:
    """It was mixed for what is below: over white it would look wrong."""
    ground = jobs.element("field", ink="orange", width=18.0, height=7.0)
    job = one(ground, words("black"), body="#c9a050", inks=[BLACK])
    art = build(job, job.decals[0], white_printer=True)
    inks = tuple(replace(ink, stands_for="soot") if ink.name == "black" else ink for ink in art.inks)
    found = underlay(replace(art, inks=inks), job, WHITE).region
    letters = next(inked.region for inked in art.printed if inked.ink == "black")
    assert found.intersection(letters).area < 1e-9


# ------------------------------------------------------------------------------------------------------ lettering
def test_lettering_is_judged_as_it_looks_on_the_body() -> None:
    """Orange on navy reads well on white film and as brown on navy not at all. WCAG 2.2, 1.4.3: at least 3:1."""
    on_clear = [f for f in colour(one(words("orange"))) if f.code == "colour-legibility"]
    assert [(f.severity, f.subject) for f in on_clear] == [("warning", "band, lettering in orange")]
    assert "contrast of 1." in on_clear[0].message
    ground = jobs.element("field", ink="navy")
    assert {f.code for f in colour(one(ground, words("orange"), film="white"))} == {"colour-as-body"}


def test_dark_lettering_on_a_dark_ground() -> None:
    ground = jobs.element("field", ink="navy")
    (finding,) = colour(one(ground, words("green"), film="white", body="#ffffff"))
    assert (finding.code, finding.subject) == ("colour-legibility", "band, lettering in green")


def test_white_lettering_reversed_out_of_a_ground_reads() -> None:
    assert colour(one(jobs.element("field", ink="navy"), words("white"), film="white", body="#ffffff")) == []


def test_lettering_over_two_grounds_is_judged_on_the_harder() -> None:
    half = jobs.element("field", ink="navy", width=10.0, at=jobs.At("left"))
    found = colour(one(half, words("green"), film="white", body="#ffffff"))
    assert [f.code for f in found] == ["colour-legibility"]


# ---------------------------------------------------------------------------------------- eyes, inks, bodies, jobs
def test_red_and_green_alike_to_some_eyes() -> None:
    inks = (InkSpec("moss", "process", "#8a7a2c"), InkSpec("brick", "process", "#b0622c"))
    left = jobs.element("field", ink="moss", width=10.0, at=jobs.At("left"))
    right = jobs.element("field", ink="brick", width=10.0, at=jobs.At("right"))
    (finding,) = colour(one(left, right, film="white", inks=inks))
    assert (finding.severity, finding.code, finding.subject) == ("note", "colour-eyes", "band")
    assert "-blind" in finding.message
    assert colour(one(FIELD, words("navy"), film="white")) == []


def test_metallic_ink_and_bare_metal_are_told_and_not_predicted() -> None:
    gold = InkSpec("gold", "metallic", "#c8a040")
    field = jobs.element("field", ink="gold")
    assert codes(one(field, inks=[gold])) == [("warning", "ink-metallic", "gold")]
    raw = replace(one(FIELD, film="white"), paints=(Paint("navy", "#999999", "bare metal"),))
    assert codes(raw) == [("warning", "body-metal", "navy")]


def test_a_spot_ink_that_two_jobs_see_in_two_colours() -> None:
    spots = [InkSpec("harbour orange", "spot", shade) for shade in ("#e8641b", "#d2501b")]
    field = jobs.element("field", ink="harbour orange")
    two = [replace(one(field, film="white", inks=[spot]), name=f"job {n}") for n, spot in enumerate(spots)]
    found = [f for f in check_jobs(two, HOME) if f.code == "ink-twice"]
    assert [(f.severity, f.subject) for f in found] == [("error", "harbour orange")]
    assert "#e8641b" in found[0].message and "#d2501b" in found[0].message and "keep one" in found[0].fix
    assert not [f for f in check_jobs([two[0], replace(two[0], name="again")], HOME) if f.code == "ink-twice"]


def test_what_is_planned_names_every_ink_and_the_ground() -> None:
    job = one(FIELD, words("white"), film="white")
    coloured = as_planned(build(job, job.decals[0]), job, HOME)
    assert [name for name, _ in coloured.options] == ["orange"]
    assert coloured.look("white") == coloured.ground
    two = one(FIELD, words("navy"), film="white")
    looks = as_planned(build(two, two.decals[0]), two, HOME)
    assert [looks.look(name) for name in ("orange", "navy")] == [option.look for _, option in looks.options]
    assert looks.look("orange") != looks.look("navy") != looks.ground


def test_every_predicted_difference_names_its_source() -> None:
    inks = [InkSpec("straw", "process", "#dcc274"), InkSpec("sky", "process", "#6bb1df")]
    elements = [FIELD, jobs.element("star", ink="straw"), words("sky")]
    found = [f for f in colour(one(*elements, inks=inks)) if "dE" in f.message]
    assert len(found) == 3
    assert all(SOURCE_NOTE in f.message for f in found)


@given(st.floats(0.6, 3.0), st.floats(-12.0, 12.0))
def test_a_ground_seen_at_a_glance_is_the_one_that_is_measured(cap: float, aside: float) -> None:
    """The short way looks at the box round the lettering, the long one at a ring round every letter."""
    text = jobs.element("lettering", At(dx=aside), text=("HARBOUR",), ink="orange", cap_height=cap)
    art = build(jobs.job(decal := jobs.decal("band", 30.0, 8.0, jobs.element("field", ink="navy"), text)), decal)
    letters = [one.region for one in art.letters]
    assume(letters)
    seen = rules._all_round(art, "orange", letters)
    ring = union(letters).buffer(rules.RING).intersection(art.cut_polygon).difference(union(letters))
    other = union(one.region for one in art.shown if one.ink != "orange")
    assert seen in (None, "navy") and (seen is None or ring.difference(other).area < 0.02 * ring.area)


def test_lettering_in_the_middle_of_one_ground_is_seen_at_a_glance() -> None:
    text = jobs.element("lettering", text=("HARBOUR",), ink="orange", cap_height=1.6)
    art = build(jobs.job(decal := jobs.decal("band", 30.0, 8.0, jobs.element("field", ink="navy"), text)), decal)
    assert rules._all_round(art, "orange", [one.region for one in art.letters]) == "navy"
