"""A piece carried to another sheet of film in a real browser: dragged, by its button, and by a key; taken back."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, go, settled
from tests.bench.sheeting import tug

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of more bands than the offcut takes."""
    path = tug(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace("spares: 1", "spares: 9"), encoding="utf-8")
    return path


@pytest.fixture
def two(page: sync_api.Page) -> sync_api.Page:
    """Its pieces on two sheets."""
    go(page, "Sheet")
    page.get_by_text("Film of another size").click()
    for film in ("offcut.yaml", "white A6"):
        field = page.locator("[data-key='film words']")
        field.fill(film)
        field.press("Enter")
        page.get_by_role("button", name=f"Take {film} off").wait_for()
    page.get_by_role("button", name="Nest", exact=True).click()
    page.get_by_text("22 pieces on 2 sheets.").wait_for()
    page.locator(".films .rest").first.wait_for()
    settled(page)
    return page


def on(page: sync_api.Page, sheet: int) -> list[str]:
    """What lies on one of the sheets."""
    found = page.locator(f"svg[data-sheet='{sheet}'] .lying").all()
    return [str(one.get_attribute("data-key")) for one in found]


def waited(page: sync_api.Page, key: str, sheet: int) -> None:
    page.locator(f"svg[data-sheet='{sheet}'] [data-key='{key}']").wait_for()


def test_a_piece_goes_to_the_other_sheet_by_its_button_and_back(two: sync_api.Page) -> None:
    name = next(one for one in on(two, 1) if "/band/" in one)
    two.locator(f"[data-key='{name}']").click()
    two.get_by_role("button", name="To sheet 2").click()
    waited(two, name, 2)
    two.get_by_role("button", name="to sheet 2").and_(two.locator("[data-key='back']")).click()
    waited(two, name, 1)


def test_a_piece_goes_to_the_other_sheet_by_the_key_s(two: sync_api.Page) -> None:
    name = next(one for one in on(two, 1) if "/band/" in one)
    two.locator(f"[data-key='{name}']").focus()
    two.keyboard.press("s")
    waited(two, name, 2)
    two.get_by_text("lies on sheet 2").wait_for()
    two.locator(f"[data-key='{name}']:focus").wait_for()


def test_a_piece_is_dragged_to_the_other_sheet(two: sync_api.Page) -> None:
    name = next(one for one in on(two, 1) if "/band/" in one)
    box = two.locator(f"[data-key='{name}'] .grip").bounding_box()
    sheet = two.locator("svg[data-sheet='2']").bounding_box()
    rest = two.locator("svg[data-sheet='2'] .rest").bounding_box()
    assert box is not None and sheet is not None and rest is not None
    x, y = rest["x"] + rest["width"] / 2, rest["y"] + rest["height"] / 2
    two.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    two.mouse.down()
    two.mouse.move(x, y, steps=8)
    two.locator(".says", has_text="sheet 2, ").wait_for()
    two.mouse.up()
    waited(two, name, 2)
    # The sheet itself may stand lower by now, under what is said of the piece.
    now, then = (two.locator(one).bounding_box() for one in (f"[data-key='{name}'] .grip", "svg[data-sheet='2']"))
    assert now is not None and then is not None
    assert now["x"] + now["width"] / 2 - then["x"] == pytest.approx(x - sheet["x"], abs=2)
    assert now["y"] + now["height"] / 2 - then["y"] == pytest.approx(y - sheet["y"], abs=2)
    assert two.get_by_role("button", name="Take back: move of").count() == 1


def test_a_piece_dropped_where_it_cannot_lie_is_back_on_its_sheet(two: sync_api.Page) -> None:
    name = next(one for one in on(two, 1) if "/band/" in one)
    taken = two.locator(f"[data-key='{on(two, 2)[0]}'] .grip").bounding_box()
    box = two.locator(f"[data-key='{name}'] .grip").bounding_box()
    assert box is not None and taken is not None
    two.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    two.mouse.down()
    two.mouse.move(taken["x"] + taken["width"] / 2, taken["y"] + taken["height"] / 2, steps=8)
    two.locator(".says.wrong").wait_for()
    two.mouse.up()
    two.get_by_text("It is back where it lay.").wait_for()
    waited(two, name, 1)
    assert two.get_by_role("button", name="Take back").count() == 0
