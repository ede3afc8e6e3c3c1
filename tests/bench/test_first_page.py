"""How much a browser is sent until the first screen is there: page, style, font, scripts and state."""

from __future__ import annotations

import re
from pathlib import Path

from starlette.testclient import TestClient

from decalgen.bench.server import PARTS

MOST_BYTES = {"jobs": 150_000, "measure": 150_000, "draw": 190_000}
"""What one sees first is the smallest; a drawing of every panel costs more."""
IMPORT = re.compile(r'^import .*? from "\./([\w.]+)";$', re.MULTILINE)
LATER = re.compile(r'\bimport\(["`]\./([\w.]+)(?:\$\{again\})?["`]\)')
STYLES = re.compile(r"^const STYLES = \{\n(.*?)^\};", re.MULTILINE | re.DOTALL)
LINKED = re.compile(r'(?:href|src)="/app/([\w.]+)"')


def scripts_of(*names: str) -> set[str]:
    """Some scripts, and all that they import at once."""
    found: set[str] = set()
    left = list(names)
    while left:
        name = left.pop()
        if name not in found:
            found.add(name)
            left += IMPORT.findall((PARTS / name).read_text(encoding="utf-8"))
    return found


def later_of(names: set[str]) -> set[str]:
    """What some scripts read only once it is asked for."""
    return {one for name in names for one in LATER.findall((PARTS / name).read_text(encoding="utf-8"))}


def styles_of(*screens: str) -> set[str]:
    """The styles that come with some screens."""
    (table,) = STYLES.findall((PARTS / "main.js").read_text(encoding="utf-8"))
    rows = dict(re.findall(r"^  (\w+): \[(.*)\],$", table, re.MULTILINE))
    return {name for screen in screens or rows for name in re.findall(r'"([\w.]+)"', rows[screen])}


def test_the_first_screen_is_small(inside: TestClient) -> None:
    shell = (PARTS / "index.html").read_text(encoding="utf-8")
    linked = set(LINKED.findall(shell))
    assert {"main.js", "style.css"} <= linked
    later = set(LATER.findall((PARTS / "main.js").read_text(encoding="utf-8")))
    assert {"draw.js", "measure.js"} <= later
    fonts = {path.name for path in PARTS.glob("*.woff2")}
    for screen, most in MOST_BYTES.items():
        parts = {"index.html", *linked, *fonts, *scripts_of("main.js", f"{screen}.js")}
        parts |= styles_of(screen)
        assert not later - {f"{screen}.js"} & parts
        # As a page asks for it: the other hand by itself.
        sent = inside.get("/state", params={"screen": screen, "other": "later"}).content
        if screen == "draw":
            sent += inside.post("/ask/draw/other", json={"view": {"panel": "", "decal": "", "hand": ""}}).content
        size = sum((PARTS / name).stat().st_size for name in parts) + len(sent)
        assert size <= most, f"{screen}: {size}"


def test_every_part_of_the_page_is_reached(inside: TestClient) -> None:
    shell = (PARTS / "index.html").read_text(encoding="utf-8")
    scripts = scripts_of("main.js")
    while more := later_of(scripts) - scripts:
        scripts |= scripts_of(*more)
    reached = {*LINKED.findall(shell), *scripts, *styles_of()}
    assert {path.name for path in Path(PARTS).iterdir() if path.suffix in (".js", ".css")} == reached
