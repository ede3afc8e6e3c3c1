"""A whole job, from its text to the frozen value."""

from __future__ import annotations

import dataclasses
import hashlib
import math

import pytest

from decalgen.core.lengths import Quantity
from decalgen.job.loader import load_job
from decalgen.job.model import Cut, InkSpec
from decalgen.shapes.base import At, Element
from decalgen.shapes.checks import Checks
from decalgen.shapes.field import Field

from .conftest import HEAD, PANEL

# The invented harbour pick-up.
GANNET = """\
job: gannet
title: Harbour pick-up, stores livery
scale: "1:43"
date: 2026-03-14
body: navy
paints: {navy: "#1d2b4a"}
inks:
  white: {kind: white}
  lifebuoy orange: {colour: "#e8641b"}
panels:
  door:
    width: 22.40 mm ± 0.05
    height: 11.60 mm ± 0.05
    obstacles:
      handle: {rectangle: [3.0 mm, 0.8 mm], at: [16.5 mm, 8.2 mm], clearance: 0.3 mm}
  bonnet: {chord: 24.20 mm ± 0.05, rise: 1.10 mm ± 0.10, length: 19.50 mm}
decals:
  door band:
    panel: door
    hands: both
    at: {anchor: bottom, offset: [0 mm, 1.2 mm]}
    width: panel.width - 2 * 1.0 mm
    height: 5.0 mm
    artwork:
      - checks: {rows: 2, columns: 12, height: 2.4 mm, at: top, inks: [white, lifebuoy orange]}
      - field: {height: 2.6 mm, at: bottom, ink: lifebuoy orange}
      - lettering: {text: HARBOUR STORES, cap height: 1.6 mm, at: bottom + 0.5 mm, ink: white}
    copies: 1
    spares: 1
"""
A = 0.05 / math.sqrt(3)  # JCGM 100:2008, 4.3.7


def test_the_head_paints_and_inks(load):
    job = load(GANNET)
    assert (job.name, job.title, job.scale, job.date) == (
        "gannet", "Harbour pick-up, stores livery", "1:43", "2026-03-14",
    )  # fmt: skip
    assert (job.film, job.seed, job.variant, job.variants, job.file) == ("clear", 0, None, (), "job.yaml")
    assert (job.body, job.paint("navy").colour, job.paint("navy").finish) == ("navy", "#1d2b4a", "gloss")
    assert [(ink.name, ink.kind, ink.colour) for ink in job.inks] == [
        ("white", "white", "#ffffff"),
        ("lifebuoy orange", "process", "#e8641b"),
        ("black", "process", "#000000"),
    ]


def test_the_panels_as_measured(load):
    door, bonnet = load(GANNET).panels
    assert (door.width.value, door.height.value, door.kind) == (22.4, 11.6, "flat")
    assert door.width.parts == (("door.width", pytest.approx(A)),)
    (handle,) = door.obstacles
    assert (handle.name, handle.clearance, handle.gap) == ("handle", 0.3, False)
    assert handle.outline.polygon.bounds == pytest.approx((16.5, 8.2, 19.5, 9.0))
    assert str(handle.place) == "job.yaml:15:7"
    # Developed width of an arc, s = 2R·asin(c/2R): handbook formula; 24.333 mm with u = 0.032 mm by hand.
    assert bonnet.width.value == pytest.approx(24.333, abs=5e-4)
    assert bonnet.width.u == pytest.approx(0.032, abs=5e-4)
    assert {name for name, _ in bonnet.width.parts} == {"bonnet.chord", "bonnet.rise"}


@pytest.mark.parametrize(
    ("degrees", "rise", "chord", "arc"),
    [(60, 0.1340, 1.0000, 1.0472), (90, 0.2929, 1.4142, 1.5708), (120, 0.5, 1.7321, 2.0944)],
)
def test_circular_segments_of_the_handbook(load, degrees, rise, chord, arc):
    # Table of circular segments for r = 1 (any engineer's handbook), four decimals; here r = 10 mm.
    del degrees
    job = load(f"{HEAD}panels: {{roof: {{chord: {10 * chord} mm, rise: {10 * rise} mm, length: 5 mm}}}}\n")
    assert job.panels[0].width.value == pytest.approx(10 * arc, abs=2e-3)


def test_the_decal_and_its_artwork(load):
    (decal,) = load(GANNET).decals
    assert (decal.name, decal.panel, decal.hands, decal.copies, decal.spares) == ("door band", "door", "both", 1, 1)
    assert decal.width == Quantity(pytest.approx(20.4), 1, (("door.width", pytest.approx(A)),))
    assert decal.height == Quantity(5.0)
    assert decal.at == At("bottom", 0.0, 1.2)
    assert (decal.margin, decal.bleed, decal.film, decal.turn, decal.cut) == (None, None, None, True, Cut())
    checks, field, lettering = decal.artwork
    assert checks.shape == Checks(inks=("white", "lifebuoy orange"), rows=2, columns=12, height=2.4)
    assert (checks.at, str(checks.place)) == (At("top"), "job.yaml:25:9")
    assert field == Element(Field(ink="lifebuoy orange", height=2.6), At("bottom"), place=field.place)
    assert (lettering.shape.text, lettering.at, lettering.never_mirror) == (
        ("HARBOUR STORES",), At("bottom", 0.0, 0.5), False,
    )  # fmt: skip


def test_a_job_is_frozen_and_the_same_every_time(load):
    job = load(GANNET)
    assert job == load_job("job.yaml")
    with pytest.raises(dataclasses.FrozenInstanceError):
        job.name = "other"


def test_the_digest_is_that_of_the_texts(load):
    # Python's hashlib over the text, its length before it; a comment counts, the way lines end does not.
    data = GANNET.encode()
    assert load(GANNET).digest == hashlib.sha256(f"{len(data)}:".encode() + data).hexdigest()
    assert load(GANNET.replace("\n", "\r\n")).digest == load(GANNET).digest
    assert load(GANNET + "# a note\n").digest != load(GANNET).digest
    one = load(GANNET + "include: a.yaml\n", a="film: white\n").digest
    assert one != load(GANNET + "include: a.yaml\n", a="film: clear\n").digest


def test_the_smallest_job(load):
    job = load("job: x\nbody: '#808080'\n")
    assert (job.title, job.panels, job.decals) == ("x", (), ())
    assert job.paint(job.body).colour == "#808080"


def test_the_body_may_be_a_colour(load):
    assert load("job: x\nbody: navy\n").paint("navy").colour == "#000080"  # CSS navy
    assert load('job: x\nbody: navy\npaints: {navy: "#1d2b4a"}\n').paint("navy").colour == "#1d2b4a"


def test_a_job_without_a_name_or_body(mistakes):
    assert [(p.message, p.fix) for p in mistakes("title: x\n")] == [
        ("the job has no 'job'", "add job: ... (its short name; files are named after it)"),
        ("the job has no 'body'", "add body: ... (the paint of the body: one of 'paints', or a colour)"),
    ]


def test_inks(load, mistakes):
    job = load(
        HEAD + 'inks: {red: "#c8102e", gold: {kind: metallic, colour: gold}, white: {kind: white, colour: ivory}}\n'
    )
    assert job.inks == (
        InkSpec("red", "process", "#c8102e", job.ink("red").place),
        InkSpec("gold", "metallic", "#ffd700", job.ink("gold").place),
        InkSpec("white", "white", "#fffff0", job.ink("white").place),
        InkSpec("black", "process", "#000000"),
    )
    (problem,) = mistakes(HEAD + "inks: {red: {kind: spot}}\n")
    assert (str(problem.place), problem.message) == ("job.yaml:3:8", "the ink 'red' has no 'colour'")


def test_paints(load):
    job = load(HEAD + 'paints: {roof: {colour: "#102030", finish: matt}}\n')
    assert (job.paint("roof").colour, job.paint("roof").finish) == ("#102030", "matt")
    assert job.paint("white").colour == "#ffffff"


@pytest.mark.parametrize("key", ["paints", "inks", "values", "panels", "decals", "variants"])
def test_an_empty_group_is_no_mistake_and_a_list_is_one(load, mistakes, key):
    assert load(f"{HEAD}{key}:\n").name == "test"
    (problem,) = mistakes(f"{HEAD}{key}: [a]\n")
    assert problem.message == f"'{key}' is a list or a text; it needs names under it"


def decal_of(load, keys: str, more: str = ""):
    text = f"{HEAD}{PANEL}{more}decals:\n  a:\n    panel: door\n    artwork: [field: {{ink: white}}]\n"
    return load(text + "".join(f"    {line}\n" for line in keys.split("\n") if line)).decals[0]


def test_a_decal_is_as_large_as_its_panel_unless_told(load):
    decal = decal_of(load, "")
    assert (decal.width.value, decal.height.value) == (22.4, 11.6)
    assert decal.width.parts == (("door.width", pytest.approx(A)),)
    assert decal_of(load, "width: 5 mm").height.value == 11.6


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("cut: rectangle", Cut()),
        ("cut: round", Cut("round")),
        ("cut: artwork", Cut("artwork")),
        ("cut: {kind: panel}", Cut("panel")),
        ("cut: {corner radius: 0.6 mm}", Cut("rectangle", 0.6)),
        ("cut: {kind: rectangle, corner radius: decal.height / 4}", Cut("rectangle", 2.9)),
        (
            "cut: {points: [[0 mm, 0 mm], [decal.width, 0 mm], [0 mm, 9 mm]]}",
            Cut("outline", points=((0.0, 0.0), (22.4, 0.0), (0.0, 9.0))),
        ),
        (
            "cut: {kind: outline, points: [[0 mm, 0 mm], [9 mm, 0 mm], [0 mm, 9 mm]], corner radii: 0.5 mm}",
            Cut("outline", points=((0.0, 0.0), (9.0, 0.0), (0.0, 9.0)), radii=(0.5, 0.5, 0.5)),
        ),
    ],
)
def test_cut_lines(load, text, cut):
    assert decal_of(load, text).cut == cut


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("cut: oval", "'oval' is not one of rectangle, round, artwork, panel, outline"),
        ("cut: outline", "an outline needs its points"),
        ("cut: {kind: outline}", "points belong to an outline"),
        ("cut: {kind: round, points: [[0 mm, 0 mm], [9 mm, 0 mm], [0 mm, 9 mm]]}", "points belong to an outline"),
        ("cut: {points: [[0 mm, 0 mm], [9 mm, 0 mm]]}", "2 given, 3 to 200 needed"),
        (
            "cut: {points: [[0 mm, 0 mm], [9 mm, 0 mm], [0 mm, 9 mm]], corner radii: [1 mm, 2 mm]}",
            "2 corner radii for 3 points",
        ),
        ("margin: -1 mm", "-1 mm is out of range"),
        ("spares: -1", "-1 is out of range"),
        ("film: grey", "'grey' is not one of clear, white"),
    ],
)
def test_mistakes_in_a_decal(mistakes, text, message):
    problems = mistakes(
        f"{HEAD}{PANEL}decals:\n  a:\n    panel: door\n    artwork: [field: {{ink: white}}]\n    {text}\n"
    )
    assert [problem.message for problem in problems] == [message]


def test_the_other_keys_of_a_decal(load):
    decal = decal_of(load, "margin: 0.2 mm\nbleed: 0 mm\nfilm: white\ncopies: 0\nspares: 2\nturn: no\nnote: nose up")
    assert (decal.margin, decal.bleed, decal.film, decal.copies, decal.spares, decal.turn, decal.note) == (
        0.2, 0.0, "white", 0, 2, False, "nose up",
    )  # fmt: skip


def test_names_of_values_panels_and_decals(load):
    more = "values: {gap: 0.4 mm, half: panels.door.width / 2, word: STORES, ink: white}\n"
    decal = decal_of(
        load, "width: half - gap\nheight: panels.door.height - 2 * gap\nvalues: {rim: gap / 2}\nmargin: rim", more
    )
    assert decal.width.value == pytest.approx(10.8)
    assert decal.width.parts == (("door.width", pytest.approx(A / 2)),)
    assert decal.height.value == pytest.approx(10.8)
    assert decal.margin == pytest.approx(0.2)


def test_a_value_that_is_passed_on_under_its_own_name(load):
    decal = decal_of(load, "values: {gap: 2 * gap}\nmargin: gap", "values: {gap: 0.4 mm}\n")
    assert decal.margin == pytest.approx(0.8)


def test_artwork_knows_the_size_of_its_decal(load):
    text = f"{HEAD}{PANEL}decals:\n  a:\n    panel: door\n    width: 10 mm\n    artwork:\n"
    text += "      - field: {ink: white, width: decal.width / 4, height: decal.height - 1.6 mm,\n"
    text += "               at: left + decal.width / 10}\n"
    (element,) = load(text).decals[0].artwork
    assert (element.shape.width, element.shape.height, element.at) == (2.5, pytest.approx(10.0), At("left", 1.0, 0.0))


def test_one_shape_needs_no_list_and_never_mirror_is_kept(load):
    text = f"{HEAD}{PANEL}decals: {{a: {{panel: door, artwork: {{field: {{ink: white, never mirror: yes}}}}}}}}\n"
    (element,) = load(text).decals[0].artwork
    assert element.never_mirror is True


def test_a_value_may_be_a_list_of_inks(load):
    text = f"{HEAD}{PANEL}values: {{band: [white, black]}}\n"
    text += "decals: {a: {panel: door, artwork: [checks: {inks: <band>, rows: 2}]}}\n"
    assert load(text).decals[0].artwork[0].shape.inks == ("white", "black")


def test_the_measured_hand_of_a_panel(load):
    job = load(f"{HEAD}panels: {{door: {{width: 9 mm, height: 5 mm, hand: right, note: measured itself}}}}\n")
    assert job.panel("door").hand == "right"


def test_what_follows_from_a_wrong_panel_is_not_complained_of(mistakes):
    text = f"{HEAD}panels: {{door: {{width: 22,4 mm, height: 9 mm}}}}\n"
    text += "values: {half: panels.door.width / 2}\ndecals:\n"
    text += "  a: {panel: door, width: panel.width - 1 mm, height: half,\n"
    text += "      artwork: [field: {ink: white, width: decal.width}]}\n"
    assert [problem.message for problem in mistakes(text)] == ["there is a comma inside a number"]


def test_mistakes_in_the_artwork_are_found_even_when_the_panel_is_wrong(mistakes):
    text = f"{HEAD}{PANEL}decals: {{a: {{panel: dor, artwork: [field: {{ink: whit}}]}}}}\n"
    assert [problem.message for problem in mistakes(text)] == ["there is no panel 'dor'", "there is no ink 'whit'"]


@pytest.mark.parametrize(
    ("panel", "message", "fix"),
    [
        ("{}", "the panel has no readings", None),
        ("{width: 9 mm, hight: 5 mm}", "'hight' is not known here", "did you mean 'height'?"),
        ("{width: 9 mm, height: 5 mm, kind: flatt}", "there is no kind of panel 'flatt'", "did you mean 'flat'?"),
        ("{width: 9 mm, height: 5 mm, hand: both}", "'both' is not one of left, right", "use one of: left, right"),
        ("{width: 9 mm, height: 5 mm, obstacles: [a]}", "'obstacles' is a list; it needs keys", None),
        (
            "{width: 9 mm, height: 5 mm, obstacles: {lamp: {circle: 1 mm}}}",
            "the obstacle 'lamp' has no 'at'",
            "add at: [12.40 mm ± 0.05, 12.40 mm ± 0.05]",
        ),
        ("wide", "the panel 'door' is a text; it needs keys", "write key: value lines under it"),
    ],
)
def test_mistakes_in_a_panel(mistakes, panel, message, fix):
    (problem,) = mistakes(f"{HEAD}panels: {{door: {panel}}}\n")
    assert problem.message == message
    assert problem.fix
    assert fix is None or problem.fix == fix


def test_an_obstacle_beside_the_panel(mistakes):
    (problem,) = mistakes(
        f"{HEAD}panels:\n  door:\n    width: 9 mm\n    height: 5 mm\n"
        "    obstacles:\n      lamp: {circle: 1 mm, at: [20 mm, 2 mm]}\n"
    )
    assert (str(problem.place), problem.fix) == (
        "job.yaml:8:7",
        "measure its position from the panel's lower left corner as you look at it",
    )


def test_all_obstacles_are_looked_at(mistakes):
    problems = mistakes(
        f"{HEAD}panels:\n  door:\n    width: 9 mm\n    height: 5 mm\n"
        "    obstacles: {a: {}, b: x, c: {circle: 1, at: [1 mm, 1 mm]}}\n"
    )
    assert [problem.message for problem in problems] == [
        "an obstacle is one of rectangle, circle, slot, line, outline; it is empty",
        "the obstacle 'b' is a text; it needs keys",
        "this needs a unit, such as 2 mm",
    ]


def test_too_many_panels_and_obstacles(mistakes):
    panels = "".join(f"  p{i}: {{width: 9 mm, height: 5 mm}}\n" for i in range(201))
    assert [p.message for p in mistakes(f"{HEAD}panels:\n{panels}")] == ["more than 200 panels in one job"]
    rivets = "".join(f"      r{i}: {{circle: 1 mm, at: [1 mm, 1 mm]}}\n" for i in range(101))
    text = f"{HEAD}panels:\n  door:\n    width: 9 mm\n    height: 5 mm\n    obstacles:\n{rivets}"
    assert [p.message for p in mistakes(text)] == ["more than 100 obstacles on one panel"]


@pytest.mark.parametrize("name", ["''", "' '", "'" + "x" * 61 + "'", '"a\\tb"'])
def test_names_that_are_none(mistakes, name):
    (problem,) = mistakes(f"{HEAD}inks: {{{name}: red}}\n")
    hidden = "this name has a character in it that cannot be seen"
    assert problem.message == (hidden if "\\t" in name else "a name has 1 to 60 characters")


def test_a_decal_without_a_panel_or_artwork(mistakes):
    problems = mistakes(f"{HEAD}{PANEL}decals: {{a: {{}}, b: {{panel: , artwork: [field]}}, c: x}}\n")
    assert [problem.message for problem in problems] == [
        "the decal 'a' has no 'panel'",
        "the decal 'a' has no 'artwork'",
        "'panel:' has no value",
        "the shape 'field' has no 'ink'",
        "the decal 'c' is a text; it needs keys",
    ]


@pytest.mark.parametrize("name", ["door.left", "2nd door", "a  b", "door!", "-door"])
def test_names_that_an_expression_could_not_carry(mistakes, name):
    problems = mistakes(f"{HEAD}panels: {{'{name}': {{width: 9 mm, height: 5 mm}}}}\n")
    assert [problem.message for problem in problems] == [f"'{name}' cannot be used in an expression"]


@pytest.mark.parametrize("date", ["2026-3-14", "2026-02-30", "14.3.2026", "20260314", "today"])
def test_dates_that_are_none(mistakes, date):
    (problem,) = mistakes(f"{HEAD}date: {date}\n")
    assert (problem.message, problem.fix) == (f"'{date}' is not a date", 'write year, month and day: "2026-03-14"')


def test_files_are_named_as_they_were_typed(folder):
    (folder / "jobs").mkdir()
    (folder / "jobs" / "a.yaml").write_text(HEAD + "film: x\n", encoding="utf-8")
    for typed in ("jobs/a.yaml", "./jobs/../jobs/a.yaml", str(folder / "jobs" / "a.yaml")):
        with pytest.raises(Exception, match="'x' is not one of clear, white") as caught:
            load_job(typed)
        assert str(caught.value).startswith(f"{typed}:3:7: ")
