"""No screen's styles touch another screen, for each of their rules begins with the screen's own scope."""

from __future__ import annotations

import re

import pytest

from decalgen.bench.server import PARTS

MAIN = (PARTS / "main.js").read_text(encoding="utf-8")
SHARED = {"style.css"}
"""What every screen is drawn with."""
COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
MEDIA = re.compile(r"@media[^{]*\{((?:[^{}]*\{[^{}]*\})*\s*)\}")


def screens_of_styles() -> dict[str, str]:
    """Which screen each stylesheet belongs to; the questions before and after a job's name are one screen."""
    (table,) = re.findall(r"^const STYLES = \{\n(.*?)^\};", MAIN, re.DOTALL | re.MULTILINE)
    found: dict[str, str] = {}
    for screen, names in re.findall(r"^  (\w+): \[(.*)\],$", table, re.MULTILINE):
        scope = "begin" if screen == "new" else screen
        for name in re.findall(r'"([\w.]+)"', names):
            assert found.setdefault(name, scope) == scope, f"{name} is of two screens"
    return found


def selectors(styles: str) -> list[str]:
    """Each selector of a stylesheet, those for small screens and the like too."""
    plain = MEDIA.sub(lambda match: match[1], COMMENT.sub("", styles))
    left = RULE.sub("", plain).strip()
    assert not left, f"not understood: {left[:80]}"
    return [one.strip() for rule in RULE.finditer(plain) for one in rule[1].split(",")]


def test_each_stylesheet_is_of_one_screen_or_of_all() -> None:
    assert {path.name for path in PARTS.glob("*.css")} == {*screens_of_styles(), *SHARED}


def test_what_a_screen_is_shown_in_bears_its_scope() -> None:
    assert 'work.className = `at-${key === "new" ? "begin" : key}`;' in MAIN
    shared = (PARTS / "style.css").read_text(encoding="utf-8")
    assert ".at-" not in shared, "a rule of one screen stands among those of all"


@pytest.mark.parametrize(("name", "screen"), sorted(screens_of_styles().items()))
def test_every_rule_begins_with_its_scope(name: str, screen: str) -> None:
    found = selectors((PARTS / name).read_text(encoding="utf-8"))
    assert found
    assert not [one for one in found if not one.startswith(f".at-{screen} ")]


def test_a_rule_without_scope_is_found() -> None:
    sheet = "/* a */ .at-film b, .at-film i { margin: 0 }\n@media (hover: none) { .at-film b { top: 0 } p { top: 0 } }"
    assert [one for one in selectors(sheet) if not one.startswith(".at-film ")] == ["p"]
