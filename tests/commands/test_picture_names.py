"""Pictures of different things are different files, whatever decals are called."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.helpers.commands import Run, runner

run = pytest.fixture(runner)

JOB = """\
job: {job}
scale: "1:43"
date: 2026-05-14
body: "#1d2b4a"
inks: {{teal: "#1f7f86"}}
film: white
panels: {{door: {{width: 60 mm ± 0.05, height: 20 mm ± 0.05}}}}
decals:
  {one}: {{panel: door, width: 10 mm, height: 5 mm, at: {{offset: [-15 mm, 0 mm]}}, artwork: [field: {{ink: teal}}]}}
  {other}: {{panel: door, width: 12 mm, height: 5 mm, at: {{offset: [15 mm, 0 mm]}}, artwork: [field: {{ink: teal}}]}}
"""


@pytest.mark.parametrize("other", ["a b colours", "a-b", "on door", "A  B", "a b 2"])
def test_no_decals_picture_takes_the_place_of_another(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB.format(job="tug", one="a b", other=f'"{other}"'), encoding="utf-8")
    said = run("draw", "tug.yaml", "-v")
    assert said.code == 0, said.text
    written = re.findall(r"drawings\S+\.svg", said.text)
    # Two alone, two over the body, one on the panel.
    assert len(set(written)) == len(list(Path("drawings").iterdir())) == 5
    assert len({path.read_bytes() for path in Path("drawings").iterdir()}) == 5


def test_two_jobs_pictures_have_names_of_their_own(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Job `tug` with a decal `boat a`, and job `tug-boat` with a decal `a`."""
    monkeypatch.chdir(tmp_path)
    for job, one in (("tug", "boat a"), ("tug-boat", "a")):
        Path(f"{job}.yaml").write_text(JOB.format(job=job, one=one, other="c"), encoding="utf-8")
    said = run("draw", "tug.yaml", "tug-boat.yaml")
    assert said.code == 0, said.text
    assert len(list(Path("drawings").iterdir())) == 10


@pytest.mark.parametrize("name", ["sheet", "a.b/sheet"])
def test_a_file_without_an_ending_is_named(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB.format(job="tug", one="a", other="c"), encoding="utf-8")
    said = run("proof", "tug.yaml", "-o", name)
    assert said.code != 0 and f"'{name}' has no ending" in said.text
