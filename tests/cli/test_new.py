"""A job from questions alone: every answer is read as it is typed and kept at once; nothing is asked twice."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.commands.interview import MARK, at_of
from decalgen.core.errors import EXIT_FINDINGS, OutputError
from decalgen.job.edits import values
from decalgen.job.layouts import layout_names, load_layout
from decalgen.job.loader import load_job
from decalgen.panels.registry import kinds, obstacle_kinds
from tests.helpers.commands import Run, runner

VAN = (
    ("What is the model called", "Ferry van"), ("Its scale", "1:50"), ("Colour of the body", "ferry blue"),
    ("Film", ""),
    ("Name of a panel", "door, left"), ("door: what kind", ""), ("door: width", "22,4"),
    ("door: height", "11.60 11.62 11.58 ± 0.05"),
    ("door: name of an obstacle", "handle"), ("door, handle: what shape", "rectangle"), ("door, handle: width", "3"),
    ("door, handle: height", "0,8 mm"), ("door, handle: at x", "12"), ("door, handle: at y", "?"),
    ("door: name of an obstacle", ""),
    ("Name of a panel", "bonnet"), ("bonnet: what kind", "4"), ("bonnet: chord", "24.2"),
    ("bonnet: rise", "1.1 ± 0.1"), ("bonnet: length", "7/8 in"), ("bonnet: name of an obstacle", ""),
    ("Name of a panel", "roof, cylinder"), ("roof: chord", "20"), ("roof: rise", "2"), ("roof: length", "30"),
    ("roof: name of an obstacle", ""), ("Name of a panel", ""),
    ("A ready layout", "door-band"), ("door band: on which panel", "door"),
    ("A ready layout", "bonnet-label"), ("bonnet label: on which panel", "2"), ("bonnet label: for which sides", ""),
    ("A ready layout", ""),
)  # fmt: skip
"""What is asked, by its beginning, and what is answered."""
WRITTEN = {
    "width": "22.4 mm",
    "height": ["11.60 mm ± 0.05", "11.62 mm ± 0.05", "11.58 mm ± 0.05"],
    "hand": "left",
    "kind": "flat",
    "obstacles": {"handle": {"rectangle": ["3 mm", "0.8 mm"], "at": ["12 mm", "?"], "clearance": "0.3 mm"}},
}


class Stop(Exception):
    """The hand on the mouse closes the window."""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    return runner(capsys)


@pytest.fixture
def answering(monkeypatch: pytest.MonkeyPatch) -> Callable[[list[str]], list[str]]:
    """Takes the answers to give, and gives the list of what was asked; Ctrl-C when they are used up."""

    def give(answers: list[str]) -> list[str]:
        asked: list[str] = []
        left = iter(answers)

        def answer(prompt: str) -> str:
            try:
                typed = next(left)
            except StopIteration:
                raise KeyboardInterrupt from None
            asked.append(prompt)
            return typed

        monkeypatch.setattr("click.termui.visible_prompt_func", answer)
        return asked

    return give


def test_a_job_from_questions_alone(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    asked = answering([typed for _, typed in VAN])
    said = run("new", "van.yaml")
    assert said.code == 0, said.text
    assert all(prompt.startswith(begins) for prompt, (begins, _) in zip(asked, VAN, strict=True))
    text = Path("van.yaml").read_text(encoding="utf-8")
    whole = values(text)
    assert whole["panels"]["door"] == WRITTEN and whole["panels"]["bonnet"]["length"] == "7/8 in"
    assert MARK not in text and "{" not in text
    job = load_job("van.yaml")
    assert job.panel("door").unmeasured == ("handle at y",)
    assert job.panel("door").width.value == 22.4 and job.panel("bonnet").height.value == pytest.approx(22.225)
    assert Path("van-kinds.svg").is_file() and Path("van-card.pdf").is_file()
    checked = run("check", "van.yaml")
    assert checked.code == EXIT_FINDINGS and "1 error" in checked.out and "unmeasured" in checked.out
    asked = answering(["3,2"])
    assert run("measure", "van.yaml").code == 0 and asked[0].startswith("door, handle: at y")
    assert Path("van.yaml").read_text(encoding="utf-8") == text.replace("at: [12 mm, ?]", "at: [12 mm, 3.2 mm]")
    checked = run("check", "van.yaml")
    assert checked.code == 0, checked.out
    assert run("proof", "van.yaml", "--film", "white A5", "--effort", "quick").code == 0


def test_stopping_after_any_answer_loses_none(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    typed = [words for _, words in VAN]
    answering(typed)
    assert run("new", "van.yaml").code == 0
    whole = Path("van.yaml").read_bytes()
    for stop in range(1, len(typed), 2):
        name = f"van{stop}.yaml"
        first = answering(typed[:stop])
        assert run("new", name).code == 130
        half = Path(name)
        load_job(half)
        assert at_of(half.read_text(encoding="utf-8")) is not None
        second = answering(typed[stop:])
        assert run("new", name).code == 0
        assert len(first) + len(second) == len(VAN)
        # The file is named after its job.
        assert half.read_text(encoding="utf-8").replace(f"job: van{stop}", "job: van").encode() == whole


def test_a_wrong_answer_is_refused_at_once_with_its_fix(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    wrong = (
        ("", "", "sgnal orange", "is neither a paint nor a colour"),
        ("", "1:", None, "scale"),
        ("", "", "", "blak", "is not one of them"),
        ("", "", "", "", "9 lives", "cannot be the name of a panel"),
        ("", "", "", "", "door, flatt", "did you mean 'flat'"),
        ("", "", "", "", "door, flat, left, right", "more than a name"),
        ("", "", "", "", "door", "flatt", "did you mean 'flat'"),
        ("", "", "", "", "door", "", "22,4,5", "fix:"),
        ("", "", "", "", "door", "", "width", "fix:"),
        ("", "", "", "", "door", "", "-3", "fix:"),
        ("", "", "", "", "door", "", "0", "fix:"),
        ("", "", "", "", "door", "", "22 by thumb", "fix:"),
        ("", "", "", "", "roof", "cylinder", "20", "15", "more than half the chord"),
        ("", "", "", "", "door", "", "20", "10", "handle", "circle", "2", "60", "lies outside"),
    )
    for n, (*answers, says) in enumerate(wrong):
        given = [one for one in answers if one is not None]
        name = f"job{n}.yaml"
        asked = answering(given)
        said = run("new", name)
        assert said.code == 130 and str(says) in said.err.replace("\n", " "), (given, said.err)
        kept = Path(name).read_bytes()
        load_job(name)
        again = answering(given[-1:])
        assert run("new", name).code == 130
        assert again[0] == asked[-1] and Path(name).read_bytes() == kept


@pytest.mark.parametrize("text", ["job: van\nbody: grey\n", "", "notes\n", "# Unfinished\n"])
def test_any_other_file_is_refused_before_the_first_question(
    run: Run, answering: Callable[[list[str]], list[str]], text: str
) -> None:
    Path("van.yaml").write_text(text, encoding="utf-8")
    asked = answering(["a"] * 9)
    said = run("new", "van.yaml")
    assert said.code == OutputError.exit_code and "already exists" in said.err and not asked
    assert Path("van.yaml").read_text(encoding="utf-8") == text


def test_what_an_editor_changed_meanwhile_stays(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    answering(["Van", "", "", "", "door", "", "22"])
    assert run("new", "van.yaml").code == 130
    text = Path("van.yaml").read_text(encoding="utf-8")
    Path("van.yaml").write_text(text.replace("body: grey", "body: navy   # as it was\n\n# mine"), encoding="utf-8")
    answering(["11", "", "", ""])
    assert run("new", "van.yaml").code == 0
    left = Path("van.yaml").read_text(encoding="utf-8")
    assert "body: navy   # as it was\n\n# mine\n" in left and "height: 11 mm" in left


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_of_panel_is_asked_for_by_its_words(
    run: Run, answering: Callable[[list[str]], list[str]], kind: str
) -> None:
    asked = answering(["Van", "", "", "", "door", kind, *[""] * 20])
    said = run("new", "van.yaml")
    assert said.code == 0, said.text
    checked = run("check", "van.yaml")
    others = [row for row in checked.out.splitlines() if ": error " in row and "unmeasured" not in row]
    assert checked.code in (0, EXIT_FINDINGS) and not others
    need = kinds()[kind].needs[0]
    if kind not in ("outline", "prototype"):
        assert {key for key in need if any(prompt.startswith(f"door: {key},") for prompt in asked)} == set(need)


@pytest.mark.parametrize("kind", obstacle_kinds())
def test_every_kind_of_obstacle_too(run: Run, answering: Callable[[list[str]], list[str]], kind: str) -> None:
    answering(["Van", "", "", "", "door", "", "22", "11", "thing", kind, *[""] * 20])
    assert run("new", "van.yaml").code == 0
    assert kind in values(Path("van.yaml").read_text(encoding="utf-8"))["panels"]["door"]["obstacles"]["thing"]
    assert "error" not in run("check", "van.yaml").out.replace("error unmeasured", "").replace("1 error", "")


@pytest.mark.parametrize("layout", layout_names())
@pytest.mark.parametrize("size", [("22", "11"), ("6", "12"), ("?", "?")])
def test_a_first_decal_fits_its_panel_or_is_refused(
    run: Run, answering: Callable[[list[str]], list[str]], layout: str, size: tuple[str, str]
) -> None:
    sides = load_layout(layout).decal.get("hands") is None
    answering(["Van", "", "", "", "door", "", *size, "", "", layout, *([""] if sides else []), ""])
    said = run("new", "van.yaml")
    assert said.code == 0 or f"'{layout}' does not fit" in said.err
    checked = run("check", "van.yaml").out
    assert not [row for row in checked.splitlines() if ": error " in row and "unmeasured" not in row], checked


@pytest.mark.parametrize("kind", [name for name, kind in kinds().items() if len(kind.needs) > 1])
def test_a_kind_may_be_measured_by_other_readings(
    run: Run, answering: Callable[[list[str]], list[str]], kind: str
) -> None:
    asked = answering(["Van", "", "", "", "door, right", "other readings", kind, "2", *[""] * 12])
    assert run("new", "van.yaml").code == 0 and asked[7].startswith("door: which sizes")
    panel = values(Path("van.yaml").read_text(encoding="utf-8"))["panels"]["door"]
    found = frozenset(panel) - {"kind", "hand"}
    assert found in kinds()[kind].needs and found != kinds()[kind].needs[0] and panel["hand"] == "right"


# The readings of two models of the demo (demo/gannet.yaml, demo/ostmerrow.yaml).
TWO = {
    "gannet": [
        "Gannet", "1:43", "harbour teal", "", "door, flat", "22.40 ± 0.05", "11.60 ± 0.05", "handle", "rectangle", "3",
        "0.8", "16.5", "8.2", "", "bonnet, cylinder", "24.20 ± 0.05", "1.10 ± 0.10", "19.50 ± 0.05", "",
        "cargo side, tapered", "31.0 ± 0.25", "6.4 ± 0.25", "28.6 ± 0.25", "", "tailgate, flat", "26.10 ± 0.05",
        "7.80 ± 0.05", "", "", "checker-band", "tailgate", "",
    ],
    "ostmerrow": [
        "Ostmerrow", "", "rope cream", "", "door, flat, left", "15.2 ± 0.05", "10.4 ± 0.05", "", "bonnet, cylinder",
        "26.60 ± 0.05", "1.45 ± 0.10", "21.00 ± 0.05", "", "screen, cylinder", "24.00 ± 0.05", "2.60 ± 0.10",
        "8.50 ± 0.10", "", "boot, dome", "13.0 ± 0.05", "12.0 ± 0.05", "18 ± 2",
        "18 ± 2", "", "", "number-roundel", "door", "",
    ],
}  # fmt: skip


def test_two_models_from_nothing_to_a_proof_without_an_editor(
    run: Run, answering: Callable[[list[str]], list[str]]
) -> None:
    assert sum(map(len, TWO.values())) <= 60
    for name, typed in TWO.items():
        asked = answering(typed)
        said = run("new", f"{name}.yaml")
        assert said.code == 0 and len(asked) == len(typed), said.text
        assert not any(panel.unmeasured for panel in load_job(f"{name}.yaml").panels)
    said = run("proof", "gannet.yaml", "ostmerrow.yaml", "--film", "white A5", "--effort", "quick", "-o", "p.pdf")
    assert said.code == 0 and Path("p.pdf").is_file(), said.text


def test_a_panel_that_nobody_can_measure_by_its_full_size(
    run: Run, answering: Callable[[list[str]], list[str]]
) -> None:
    asked = answering(["Van", "", "", "", "roof", "prototype", "960", "0,5 m", "", "", ""])
    assert run("new", "van.yaml").code == 0 and asked[6].startswith("roof: full-size width")
    panel = load_job("van.yaml").panel("roof")
    assert (panel.kind, panel.unmeasured) == ("prototype", ())
    assert panel.width.value == pytest.approx(960 / 43) and panel.height.value == pytest.approx(500 / 43)


def test_a_kept_printer_is_offered(
    run: Run, answering: Callable[[list[str]], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("decalgen.commands.new.printers", lambda: ("desk", "attic laser"))
    asked = answering(["Van", "", "", "", "2", "door", "", "", "", "", "", ""])
    said = run("new", "van.yaml")
    assert said.code == 0 and asked[4].startswith("Printer") and '--printer "attic laser"' in said.out
    assert "# Printer: attic laser\n" in Path("van.yaml").read_text(encoding="utf-8")


def test_a_file_whose_next_question_is_gone_is_asked_for_panels(
    run: Run, answering: Callable[[list[str]], list[str]]
) -> None:
    for mark in ("panels / tail / kind", "panels / door / read / depth", "panels / door", "what", "", "decals / x / y"):
        text = f"{MARK}{mark}\njob: van\nbody: grey\npanels: {{door: {{width: 9 mm, height: 8 mm}}}}\n"
        Path("van.yaml").write_text(text, encoding="utf-8")
        asked = answering([""])
        assert run("new", "van.yaml").code == 130, mark
        assert asked[0].startswith("Name of a panel"), mark


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such terminal on Windows")
def test_a_real_terminal_killed_at_several_questions(tmp_path: Path) -> None:
    pexpect = pytest.importorskip("pexpect")
    here = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    asked: list[str] = []
    left = list(VAN)
    for kill in (1, 5, 7, 9, 14, 20, 28, None):
        child = pexpect.spawn(
            sys.executable, ["-m", "decalgen", "new", "van.yaml"], cwd=tmp_path, env=here, encoding="utf-8", timeout=120
        )
        child.setwinsize(24, 400)
        while left and (kill is None or len(asked) < kill):
            begins, typed = left.pop(0)
            child.expect_exact(f"\n{begins}")
            child.expect(r": $")
            asked.append(begins)
            child.sendline(typed)
        if left:
            child.expect_exact(f"\n{left[0][0]}")
            child.kill(signal.SIGKILL)
        child.expect(pexpect.EOF)
        child.close()
        assert child.signalstatus == signal.SIGKILL or child.exitstatus == 0
    assert asked == [begins for begins, _ in VAN]
    assert values((tmp_path / "van.yaml").read_text(encoding="utf-8"))["panels"]["door"] == WRITTEN
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]
