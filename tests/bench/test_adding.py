"""What Draw and Measure change beside values, without a browser: each is one step that can be taken back, and goes
together with what an editor writes meanwhile."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import ClashError, Desk
from decalgen.bench.page_state import do, page_state
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError, JobError
from decalgen.job.edits import values
from decalgen.job.first_shapes import ready_shapes
from decalgen.job.layouts import layout_names
from decalgen.shapes.registry import load


@pytest.fixture
def place(job: Path) -> Workplace:
    return Workplace(Desk(job))


def screen(place: Workplace, name: str = "draw", **view: str) -> dict[str, Any]:
    return page_state(place, name, view)["screen"]


@pytest.mark.parametrize(
    ("step", "act", "asked", "label", "look"),
    [
        ("draw", "add_decal", {"panel": "tailgate", "layout": "star-roundel"}, "new decal star roundel",
         {"decal": "star roundel", "panel": "tailgate", "offers": ""}),
        ("draw", "add_decal", {"panel": "door", "layout": "door-band"}, "new decal door band 2",
         {"decal": "door band 2", "panel": "door", "offers": ""}),
        ("draw", "add_decal", {"panel": "bonnet", "shape": "roundel"}, "new decal roundel",
         {"decal": "roundel", "panel": "bonnet", "offers": ""}),
        ("draw", "copy_decal", {"decal": "door roundel"}, "copy of door roundel",
         {"decal": "door roundel 2", "panel": "door"}),
        ("draw", "delete_decal", {"decal": "door roundel"}, "door roundel deleted", {"decal": "", "panel": "door"}),
        ("draw", "order_decal", {"decal": "door roundel", "step": -1}, "door roundel earlier",
         {"decal": "door roundel", "panel": "door"}),
        ("draw", "add_shape", {"decal": "bed lettering", "shape": "star"}, "star in bed lettering",
         {"decal": "bed lettering", "offers": ""}),
        ("draw", "delete_shape", {"decal": "bed lettering", "number": 1}, "field of bed lettering deleted",
         {"decal": "bed lettering"}),
        ("draw", "order_shape", {"decal": "bed lettering", "number": 0, "step": 1},
         "field of bed lettering later", {"decal": "bed lettering"}),
        ("draw", "rename", {"what": "decal", "name": "door band", "to": " foot  band "}, "door band renamed",
         {"decal": "foot band"}),
        ("draw", "rename", {"what": "value", "name": "accent", "to": "band colour"}, "accent renamed", {}),
        ("measure", "remove", {"at": ["panels", "door"], "with_decals": True}, "door deleted", {}),
        ("measure", "remove", {"at": ["panels", "door", "obstacles", "handle"]}, "handle deleted", {}),
        ("measure", "rename", {"at": ["panels", "cargo side"], "name": "bed side"}, "name of cargo side", {}),
    ],
)  # fmt: skip
def test_each_is_one_step_that_can_be_taken_back(
    place: Workplace, step: str, act: str, asked: dict[str, Any], label: str, look: dict[str, str]
) -> None:
    before = place.desk.text
    assert do(place, step, act, asked) == look
    after = place.desk.text
    assert after != before and not place.desk.problems and place.desk.history.done[-1].label == label
    assert place.desk.undo() == label and place.desk.text == before
    assert place.desk.redo() == label and place.desk.text == after


@pytest.mark.parametrize(
    ("step", "act", "asked", "words"),
    [
        ("draw", "add_decal", {"panel": "roof", "layout": "door-band"}, "there is no panel 'roof'"),
        ("draw", "add_decal", {"panel": "door", "layout": "no-such"}, "there is no layout 'no-such'"),
        ("draw", "add_decal", {"panel": "door", "shape": "blob"}, "there is no shape 'blob'"),
        ("draw", "add_decal", {}, "cannot be read"),
        ("draw", "add_shape", {"decal": "door band", "shape": "star"}, "are those of its layout"),
        ("draw", "delete_decal", {"decal": "nothing"}, "there is no decal 'nothing'"),
        ("draw", "delete_shape", {"decal": "bonnet chevrons", "number": 0}, "the only shape"),
        ("draw", "delete_shape", {"decal": "bonnet chevrons", "number": "0"}, "cannot be read"),
        ("draw", "delete_shape", {"decal": "bed lettering", "number": 99}, "no such shape"),
        ("draw", "order_decal", {"decal": "door band", "step": -1}, "is the first already"),
        ("draw", "order_decal", {"decal": "door roundel", "step": 1}, "is the last already"),
        ("draw", "rename", {"what": "decal", "name": "door band", "to": "Door Roundel"}, "already"),
        ("draw", "rename", {"what": "job", "name": "gannet", "to": "x"}, "no name to change"),
        ("draw", "rename", {"what": "decal", "name": ["x"], "to": "x"}, "cannot be read"),
        ("measure", "remove", {"at": ["panels", "door"]}, "'door band', 'door roundel' are on 'door'"),
    ],
)
def test_what_cannot_be_done_is_an_answer_and_changes_nothing(
    place: Workplace, step: str, act: str, asked: dict[str, Any], words: str
) -> None:
    before = place.desk.text
    with pytest.raises(DecalgenError, match=words) as refused:
        do(place, step, act, asked)
    assert not isinstance(refused.value, JobError)
    assert refused.value.fix
    assert place.desk.text == before and place.desk.version == 1 and not place.desk.history.done


def test_what_an_editor_writes_meanwhile_and_what_is_done_here_go_together(place: Workplace, job: Path) -> None:
    do(place, "draw", "delete_decal", {"decal": "door roundel"})
    do(place, "draw", "copy_decal", {"decal": "bed lettering"})
    do(place, "draw", "rename", {"what": "value", "name": "accent", "to": "band colour"})
    theirs = (
        job.read_text(encoding="utf-8")
        .replace("22.40 mm", "22.50 mm")
        .replace("first ink: <accent>", "first ink: <light>")
    )
    job.write_text(theirs, encoding="utf-8")
    place.desk.keep()
    text = job.read_text(encoding="utf-8")
    assert text == place.desk.text
    assert "22.50 mm" in text and "first ink: <light>" in text and "<accent>" not in text and "<band colour>" in text
    assert list(values(text)["decals"]) == [
        "door band", "bonnet chevrons", "bed lettering", "bed lettering 2", "tailgate chevrons",
    ]  # fmt: skip


def test_both_doing_the_same_thing_loses_nothing(place: Workplace, job: Path) -> None:
    do(place, "draw", "rename", {"what": "decal", "name": "door band", "to": "foot band"})
    job.write_text(job.read_text(encoding="utf-8").replace("  door band:", "  sill band:"), encoding="utf-8")
    with pytest.raises(ClashError) as both:
        place.desk.keep()
    (clash,) = both.value.clashes
    assert "foot band" in clash.mine and "sill band" in clash.theirs
    assert "  sill band:" in job.read_text(encoding="utf-8") and "  foot band:" in place.desk.text


def test_hundreds_of_steps_back_and_forth_end_in_the_same_bytes(place: Workplace) -> None:
    rng = random.Random(3)
    start, made = place.desk.text, 0
    for _ in range(120):
        whole = place.desk.values
        decal, panel = rng.choice(list(whole["decals"])), rng.choice(list(whole["panels"]))
        act, asked = rng.choice([
            ("copy_decal", {"decal": decal}),
            ("delete_decal" if len(whole["decals"]) > 2 else "copy_decal", {"decal": decal}),
            ("order_decal", {"decal": decal, "step": rng.choice([1, -1])}),
            ("add_shape", {"decal": decal, "shape": rng.choice(list(load()))}),
            ("delete_shape", {"decal": decal, "number": rng.randrange(3)}),
            ("order_shape", {"decal": decal, "number": rng.randrange(3), "step": rng.choice([1, -1])}),
            ("rename", {"what": "panel", "name": panel, "to": f"panel {rng.randrange(99)}"}),
            ("rename", {"what": "decal", "name": decal, "to": f"decal {rng.randrange(99)}"}),
        ])  # fmt: skip
        try:
            do(place, "draw", act, asked)
            made += 1
        except DecalgenError:
            continue
        assert not place.desk.problems
    assert made > 50
    end = place.desk.text
    while place.desk.history.done:
        place.desk.undo()
    assert place.desk.text == start
    while place.desk.history.undone:
        place.desk.redo()
    assert place.desk.text == end


# ----------------------------------------------------------------------------------------------------- the pictures
def test_every_layout_and_shape_is_offered_and_comes_in_as_it_is_shown(place: Workplace) -> None:
    do(place, "measure", "remove", {"at": ["panels", "door"], "with_decals": True})
    offered = screen(place, panel="cargo side", offers="decal")
    assert sorted(one["name"] for one in offered["layouts"]) == sorted(layout_names())
    assert [one["name"] for one in offered["shape_offers"]] == ready_shapes()
    # These need a file first.
    assert set(load()) - set(ready_shapes()) == {"drawing", "picture"}
    do(place, "draw", "delete_decal", {"decal": "tailgate chevrons"})
    shown = {one["name"]: one for one in screen(place, panel="tailgate", offers="decal")["layouts"]}
    for name in ("star-roundel", "sun-strip", "cross-panel"):
        do(place, "draw", "add_decal", {"panel": "tailgate", "layout": name})
        side = screen(place, panel="tailgate")["sides"][0]
        (decal,) = side["decals"]
        assert decal["inks"] == shown[name]["decal"]["inks"] and decal["at"] == shown[name]["decal"]["at"]
        assert side["panel"]["outline"] == shown[name]["panel"]["outline"]
        place.desk.undo()


def test_a_layout_that_a_panel_cannot_hold_says_so(place: Workplace) -> None:
    text = place.desk.text
    thin = text.replace("panels:\n", "panels:\n  slit:\n    width: 4 mm\n    height: 0.2 mm\n", 1)
    assert thin != text
    place.desk.path.write_text(thin, encoding="utf-8")
    place.desk.look()
    last = screen(place, panel="slit", offers="decal")["layouts"][-1]
    assert last["wrong"] and "decal" not in last


def test_nothing_is_drawn_until_it_is_asked_for(place: Workplace) -> None:
    assert not {"layouts", "shape_offers", "offers"} & set(screen(place, panel="door"))
    assert "layouts" not in screen(place, panel="door", offers="shape", decal="bed lettering")
    assert screen(place, panel="cargo side", offers="shape", decal="bed lettering")["own"]
    assert not screen(place, panel="door", offers="shape", decal="door band")["own"]


def test_a_shape_comes_in_on_top_and_a_field_under_all(place: Workplace) -> None:
    do(place, "draw", "add_shape", {"decal": "door roundel", "shape": "lettering"})
    do(place, "draw", "add_shape", {"decal": "door roundel", "shape": "field"})
    names = [next(iter(one)) for one in place.desk.values["decals"]["door roundel"]["artwork"]]
    assert names == ["field", "roundel", "star", "lettering"]
    # A second field would hide or be hidden: it is a strip along the foot.
    do(place, "draw", "add_shape", {"decal": "door roundel", "shape": "field"})
    assert place.desk.values["decals"]["door roundel"]["artwork"][-1]["field"]["height"] == "decal.height / 4"


@pytest.mark.parametrize("shape", ready_shapes())
def test_every_shape_comes_in_drawn_in_inks_of_the_job(place: Workplace, shape: str) -> None:
    own = {ink.name for ink in place.desk.job.inks} if place.desk.job else set()
    for act, asked in (
        ("add_shape", {"decal": "bed lettering", "shape": shape}),
        ("add_decal", {"panel": "tailgate", "shape": shape}),
    ):
        look = do(place, "draw", act, asked)
        drawn = [one for one in screen(place, **look)["sides"][0]["decals"] if one["name"] == look["decal"]]
        assert drawn and "wrong" not in drawn[0]
        assert {ink["ink"] for ink in drawn[0]["inks"]} <= own


@pytest.mark.parametrize("act", ["add_shape", "add_decal"])
def test_a_drawing_is_asked_for_before_its_shape_comes_in(place: Workplace, act: str) -> None:
    asked = {"decal": "bed lettering", "panel": "tailgate", "shape": "drawing"}
    before = place.desk.text
    with pytest.raises(DecalgenError, match="the shape 'drawing' needs a file of yours") as refused:
        do(place, "draw", act, asked)
    assert "- drawing: {file: crest.svg" in refused.value.fix
    assert place.desk.text == before


def test_no_new_shape_takes_an_ink_that_only_a_layout_brings(place: Workplace) -> None:
    do(place, "draw", "add_decal", {"panel": "tailgate", "layout": "star-roundel"})
    # The layout declares plum dark, which would go with its decal.
    assert place.desk.job is not None and "plum dark" in {ink.name for ink in place.desk.job.inks}
    do(place, "draw", "add_decal", {"panel": "bonnet", "shape": "roundel"})
    do(place, "draw", "delete_decal", {"decal": "star roundel"})
    assert not place.desk.problems


@pytest.mark.parametrize("asked", [{"shape": "star"}, {"layout": "cross-panel"}])
def test_a_new_decal_comes_in_where_there_is_room(place: Workplace, job: Path, asked: dict[str, str]) -> None:
    text = job.read_text(encoding="utf-8")
    decals = (
        "decals:\n  disc:\n    panel: wall\n    width: 6 mm\n    height: 6 mm\n    artwork: [{field: {ink: soot}}]\n"
    )
    head = text[: text.index("panels:\n")]
    job.write_text(f"{head}panels:\n  wall: {{width: 40 mm, height: 20 mm}}\n\n{decals}", encoding="utf-8")
    place.desk.look()
    do(place, "draw", "add_decal", {"panel": "wall", **asked})
    disc, new = screen(place, panel="wall")["sides"][0]["decals"]
    # Boxes that are apart, by their corners in µm: the disc is in the middle.
    (x, y), (wide, high) = new["at"], new["size"]
    assert disc["at"] == [17000, 7000]
    assert x + wide <= 17000 or x >= 23000 or y + high <= 7000 or y >= 13000
    assert x >= 0 and y >= 0 and x + wide <= 40000 and y + high <= 20000


def test_a_copy_lies_beside_the_first(place: Workplace) -> None:
    do(place, "draw", "copy_decal", {"decal": "door roundel"})
    decals = {one["name"]: one for one in screen(place, panel="door")["sides"][0]["decals"]}
    first, second = decals["door roundel"]["at"], decals["door roundel 2"]["at"]
    # It was in the upper left corner: 1 mm to the right and down, in µm.
    assert [b - a for a, b in zip(first, second, strict=True)] == [1000, -1000]


def test_a_decal_passes_only_those_of_its_panel(place: Workplace) -> None:
    text = place.desk.text
    do(place, "draw", "copy_decal", {"decal": "door band"})
    do(place, "draw", "order_decal", {"decal": "door roundel", "step": -1})
    assert screen(place, panel="door")["pile"] == ["door band", "door roundel", "door band 2"]
    do(place, "draw", "order_decal", {"decal": "door band", "step": 1})
    assert screen(place, panel="door")["pile"] == ["door roundel", "door band", "door band 2"]
    assert text != place.desk.text


def test_a_decal_that_is_laid_over_another_cannot_go_before_it(place: Workplace, job: Path) -> None:
    text = job.read_text(encoding="utf-8").replace("    cut: round\n", "    cut: round\n    over: door band\n")
    job.write_text(text, encoding="utf-8")
    place.desk.look()
    with pytest.raises(DecalgenError, match="'door roundel' is laid over 'door band'"):
        do(place, "draw", "order_decal", {"decal": "door roundel", "step": -1})
    do(place, "draw", "rename", {"what": "decal", "name": "door band", "to": "foot band"})
    assert place.desk.values["decals"]["door roundel"]["over"] == "foot band"


# ----------------------------------------------------------------------------------- here, or for all that use it
def test_a_blank_that_says_a_name_tells_who_else_uses_it(place: Workplace) -> None:
    found = screen(place, panel="door", decal="door band")
    homes = {one["label"]: one.get("home") for one in found["values"]}
    # Counted in the file by hand, as in the tests of the file's names.
    assert homes["band ink"] == {
        "name": "accent",
        "said": "'accent' is used in 6 places: door band, door roundel, bonnet chevrons and 2 more. "
        "The layout 'door-band' says `harbour teal`: emptied, that holds again.",
        "ways": [
            {"words": "Change all 6", "at": ["values", "accent"], "raw": "harbour teal", "label": "accent"},
            {"words": "Only here", "at": ["decals", "door band", "values", "band ink"], "raw": "<accent>", "label": ""},
        ],
        "layout": "harbour teal",
    }
    assert homes["word"]["ways"][0]["words"] == "Change all 2"
    # A sum of a name and more is an expression of its own, and what the layout gives is only here.
    assert homes["side gap"]["ways"] == [] and homes["rows"]["ways"] == [] and homes["axes"] is None
    shapes = screen(place, panel="bonnet", decal="bonnet chevrons")
    said = {one["label"]: one.get("home") for one in shapes["shapes"][0]["blanks"]}
    # `band` is used twice, in the decal's height and here.
    assert said["stripe width"]["ways"][0]["at"] == ["decals", "bonnet chevrons", "values", "band"]
    assert said["stripe width"]["said"] == "'band' is used in 2 places: bonnet chevrons."


def test_each_value_of_a_shape_has_one_blank(place: Workplace) -> None:
    for shape in screen(place, panel="cargo side", decal="bed lettering")["shapes"]:
        labels = [one["label"] for one in shape["blanks"]]
        assert len(labels) == len(set(labels)) and ("height" in labels) == (shape["at"][3] == 1)


def test_a_file_with_a_mistake_keeps_the_last_picture_and_refuses_to_be_built_on(place: Workplace, job: Path) -> None:
    job.write_text(job.read_text(encoding="utf-8").replace("body: night sea", "body: [night sea"), encoding="utf-8")
    place.desk.look()
    assert place.desk.problems
    assert screen(place, panel="door", offers="decal")["sides"]
    with pytest.raises(DecalgenError, match="cannot be read just now"):
        do(place, "draw", "delete_decal", {"decal": "door band"})
