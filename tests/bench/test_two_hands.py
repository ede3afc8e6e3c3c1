"""The page, another tab and an editor change one file at once: in no order is anything overwritten silently."""

from __future__ import annotations

import random
from itertools import permutations
from pathlib import Path

import pytest

from decalgen.bench.desk import ClashError, Desk, Edit, StaleError
from decalgen.bench.merge import ChosenSide, Clash, merge
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import set_value, values
from tests.bench.small_job import HEIGHT, JOB, WIDTH

BAND = ("decals", "band", "height")


def write(desk: Desk, *changes: tuple[tuple[str, ...], str]) -> str:
    """An editor saves the file with some values changed; gives its text."""
    text = desk.path.read_text(encoding="utf-8")
    for at, to in changes:
        text = set_value(text, at, to)
    desk.path.write_bytes(text.encode("utf-8"))
    return text


def change(desk: Desk, at: tuple[str, ...], to: str) -> None:
    found = values(desk.text)
    for part in at:
        found = found[part]
    desk.edit(desk.version, [Edit("set", at, to, found)], " ".join(at))


def there(path: Path, at: tuple[str, ...]) -> str:
    found = values(path.read_text(encoding="utf-8"))
    for part in at:
        found = found[part]
    return str(found)


def clash_of(desk: Desk) -> ClashError:
    with pytest.raises(ClashError) as caught:
        desk.keep()
    return caught.value


# ----------------------------------------------------------------------------------------------------- all the orders
ACTS = ("page", "editor", "look", "keep")


@pytest.mark.parametrize("order", list(permutations(ACTS)), ids=" ".join)
@pytest.mark.parametrize("theirs", [WIDTH, HEIGHT, BAND], ids=["same", "next line", "elsewhere"])
def test_in_every_order_both_changes_are_there_or_both_are_shown(
    desk: Desk, order: tuple[str, ...], theirs: tuple[str, ...]
) -> None:
    """After all of it: every change is in the file, or a clash shows both and the file is the editor's."""
    seen: ClashError | None = None
    for act in (*order, "look", "keep"):
        try:
            if act == "page":
                desk.edit(1, [Edit("set", WIDTH, "23 mm", "22.40 mm")], "width")
            elif act == "editor":
                write(desk, (theirs, "9 mm"))
            elif act == "look":
                desk.look()
            else:
                desk.keep()
            seen = None
        except ClashError as error:
            seen = error
        except StaleError as error:
            # The page was told before it changed anything.
            assert theirs == WIDTH and error.theirs == "9 mm" and there(desk.path, WIDTH) == "9 mm"
            return
    if theirs != WIDTH:
        assert seen is None and there(desk.path, WIDTH) == "23 mm" and there(desk.path, theirs) == "9 mm"
    elif seen is not None:
        assert there(desk.path, WIDTH) == "9 mm"
        assert seen.clashes == (Clash("'width' of 'door'", "23 mm", "9 mm"),) and "23 mm" in desk.text
    else:
        # The editor opened what the page had kept, and changed that: its own step, which undo brings back.
        assert order.index("keep") < order.index("editor") and there(desk.path, WIDTH) == "9 mm"
        assert desk.history.done[-1].outside and "23 mm" in desk.history.done[-1].back(desk.text)


@pytest.mark.parametrize("keep", ["mine", "theirs"])
@pytest.mark.parametrize("stepped", [False, True], ids=["a value", "a step taken back"])
def test_one_of_both_is_chosen_and_undo_brings_the_other_back(desk: Desk, keep: ChosenSide, stepped: bool) -> None:
    if stepped:
        change(desk, WIDTH, "25 mm")
        desk.keep()
        desk.undo()
        assert desk.unkept is None
        mine = "22.40 mm"
    else:
        change(desk, WIDTH, "23 mm")
        mine = "23 mm"
    write(desk, (WIDTH, "9 mm"), (BAND, "3 mm"))
    clash = clash_of(desk)
    assert len(clash.clashes) == 1 and mine in clash.clashes[0].mine and "9 mm" in clash.clashes[0].theirs
    desk.choose(keep, clash.of)
    desk.keep()
    assert there(desk.path, WIDTH) == (mine if keep == "mine" else "9 mm")
    assert there(desk.path, BAND) == "3 mm" and "# by the sill" in desk.text
    seen = set()
    for _ in range(2):
        desk.undo()
        seen.add(str(values(desk.text)["panels"]["door"]["width"]))
    assert ("9 mm" if keep == "mine" else mine) in seen
    desk.keep()
    assert desk.path.read_text(encoding="utf-8") == desk.text


def test_what_was_not_shown_cannot_be_chosen_away(desk: Desk) -> None:
    """The editor saves once more between the look at both and the choice."""
    change(desk, WIDTH, "23 mm")
    write(desk, (WIDTH, "9 mm"))
    first = clash_of(desk)
    write(desk, (WIDTH, "8 mm"))
    with pytest.raises(ClashError) as caught:
        desk.choose("mine", first.of)
    assert caught.value.clashes[0].theirs == "8 mm" and there(desk.path, WIDTH) == "8 mm"
    desk.choose("mine", caught.value.of)
    desk.keep()
    assert there(desk.path, WIDTH) == "23 mm"


def test_an_editor_that_saves_while_the_file_is_written_is_not_overwritten(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It saves when the new text lies on the disk already and only its rename is to come."""
    still = desk._still
    saves = [((BAND, "3 mm"),), ((HEIGHT, "12 mm"),)]

    def late() -> None:
        if saves:
            write(desk, *saves.pop(0))
        still()

    monkeypatch.setattr(desk, "_still", late)
    change(desk, WIDTH, "23 mm")
    desk.keep()
    assert [there(desk.path, at) for at in (WIDTH, BAND, HEIGHT)] == ["23 mm", "3 mm", "12 mm"]
    assert not list(desk.path.parent.glob(".decalgen-*"))


def test_what_both_changed_alike_is_no_clash(desk: Desk) -> None:
    change(desk, WIDTH, "9 mm")
    write(desk, (WIDTH, "9 mm"))
    desk.keep()
    assert there(desk.path, WIDTH) == "9 mm" and desk.kept == desk.version


def test_a_value_changed_here_and_back_leaves_the_editor_s(desk: Desk) -> None:
    change(desk, WIDTH, "23 mm")
    change(desk, WIDTH, "22.40 mm")
    change(desk, HEIGHT, "12 mm")
    write(desk, (WIDTH, "9 mm"))
    desk.keep()
    assert there(desk.path, WIDTH) == "9 mm" and there(desk.path, HEIGHT) == "12 mm"


def test_many_changes_of_one_value_are_one_clash(desk: Desk) -> None:
    for to in ("2 mm", "23 mm", "23.5 mm"):
        change(desk, WIDTH, to)
    write(desk, (WIDTH, "9 mm"))
    clash = clash_of(desk)
    assert clash.clashes == (Clash("'width' of 'door'", "23.5 mm", "9 mm"),)
    desk.choose("mine", clash.of)
    desk.keep()
    assert there(desk.path, WIDTH) == "23.5 mm"


def test_a_decal_renamed_by_the_editor_keeps_what_is_typed_here(desk: Desk) -> None:
    change(desk, BAND, "2.2 mm")
    desk.path.write_text(JOB.replace("  band:", "  ribbon:"), encoding="utf-8")
    desk.keep()
    assert there(desk.path, ("decals", "ribbon", "height")) == "2.2 mm"


def test_a_decal_taken_out_by_the_editor_is_told_and_can_be_kept(desk: Desk) -> None:
    change(desk, BAND, "2.2 mm")
    start, end = JOB.index("decals:"), JOB.index("inks:")
    desk.path.write_text(JOB[:start] + JOB[end:], encoding="utf-8")
    clash = clash_of(desk)
    assert "2.2 mm" in clash.clashes[0].mine and "2.2 mm" not in clash.clashes[0].theirs
    desk.choose("mine", clash.of)
    desk.keep()
    assert there(desk.path, BAND) == "2.2 mm"


def test_the_same_key_added_by_both_is_told(desk: Desk) -> None:
    """Line by line both would fit, and the file would say it twice."""
    desk.edit(1, [Edit("add", ("decals", "band", "spares"), "3")], "spares")
    desk.path.write_text(JOB.replace("    panel: door\n", "    panel: door\n    spares: 2\n"), encoding="utf-8")
    clash = clash_of(desk)
    assert (clash.clashes[0].mine, clash.clashes[0].theirs) == ("3", "2")
    for keep, is_there in (("theirs", "2"), ("mine", "3")):
        other = Desk(desk.path)
        other.text, other.on_disk, other.unkept = desk.text, JOB, list(desk.unkept or [])
        other.choose(keep, clash.of)
        assert values(other.text)["decals"]["band"]["spares"] == is_there


def test_a_text_broken_by_the_editor_takes_changes_elsewhere_all_the_same(desk: Desk) -> None:
    change(desk, WIDTH, "23 mm")
    desk.path.write_text(JOB.replace('"#1f7f86"', '"#1f7f86'), encoding="utf-8")
    desk.keep()
    assert desk.problems and "23 mm" in desk.path.read_text(encoding="utf-8")
    assert '"#1f7f86}' in desk.path.read_text(encoding="utf-8")


@pytest.mark.parametrize("seed", range(8))
def test_of_many_changes_by_three_none_is_lost_silently(tmp_path: Path, seed: int) -> None:
    """Two tabs and an editor, in any order: at each step a tab's change is kept, or refused and told with both."""
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    desk = Desk(path)
    chance = random.Random(seed)
    seen = [values(desk.text) for _ in range(2)]
    told = 0
    for number in range(60):
        at = chance.choice([WIDTH, HEIGHT, BAND])
        to = f"{number / 100 + 1:.2f} mm"
        who = chance.choice(["one", "other", "editor", "look", "undo"])
        before = [there(path, one) for one in (WIDTH, HEIGHT, BAND)]
        try:
            if who == "editor":
                write(desk, (at, to))
            elif who == "look":
                desk.look()
            elif who == "undo":
                desk.undo()
                desk.keep()
            else:
                tab = seen[who == "other"]
                desk.edit(1, [Edit("set", at, to, tab[at[0]][at[1]][at[2]])], to)
                desk.keep()
                assert there(path, at) == to
        except StaleError as error:
            told += 1
            assert error.theirs == values(desk.text)[at[0]][at[1]][at[2]]
        except ClashError as error:
            told += 1
            assert [there(path, one) for one in (WIDTH, HEIGHT, BAND)] == before
            desk.choose(chance.choice(["mine", "theirs"]), error.of)
            desk.keep()
        if chance.random() < 0.5:
            seen[chance.randrange(2)] = values(desk.text)
    assert told > 3
    desk.look()
    assert path.read_text(encoding="utf-8") == desk.text


# ----------------------------------------------------------------------------------------------------------- by lines
def test_lines_beside_each_other_are_both_kept() -> None:
    before = "a\nb\nc\n"
    assert merge(before, "a\nB\nc\n", "a\nb\nC\n").text == "a\nB\nC\n"
    found = merge(before, "a\nB\nc\n", "a\nX\nc\n")
    assert found.text == before and found.clashes == (Clash("line 2", "B", "X"),)
    assert merge(before, "a\nB\nc\n", "0\na\nX\nc\n", "mine").text == "0\na\nB\nc\n"
    assert merge(before, "a\nB\nc\n", "0\na\nX\nc\n").clashes[0].of == "line 3"
    assert merge(before, "a\n1\nb\nc\n", "a\n2\nb\nc\n").clashes[0] == Clash("line 2", "1", "2")


def test_whatever_both_do_either_all_is_there_or_it_is_told() -> None:
    """Laws of merging, on 4 000 small texts: it does not matter who is who, and one side's change alone is taken."""
    chance = random.Random(7)

    def changed(text: str) -> str:
        lines = text.splitlines(keepends=True)
        for _ in range(chance.randrange(3)):
            at, what = chance.randrange(len(lines) + 1), chance.random()
            if what < 0.4 or at == len(lines):
                lines.insert(at, chance.choice("xyz") + "\n")
            elif what < 0.6:
                del lines[at]
            else:
                lines[at] = chance.choice("xyz") + "\n"
        return "".join(lines)

    clashing = 0
    for _ in range(4000):
        before = "".join(chance.choice("abc") + "\n" for _ in range(chance.randrange(7)))
        mine, theirs = changed(before), changed(before)
        assert merge(before, mine, before).text == mine and merge(before, before, theirs).text == theirs
        assert merge(before, mine, mine).text == mine
        one, other = merge(before, mine, theirs), merge(before, theirs, mine)
        assert bool(one.clashes) == bool(other.clashes)
        clashing += bool(one.clashes)
        if not one.clashes:
            assert one.text == other.text
            added = [line for text in (mine, theirs) for line in set(text.split()) - set(before.split())]
            assert all(line in one.text for line in added)
        assert merge(before, mine, theirs, "mine").text == merge(before, theirs, mine, "theirs").text
    assert 200 < clashing < 3000


def test_a_refusal_changes_nothing(desk: Desk) -> None:
    change(desk, WIDTH, "23 mm")
    with pytest.raises(DecalgenError):
        desk.edit(1, [Edit("set", HEIGHT, "12 mm", "11.60 mm"), Edit("set", WIDTH, "24 mm", "22.40 mm")], "both")
    assert there(desk.path, HEIGHT) == "11.60 mm" and "12 mm" not in desk.text
