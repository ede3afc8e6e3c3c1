"""Print in a real browser: chosen, printed by one double click, once, and what came of it is there after a reload."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.browsing import LONG_MS, MARKS, go, keyed, seen_by_all, settled
from tests.bench.test_printing import proven
from tests.helpers.pretended_printer import Pretended, pretended

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
__all__ = ["proven"]


@pytest.fixture
def job(proven: Path) -> Path:
    """A job whose proof has passed."""
    return proven / "tug.yaml"


@pytest.fixture
def printer() -> Iterator[Pretended]:
    with pretended() as found:
        yield found


def test_a_double_click_prints_film_once(page: sync_api.Page, printer: Pretended) -> None:
    go(page, "Print")
    page.locator("summary", has_text="A printer by its address").click()
    page.get_by_label("Address", exact=True).fill("a printer upstairs")
    page.get_by_role("button", name="Ask it").click()
    page.get_by_role("alert").filter(has_text="write it like ipp://").wait_for()
    page.get_by_label("Address", exact=True).fill(printer.uri)
    page.get_by_role("button", name="Ask it").click()
    keyed(page, "print tray").wait_for()
    keyed(page, "print tray").select_option("rear")
    settled(page)
    page.get_by_text("It takes a sheet of 148 × 210 mm as it is.").wait_for()
    page.get_by_role("button", name="Print the sheet on film").dblclick()
    page.get_by_text("'Film Printer': job 41 was printed").wait_for(timeout=LONG_MS)
    page.get_by_text("Sheet 1 went to 'Film Printer', job 41, printed.").wait_for()
    assert page.get_by_role("button", name="Print it once more").is_disabled()
    page.reload()
    page.get_by_text("Sheet 1 went to 'Film Printer', job 41, printed.").wait_for()
    assert keyed(page, "print tray").input_value() == "rear"
    seen_by_all(page, "Print")
    assert len(printer.documents) == 1
    page.get_by_label("Print it once more, on another sheet of film").check()
    page.get_by_role("button", name="Print it once more").click()
    page.get_by_text("'Film Printer': job 42 was printed").wait_for(timeout=LONG_MS)
    assert len(printer.documents) == 2
