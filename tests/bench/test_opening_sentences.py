"""The opening sentence of each step says what is done, what is open and what it holds up, in every state of a job."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from decalgen.bench.registry import STEPS
from tests.bench.sheeting import look, tug
from tests.bench.test_proof_now import bench, change, made, passed, steady

OPEN = ("width: 30 mm ± 0.05", "width: ?")
TOO_WIDE = ("    width: 20 mm", "    width: 40 mm")
PRINTING = {"check", "proof", "print_film"}
"""The steps whose opening names what waits for them, or what they wait for."""


def seen(client: TestClient) -> dict[str, tuple[str, str]]:
    """Of each step its words on the card and its opening sentence, once all is examined and judged."""
    while True:
        steady(client, "proof")
        look(client)
        found = {}
        for key in STEPS:
            state = client.get("/state", params={"screen": key}).json()
            (card,) = [one["words"] for one in state["steps"] if one["key"] == key]
            found[key] = card, state["screen"]["opening"]
        if "..." not in "".join(f"{card}{opening}" for card, opening in found.values()):
            return found
        time.sleep(0.02)


def written(client: TestClient, path: Path, text: str) -> None:
    """The job as an editor writes it, once the page has it."""
    before = client.get("/state", params={"screen": "draw"}).json()["version"]
    path.write_text(text, encoding="utf-8")
    while client.get("/state", params={"screen": "draw"}).json()["version"] == before:
        time.sleep(0.02)


def walked(client: TestClient, path: Path) -> dict[str, dict[str, tuple[str, str]]]:
    """What the steps say in each state, from a reading that is open to a sheet that is printed and changed again."""
    text = path.read_text(encoding="utf-8")
    bare = text.partition("decals:\n")[0]
    found = {"checked": seen(client)}
    for name, other in (
        ("open reading", text.replace(*OPEN, 1)),
        ("an error", text.replace(*TOO_WIDE, 1)),
        ("a mistake", text.replace("height: 5 mm", "height: five", 1)),
        ("no decal", bare),
    ):
        assert other != text
        written(client, path, other)
        found[name] = seen(client)
    written(client, path, text)
    made(client, "proof")
    found["proof made"] = seen(client)
    passed(client, path, x="97", y="97")
    found["refused"] = seen(client)
    passed(client, path)
    found["passed"] = seen(client)
    made(client, "print_film")
    found["printed"] = seen(client)
    change(client, ["decals", "band", "height"], "5 mm", "4 mm")
    found["changed"] = seen(client)
    return found


@pytest.fixture(scope="module")
def states(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, tuple[str, str]]]:
    folder = tmp_path_factory.mktemp("openings")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DECALGEN_DATA", str(folder / "data"))
        path = tug(folder)
        with bench(path) as client:
            return walked(client, path)


@pytest.mark.parametrize("key", STEPS)
def test_where_the_card_says_otherwise_the_opening_does_too(
    states: dict[str, dict[str, tuple[str, str]]], key: str
) -> None:
    """What the card tells apart is told apart on the screen; each is a sentence."""
    rows = {name: found[key] for name, found in states.items()}
    for name, (_, opening) in rows.items():
        assert not opening[0].islower() and opening.endswith("."), (name, opening)
    same = [
        (one, other, rows[one])
        for one in rows
        for other in rows
        if rows[one][0] != rows[other][0] and rows[one][1] == rows[other][1]
    ]
    assert not same


@pytest.mark.parametrize(
    ("state", "says"),
    [
        ("checked", {"check": "nothing to correct", "proof": "No proof is made yet: Print waits for it."}),
        ("open reading", dict.fromkeys(PRINTING, "1 reading")),
        (
            "an error",
            {
                "check": "Proof and Print wait until the error is corrected.",
                "proof": "and Print waits",
                "print_film": "Check",
            },
        ),
        ("a mistake", dict.fromkeys(PRINTING, "1 mistake in the file")),
        (
            "no decal",
            {
                "draw": "then add a decal",
                "check": "Proof and Print wait",
                "proof": "a decal, and Print waits",
                "print_film": "a decal",
            },
        ),
        ("proof made", {"proof": "not measured yet: Print waits", "print_film": "It waits for Proof."}),
        ("refused", {"proof": "was refused: Print waits until it passes", "print_film": "It waits for Proof."}),
        ("passed", {"proof": "passed: Print is open", "print_film": "the sheet for film is not made yet"}),
        ("printed", {"proof": "passed: Print is open", "print_film": "The sheet is made"}),
        ("changed", {"proof": "no longer holds: make it again. Print waits", "print_film": "It waits for a new proof"}),
    ],
)
def test_the_openings_of_check_proof_and_print_say_what_is_held_up(
    states: dict[str, dict[str, tuple[str, str]]], state: str, says: dict[str, str]
) -> None:
    for key, words in says.items():
        assert words.lower() in states[state][key][1].lower(), (key, states[state][key])


def test_each_state_was_come_to(states: dict[str, dict[str, tuple[str, str]]]) -> None:
    """The card itself tells the states of the proof apart, so that none was taken for another."""
    words = {key: {state: found[key][0] for state, found in states.items()} for key in STEPS}
    assert words["proof"]["refused"] == "refused" and words["proof"]["passed"] == "passed"
    assert words["print_film"]["printed"] == "made" and words["print_film"]["passed"] == "ready to make"
    assert len(set(words["proof"].values())) >= 8
