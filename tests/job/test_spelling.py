"""colour and color, centre and center, grey and gray: keys, values and names, in every kind of file."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.colour.typed import parse
from decalgen.core.names import british
from decalgen.job.films import load_film, load_printer
from decalgen.job.loader import load_job

from .conftest import HEAD, PANEL

JOB = (
    "job: test\nbody: light grey\n"
    + PANEL
    + """\
paints:
  light grey: {colour: dark grey}
inks:
  grey ink: {colour: "#808080"}
decals:
  one:
    panel: door
    at: centre
    width: 9 mm
    height: 9 mm
    artwork:
      - field: {ink: grey ink}
      - cross: {ink: white, arm width: 1 mm, centre x: 4 mm, at: centre}
      - lettering: {text: COLOR CENTER, cap height: 1 mm, ink: white, align: centre}
  two:
    panel: door
    at: {anchor: centre, offset: [1 mm, 0 mm]}
    width: 5 mm
    height: 5 mm
    artwork: [chevrons: {inks: [grey ink, white], stripe width: 1 mm, count: 1, centred: yes}]
variants:
  other: {paints: {light grey: {colour: slate grey}}}
"""
)


def american(text: str) -> str:
    words = {"colour": "color", "centred": "centered", "centre": "center", "grey": "gray"}
    for plain, other in words.items():
        text = text.replace(plain, other)
    return text


def drawn(job):
    return [[(one.shape, one.at) for one in decal.artwork] for decal in job.decals], [decal.at for decal in job.decals]


@pytest.mark.parametrize("variant", [None, "other"])
def test_a_job_in_the_other_spelling_is_the_same(load, variant):
    there, here = load(american(JOB), variant), load(JOB, variant)
    assert british(str(drawn(there))) == british(str(drawn(here)))
    assert [paint.colour for paint in there.paints] == [paint.colour for paint in here.paints]
    # Lettering is what is typed, whatever its spelling.
    assert "COLOR CENTER" in str(drawn(there))


def test_names_may_be_used_in_the_other_spelling(load):
    job = load(JOB.replace("ink: grey ink", "ink: gray ink").replace("body: light grey", "body: light gray"))
    assert (job.decals[0].artwork[0].shape.ink, job.body) == ("grey ink", "light grey")


def test_a_variant_in_one_spelling_changes_a_job_in_the_other(load):
    job = load(JOB.replace("paints: {light grey: {colour: slate grey}}", "paints: {light grey: {color: red}}"), "other")
    assert [paint.colour for paint in job.paints] == ["#ff0000"]
    job = load(JOB.replace("paints: {light grey: {colour: slate grey}}", "paints: {light gray: {color: red}}"), "other")
    assert [paint.colour for paint in job.paints] == ["#ff0000"]


def test_messages_use_the_one_spelling(mistakes):
    (problem,) = mistakes(HEAD + "inks: {red: {color: no such}}\n")
    assert "is not a colour" in problem.message
    (problem,) = mistakes(HEAD + "inks: {red: {color: red, colour: blue}}\n")
    assert "'color' is not known here" in problem.message and "colour" in problem.fix


@pytest.mark.parametrize("words", ["gray", "light gray", "LightGray", "dark slate gray", "dim grey"])
def test_colours_by_name_in_both_spellings_and_as_two_words(words):
    assert parse(words) == parse(british(words.lower()).replace(" ", ""))


def test_film_and_printer_files(folder):
    Path("f.yaml").write_text("film: x\nkind: white\nprocess: inkjet\nsheet: A5\ncolor: gray\n", encoding="utf-8")
    assert load_film(Path("f.yaml")).colour == "#808080"
    Path("p.yaml").write_text("printer: x\ncolor: {opacity: 0.6, darkest: gray}\n", encoding="utf-8")
    found = load_printer(Path("p.yaml"))
    assert found.swatches is not None and found.swatches.opacity == 0.6


def test_layouts_take_values_in_both_spellings(load):
    text = HEAD + PANEL + "decals:\n  a: {layout: door-band, panel: door, at: center}\n"
    assert load(text).decals == load(text.replace("center", "centre")).decals


def test_the_file_itself_is_never_changed(load, folder):
    load(american(JOB))
    assert load_job("job.yaml").texts[0][1] == american(JOB)
