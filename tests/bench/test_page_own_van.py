"""What a restorer runs into who begins a model of their own in the page: in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, heading, kept, keyed, settled
from tests.bench.test_drawing_offers import CREST

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def asked(page: sync_api.Page, words: str) -> None:
    page.get_by_role("heading", name=words).wait_for()


def begin(page: sync_api.Page) -> None:
    """A van in the folder, with nothing measured yet."""
    page.get_by_role("button", name="Begin your own").click()
    for key, typed in (("title", "Bakery van"), ("scale", "1:76"), ("body", "dark red")):
        keyed(page, f"answer {key}").fill(typed)
        keyed(page, "keep").click()
    keyed(page, "choice white").click()
    heading(page, "Measure")


def add_panel(page: sync_api.Page, name: str, kind: str) -> None:
    keyed(page, "adding name").fill(name)
    keyed(page, f"kind {kind}").check()


def test_back_leads_to_the_screen_before_and_forward_on_again(first: sync_api.Page) -> None:
    go(first, "Measure")
    go(first, "Check")
    first.go_back()
    heading(first, "Measure")
    first.go_back()
    heading(first, "Draw")
    first.go_forward()
    heading(first, "Measure")
    # A job that was begun is left for the one before it.
    begin(first)
    for _ in range(3):
        first.go_back()
    heading(first, "Measure")
    first.locator("#card", has_text="Pellerby Gannet").wait_for()


def test_a_door_that_bulges_from_sill_to_roof_is_written_so(first: sync_api.Page, folder: Path) -> None:
    begin(first)
    add_panel(first, "door", "cylinder")
    keyed(first, "adding bend").select_option("up")
    keyed(first, "hand left").check()
    keyed(first, "add").click()
    asked(first, "Chord of the door")
    kept(first)
    written = (folder / "bakery-van.yaml").read_text(encoding="utf-8")
    assert values(written)["panels"]["door"] == {
        "chord": "?", "rise": "?", "length": "?", "bend": "up", "hand": "left",
    }  # fmt: skip
    for typed in ("12,1", "14.3", "0.6"):
        keyed(first, "reading 0").fill(typed)
        keyed(first, "keep").click()
        settled(first)
    first.get_by_text("3 of 3 readings taken. Add the next panel, or go on to Draw.").wait_for()


def test_what_was_refused_of_a_panel_goes_with_it(first: sync_api.Page) -> None:
    begin(first)
    add_panel(first, "door", "flat")
    keyed(first, "add").click()
    asked(first, "Width of the door")
    keyed(first, "reading 0").fill("about twenty")
    first.keyboard.press("Enter")
    first.locator("#refused, #wrong").filter(has_text="is not a length").first.wait_for()
    first.get_by_text("Rename, order or delete").click()
    keyed(first, "delete panels door").click()
    add_panel(first, "roof", "flat")
    keyed(first, "add").click()
    asked(first, "Width of the roof")
    assert not first.locator("#refused").count() and "about twenty" not in first.locator("#work").inner_text()


def test_a_reading_left_by_a_click_waits_in_its_box(first: sync_api.Page, folder: Path) -> None:
    begin(first)
    add_panel(first, "door", "flat")
    keyed(first, "add").click()
    asked(first, "Width of the door")
    keyed(first, "reading 0").fill("22,4")
    first.get_by_role("button", name="height ? to measure").click()
    asked(first, "Height of the door")
    first.get_by_role("button", name="width typed, not kept").click()
    asked(first, "Width of the door")
    first.get_by_text("You typed this and went on without Enter").wait_for()
    assert keyed(first, "reading 0").input_value() == "22,4"
    keyed(first, "reading 0").press("Enter")
    asked(first, "Height of the door")
    settled(first)
    kept(first)
    assert values((folder / "bakery-van.yaml").read_text(encoding="utf-8"))["panels"]["door"]["width"] == "22.4 mm"


def test_all_lines_of_a_new_decal_are_seen_in_the_file(page: sync_api.Page) -> None:
    go(page, "Draw")
    keyed(page, "panel tailgate").click()
    settled(page)
    keyed(page, "add decal").click()
    keyed(page, "offer stripe").click()
    keyed(page, "piece stripe").wait_for()
    lines = page.locator("[data-key='file'] mark")
    lines.first.wait_for()
    tops = lines.evaluate_all("(all) => all.map((one) => one.getBoundingClientRect().top)")
    assert len(tops) > 5 and len({round(one) for one in tops}) == len(tops)


@pytest.mark.parametrize(
    ("typed", "written"),
    [("9,5", "9.5 mm"), ("9.5", "9.5 mm"), ("0,95 cm", "0.95 cm"), ("panel.width / 2", "panel.width / 2")],
)
def test_a_bare_number_in_the_blank_of_a_size_is_mm(page: sync_api.Page, job: Path, typed: str, written: str) -> None:
    go(page, "Draw")
    keyed(page, "panel cargo side").click()
    settled(page)
    keyed(page, "blank decals bed lettering width").click()
    settled(page)
    page.get_by_label("width", exact=True).fill(typed)
    page.keyboard.press("Enter")
    keyed(page, "blank decals bed lettering width").and_(page.locator("button", has_text=written)).wait_for()
    kept(page)
    assert values(job.read_text(encoding="utf-8"))["decals"]["bed lettering"]["width"] == written


def test_a_drawing_of_the_folder_is_added_from_its_picture(page: sync_api.Page, job: Path) -> None:
    (job.parent / "crest.svg").write_text(CREST, encoding="utf-8")
    go(page, "Draw")
    keyed(page, "panel tailgate").click()
    settled(page)
    keyed(page, "add decal").click()
    keyed(page, "offer crest.svg").click()
    keyed(page, "piece crest").wait_for()
    kept(page)
    crest = values(job.read_text(encoding="utf-8"))["decals"]["crest"]
    assert crest["artwork"][0]["drawing"]["file"] == "crest.svg"


def test_a_long_roof_does_not_push_the_other_panels_down(page: sync_api.Page, job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("panels:\n", "panels:\n  roof: {width: 22 mm, height: 60 mm}\n", 1), encoding="utf-8")
    go(page, "Draw")
    keyed(page, "panel roof").wait_for()
    settled(page)
    tall = page.locator(".strip svg").evaluate_all("(all) => all.map((one) => one.getBoundingClientRect().height)")
    assert len(tall) == 5 and max(tall) <= 111


def test_a_blank_stays_open_as_a_script_comes_that_draws_more(page: sync_api.Page) -> None:
    held: list[sync_api.Route] = []
    page.route("**/app/letterings.js*", lambda route: held.append(route))
    go(page, "Draw")
    keyed(page, "panel cargo side").click()
    settled(page)
    keyed(page, "blank decals bed lettering width").click()
    page.get_by_label("width", exact=True).fill("9,5")
    held[0].continue_()
    page.evaluate("() => import('/app/letterings.js').then(() => null)")
    assert page.get_by_label("width", exact=True).input_value() == "9,5"
    page.keyboard.press("Escape")
    page.get_by_role("button", name="see other faces").wait_for()
    assert page.evaluate("() => document.activeElement.dataset.key") == "blank decals bed lettering width"
