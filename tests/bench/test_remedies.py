"""Ways out for a decal that does not fit: each one that is offered makes the finding of the check go away."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from decalgen.artwork.build import build_all, hands
from decalgen.bench.desk import Desk
from decalgen.bench.guard import Keys
from decalgen.bench.moving import HandMove, moved
from decalgen.bench.remedies import Remedy, remedies
from decalgen.job.loader import job_as_written
from decalgen.job.model import Job
from decalgen.preflight.fitting import fitting

JOB = """job: tug
body: navy
film: {film}
panels:
  door:
    width: 20 mm{u}
    height: 10 mm{u}
    obstacles:
      handle: {{rectangle: [3.0 mm{u}, 1.0 mm{u}], at: [14 mm{u}, 7 mm{u}], clearance: 0.3 mm}}
decals:
  band:
    panel: door
    hands: {hands}
    at: {at}
    width: {width} mm
    height: {height} mm
    artwork:
      - field: {{ink: black}}
"""


def offered(
    at: str, width: float, height: float, film: str = "white", u: str = " ± 0.0001", hands_: str = "one"
) -> list[Remedy]:
    text = JOB.format(at=at, width=width, height=height, film=film, u=u, hands=hands_)
    job = job_as_written(text, Path("tug.yaml"))
    (decal,) = job.decals
    return list(remedies(job, decal, hands(decal)[0], build_all))


def test_too_high_is_told_with_the_height_that_fits_where_it_is_held() -> None:
    # The readings are as good as certain; a hundredth is what is left of their U of 0.0001.
    # 10 mm of panel less 8 that it is held above the foot: 2 is left; 2.4 is 0.4 over. With its middle on the panel's,
    # both edges would do with half. On the left, clear of the handle.
    found = offered("[1 mm, 8 mm]", 4, 2.4)
    assert found[0].words == "0.40 mm over the top edge: 1.99 would fit" and found[0].size == ("height", 1.99)
    assert found[0].label == "Make it 1.99 mm high"
    # The other way out: 0.4 mm down.
    assert found[1].move == (0.0, -0.41) and found[1].label == "Move it in"
    assert found[1].words == "0.40 mm over the top edge: 0.41 mm down it fits"


def test_a_decal_held_by_its_middle_gives_way_on_both_sides() -> None:
    # 21 mm on 20: 0.5 over each edge.
    found = offered("bottom", 21, 2)
    assert [one.size for one in found] == [("width", 19.99)]


def test_a_decal_held_by_the_edge_it_reaches_over_is_only_moved() -> None:
    # 0.5 mm beyond the top, held by the top: a lower one would reach over as far. It goes where the
    # top goes, so that the reading of the height leaves nothing open.
    found = offered("{anchor: top left, offset: [1 mm, 0.5 mm]}", 4, 2)
    assert [(one.size, one.move) for one in found] == [(None, (0.0, -0.5))]


def test_bare_film_counts_and_is_not_scaled() -> None:
    # On clear film 0.5 mm of bare film all round: 20 - 2 * 0.5.
    found = offered("bottom + 1 mm", 19.5, 2, film="clear")
    assert found[0].size == ("width", 18.99)


def test_uncertain_readings_ask_for_what_is_sure() -> None:
    # 0.05 is the largest error: u = 0.05/√3 = 0.0289, U = 2 u = 0.0577 (JCGM 100:2008, 4.3.7) on the width, half of it
    # on each edge beside the middle. 20 - 0.0577 is 19.94 in hundredths.
    found = offered("bottom", 20, 2, u=" ± 0.05")
    assert found[0].size == ("width", 19.94)
    assert "to be sure" in found[0].words


def test_a_decal_on_an_obstacle_is_moved_the_shortest_way_clear_of_it() -> None:
    # From 4.9 to 7.1 below a handle that begins at 7 with 0.3 beside it: 0.4 mm down.
    found = offered("[10 mm, 4.9 mm]", 8, 2.2)
    assert [(one.move, one.label) for one in found] == [((0.0, -0.41), "Move it clear")]
    assert found[0].words == "0.40 mm over the clearance of the handle: 0.41 mm down it fits"


def test_where_the_way_down_leads_over_the_edge_another_is_found() -> None:
    # 6.4 mm high from 1 to 7.4: down is 0.7 mm, up there is none; to the left 18 - 13.7 mm.
    (down,) = offered("[12 mm, 1 mm]", 6, 6.4)
    assert down.move == (0.0, -0.71)
    (left,) = offered("[12 mm, 0 mm]", 6, 7.4)
    assert left.move == (-4.31, 0.0)


def test_over_an_edge_and_on_an_obstacle_both_are_left_at_once() -> None:
    # 0.5 mm over the left edge, and 0.4 mm on the handle and its clearance.
    (found,) = offered("[-0.5 mm, 4.9 mm]", 16, 2.2)
    assert found.move == (0.5, -0.41)


def test_nothing_is_offered_where_it_fits_or_nothing_helps() -> None:
    assert offered("bottom", 10, 2) == []
    # Wider than the panel is less wide than any gap beside the handle allows.
    assert offered("[-3 mm, 5 mm]", 26, 4) == []


def test_both_hands_have_to_fit(tmp_path: Path) -> None:
    found = offered("[10 mm, 4.9 mm]", 8, 2.2, hands_="both")
    assert [one.move for one in found] == [(0.0, -0.41)]


@pytest.mark.parametrize(
    ("at", "width", "height"),
    [("[1 mm, 8 mm]", 4, 2.4), ("bottom", 21, 2), ("[10 mm, 4.9 mm]", 8, 2.2), ("[12 mm, 0 mm]", 6, 7.4)],
)
@pytest.mark.parametrize("hand", ["left", "right"])
def test_what_is_offered_makes_the_finding_go_away(
    client: TestClient, keys: Keys, job: Path, at: str, width: float, height: float, hand: str
) -> None:
    job.write_text(JOB.format(at=at, width=width, height=height, film="white", u=" ± 0.05", hands="both"), "utf-8")
    client.app_state["place"].look()
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    view = {"screen": "draw", "panel": "door", "decal": "band", "hand": hand}
    side = client.get("/state", params=view).json()["screen"]["sides"][0]
    assert side["hand"] == hand and not side["fit"]["good"] and side["fit"]["remedies"]
    for one in side["fit"]["remedies"]:
        asked = {"decal": "band", "hand": hand, "label": one["label"], "view": view}
        answer = client.post("/do/draw/remedy", json=asked)
        assert answer.status_code == 200, answer.text
        sides = answer.json()["screen"]["sides"]
        assert [side["fit"]["verdict"] for side in sides] == ["fits", "fits"]
        read = job_as_written(client.app_state["place"].desk.text, job)
        for hand_ in hands(read.decals[0]):
            assert not fitting(build_all(read, read.decals[0], hand_), read.decals[0], read).findings
        assert (
            client.post("/undo", json={"base": answer.json()["version"]}).json()["undo"] == "what your editor changed"
        )


def test_a_way_out_that_is_none_any_more_is_refused(inside: TestClient) -> None:
    asked = {"decal": "door roundel", "hand": "left", "label": "Move it clear"}
    answer = inside.post("/do/draw/remedy", json=asked)
    assert answer.status_code == 422 and "would not make it fit any more" in answer.json()["message"]


LETTERED = """job: tug
body: navy
film: white
panels:
  door:
    width: 20 mm ± 0.0001
    height: 10 mm ± 0.0001
    obstacles:
      handle: {rectangle: [3.0 mm ± 0.0001, 1.0 mm ± 0.0001], at: [9 mm ± 0.0001, 6 mm ± 0.0001], clearance: 0.3 mm}
decals:
  band:
    panel: door
    hands: both
    at: AT
    width: 5 mm
    height: 5 mm
    cut: artwork
    artwork:
      - lettering: {text: L, cap height: 4.8 mm, ink: black}
"""


@pytest.mark.parametrize("hand", ["left", "right"])
def test_where_the_hands_differ_what_helps_one_alone_is_not_offered(hand: str) -> None:
    """A word is not mirrored with its panel: the stem of an L is towards the handle on one hand, its foot on the other.
    The panel is symmetrical but for the handle, so each hand is tried as the easier one, from the place that makes it
    so: 7 mm from the left, and as far from the right."""

    def read(x: float, y: float) -> Job:
        return job_as_written(LETTERED.replace("AT", f"[{x:.2f} mm, {y:.2f} mm]"), Path("tug.yaml"))

    def verdict(of: Job, side: str) -> str:
        found = next(one for one in hands(of.decals[0]) if one == side)
        return fitting(build_all(of, of.decals[0], found), of.decals[0], of).fit.verdict

    x, easier, harder = (7.0, "left", "right") if hand == "left" else (9.0, "right", "left")
    job = read(x, 2.5)
    assert [verdict(job, side) for side in (easier, harder)] == ["too big", "too big"]
    # A tenth aside would do on the easier hand, and does not on the other.
    aside = next(step for step in (-0.1, 0.1) if verdict(read(x + step, 2.5), easier) == "fits")
    assert verdict(read(x + aside, 2.5), harder) == "too big"
    for side in hands(job.decals[0]):
        (found,) = remedies(job, job.decals[0], side, build_all)
        # The foot is at 2.5 + 0.1, the letter 4.8 high up to 7.4; the handle begins at 6 less its 0.3: 1.7 down.
        assert found.move == (0.0, -1.71) and found.size is None
        lower = read(x, 2.5 + found.move[1])
        assert [verdict(lower, one) for one in ("left", "right")] == ["fits", "fits"]


@pytest.mark.parametrize("hands_", ["right", "both"])
def test_a_panel_that_was_measured_on_the_right_is_not_mirrored(tmp_path: Path, hands_: str) -> None:
    text = JOB.format(at="[12 mm, 0 mm]", width=6, height=7.4, film="white", u=" ± 0.0001", hands=hands_)
    path = tmp_path / "tug.yaml"
    path.write_text(text.replace("  door:\n", "  door:\n    hand: right\n"), encoding="utf-8")
    desk = Desk(path)
    assert desk.job is not None
    (decal,) = desk.job.decals
    for hand in hands(decal):
        (found,) = remedies(desk.job, decal, hand, build_all)
        # From 18 back to the handle at 14 less its 0.3, as on a left panel: away from the handle is to the left.
        assert found.move == (-4.31, 0.0)
        desk.edit(desk.version, moved(desk, ["band"], HandMove(hand or "", *found.move)), "fit")
        assert desk.job is not None
        for one in hands(decal):
            assert (
                fitting(build_all(desk.job, desk.job.decals[0], one), desk.job.decals[0], desk.job).fit.verdict
                == "fits"
            )
        desk.undo()
        assert desk.job is not None
