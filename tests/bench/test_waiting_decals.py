"""No screen says of a decal that waits for a reading that it fits: in a real browser, all that is read or heard."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from decalgen.bench.registry import SCREENS
from tests.bench.browsing import MARKS, kept, settled

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
LOOKED_AT = ("measure", "draw", "body", "check", "sheet", "proof", "print_film")
SAID = """() => {
  const seen = [...document.querySelectorAll('body *')].filter((one) => one.checkVisibility());
  const names = seen.flatMap((one) => ['aria-label', 'title', 'placeholder'].map((key) => one.getAttribute(key)));
  const drawn = seen.filter((one) => one.localName === 'text').map((one) => one.textContent);
  return [...document.body.innerText.split('\\n'), ...names, ...drawn].filter(Boolean);
}"""
"""All lines, names and hints of the page."""
FITS = re.compile(r"\bfits\b|\b(all|\d+) fit\b", re.IGNORECASE)
"""The verdict; `fit` alone is a key of lettering too, and fits the body to the window."""


def said(page: sync_api.Page, key: str) -> list[str]:
    """What is said of fitting on a screen, all of it folded out."""
    page.evaluate("key => { location.hash = key; }", key)
    page.get_by_role("heading", name=SCREENS[key].NAME, level=1, exact=True).wait_for()
    settled(page)
    page.evaluate("() => document.querySelectorAll('#work details').forEach((one) => { one.open = true; })")
    lines: list[str] = page.evaluate(SAID)
    return [one for one in lines if FITS.search(one)]


def reopen(page: sync_api.Page, job: Path, *readings: tuple[str, str]) -> None:
    text = job.read_text(encoding="utf-8")
    for before, after in readings:
        assert text.count(before) == 1
        text = text.replace(before, after)
    job.write_text(text, encoding="utf-8")
    page.get_by_role("button", name="Undo what your editor changed").wait_for()
    page.locator(".card .step", has_text=re.compile(r"^Check")).filter(has_not_text="nothing to correct").wait_for()
    kept(page)


def test_where_every_decal_waits_no_screen_says_fits_at_all(page: sync_api.Page, job: Path) -> None:
    readings = (
        ("    width: 22.40 mm ± 0.05", "    width: ?"),
        ("    rise: 1.10 mm ± 0.10", "    rise: ?"),
        ("    top width: 28.6 mm ± 0.25", "    top width: ?"),
        ("    width: 26.10 mm ± 0.05", "    width: ?"),
    )
    reopen(page, job, *readings)
    assert {key: lines for key in LOOKED_AT if (lines := said(page, key))} == {}
    # On Draw each decal is looked at by itself.
    for name in ("door band", "door roundel", "bonnet chevrons", "bed lettering", "tailgate chevrons"):
        page.evaluate(
            """name => { const view = JSON.parse(sessionStorage.view ?? '{}');
            sessionStorage.view = JSON.stringify({ ...view, decal: name }); }""",
            name,
        )
        page.reload()
        page.get_by_role("heading", level=1).first.wait_for()
        assert said(page, "draw") == [], name


def test_where_one_decal_waits_the_others_fit_and_it_does_not(page: sync_api.Page, job: Path) -> None:
    reopen(page, job, ("    rise: 1.10 mm ± 0.10", "    rise: ?"))
    lines = {key: said(page, key) for key in LOOKED_AT}
    assert any("door band" in one for one in lines["check"]), "what does not wait is told to fit"
    assert not [one for found in lines.values() for one in found if "bonnet chevrons" in one.casefold()]
    steps = page.locator(".card .step").all_inner_texts()
    assert not [one for one in steps if "all fit" in one] and any("1 waits for readings" in one for one in steps)
    page.evaluate(
        """() => { const view = JSON.parse(sessionStorage.view ?? '{}');
        sessionStorage.view = JSON.stringify({ ...view, panel: 'bonnet', decal: 'bonnet chevrons' }); }"""
    )
    page.reload()
    page.get_by_role("heading", level=1).first.wait_for()
    assert said(page, "draw") == []
    page.get_by_text("waits for").first.wait_for()


def test_the_test_itself_sees_what_fits(page: sync_api.Page) -> None:
    page.locator(".card .step", has_text="nothing to correct").wait_for()
    assert any("bonnet chevrons" in one for one in said(page, "check"))
