"""Adding, deleting, copying, renaming and ordering on the page, by the mouse and by the keyboard alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.job.edits import values
from decalgen.job.first_shapes import ready_shapes
from decalgen.job.layouts import layouts
from tests.bench.browsing import MARKS, go, kept
from tests.helpers.pictures import emblem, saved

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def written(page: sync_api.Page, job: Path) -> Any:
    """The values of the file once all is kept."""
    kept(page)
    return values(job.read_text(encoding="utf-8"))


def draw(page: sync_api.Page) -> None:
    go(page, "Draw")
    page.get_by_role("heading", name="Door band", level=2).wait_for()


def tab_to(page: sync_api.Page, key: str) -> None:
    """Goes on by Tab until that element has the focus."""
    wanted = page.locator(f"[data-key='{key}']:focus")
    for _ in range(120):
        if wanted.count():
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{key} cannot be reached by Tab")


def test_a_layout_is_chosen_by_its_picture_and_its_sentence_opens(page: sync_api.Page, job: Path) -> None:
    draw(page)
    page.get_by_role("button", name="Add a decal").click()
    page.get_by_role("heading", name="A decal for the door").wait_for()
    assert page.locator(".offers svg").count() == len(layouts()) + len(ready_shapes())
    page.get_by_role("button", name="Cross panel").click()
    page.get_by_role("heading", name="Cross panel", level=2).wait_for()
    assert page.locator(".choose").count() == 0
    assert page.locator("[data-key='piece cross panel']").evaluate("it => it === document.activeElement")
    page.get_by_text("is drawn from the layout cross-panel").wait_for()
    assert written(page, job)["decals"]["cross panel"]["layout"] == "cross-panel"
    page.get_by_role("button", name="Undo new decal cross panel").click()
    page.get_by_role("button", name="Undo nothing done").wait_for()
    assert "cross panel" not in written(page, job)["decals"]


def test_a_shape_comes_into_a_decal_changes_its_place_and_goes(page: sync_api.Page, job: Path) -> None:
    draw(page)
    page.get_by_role("button", name="cargo side").click()
    page.get_by_role("heading", name="Bed lettering", level=2).wait_for()
    page.get_by_role("button", name="Add a shape").click()
    page.get_by_role("heading", name="A shape for the bed lettering").wait_for()
    page.locator("[data-key='offer star']").click()
    page.locator(".shapes li", has_text="star").wait_for()
    page.get_by_role("button", name="star: earlier").click()
    page.locator(".shapes li:nth-child(3)", has_text="star").wait_for()
    names = [next(iter(one)) for one in written(page, job)["decals"]["bed lettering"]["artwork"]]
    assert names == ["field", "field", "star", "lettering"]
    page.get_by_role("button", name="Delete star").click()
    page.get_by_text("Star of bed lettering deleted.").wait_for()
    page.get_by_role("button", name="Put it back").click()
    page.locator(".shapes li", has_text="star").wait_for()


def test_a_shape_beside_a_layout_is_a_decal_of_its_own(page: sync_api.Page, job: Path) -> None:
    draw(page)
    page.get_by_role("button", name="Add a shape").click()
    page.get_by_text("The shapes of this decal are its layout's.").wait_for()
    page.locator("[data-key='offer star']").click()
    page.get_by_role("heading", name="Star", level=2).wait_for()
    assert written(page, job)["decals"]["star"]["panel"] == "door"


def test_a_decal_is_copied_deleted_and_put_back_in_place(page: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    draw(page)
    page.get_by_role("button", name="door roundel,").first.click()
    page.get_by_role("heading", name="Door roundel", level=2).wait_for()
    page.get_by_role("button", name="Copy").click()
    page.get_by_role("heading", name="Door roundel 2", level=2).wait_for()
    page.get_by_role("button", name="Delete", exact=True).click()
    page.get_by_text("Door roundel 2 deleted.").wait_for()
    assert page.locator("[data-key='put back']").evaluate("it => it === document.activeElement")
    page.keyboard.press("Enter")
    page.locator("[data-key='piece door roundel 2']").wait_for()
    page.get_by_role("button", name="Undo copy of door roundel").click()
    page.get_by_role("button", name="Undo nothing done").wait_for()
    kept(page)
    assert job.read_bytes() == before


def test_a_decal_is_renamed_in_place_and_a_taken_name_stays_in_its_field(page: sync_api.Page, job: Path) -> None:
    draw(page)
    page.get_by_role("button", name="Rename door band").click()
    field = page.get_by_label("New name of door band")
    field.fill("door roundel")
    field.press("Enter")
    page.get_by_text("there is a decal 'door roundel' already").wait_for()
    assert field.input_value() == "door roundel" and field.get_attribute("aria-invalid") == "true"
    field.fill("foot band")
    field.press("Enter")
    page.get_by_role("heading", name="Foot band", level=2).wait_for()
    assert list(written(page, job)["decals"])[:2] == ["foot band", "door roundel"]
    page.get_by_role("button", name="Rename foot band").click()
    page.keyboard.type("nothing of it")
    page.keyboard.press("Escape")
    page.get_by_role("heading", name="Foot band", level=2).wait_for()
    assert "foot band" in written(page, job)["decals"]


def test_a_change_of_a_named_value_asks_here_or_for_all(page: sync_api.Page, job: Path) -> None:
    draw(page)
    page.get_by_label("letter ink: <light>").click()
    page.get_by_label("letter ink", exact=True).select_option("oat cream")
    page.get_by_text("'light' is used in 6 places").wait_for()
    page.get_by_role("button", name="Only here").click()
    page.get_by_role("button", name="letter ink: oat cream").wait_for()
    whole = written(page, job)
    assert whole["values"]["light"] == "rope cream"
    assert whole["decals"]["door band"]["values"]["letter ink"] == "oat cream"
    page.get_by_label("first check: <light>").click()
    page.get_by_label("first check", exact=True).select_option("oat cream")
    page.get_by_text("'light' is used in 5 places").wait_for()
    page.get_by_role("button", name="Change all 5").click()
    page.get_by_role("button", name="Undo light").wait_for()
    whole = written(page, job)
    assert whole["values"]["light"] == "oat cream"
    assert whole["decals"]["door band"]["values"]["first check"] == "<light>"
    # Escape changes nothing.
    page.get_by_label("first check: <light>").click()
    page.get_by_label("first check", exact=True).select_option("rust")
    page.get_by_role("button", name="Change all 5").press("Escape")
    page.get_by_label("first check: <light>").wait_for()
    assert written(page, job)["values"]["light"] == "oat cream"


def test_all_of_it_by_the_keyboard_alone(page: sync_api.Page, job: Path) -> None:
    page.keyboard.press("3")
    page.get_by_role("heading", name="Draw", level=1).wait_for()
    tab_to(page, "add decal")
    page.keyboard.press("Enter")
    page.locator("[data-key='offers']:focus").wait_for()
    tab_to(page, "offer star")
    page.keyboard.press("Enter")
    page.locator("[data-key='piece star']:focus").wait_for()
    page.keyboard.press("PageUp")
    page.locator(".order li:nth-child(2)", has_text="star").wait_for()
    page.locator("[data-key='piece star']:focus").wait_for()
    page.keyboard.press("PageUp")
    page.locator(".order li:nth-child(1)", has_text="star").wait_for()
    assert next(iter(written(page, job)["decals"])) == "star"
    page.keyboard.press("PageDown")
    page.locator(".order li:nth-child(2)", has_text="star").wait_for()
    tab_to(page, "rename decal")
    page.keyboard.press("Enter")
    page.keyboard.type("door star")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Door star", level=2).wait_for()
    page.locator("[data-key='rename decal']:focus").wait_for()
    tab_to(page, "copy")
    page.keyboard.press("Enter")
    page.locator("[data-key='piece door star 2']:focus").wait_for()
    page.keyboard.press("Delete")
    page.locator("[data-key='put back']:focus").wait_for()
    page.keyboard.press("Enter")
    page.locator("[data-key='piece door star 2']").wait_for()
    tab_to(page, "add shape")
    page.keyboard.press("Enter")
    page.locator("[data-key='offers']:focus").wait_for()
    page.keyboard.press("Escape")
    page.locator("[data-key='add shape']:focus").wait_for()
    assert list(written(page, job)["decals"]) == [
        "door band", "door star", "door star 2", "door roundel", "bonnet chevrons", "bed lettering",
        "tailgate chevrons",
    ]  # fmt: skip


def test_a_panel_goes_with_its_decals_once_that_is_agreed(page: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    page.get_by_text("Rename, order or delete").click()
    page.get_by_role("button", name="Delete door", exact=True).click()
    page.get_by_text("'door band', 'door roundel' are on 'door'").wait_for()
    page.get_by_role("button", name="Delete door and its decals").click()
    page.get_by_role("button", name="Undo door deleted").wait_for()
    whole = written(page, job)
    assert "door" not in whole["panels"]
    assert list(whole["decals"]) == ["bonnet chevrons", "bed lettering", "tailgate chevrons"]
    page.keyboard.press("Control+z")
    page.get_by_role("button", name="Redo door deleted").wait_for()
    kept(page)
    assert job.read_bytes() == before


def test_panels_change_places_by_the_keyboard(page: sync_api.Page, job: Path) -> None:
    page.get_by_text("Rename, order or delete").click()
    page.get_by_role("button", name="bonnet: earlier").focus()
    page.keyboard.press("Enter")
    # It is the first now: its other button is at hand, and takes it back.
    page.locator("[data-key='Later panels bonnet']:focus").wait_for()
    assert list(written(page, job)["panels"]) == ["bonnet", "door", "cargo side", "tailgate"]
    assert page.get_by_role("button", name="bonnet: earlier").is_disabled()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Undo bonnet later").wait_for()
    assert list(written(page, job)["panels"]) == ["door", "bonnet", "cargo side", "tailgate"]


@pytest.mark.parametrize("width", [320, 1280])
def test_the_pictures_fit_a_narrow_page_and_their_names_are_said(page: sync_api.Page, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    draw(page)
    page.get_by_role("button", name="Add a decal").click()
    page.get_by_role("heading", name="A decal for the door").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    for one in page.locator(".structure button").all():
        box = one.bounding_box()
        assert box is not None and box["height"] >= 43.5
        assert one.inner_text().strip()


def test_a_picture_beside_the_job_is_chosen_by_its_look(page: sync_api.Page, job: Path) -> None:
    (job.parent / "emblem.png").write_bytes(saved(emblem(120)))
    draw(page)
    page.get_by_role("button", name="cargo side").click()
    page.get_by_role("heading", name="Bed lettering", level=2).wait_for()
    page.get_by_role("button", name="Add a shape").click()
    page.get_by_role("heading", name="Or a picture of your own").wait_for()
    offer = page.locator("[data-key='offer emblem.png']")
    assert offer.inner_text().split("\n")[0] == "emblem.png"
    # Its pixels have come: 120 of them each way.
    address = offer.locator("image").get_attribute("href")
    width = "(at) => { const it = new Image(); it.src = at; return it.decode().then(() => it.width); }"
    assert page.evaluate(width, address) == 120
    offer.click()
    page.locator(".choose").wait_for(state="detached")
    assert written(page, job)["decals"]["bed lettering"]["artwork"][-1]["picture"]["file"] == "emblem.png"
