"""Readings that are still to be taken, written as ?: read, counted, drawn with, and never printed."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from decalgen.core import keys
from decalgen.core.errors import EXIT_FINDINGS, JobError
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from decalgen.pages.composer import Sheaf
from decalgen.panels.registry import kinds, obstacle_kinds
from decalgen.shapes.lettering import Lettering
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


@pytest.fixture
def dimensions(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every figure on a dimension and every word on a picture."""
    texts: list[str] = []
    dimension, text = Sheaf.dimension, Sheaf.text
    monkeypatch.setattr(Sheaf, "dimension", lambda *words: (texts.append(words[-1]), dimension(*words))[1])

    def noted(self: Sheaf, x: float, y: float, words: str, *more: object, **rest: object) -> object:
        texts.append(words)
        return text(self, x, y, words, *more, **rest)  # type: ignore[arg-type]

    monkeypatch.setattr(Sheaf, "text", noted)
    return texts


def refused_in_all(run: Run, *names: str) -> None:
    """A check counts and lists the readings; proof and sheet refuse with that list, and write nothing."""
    count = f"{len(names)} reading{'s are' if len(names) > 1 else ' is'} still to be taken: {', '.join(names)};"
    said = run("check", "van.yaml")
    assert said.code == EXIT_FINDINGS and count in said.out and "band, on door: not known" in said.out, said.out
    before = set(Path().rglob("*"))
    for command in ("proof", "sheet"):
        refused = run(command, "van.yaml", "--film", "white A5")
        assert refused.code == EXIT_FINDINGS and f"error unmeasured: {said_of(names)}" in refused.err
        assert count in refused.err
    assert set(Path().rglob("*")) == before


def said_of(names: tuple[str, ...]) -> str:
    """What a finding is about: the decal for its lettering, else the panel."""
    return "band:" if " of '" in names[0] else "door:"


def test_check_counts_draw_marks_and_nothing_is_printed(run: Run, dimensions: list[str]) -> None:
    Path("van.yaml").write_text(job("    width: ?\n    height: 11 mm ± 0.05\n"), encoding="utf-8")
    refused_in_all(run, "width")
    assert "Waiting for it: band" in run("check", "van.yaml").out
    assert run("draw", "van.yaml").code == 0
    # What was measured is not said to be assumed.
    assert {"20.00 (assumed)", "11.00", "Assumed until measured: width"} <= set(dimensions)
    Path("van.yaml").write_text(job("    width: 22 mm\n    height: 11 mm ± 0.05\n"), encoding="utf-8")
    dimensions.clear()
    assert run("check", "van.yaml").code == 0 and run("draw", "van.yaml").code == 0
    assert "22.00" in dimensions and not any("ssumed" in text for text in dimensions)


@pytest.mark.parametrize(
    ("kind", "need"), EVERY, ids=lambda one: one if isinstance(one, str) else "-".join(sorted(one))
)
def test_every_kind_is_refused_before_it_is_measured(
    run: Run, dimensions: list[str], kind: str, need: frozenset[str]
) -> None:
    Path("van.yaml").write_text(job(lines(kind, need)), encoding="utf-8")
    refused_in_all(run, *load_job("van.yaml").panel("door").unmeasured)
    assert run("draw", "van.yaml").code == 0
    assert any(text.startswith("Assumed until measured: ") for text in dimensions)
    assert any(text.endswith(" (assumed)") for text in dimensions)
    assert any("sizes assumed: panel not measured yet" in text for text in dimensions)


@pytest.mark.parametrize("kind", obstacle_kinds())
def test_every_obstacle_is_refused_too(run: Run, dimensions: list[str], kind: str) -> None:
    text = job(f"    width: 22 mm\n    height: 11 mm\n    obstacles:\n      thing: {OBSTACLES[kind]}\n")
    Path("van.yaml").write_text(text, encoding="utf-8")
    refused_in_all(run, *load_job("van.yaml").panel("door").unmeasured)
    assert run("draw", "van.yaml").code == 0
    # The panel itself is measured; what lies on it is not.
    assert "22.00" in dimensions and any(text.startswith("Assumed until measured: thing") for text in dimensions)


LETTERING = (
    "decals:\n  band: {panel: door, height: 3 mm, width: 16 mm, artwork: [{lettering: {text: [STORES], ink: black, "
    "match: {cap height: 2 mm, length: 12 mm, stem: 0.3 mm, crossbar: 0.25 mm}}}]}\n"
)
MEASURED = "    width: 22 mm\n    height: 11 mm\n"


@pytest.mark.parametrize("names", [("cap height",), ("length",), ("stem", "crossbar"), ("cap height", "length")])
def test_lettering_still_to_be_measured(run: Run, dimensions: list[str], names: tuple[str, ...]) -> None:
    text = LETTERING
    for name in names:
        start = text.index(f"{name}: ") + len(name) + 2
        text = text[:start] + "?" + text[text.index(" mm", start) + 3 :]
    assert text.count("?") == len(names)
    Path("van.yaml").write_text(job(MEASURED, text), encoding="utf-8")
    assert load_job("van.yaml").decals[0].unmeasured == tuple(f"{name} of 'STORES'" for name in names)
    refused_in_all(run, *(f"{name} of 'STORES'" for name in names))
    assert ("matched-lettering" in run("check", "van.yaml", "-v").out) == ("cap height" not in names)
    assert run("draw", "van.yaml").code == 0
    assert any("sizes assumed: lettering not measured yet" in text for text in dimensions)
    assert f"band: not known; assumed until measured: {names[0]} of 'STORES'" in " ".join(dimensions)


def test_three_readings_of_lettering_are_one(run: Run) -> None:
    text = LETTERING.replace("cap height: 2 mm", "cap height: [1.96 mm, 2.00 mm, 2.04 mm, ?]")
    Path("van.yaml").write_text(job(MEASURED, text.replace("0.3 mm", "0.3 mm by caliper")), encoding="utf-8")
    element = load_job("van.yaml").decals[0].artwork[0].shape
    assert isinstance(element, Lettering) and element.match and element.match.cap_height and element.match.stem
    assert element.match.cap_height.value == pytest.approx(2.0) and element.match.cap_height.u > 0.02
    assert element.match.stem.u == pytest.approx(0.02 / math.sqrt(3))  # DIN 862, as for panels
    assert run("proof", "van.yaml", "--film", "white A5", "--effort", "quick").code == 0


def test_readings_of_lettering_that_do_not_agree_are_told(run: Run) -> None:
    text = LETTERING.replace("cap height: 2 mm", "cap height: [2.00 mm, 2.01 mm, 2.60 mm]")
    Path("van.yaml").write_text(job(MEASURED, text), encoding="utf-8")
    assert "warning readings-disagree: band:" in run("check", "van.yaml").out


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


@pytest.mark.parametrize(
    ("panel", "told"),
    [
        ("{width: 58.2 cm, height: ?}", True),
        ("{width: ?, height: 58.2 in}", True),
        ("{width: 58.2 mm, height: ?}", False),
        # What is assumed is never blamed: at this scale the usual sizes are too small.
        ("{width: ?, height: ?}", False),
    ],
)
def test_a_size_that_is_too_large_is_told_before_the_other_is_taken(run: Run, panel: str, told: bool) -> None:
    Path("van.yaml").write_text(f"{HEAD}scale: 1:1\npanels: {{side: {panel}}}\n", encoding="utf-8")
    findings = load_job("van.yaml").panel("side").findings
    assert ("size-unlikely" in [one.code for one in findings]) == told
