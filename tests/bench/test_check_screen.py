"""The Check screen without a browser: what is in order, what waits, where each finding is, and of what choice it is."""

from __future__ import annotations

import asyncio
import shutil
from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk, Edit
from decalgen.bench.examining import Examination
from decalgen.bench.screens import body, check, draw, measure
from decalgen.bench.workplace import Workplace
from decalgen.commands.decal_lines import once_for_both
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.core.errors import Finding

DEMO = Path(__file__).parents[2] / "demo"


def written(job: Path, *swaps: tuple[str, str]) -> Workplace:
    """A workplace of the job with some words of it swapped."""
    text = job.read_text(encoding="utf-8")
    for before, after in swaps:
        assert before in text
        text = text.replace(before, after, 1)
    job.write_text(text, encoding="utf-8")
    return Workplace(Desk(job))


def looked(place: Workplace) -> dict[str, Any]:
    asyncio.run(place.examine())
    return check.state(place, {})


def command(job: Path, **chosen: Any) -> list[Finding]:
    """What the command finds on the same file; a pair's once, as its short answer has it."""
    run = Run([job], Options(**chosen))
    return [*run.jobs[0].notes, *once_for_both(run.examined.findings, run.jobs[0])]


def told(shown: dict[str, Any]) -> list[tuple[str, str, str]]:
    return [(one["severity"], one["subject"], one["message"]) for one in shown["findings"]]


OPEN_HEIGHT = ("height: 7.80 mm ± 0.05", "height: '?'")
OPEN_DOOR = ("width: 22.40 mm ± 0.05", "width: '?'")
SHORT = ("length: 19.50 mm ± 0.05", "length: 12 mm ± 0.05")


def test_what_waits_for_readings_is_not_in_order(job: Path) -> None:
    shown = looked(written(job, OPEN_DOOR))
    assert [one["decal"] for one in shown["waiting"]] == ["door roundel"]
    waits = shown["waiting"][0]
    assert waits["text"].endswith("not known yet, 1 reading open") and waits["ask"] == ["panels", "door", "width"]
    assert [one["decal"] for one in shown["fits"]] == ["bonnet chevrons", "bed lettering", "tailgate chevrons"]
    assert not any("not known" in one["text"] for one in shown["fits"])


def test_what_an_error_is_for_is_not_in_order_either(job: Path) -> None:
    shown = looked(written(job, SHORT))
    assert any(one["decal"] == "bonnet chevrons" and one["severity"] == "error" for one in shown["findings"])
    assert "bonnet chevrons" not in [one["decal"] for one in (*shown["fits"], *shown["waiting"])]
    assert len(shown["fits"]) == 4


def test_all_in_order_is_the_very_list_of_before(job: Path) -> None:
    shown = looked(written(job))
    assert len(shown["fits"]) == 5 and shown["waiting"] == []


def test_a_finding_on_a_panel_leads_to_its_reading(job: Path) -> None:
    shown = looked(written(job, OPEN_DOOR, ("length: 19.50 mm ± 0.05", "length: 19.50 mm")))
    door = next(one for one in shown["findings"] if one["subject"] == "door")
    bonnet = next(one for one in shown["findings"] if one["subject"] == "bonnet")
    assert door["ask"] == ["panels", "door", "width"] and bonnet["ask"] == ["panels", "bonnet", "length"]
    assert door["decal"] == "" and bonnet["severity"] == "note"


def test_a_finding_says_its_line_and_the_file_where_it_is_an_included_one(job: Path) -> None:
    text = (DEMO / "gannet.yaml").read_text(encoding="utf-8")
    start, end = text.index("decals:"), text.index("variants:")
    job.with_name("stores.yaml").write_text(text[start:end], encoding="utf-8")
    whole = text[:start] + text[end:]
    assert "include: common-inks.yaml" in whole
    whole = whole.replace("include: common-inks.yaml", "include: [common-inks.yaml, stores.yaml]").replace(*SHORT)
    job.write_text(whole.replace("width: 22.40 mm ± 0.05", "width: '?'"), encoding="utf-8")
    shown = looked(Workplace(Desk(job)))
    chevrons = next(one for one in shown["findings"] if one["decal"] == "bonnet chevrons")
    line = next(n for n, row in enumerate(text[start:end].splitlines(), 1) if row == "  bonnet chevrons:")
    assert chevrons["where"] == f"stores.yaml, line {line}" and chevrons["written"] == "bonnet chevrons:"
    door = next(one for one in shown["findings"] if one["subject"] == "door")
    number = next(n for n, row in enumerate(whole.splitlines(), 1) if row == "  door:")
    assert door["where"] == f"line {number}" and door["written"] == "door:"


def test_the_hand_of_a_finding_is_the_one_that_is_shown(job: Path) -> None:
    place = written(job)
    one = Finding("error", "x", "door roundel, right", "too near", areas=((0.1, 0.2, 0.3, 0.4),))
    found = check.finding_data(place.desk, one, ())
    assert (found["decal"], found["hand"], found["panel"]) == ("door roundel", "right", "door")
    assert found["areas"] == [[0.1, 0.2, 0.3, 0.4]]
    left = check.finding_data(place.desk, Finding("error", "x", "door roundel, left", "too near"), ())
    assert (left["decal"], left["hand"]) == ("door roundel", "")


def test_what_both_hands_have_is_told_once_and_what_one_has_alone_by_its_hand(job: Path) -> None:
    place = written(job, ("side gap: 0.1 mm + shut line", "letter height: 0.5 mm"))
    looked(place)
    plain = Run([job], Options()).examined.findings
    pairs = [one for one in plain if one.subject == "door band, left"]
    assert pairs and all(
        any(other.subject == "door band, right" and other.message == one.message for other in plain) for one in pairs
    )
    of_band = [one.subject for one in place.findings or () if one.subject.startswith("door band")]
    assert of_band.count("door band, both hands") == len(pairs) and "door band, left" not in of_band
    one = Finding("warning", "x", "door band, left", "too near")
    assert place.desk.job is not None
    for other in (
        Finding("warning", "x", "door band, right", "nearer"),
        Finding("warning", "x", "bonnet chevrons", "too near"),
    ):
        assert once_for_both((one, other), place.desk.job) == (one, other)


@pytest.mark.parametrize("chosen", [{"variant": "pilot"}, {"printer": "loose.yaml"}, {"films": ["clear A4"]}])
def test_it_is_the_sheet_that_is_examined_as_it_is_to_be_printed(job: Path, chosen: dict[str, Any]) -> None:
    """The same as the command says with the same options."""
    text = (DEMO / "printer.yaml").read_text(encoding="utf-8")
    job.with_name("loose.yaml").write_text(text + "misregister: 0.9 mm\n", encoding="utf-8")
    # The word of the variant alone is too long for its face.
    place = written(job, ("word: HARBOUR PILOT", "word: HARBOUR PILOT AND TOWING STATION"))
    before = told(looked(place))
    assert place.examined_now
    place.choose(chosen)
    assert not place.examined_now and "before the last change" in check.state(place, {})["opening"]
    after = told(looked(place))
    options = place.options()
    said = command(job, printer=options.printer, variant=options.variant, films=options.films)
    assert after == [(one.severity, one.subject, one.message) for one in said]
    assert (after != before) == ("films" not in chosen)
    assert place.examined_now and "before" not in check.state(place, {})["opening"]


def test_the_printer_that_the_job_names_is_taken_too(job: Path) -> None:
    place = written(job, ("film: white\n", "film: white\nprinter: none of this name\n"))
    shown = looked(place)
    assert any("none of this name" in one["message"] for one in shown["findings"])


def test_the_decal_just_changed_is_told_first(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = written(job, SHORT)
    looked(place)
    at = ("decals", "door roundel", "width")
    place.desk.edit(place.desk.version, [Edit("set", at, "30 mm", "3.40 mm")], "width")
    said: list[tuple[str, list[str], str, list[str]]] = []
    old = check.state(place, {})
    assert check.standing(place).words == "being checked ..." and not check.standing(place).done
    assert old["fits"] and all(one["past"] for one in (*old["findings"], *old["fits"], *old["waiting"]))

    def tell(**what: Any) -> None:
        shown = check.state(place, {})
        if place.told_first:
            assert {one["decal"] for one in shown["findings"] if not one["past"]} == {"door roundel"}
            assert all(one["past"] for one in shown["fits"]) and check.standing(place).words == "being checked ..."
        found, fits = ([one["decal"] for one in shown[key]] for key in ("findings", "fits"))
        said.append((place.told_first, found, shown["opening"], fits))

    monkeypatch.setattr(place, "tell", tell)
    asyncio.run(place.examine())
    assert [one[0] for one in said] == ["door roundel", ""]
    assert said[0][1][0] == "door roundel" and "door roundel" not in said[0][3] and "bonnet chevrons" in said[0][1]
    assert said[0][2] == "Being checked ... door roundel is done; what is grey is from before the last change."
    now = check.state(place, {})
    assert (
        not any(one["past"] for one in (*now["findings"], *now["fits"])) and "to correct" in check.standing(place).words
    )
    assert told(check.state(place, {})) == [(one.severity, one.subject, one.message) for one in _kept(place, job)]


def test_what_was_told_first_of_a_text_is_not_of_the_next(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = written(job)
    looked(place)
    at = ("decals", "door roundel", "width")
    place.desk.edit(place.desk.version, [Edit("set", at, "30 mm", "3.40 mm")], "width")

    def tell(**what: Any) -> None:
        # Changed again while the rest is checked.
        if place.told_first:
            place.desk.edit(place.desk.version, [Edit("set", at, "3.20 mm", "30 mm")], "width")

    monkeypatch.setattr(place, "tell", tell)
    asyncio.run(place.examine())
    shown = check.state(place, {})
    assert shown["findings"] and all(one["past"] for one in shown["findings"]) and place.told_first == ""
    assert "door roundel" not in shown["opening"]


def _kept(place: Workplace, job: Path) -> list[Finding]:
    place.keep()
    return command(job)


def test_what_is_drawn_for_the_first_is_not_drawn_again(job: Path) -> None:
    place = written(job)
    was = place.desk.values["decals"]["door roundel"]["spares"]
    place.desk.edit(place.desk.version, [Edit("set", ("decals", "door roundel", "spares"), "2", was)], "spares")
    read, drawn = place.desk.job, []
    assert read is not None

    def still(those: Any) -> Any:
        for one in those:
            drawn.append((one.decal.name, one.hand))
            yield one

    look = Examination(place.desk, read, place.options(), still)
    assert look.touched == "door roundel"
    look.first()
    findings, lines = look.all()
    assert drawn[:2] == [("door roundel", "left"), ("door roundel", "right")]
    assert len(drawn) == len(set(drawn)) == 8 and [one.decal for one in lines][:2] == ["door band", "door roundel"]
    assert not [one for one in findings if one.severity == "error"]


def test_draw_measure_and_the_body_say_what_open_readings_hold_up(job: Path) -> None:
    place = written(job, OPEN_DOOR, OPEN_HEIGHT)
    held = "2 readings open hold up 3 decals: door band, door roundel, tailgate chevrons."
    assert draw.state(place, {})["opening"] == f"5 decals on 4 panels. {held}"
    assert measure.state(place, {})["opening"].endswith(held)
    at = body.standing(place)
    assert not at.done and at.words == "2 readings open: sizes are assumed"


def test_nothing_is_held_up_once_all_is_measured(job: Path) -> None:
    place = written(job)
    assert draw.state(place, {})["opening"] == "5 decals on 4 panels."
    assert "hold" not in measure.state(place, {})["opening"] and body.standing(place).done


def test_a_variant_of_a_text_that_cannot_be_read_is_not_looked_at(job: Path) -> None:
    place = written(job)
    place.choose({"variant": "pilot"})
    before = told(looked(place))
    shutil.copy(job, job.with_name("kept.yaml"))
    job.write_text(job.read_text(encoding="utf-8").replace("body: night sea", "body: [night sea"), encoding="utf-8")
    place.look()
    assert place.desk.problems
    assert told(looked(place)) == before and not place.examined_now
