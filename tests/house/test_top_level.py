"""The top of the checkout holds a fixed set of names, and every text file can be read as UTF-8."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

FIXED = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "decalgen",
    "layouts",
    "tests",
    "demo",
    "fonts",
    ".ci",
    ".gitattributes",
    ".gitignore",
}
TEXT = {".py", ".toml", ".md", ".yaml", ".yml", ".txt", ".svg", ".html", ".css", ".js", ".json"}


def kept(repository: Path) -> list[str]:
    """Every file that is, or would be, kept in the repository."""
    if not (repository / ".git").exists():
        pytest.skip("not a git checkout: what is kept cannot be decided from what was left lying about")
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    done = subprocess.run(command, cwd=repository, capture_output=True, check=True)
    return [name for name in done.stdout.decode("utf-8").split("\0") if name and (repository / name).exists()]


@pytest.mark.needs("git")
def test_nothing_but_the_fixed_names(repository: Path) -> None:
    assert {name.split("/")[0] for name in kept(repository)} - FIXED == set()


@pytest.mark.needs("git")
def test_nothing_that_is_made_by_a_run(repository: Path) -> None:
    made = ("__pycache__", ".venv", ".egg-info", ".pyc")
    assert [name for name in kept(repository) if any(part in name for part in made)] == []


@pytest.mark.needs("git")
def test_names_that_every_file_system_takes(repository: Path) -> None:
    """Windows: none of these characters, no name that ends in a full stop or a blank, none that differs only
    in case (Microsoft, "Naming Files, Paths, and Namespaces")."""
    names = kept(repository)
    parts = {part for name in names for part in name.split("/")}
    assert [part for part in parts if set(part) & set('<>:"\\|?*') or part[-1] in ". "] == []
    assert len({name.lower() for name in names}) == len(names)


@pytest.mark.needs("git")
def test_text_is_utf_8(repository: Path) -> None:
    wrong = []
    for name in kept(repository):
        path = repository / name
        if path.suffix in TEXT and not name.startswith(("tests/goldens/", "tests/fixtures/")):
            try:
                path.read_bytes().decode("utf-8")
            except UnicodeDecodeError:
                wrong.append(name)
    assert wrong == []
