"""Layouts and fonts are found in an installed package and in a checkout, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core import resources
from decalgen.core.errors import InputError
from decalgen.core.resources import resource_folder, resource_names


def pretend(monkeypatch: pytest.MonkeyPatch, package: Path) -> None:
    """Lets the package stand somewhere else."""
    package.mkdir(parents=True, exist_ok=True)
    monkeypatch.setattr(resources, "PACKAGE", package)


def put(path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("x", encoding="utf-8")


def test_this_checkout_has_fonts_with_a_licence_each() -> None:
    names = resource_names("fonts", ".ttf")
    assert names
    every = resource_names("fonts")
    for name in names:
        folder = name.rsplit("/", 1)[0]
        assert any(other.startswith(f"{folder}/") and "LICENSE" in other.upper() for other in every), name


def test_found_beside_the_package_in_a_checkout(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    pretend(monkeypatch, tmp_path / "decalgen")
    put(tmp_path / "pyproject.toml")
    put(tmp_path / "layouts" / "band.yaml")
    assert resource_folder("layouts") == tmp_path / "layouts"


def test_inside_the_package_comes_first(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    pretend(monkeypatch, tmp_path / "decalgen")
    put(tmp_path / "pyproject.toml")
    put(tmp_path / "layouts" / "old.yaml")
    put(tmp_path / "decalgen" / "layouts" / "new.yaml")
    assert resource_folder("layouts") == tmp_path / "decalgen" / "layouts"
    assert resource_names("layouts") == ("new.yaml",)


def test_a_stranger_s_folder_beside_an_installed_package_is_not_taken(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    pretend(monkeypatch, tmp_path / "site-packages" / "decalgen")
    put(tmp_path / "site-packages" / "fonts" / "somebody.ttf")
    with pytest.raises(InputError, match="folder 'fonts' of decalgen is missing") as caught:
        resource_folder("fonts")
    assert "install decalgen again" in caught.value.fix


def test_names_are_sorted_slashed_and_without_hidden_files(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    pretend(monkeypatch, tmp_path / "decalgen")
    for name in ("b/two.yaml", "b/one.yaml", "a.yaml", "a.txt", ".DS_Store", "b/.hidden/x.yaml"):
        put(tmp_path / "decalgen" / "layouts" / name)
    assert resource_names("layouts", ".yaml") == ("a.yaml", "b/one.yaml", "b/two.yaml")
    assert resource_names("layouts") == ("a.txt", "a.yaml", "b/one.yaml", "b/two.yaml")
