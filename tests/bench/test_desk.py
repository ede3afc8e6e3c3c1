"""One job file changed here and in an editor at once: nothing is lost silently, and every step can be taken back."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from decalgen.bench.desk import Desk, Edit, StaleError
from decalgen.bench.history import Steps, patch_between
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import EditError, values
from decalgen.job.loader import load_job
from tests.bench.small_job import HEIGHT, JOB, WIDTH

ROOT = Path(__file__).parents[2]


def put(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))


def setting(at: tuple[str | int, ...], was: object, to: str) -> Edit:
    return Edit("set", at, to, was)


def test_a_change_is_seen_at_once_and_kept_when_it_is_on_the_disk(desk: Desk) -> None:
    desk.edit(1, [setting(WIDTH, "22.40 mm", "23.1 mm")], "width of door")
    assert desk.version == 2 and desk.kept == 1 and desk.job is not None and desk.job.panels[0].width.value == 23.1
    assert desk.path.read_text(encoding="utf-8") == JOB
    desk.keep()
    assert desk.kept == 2 and desk.path.read_text(encoding="utf-8") == JOB.replace("22.40 mm", "23.1 mm")


def test_what_the_readers_refuse_is_refused_with_its_fix_and_changes_nothing(desk: Desk) -> None:
    with pytest.raises(DecalgenError, match="comma") as caught:
        desk.edit(1, [setting(WIDTH, "22.40 mm", "22,4,1 mm")], "width of door")
    assert caught.value.fix and desk.text == JOB and desk.version == 1 and not desk.history.done


def test_steps_are_taken_back_and_done_again_by_name(desk: Desk) -> None:
    desk.edit(1, [setting(WIDTH, "22.40 mm", "23 mm")], "width of door")
    desk.edit(2, [setting(HEIGHT, "11.60 mm", "12 mm")], "height of door")
    assert desk.undo() == "height of door" and desk.text == JOB.replace("22.40 mm", "23 mm")
    assert desk.undo() == "width of door" and desk.text == JOB and desk.undo() == ""
    assert desk.redo() == "width of door" and desk.redo() == "height of door" and desk.redo() == ""
    assert desk.version > 3 and "12 mm" in desk.text


def test_typing_in_one_field_is_one_step(desk: Desk) -> None:
    for base, (was, to) in enumerate([("22.40 mm", "2 mm"), ("2 mm", "23 mm"), ("23 mm", "23.5 mm")], 1):
        desk.edit(base, [setting(WIDTH, was, to)], "width of door", key="1")
    assert len(desk.history.done) == 1
    desk.undo()
    assert desk.text == JOB


def test_an_editor_s_change_is_taken_over_and_can_be_taken_back(desk: Desk) -> None:
    put(desk.path, JOB.replace("11.60", "11.70"))
    assert desk.look() and desk.version == 2 and desk.kept == 2
    assert desk.history.done[-1].outside and desk.job is not None and desk.job.panels[0].height.value == 11.7
    assert not desk.look()
    desk.undo()
    assert desk.text == JOB


def test_another_line_changed_in_an_editor_loses_nothing(desk: Desk) -> None:
    desk.edit(1, [setting(WIDTH, "22.40 mm", "23 mm")], "width of door")
    put(desk.path, JOB.replace("11.60", "11.70"))
    desk.keep()
    assert desk.path.read_text(encoding="utf-8") == JOB.replace("22.40 mm", "23 mm").replace("11.60", "11.70")
    assert desk.kept == desk.version


def test_what_an_editor_writes_just_before_the_file_is_replaced_is_not_lost(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.edit(1, [setting(WIDTH, "22.40 mm", "23 mm")], "width of door")
    real, wrote = Desk.look, []

    def look(self: Desk) -> bool:
        found = real(self)
        if not wrote:
            wrote.append(self.path.write_text(JOB.replace("11.60", "11.70"), encoding="utf-8"))
        return found

    monkeypatch.setattr(Desk, "look", look)
    desk.keep()
    assert desk.path.read_text(encoding="utf-8") == JOB.replace("22.40 mm", "23 mm").replace("11.60", "11.70")


def test_a_change_from_an_older_version_is_made_only_where_its_value_is_the_same(desk: Desk) -> None:
    desk.edit(1, [setting(WIDTH, "22.40 mm", "23 mm")], "width of door")
    desk.edit(1, [setting(HEIGHT, "11.60 mm", "12 mm")], "height of door")
    with pytest.raises(StaleError):
        desk.edit(1, [setting(WIDTH, "22.40 mm", "24 mm")], "width of door")
    assert "23 mm" in desk.text and "12 mm" in desk.text


def test_what_was_seen_as_missing_is_not_written_over_once_it_is_there(desk: Desk) -> None:
    """The page shows no scale; meanwhile an editor writes one."""
    base, path = desk.version, desk.path
    path.write_text(desk.text + 'scale: "1:50"\n', encoding="utf-8")
    assert desk.look() and desk.values["scale"] == "1:50"
    with pytest.raises(StaleError) as stale:
        desk.edit(base, [Edit("set", ("scale",), "1:43", None)], "scale")
    assert stale.value.theirs == "1:50" and desk.values["scale"] == "1:50"


def test_a_mistake_from_an_editor_shows_and_leaves_the_last_good_job(desk: Desk) -> None:
    put(desk.path, JOB.replace("width: 22.40 mm", "width: wide"))
    assert desk.look() and desk.problems and desk.job is not None and desk.job_version == 1
    place = desk.problems[0].place
    assert place is not None
    desk.mend(place.line, place.text, "    width: 22.40 mm")
    assert not desk.problems and desk.job_version == desk.version
    with pytest.raises(EditError, match="meanwhile"):
        desk.mend(place.line, "something else", "    width: 2 mm")


def test_a_file_with_a_mistake_may_be_changed_elsewhere_but_not_made_worse(desk: Desk) -> None:
    put(desk.path, JOB.replace("22.40 mm", "wide"))
    desk.look()
    assert desk.problems
    desk.edit(desk.version, [setting(HEIGHT, "11.60 mm", "12 mm")], "height of door")
    with pytest.raises(DecalgenError):
        desk.edit(desk.version, [setting(HEIGHT, "12 mm", "high")], "height of door")


def test_a_file_that_is_gone_is_told_and_the_text_stays(desk: Desk) -> None:
    desk.edit(1, [setting(WIDTH, "22.40 mm", "23 mm")], "width of door")
    desk.path.unlink()
    with pytest.raises(DecalgenError, match="no file"):
        desk.keep()
    assert "23 mm" in desk.text


@pytest.mark.parametrize("name", ["gannet", "h9", "ostmerrow", "dravenhoe"])
def test_five_hundred_changes_taken_back_return_the_same_bytes(name: str, tmp_path: Path) -> None:
    first = (ROOT / "demo" / f"{name}.yaml").read_bytes()
    path = tmp_path / f"{name}.yaml"
    path.write_bytes(first)
    for beside in ("common-inks.yaml", "thessock-crest.svg"):
        (tmp_path / beside).write_bytes((ROOT / "demo" / beside).read_bytes())
    desk = Desk(path)
    random_ = random.Random(name)
    made = 0
    while made < 125:
        at, was = random_.choice([(at, value) for at, value in _texts(desk.values, ()) if value.endswith(" mm")])
        size = (
            round(float(was.split()[0]) * random_.choice([0.99, 1.01, 1.02]), 2) if was.split()[0][0].isdigit() else 0
        )
        try:
            desk.edit(desk.version, [setting(at, was, f"{size} mm")], " ".join(map(str, at)))
        except DecalgenError:
            made += 1
            continue
        made += 1
        if random_.random() < 0.2:
            desk.undo()
        if random_.random() < 0.1:
            desk.redo()
    assert len(desk.history.done) > 40
    while desk.history.done:
        desk.undo()
    assert desk.text.encode("utf-8") == first
    desk.keep()
    assert path.read_bytes() == first
    load_job(path)


def _texts(value: object, at: tuple[str | int, ...]) -> list[tuple[tuple[str | int, ...], str]]:
    if isinstance(value, dict):
        return [found for key, one in value.items() for found in _texts(one, (*at, key))]
    if isinstance(value, list):
        return [found for n, one in enumerate(value) for found in _texts(one, (*at, n))]
    return [(at, value)] if isinstance(value, str) else []


def test_a_step_is_all_but_what_both_texts_begin_and_end_with() -> None:
    patch = patch_between("abcabc", "abXbc", "x")
    assert patch.forth("abcabc") == "abXbc" and patch.back("abXbc") == "abcabc"
    assert len(patch.removed) + len(patch.inserted) <= 3
    random_ = random.Random(4)
    for _ in range(2000):
        one, other = ("".join(random_.choices("ab\n", k=random_.randrange(9))) for _ in range(2))
        patch = patch_between(one, other, "")
        assert patch.forth(one) == other and patch.back(other) == one


def test_a_new_step_drops_what_was_taken_back() -> None:
    history = Steps()
    history.add("a", "b", "one")
    assert history.undo("b") == "a"
    history.add("a", "c", "two")
    assert history.redo("c") == "c" and history.undo("c") == "a"
    assert values("a: 1\n") == {"a": "1"}
