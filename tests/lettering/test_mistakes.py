"""Mistakes with lettering through the command: one message with the place and the fix, and nothing harmed."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from decalgen.core import resources
from tests.helpers.commands import Run, folder, runner

JOB = """\
job: tug
body: white
film: white
inks: {{navy: {{colour: "#1d2b4a"}}}}
panels: {{door: {{width: 40.00 mm ± 0.05, height: 20.00 mm ± 0.05}}}}
decals:
  sign: {{panel: door, width: 30 mm, height: 8 mm, artwork: [
    lettering: {{ink: navy, {keys}}}]}}
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    return runner(capsys)


def write(keys: str) -> None:
    Path("tug.yaml").write_text(JOB.format(keys=keys), encoding="utf-8")


@pytest.mark.parametrize(
    ("keys", "says", "fix"),
    [
        ("text: '', cap height: 2 mm", "no text", "write the text, or remove the lettering"),
        ("text: ['', ' '], cap height: 2 mm", "no text", "write the text, or remove the lettering"),
        ("text: \u6f22\u5b57, cap height: 2 mm", "no letter any face can draw", "write it in letters"),
        ("text: \U0001f692, cap height: 2 mm", "no letter any face can draw", "draw pictures as shapes"),
        ("text: A\u6f22B, cap height: 2 mm", "no face has a glyph for '\u6f22'", "spell it with other characters"),
        ("text: A \u05d0\u05d1 7, cap height: 2 mm", "no face has a glyph for '\u05d0', '\u05d1'", "other characters"),
        ("text: GO \U0001f692, cap height: 2 mm", "no face has a glyph for '\U0001f692'", "draw the sign as an"),
        (f"text: {'A' * 10_000}, cap height: 2 mm", "10000 characters in a line", "at most 500 characters a line"),
        (f"text: [HI, {'A' * 10_000}], cap height: 2 mm", "10000", "at most 500"),
        ('text: "A\\tB", cap height: 2 mm', "a tab", "remove it"),
        ("text: HOE, match: {cap height: 2 mm, stem: 3 mm}", "H would close up", "measure the stem again"),
        (
            "text: HOE, match: {cap height: 2 mm, stem: 1 mm, letters: [[0 mm, 0.5 mm], [2 mm, 2 mm], [5 mm, 1 mm]]}",
            "letter 1 is 0.5 mm wide, its stem 1 mm",
            "measure both again",
        ),
        (
            "text: HARBOUR, match: {cap height: 2 mm, stem: 0.4 mm, length: 3 mm}",
            "7 letters with stems of 0.4 mm do not go into a length of 3 mm",
            "measure stem and length again",
        ),
        (
            "text: HOE, cap height: 2 mm, face: Signwriter 12",
            "no face called 'Signwriter 12'",
            "one of those that `decalgen fonts` lists",
        ),
        (
            "text: HOE, cap height: 2 mm, face: mine.ttf",
            "no face called 'mine.ttf'",
            "faces: {my letterer: mine.ttf}, and face: my letterer here",
        ),
    ],
)
def test_each_is_told_in_one_message_with_place_and_fix(run: Run, keys: str, says: str, fix: str) -> None:
    write(keys)
    before = folder()
    for command in (["check"], ["sheet", "-o", "out.pdf", "--film", "white A5"]):
        said = run(command[0], "tug.yaml", *command[1:])
        assert said.code in (2, 7), said.text
        errors = [row for row in said.err.splitlines() + said.out.splitlines() if says in row]
        assert len(errors) == 1
        assert errors[0].startswith("tug.yaml:8:")
        assert fix in said.text
        # A line of ten thousand characters is not shown whole.
        assert max(map(len, said.text.splitlines())) < 400
    assert folder() == before


def forget() -> None:
    """Drops everything that is kept of fonts that were read."""
    for name, module in list(sys.modules.items()):
        if name.startswith("decalgen."):
            for kept in vars(module).values():
                if hasattr(kept, "cache_clear"):
                    kept.cache_clear()


@pytest.fixture
def fonts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the fonts folder, used instead of the real one."""
    real = resources.resource_folder
    copy = tmp_path / "installed" / "fonts"
    shutil.copytree(real("fonts"), copy)
    monkeypatch.setattr(resources, "resource_folder", lambda name: copy if name == "fonts" else real(name))
    forget()
    yield copy
    forget()


@pytest.mark.parametrize("damage", ["cut short", "garbage", "empty", "gone"])
@pytest.mark.parametrize("command", ["check", "draw", "sheet"])
def test_a_damaged_font_file_is_told_with_its_name(run: Run, fonts: Path, damage: str, command: str) -> None:
    (path,) = (fonts / "oswald").glob("*.ttf")
    whole = path.read_bytes()
    if damage == "gone":
        path.unlink()
    else:
        path.write_bytes({"cut short": whole[: len(whole) // 3], "garbage": b"?" * 5000, "empty": b""}[damage])
    write("text: HOE, cap height: 2 mm, face: Oswald")
    more = {"check": [], "draw": ["-o", "pictures"], "sheet": ["-o", "out.pdf", "--film", "white A5"]}[command]
    said = run(command, "tug.yaml", *more)
    assert said.code in (1, 2, 7)
    told = "cannot be read" if damage == "gone" else "is damaged"
    assert said.text.count(told) == 1
    assert f"the font file 'oswald/{path.name}' {told}" in said.text
    assert "tug.yaml:8:" in said.text
    assert "install decalgen again" in said.text
    assert not Path("out.pdf").exists()
    # Another face is not concerned.
    write("text: HOE, cap height: 2 mm, face: Anton")
    assert run(command, "tug.yaml", *more).code == 0


def test_a_damaged_face_of_the_paperwork_is_told_too(run: Run, fonts: Path) -> None:
    path = fonts / "archivo" / "Archivo.ttf"
    path.write_bytes(path.read_bytes()[:4000])
    write("text: HOE, cap height: 2 mm, face: Anton")
    said = run("draw", "tug.yaml", "-o", "pictures")
    assert said.code == 1
    assert "the font file 'archivo/Archivo.ttf' is damaged" in said.text
    assert "install decalgen again" in said.text
    assert run("fonts", "-o", "faces.png").code == 1
    assert not Path("faces.png").exists()
    assert not Path("pictures").exists()
