"""Panels, obstacles, decals and shapes that come, go, are copied or change places in the text of a job file.

What is meant is worked out by Python's own dicts and lists; the rest of the text is held byte for byte: lines that stay
are those that were there, comments go along, and what came goes again without a trace.
"""

from __future__ import annotations

import copy
import random
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from decalgen.core.errors import DecalgenError
from decalgen.job.edits import EditError, values
from decalgen.job.formatted import formatted
from decalgen.job.loader import job_as_written
from decalgen.job.panel_rows import measured_by, obstacle_rows
from decalgen.job.restructure import (
    add_decal,
    add_obstacle,
    add_panel,
    add_shape,
    copy_decal,
    delete_decal,
    delete_obstacle,
    delete_panel,
    delete_shape,
    move_decal,
    move_panel,
    move_shape,
)
from decalgen.job.written import in_brackets
from decalgen.panels.registry import kinds, obstacle_kinds

ROOT = Path(__file__).resolve().parents[2]
JOBS = ("gannet", "h9", "dravenhoe", "ostmerrow")
STYLES = ("as written", "long", "short", "brackets")
ENDS = (("\n", ""), ("\r\n", "\ufeff"), ("\n", "\ufeff"), ("\r\n", ""))
BODY = {"ink": "soot", "line width": "0.3 mm"}
ROWS = {"panel": "", "width": "3 mm", "height": "2 mm", "artwork": [{"field": {"ink": "soot"}}]}


def job_in(name: str, style: str, end: str, mark: str) -> str:
    """A demo job in one of its styles."""
    text = (ROOT / "demo" / f"{name}.yaml").read_text(encoding="utf-8")
    if style in ("long", "short"):
        text = formatted(text, name, short=style == "short")
    if style == "brackets":
        whole = values(text)
        text = "\n".join(f"{key}: {in_brackets(one)}   # c {n}" for n, (key, one) in enumerate(whole.items())) + "\n"
    return mark + text.replace("\n", end)


def comments(text: str) -> Counter[str]:
    """The comments of a demo job, which has no # in its texts but in colours."""
    return Counter(found.group().strip() for found in re.finditer(r"(?:^|\s)# [^\r\n]*", text, re.MULTILINE))


def act(rng: random.Random, text: str, whole: Any) -> tuple[str, str, Any] | None:
    """One random change: what was done, the new text, and what its values should be; None where it cannot be."""
    wanted = copy.deepcopy(whole)
    decals, panels = wanted["decals"], wanted["panels"]
    decal, panel = rng.choice(list(decals)), rng.choice(list(panels))
    artwork = decals[decal].get("artwork")
    kind = rng.choice(
        [
            "panel",
            "obstacle",
            "decal",
            "copy",
            "move",
            "move panel",
            "shape",
            "move shape",
            "out",
            "shape out",
            "obstacle out",
        ]
    )
    if kind == "panel":
        made = rng.choice([name for name in kinds() if name != "prototype"])
        rows: Any = dict.fromkeys(measured_by(made)[0].split(", "), "?")
        if made == "outline":
            rows = {"outline": [["?", "?"]] * 4}
        panels[f"new {len(panels)}"] = rows
        return kind, add_panel(text, f"new {len(panels) - 1}", made), wanted
    if kind == "obstacle":
        made = rng.choice(list(obstacle_kinds()))
        rows = obstacle_rows(made, {"outline": 4, "line": 2}.get(made, 0))
        name = f"thing {rng.randrange(10**6)}"
        panels[panel].setdefault("obstacles", {})[name] = rows
        return kind, add_obstacle(text, panel, name, made), wanted
    if kind == "decal":
        name = f"patch {rng.randrange(10**6)}"
        decals[name] = {**ROWS, "panel": panel}
        return kind, add_decal(text, name, {**ROWS, "panel": panel}), wanted
    if kind == "copy":
        name = f"copy {rng.randrange(10**6)}"
        wanted["decals"] = {}
        for one, group in decals.items():
            wanted["decals"][one] = group
            if one == decal:
                wanted["decals"][name] = {key: it for key, it in copy.deepcopy(group).items() if key != "pin"}
        return kind, copy_decal(text, decal, name), wanted
    if kind in ("move", "move panel"):
        group, name, move = ("decals", decal, move_decal) if kind == "move" else ("panels", panel, move_panel)
        step, names = rng.choice([1, -1]), list(wanted[group])
        there = names.index(name)
        if not 0 <= there + step < len(names):
            return None
        names[there], names[there + step] = names[there + step], names[there]
        wanted[group] = {one: wanted[group][one] for one in names}
        return kind, move(text, name, step), wanted
    if kind == "out":
        if len(decals) == 1:
            return None
        del decals[decal]
        for group in decals.values():
            if group.get("over") == decal:
                del group["over"]
        return kind, delete_decal(text, decal), wanted
    if kind == "obstacle out":
        there = panels[panel].get("obstacles")
        if not there:
            return None
        name = rng.choice(list(there))
        del there[name]
        if not there:
            del panels[panel]["obstacles"]
        for group in decals.values():
            if group["panel"] == panel and "split at" in group:
                group["split at"] = [one for one in group["split at"] if one != name]
                if not group["split at"]:
                    del group["split at"]
        return kind, delete_obstacle(text, panel, name), wanted
    if not isinstance(artwork, list):
        return None
    number = rng.randrange(len(artwork))
    if kind == "shape":
        artwork.append({"border": BODY})
        return kind, add_shape(text, decal, "border", BODY), wanted
    if kind == "shape out":
        if len(artwork) == 1:
            return None
        del artwork[number]
        return kind, delete_shape(text, decal, number), wanted
    step = rng.choice([1, -1])
    if not 0 <= number + step < len(artwork):
        return None
    artwork[number], artwork[number + step] = artwork[number + step], artwork[number]
    return kind, move_shape(text, decal, number, step), wanted


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", JOBS)
def test_any_change_of_structure_does_what_is_meant_and_nothing_else(name: str, style: str) -> None:
    for number, (end, mark) in enumerate(ENDS):
        rng = random.Random(f"{name} {style} {number}")
        text = job_in(name, style, end, mark)
        for _ in range(8):
            whole = values(text)
            made = act(rng, text, whole)
            if made is None:
                continue
            kind, new, wanted = made
            assert values(new) == wanted, kind
            for group in ("decals", "panels"):
                assert list(values(new)[group]) == list(wanted[group])
            check_the_rest(kind, text, new)
            assert new.startswith("\ufeff") == bool(mark)
            assert len(re.findall("\r\n|\r|\n", new)) == new.count(end)
            text = new


def check_the_rest(kind: str, text: str, new: str) -> None:
    """Nothing but the entry meant has come or gone."""
    old_lines, new_lines = text.splitlines(), new.splitlines()
    if kind in ("panel", "obstacle", "decal", "shape"):
        assert comments(new) == comments(text)
    if kind in ("move", "move panel", "move shape"):
        assert comments(new) == comments(text)
        assert len(new) == len(text)
    if kind == "copy":
        assert not comments(text) - comments(new)
    if kind in ("out", "shape out"):
        assert not comments(new) - comments(text)
    if "brackets" not in text and "{" not in text:
        # In a file without brackets whole lines come or go, and no other line changes.
        more, fewer = Counter(new_lines) - Counter(old_lines), Counter(old_lines) - Counter(new_lines)
        if kind in ("panel", "obstacle", "decal", "shape", "copy"):
            assert not fewer
        if kind in ("out", "shape out", "obstacle out"):
            assert not more
        if kind in ("move", "move panel", "move shape"):
            assert not more and not fewer


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", JOBS)
def test_what_came_goes_again_without_a_trace(name: str, style: str) -> None:
    for end, mark in ENDS:
        text = job_in(name, style, end, mark)
        whole = values(text)
        panel, decal = next(iter(whole["panels"])), next(iter(whole["decals"]))
        assert delete_panel(add_panel(text, "lid", "dome"), "lid") == text
        assert delete_obstacle(add_obstacle(text, panel, "flap", "slot"), panel, "flap") == text
        assert delete_decal(add_decal(text, "patch", {**ROWS, "panel": panel}), "patch") == text
        for one in list(whole["decals"])[::3]:
            assert delete_decal(copy_decal(text, one, "second"), "second") == text
            shapes = whole["decals"][one].get("artwork")
            if isinstance(shapes, list):
                assert delete_shape(add_shape(text, one, "border", BODY), one, len(shapes)) == text
        assert move_decal(move_decal(text, decal, 1), decal, -1) == text
        assert move_panel(move_panel(text, panel, 1), panel, -1) == text


FILE = """\
job: tug
body: navy

panels:
  door:
    width: 22.4 mm
    height: 11.6 mm
    obstacles:
      handle: {circle: 2 mm, at: [3 mm, 4 mm]}   # brass
      # over the sill
      gap: {line: [[0 mm, 2 mm], [22 mm, 2 mm]], width: 0.4 mm, gap: yes}

decals:
    # the ground
    band:
        panel: door
        width: 20 mm
        height: 6 mm
        cut around: handle
        artwork:
            - field: {ink: black}   # under all
            # the word
            - lettering: {text: A, cap height: 2 mm, ink: white}
        # deeper still

    star:   # on top
        panel: door
        width: 3 mm
        height: 3 mm
        over: band
        artwork:
            star:
                ink: white
                # and nothing more
# the end
"""


def changed(new: str, *pairs: tuple[str, str]) -> bool:
    """Whether the file with these texts in place of others is the new one."""
    text = FILE
    for old, put in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, put)
    assert new == text
    return True


def test_a_new_decal_is_written_as_its_file_is() -> None:
    new = add_decal(FILE, "patch", {**ROWS, "panel": "door"})
    block = (
        "\n    patch:\n        panel: door\n        width: 3 mm\n        height: 2 mm\n        artwork:\n"
        "            - field:\n                ink: soot\n"
    )
    # The comment under the last decal is no deeper than its key: it ends the file.
    assert changed(new, ("                # and nothing more\n", "                # and nothing more\n" + block))


def test_comments_go_along_with_what_they_are_about() -> None:
    new = move_decal(FILE, "band", 1)
    assert new.index("    star:   # on top") < new.index("    # the ground\n    band:") < new.index("# deeper still")
    assert new.index("# and nothing more") < new.index("# the ground")
    assert new.endswith("# deeper still\n# the end\n")
    new = move_shape(FILE, "band", 0, 1)
    lines = [line.strip() for line in new.splitlines()]
    at = lines.index("# the word")
    assert lines[at + 1].startswith("- lettering") and lines[at + 2] == "- field: {ink: black}   # under all"


def test_shapes_without_dashes_get_them_before_another_comes() -> None:
    with pytest.raises(EditError, match="comments"):
        add_shape(
            FILE.replace("            star:\n", "            star:\n                # plain\n"), "star", "field", {}
        )
    bare = FILE.replace("                # and nothing more\n", "")
    new = add_shape(bare, "star", "field", {"ink": "black"})
    assert values(new)["decals"]["star"]["artwork"] == [{"star": {"ink": "white"}}, {"field": {"ink": "black"}}]
    assert "          - star:\n              ink: white\n          - field:\n              ink: black\n" in new


def test_what_names_the_thing_goes_with_it() -> None:
    assert changed(
        delete_obstacle(FILE, "door", "handle"),
        ("      handle: {circle: 2 mm, at: [3 mm, 4 mm]}   # brass\n", ""),
        ("        cut around: handle\n", ""),
    )
    new = delete_decal(FILE, "band")
    assert "over:" not in new and "decals:\n    star:   # on top\n" in new
    gone = delete_panel(FILE, "door", with_decals=True)
    assert values(gone) == {"job": "tug", "body": "navy"}


def test_a_variant_says_nothing_of_what_is_gone() -> None:
    text = (
        FILE + "variants:\n  plain:\n    decals:\n      star:\n    panels: {door: {width: 22 mm}}\n  red: {body: red}\n"
    )
    new = delete_decal(text, "star")
    assert values(new)["variants"] == {"plain": {"panels": {"door": {"width": "22 mm"}}}, "red": {"body": "red"}}
    both = delete_panel(text, "door", with_decals=True)
    assert values(both)["variants"] == {"red": {"body": "red"}}


@pytest.mark.parametrize(
    ("change", "words", "fix"),
    [
        (lambda: add_panel(FILE, "door"), "there is a panel 'door' already", "another name"),
        (lambda: add_panel(FILE, "Door"), "there is a panel 'door' already", "another name"),
        (lambda: add_panel(FILE, "9 lives"), "cannot be the name of a panel", "begin with a letter"),
        (lambda: add_panel(FILE, "lid", "dom"), "no kind of panel 'dom'", "did you mean 'dome'"),
        (lambda: add_panel(FILE, "lid", "dome", way="width"), "is not measured by width", "radius across"),
        (lambda: add_panel(FILE, "lid", "outline", corners=2), "2 is not a number of points", "from 3 to 40"),
        (lambda: add_panel(FILE, "lid", "prototype"), "full-size width and height", "1.9 m"),
        (lambda: add_obstacle(FILE, "door", "all"), "'all' is what stands for every obstacle", "another name"),
        (lambda: add_obstacle(FILE, "lid", "flap"), "'lid' is not written in this file", "includes"),
        (lambda: add_obstacle(FILE, "door", "flap", "blob"), "no kind of obstacle 'blob'", "rectangle"),
        (lambda: delete_panel(FILE, "door"), "'band', 'star' are on 'door'", "delete them too"),
        (lambda: delete_shape(FILE, "star", 0), "not written as a list", "dash"),
        (lambda: delete_shape(delete_shape(FILE, "band", 0), "band", 0), "the only shape", "delete the decal"),
        (lambda: delete_shape(FILE, "band", 2), "no such shape", "look"),
        (lambda: move_panel(FILE, "door", -1), "nothing to change places with", "first or last"),
        (lambda: move_panel(FILE, "none", 1), "not written in this file", "includes"),
        (lambda: move_decal(FILE, "band", -1), "nothing to change places with", "first or last"),
        (lambda: copy_decal(FILE, "band", "star"), "there is a decal 'star' already", "another name"),
        (lambda: copy_decal(FILE, "band", "x" * 61), "1 to 60 characters", "short"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_refused_with_its_fix(change: Any, words: str, fix: str) -> None:
    with pytest.raises(DecalgenError, match=re.escape(words)) as refused:
        change()
    assert fix in refused.value.fix


def test_a_shape_of_a_layout_cannot_be_added_to() -> None:
    text = (ROOT / "demo" / "gannet.yaml").read_text(encoding="utf-8")
    with pytest.raises(EditError, match="those of its layout 'door-band'"):
        add_shape(text, "door band", "field", {"ink": "rust"})


@pytest.mark.parametrize("kind", [name for name in kinds() if name != "prototype"])
def test_a_panel_of_any_kind_begins_a_job_that_reads(kind: str, tmp_path: Path) -> None:
    begun = "job: tug\nbody: navy\n"
    for way in measured_by(kind):
        text = add_panel(begun, "lid", kind, way=way, hand="left")
        job = job_as_written(text, tmp_path / "tug.yaml")
        assert [(panel.kind, panel.hand) for panel in job.panels] == [(kind, "left")]
        assert job.panels[0].unmeasured
        assert text.startswith(begun + "\npanels:\n  lid:\n")


def test_a_panel_known_by_the_full_size_vehicle(tmp_path: Path) -> None:
    text = add_panel('job: tug\nscale: "1:43"\nbody: navy\n', "lid", "prototype", full_size=("860 mm", "0.43 m"))
    job = job_as_written(text, tmp_path / "tug.yaml")
    assert abs(job.panels[0].width.value - 860 / 43) < 1e-9 and abs(job.panels[0].height.value - 10) < 1e-9


def test_a_copy_is_pinned_nowhere(tmp_path: Path) -> None:
    text = FILE.replace("        over: band\n", "        pin: {at: [20 mm, 20 mm]}\n")
    new = copy_decal(text, "star", "second star")
    assert values(new)["decals"]["star"]["pin"] and "pin" not in values(new)["decals"]["second star"]
    job = job_as_written(new, tmp_path / "tug.yaml")
    assert [decal.name for decal in job.decals] == ["band", "star", "second star"]


@pytest.mark.parametrize("empty", ["decals: {}", "decals: []", "decals: {}   # none yet", "decals:"])
def test_the_first_entry_of_an_empty_group_takes_its_place(empty: str) -> None:
    text = f"job: van\n{empty}\npanels: {{door: {{width: 3 mm, height: 2 mm}}}}\n"
    after = add_decal(text, "line", {"panel": "door"})
    assert values(after) == {**values(text), "decals": {"line": {"panel": "door"}}}
    assert after.startswith("job: van\ndecals:\n") and after.endswith(text.splitlines(keepends=True)[-1])
    assert ("# none yet" in after) == ("# none yet" in text)


def test_no_empty_line_stays_where_the_last_entry_was() -> None:
    text = "job: tug\nbody: navy\n\ndecals:\n  a:\n    panel: x\n\n  b:\n    panel: y\n"
    assert delete_decal(text, "b") == "job: tug\nbody: navy\n\ndecals:\n  a:\n    panel: x\n"
    assert delete_decal(text, "a") == "job: tug\nbody: navy\n\ndecals:\n  b:\n    panel: y\n"
    assert delete_decal(text + "\n# end\n", "b") == "job: tug\nbody: navy\n\ndecals:\n  a:\n    panel: x\n\n# end\n"


def test_a_last_line_without_an_end_stays_without() -> None:
    text = "job: tug\nbody: navy\ndecals:\n  a:\n    panel: x\n  b:\n    panel: y"
    assert move_decal(text, "a", 1) == "job: tug\nbody: navy\ndecals:\n  b:\n    panel: y\n  a:\n    panel: x"
    assert delete_decal(text, "b") == "job: tug\nbody: navy\ndecals:\n  a:\n    panel: x"
    assert copy_decal(text, "b", "c") == text + "\n  c:\n    panel: y"
    assert delete_decal(copy_decal(text, "b", "c"), "c") == text
