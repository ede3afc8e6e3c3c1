"""Each field has a sentence of help, those too that are there only once something is opened, made or wrong."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, FolderPage, Opened, go, keyed, page_at
from tests.bench.first_minute import ROOT
from tests.bench.sheeting import tug
from tests.bench.test_page_walk import HELPLESS, OPENED

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
EACH_BLANK = """() => {
  const keys = [...document.querySelectorAll('#work .blank:not(.fixed)')].map((one) => one.dataset.key);
  const helpless = keys.filter((key) => {
    document.querySelector(`[data-key="${CSS.escape(key)}"]`).click();
    const field = document.activeElement;
    const told = field.closest('.fill') && field.title.trim();
    field.dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape', bubbles: true }));
    return !told;
  });
  return [keys.length, helpless];
}"""
"""Opens each blank, and shuts it: how many there are, and those whose field says nothing of itself."""


def test_an_open_blank_and_a_name_say_what_is_typed_in_them(page: sync_api.Page) -> None:
    go(page, "Draw")
    keyed(page, "names").click()
    keyed(page, "ink name").wait_for()
    keyed(page, "piece door roundel").click()
    page.get_by_role("heading", name="Door roundel").wait_for()
    page.evaluate(OPENED)
    count, helpless = page.evaluate(EACH_BLANK)
    assert count > 15 and helpless == []
    # What a ready layout takes is a value of its own.
    keyed(page, "piece door band").click()
    page.get_by_role("heading", name="Door band").wait_for()
    page.evaluate(OPENED)
    count, helpless = page.evaluate(EACH_BLANK)
    assert count > 15 and helpless == []
    keyed(page, "rename decal").click()
    assert page.locator(".fill input").count() == 1 and page.evaluate(HELPLESS) == []


def test_the_boxes_of_a_proof_say_what_goes_into_them(browser: sync_api.Browser, tmp_path: Path) -> None:
    server = Opened(tug(tmp_path), tmp_path / "data")
    try:
        with page_at(browser, server.address) as page:
            go(page, "Proof")
            keyed(page, "make").click()
            keyed(page, "code").wait_for()
            assert page.evaluate(HELPLESS) == []
    finally:
        server.end()


def test_the_search_among_many_jobs_says_what_it_looks_for(
    browser: sync_api.Browser, folder: Path, served: FolderPage
) -> None:
    shutil.copy(ROOT / "demo" / "common-inks.yaml", folder)
    for number in range(7):
        shutil.copy(ROOT / "demo" / "gannet.yaml", folder / f"gannet-{number}.yaml")
    with page_at(browser, served.address) as page:
        page.locator(".card .jobs").click()
        keyed(page, "like").wait_for()
        assert page.evaluate(HELPLESS) == []
