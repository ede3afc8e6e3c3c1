"""Every font and data file in the tests says where it comes from and under which licence it may stand here."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

TESTS = Path(__file__).parents[1]
PROJECTS = {".py", ".md", ".yaml"}
"""What the project writes itself, by the ending."""
PICTURES = {"goldens"}
"""Folders of what the project's own tests drew."""
TEXTS = {
    "OFL-1.1": "OFL.txt",
    "Zlib": "zlib.txt",
    "Unicode-DFS-2016": "LICENCE.txt",
    "MIT": "LICENSE",
}
"""Licence → its text, in the folder of what needs it or in one above."""
SAID = {
    "OFL-1.1": "SIL OPEN FONT LICENSE Version 1.1",
    "Zlib": "The origin of this software must not be",
    "Unicode-DFS-2016": "COPYRIGHT AND PERMISSION NOTICE",
    "MIT": "MIT License",
}
"""What each of them says."""


def rows() -> dict[Path, dict[str, str]]:
    """Every row of a table of sources, by the file it is about."""
    found = {}
    for table in TESTS.rglob("SOURCES.tsv"):
        with table.open(encoding="utf-8", newline="") as text:
            found |= {table.parent / row["file"]: row for row in csv.DictReader(text, delimiter="\t")}
    return found


ROWS = rows()


def licence_of(path: Path) -> Path:
    """The nearest text of a file's licence."""
    name = TEXTS[ROWS[path]["licence"]]
    return next(folder / name for folder in path.parents if (folder / name).is_file())


def kept_for_tests(path: Path) -> bool:
    """Whether a file is material: not written as part of the tests, nor said of its neighbours where they come from."""
    within = path.relative_to(TESTS)
    own = path.suffix in PROJECTS and "data" not in within.parts[:-1]
    about = path.name in {"SOURCES.tsv", "SOURCE.md", "SOURCE.txt"}
    return not own and not about and not set(within.parts) & {*PICTURES, "__pycache__"}


def test_every_font_and_data_file_has_a_row_and_every_row_a_file() -> None:
    texts = {licence_of(path) for path in ROWS}
    kept = {path for path in TESTS.rglob("*") if path.is_file() and kept_for_tests(path)} - texts
    assert kept == set(ROWS)
    assert len(kept) >= 15


@pytest.mark.parametrize("path", ROWS, ids=lambda path: path.name)
def test_a_row_says_package_version_checksum_and_licence(path: Path) -> None:
    row = ROWS[path]
    assert all(row[key] for key in ("package", "version", "source", "licence", "copyright"))
    assert hashlib.sha256(path.read_bytes()).hexdigest() == row["sha256"]
    assert len(row["source sha256"]) == 64
    assert licence_of(path).is_file()


@pytest.mark.parametrize("path", [path for path in ROWS if path.suffix == ".ttf"], ids=lambda path: path.name)
def test_no_font_says_inside_that_all_rights_are_reserved(path: Path) -> None:
    """And none of these, which are cut down, carries a name that its licence reserves."""
    names = " ".join(str(record.toUnicode()) for record in TTFont(path)["name"].names)
    assert "all rights reserved" not in names.lower()
    assert "reserved font name" not in names.lower()
    assert "Open Font License" in names


def test_the_text_of_each_licence_is_whole() -> None:
    for path, row in ROWS.items():
        text = licence_of(path).read_text(encoding="utf-8")
        assert SAID[row["licence"]] in text


def test_the_shipped_profile_names_its_data_and_the_readme_both() -> None:
    root = TESTS.parent
    for path in (root / "decalgen" / "colour" / "coated_tr006.txt", root / "README.md"):
        text = path.read_text(encoding="utf-8")
        assert "TR 006-2007" in text and "NPES" in text and "coated_tr006.icc" in text
