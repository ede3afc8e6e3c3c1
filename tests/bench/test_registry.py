"""The lists of screens: those of the server, of the page's scripts, and of its styles say the same."""

from __future__ import annotations

import re
from pathlib import Path

from decalgen.bench import server
from decalgen.bench.registry import SCREENS

PAGE = server.PARTS
APART = {"jobs", "new", "begin"}
"""Shown beside the screens of a job."""


def listed(name: str) -> dict[str, str]:
    """An object at the head of the page's first script: what stands after each key."""
    text = (PAGE / "main.js").read_text(encoding="utf-8")
    found = re.search(rf"^const {name} = \{{\n(.*?)^\}};", text, re.MULTILINE | re.DOTALL)
    assert found is not None
    return dict(re.findall(r"^  (\w+): (.*),$", found[1], re.MULTILINE))


def test_each_screen_has_its_script() -> None:
    scripts = listed("SCREENS")
    assert set(scripts) == {*SCREENS, *APART}
    for key, words in scripts.items():
        name = re.fullmatch(r"\(again\) => import\(`\./(\w+\.js)\$\{again\}`\)", words)
        assert name is not None and (PAGE / name[1]).is_file(), key
        assert key in APART or name[1] == f"{key}.js"
        assert "export function show(" in (PAGE / name[1]).read_text(encoding="utf-8"), key


def test_each_style_is_of_a_screen_and_each_file_of_styles_is_read() -> None:
    styles = {key: re.findall(r'"([\w.]+)"', words) for key, words in listed("STYLES").items()}
    assert set(styles) <= {*SCREENS, *APART} and all(styles.values())
    read = {name for names in styles.values() for name in names}
    assert read == {path.name for path in PAGE.glob("*.css")} - {"style.css"}


def test_each_screen_has_a_module_of_its_name() -> None:
    for key, step in SCREENS.items():
        module = Path(str(getattr(step, "__file__", "")))
        assert module.stem == key and module.parent.name == "screens"
