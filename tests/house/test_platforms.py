"""The table of platforms in DEVELOPERS.md names every dependency, and what it says has no wheel is not asked for there.

What it says is asked of pip by `tests/house/platforms.py`, by hand, since it needs the network.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from tests.house.platforms import GROUPS, PLATFORMS, PYTHONS, wanted

ROOT = Path(__file__).parents[2]
MACHINES = {
    "Windows x64": ("win32", "AMD64"),
    "Windows ARM": ("win32", "ARM64"),
    "Mac ARM": ("darwin", "arm64"),
    "Mac Intel": ("darwin", "x86_64"),
    "Linux x64": ("linux", "x86_64"),
    "Linux ARM": ("linux", "aarch64"),
}
"""What Python calls each computer: sys.platform and platform.machine()."""


def table() -> dict[str, dict[str, tuple[str, ...]]]:
    """package → computer → the Pythons that have a wheel."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    head = "| package | " + " | ".join(PLATFORMS) + " |"
    rows = text[text.index(head) :].split("\n\n")[0].splitlines()[2:]
    found = {}
    for row in rows:
        name, *cells = [cell.strip() for cell in row.strip("|").split("|")]
        found[name] = {platform: pythons(cell) for platform, cell in zip(PLATFORMS, cells, strict=True)}
    return found


def pythons(cell: str) -> tuple[str, ...]:
    """The Pythons a cell stands for."""
    said = cell.partition(" (")[0]
    return PYTHONS if said in ("any", "all") else () if said == "none" else tuple(said.split(", "))


def requirements() -> dict[str, list[Requirement]]:
    """Group → what it asks for; the dependencies under ''."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    texts = {"": project["dependencies"]} | {group: project["optional-dependencies"][group] for group in GROUPS}
    return {group: [Requirement(text) for text in some] for group, some in texts.items()}


def test_the_table_has_a_row_for_every_dependency() -> None:
    assert set(table()) == {one.name for one in wanted()}


@pytest.mark.parametrize("platform", PLATFORMS)
@pytest.mark.parametrize("python", PYTHONS)
def test_nothing_is_asked_for_where_it_has_no_wheel(platform: str, python: str) -> None:
    """But for the dependencies on Windows on ARM, where the documents name the x64 Python."""
    system, machine = MACHINES[platform]
    environment = {"sys_platform": system, "platform_machine": machine, "python_version": python}
    rows = table()
    missing = {
        (group, one.name)
        for group, some in requirements().items()
        for one in some
        if (one.marker is None or one.marker.evaluate(environment)) and python not in rows[one.name][platform]
    }
    allowed = {("", "pyclipper"), ("", "uharfbuzz")} if platform == "Windows ARM" else set()
    assert missing == allowed


def test_the_documents_name_the_x64_python_for_windows_on_arm() -> None:
    for name in ("README.md", "DEVELOPERS.md"):
        (line,) = [line for line in (ROOT / name).read_text(encoding="utf-8").splitlines() if "Windows on ARM" in line]
        assert "x64 Python" in line
    assert "x64" in (ROOT / "pyproject.toml").read_text(encoding="utf-8")
