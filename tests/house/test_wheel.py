"""What is built for other people's computers holds everything, and finds it there."""

from __future__ import annotations

import email
import email.message
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def wheel(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built by the build tools of this environment, so that no network is needed."""
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", str(repository), "--no-deps", "--no-build-isolation"]
    done = subprocess.run(
        [*command, "--disable-pip-version-check", "-w", str(out)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = out.glob("*.whl")
    return built


def names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def metadata(wheel: Path) -> email.message.Message:
    with zipfile.ZipFile(wheel) as archive:
        (name,) = [name for name in archive.namelist() if name.endswith(".dist-info/METADATA")]
        return email.message_from_string(archive.read(name).decode("utf-8"))


@pytest.mark.parametrize("kind", ["fonts", "layouts"])
def test_every_font_and_layout_is_inside(repository: Path, wheel: Path, kind: str) -> None:
    expected = {
        f"decalgen/{kind}/{path.relative_to(repository / kind).as_posix()}"
        for path in (repository / kind).rglob("*")
        if path.is_file() and not path.name.startswith(".")
    }
    assert expected
    assert expected <= names(wheel)


def test_the_finished_jobs_are_inside_with_what_they_include_and_nothing_else_of_the_demo(wheel: Path) -> None:
    found = {name for name in names(wheel) if name.startswith("decalgen/demo/")}
    wanted = {f"{name}.yaml" for name in ("gannet", "h9", "ostmerrow", "dravenhoe", "common-inks")} | {
        "thessock-crest.svg"
    }
    assert found == {f"decalgen/demo/{name}" for name in wanted}


def test_every_module_is_inside_and_nothing_else_of_the_checkout(repository: Path, wheel: Path) -> None:
    modules = {path.relative_to(repository).as_posix() for path in (repository / "decalgen").rglob("*.py")}
    assert modules <= names(wheel)
    assert "decalgen/py.typed" in names(wheel)
    tops = {name.split("/")[0] for name in names(wheel)}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"decalgen"}


def test_every_chapter_of_the_handbook_is_inside(repository: Path, wheel: Path) -> None:
    folder = repository / "decalgen" / "pages" / "handbook"
    chapters = {path.relative_to(repository).as_posix() for path in folder.glob("*.md")}
    assert chapters and chapters <= names(wheel)


def test_it_is_pure_python_and_says_what_it_is(wheel: Path) -> None:
    """Names of the fields: core metadata specification, packaging.python.org."""
    assert wheel.name.endswith("-py3-none-any.whl")
    said = metadata(wheel)
    assert said["Name"] == "decalgen"
    assert said["Requires-Python"] == ">=3.11"


def test_it_declares_every_licence_it_carries(repository: Path, wheel: Path) -> None:
    """Names of the licences: SPDX licence list. Each file that says what holds is named and inside."""
    said = metadata(wheel)
    faces = json.loads((repository / "fonts" / "faces.json").read_text(encoding="utf-8"))["face"]
    carried = {"MIT", *(face["licence"] for face in faces)}
    assert set((said["License-Expression"] or "").split(" AND ")) == carried == {"MIT", "OFL-1.1", "Apache-2.0"}
    wanted = {"LICENSE", "decalgen/colour/coated_tr006.txt", *(f"fonts/{face['licence_file']}" for face in faces)}
    assert set(said.get_all("License-File") or []) == wanted
    folder = next(name for name in names(wheel) if name.endswith(".dist-info/METADATA")).removesuffix("METADATA")
    assert {f"{folder}licenses/{name}" for name in wanted} <= names(wheel)


def test_the_command_is_there(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        (name,) = [name for name in archive.namelist() if name.endswith(".dist-info/entry_points.txt")]
        assert "decalgen = decalgen.__main__:main" in archive.read(name).decode("utf-8")


def test_fonts_and_layouts_are_found_from_the_unpacked_wheel(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path)
    # -I and -S: neither this checkout nor anything installed can stand in for what the wheel lacks.
    code = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from decalgen.core.resources import resource_folder, resource_names\n"
        "for kind in ('layouts', 'fonts'): print(resource_folder(kind)); print(len(resource_names(kind)))\n"
    )
    command = [sys.executable, "-I", "-S", "-c", code, str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    layouts, layout_count, fonts, font_count = done.stdout.split("\n")[:4]
    assert Path(layouts) == tmp_path / "decalgen" / "layouts"
    assert Path(fonts) == tmp_path / "decalgen" / "fonts"
    assert int(layout_count) > 0
    assert int(font_count) > 0


def test_an_editable_install_copies_nothing(repository: Path, tmp_path: Path) -> None:
    """A copy would grow old unnoticed; what is edited in the checkout is what runs."""
    code = "import sys; from hatchling.build import build_editable; print(build_editable(sys.argv[1]))"
    command = [sys.executable, "-c", code, str(tmp_path)]
    subprocess.run(command, capture_output=True, check=True, cwd=repository)
    (built,) = tmp_path.glob("*.whl")
    assert [name for name in names(built) if name.startswith("decalgen/")] == []
    with zipfile.ZipFile(built) as archive:
        (pointer,) = [name for name in archive.namelist() if name.endswith(".pth")]
        assert Path(archive.read(pointer).decode("utf-8").strip()) == repository


def test_the_package_itself_loads_nothing(repository: Path) -> None:
    """`import decalgen` is part of every start of the command; it brings in no other module."""
    code = "import sys; old = set(sys.modules); import decalgen; print(sorted(set(sys.modules) - old))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=repository)
    assert done.stdout.strip() == "['decalgen']"
