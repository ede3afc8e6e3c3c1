"""What a user may ask of a nest, through the commands: pins, pieces kept together, what to keep of the film, Ctrl-C,
and the figures told of it."""

from __future__ import annotations

import json
import re
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from decalgen.cli.ctrl_c import Stopping
from decalgen.core.errors import Interrupted
from decalgen.job.model import Cut
from decalgen.nesting.model import QUICK
from decalgen.pages.proof import proof
from decalgen.sheet import nest_request
from decalgen.sheet.arrange import arrange
from decalgen.sheet.film_use import in_short, reckoned
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import Saved
from tests.helpers import jobs
from tests.helpers.commands import Run, edited, folder, runner
from tests.helpers.mixed_jobs import mixed
from tests.helpers.page_words import words_of

JOB = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 60 mm ± 0.05, height: 40 mm ± 0.05}}
decals:
  band: {panel: door, hands: both, width: 20 mm, height: 4 mm, artwork: [field: {ink: lifebuoy orange}]}
  side: {panel: door, width: 58 mm, height: 38 mm, artwork: [field: {ink: lifebuoy orange}]}
"""
A5 = ("--film", "white A5", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder that holds the job `tug.yaml`."""
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys)


def kept(name: str = "tug.positions.json") -> dict[str, Any]:
    """A file of positions."""
    found = json.loads(Path(name).read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def places(decal: str) -> list[tuple[int, float, float, int]]:
    """Sheet, x, y and turn of a decal's pieces, in order."""
    return [
        (p["sheet"], p["x"], p["y"], p["turn"])
        for p in sorted(kept()["positions"], key=lambda p: (p["decal"], p["copy"]))
        if p["decal"].startswith(f"tug/{decal}/")
    ]


# ------------------------------------------------------------------------------------------------------------- pins


def test_pinned_pieces_lie_just_there(run: Run) -> None:
    pins = "pin: [{at: [40 mm, 100 mm]}, {at: [90 mm, 60 mm], turn: 90}], "
    edited("{panel: door, hands: both, ", "{panel: door, hands: both, " + pins)
    said = run("proof", "tug.yaml", *A5)
    assert said.code == 0, said.err
    # The left one lies as drawn. A piece of 20 × 4 mm turned by 90° about its corner reaches 4 mm to the left of it.
    assert places("band") == [(0, 40.0, 100.0, 0), (0, pytest.approx(94.0), pytest.approx(60.0), 90)]
    before = Path("tug-proof.pdf").read_bytes()
    assert run("sheet", "tug.yaml", *A5).code == 0
    edited("at: [40 mm, 100 mm]", "at: [40 mm, 101 mm]")
    said = run("sheet", "tug.yaml", *A5)
    assert said.code == 1 and "never proven" in said.err, "a moved pin makes another layout"
    assert Path("tug-proof.pdf").read_bytes() == before


def test_the_right_hands_pins_count_on_when_it_is_printed_alone(run: Run) -> None:
    pins = "pin: [{at: [40 mm, 100 mm]}, {at: [90 mm, 60 mm]}], "
    edited("{panel: door, hands: both, ", "{panel: door, hands: both, " + pins)
    assert run("proof", "tug.yaml", "--hands", "right", *A5).code == 0
    assert places("band") == [(0, 90.0, 60.0, 0)]


def test_a_pin_on_the_second_sheet(run: Run) -> None:
    edited("side: {panel: door, ", "side: {panel: door, pin: {at: [40 mm, 100 mm], sheet: 2}, ")
    assert run("proof", "tug.yaml", *A5).code == 0
    assert [place[0] for place in places("side")] == [1] and {place[0] for place in places("band")} == {0}


@pytest.mark.parametrize(
    ("keys", "code", "says", "fix"),
    [
        ("pin: {at: [1 mm, 100 mm]}", 5, "pinned where it cannot lie: 'side' of tug", "148 × 210 mm"),
        ("pin: {at: [300 mm, 100 mm]}", 5, "pinned where it cannot lie: 'side' of tug", "move the pin"),
        ("pin: [{at: [40 mm, 9 mm]}, {at: [40 mm, 90 mm]}]", 2, "2 pins for 1 piece", "as many as there are copies"),
        ("pin: {at: [40 mm, 90 mm], turn: 45}", 2, "in quarters only", "0, 90, 180 or 270"),
        ("turn: no, pin: {at: [40 mm, 90 mm], turn: 90}", 2, "must not be turned", "from the pin"),
        ("pin: {at: [-4 mm, 90 mm]}", 2, "-4", ""),
        ("pin: {at: 40 mm}", 2, "", "["),
        ("pin: {turn: 90}", 2, "has no 'at'", "add at"),
        ("pin: {at: [40 mm, 90 mm], sheet: 0}", 2, "0", ""),
        ("keep together: perhaps", 2, "perhaps", "yes or no"),
        ("copies: 1000000", 2, "1000000", "500"),
        ("copies: 400, spares: 400", 2, "800 pieces", "fewer copies"),
    ],
)
def test_a_wish_that_cannot_be_met_has_its_place_and_a_fix(run: Run, keys: str, code: int, says: str, fix: str) -> None:
    edited("side: {panel: door, ", "side: {panel: door, " + keys + ", ")
    before = folder()
    said = run("proof", "tug.yaml", *A5)
    assert said.code == code and "tug.yaml:8:" in said.err and says in said.err, said.err
    assert "fix: " in said.err and fix in said.err
    assert folder() == before


def test_a_decal_in_sections_is_not_pinned(run: Run) -> None:
    edited("height: 40 mm ± 0.05}", "height: 40 mm ± 0.05, obstacles: {gap: {rectangle: [0.4 mm, 40 mm], "
           "at: [30 mm, 0 mm], gap: yes}}}")  # fmt: skip
    edited("side: {panel: door, ", "side: {panel: door, split at: [gap], pin: {at: [40 mm, 90 mm]}, ")
    said = run("proof", "tug.yaml", *A5)
    assert said.code == 2 and "split into sections cannot be pinned" in said.err and "tug.yaml:8:" in said.err


def test_two_pins_on_one_spot(run: Run) -> None:
    edited("side: {panel: door, ", "side: {panel: door, copies: 2, pin: [{at: [40 mm, 90 mm]}, {at: [50 mm, 95 mm]}], ")
    said = run("proof", "tug.yaml", *A5)
    assert said.code == 5 and "pinned where it cannot lie" in said.err and "tug.yaml:8:" in said.err


# ---------------------------------------------------------------------------------------------------- kept together


def sheets_of(decal: str) -> set[int]:
    return {place[0] for place in places(decal)}


def test_hands_and_copies_kept_together_lie_on_one_sheet(run: Run) -> None:
    edited("side: {panel: door, ", "side: {panel: door, copies: 7, ")
    edited("hands: both, width: 20 mm, height: 4 mm", "hands: both, copies: 2, width: 55 mm, height: 35 mm")
    assert run("proof", "tug.yaml", *A5).code == 0
    apart = len(sheets_of("band"))
    edited("band: {panel: door, ", "band: {panel: door, keep together: yes, ")
    assert run("proof", "tug.yaml", *A5).code == 0
    assert apart == 2 and len(sheets_of("band")) == 1, "left alone they are parted"


def test_a_job_kept_together(run: Run) -> None:
    Path("barge.yaml").write_text(
        JOB.replace("job: tug", "job: barge").replace("side: {", "side: {copies: 7, "), "utf-8"
    )
    edited("film: white\n", "film: white\nkeep together: yes\n")
    edited("side: {panel: door, ", "side: {panel: door, copies: 3, ")
    assert run("proof", "barge.yaml", "tug.yaml", "-o", "tug-proof.pdf", *A5).code == 0
    assert len(sheets_of("side") | sheets_of("band")) == 1
    assert len({p["sheet"] for p in kept()["positions"]}) == 2


def test_what_is_kept_together_has_to_go_on_one_sheet(run: Run) -> None:
    edited("side: {panel: door, ", "side: {panel: door, copies: 30, keep together: yes, ")
    said = run("proof", "tug.yaml", *A5)
    assert said.code == 5 and "kept together has to go on one sheet" in said.err and "tug.yaml:8:" in said.err
    assert "38.0 × 58.0 mm" in said.err and "remove `keep together:`" in said.err


# --------------------------------------------------------------------------------------------------------- openings


def test_small_decals_may_lie_in_the_opening_of_a_large_one_with_the_gap_round_them(run: Run) -> None:
    window = "obstacles: {window: {rectangle: [40 mm, 24 mm], at: [10 mm, 8 mm]}}"
    edited("height: 40 mm ± 0.05}", f"height: 40 mm ± 0.05, {window}}}")
    edited("side: {panel: door, ", "side: {panel: door, cut around: [window], pin: {at: [50 mm, 80 mm]}, ")
    pins = "pin: [{at: [63.5 mm, 92 mm]}, {at: [70 mm, 100 mm]}]"
    edited("hands: both, ", f"hands: both, at: {{anchor: bottom, offset: [0 mm, 1 mm]}}, {pins}, ")
    # The decal is 2 mm smaller than the panel, so the opening of 40 × 24 mm begins 9 mm in and 7 mm up, at (59, 87).
    said = run("proof", "tug.yaml", "--gap", "4 mm", *A5)
    assert said.code == 0, said.err
    assert places("band") == [(0, 63.5, 92.0, 0), (0, 70.0, 100.0, 0)]
    edited("63.5 mm", "62.5 mm")
    said = run("proof", "tug.yaml", "--gap", "4 mm", *A5)
    assert said.code == 5 and "pinned where it cannot lie" in said.err, "3.5 mm from the edge of the opening"
    assert run("proof", "tug.yaml", "--gap", "3 mm", *A5).code == 0


def test_the_nest_finds_an_opening_by_itself(run: Run) -> None:
    window = "obstacles: {window: {rectangle: [40 mm, 24 mm], at: [10 mm, 8 mm]}}"
    edited("height: 40 mm ± 0.05}", f"height: 40 mm ± 0.05, {window}}}")
    edited("side: {panel: door, ", "side: {panel: door, cut around: [window], ")
    edited(
        "width: 20 mm, height: 4 mm", "at: {anchor: bottom, offset: [0 mm, 1 mm]}, width: 8 mm, height: 5 mm, copies: 6"
    )
    assert run("proof", "tug.yaml", *A5).code == 0
    ((sheet, x, y, turn),) = places("side")
    corners = {0: (0, 0, 58, 38), 90: (-38, 0, 0, 58), 180: (-58, -38, 0, 0), 270: (0, -58, 38, 0)}
    x0, y0, x1, y1 = corners[turn]
    inside = [p for p in places("band") if x + x0 < p[1] < x + x1 and y + y0 < p[2] < y + y1]
    assert sheet == 0 and len(inside) >= 1


# ------------------------------------------------------------------------------------------------------ what is left


def left(text: str) -> tuple[str, int, int]:
    """What a proof says is left: the words, and its size in mm."""
    found = re.search(r"left: (a strip of )?(\d+) × (\d+) mm( in one piece)?", text)
    assert found, text
    return (found[1] or found[4] or "").strip(), int(found[2]), int(found[3])


def test_a_straight_strip_or_the_largest_rectangle_is_left(run: Run) -> None:
    words, width, height = left(run("proof", "tug.yaml", "--leave", "strip", *A5).out)
    # The printable width: 148 mm less 10 mm at each side, less 0.5 mm of bleed at each.
    assert words == "a strip of" and width == 127
    words, width, height = left(run("proof", "tug.yaml", "--leave", "rectangle", *A5).out)
    # The printable film is 128 × 190 mm, and the large piece of 58 × 38 mm lies on it.
    assert words == "in one piece" and 0 < width <= 128 and 0 < height <= 190 and width * height < 128 * 190 - 58 * 38
    said = run("proof", "tug.yaml", "--leave", "triangle", *A5)
    assert said.code == 64 and "triangle" in said.err


@pytest.mark.parametrize("seed", [0, 3])
def test_the_answer_and_the_proof_say_the_same_is_left(seed: int) -> None:
    """One piece of film, one size: on the screen and inside the dashed line of the proof."""
    case = mixed(seed, "A5", used=seed == 3)
    done = arrange(case.jobs, case.plan(QUICK))
    for told in (in_short(done), reckoned(done)):
        said = [left(row)[1:] for row in told if "left:" in row]
        assert said == [
            (round(x1 - x0), round(y1 - y0)) for x0, y0, x1, y1 in (one.rest for one in done.sheets if one.rest)
        ]
    words = "".join(one.plain for one in words_of(proof(done, case.jobs, "title", None, 0.0015, "ABCDE")))
    for width, height in said:
        assert f"{width}×{height}mminonepiece" in words


def test_a_piece_that_finds_no_room_for_its_number_stops_the_proof(run: Run) -> None:
    """By hand: 58 × 38 mm with 0.5 mm of bleed on 60 × 40 mm of printable film leaves 1 mm; the lowest number is
    1.1 mm high."""
    Path("tug.yaml").write_text(JOB[: JOB.index("  band:")] + JOB[JOB.index("  side:") :], encoding="utf-8")
    said = run("proof", "tug.yaml", "--film", "white 80 × 60 mm")
    assert said.code == 7 and "error no-room-for-number: side: no room on the film for its number 1" in said.text
    assert "larger or another sheet" in said.text
    assert [path.name for path in Path().iterdir()] == ["tug.yaml"], "nothing is written"
    roomy = run("proof", "tug.yaml", "--film", "white 90 × 60 mm")
    assert roomy.code == 0 and "no-room-for-number" not in roomy.text


def test_kept_positions_without_room_for_a_number_are_printed_with_a_note() -> None:
    """A proof that was passed shows where the piece lies; nothing that is kept is lost to a new rule."""
    case = jobs.job(jobs.decal("side", 64.0, 44.0, jobs.element("field", ink="navy"), cut=Cut()))
    plan = Plan([jobs.film("white", 75.0, 60.0)], jobs.PRINTER, effort=QUICK)
    new = arrange([case], plan)
    assert [(one.severity, one.code) for one in new.findings if one.code == "no-room-for-number"] == [
        ("error", "no-room-for-number")
    ]
    kept = arrange([case], plan, saved=Saved(new.digest, new.positions, "kept"))
    (note,) = [one for one in kept.findings if one.code == "no-room-for-number"]
    assert note.severity == "note" and "the proof shows it" in note.message and not note.fix


def test_the_objective_follows_the_choice(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    nest = nest_request.nest
    monkeypatch.setattr(nest_request, "nest", lambda request, watch: seen.append(request) or nest(request, watch))
    for words in ((), ("--leave", "strip")):
        assert run("proof", "tug.yaml", *A5, *words).code == 0
    assert [request.remnant for request in seen] == ["rectangle", "strip"]


# ------------------------------------------------------------------------------------------------- the honest number


def test_the_bound_of_a_single_piece_is_its_shorter_side(run: Run) -> None:
    Path("tug.yaml").write_text(JOB[: JOB.index("  band:")] + JOB[JOB.index("  side:") :], encoding="utf-8")
    strip = ("--film", "white A5", "--leave", "strip")
    short = run("proof", "tug.yaml", *strip, "--effort", "normal").out
    out = run("proof", "tug.yaml", *strip, "--effort", "normal", "-v").out
    # The piece of 58 × 38 mm lies in the corner of the printable film, as if nothing else were printed.
    assert "uses 38.0 mm; the least possible is 38.0 mm" in out
    assert "1 sheet, proven fewest" in out
    assert run("sheet", "tug.yaml", *strip).out.splitlines()[:2] == short.splitlines()[:2]


def test_the_bound_counts_the_gap_and_never_exceeds_what_is_used(run: Run) -> None:
    edited("side: {panel: door, ", "side: {panel: door, copies: 5, ")
    bounds = []
    for gap in ("2 mm", "8 mm"):
        out = run("proof", "tug.yaml", "--gap", gap, "--leave", "strip", "-v", *A5).out
        found = re.search(
            r"uses ([\d.]+) mm; the least possible is ([\d.]+) mm; "
            r"(?:at most [\d.]+ cm² could still be saved, \d+ % of the printable film \((\d+) % of the film used\)|"
            r"no film can be saved)",
            out,
        )
        assert found, out
        used, least = float(found[1]), float(found[2])
        assert 0 < least <= used and 0 <= int(found[3] or 0) <= 100
        # By hand: pieces spread by half the gap, 128 mm of printable width; the bound may not lie under bare area.
        bare = (5 * 58 * 38 + 2 * 20 * 4) / 128
        assert least > bare
        bounds.append(least)
    assert bounds[1] > bounds[0] + 5, "a wide gap needs film too"


def test_small_decals_alarm_nobody_where_nearly_the_whole_sheet_is_left(run: Run) -> None:
    edited("hands: both, width: 20 mm", "hands: both, copies: 8, width: 20 mm")
    Path("tug.yaml").write_text(Path("tug.yaml").read_text(encoding="utf-8").split("  side:")[0], encoding="utf-8")
    out = run("proof", "tug.yaml", "-v", *A5).out
    found = re.search(
        r"used: [\d.]+ of [\d.]+ mm, ([\d.]+) of ([\d.]+) cm²; left: \d+ × \d+ mm in one piece, ([\d.]+) cm²", out
    )
    assert found, out
    used, film, kept = map(float, found.groups())
    assert used + kept == pytest.approx(film, abs=0.11)
    told = re.search(
        r"uses ([\d.]+) cm² with its gaps; the least possible is ([\d.]+) cm²; at most "
        r"([\d.]+) cm² could still be saved, (\d+) % of the printable film "
        r"\((\d+) % of the film used",
        out,
    )
    assert told, out
    spent, least, saved, of_all, of_used = map(float, told.groups())
    # A gap is kept in reckoning what is used, 1 mm to print in saying what is left: the one is a little more.
    assert 0 < spent - used < 0.05 * film and saved == pytest.approx(spent - least, abs=0.11)
    # By hand: sixteen stripes of 20 × 4 mm are at least this; the share of all is the smaller one, both rounded up.
    assert 16 * 0.8 < least < spent
    assert of_all == pytest.approx(100 * saved / film, abs=1) and saved / spent * 100 <= of_used + 1
    assert of_all < of_used


def test_sheets_not_proven_fewest_are_told_so(run: Run) -> None:
    # 70 × 100 mm: one goes on a sheet of 128 × 190 mm beside none of its like only by 1 × 1; by area three would.
    edited(
        "side: {panel: door, width: 58 mm, height: 38 mm", "side: {panel: door, copies: 2, width: 100 mm, height: 99 mm"
    )
    edited("width: 60 mm ± 0.05, height: 40 mm ± 0.05", "width: 110 mm ± 0.05, height: 110 mm ± 0.05")
    out = run("proof", "tug.yaml", "-v", *A5).out
    assert "2 sheets, not proven fewest: by area 1 might do" in out


# ------------------------------------------------------------------------------------------------------------ Ctrl-C


def interrupting(monkeypatch: pytest.MonkeyPatch, times: int = 1) -> list[int]:
    """From now on each nest is interrupted at its first layouts, as Ctrl-C would; the count of layouts told."""
    told: list[int] = []
    call = Stopping.__call__

    def watch(self: Stopping, progress: Any) -> bool | None:
        answer = call(self, progress)
        told.append(progress.placed)
        if len(told) <= times:
            signal.raise_signal(signal.SIGINT)
        return answer

    monkeypatch.setattr(Stopping, "__call__", watch)
    return told


@pytest.fixture
def hearing() -> Iterator[None]:
    """Ctrl-C as it is in a terminal: a run of the tests in the background would not hear it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("hearing")
def test_ctrl_c_once_keeps_the_best_so_far(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    handler = signal.getsignal(signal.SIGINT)
    told = interrupting(monkeypatch)
    said = run("proof", "tug.yaml", "--film", "white A5", "--effort", "thorough")
    assert said.code == 0 and told == [3], said.err
    assert "stopped by the user" in said.out and "nesting was cut short" in said.out
    assert kept()["nested completely"] is False and len(kept()["positions"]) == 3
    assert Path("tug-proof.pdf").read_bytes().startswith(b"%PDF")
    assert signal.getsignal(signal.SIGINT) == handler
    said = run("sheet", "tug.yaml", "--film", "white A5")
    assert said.code == 0 and "as on the proof" in said.out and "nesting was cut short" in said.out


@pytest.mark.usefixtures("hearing")
def test_ctrl_c_in_a_sheet_without_proof_keeps_its_positions(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("sheet", "tug.yaml", *A5).code == 0
    assert not Path("tug-printed.positions.json").exists()
    interrupting(monkeypatch)
    said = run("sheet", "tug.yaml", "--film", "white A5")
    assert said.code == 0 and "nesting was cut short" in said.out
    assert kept("tug-printed.positions.json")["nested completely"] is False


@pytest.mark.usefixtures("hearing")
def test_ctrl_c_in_the_first_of_two_nests_ends_the_second_with_its_first_layout(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    edited("side: {panel: door, ", "side: {panel: door, film: clear, ")
    told = interrupting(monkeypatch)
    said = run("proof", "tug.yaml", "--film", "white A5", "--film", "clear A5")
    assert said.code == 0 and told == [2, 1]
    assert kept()["nested completely"] is False and len(kept()["positions"]) == 3


@pytest.mark.usefixtures("hearing")
def test_ctrl_c_twice_stops_and_costs_nothing(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("proof", "tug.yaml", *A5).code == 0
    before = folder()
    edited("side: {panel: door, ", "side: {panel: door, film: clear, ")
    before["tug.yaml"] = Path("tug.yaml").read_bytes()
    interrupting(monkeypatch, times=2)
    said = run("proof", "tug.yaml", "--film", "white A5", "--film", "clear A5")
    assert said.code == Interrupted.exit_code and "no half-written file" in said.err
    assert folder() == before


@pytest.mark.usefixtures("hearing")
def test_ctrl_c_before_the_first_layout_stops(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:

    monkeypatch.setattr(nest_request, "nest", lambda *_: signal.raise_signal(signal.SIGINT))
    before = folder()
    said = run("proof", "tug.yaml", *A5)
    assert said.code == Interrupted.exit_code and "no half-written file" in said.err and folder() == before


def test_the_line_of_progress_names_the_best_so_far(capsys: pytest.CaptureFixture[str]) -> None:
    from decalgen.cli.progress import ProgressBar
    from decalgen.nesting import Progress

    bar = ProgressBar("nesting")
    bar.shown = True
    with bar:
        bar.show(Progress("fill", 40, 120, 12, 14, 1, 83.42, (), 10_600.0))
    shown = capsys.readouterr().err
    assert "[##    ] 12/14 on 1 sheet, 83 mm, 106 cm² left; Ctrl-C keeps it" in shown
    assert max(len(part) for part in shown.split("\r")) <= 78


def test_an_effort_may_be_a_time(run: Run) -> None:
    said = run("proof", "tug.yaml", "--film", "white A5", "--effort", "2 s")
    assert said.code == 0, said.err
    # Two runs of the clock need not agree, so the positions are kept as those of a nest that was not counted.
    assert "nesting was cut short" in said.out and kept()["nested completely"] is False
    said = run("sheet", "tug.yaml", "--film", "white A5")
    assert said.code == 0 and "as on the proof" in said.out
