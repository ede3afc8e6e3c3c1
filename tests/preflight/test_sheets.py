"""What a sheet is refused for, and what is said of one that is hardly used."""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.core.errors import EXIT_FINDINGS, InputError
from decalgen.core.kept import SEAL, write_kept
from decalgen.job.model import Cut, Decal, UsedArea
from decalgen.nesting.model import QUICK
from decalgen.preflight.sheets import check_sheets
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import FORM
from tests.helpers import jobs
from tests.helpers.commands import Run, folder, runner


def field(name: str = "band", width: float = 20.0, height: float = 8.0, **more: object) -> Decal:
    return jobs.decal(name, width, height, jobs.element("field", ink="navy"), **more)


def layout(*decals: Decal, **film: object) -> Arrangement:
    return arrange([jobs.job(*decals)], Plan([jobs.film("white", **film)], jobs.PRINTER, effort=QUICK))


def moved(made: Arrangement, x: float, y: float, which: int = 0) -> Arrangement:
    """One piece laid at another place, as an edited file would have it."""
    sheet = made.sheets[0]
    placed = list(sheet.placed)
    placed[which] = replace(placed[which], x=x, y=y, turn=0)
    return replace(made, sheets=(replace(sheet, placed=tuple(placed)),))


def codes(made: Arrangement) -> list[str]:
    return [finding.code for finding in check_sheets(made) if finding.severity == "error"]


def test_a_nest_is_sound() -> None:
    assert codes(layout(field(copies=30), field("small", 4.0, 4.0, copies=20))) == []


@pytest.mark.parametrize(("x", "over"), [(5.5, 0.0), (5.3, 0.2), (2.0, 3.5)])
def test_a_piece_in_the_margin_its_bleed_counted(x: float, over: float) -> None:
    """The printer leaves 5 mm at the left; the bleed is 0.5 mm."""
    found = check_sheets(moved(layout(field()), x, 100.0))
    told = [finding for finding in found if finding.code == "outside-margin"]
    assert len(told) == (over > 0)
    if told:
        assert told[0].measured == pytest.approx(-over, abs=1e-6)
        assert f"{over:.2f} mm into the margin" in told[0].message


def test_corners_of_bleeds_may_meet_where_the_gap_is_twice_the_bleed() -> None:
    """Mitred corners reach 1.41 times as far as the bleed (the diagonal of a square, Euclid, Elements X.117), so beside
    a disc two bleeds share a little, all of which is cut away; the cut lines keep the gap."""
    disc = jobs.element("roundel", inks=("navy", "orange"), ratios=(5.0, 3.0))
    decals = jobs.decal("disc", 10.0, 10.0, disc, cut=Cut("round"), copies=8), field("label", 12.0, 4.0, copies=4)
    made = arrange([jobs.job(*decals)], Plan([jobs.film("white")], jobs.PRINTER, gap=1.0, effort=QUICK))
    pairs = list(itertools.combinations(made.sheets[0].placed, 2))
    assert max(a.outer.intersection(b.outer).area for a, b in pairs) > 0.005, "no corners meet: nothing is tried"
    assert min(a.cut.distance(b.cut) for a, b in pairs) > 1.0 - 1e-4
    assert codes(made) == []


def test_nearer_than_both_bleeds_or_a_corner_over_a_cut_line_is_no_meeting_of_corners() -> None:
    two = moved(layout(field(copies=2)), 60.0, 100.0)
    assert codes(moved(two, 81.0001, 100.0, 1)) == []
    assert codes(moved(two, 80.9, 100.0, 1)) == ["pieces-overlap"]
    sharp = jobs.decal(
        "sharp",
        20.0,
        20.0,
        jobs.element("field", ink="navy"),
        cut=Cut("outline", points=((0.0, 0.0), (20.0, 10.0), (0.0, 20.0)), radii=(0.0, 0.0, 0.0)),
        bleed=2.0,
    )
    narrow = moved(moved(layout(sharp, field("label", 12.0, 4.0, bleed=0.1)), 40.0, 90.0), 62.2, 98.0, 1)
    # The tip stands 2.2 mm off, further than both bleeds; its mitred bleed reaches 2 × 2 mm past it.
    assert codes(narrow) == ["pieces-overlap"]


def test_pieces_over_each_other_on_used_film_and_on_marks() -> None:
    two = moved(layout(field(copies=2)), 60.0, 100.0)
    # 20 x 8 mm with half a millimetre of bleed: 19 x 7 shared after a step of 2 mm both ways.
    (over,) = [finding for finding in check_sheets(moved(two, 62.0, 102.0, 1)) if finding.severity == "error"]
    assert (over.code, over.measured, over.unit) == ("pieces-overlap", pytest.approx(19 * 7), "mm²")
    assert codes(moved(two, 60.0, 109.1, 1)) == []
    used = layout(field(), used=(UsedArea(100.0, 100.0, 40.0, 40.0),))
    assert codes(moved(used, 110.0, 110.0)) == ["on-used-film"]
    marks = layout(field())
    x0, y0, _, _ = marks.sheets[0].furniture.keep_outs[0].bounds
    assert "on-marks" in codes(moved(marks, x0, y0))


def test_a_wasted_sheet_says_how_many_more_go_on_it() -> None:
    """They do: with as many spares the nest still needs one sheet."""
    square = field(width=30.0, height=30.0)
    (told,) = [finding for finding in check_sheets(layout(square)) if finding.code == "sheet-wasted"]
    assert told.severity == "note"
    # 30 x 30 mm of the 138 x 195 mm that can be printed on A5.
    assert (told.measured, told.limit, told.unit) == (pytest.approx(100 * 900 / (138 * 195), abs=0.06), 15, "%")
    count = int(told.fix.split("`spares: ")[1].split("`")[0])
    assert count >= 12
    fuller = layout(replace(square, spares=count))
    assert len(fuller.sheets) == 1
    assert not [finding for finding in check_sheets(fuller) if finding.code == "sheet-wasted"]


def test_a_small_piece_of_film_is_not_wasted() -> None:
    made = layout(field(width=60, height=50), width=105, height=148)
    assert "sheet-wasted" not in [finding.code for finding in check_sheets(made)]


JOB = """job: tug
date: 2026-11-25
body: navy
film: white
paints: {navy: "#1d2b4a"}
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels:
  door: {width: 22.4 mm, height: 11.6 mm}
decals:
  band:
    panel: door
    width: 20 mm
    height: 5 mm
    copies: 2
    artwork:
      - field: {ink: lifebuoy orange}
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys)


def change(edit: Callable[[list[dict[str, float]]], None]) -> None:
    """Edits the positions that a proof kept, as a person might."""
    path = Path("tug.positions.json")
    kept = json.loads(path.read_text(encoding="utf-8"))
    edit(kept["positions"])
    path.write_text(json.dumps(kept), encoding="utf-8")


def seal() -> None:
    """Makes the edited positions whole again, as no person does by hand: what is in them is judged all the same."""
    path = Path("tug.positions.json")
    data = {key: value for key, value in json.loads(path.read_text("utf-8")).items() if key not in ("form", SEAL)}
    path.write_bytes(write_kept(FORM, data))


@pytest.mark.parametrize(
    ("place", "code"), [((1.0, 60.0), "outside-margin"), ((-500.0, 60.0), "outside-margin"), (None, "pieces-overlap")]
)
def test_edited_positions_are_refused_and_nothing_is_written(
    run: Run, place: tuple[float, float] | None, code: str
) -> None:
    assert run("proof", "tug.yaml").code == 0

    def edit(rows: list[dict[str, float]]) -> None:
        rows[0]["x"], rows[0]["y"] = place or (rows[1]["x"], rows[1]["y"])

    change(edit)
    before = folder()
    said = run("sheet", "tug.yaml")
    assert said.code == InputError.exit_code and "changed" in said.err and folder() == before
    seal()
    before = folder()
    said = run("sheet", "tug.yaml")
    assert (said.code, said.out) == (EXIT_FINDINGS, "")
    assert code in said.err and "--nest-again" in said.err
    assert folder() == before
    assert run("sheet", "tug.yaml", "--nest-again").code == 0


def test_the_sheet_command_tells_of_a_wasted_sheet(run: Run) -> None:
    said = run("sheet", "tug.yaml", "-v")
    assert said.code == 0
    assert "note sheet-wasted: sheet 1 of 1: its 2 pieces take 1% of the printable film" in said.out


def test_the_check_before_a_print_says_how_many_warnings_it_has(run: Run) -> None:
    text = JOB.replace("- field: {ink: lifebuoy orange}", "- stripe: {stripe width: 0.1 mm, ink: lifebuoy orange}")
    Path("tug.yaml").write_text(text, encoding="utf-8")
    for command in ("proof", "sheet"):
        said = run(command, "tug.yaml")
        # The line is too thin, and the white film beside it shows.
        assert "the check has 2 warnings: decalgen check tug.yaml lists them" in said.out, said.text
    Path("my printer.yaml").write_text("printer: p\nprocess: inkjet\n", encoding="utf-8")
    said = run("proof", "tug.yaml", "--printer", "my printer.yaml")
    assert 'decalgen check tug.yaml --printer "my printer.yaml" lists them' in said.out, said.text
    assert "the check has" not in run("check", "tug.yaml").out
