"""Steps of every kind that the page has, in any order: taken back they return the very bytes, and done again too."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from decalgen.artwork.build import hands
from decalgen.bench.desk import Desk
from decalgen.bench.page_state import do
from decalgen.bench.remedies import remedies
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError

JOB = """# A tug for the harbour. Invented.
job: tug
scale: "1:76"
body: hull
film: white   # cut along the edge

values: {gap: 0.4 mm, band ink: teal, word: TUG}
inks:
  teal: {colour: "#1f7f86"}
  # for the word
  oat: {colour: '#eadfbd'}
paints:
  hull: "#1d2b4a"

panels:
  door:                      # by the sill
    width: 22.40 mm ± 0.05
    height: 11.60 mm ± 0.05
    obstacles:
      handle: {rectangle: [3.0 mm, 0.8 mm], at: [16.5 mm, 8.2 mm], clearance: 0.3 mm}

  lid:
    width: 18 mm ± 0.05
    height: 9 mm ± 0.05


decals:
  # The band ends before the gap.
  band:
    panel: door
    hands: both
    at: bottom + 0.8 mm
    width: panel.width - 2 * gap
    height: 2 mm
    artwork:
      - field: {ink: <band ink>}
      - field: {ink: oat, height: 0.5 mm, at: bottom}
  star:
    panel: lid
    width: 3 mm
    height: 3 mm
    artwork: [{field: {ink: oat}}, {star: {ink: <band ink>, diameter: 2.6 mm}}]
  sill:
    layout: cross-panel
    panel: lid
    at: {anchor: bottom, offset: [1 mm, 0.5 mm]}

variants:
  pilot:
    values: {band ink: oat}
"""
MANY = 170
KINDS = (
    "set", "add", "remove", "reading", "move", "move in a variant", "add decal", "delete", "copy", "order", "add shape",
    "order shape", "delete shape", "rename", "panel", "obstacle", "remove panel", "too high", "remedy",
    "into a variant", "line",
)  # fmt: skip


def texts(value: object, at: tuple[str | int, ...] = ()) -> list[tuple[tuple[str | int, ...], str]]:
    if isinstance(value, dict):
        return [found for key, one in value.items() for found in texts(one, (*at, key))]
    if isinstance(value, list):
        return [found for n, one in enumerate(value) for found in texts(one, (*at, n))]
    return [(at, value)] if isinstance(value, str) else []


class Hand:
    """Someone at the page who does anything at all, by a fixed seed."""

    def __init__(self, place: Workplace, seed: int) -> None:
        self.place, self.rng = place, random.Random(seed)

    def step(self, kind: str) -> None:
        """Does something of a kind. Raises DecalgenError where the page refuses it, LookupError where there is nothing
        to do it with."""
        if kind == "rename":
            self._rename()
        elif kind in ("set", "too high", "add", "remove", "reading", "into a variant", "line"):
            self._value(kind)
        elif kind in ("panel", "obstacle", "remove panel"):
            self._panel(kind)
        else:
            self._decal(kind)

    def _own(self) -> list[str]:
        """The decals that have shapes of their own, and the first of the others."""
        whole = self.place.desk.values["decals"]
        other = [name for name, group in whole.items() if "layout" in group]
        return [name for name in whole if name not in other[1:]]

    def _edit(self, do_: str, at: Any, was: Any, to: str) -> None:
        edit = {"do": do_, "at": list(at), "was": was, "to": to}
        self.place.change({"base": self.place.desk.version, "label": "value", "edits": [edit]})

    def _value(self, kind: str) -> None:
        rng, whole = self.rng, self.place.desk.values
        at, was = rng.choice([one for one in texts(whole) if one[0][0] in ("panels", "decals", "values")])
        decal = rng.choice(self._own())
        if kind == "set":
            self._edit(
                "set", at, was, rng.choice([f"{rng.randrange(50, 300) / 100} mm", "oat", "TUG, no. 7", "2 * gap"])
            )
        elif kind == "too high":
            # For the ways out of that.
            self._edit("set", ("decals", decal, "height"), whole["decals"][decal].get("height"), "30 mm")
        elif kind == "add":
            key, to = rng.choice(
                [("spares", "2"), ("margin", "0.5 mm"), ("note", "a: b # c"), ("cut", "round"), ("turn", "no")]
            )
            self._edit("set", ("decals", decal, key), whole["decals"][decal].get(key), to)
        elif kind == "remove":
            extra = [
                one
                for one in texts(whole["decals"], ("decals",))
                if one[0][-1] in ("spares", "margin", "note", "cut", "turn")
            ]
            at, was = rng.choice(extra)
            self._edit("remove", at, was, "")
        elif kind == "into a variant":
            self._edit("set", ("variants", "pilot", "decals", decal, "spares"), None, "3")
        elif kind == "line":
            lines = self.place.desk.text.splitlines()
            number = rng.randrange(len(lines))
            self.place.desk.mend(number + 1, lines[number], lines[number] + "  # seen")
        else:
            panel = rng.choice(list(whole["panels"]))
            key = rng.choice([key for key in whole["panels"][panel] if key in ("width", "height")])
            to = f"{rng.randrange(1500, 2600) / 100} mm u 0.05 mm"
            self._edit("reading", ("panels", panel, key), whole["panels"][panel][key], to)

    def _panel(self, kind: str) -> None:
        panel = self.rng.choice(list(self.place.desk.values["panels"]))
        if kind == "panel" and len(self.place.desk.values["panels"]) < 5:
            self._do("measure", "add_panel", name=f"panel {self.rng.randrange(9)}", kind="flat", way="")
        elif kind == "obstacle" and len(self.place.desk.values["panels"][panel].get("obstacles") or {}) < 4:
            self._do("measure", "add_obstacle", panel=panel, name=f"rivet {self.rng.randrange(9)}", kind="rectangle")
        else:
            self._do("measure", "remove", at=["panels", panel], with_decals=False)

    def _rename(self) -> None:
        whole, rng = self.place.desk.values, self.rng
        what = rng.choice(["panel", "decal", "ink", "paint", "value", "variant"])
        key = f"{what}s"
        self._do(
            "draw", "rename", what=what, name=rng.choice(list(whole.get(key) or {})), to=f"name {rng.randrange(99)}"
        )

    def _decal(self, kind: str) -> None:
        rng, whole = self.rng, self.place.desk.values
        decal, panel = rng.choice(self._own()), rng.choice(list(whole["panels"]))
        number, step = rng.randrange(2), rng.choice([-1, 1])
        if kind.startswith("move"):
            far = {
                "dx": rng.randrange(-50, 50) / 100,
                "dy": rng.choice([0, 0.2]),
                "hand": rng.choice(["left", "right"]),
            }
            anchor = {"across": rng.choice(["", "", "centre", "left"]), "up": ""}
            names = [decal, *rng.sample(list(whole["decals"]), 1)]
            view = {"variant": "pilot"} if kind == "move in a variant" else {}
            self._do(
                "draw", "move", decals=names, view=view, was={decal: whole["decals"][decal].get("at")}, **far, **anchor
            )
        elif kind == "remedy":
            job, drawn = self.place.desk.job, self.place.drawings
            assert job is not None
            sides = [(one, hand) for one in job.decals for hand in hands(one)]
            rng.shuffle(sides)
            found = (
                (one, hand, way) for one, hand in sides for way in remedies(job, one, hand, drawn.parts) if one.artwork
            )
            try:
                one, hand, way = next(found)
            except StopIteration:
                raise LookupError("all fit") from None
            self._do("draw", "remedy", decal=one.name, hand=hand or "", label=way.label)
        elif len(whole["decals"]) > {"copy": 4, "add decal": 5}.get(kind, 99):
            raise LookupError("many are there")
        elif kind == "delete" and len(whole["decals"]) < 5:
            raise LookupError("few are left")
        elif kind == "add decal":
            self._do(
                "draw",
                "add_decal",
                panel=panel,
                **rng.choice([{"layout": "cross-panel"}, {"shape": "star"}, {"shape": "field"}]),
            )
        else:
            act = {
                "delete": "delete_decal",
                "copy": "copy_decal",
                "order": "order_decal",
            }.get(kind, kind.replace(" ", "_"))
            self._do("draw", act, decal=decal, number=number, step=step, shape=rng.choice(["star", "field", "roundel"]))

    def _do(self, screen: str, act: str, **asked: Any) -> None:
        do(self.place, screen, act, asked)


@pytest.mark.parametrize(("end", "mark", "seed"), [("\n", "", 1), ("\r\n", "\ufeff", 2)])
def test_steps_of_every_kind_taken_back_return_the_same_bytes(tmp_path: Path, end: str, mark: str, seed: int) -> None:
    path = tmp_path / "tug.yaml"
    first = (mark + JOB.replace("\n", end)).encode("utf-8")
    path.write_bytes(first)
    place = Workplace(Desk(path))
    desk, hand = place.desk, Hand(place, seed)
    made: Counter[str] = Counter()
    seen = [desk.text]
    for turn in range(2000):
        if sum(made.values()) == MANY:
            break
        # Each kind in turn, so that none is left out.
        kind = KINDS[turn % len(KINDS)]
        before, steps = desk.text, len(desk.history.done)
        try:
            hand.step(kind)
        except (DecalgenError, LookupError):
            assert desk.text == before and len(desk.history.done) == steps
            continue
        if desk.text == before:
            continue
        made[kind] += 1
        assert not desk.problems
        seen.append(desk.text)
        if hand.rng.random() < 0.15:
            desk.undo()
            assert desk.text == before
            desk.redo()
            assert desk.text == seen[-1]
        if hand.rng.random() < 0.05:
            desk.undo()
            seen.pop()
    assert sum(made.values()) == MANY and set(made) == set(KINDS), sorted(set(KINDS) - set(made))
    steps = list(seen)
    while desk.history.done:
        assert desk.text == steps.pop()
        desk.undo()
    assert desk.text.encode("utf-8") == first and len(steps) == 1
    desk.keep()
    assert path.read_bytes() == first
    for text in seen[1:]:
        desk.redo()
        assert desk.text == text
