"""Readings that are still to be taken, written as ?: read, counted, drawn with, and never printed."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core import keys
from decalgen.core.errors import EXIT_FINDINGS, JobError
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from decalgen.pages.composer import Sheaf
from decalgen.panels.registry import kinds, obstacle_kinds
from tests.helpers.commands import Run, runner

HEAD = "job: van\nbody: grey\nfilm: white\n"
DECAL = (
    "decals:\n  band: {panel: door, at: bottom, height: panel.height / 3, width: panel.width / 2, "
    "artwork: [{field: {ink: black}}]}\n"
)
OBSTACLES = {
    "rectangle": "{rectangle: [?, ?], at: [?, ?]}",
    "circle": "{circle: ?, at: [?, ?]}",
    "slot": "{slot: [?, ?], at: [?, ?]}",
    "line": "{line: [[?, ?], [?, ?]], width: ?}",
    "outline": "{outline: [[?, ?], [?, ?], [?, ?], [?, ?]]}",
}


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return runner(capsys)


def job(panel: str, more: str = DECAL) -> str:
    """A job with one panel of these lines."""
    return f"{HEAD}panels:\n  door:\n{panel}{more}"


def lines(kind: str, need: frozenset[str]) -> str:
    """A panel of a kind with nothing measured."""
    rows = [f"    kind: {kind}", *(["    bend: up"] if kind == "cylinder" and "width" in need else [])]
    for key in sorted(need):
        rows.append(f"    {key}: {'[[?, ?], [?, ?], [?, ?], [?, ?]]' if key == 'outline' else '?'}")
    return "\n".join(rows) + "\n"


EVERY = [
    (name, need)
    for name, kind in kinds().items()
    for need in kind.needs
    if any(isinstance(spec.kind, keys.Readings | keys.Many) and spec.key in need for spec in keys.specs(kind))
]


@pytest.mark.parametrize(
    ("kind", "need"), EVERY, ids=lambda one: one if isinstance(one, str) else "-".join(sorted(one))
)
def test_every_kind_can_be_drawn_before_anything_is_measured(tmp_path: Path, kind: str, need: frozenset[str]) -> None:
    path = tmp_path / "van.yaml"
    path.write_text(job(lines(kind, need)), encoding="utf-8")
    panel = load_job(path).panel("door")
    assert len(panel.unmeasured) == (8 if kind == "outline" else len(need))
    assert panel.width.value > 1 and panel.height.value > 1


@pytest.mark.parametrize("kind", obstacle_kinds())
def test_every_obstacle_too(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "van.yaml"
    text = job(f"    width: 22 mm\n    height: 11 mm\n    obstacles:\n      thing: {OBSTACLES[kind]}\n")
    path.write_text(text, encoding="utf-8")
    panel = load_job(path).panel("door")
    assert len(panel.unmeasured) == text.count("?") and all(name.startswith("thing ") for name in panel.unmeasured)
    assert panel.outline.polygon.intersects(panel.obstacles[0].outline.polygon)


def test_an_assumed_size_goes_with_what_is_measured_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "van.yaml"
    for rise, chord in (("?", "1.2 mm"), ("40 mm", "?")):
        path.write_text(job(f"    chord: {chord}\n    rise: {rise}\n    length: 20 mm\n"), encoding="utf-8")
        panel = load_job(path).panel("door")
        sizes = {name: size.value for name, size in panel.sizes}
        assert sizes["rise"] <= sizes["chord"] / 2
        assert len(panel.unmeasured) == 1


def test_of_several_readings_one_is_enough(tmp_path: Path) -> None:
    path = tmp_path / "van.yaml"
    path.write_text(job("    width: [22.4 mm, ?, ?]\n    height: [?, ?, ?]\n"), encoding="utf-8")
    panel = load_job(path).panel("door")
    assert panel.unmeasured == ("height",) and panel.width.value == pytest.approx(22.4)


def test_a_panel_worked_out_from_another_waits_with_it(tmp_path: Path) -> None:
    path = tmp_path / "van.yaml"
    more = "  lid: {width: panels.door.width - 2 mm, height: 8 mm}\n  rear: {width: 9 mm, height: 8 mm}\n"
    path.write_text(job("    width: ?\n    height: 11 mm\n", more), encoding="utf-8")
    made = load_job(path)
    assert made.panel("lid").unmeasured == ("width of door",)
    assert made.panel("rear").unmeasured == ()


def test_a_panel_worked_out_from_a_point_still_to_be_read_waits_with_it(tmp_path: Path) -> None:
    path = tmp_path / "van.yaml"
    more = "  lid: {width: panels.door.width - 2 mm, height: 8 mm}\n"
    path.write_text(job("    outline: [[0 mm, 0 mm], [20 mm, 0 mm], [?, 9 mm], [0 mm, 10 mm]]\n", more), "utf-8")
    made = load_job(path)
    assert made.panel("door").unmeasured == ("outline 3 x",)
    assert made.panel("lid").unmeasured == ("point 3 x of door",)


def test_check_counts_draw_marks_and_nothing_is_printed(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    texts: list[str] = []
    dimension = Sheaf.dimension
    monkeypatch.setattr(Sheaf, "dimension", lambda *words: (texts.append(words[-1]), dimension(*words))[1])
    Path("van.yaml").write_text(job("    width: ?\n    height: 11 mm ± 0.05\n"), encoding="utf-8")
    said = run("check", "van.yaml")
    assert said.code == EXIT_FINDINGS and "1 error, 0 warnings" in said.out
    assert "error unmeasured: door: 1 reading is still to be taken: width" in said.out
    assert "Waiting for it: band" in said.out and "band, on door: not known" in said.out
    assert run("draw", "van.yaml").code == 0
    assert {"20.00 (assumed)", "11.00 (assumed)"} <= set(texts)
    before = set(Path().rglob("*"))
    for command in ("proof", "sheet"):
        refused = run(command, "van.yaml", "--film", "white A5")
        assert refused.code == EXIT_FINDINGS and "unmeasured" in refused.err
    assert set(Path().rglob("*")) == before
    Path("van.yaml").write_text(job("    width: 22 mm\n    height: 11 mm ± 0.05\n"), encoding="utf-8")
    assert run("check", "van.yaml").code == 0 and run("draw", "van.yaml").code == 0
    assert "22.00" in texts and "22.00 (assumed)" not in texts


@pytest.mark.parametrize(
    "line", ["    width: 9 mm\n    height: 8 mm\n" + DECAL.replace("panel.height / 3", "?"), "    width: ? 20 mm\n"]
)
def test_a_size_that_is_no_reading_is_never_open(tmp_path: Path, line: str) -> None:
    path = tmp_path / "van.yaml"
    path.write_text(job(line, ""), encoding="utf-8")
    with pytest.raises(JobError):
        load_job(path)


@pytest.mark.parametrize("mark", ["?", '"?"', "'?'", "?   # later", "[?, ?]", "[ ? ,?]", "\n      - ?\n      - ?"])
def test_the_sign_may_stand_in_any_way_that_yaml_has(tmp_path: Path, mark: str) -> None:
    path = tmp_path / "van.yaml"
    path.write_text(job(f"    width: {mark}\n    height: 8 mm\n"), encoding="utf-8")
    assert load_job(path).panel("door").unmeasured == ("width",)


def test_a_question_in_a_text_stays_one(tmp_path: Path) -> None:
    path = tmp_path / "van.yaml"
    decal = DECAL.replace("[{field: {ink: black}}]", '[{lettering: {text: "Why, ?", cap height: 1 mm, ink: black}}]')
    path.write_text(job("    width: 9 mm\n    height: 8 mm\n    note: 'is it: ?'\n", decal), encoding="utf-8")
    assert "Why, ?" in repr(load_job(path).decals[0].artwork)


def test_the_sign_that_stands_in_for_it_is_no_question_where_a_text_has_it() -> None:
    assert values('a: "x: \\ufff9"\nb: ?\nc: "d: ?"\n') == {"a": "x: \ufff9", "b": "?", "c": "d: ?"}
