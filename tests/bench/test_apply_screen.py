"""Apply: the values of the guide step by step, ticks and a clock that are kept beside the job, which stays as it is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args

import pytest

from decalgen.bench import applying, laying_papers
from decalgen.bench.applied import applied_path, read_applied, seconds_of, text_of
from decalgen.bench.desk import Desk
from decalgen.bench.laying_acts import LAYING_ACTS
from decalgen.bench.laying_steps import laying_steps
from decalgen.bench.workplace import Workplace
from decalgen.commands.again import recorded_sheets
from decalgen.commands.guide import films_laid, guides
from decalgen.commands.options import Options, SheetFiles
from decalgen.commands.run import Run
from decalgen.commands.sheet import make_sheet
from decalgen.core.cautions import AGAIN_LATER, AT_THE_BENCH, CAUTIONS, LATER, WorkStage, cautions_for, stage_cautions
from decalgen.core.errors import OutputError
from decalgen.pages.work_steps import LAST_DECAL, SIDE, UNDER, before_steps
from decalgen.workshop.drawer import Drawer
from decalgen.workshop.drawer.model import DrawerEntry
from tests.bench.answers import refusal_of, screen_of
from tests.bench.laying import card, do, key_of, look, row, tick
from tests.bench.sheeting import tug
from tests.bench.small_job import JOB
from tests.bench.test_proof_now import bench, change, made

BACKED = """\
job: tug
film: clear
body: navy
paints: {navy: "#1d2b4a"}
inks: {cream: {colour: "#eadfb8"}}
panels: {side: {width: 30 mm ± 0.05, height: 12 mm ± 0.05}}
decals:
  name: {panel: side, width: 10 mm, height: 4 mm, backing: white, artwork: [field: {ink: cream}]}
"""


class FixedClock:
    """The time, as a test has it."""

    def __init__(self) -> None:
        self.now = 1_795_000_000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tug(tmp_path)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> FixedClock:
    """Every job opened meanwhile goes by it."""
    made = FixedClock()
    plain = applying.ApplyShelf.__init__

    def begun(self: applying.ApplyShelf, job: Path) -> None:
        plain(self, job)
        self.clock = made

    monkeypatch.setattr(applying.ApplyShelf, "__init__", begun)
    return made


def names(screen: dict[str, Any]) -> list[str]:
    return [one["called"] for one in screen["steps"]]


def test_each_hand_and_each_copy_has_its_own_tick(path: Path) -> None:
    """Two squares of no hand, over the band of each side: one goes on each."""
    with bench(path) as client:
        screen = look(client)
        assert screen["of"] == 4 and screen["on"] == 0 and screen["at"] == "before"
        assert [one["called"].partition(" ")[2] for one in screen["steps"]] == [
            "band, left",
            "square, left",
            "band, right",
            "square, right",
        ]
        squares = [look(client, key_of(screen, name))["shown"]["copies"] for name in names(screen) if "square" in name]
        assert [[one["copy"] for one in some] for some in squares] == [[0], [1]]
        assert card(client) == "nothing is on yet"
        for n, name in enumerate(names(screen), 1):
            copy = 1 if name.endswith("square, right") else 0
            assert tick(client, name, copy)["on"] == n
        assert card(client) == "all 4 are on" and look(client)["at"] == "afterwards"


def test_what_is_shown_is_what_the_guide_says(path: Path) -> None:
    """The same objects: figures, what stands behind them, notes, in the same order."""
    (guide,) = guides(Run([path], Options()))
    with bench(path) as client:
        screen = look(client)
        items = [item for side in guide.sides for item in side.items]
        assert len(items) == len(screen["steps"])
        for step, item in zip(screen["steps"], items, strict=True):
            shown = look(client, step["key"])["shown"]
            assert [(one["letter"], one["words"], one["figure"], one["sureness"]) for one in shown["rows"]] == [
                (one.letter, one.words, one.figure, one.sureness) for one in item.rows
            ]
            assert shown["notes"] == list(item.notes) and shown["name"].startswith(f"{item.number} {item.name}")
            for line, one in zip(shown["picture"]["lines"], item.rows, strict=True):
                assert line["ends"] == [round(v * 1000) for v in (*one.distance.edge, *one.distance.decal)]
            box = shown["picture"]["piece"]["box"]
            assert box == [round(v * 1000) for v in item.cut.bounds]


def test_both_sides_are_named_and_nose_and_top_are_told(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("side:", "door:").replace("panel: side", "panel: door")
    path.write_text(text, encoding="utf-8")
    with bench(path) as client:
        screen = look(client)
        left, right = (look(client, screen["steps"][n]["key"])["shown"] for n in (0, 2))
        assert (left["side"], left["look"]) == ("Door, left", "as you face it, nose to the left")
        assert [(one["words"], one["way"]) for one in left["picture"]["ends"]] == [
            ("nose", "left"),
            ("left side", ""),
            ("up", "up"),
        ]
        assert [one["way"] for one in right["picture"]["ends"]] == ["up", "", "right"]
        assert (left["sides"]["this"], right["sides"]["this"]) == ("left side", "right side")


def test_what_lies_below_has_to_be_on_and_dry_first(path: Path, clock: FixedClock) -> None:
    with bench(path) as client:
        square = next(one for one in names(look(client)) if one.endswith("square, left"))
        band = next(one for one in names(look(client)) if one.endswith("band, left"))
        (first,) = look(client, key_of(look(client), square))["shown"]["copies"][0]["first"]
        assert (first["what"], first["begun"]) == (band, None)
        tick(client, band)
        (first,) = look(client, key_of(look(client), square))["shown"]["copies"][0]["first"]
        assert (first["begun"], first["least"], first["most"]) == (clock.now, UNDER.least, UNDER.most)
        assert row(look(client), band)["until"] == f"before {square} goes over it"


def test_a_backing_is_a_piece_of_its_own_that_dries_first(path: Path) -> None:
    path.write_text(BACKED, encoding="utf-8")
    with bench(path) as client:
        screen = look(client)
        assert len(screen["steps"]) == 2 and screen["of"] == 2
        backing, name = screen["steps"]
        (first,) = look(client, name["key"])["shown"]["copies"][0]["first"]
        assert first["what"] == backing["called"] and "backing" in backing["called"]
        assert look(client, backing["key"])["shown"]["copies"][0]["first"] == []


def test_the_clock_has_the_rows_of_the_work_card_and_begins_with_ticks(path: Path, clock: FixedClock) -> None:
    with bench(path) as client:
        screen = look(client)
        assert [one["what"] for one in screen["clock"] if one["hand"]] == [
            "ink on the film",
            "sealing coat 1",
            "sealing coat 2",
            "last sealing coat",
            "mist coat",
        ]
        assert [one["what"] for one in screen["clock"] if one.get("stage") == "afterwards"] == [
            "last decal",
            "mist coat",
        ]
        assert sum(one.get("stage") == "before" for one in screen["clock"]) == 4
        began = clock.now
        for n, name in enumerate(names(screen)):
            assert row(look(client), "last decal")["begun"] is None
            clock.now = began + 600 * n
            tick(client, name, 1 if name.endswith("square, right") else 0)
        screen = look(client)
        left, last = row(screen, "Side, left"), row(screen, "last decal")
        assert (left["begun"], left["least"], left["most"]) == (began + 600, SIDE.least, SIDE.most)
        assert (last["begun"], last["least"], last["most"]) == (began + 1800, LAST_DECAL.least, LAST_DECAL.most)


def test_film_that_is_laid_dry_needs_no_time_between(path: Path) -> None:
    (path.parent / "offcut.yaml").write_text(
        (path.parent / "offcut.yaml").read_text(encoding="utf-8") + "adhesive: yes\n", encoding="utf-8"
    )
    with bench(path) as client:
        assert client.post("/do/sheet/add_film", json={"film": "offcut.yaml"}).status_code == 200
        screen = look(client)
        assert [one["what"] for one in screen["clock"]] == ["last decal", "mist coat"]
        square = next(one["key"] for one in screen["steps"] if "square" in one["called"])
        shown = look(client, square)["shown"]
        assert shown["copies"][0]["first"][0]["least"] == 0 and "peel" in [one["name"] for one in shown["how"]]


def test_what_one_begins_oneself_and_what_is_done_is_ticked_too(path: Path, clock: FixedClock) -> None:
    with bench(path) as client:
        screen = look(client)
        assert [one["name"] for one in screen["shown"]["steps"]] == [
            one.name for one in before_steps(films_laid(Run([path], Options()))[0])
        ]
        for one in screen["shown"]["steps"]:
            assert do(client, "done", step=one["key"], on=True).status_code == 200
        assert look(client)["at"] == screen["steps"][0]["key"]
        assert do(client, "begin", what="sealing coat 1", on=True).status_code == 200
        assert row(look(client), "sealing coat 1")["begun"] == clock.now
        assert "begins with a tick" in refusal_of(do(client, "begin", what="last decal", on=True))
        assert "not there any more" in refusal_of(do(client, "done", step="before: Dance", on=True))
        assert do(client, "begin", what="sealing coat 1", on=False).status_code == 200
        assert row(look(client), "sealing coat 1")["begun"] is None


def test_the_job_file_stays_as_it_is_and_all_is_there_after_a_start(path: Path, clock: FixedClock) -> None:
    before = path.read_bytes()
    with bench(path) as client:
        name = names(look(client))[0]
        tick(client, name)
        assert client.get("/state", params={"screen": "apply"}).json()["undo"] == ""
    clock.now += 3600
    with bench(path) as client:
        assert card(client) == "1 of 4 are on"
        shown = look(client, key_of(look(client), name))["shown"]
        assert shown["copies"][0]["begun"] == clock.now - 3600
    assert path.read_bytes() == before


def test_a_tick_that_is_there_keeps_its_time_and_is_brought_back_with_it(path: Path, clock: FixedClock) -> None:
    with bench(path) as client:
        name, began = names(look(client))[0], clock.now
        tick(client, name)
        clock.now += 900
        assert tick(client, name)["shown"]["copies"][0]["begun"] == began and len(read_applied(path).ticks) == 1
        screen = tick(client, name, on=False)
        assert screen["shown"]["copies"][0]["begun"] is None and screen["undo"] == f"{name} is not on"
        assert "something else was done" in refusal_of(do(client, "back", label=f"{name} is on"))
        assert do(client, "back", label=screen["undo"]).status_code == 200
        assert look(client, key_of(screen, name))["shown"]["copies"][0]["begun"] == began


def test_every_other_tab_is_told_of_a_tick_at_once(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place, told = Workplace(Desk(path)), []
    monkeypatch.setattr(place, "tell", lambda **what: told.append(what))
    place.apply.guide = applying.laid_guide(Run([path], Options()), "tug")
    step = laying_steps(place.apply.guide)[0]
    LAYING_ACTS["tick"](place, {"step": step.key, "copy": 0, "on": True})
    assert told == [{"made": "applied", "version": place.desk.version}]


def test_a_time_is_corrected_within_reason(path: Path, clock: FixedClock) -> None:
    with bench(path) as client:
        name = names(look(client))[0]
        key = key_of(look(client), name)
        assert "tick it first" in refusal_of(do(client, "correct", step=key, copy=0, at=clock.now))
        tick(client, name)
        assert do(client, "correct", step=key, copy=0, at=clock.now - 1200).status_code == 200
        assert look(client, key)["shown"]["copies"][0]["begun"] == clock.now - 1200
        assert "still to come" in refusal_of(do(client, "correct", step=key, copy=0, at=clock.now + 7200))
        assert "more than a year" in refusal_of(do(client, "correct", step=key, copy=0, at=0))
        for odd in ("soon", True, None, [1]):
            assert "not a time" in refusal_of(do(client, "correct", step=key, copy=0, at=odd))
        do(client, "begin", what="mist coat", on=True)
        assert do(client, "correct", what="mist coat", at=clock.now - 60).status_code == 200
        assert row(look(client), "mist coat")["begun"] == clock.now - 60


@pytest.mark.parametrize("asked", [{"step": "x", "copy": 0}, {}, {"step": 3, "copy": 0}, {"copy": 9}, {"copy": False}])
def test_what_is_not_there_is_not_ticked(path: Path, asked: dict[str, Any]) -> None:
    with bench(path) as client:
        whole = {"step": look(client)["steps"][0]["key"], "on": True, **asked}
        assert "not there any more" in refusal_of(do(client, "tick", **whole))
    assert not applied_path(path).exists()


# ------------------------------------------------------------------------------------------------- a job that changed
def test_a_job_that_changed_since_says_so_at_the_piece(path: Path) -> None:
    with bench(path) as client:
        name = next(one for one in names(look(client)) if "band, left" in one)
        tick(client, name)
        change(client, ["decals", "band", "height"], "5 mm", "4 mm")
        screen = look(client, key_of(look(client), name))
        assert "drawn differently" in screen["shown"]["copies"][0]["changed"]
        assert screen["steps"][0]["changed"] and card(client) == "1 of 4 on, changed since"
        change(client, ["decals", "band", "height"], "4 mm", "5 mm")
        assert look(client, key_of(screen, name))["shown"]["copies"][0]["changed"] == ""
        text = path.read_text(encoding="utf-8").replace("    hands: both", "    at: bottom + 1 mm\n    hands: both")
        path.write_text(text, encoding="utf-8")
        while "bottom edge 1.00" not in " ".join(
            f"{one['words']} {one['figure']}" for one in look(client, key_of(screen, name))["shown"]["rows"]
        ):
            pass
        said = look(client, key_of(screen, name))["shown"]["copies"][0]["changed"]
        assert said.startswith("the job has it elsewhere now; it was put on at ") and "bottom edge 3.50 mm" in said


def test_a_piece_that_the_job_has_no_more_is_told_and_can_be_forgotten(path: Path) -> None:
    with bench(path) as client:
        tick(client, next(one for one in names(look(client)) if "square, left" in one))
        text = path.read_text(encoding="utf-8")
        path.write_text(text[: text.index("  square:")], encoding="utf-8")
        while len(look(client)["steps"]) != 2:
            pass
        (gone,) = look(client)["gone"]
        assert gone["called"] == "square" and look(client)["on"] == 0
        assert "not there any more" in refusal_of(do(client, "forget", tick=["door", "", 0, 0, 0]))
        assert screen_of(do(client, "forget", tick=gone["tick"]))["gone"] == []


def test_a_job_that_lost_its_panel_keeps_the_guide_of_before_and_tells_the_mistake(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    with bench(path) as client:
        tick(client, names(look(client))[0])
        path.write_text(text.replace("  side: {", "  flank: {"), encoding="utf-8")
        while not (found := client.get("/state", params={"screen": "apply"}).json())["problems"]:
            pass
        assert "side" in found["problems"][0]["message"] and found["problems"][0]["fix"]
        assert len(found["screen"]["steps"]) == 4 and found["screen"]["on"] == 1
    with bench(path) as client:
        found = client.get("/state", params={"screen": "apply"}).json()
        assert found["problems"] and "correct its mistakes" in found["screen"]["opening"]
        assert "guide" in refusal_of(do(client, "tick", step="x", copy=0, on=True))


def test_a_decal_that_was_never_placed_is_told_with_its_fix(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace("    over: band\n", "    at: {anchor: left, offset: [90 mm, 0 mm]}\n"), encoding="utf-8"
    )
    with bench(path) as client:
        screen = look(client)
        assert "does not lie on panel 'side'" in screen["trouble"]["message"] and "30.00" in screen["trouble"]["fix"]
        assert screen["steps"] == [] and "could not be made" in screen["opening"]


def test_a_job_without_decals_has_nothing_to_lay(tmp_path: Path) -> None:
    path = tmp_path / "bare.yaml"
    path.write_text("job: bare\nbody: navy\npaints: {navy: '#1d2b4a'}\npanels: {side: {width: 9 mm, height: 9 mm}}\n")
    with bench(path) as client:
        found = client.get("/state", params={"screen": "apply"}).json()
        assert "Draw comes first" in found["screen"]["opening"] and card(client) == "waits for a decal"


# ------------------------------------------------------------------------------------------------------ the kept file
def spoilt(path: Path, how: str) -> None:
    kept = applied_path(path)
    text = kept.read_text(encoding="utf-8")
    if how == "changed":
        kept.write_text(text.replace("Z", "z"), encoding="utf-8")
    elif how == "cut short":
        kept.write_text(text[:90], encoding="utf-8")
    elif how == "newer":
        kept.write_text(text.replace("decalgen applied 1", "decalgen applied 2"), encoding="utf-8")
    elif how == "another's":
        kept.write_text('{"form": "somebody else\'s 1"}', encoding="utf-8")
    else:
        kept.unlink()
        kept.mkdir()


@pytest.mark.parametrize("how", ["changed", "cut short", "newer", "another's", "a folder"])
def test_a_kept_file_that_cannot_be_read_is_told_and_set_aside_not_lost(path: Path, how: str) -> None:
    with bench(path) as client:
        tick(client, names(look(client))[0])
        spoilt(path, how)
        screen = look(client)
        assert "tug.applied.json" in screen["wrong"]["message"] and screen["wrong"]["fix"]
        assert len(screen["steps"]) == 4 and card(client) == "its ticks cannot be read"
        assert "tug.applied.json" in refusal_of(do(client, "tick", step=screen["steps"][0]["key"], copy=0, on=True))
        assert screen_of(do(client, "set_aside"))["wrong"] == {}
        assert path.with_name("tug.applied-before.json").exists() and not applied_path(path).exists()
        assert tick(client, names(screen)[0])["on"] == 1


def test_ticks_of_another_job_are_told_and_taken_over_only_if_asked(path: Path) -> None:
    with bench(path) as client:
        tick(client, names(look(client))[0])
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("job: tug", "job: barge"), encoding="utf-8")
    with bench(path) as client:
        screen = look(client)
        assert (
            screen["wrong"]["other"] == "tug" and "is job 'barge'" in screen["wrong"]["message"] and screen["on"] == 0
        )
        assert screen_of(do(client, "take_over"))["on"] == 1
        assert read_applied(path).job == "barge"


def test_what_another_program_ticks_is_taken_over(path: Path) -> None:
    with bench(path) as client:
        name = names(look(client))[0]
        tick(client, name)
        one = applied_path(path).read_bytes()
        tick(client, name, on=False)
        applied_path(path).write_bytes(one)
        screen = look(client)
        assert screen["on"] == 1 and screen["undo"] == ""


def test_where_nothing_can_be_written_the_tick_holds_and_that_is_told(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OutputError("the folder is read-only")

    with bench(path) as client:
        name = names(look(client))[0]
        monkeypatch.setattr(applying, "write_applied", refuse)
        screen = tick(client, name)
        assert screen["on"] == 1 and screen["unkept"] == "the folder is read-only"
        monkeypatch.undo()
        screen = tick(client, names(screen)[2])
        assert screen["on"] == 2 and screen["unkept"] == "" and len(read_applied(path).ticks) == 2


def test_times_are_kept_as_utc_one_can_read(path: Path) -> None:
    """RFC 3339, 5.6: the full-date, T, the time and Z; 2026-11-28 14:05 UTC is 1 795 874 700 s, by `date -u`."""
    assert text_of(1_795_874_700.9) == "2026-11-28T14:05:00Z" and seconds_of("2026-11-28T14:05:00Z") == 1_795_874_700
    with bench(path) as client:
        tick(client, names(look(client))[0])
    data = json.loads(applied_path(path).read_text(encoding="utf-8"))
    assert data["form"] == "decalgen applied 1" and data["ticks"][0]["begun"].endswith("Z")


def test_a_file_of_the_first_form_is_read_for_good(tmp_path: Path, repository: Path) -> None:
    path = tmp_path / "tug.yaml"
    applied_path(path).write_bytes((repository / "tests/data/kept/applied/tug.applied.json").read_bytes())
    found = read_applied(path)
    assert (found.job, found.pieces, len(found.ticks), found.steps) == ("tug", 4, 2, ("before: Sealed",))
    assert found.ticks[1].piece == ("square", "", 0, 0) and found.ticks[1].copy == 1
    assert found.clock[0].what == "sealing coat 1" and seconds_of(found.clock[0].begun) == 1_795_874_700


# --------------------------------------------------------------------------------------------------- film and papers
def test_film_of_the_drawer_that_is_used_up_is_still_laid(path: Path) -> None:
    """Nothing is nested for it, as its decals are printed already: an empty drawer will do, and a scrap."""
    run = Run([path], Options(("drawer",)))
    assert [(one.kind, one.adhesive) for one in films_laid(run)] == [("white", False)]
    Drawer().add([DrawerEntry("scrap", "white", "inkjet", 20.0, 20.0, adhesive=True)])
    assert [(one.kind, one.adhesive) for one in films_laid(run)] == [("white", True)]
    Drawer().add([DrawerEntry("other", "white", "laser", 20.0, 20.0)])
    assert len(films_laid(run)) == 1
    with bench(path) as client:
        assert client.post("/do/sheet/add_film", json={"film": "drawer"}).status_code == 200
        assert len(look(client)["steps"]) == 4


def test_each_caution_that_fits_is_wanted_at_some_stage_and_comes_once() -> None:
    every = cautions_for({"paint", "lacquer", "waterslide", "laser", "emblem"}, bench=True)
    stages = [stage_cautions(every, stage) for stage in get_args(WorkStage)]
    told = [head for some in stages for head, _ in some]
    assert sorted(told) == sorted([*(head for head, _ in every), AGAIN_LATER])
    assert "Old paint may hold lead" in told[: len(stages[0])] and "Blades" in told[: len(stages[0])]
    assert {head for head, _ in stages[1]} == {
        "Setting solutions and softeners are solvents",
        "Old zinc castings can decay",
    }
    assert {head for head, _ in stages[2]} == {AGAIN_LATER, "Not for children", "Marks of others"}
    heads = {head for head, _, _ in (*CAUTIONS, *AT_THE_BENCH)}
    assert {*LATER, AGAIN_LATER} <= heads


def test_the_guide_is_made_from_the_page(path: Path) -> None:
    with bench(path) as client:
        assert "no such paper" in refusal_of(do(client, "guide", paper="A0"))
        assert do(client, "guide", paper="A5").status_code == 200
        (found,) = look(client)["made"]
        assert found["files"] == ["tug-guide.pdf", "tug-guide.html"]
        assert client.get("/file/tug-guide.pdf").content.startswith(b"%PDF")


def test_the_work_card_is_of_a_sheet_that_is_proven(path: Path) -> None:
    path.write_text(JOB, encoding="utf-8")
    with bench(path) as client:
        assert "none is proven" in refusal_of(do(client, "work_card", paper="A4"))
        client.post("/do/sheet/settle", json={"key": "effort", "to": "quick"})
        made(client, "proof")
        assert do(client, "work_card", paper="A4").status_code == 200
        assert look(client)["made"][-1]["files"] == ["tug-work-card.pdf"]
        assert client.get("/file/tug-work-card.pdf").content.startswith(b"%PDF")


def test_the_work_card_is_of_what_was_printed_where_its_record_is_there(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The job is another by then: the card is of the sheet as it was printed."""
    wanted = SheetFiles((path.with_name("tug-sheet.pdf"),), without_proof="only a test")
    printed = make_sheet(Run([path], Options((str(path.with_name("offcut.yaml")),), effort="quick")), wanted)
    printed.write()
    record = printed.record
    assert record is not None
    path.write_text(path.read_text(encoding="utf-8").replace("height: 5 mm", "height: 4 mm"), encoding="utf-8")
    sheets, jobs = recorded_sheets(record)
    heights = {round(one.piece.artwork.height, 3) for sheet in sheets.sheets for one in sheet.placed}
    assert heights == {5.0, 6.0} and [job.name for job in jobs] == ["tug"]
    monkeypatch.setattr(laying_papers, "_record", lambda _: record)
    with bench(path) as client:
        assert do(client, "work_card", paper="A5").status_code == 200
        assert look(client)["made"][-1]["files"] == ["tug-work-card.pdf"]
        assert client.get("/file/tug-work-card.pdf").content.startswith(b"%PDF")


def test_the_guide_is_made_once_for_what_it_depends_on(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    count = 0
    plain = applying.laid_guide

    def counted(run: Run, name: str) -> applying.LaidGuide:
        nonlocal count
        count += 1
        return plain(run, name)

    monkeypatch.setattr(applying, "laid_guide", counted)
    with bench(path) as client:
        look(client)
        tick(client, names(look(client))[0])
        look(client)
        assert count == 1
        change(client, ["decals", "band", "height"], "5 mm", "4 mm")
        while look(client, look(client)["steps"][0]["key"])["shown"]["picture"]["piece"]["size"][1] != 4000:
            pass
        assert count == 2


def test_one_piece_for_two_sides_is_on_wherever_it_went(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("    copies: 2\n", "")
    path.write_text(text, encoding="utf-8")
    with bench(path) as page:
        screen = look(page)
        squares = [one for one in screen["steps"] if "square" in one["called"]]
        assert len(squares) == 2 and screen["of"] == 3
        assert "on this one or on the other" in look(page, squares[0]["key"])["shown"]["notes"][-1]
        screen = tick(page, squares[1]["called"])
        assert screen["on"] == 1 and [one["on"] for one in screen["steps"] if "square" in one["called"]] == [1, 1]


def test_a_workplace_is_what_the_guide_is_made_at() -> None:
    assert {name for name in vars(applying.LayingPlace) if not name.startswith("_")} <= set(dir(Workplace))
