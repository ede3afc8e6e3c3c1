"""A drawing, a picture or a font of one's own, chosen or dropped on Draw in a real browser, and seen there."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept, keyed
from tests.core.svg.drawn import whole
from tests.helpers.pictures import emblem, saved

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
EMBLEM = saved(emblem(120))
FONT = (Path(__file__).parents[1] / "lettering" / "targets" / "fjalla-one.ttf").read_bytes()
DROP = """([name, data]) => {
  const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
  const files = new DataTransfer();
  files.items.add(new File([bytes], name));
  const drop = { dataTransfer: files, bubbles: true, cancelable: true };
  document.querySelector('.drawing').dispatchEvent(new DragEvent('drop', drop));
}"""
SEEN = """async () => {
  const image = document.querySelector('.drawing .pixels image');
  const answer = await fetch(image.getAttribute('href'));
  const box = image.getBoundingClientRect();
  return [answer.status, answer.headers.get('content-type'), box.width > 5, Math.abs(box.width - box.height) < 1];
}"""


def test_a_picture_is_chosen_and_shown_where_it_will_be_printed(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    page.locator("input[type=file]").set_input_files({"name": "emblem.png", "mimeType": "image/png", "buffer": EMBLEM})
    keyed(page, "piece emblem").wait_for()
    page.locator(".drawing .pixels image").first.wait_for(state="attached")
    assert page.evaluate(SEEN) == [200, "image/png", True, True]
    assert job.with_name("emblem.png").read_bytes() == EMBLEM
    go(page, "On the body")
    page.locator(".bodypanel .pixels image").first.wait_for(state="attached")


def test_a_file_dropped_on_the_drawing_becomes_a_decal_and_a_wrong_one_is_told(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    page.evaluate(DROP, ["emblem.png", base64.b64encode(EMBLEM).decode()])
    keyed(page, "piece emblem").wait_for()
    page.evaluate(DROP, ["notes.txt", base64.b64encode(b"some notes").decode()])
    page.get_by_text("'notes.txt' is not a drawing, a picture or a font that decalgen reads").wait_for()
    assert not job.with_name("notes.txt").exists()


def test_a_file_dropped_elsewhere_does_not_take_the_page_s_place(page: sync_api.Page, job: Path) -> None:
    missed = DROP.replace("document.querySelector('.drawing').dispatchEvent", "return !document.body.dispatchEvent")
    assert page.evaluate(missed, ["emblem.png", base64.b64encode(EMBLEM).decode()])
    page.get_by_text("goes onto the drawing of a panel: drop it there, on Draw").wait_for()
    assert not job.with_name("emblem.png").exists()


def test_after_a_file_that_is_too_large_the_next_one_is_taken(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    # In base64 it is more than the 5 MiB that Chromium keeps for a page (Storage Standard: implementation-defined).
    too_large = {"name": "large.svg", "mimeType": "image/svg+xml", "buffer": b" " * 4_500_000}
    page.locator("input[type=file]").set_input_files(too_large)
    page.get_by_text("'large.svg' is too large: at most 4 MB are read").wait_for()
    page.evaluate(DROP, ["emblem.png", base64.b64encode(EMBLEM).decode()])
    keyed(page, "piece emblem").wait_for()
    kept(page)
    assert job.with_name("emblem.png").exists() and not job.with_name("large.svg").exists()


def test_the_colours_of_a_dropped_drawing_are_matched_to_inks_in_a_table(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    crest = whole('<circle cx="4" cy="4" r="4" fill="#a01c20"/><circle cx="4" cy="4" r="2" fill="#fff"/>', 8, 8)
    drawing = {"name": "crest.svg", "mimeType": "image/svg+xml", "buffer": crest.encode()}
    page.locator("input[type=file]").set_input_files(drawing)
    page.get_by_role("heading", name="Colours of crest.svg").wait_for()
    table = page.locator(".drawing-inks")
    assert table.locator("tbody tr").count() == 2
    table.get_by_label("Ink of #a01c20").select_option("black")
    page.locator(".drawing path[fill='#000000']").first.wait_for(state="attached")
    kept(page)
    assert values(job.read_text(encoding="utf-8"))["decals"]["crest"]["artwork"] == [
        {"drawing": {"file": "crest.svg", "inks": {"#a01c20": "black"}}}
    ]
    # White has its ink already; the red can get one.
    assert table.get_by_role("option", name="A new ink of this colour").count() == 1
    table.get_by_label("Ink of #a01c20").select_option("A new ink of this colour")
    page.locator(".drawing path[fill='#a01c20']").first.wait_for(state="attached")
    kept(page)
    assert values(job.read_text(encoding="utf-8"))["inks"]["crest"] == {"colour": "#a01c20"}


def test_a_dropped_font_is_a_face_of_the_job_and_offered_first(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    page.evaluate(DROP, ["old.ttf", base64.b64encode(EMBLEM).decode()])
    page.get_by_text("'old.ttf' is a PNG picture, not a font").wait_for()
    assert not job.with_name("old.ttf").exists()
    page.get_by_role("button", name="cargo side", exact=True).click()
    page.get_by_role("button", name="Archivo: see other faces").click()
    page.locator("[data-key='face Oswald']").wait_for(timeout=60_000)
    # Those that are open are drawn again, with the new one.
    page.evaluate(DROP, ["Old letterer.ttf", base64.b64encode(FONT).decode()])
    page.get_by_text("\u2018Old letterer\u2019 is a face of the job now").wait_for()
    kept(page)
    assert job.with_name("Old letterer.ttf").read_bytes() == FONT
    assert values(job.read_text(encoding="utf-8"))["faces"] == {"Old letterer": "Old letterer.ttf"}
    page.locator("[data-key='face Old letterer']").wait_for(timeout=60_000)
    first = page.locator(".faces button").first
    assert first.get_attribute("data-key") == "face Old letterer"
    first.click()
    page.get_by_role("button", name="Old letterer: see other faces").wait_for()
    kept(page)
    assert "face: Old letterer" in job.read_text(encoding="utf-8")
