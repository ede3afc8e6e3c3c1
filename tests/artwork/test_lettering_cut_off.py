"""Lettering that reaches out of its decal: told once a place, with its words, the edge that is meant and its box."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.core.errors import Finding
from decalgen.export import render
from decalgen.job.loader import load_job
from decalgen.job.model import Decal
from decalgen.pages.clearance_marks import notes
from decalgen.pages.decal_and_panel import panel_picture
from decalgen.preflight import examine
from decalgen.shapes.base import At
from decalgen.shapes.lettering_groups import Rim, Shadow
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

LONG = "HARBOUR STORES"


def word(text: str | tuple[str, ...] = LONG, **more: Any) -> Any:
    at = more.pop("at", None)
    lines = (text,) if isinstance(text, str) else text
    return jobs.element("lettering", at, **{"text": lines, "ink": "navy", "cap_height": 2.0, **more})


def lost(decal: Decal, film: str = "white") -> list[Finding]:
    found = check_jobs([jobs.job(decal, film=film)], jobs.PRINTER)
    return [finding for finding in found if finding.code == "lettering-cut-off"]


def one(*artwork: Any, width: float = 14.0, height: float = 5.0, **more: Any) -> Decal:
    return jobs.decal("band", width, height, *artwork, **more)


def test_one_finding_for_both_hands_and_for_all_layers_of_a_word() -> None:
    """Shadow, outline and letters are one word, and left and right are told once."""
    dressed = word(outline=Rim(0.2, "orange"), shadow=Shadow(0.2, -0.2, "green"))
    assert len(lost(one(dressed, hands="both"))) == 1


def test_each_word_is_told_by_itself() -> None:
    words = [f.message for f in lost(one(word(at=At("top")), word("QUAYSIDE WORKS", at=At("bottom"))))]
    assert len(words) == 2
    assert LONG in words[0] and "QUAYSIDE WORKS" in words[1]


def test_copies_of_a_group_are_shown_one_by_one() -> None:
    """Two copies 7 mm apart, both too high for the decal."""
    inner = jobs.element("lettering", text=("A",), ink="navy", cap_height=6.0)
    group = jobs.element("group", elements=(inner,), width=6.0, height=6.0, count=2, pitch_x=7.0)
    (finding,) = lost(one(group, height=4.0))
    first, second = finding.areas
    assert second[0] - first[0] == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("film", "edge"), [("clear", "the edge of the artwork, 0.50 mm inside the cut line"), ("white", "the cut line")]
)
def test_it_names_the_word_the_edge_and_the_box_that_it_needs(film: str, edge: str) -> None:
    decal = one(word())
    (finding,) = lost(decal, film)
    (spot,) = finding.areas
    wide, high = spot[2] - spot[0], spot[3] - spot[1]
    assert f"of '{LONG}' lies beyond {edge} (" in finding.message
    assert f"it needs {wide:.2f} × {high:.2f} mm, the artwork is 14.00 × 5.00 mm" in finding.message
    # In the middle, it reaches out as far on the left as on the right.
    assert f"{(wide - 14.0) / 2:.2f} mm at the left, {(wide - 14.0) / 2:.2f} mm at the right" in finding.message


def test_letters_left_bare_in_a_ground_are_cut_off_too() -> None:
    assert len(lost(one(word(reversed=True)))) == 1
    assert lost(one(word("STORES", reversed=True), width=20.0)) == []


def test_a_word_wholly_beside_the_decal() -> None:
    (finding,) = lost(one(word("ROW", at=At("left", 30.0, 0.0))))
    assert finding.measured == 100
    assert finding.areas[0][0] > 20


def test_it_points_at_the_line_of_the_word(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(
        "job: tug\nbody: '#1d2b4a'\npanels:\n  door: {width: 40 mm, height: 20 mm}\ndecals:\n  band:\n"
        "    panel: door\n    width: 10 mm\n    height: 5 mm\n    artwork:\n"
        "      - field: {ink: white}\n      - lettering: {text: HARBOUR STORES, cap height: 2 mm, ink: black}\n",
        encoding="utf-8",
    )
    found = check_jobs([load_job(path)], jobs.PRINTER)
    (finding,) = [one for one in found if one.code == "lettering-cut-off"]
    assert finding.place is not None and finding.place.line == 12


def test_a_decal_with_lettering_cut_off_never_fits() -> None:
    """Neither in the table of the check nor under the picture of its panel."""

    def said(decal: Decal) -> tuple[str, str, str]:
        job = jobs.job(decal, film="clear")
        seen = examine([job], jobs.PRINTER)
        (fit,) = seen.fits[job.name]
        page = panel_picture(seen.artworks[job.name], job, job.panels[0], None)
        assert render(page, ".svg")
        return fit.verdict, fit.lines()[0], notes([fit], job.panels[0])[0]

    assert all("fits" in text for text in said(one(word("ROW"))))
    assert all("fits" not in text and "lettering cut off" in text for text in said(one(word())))
    wide = one(word(), width=70.0, at=At("left", 30.0, 0.0))
    assert said(wide)[0] == "too big"


def test_off_panel_names_the_bare_margin_the_artwork_and_the_word() -> None:
    def message(width: float, margin: float, *artwork: Any) -> tuple[str, str]:
        field = jobs.element("field", ink="orange")
        decal = jobs.decal("band", width, 6.0, field, *artwork, margin=margin)
        found = check_jobs([jobs.job(decal, film="clear")], jobs.PRINTER)
        (finding,) = [one for one in found if one.code == "off-panel"]
        return finding.message, finding.fix

    # The door is 60 mm wide.
    said, fix = message(59.5, 0.5)
    assert said.startswith("the bare margin of 0.50 mm round its artwork does not fit panel 'door': ")
    assert "write a smaller `margin`" in fix
    said, fix = message(61.0, 0.5)
    assert said.startswith("its artwork does not fit panel 'door': ")
    assert "margin" not in fix
    assert message(61.0, 0.0)[0].startswith("its cut line does not fit panel 'door': ")
    beside = word("STORES", at=At("right"))
    assert message(61.0, 0.0, beside)[0].endswith("; 'STORES' reaches over the edge")
    assert "STORES" not in message(61.0, 0.0, word("STORES"))[0]


@pytest.mark.parametrize(("at", "way"), [(At("top", 0.0, 0.6), "down"), (At("bottom", 0.0, -0.6), "up")])
def test_a_word_that_would_fit_is_told_which_way_to_move(at: At, way: str) -> None:
    """That it needs 2 mm where there are 5 tells nobody what is wrong."""
    (finding,) = lost(one(word("ROW", at=at)))
    # Round letters reach a little beyond the height of flat ones.
    assert finding.message.endswith(f"it fits, 0.63 mm farther {way}")
    assert "it needs" not in finding.message
    (sideways,) = lost(one(word("ROW", at=At("left", -0.6, 0.0))))
    assert sideways.message.endswith("it fits, 0.60 mm farther right")
    (both,) = lost(one(word("HOH", at=At("left", -0.6, 0.0)), hands="both"))
    assert both.message.endswith("it fits, 0.60 mm farther in from the side")
    (large,) = lost(one(word(at=at)))
    assert "it needs" in large.message


def test_it_points_at_the_word_in_whichever_file_the_user_wrote_it(tmp_path: Path) -> None:
    """A decal of an included file, its artwork in the job: the word stands in the job."""
    (tmp_path / "base.yaml").write_text(
        "panels:\n  door: {width: 40 mm, height: 20 mm}\ndecals:\n  band:\n    panel: door\n    width: 10 mm\n"
        "    height: 5 mm\n    artwork:\n      - field: {ink: white}\n",
        encoding="utf-8",
    )
    (tmp_path / "job.yaml").write_text(
        "job: tug\ninclude: base.yaml\nbody: '#1d2b4a'\ndecals:\n  band:\n    artwork:\n      - field: {ink: white}\n"
        "      - lettering: {text: HARBOUR STORES, cap height: 2 mm, ink: black}\n",
        encoding="utf-8",
    )
    found = check_jobs([load_job(tmp_path / "job.yaml")], jobs.PRINTER)
    (place,) = [one.place for one in found if one.code == "lettering-cut-off"]
    assert place is not None
    assert (Path(place.file).name, place.line) == ("job.yaml", 8)
