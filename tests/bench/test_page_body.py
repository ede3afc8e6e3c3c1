"""On the body in a real browser: at actual size only while a millimetre is as many pixels as when it was measured."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, go, keyed

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
CARD_MM = 85.6
"""The long side of an ID-1 card: ISO/IEC 7810."""


def zoom(page: sync_api.Page, ratio: float) -> None:
    """Pixels of the screen to one of the page: what browser zoom and another screen change."""
    more = {"width": round(1280 / ratio), "height": round(800 / ratio), "deviceScaleFactor": ratio, "mobile": False}
    page.context.new_cdp_session(page).send("Emulation.setDeviceMetricsOverride", more)
    page.wait_for_function("ratio => devicePixelRatio === ratio", arg=ratio)


def test_actual_size_holds_only_at_the_zoom_it_was_measured_at(page: sync_api.Page) -> None:
    go(page, "On the body")
    page.get_by_text("No screen size yet").click()
    page.locator("#work input[type=range]").fill("428")
    page.get_by_role("button", name="That is it").click()
    keyed(page, "size actual").wait_for()
    width, mm = page.evaluate(
        """() => { const one = document.querySelector('.bodypanel svg');
        return [one.getBoundingClientRect().width, one.viewBox.baseVal.width / 1000]; }"""
    )
    assert width / mm == pytest.approx(428 / CARD_MM, rel=0.01)
    zoom(page, 1.25)
    page.get_by_text("No screen size yet").wait_for()
    assert not keyed(page, "size actual").count()
    page.locator("#work summary", has_text="No screen size yet").click()
    page.get_by_text("lay it on again").wait_for()
    # As it was, it holds again.
    zoom(page, 1)
    page.get_by_text("Actual size is set for this screen").wait_for()
    zoom(page, 1.25)
    page.reload()
    page.get_by_text("No screen size yet").wait_for()


def test_a_decal_that_overhangs_does_not_cover_the_name_of_its_panel(page: sync_api.Page, job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    low = "panel: tailgate\n    width: 10 mm\n    height: 4 mm\n    at: {anchor: bottom, offset: [0 mm, -3 mm]}\n"
    plate = f"  low plate:\n    {low}    artwork: [{{field: {{ink: white}}}}]\n"
    job.write_text(text.replace("\ndecals:\n", f"\ndecals:\n{plate}", 1), encoding="utf-8")
    page.get_by_text("Taken over").wait_for()
    go(page, "On the body")
    tailgate = page.locator(".bodypanel", has_text="tailgate").first
    drawn, pieces = (tailgate.locator(one).bounding_box() for one in ("svg", "svg g g >> nth=0"))
    assert drawn and pieces and pieces["y"] + pieces["height"] <= drawn["y"] + drawn["height"]
    # It does lie beyond its panel.
    panel = tailgate.locator("svg .outline").bounding_box()
    assert panel and pieces["y"] + pieces["height"] > panel["y"] + panel["height"] + 1
