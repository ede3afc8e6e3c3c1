"""Includes and variants: merged key by key, every value at its own place."""

from __future__ import annotations

import pytest

from .conftest import HEAD, PANEL

INKS = 'inks:\n  red: {colour: "#c8102e"}\n  blue: {colour: "#1f5fa8"}\n'


def test_the_including_file_wins(load):
    job = load(
        'job: x\nbody: white\nfilm: white\ninclude: [a.yaml, b.yaml]\ninks: {red: {colour: "#ff0000"}}\n',
        a='film: clear\nseed: 1\ntitle: a\ninks: {red: {colour: "#100000", kind: spot}, blue: "#0000ff"}\n',
        b='film: clear\ntitle: b\ninks: {green: "#00ff00"}\n',
    )
    # The job over b, b over a; within a group key by key.
    assert (job.film, job.title, job.seed) == ("white", "b", 1)
    assert (job.ink("red").colour, job.ink("red").kind) == ("#ff0000", "spot")
    assert (job.ink("blue").colour, job.ink("green").colour) == ("#0000ff", "#00ff00")


def test_includes_include(load, folder):
    (folder / "parts").mkdir()
    (folder / "parts" / "inks.yaml").write_text("include: more.yaml\n" + INKS, encoding="utf-8")
    (folder / "parts" / "more.yaml").write_text('inks: {green: "#00ff00"}\n', encoding="utf-8")
    job = load(HEAD + "include: parts/inks.yaml\n")
    assert (job.ink("red").colour, job.ink("green").colour) == ("#c8102e", "#00ff00")
    assert str(job.ink("green").place).replace("\\", "/") == "parts/more.yaml:1:8"


def test_a_mistake_is_shown_where_it_stands(mistakes):
    problems = mistakes(
        HEAD + "include: a.yaml\ninks: {red: {kind: spott}}\n", a="# inks\ninks:\n  red: {colour: '#c8102'}\n"
    )
    assert [(str(p.place), p.place.text.strip()) for p in problems] == [
        ("job.yaml:4:20", "inks: {red: {kind: spott}}"),
        ("a.yaml:3:17", "red: {colour: '#c8102'}"),
    ]


def test_mistakes_of_writing_in_an_included_file(mistakes):
    problems = mistakes(HEAD + "include: [a.yaml, b.yaml, c.yaml]\nfilm: x\n", a="- one\n", b="a: [\n", c="")
    assert [(str(p.place), p.message) for p in problems] == [
        ("job.yaml:4:7", "'x' is not one of clear, white"),
        ("a.yaml:1:1", "this needs keys"),
        ("b.yaml:1:4", "this bracket is never closed"),
        ("b.yaml:1:1", "'a' is not known here"),
        ("c.yaml:1:1", "the file is empty"),
    ]


def test_a_missing_include_names_the_nearest(mistakes):
    (problem,) = mistakes(HEAD + "include:\n  - paint.yaml\n", paints="film: white\n")
    assert (str(problem.place), problem.message) == ("job.yaml:4:5", "there is no file paint.yaml")
    assert problem.fix == "did you mean 'paints.yaml'?"


JOB = (
    HEAD
    + PANEL
    + INKS
    + """\
values: {accent: red, word: ONE}
decals:
  band:
    panel: door
    height: 3 mm
    artwork:
      - field: {ink: <accent>}
  badge:
    panel: door
    artwork: [field: {ink: blue}]
variants:
  second:
    title: Second
    values: {accent: blue}
    decals:
      band: {height: 4 mm}
      badge: null
      extra: {panel: door, artwork: [field: {ink: white}]}
  third:
    decals: {band: {artwork: [field: {ink: white}, field: {ink: black}], height: ~}}
"""
)


def test_without_a_variant_the_variants_change_nothing(load):
    job = load(JOB)
    assert (job.variant, job.variants) == (None, ("second", "third"))
    assert [decal.name for decal in job.decals] == ["band", "badge"]
    assert job.decals[0].artwork[0].shape.ink == "red"


def test_a_variant_lies_over_the_job(load):
    job = load(JOB, "second")
    assert (job.variant, job.title, job.variants) == ("second", "Second", ("second", "third"))
    assert [decal.name for decal in job.decals] == ["band", "extra"]
    band = job.decals[0]
    assert (band.height.value, band.artwork[0].shape.ink) == (4.0, "blue")


def test_a_list_is_replaced_as_a_whole_and_null_takes_away(load):
    (band, _) = load(JOB, "third").decals
    assert [element.shape.ink for element in band.artwork] == ["white", "black"]
    assert band.height.value == 11.6


def test_an_unknown_variant(mistakes):
    (problem,) = mistakes(JOB, "secnod")
    assert (problem.message, problem.fix) == (
        "there is no variant 'secnod' in 'job.yaml'",
        "did you mean 'second'?",
    )
    (problem,) = mistakes(HEAD, "second")
    assert problem.fix == "add it under 'variants:'"


@pytest.mark.parametrize(
    ("change", "place", "message", "fix"),
    [
        ("decals: {bagde: null}", 19, "there is no 'bagde' here to remove", "did you mean 'badge'?"),
        ("decals: {band: {heigth: 4 mm}}", 26, "'heigth' is not known here", "did you mean 'height'?"),
        ("titel: Second", 10, "'titel' is not known here", "did you mean 'title'?"),
        ("include: a.yaml", 10, "'include' is not known here", None),
        ("variants: {}", 10, "'variants' is not known here", None),
    ],
)
def test_mistakes_in_a_variant(mistakes, change, place, message, fix):
    problems = mistakes(JOB + f"  last: {{{change}}}\n", "last")
    (problem,) = problems
    assert (problem.message, problem.place.column) == (message, place)
    assert fix is None or problem.fix == fix


def test_a_variant_in_an_included_file(load):
    job = load(HEAD + "include: a.yaml\n", "night", a="variants: {night: {film: white}}\n")
    assert job.film == "white"
