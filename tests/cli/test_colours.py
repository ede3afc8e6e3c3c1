"""`decalgen colours`: every name there is, once, as a list and as a chart on white and over the body of a job."""

from __future__ import annotations

import re
from pathlib import Path
from unicodedata import normalize

import pytest
from coloraide import Color

from decalgen.colour.inks import WHITE_INK
from decalgen.colour.model import FLOOR, surface
from decalgen.colour.names import NAMED
from decalgen.colour.palette import PALETTE
from decalgen.colour.typed import parse
from decalgen.commands.colours import css_names, show_colours
from decalgen.export import render
from decalgen.pages.colour_chart import ChartBody, ChartColour, colour_chart
from tests.cli.test_new import run
from tests.helpers.commands import Run
from tests.helpers.page_words import outside, overlaps, words_of

__all__ = ["run"]
ROW = re.compile(r"(\S[\w' -]*?) +(#[0-9a-f]{6})(?=\s|$)")
JOB = """job: tug
body: {body}
inks:
  white: {{kind: white}}
  signal: "#c8501b"
panels: {{door: {{width: 22.4 mm, height: 11.6 mm}}}}
"""


def listed(text: str) -> dict[str, str]:
    return dict(found.groups() for line in text.split("\n") for found in ROW.finditer(line))


def test_every_name_is_listed_with_its_code_and_means_that_colour(run: Run):
    said = run("colours")
    *lines, summary = said.out.rstrip("\n").split("\n")
    assert said.code == 0 and max(len(line) for line in lines) <= 80 and "\x1b" not in said.out
    found = listed("\n".join(lines))
    assert found == {**PALETTE, **{name: NAMED[name] for name in css_names()}}
    assert summary.startswith(f"listed {len(found)} colours")
    for name, code in found.items():
        assert parse(name).hex == code


def test_of_css_every_colour_has_one_name_and_each_name_is_one_of_css():
    # Judged by coloraide, which has the names of CSS Color Module Level 4 of its own.
    names = css_names()
    assert {Color(name).convert("srgb").to_string(hex=True, comma=False) for name in names} and len(names) == 139
    assert len({NAMED[name] for name in names}) == len(names) == len({*NAMED.values()})
    assert not [name for name in names if "gray" in name]


def test_with_a_job_its_own_colours_come_first(run: Run):
    Path("tug.yaml").write_text(JOB.format(body="night sea"), encoding="utf-8")
    said = run("colours", "tug.yaml")
    assert said.code == 0 and said.out.startswith("Paints of tug:\n  night sea #1d2b4a\n\nInks of tug:\n")
    assert "signal #c8501b" in said.out


@pytest.mark.parametrize(("body", "light"), [("white", True), ("night sea", False), ("rust", False), ("black", False)])
def test_on_clear_film_the_body_shows_through(run: Run, body: str, light: bool, monkeypatch: pytest.MonkeyPatch):
    """Ink is a stain: over any body it is no lighter than on white, and no lighter than the body."""
    seen: list[ChartColour] = []

    def keep(groups: list[tuple[str, list[ChartColour]]], on: ChartBody, title: str, one_page: bool) -> object:
        seen.extend(one for _, colours in groups for one in colours)
        assert on.name == body
        return colour_chart(groups, on, title, one_page)

    monkeypatch.setattr("decalgen.commands.colours.colour_chart", keep)
    Path("tug.yaml").write_text(JOB.format(body=body), encoding="utf-8")
    assert show_colours(Path("tug.yaml"), Path("chart.svg")).files
    over = [one for one in seen if one.over is not None and one.code != WHITE_INK.hex]
    assert len(over) > 160
    # Light that the surface of the film itself sends back is seen over a body that is darker than that.
    ground = max(Color(parse(body).hex).luminance(), surface(FLOOR))
    for one in over:
        shown, white = Color(one.over).luminance(), Color(one.on_white).luminance()
        assert shown <= white + 0.01 and shown <= ground + 0.01, one
    yellow = next(one for one in over if one.name == "lemon peel")
    assert (Color(yellow.over).delta_e(Color(yellow.on_white), method="2000") < 5) == light


@pytest.mark.parametrize("one_page", [True, False])
def test_no_word_of_the_chart_lies_on_another_or_off_the_page(run: Run, one_page: bool):
    Path("tug.yaml").write_text(JOB.format(body="night sea"), encoding="utf-8")
    name = "chart.png" if one_page else "chart.pdf"
    said = run("colours", "tug.yaml", "-o", name)
    assert said.code == 0 and Path(name).stat().st_size > 20_000
    colours = [ChartColour(name, NAMED[name], NAMED[name], NAMED[name]) for name in css_names()]
    chart = colour_chart([("Names", colours)], ChartBody("night sea", "#1d2b4a"), "Colours", one_page)
    found = words_of(chart)
    assert not overlaps(found) and not outside(found, chart, 10.0)
    assert (len(chart.pages) == 1) == one_page
    # Ligatures are read back as the letters they stand for; that of ff has no sign.
    there = {normalize("NFKC", words.plain.replace("\N{REPLACEMENT CHARACTER}", "ff")) for words in found}
    assert {*css_names(), *(one.code for one in colours)} <= there
    assert render(chart, name) == render(chart, name)


def test_a_job_that_cannot_be_read_is_told(run: Run):
    said = run("colours", "none.yaml")
    assert said.code == 3 and "there is no file" in said.err
    said = run("colours", "-o", "chart.txt")
    assert said.code == 1 and "nothing is written as '.txt' files" in said.err
