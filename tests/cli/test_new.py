"""A job from questions alone: every answer is read as it is typed and kept at once; nothing is asked twice."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from decalgen.commands.interview import MARK, reached
from decalgen.core.errors import EXIT_FINDINGS, OutputError
from decalgen.job.edits import values
from decalgen.job.layouts import layout_names, load_layout
from decalgen.job.loader import load_job
from decalgen.panels.registry import kinds, obstacle_kinds
from tests.helpers.commands import Run, runner

VAN = (
    ("What is the model called", "Ferry van"), ("Its scale", "1:50"), ("Colour of the body", "ferry blue"),
    ("Film", ""),
    ("Name of a panel", "door, left"), ("door: what kind", ""), ("(a) door: width", "22,4"),
    ("(b) door: height", "11.60 11.62 11.58 ± 0.05"),
    ("door: name of an obstacle", "handle"), ("door, handle: what shape", "rectangle"),
    ("(c) door, handle: width", "3"), ("(d) door, handle: height", "0,8 mm"), ("(e) door, handle: at x", "12"),
    ("(f) door, handle: at y", "?"), ("door, handle: how far decals keep away", "0,4"),
    ("door: name of an obstacle", ""),
    ("Name of a panel", "bonnet"), ("bonnet: what kind", "4"), ("bonnet: on which side", ""),
    ("(a) bonnet: chord", "24.2"), ("(b) bonnet: length", "7/8 in"), ("bonnet: name of an obstacle", ""),
    ("(c) bonnet: rise", "1.1 ± 0.1"),
    ("Name of a panel", "roof, cylinder"), ("(a) roof: chord", "20"), ("(b) roof: length", "30"),
    ("roof: name of an obstacle", ""), ("(c) roof: rise", "2"), ("Name of a panel", ""),
    ("A ready layout", "door-band"), ("door band: on which panel", "door"),
    ("A ready layout", "bonnet-label"), ("bonnet label: on which panel", "2"), ("bonnet label: for which sides", ""),
    ("A ready layout", ""),
    ("Lettering to match", "FERRY"), ("ferry lettering: on which panel", "roof"),
    ("(a) 'FERRY': cap height", "1,5"), ("(b) 'FERRY': length", "8.02 8.00 7.98"), ("(c) 'FERRY': stem", "0.3"),
    ("(d) 'FERRY': crossbar", ""), ("Lettering to match", ""),
)  # fmt: skip
"""What is asked, by its beginning, and what is answered: outside sizes, obstacles, then depth."""
WRITTEN = {
    "width": "22.4 mm",
    "height": ["11.60 mm ± 0.05", "11.62 mm ± 0.05", "11.58 mm ± 0.05"],
    "hand": "left",
    "obstacles": {"handle": {"rectangle": ["3 mm", "0.8 mm"], "at": ["12 mm", "?"], "clearance": "0.4 mm"}},
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
    assert MARK not in text
    job = load_job("van.yaml")
    assert job.panel("door").unmeasured == ("handle at y",)
    assert job.panel("door").width.value == 22.4 and job.panel("bonnet").height.value == pytest.approx(22.225)
    assert Path("van-kinds.svg").is_file() and Path("van-card.pdf").is_file()
    checked = run("check", "van.yaml")
    assert checked.code == EXIT_FINDINGS and "2 errors" in checked.out and checked.out.count("error unmeasured") == 2
    asked = answering(["3,2", "0.25"])
    assert run("measure", "van.yaml").code == 0
    assert [prompt.partition(", mm")[0] for prompt in asked] == ["(f) door, handle: at y", "(d) 'FERRY': crossbar"]
    # Nothing stands in brackets, and an editor takes no ? for the sign of a key (YAML 1.2.2, 8.2.2): another reader.
    assert not re.search(r"[\[\]{}]", text) and YAML(typ="safe").load(text)["panels"]["door"] == WRITTEN
    assert text.count('"?"') == 2
    wanted = text.replace('- 12 mm\n          - "?"', "- 12 mm\n          - 3.2 mm")
    wanted = wanted.replace('crossbar: "?"', "crossbar: 0.25 mm")
    assert Path("van.yaml").read_text(encoding="utf-8") == wanted
    checked = run("check", "van.yaml")
    assert checked.code == 0, checked.out
    assert run("proof", "van.yaml", "--film", "white A5", "--effort", "quick").code == 0


def test_the_card_comes_on_the_paper_that_is_asked_for(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    # MediaBox in points of 1/72 in (ISO 32000-1, 14.11.2); A5 is 148 × 210 mm (ISO 216).
    a5 = rb"/MediaBox\s*\[\s*0 0 419\.5\d* 595\.2\d*\s*\]"
    assert run("new", "van.yaml", "--panel", "door=22.4x11.6", "--paper", "a5").code == 0
    assert re.search(a5, Path("van-card.pdf").read_bytes())
    answering(["Bus", "", "", "", "door, flat", "22.4", "11.6", "", "", "", ""])
    assert run("new", "bus.yaml", "--paper", "A5").code == 0
    assert re.search(a5, Path("bus-card.pdf").read_bytes())
    assert run("new", "cab.yaml", "--panel", "door=22.4x11.6").code == 0
    assert not re.search(a5, Path("cab-card.pdf").read_bytes())


def test_the_colour_is_asked_for_with_a_chart_of_all_names(
    run: Run,
    answering: Callable[[list[str]], list[str]],
) -> None:
    answering(["", "", "no colour"])
    said = run("new", "van.yaml")
    assert "The colours are drawn in 'van-colours.svg'." in said.out
    assert run("colours", "-o", "all.svg").code == 0
    assert Path("van-colours.svg").read_bytes() == Path("all.svg").read_bytes()
    Path("van-colours.svg").write_text("mine", encoding="utf-8")
    answering(["night sea"])
    assert "van-colours.svg" in run("new", "van.yaml").out
    assert Path("van-colours.svg").read_text(encoding="utf-8") == "mine"


def test_a_job_from_options_holds_no_brackets_and_any_reader_takes_it(run: Run) -> None:
    assert run("new", "van.yaml", "--panel", "door=?x11.6", "--bent", "roof=20/?/30", "--layout", "door-band").code == 0
    text = Path("van.yaml").read_text(encoding="utf-8")
    assert not re.search(r"[\[\]{}]", text), text
    assert YAML(typ="safe").load(text) == values(text)
    assert run("format", "--check", "van.yaml").code == 0
    # The obstacle that stands there as a note can be made one by taking the # away.
    Path("van.yaml").write_text(re.sub(r"(?m)^    # ", "    ", text), encoding="utf-8")
    assert load_job("van.yaml").panel("door").obstacles


def test_stopping_after_every_answer_loses_none(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    typed = [words for _, words in VAN]
    answering(typed)
    assert run("new", "van.yaml").code == 0
    whole = Path("van.yaml").read_bytes()
    asked: list[str] = []
    for number, words in enumerate(typed, 1):
        some = answering([words])
        assert run("new", "bus.yaml").code == (0 if number == len(typed) else 130)
        asked += some
        assert len(asked) == number
        if number < len(typed):
            load_job("bus.yaml")
            assert reached(Path("bus.yaml").read_text(encoding="utf-8")) is not None
    assert all(prompt.startswith(begins) for prompt, (begins, _) in zip(asked, VAN, strict=True))
    # The file is named after its job.
    assert Path("bus.yaml").read_text(encoding="utf-8").replace("job: bus", "job: van").encode() == whole


def test_a_wrong_answer_is_refused_at_once_with_its_fix(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    wrong = (
        ("", "", "sgnal orange", "is neither a paint nor a colour"),
        ("", "1:", None, "scale"),
        ("", "", "", "blak", "is not one of them"),
        ("", "", "", "", "9 lives", "cannot be the name of a panel"),
        ("", "", "", "", "", "a job needs a panel"),
        ("", "", "", "", "door, flatt", "did you mean 'flat'"),
        ("", "", "", "", "door, flat, left, right", "more than a name"),
        ("", "", "", "", "door", "flatt", "did you mean 'flat'"),
        ("", "", "", "", "door", "", "both", "is not one of them"),
        ("", "", "", "", "door, flat", "22,4,5", "fix:"),
        ("", "", "", "", "door, flat", "width", "fix:"),
        ("", "", "", "", "door, flat", "-3", "fix:"),
        ("", "", "", "", "door, flat", "0", "fix:"),
        ("", "", "", "", "door, flat", "22 by thumb", "fix:"),
        ("", "", "", "", "roof, cylinder", "20", "30", "", "15", "more than half the chord"),
        ("", "", "", "", "door, flat", "20", "10", "handle", "circle", "2", "60", "lies outside"),
        ("", "", "", "", "door, flat", "20", "10", "lamp", "circle", "2", "5", "5", "?", "'?' is not a length"),
        ("", "", "", "", "door, flat", "20", "10", "lamp", "circle", "2", "5", "5", "0.3 0.4", "fix:"),
        ("", "", "", "", "door, flat", "20", "10", "lamp", "circle", "2", "5", "5", "30", "cover the whole panel"),
        ("", "?", "an answer is needed"),
        ("", "", "", "", "?", "cannot be the name of a panel"),
        ("", "", "", "", "door, flat", "20", "10", "?", "cannot be the name of an obstacle"),
        ("", "", "", "", "door, flat", "20", "10", "", "", "", "?", "the words are needed"),
        ("", "", "", "", "door, flat", "20", "10", "", "", "", "HE", "2", "6", "9", "do not go into a length"),
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
    answering(["Van", "", "", "", "door, flat", "22"])
    assert run("new", "van.yaml").code == 130
    text = Path("van.yaml").read_text(encoding="utf-8")
    Path("van.yaml").write_text(text.replace("body: grey", "body: navy   # as it was\n\n# mine"), encoding="utf-8")
    answering(["11", "", "", "", ""])
    assert run("new", "van.yaml").code == 0
    left = Path("van.yaml").read_text(encoding="utf-8")
    assert "body: navy   # as it was\n\n# mine\n" in left and "height: 11 mm" in left


@pytest.mark.parametrize("kind", kinds())
def test_every_kind_of_panel_is_asked_for_by_its_words(
    run: Run, answering: Callable[[list[str]], list[str]], kind: str
) -> None:
    asked = answering(["Van", "", "", "", "door", kind, *[""] * 22])
    said = run("new", "van.yaml")
    assert said.code == 0, said.text
    checked = run("check", "van.yaml")
    others = [row for row in checked.out.splitlines() if ": error " in row and "unmeasured" not in row]
    assert checked.code in (0, EXIT_FINDINGS) and not others
    need = kinds()[kind].needs[0]
    if kind not in ("outline", "prototype"):
        assert {key for key in need if any(f" door: {key}," in prompt for prompt in asked)} == set(need)


@pytest.mark.parametrize("kind", obstacle_kinds())
def test_every_kind_of_obstacle_too(run: Run, answering: Callable[[list[str]], list[str]], kind: str) -> None:
    answering(["Van", "", "", "", "door, flat", "22", "11", "thing", kind, *[""] * 20])
    assert run("new", "van.yaml").code == 0
    thing = values(Path("van.yaml").read_text(encoding="utf-8"))["panels"]["door"]["obstacles"]["thing"]
    # Nobody keeps away from a shut line unless it is said.
    assert kind in thing and thing.get("clearance") == (None if kind == "line" else "0.3 mm")
    assert "error" not in run("check", "van.yaml").out.replace("error unmeasured", "").replace("1 error", "")


@pytest.mark.parametrize("layout", layout_names())
@pytest.mark.parametrize("size", [("22", "11"), ("6", "12"), ("?", "?")])
def test_a_first_decal_fits_its_panel_or_is_refused(
    run: Run, answering: Callable[[list[str]], list[str]], layout: str, size: tuple[str, str]
) -> None:
    sides = load_layout(layout).decal.get("hands") is None
    answering(["Van", "", "", "", "door, flat", *size, "", "", layout, *([""] if sides else []), "", ""])
    said = run("new", "van.yaml")
    assert said.code == 0 or f"'{layout}' does not suit" in said.err
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


def test_a_panel_that_nobody_can_measure_by_its_full_size(
    run: Run, answering: Callable[[list[str]], list[str]]
) -> None:
    asked = answering(["Van", "", "", "", "roof", "prototype", "960", "500 mm", "", "", "", ""])
    assert run("new", "van.yaml").code == 0 and asked[6].startswith("roof: full-size width")
    panel = load_job("van.yaml").panel("roof")
    assert (panel.kind, panel.unmeasured) == ("prototype", ())
    assert panel.width.value == pytest.approx(960 / 43) and panel.height.value == pytest.approx(500 / 43)


def test_a_kept_printer_is_offered(
    run: Run, answering: Callable[[list[str]], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("decalgen.commands.new.printers", lambda: ("desk", "attic laser"))
    asked = answering(["Van", "", "", "", "2", "door, flat", "", "", "", "", "", ""])
    said = run("new", "van.yaml")
    assert said.code == 0 and asked[4].startswith("Printer")
    assert load_job("van.yaml").printer == "attic laser"


def test_a_file_whose_next_question_is_gone_is_asked_for_panels(
    run: Run, answering: Callable[[list[str]], list[str]]
) -> None:
    for mark in ("panels / tail / kind", "panels / door / read / depth", "panels / door", "what", "", "decals / x / y"):
        text = f"{MARK}{mark}\njob: van\nbody: grey\npanels: {{door: {{width: 9 mm, height: 8 mm}}}}\n"
        Path("van.yaml").write_text(text, encoding="utf-8")
        asked = answering([""])
        assert run("new", "van.yaml").code == 130, mark
        assert asked[0].startswith("Name of a panel"), mark


def test_a_wheel_arch_has_its_middle_below_the_foot(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    answering(["Van", "", "", "", "door, flat", "22", "11", "arch", "circle", "8", "9", "-1,5", *[""] * 5])
    assert run("new", "van.yaml").code == 0
    (arch,) = load_job("van.yaml").panel("door").obstacles
    assert arch.outline.polygon.bounds == pytest.approx((5.0, -5.5, 13.0, 2.5))


def test_first_decals_lie_clear_of_obstacles_and_of_each_other(
    run: Run, answering: Callable[[list[str]], list[str]]
) -> None:
    handle = ["handle", "", "3", "0.8", "16.5", "8.2", "", ""]
    rest = ["", "door-band", "", "HARBOUR", "1.2", "9", "0.2", "0.18", ""]
    answering(["Van", "", "", "", "door, flat, left", "22.4", "11.6", *handle, *rest])
    assert run("new", "van.yaml").code == 0
    said = run("check", "van.yaml", "-v")
    assert said.code == 0, said.out
    assert not any(code in said.out for code in ("on-obstacle", "decals-overlap", "fit-not-known", "too big"))
    assert values(Path("van.yaml").read_text(encoding="utf-8"))["decals"]["harbour lettering"]["height"] == "1.8 mm"


@pytest.mark.parametrize("layout", ["door-band", "number-plate", "tailgate-chevrons", "HARBOUR"])
def test_on_clear_film_over_a_dark_body_decals_take_white_film(
    run: Run, answering: Callable[[list[str]], list[str]], layout: str
) -> None:
    sides = [""] if layout != "HARBOUR" and load_layout(layout).decal.get("hands") is None else []
    more = ["", layout, "1.2", "9", "0.2", "0.18", ""] if layout == "HARBOUR" else [layout, *sides, "", ""]
    answering(["Van", "", "night sea", "clear", "door, flat, left", "22.4", "11.6", "", "", *more])
    said = run("new", "van.yaml")
    assert said.code == 0, said.err
    assert "error" not in run("check", "van.yaml").out.replace("0 errors", "")
    (decal,) = values(Path("van.yaml").read_text(encoding="utf-8"))["decals"].values()
    assert decal["film"] == "white"


def test_a_layout_that_lacks_something_says_what(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    answering(["Van", "", "", "", "door, flat", "22.4", "11.6", "", "", "reproduction-mark"])
    said = run("new", "van.yaml")
    assert said.code == 130 and "there is no year: the job has no date" in said.err and "fix: " in said.err


@pytest.mark.parametrize("typed", ["76", "1:76", "1/76", "1 / 76"])
def test_a_scale_is_taken_as_people_say_it(run: Run, answering: Callable[[list[str]], list[str]], typed: str) -> None:
    answering(["Van", typed])
    assert run("new", "van.yaml").code == 130
    assert load_job("van.yaml").scale == "1:76"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (["58,2 cm"], "were millimetres meant?"),
        (["58.2", "23.4 23.5 32.4"], "32.40 is 8.90 mm off the middle one"),
        (["58.2", "23.4 23.5 23.4"], ""),
    ],
)
def test_a_reading_that_looks_wrong_is_doubted_at_once_and_once(
    run: Run, answering: Callable[[list[str]], list[str]], typed: list[str], says: str
) -> None:
    asked = answering(["Van", "1:50", "", "", "side, flat", *typed, "back"])
    said = run("new", "van.yaml")
    assert said.code == 130 and ("look again: " in said.err) == bool(says)
    # It is kept all the same, and 'back' asks for it again.
    assert (
        says in said.err
        and said.err.count("look again") == bool(says)
        and "'back' asks for it again" in said.err + ("" if says else "'back' asks for it again")
    )
    assert typed[-1].split()[0].replace(",", ".") in Path("van.yaml").read_text(encoding="utf-8")
    answering([])
    again = answering(["23.4"] if len(typed) > 1 else ["58.2"])
    run("new", "van.yaml")
    assert again[0].split(" (")[0] == asked[-2].split(" (")[0]


def test_the_fix_of_a_reading_is_one_that_can_be_typed(run: Run, answering: Callable[[list[str]], list[str]]) -> None:
    answering(["Van", "", "", "", "side, flat", "rear door"])
    said = run("new", "van.yaml").err
    assert "'rear door' is not a length" in said and "fix: write 12.40 mm" in said and "values" not in said


def test_what_to_do_with_a_job_that_is_there(run: Run) -> None:
    Path("van.yaml").write_text("job: van\n", encoding="utf-8")
    assert "decalgen bench van.yaml" in run("new", "van.yaml").err
