"""All that a shape could say, filled in on the page: every key of every shape, read or refused as the reader of job
files does it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import do, page_state
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError
from decalgen.core.keys import Block, Spec, specs
from decalgen.core.pixels.example import example_png
from decalgen.job.edits import EditError, values
from decalgen.job.elements import Placing
from decalgen.job.examples import example
from decalgen.job.key_words import as_written, group
from decalgen.job.loader import job_as_written
from decalgen.job.written import YamlValue, in_brackets
from decalgen.shapes.drawing import EXAMPLE
from decalgen.shapes.registry import load

JOB = """job: tug
body: navy
panels:
  door:
    width: 40 mm
    height: 30 mm
decals:
  band:
    panel: door
    width: 30 mm
    height: 20 mm
    artwork:
      - {shape}: {body}
"""
KEYS = [(name, spec) for name, cls in load().items() for spec in (*specs(cls), *specs(Placing))]
PLAIN = [(name, spec) for name, spec in KEYS if not isinstance(spec.kind, Block)]
PARTS = [(name, spec, one) for name, spec in KEYS if isinstance(spec.kind, Block) for one in specs(spec.kind.of)]


def place_of(folder: Path, shape: str, body: YamlValue | None = None) -> Workplace:
    cls = load()[shape]
    own = group(cls, cls.example) if body is None else body
    path = folder / "tug.yaml"
    (folder / "crest.svg").write_text(EXAMPLE, encoding="utf-8")
    (folder / "emblem.png").write_bytes(example_png())
    path.write_text(JOB.format(shape=shape, body=in_brackets(own)), encoding="utf-8")
    place = Workplace(Desk(path))
    assert place.desk.job is not None
    return place


def rows_of(place: Workplace) -> dict[str, Any]:
    """The first shape, with all that it may say, once that is asked for."""
    short: dict[str, Any] = page_state(place, "draw", {"decal": "band"})["screen"]["shapes"][0]
    assert short["more"] and short["all"] == []
    says = " ".join(map(str, short["at"]))
    found: dict[str, Any] = page_state(place, "draw", {"decal": "band", "says": f"\n{says}"})["screen"]["shapes"][0]
    return found


def say(place: Workplace, **typed: str) -> None:
    row = rows_of(place)
    every = {one["label"]: one for one in row["all"]}
    wanted = [{"at": every[key]["at"], "to": to, "was": every[key]["raw"]} for key, to in typed.items()]
    do(place, "draw", "say", {"at": row["at"], "keys": wanted})


def body_of(place: Workplace) -> dict[str, Any]:
    ((_, body),) = values(place.desk.text)["decals"]["band"]["artwork"][0].items()
    return dict(body)


def typed_of(spec: Spec, shape: str) -> str:
    given = load()[shape].example.get(spec.name)
    value = as_written(spec.kind, given) if given is not None else example(spec.kind)
    return value if isinstance(value, str) else in_brackets(value)


def judged(place: Workplace, text: str) -> str:
    """What the reader of job files says of a text: '' or its first message."""
    try:
        job_as_written(text, place.desk.path)
    except DecalgenError as error:
        return getattr(error, "problems", (error,))[0].message
    return ""


def tried(place: Workplace, label: str, key: tuple[str, ...], to: str, expected: dict[str, Any]) -> None:
    """Fills in one key; what comes of it is what the reader says of the file with it, written by hand."""
    text = place.desk.text
    ((shape, _),) = values(text)["decals"]["band"]["artwork"][0].items()
    by_hand = judged(place, JOB.format(shape=shape, body=in_brackets(expected)))
    try:
        say(place, **{label: to})
    except DecalgenError as error:
        assert by_hand and error.message == by_hand
        assert place.desk.text == text
    else:
        assert not by_hand and body_of(place) == expected, key


@pytest.mark.parametrize(("shape", "spec"), PLAIN, ids=[f"{name} {spec.key}" for name, spec in PLAIN])
def test_every_key_of_every_shape_can_be_filled_in(tmp_path: Path, shape: str, spec: Spec) -> None:
    place = place_of(tmp_path, shape)
    before = body_of(place)
    to = typed_of(spec, shape)
    row = next(one for one in rows_of(place)["all"] if one["label"] == spec.key)
    assert row["help"] and row["shown"] == (before[spec.key] if isinstance(before.get(spec.key), str) else row["shown"])
    if row["shown"] == to:
        to = "nonsense { of no kind"
    expected = before | {spec.key: values(f"value: {to}\n")["value"] if to[0] in "[{" else to}
    tried(place, spec.key, (spec.key,), to, expected)


@pytest.mark.parametrize(("shape", "spec", "one"), PARTS, ids=[f"{n} {a.key} {b.key}" for n, a, b in PARTS])
def test_every_key_of_a_group_can_be_filled_in(tmp_path: Path, shape: str, spec: Spec, one: Spec) -> None:
    place = place_of(tmp_path, shape)
    before = body_of(place)
    assert spec.key not in before
    value = example(one.kind)
    to = value if isinstance(value, str) else in_brackets(value)
    expected = before | {spec.key: {one.key: values(f"value: {to}\n")["value"] if to[0] in "[{" else to}}
    tried(place, f"{spec.key}: {one.key}", (spec.key, one.key), to, expected)


def test_several_keys_are_one_step_and_can_be_taken_back(tmp_path: Path) -> None:
    place = place_of(tmp_path, "lettering", {"text": "STORES", "ink": "black", "cap height": "3 mm"})
    before = place.desk.text
    say(place, **{"cap height": "", "match: cap height": "2.50 mm ± 0.05", "match: stem": "0.40 mm ± 0.05"})
    assert body_of(place) == {
        "text": "STORES",
        "ink": "black",
        "match": {"cap height": "2.50 mm ± 0.05", "stem": "0.40 mm ± 0.05"},
    }
    say(place, **{"outline: width": "0.3 mm", "outline: ink": "white"})
    assert body_of(place)["outline"] == {"width": "0.3 mm", "ink": "white"}
    say(place, **{"outline: width": "", "outline: ink": ""})
    assert "outline" not in body_of(place)
    for _ in range(3):
        assert place.desk.undo() == "lettering of band"
    assert place.desk.text == before


def test_half_a_group_is_refused_and_costs_nothing(tmp_path: Path) -> None:
    place = place_of(tmp_path, "lettering")
    before = place.desk.text
    with pytest.raises(DecalgenError, match="ink"):
        say(place, **{"outline: width": "0.3 mm"})
    assert place.desk.text == before


def test_what_an_editor_changed_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    place = place_of(tmp_path, "field", {"ink": "black", "height": "2 mm"})
    row = rows_of(place)
    asked = [{"at": [*row["at"], "height"], "to": "3 mm", "was": "1 mm"}]
    with pytest.raises(EditError, match="was changed meanwhile"):
        do(place, "draw", "say", {"at": row["at"], "keys": asked})


@pytest.mark.parametrize(
    ("at", "keys"),
    [
        (["panels", "door"], [{"at": ["panels", "door", "width"], "to": "1 mm"}]),
        (["decals", "band", "artwork", 0, "field"], [{"at": ["decals", "band", "width"], "to": "1 mm"}]),
        (["decals", "band", "artwork", 0, "field"], []),
        (["decals", "band", "artwork", 0, "field"], "x"),
        (5, []),
    ],
)
def test_only_keys_of_the_shape_are_taken(tmp_path: Path, at: object, keys: object) -> None:
    place = place_of(tmp_path, "field")
    with pytest.raises(EditError):
        do(place, "draw", "say", {"at": at, "keys": keys})


def test_brackets_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    with pytest.raises(DecalgenError):
        say(place_of(tmp_path, "checks"), inks="[white, ")


def sentence(tmp_path: Path, shape: str, body: dict[str, YamlValue]) -> str:
    """A shape in words."""
    row = rows_of(place_of(tmp_path, shape, body))
    shown = [one.get("words") or one["shown"] for one in row["blanks"]]
    return "".join(one if isinstance(one, str) else shown[one] for one in row["said"])


def test_a_shape_reads_as_a_sentence(tmp_path: Path) -> None:
    body: dict[str, YamlValue] = {"inks": ["white", "black"], "rows": "2", "columns": "12"}
    said = sentence(tmp_path, "checks", {**body, "height": "2.40 mm", "at": "top"})
    assert said == "Checks, 2 rows, 12 columns, 2.40 mm high, at top, in white and black."


def test_lettering_on_curves_reads_as_a_sentence(tmp_path: Path) -> None:
    word: dict[str, YamlValue] = {"text": "BAY", "cap height": "2 mm", "ink": "black"}
    said = sentence(tmp_path, "lettering", {**word, "bend": "fan", "arc": {"rise": "0.4 mm"}, "at": "top"})
    assert said == "Lettering, BAY, cap height 2 mm, arc: rise 0.4 mm, bend fan, at top, in black."
    points: list[YamlValue] = [["0 mm", "2 mm"], ["20 mm", "4 mm"]]
    said = sentence(tmp_path, "lettering", {**word, "along": {"points": points, "straights": ["1"]}})
    assert said == "Lettering, BAY, cap height 2 mm, along: 2 points, along: 1 straight, in black."


def test_each_key_says_its_unit_and_what_holds_without_it(tmp_path: Path) -> None:
    helps = {one["label"]: one["help"] for one in rows_of(place_of(tmp_path, "checks"))["all"]}
    assert helps["width"] == "Width (a length, mm). If left out: the whole width of the box."
    assert helps["slant"] == "How far the columns lean to the right, degrees (an angle, °). If left out: 0°."
    assert helps["inks"].endswith("(a list of inks). It must be given.")
    assert helps["rows"] == "How many rows (a whole number)."
    assert "centre" in helps["at"]
