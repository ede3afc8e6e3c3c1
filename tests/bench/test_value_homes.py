"""Where what is typed on Draw goes: into a layout's value, a named one, a variant; and what another file holds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk, value_at
from decalgen.bench.page_state import do, page_state
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.job.loader import job_as_written

PILOT = {"panel": "door", "decal": "door band", "variant": "pilot"}


@pytest.fixture
def place(job: Path) -> Workplace:
    return Workplace(Desk(job))


@pytest.fixture
def included(job: Path) -> Workplace:
    """A job with its decals in another file; of one of them a line in its own."""
    text = job.read_text(encoding="utf-8")
    start, end = text.index("decals:\n"), text.index("# `--variant")
    job.with_name("more.yaml").write_text(text[start:end], encoding="utf-8")
    own = text[:start].replace("include: common-inks.yaml", "include: [common-inks.yaml, more.yaml]")
    job.write_text(f"{own}decals:\n  door roundel: {{spares: 2}}\n\n{text[end:]}", encoding="utf-8")
    return Workplace(Desk(job))


def screen(place: Workplace, **view: str) -> dict[str, Any]:
    return dict(page_state(place, "draw", view)["screen"])


def blanks(shown: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The blanks of the sentence, of what the layout is given, and of the first shape, by their labels."""
    said = [part for part in shown["sentence"] if isinstance(part, dict)]
    shapes = shown["shapes"][0]["blanks"] if shown["shapes"] else []
    return {one["label"]: one for one in [*shapes, *shown["values"], *said]}


def put(place: Workplace, way: dict[str, Any], to: str) -> None:
    """What the page sends."""
    edit = {"do": "set" if to else "remove", "at": list(way["at"]), "was": way["raw"], "to": to}
    place.change({"base": place.desk.version, "label": "x", "edits": [edit]})


def ways(blank: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {way["words"]: way for way in blank["home"]["ways"]}


# -------------------------------------------------------------------------------------------------------- layouts
def test_what_a_layout_gives_is_said_and_becomes_the_decal_s_own(place: Workplace) -> None:
    gap = blanks(screen(place, panel="door", decal="door band"))["foot gap"]
    # As the layout's file says it.
    assert gap["home"]["said"] == "The layout 'door-band' says `0.8 mm`: what you type is this decal's own."
    assert gap["home"]["layout"] == "0.8 mm" and gap["home"]["ways"] == [] and gap["raw"] is None
    put(place, gap, "0.9 mm")
    assert value_at(place.desk.values, ("decals", "door band", "values", "foot gap")) == "0.9 mm"
    again = blanks(screen(place, panel="door", decal="door band"))["foot gap"]
    assert again["home"]["said"] == "The layout 'door-band' says `0.8 mm`: emptied, that holds again."


def test_the_first_value_of_a_decal_s_own_makes_its_group(place: Workplace) -> None:
    do(place, "draw", "delete_decal", {"decal": "tailgate chevrons"})
    do(place, "draw", "add_decal", {"panel": "tailgate", "layout": "door-band"})
    decal = ("decals", "door band 2")
    group = value_at(place.desk.values, (*decal, "values"))
    for name in list(group or {}):
        put(place, {"at": [*decal, "values", name], "raw": group[name]}, "")
    assert value_at(place.desk.values, (*decal, "values")) is None
    before = place.desk.text
    gap = blanks(screen(place, panel="tailgate", decal="door band 2"))["foot gap"]
    put(place, gap, "1.23 mm")
    assert value_at(place.desk.values, (*decal, "values")) == {"foot gap": "1.23 mm"}
    assert place.desk.undo() and place.desk.text == before


# -------------------------------------------------------------------------------------------------------- variants
def test_a_variant_is_shown_with_its_own_values(place: Workplace) -> None:
    as_it_is, pilot = screen(place, panel="door", decal="door band"), screen(place, **PILOT)
    assert as_it_is["variants"] == ["pilot"] and as_it_is["variant"] == "" and not as_it_is["variant_said"]
    assert pilot["variant"] == "pilot" and "asked" in pilot["variant_said"]
    inks = [{ink["ink"] for ink in one["sides"][0]["decals"][0]["inks"]} for one in (as_it_is, pilot)]
    assert "rust" in inks[1] - inks[0] and "harbour teal" in inks[0] - inks[1]
    assert screen(place, **{**PILOT, "variant": "none of that name"})["variant"] == ""


@pytest.mark.parametrize(
    ("words", "pilots", "jobs"), [("In pilot only", "20 mm", None), ("In every variant", "20 mm", "20 mm")]
)
def test_a_value_goes_into_the_variant_or_into_all(
    place: Workplace, job: Path, words: str, pilots: str, jobs: str | None
) -> None:
    width = blanks(screen(place, **PILOT))["width"]
    assert width["home"]["said"] == "The variant pilot has it from the job."
    assert list(ways(width)) == ["In pilot only", "In every variant"]
    put(place, ways(width)[words], "20 mm")
    for variant, wide in (("pilot", pilots), (None, jobs)):
        read = job_as_written(place.desk.text, job, variant)
        found = next(one for one in read.decals if one.name == "door band").width.value
        # 22.40 mm of door less twice the gap of 0.1 and 0.40 mm, where it is left to the layout.
        assert found == pytest.approx(20 if wide else 22.4 - 2 * 0.5)
    after = blanks(screen(place, **PILOT))["width"]
    assert after["shown"] == "20 mm"
    if words == "In pilot only":
        assert after["home"]["said"] == "The variant pilot says it itself." and after["home"]["ways"] == []
        assert after["at"] == ["variants", "pilot", "decals", "door band", "width"] and after["raw"] == "20 mm"
        put(place, after, "21 mm")
        assert value_at(place.desk.values, ("decals", "door band", "width")) is None
        assert value_at(place.desk.values, tuple(after["at"])) == "21 mm"


def test_a_named_value_of_a_variant_is_changed_in_it(place: Workplace) -> None:
    ink, light = (blanks(screen(place, **PILOT))[key] for key in ("band ink", "first check"))
    # The variant has an accent, and no light, of its own.
    assert list(ways(ink)) == ["Change all 6 in pilot", "Only here, in pilot", "Only here, in every variant"]
    assert list(ways(light)) == [
        "Change all 6 in pilot", "Change all 6 in every variant", "Only here, in pilot", "Only here, in every variant",
    ]  # fmt: skip
    put(place, ways(ink)["Change all 6 in pilot"], "soot")
    put(place, ways(light)["Change all 6 in pilot"], "oat cream")
    values = place.desk.values
    assert values["variants"]["pilot"]["values"] == {"word": "HARBOUR PILOT", "accent": "soot", "light": "oat cream"}
    assert values["values"]["accent"] == "harbour teal" and values["values"]["light"] == "rope cream"


def test_a_shape_is_the_same_in_every_variant_without_shapes_of_its_own(place: Workplace, job: Path) -> None:
    count = blanks(screen(place, panel="bonnet", variant="pilot"))["count"]
    assert count["home"]["ways"] == [] and count["at"][0] == "decals" and "pilot too" in count["home"]["said"]
    own = "\n    decals:\n      bonnet chevrons:\n        artwork: [{field: {ink: rust}}]\n"
    job.write_text(job.read_text(encoding="utf-8").rstrip() + own, encoding="utf-8")
    place.desk.look()
    shown = screen(place, panel="bonnet", variant="pilot")
    assert [one["shape"] for one in shown["shapes"]] == ["field"]
    ink = shown["shapes"][0]["blanks"][0]
    assert ink["at"][:2] == ["variants", "pilot"] and ink["raw"] == "rust"
    put(place, ink, "soot")
    assert place.desk.values["variants"]["pilot"]["decals"]["bonnet chevrons"]["artwork"] == [
        {"field": {"ink": "soot"}}
    ]


def move(place: Workplace, decal: str, dx: float, **view: str) -> None:
    do(place, "draw", "move", {"decals": [decal], "hand": "left", "dx": dx, "dy": 0.0, "view": view})


def test_a_decal_is_moved_in_the_variant_that_places_it(place: Workplace, job: Path) -> None:
    move(place, "door roundel", 0.5, variant="pilot")
    assert place.desk.values["decals"]["door roundel"]["at"]["offset"] == ["2.50 mm", "-0.5 mm"]
    own = "\n    decals:\n      door roundel:\n        at: {offset: [4 mm, -1 mm]}\n"
    place.desk.rewrite(place.desk.text.rstrip() + own, "own place")
    assert screen(place, **PILOT)["places"]["door roundel"] == {"anchor": "top left", "offset": ["4 mm", "-1 mm"]}
    move(place, "door roundel", 0.5, variant="pilot")
    pilot = place.desk.values["variants"]["pilot"]["decals"]["door roundel"]
    assert pilot == {"at": {"offset": ["4.50 mm", "-1 mm"]}}
    assert place.desk.values["decals"]["door roundel"]["at"]["offset"] == ["2.50 mm", "-0.5 mm"]


def test_a_decal_of_a_variant_alone_is_filled_in_there(place: Workplace) -> None:
    flag = (
        "\n    decals:\n      flag:\n        panel: tailgate\n        width: 4 mm\n        height: 2 mm\n"
        "        artwork: [{field: {ink: rust}}]\n"
    )
    place.desk.rewrite(place.desk.text.rstrip() + flag, "flag")
    view = {"panel": "tailgate", "decal": "flag", "variant": "pilot"}
    found = blanks(screen(place, **view))
    for label, to in (("width", "5 mm"), ("spares", "2")):
        put(place, found[label], to)
    move(place, "flag", 1.0, variant="pilot")
    pilot = place.desk.values["variants"]["pilot"]["decals"]["flag"]
    assert (pilot["width"], pilot["spares"]) == ("5 mm", "2") and pilot["at"]["offset"] == ["1.00 mm", "0 mm"]
    assert "flag" not in place.desk.values["decals"] and not place.desk.problems
    with pytest.raises(DecalgenError, match="'flag' is only in the variant pilot"):
        do(place, "draw", "delete_decal", {"decal": "flag", "view": view})


# -------------------------------------------------------------------------------------------------- included files
def test_a_decal_of_an_included_file_says_where_each_value_is(included: Workplace, job: Path) -> None:
    shown = screen(included, panel="door", decal="door band")
    lines = job.with_name("more.yaml").read_text(encoding="utf-8").splitlines()
    first = lines.index("  door band:") + 1
    assert shown["elsewhere"] == (
        f"door band is in more.yaml, line {first}: `door band:`. Moved by hand, it lies elsewhere in this job alone."
    )
    assert shown["lines"] == []
    found = blanks(shown)
    number = next(n for n, line in enumerate(lines, 1) if line.strip() == "panel: door")
    assert found["panel"]["home"]["said"] == f"It is in more.yaml, line {number}: `panel: door`."
    assert found["panel"]["shown"] == "door" and len(ways(found["panel"])) == 2
    job.with_name("more.yaml").chmod(0o444)
    found = blanks(screen(included, panel="door", decal="door band"))
    assert found["panel"]["home"]["fixed"] and found["panel"]["shown"] == "door"
    fixed = "The page may not write that file: "
    assert found["panel"]["home"]["said"] == (
        f"It is in more.yaml, line {number}: `panel: door`. {fixed}change that line in an editor."
    )
    # What is left out is to be written under its group.
    assert found["width"]["home"]["said"].startswith(f"It is left out in more.yaml, line {first}: `door band:`.")
    group = next(n for n, line in enumerate(lines, 1) if line.strip() == "values:")
    assert f"line {group}: `values:`. {fixed}write `rows:`" in found["rows"]["home"]["said"]
    assert all(one["home"]["fixed"] for one in found.values())


def test_a_line_here_goes_before_that_of_an_included_file(included: Workplace) -> None:
    found = blanks(screen(included, panel="door", decal="door roundel"))
    assert found["spares"].get("home") is None and found["spares"]["shown"] == "2"
    assert found["width"]["home"]["said"].endswith(
        "`width: 3.40 mm`. What you type is written here and goes before it, in this job alone."
    )
    put(included, found["width"], "3.2 mm")
    assert included.desk.values["decals"]["door roundel"] == {"spares": "2", "width": "3.2 mm"}
    read = included.desk.job
    assert read is not None and next(one for one in read.decals if one.name == "door roundel").width.value == 3.2


def test_a_named_value_of_an_included_file_is_told(place: Workplace, job: Path) -> None:
    inks = job.with_name("common-inks.yaml")
    inks.write_text(inks.read_text(encoding="utf-8") + "values:\n  sill: 0.8 mm\n", encoding="utf-8")
    line = len(inks.read_text(encoding="utf-8").splitlines())
    text = job.read_text(encoding="utf-8").replace("      side gap: 0.1 mm + shut line", "      side gap: sill")
    job.write_text(text, encoding="utf-8")
    place.desk.look()
    gap = blanks(screen(place, panel="door", decal="door band"))["side gap"]
    assert gap["home"]["said"].startswith(f"'sill' is in common-inks.yaml, line {line}: `sill: 0.8 mm`.")
    assert list(ways(gap)) == ["In common-inks.yaml, for every job that includes it", "Only here"]


# ----------------------------------------------------------------------------------------------------------- names
def names(place: Workplace) -> dict[str, dict[str, Any]]:
    return {one["what"]: one for one in screen(place, names="open")["names"]}


def test_every_name_tells_what_uses_it(place: Workplace) -> None:
    assert "names" not in screen(place)
    found = names(place)
    said = {(row["owner"], row["name"]): row["said"] for row in found["value"]["rows"]}
    # Counted in the file by hand.
    assert said["", "word"] == "Used in 2 places: door band, bed lettering."
    assert said["", "shut line"] == "Used in 1 place: door band."
    assert said["", "accent"].startswith("Used in 6 places: ") and said["", "accent"].endswith(" and 1 more.")
    assert said["bonnet chevrons", "band"] == "Used in 2 places: bonnet chevrons."
    assert ("door band", "side gap") not in said
    (paint,) = found["paint"]["rows"]
    assert (paint["name"], paint["colour"], paint["said"]) == ("night sea", "#1d2b4a", "Used in 1 place: body.")
    assert found["variant"]["rows"][0]["said"] == "It changes title, word, accent."
    # Inks stand once, among what the job says of itself.
    assert set(found) == {"paint", "value", "variant"}
    inks = {one["name"]: one["said"] for one in screen(place, names="open")["paint_job"]["inks"]}
    assert inks["harbour teal"].startswith("From common-inks.yaml. Used by ")


def test_a_name_that_nothing_uses_says_so_and_one_of_a_variant_is_counted(place: Workplace) -> None:
    text = place.desk.text.replace("  light: rope cream\n", "  light: rope cream\n  idle: 3 mm\n  lamp: 1 mm\n")
    own = "\n    decals:\n      door roundel:\n        width: lamp\n"
    place.desk.rewrite(text.rstrip() + own, "more")
    said = {row["name"]: row["said"] for row in names(place)["value"]["rows"]}
    assert said["idle"] == "Nothing uses it." and said["lamp"] == "Used in 1 place: door roundel in pilot."


@pytest.mark.parametrize(
    ("what", "name", "owner"),
    [
        ("value", "accent", ""),
        ("paint", "night sea", ""),
        ("variant", "pilot", ""),
        ("value", "band", "bonnet chevrons"),
    ],
)
def test_each_can_have_another_name(place: Workplace, what: str, name: str, owner: str) -> None:
    before = place.desk.text
    look = do(
        place,
        "draw",
        "rename",
        {"what": what, "name": name, "owner": owner, "to": "gull wing", "view": {"variant": "pilot"}},
    )
    assert look == ({"variant": "gull wing"} if what == "variant" else {})
    rows = {(row["owner"], row["name"]): row["said"] for row in names(place)[what]["rows"]}
    assert (owner, "gull wing") in rows and (owner, name) not in rows
    place.desk.undo()
    assert (
        place.desk.text == before
        and rows[owner, "gull wing"]
        == {(row["owner"], row["name"]): row["said"] for row in names(place)[what]["rows"]}[owner, name]
    )
