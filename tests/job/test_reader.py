"""Every mark reads what it promises, and complains at the place and with the fix."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any

import pytest

from decalgen.core import keys
from decalgen.core.errors import DecalgenError
from decalgen.core.lengths import Quantity
from decalgen.job.merge import document
from decalgen.job.nodes import Mapping, Source
from decalgen.job.problems import Problems
from decalgen.job.reader import Reader
from decalgen.job.scope import Scope, Told
from decalgen.panels.readings import Reading
from decalgen.shapes.base import At


@dataclass(frozen=True)
class Inner:
    depth: Annotated[float, keys.Size("how deep")]
    note: Annotated[str, keys.Text("anything", most=10)] = ""


@dataclass(frozen=True)
class Everything:
    length: Annotated[float, keys.Length("a length", least=-5.0, most=5.0)] = 0.0
    far: Annotated[float, keys.Length("at full size", most=50_000.0)] = 0.0
    size: Annotated[float, keys.Size("a size", most=100.0)] = 1.0
    measure: Annotated[Quantity | None, keys.Measure("measured")] = None
    offset: Annotated[Quantity | None, keys.Measure("either side", positive=False)] = None
    read_off: Annotated[Any, keys.Readings("read off")] = None
    leaning: Annotated[Any, keys.Readings("a lean", angle=True)] = None
    number: Annotated[float, keys.Number("a number", least=0.0, most=10.0)] = 0.0
    rows: Annotated[int, keys.Count("a count", least=1, most=20)] = 1
    turned: Annotated[float, keys.Angle("an angle", least=-90.0, most=90.0)] = 0.0
    text: Annotated[str, keys.Text("a text", most=12)] = ""
    lines: Annotated[tuple[str, ...], keys.Lines("lines", most=3)] = ()
    cap_height: Annotated[float, keys.Size("two words")] = 1.0
    flag: Annotated[bool, keys.Flag("yes or no")] = False
    choice: Annotated[str, keys.Choice("one of", ("left", "right"))] = "left"
    ink: Annotated[str, keys.InkName("an ink")] = "white"
    face: Annotated[str, keys.FaceName("a face")] = ""
    colour: Annotated[str, keys.ColourText("a colour")] = ""
    at: Annotated[At | None, keys.Anchored("a place")] = None
    several: Annotated[tuple[float, ...], keys.Many("lengths", of=keys.Length(), least=2, most=4)] = ()
    inks: Annotated[tuple[str, ...], keys.Many("inks", of=keys.InkName(), most=3)] = ()
    pair: Annotated[tuple[float, float], keys.Two("width and height", of=keys.Size())] = (1.0, 1.0)
    points: Annotated[tuple[Any, ...], keys.Many("points", of=keys.Two(of=keys.Length()), most=9)] = ()
    inner: Annotated[Inner | None, keys.Block("a group", of=Inner)] = None
    artwork: Annotated[tuple[Any, ...], keys.Elements("shapes")] = ()


VALUES = {
    "gap": "0.5 mm",
    "twice": "2 * gap",
    "count": "3",
    "word": "HARBOUR",
    "accent": "lifebuoy orange",
    "pair": "[1 mm, 2 mm]",
    "alias": "<word>",
}


def attempt(text: str, cls: type[Any] = Everything) -> tuple[Any, Problems]:
    """``text`` read as one line of a file, in a scope with some values."""
    values = "{" + ", ".join(f"{name}: {value}" for name, value in VALUES.items()) + "}"
    source = Source("job.yaml", (*text.split("\n"), f"values: {values}"))
    problems = Problems()
    group = document(source, problems)
    assert group is not None, [str(p) for p in problems.sorted()]
    named = group.get("values")
    assert isinstance(named, Mapping)
    scope = Scope(problems, {key.text: node for key, node in named.entries}, {"panel.width": Quantity(22.4)})
    reader = Reader(problems, scope, ("white", "black", "lifebuoy orange"))
    try:
        return reader.read(cls, group, "the thing", also=("values",), reading="door"), problems
    except Told:
        assert len(problems)
        return None, problems


def test_a_class_without_any_key_keeps_its_defaults():
    found, problems = attempt("")
    assert (found, len(problems)) == (Everything(), 0)


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("length: -1.5 mm", "length", -1.5),
        ("length: twice", "length", 1.0),
        ("length: panel.width - 20 mm", "length", pytest.approx(2.4)),
        ("length: <gap>", "length", 0.5),
        ("length: 0", "length", 0.0),
        ("far: 1.9 m", "far", 1900.0),
        ("size: 1/2 in", "size", 12.7),
        ('size: "1/2 in"', "size", 12.7),
        ("measure: 12.4 mm u 0.05", "measure", Quantity(12.4, 1, (("door.measure", 0.05),))),
        ("offset: -3 mm", "offset", Quantity(-3.0)),
        ("read off: 12.4 mm", "read_off", Quantity(12.4)),
        ("read off: 12.4 mm by steel rule", "read_off", Reading(Quantity(12.4), "steel rule")),
        (
            "read off: [12.4 mm, 12.5 mm u 0.1 by caliper]",
            "read_off",
            (Quantity(12.4), Reading(Quantity(12.5, 1, (("door.read off 2", 0.1),)), "caliper")),
        ),
        ("leaning: 20°", "leaning", Quantity(20.0, 0)),
        ("number: 2 * count", "number", 6.0),
        ("rows: count", "rows", 3),
        ("rows: 2e1", "rows", 20),
        ("turned: 45°", "turned", 45.0),
        ("turned: -45", "turned", -45.0),
        ("turned: 90 deg / 4", "turned", 22.5),
        ("text: 07", "text", "07"),
        ("text: yes", "text", "yes"),
        ("text: <word>", "text", "HARBOUR"),
        ("text: <alias>", "text", "HARBOUR"),
        ('text: "<word>"', "text", "HARBOUR"),
        ("text: word  # as on the door", "text", "word"),
        ('text: "STORES #7" #measured', "text", "STORES #7"),
        ("text: C#7", "text", "C#7"),
        ("text: a <word>", "text", "a <word>"),
        ("lines: one", "lines", ("one",)),
        ("lines: [one, <word>, 3]", "lines", ("one", "HARBOUR", "3")),
        ("lines: |\n  one\n  two", "lines", ("one", "two")),
        ("cap height: 1.6 mm", "cap_height", 1.6),
        ("flag: yes", "flag", True),
        ("flag: False", "flag", False),
        ("choice: right", "choice", "right"),
        ("ink: <accent>", "ink", "lifebuoy orange"),
        ("colour: '#C8102E'", "colour", "#c8102e"),
        ("colour: Navy", "colour", "#000080"),
        ("at: top left", "at", At("top left")),
        ("at: bottom + 0.5 mm", "at", At("bottom", 0.0, 0.5)),
        ("at: top - gap", "at", At("top", 0.0, -0.5)),
        ("at: top-0.5 mm", "at", At("top", 0.0, -0.5)),
        ("at: left + 1 mm + gap", "at", At("left", 1.5, 0.0)),
        ("at: right - 1 mm + gap", "at", At("right", -0.5, 0.0)),
        ("at: [1 mm, gap]", "at", At("bottom left", 1.0, 0.5)),
        ("at: {anchor: top, offset: [1 mm, -2 mm]}", "at", At("top", 1.0, -2.0)),
        ("at: {offset: <pair>}", "at", At("centre", 1.0, 2.0)),
        ("several: [1 mm, 2 mm, gap]", "several", (1.0, 2.0, 0.5)),
        ("several: <pair>", "several", (1.0, 2.0)),
        ("inks: white", "inks", ("white",)),
        ("inks: [white, <accent>]", "inks", ("white", "lifebuoy orange")),
        ("pair: [1 mm, 2 mm]", "pair", (1.0, 2.0)),
        ("points: [[0 mm, 0 mm], [1 mm, gap]]", "points", ((0.0, 0.0), (1.0, 0.5))),
        ("points: [1 mm, 2 mm]", "points", ((1.0, 2.0),)),
        ("inner: {depth: 2 mm}", "inner", Inner(2.0)),
    ],
)
def test_what_each_mark_reads(text, name, value):
    found, problems = attempt(text)
    assert [str(p) for p in problems.sorted()] == []
    assert getattr(found, name) == value


def test_faces_are_those_of_the_fonts_folder():
    from decalgen.lettering.faces import faces

    name = faces()[0].name
    found, _ = attempt(f"face: {name.lower()}")
    assert found.face == name
    _, problems = attempt(f"face: {name}x")
    assert (problems.sorted()[0].message, problems.sorted()[0].fix) == (
        f"there is no face called '{name}x'",
        f"did you mean '{name}'?",
    )


def test_limits_become_standard_uncertainties_named_after_the_reading():
    found, _ = attempt("measure: 12.4 mm ± 0.05")
    assert found.measure.parts == (("door.measure", pytest.approx(0.05 / math.sqrt(3))),)


@pytest.mark.parametrize(
    ("text", "column", "size", "message", "fix"),
    [
        ("widht: 1 mm", 1, 5, "'widht' is not known here", "use one of: "),
        ("lenght: 1 mm", 1, 6, "'lenght' is not known here", "did you mean 'length'?"),
        ("cap_height: 1 mm", 1, 10, "'cap_height' is not known here", "did you mean 'cap height'?"),
        ("cap-height: 1 mm", 1, 10, "'cap-height' is not known here", "did you mean 'cap height'?"),
        ("Cap Height: 1 mm", 1, 10, "'Cap Height' is not known here", "did you mean 'cap height'?"),
        ("length:", 7, 1, "'length:' has no value", "write 2.5 mm, or remove the key"),
        ("length: ~", 9, 1, "'length:' has no value", "write 2.5 mm, or remove the key"),
        ("length: 1", 9, 1, "this needs a unit, such as 2 mm", "write 1 mm"),
        ("length: -5", 9, 2, "this needs a unit, such as 2 mm", "write -5 mm"),
        ("length: 6", 9, 1, "this needs a unit, such as 2 mm", "give it a unit, and at most 5 mm"),
        ("size: -0.35", 7, 5, "this needs a unit, such as 2 mm", "give it a unit, and at least 0.001 mm"),
        ("measure: -2", 10, 2, "this needs a unit, such as 2 mm", "give it a unit, and at least 0.001 mm"),
        ("offset: -2", 9, 2, "this needs a unit, such as 2 mm", "write -2 mm"),
        ("read off: -2", 11, 2, "this needs a unit, such as 2 mm", "give it a unit, and at least 0.001 mm"),
        ("length: 6 mm", 9, 4, "6 mm is out of range", "at most 5 mm"),
        ("length: -6 mm", 9, 5, "-6 mm is out of range", "at least -5 mm"),
        ("length: panel.widht / 2", 9, 11, "'panel.widht' is not known here", "did you mean 'panel.width'?"),
        ("length: word", 9, 4, "'word' is a text, not a length or number", "name another value"),
        ("length: pair", 9, 4, "'pair' is a list, not a length or number", "name one value"),
        ("length: many", 9, 4, "'many' is not a length", "write 2.5 mm, or name it under 'values:'"),
        ("length: [1 mm]", 9, 1, "this is a list; a length is needed", "write one value"),
        ("length: {a: 1 mm}", 9, 1, "this is a group of keys; a length is needed", "write one value"),
        ("length: <gapp>", 9, 6, "there is no value 'gapp'", "did you mean 'gap'?"),
        ('length: "9,2 mm"', 10, 3, "there is a comma inside a number", "write a full stop: 9.2 mm"),
        ("size: 0 mm", 7, 4, "0 mm is out of range", "at least 0.001 mm"),
        ("size: -2 mm", 7, 5, "-2 mm is out of range", "at least 0.001 mm"),
        ("measure: 0 mm ± 1", 10, 8, "0 mm is out of range", "at least 0.001 mm"),
        ("read off: 12.4 mm by eye", 22, 3, "there is no instrument 'eye'", None),
        ("read off: [12.4 mm, 1]", 21, 1, "this needs a unit, such as 2 mm", "write 1 mm"),
        ("read off: []", 11, 1, "0 readings are given", "1 to 50"),
        ("leaning: 20 mm", 13, 2, "'mm' is not a unit here", "write 20°"),
        ("number: 2 mm", 9, 4, "this is a length; a plain number is needed", "leave the unit out"),
        ("number: 11", 9, 2, "11 is out of range", "at most 10"),
        ("rows: 2.5", 7, 3, "2.5 is not a whole number", "write 3"),
        ("rows: 20.5", 7, 4, "20.5 is not a whole number", "write 20"),
        ("rows: 0", 7, 1, "0 is out of range", "at least 1"),
        ("rows: many", 7, 4, "'many' is not a whole number", "write 2, or name it under 'values:'"),
        ("turned: 91°", 9, 3, "91° is out of range", "at most 90°"),
        ("text: 13 characters", 7, 13, "this text has 13 characters", "at most 12"),
        (
            'text: "a\\tb"',
            7,
            6,
            "this text has a line break, a tab or a control character in it",
            "write it on one line",
        ),
        (
            "text: STORES #7",
            14,
            2,
            "what follows # is a comment, and '#7' is lost",
            'put quotes round all of it: "STORES #7"; a comment begins with # and a space',
        ),
        (
            "lines: No #7 x",
            11,
            2,
            "what follows # is a comment, and '#7' is lost",
            'put quotes round all of it: "No #7 x"; a comment begins with # and a space',
        ),
        ("lines: [a, b, c, d]", 8, 1, "4 lines are given", "at least 1, at most 3"),
        ("flag: maybe", 7, 5, "'maybe' is neither yes nor no", "write yes or no"),
        ("choice: rihgt", 9, 5, "'rihgt' is not one of left, right", "did you mean 'right'?"),
        ("ink: whit", 6, 4, "there is no ink 'whit'", "did you mean 'white'? If not, add it under 'inks:'"),
        (
            "ink: teal",
            6,
            4,
            "there is no ink 'teal'",
            "add it under 'inks:', or use one of: black, lifebuoy orange, white",
        ),
        ("colour: c8102e", 9, 6, "'c8102e' is not a colour", "did you mean '#c8102e'? (in a job file, in quotes)"),
        ("colour: '#fa'", 9, 5, "'#fa' is not a colour", "write '#' and six digits 0-9, a-f: '#e8641b'"),
        ("colour: bleu", 9, 4, "'bleu' is not a colour", "did you mean 'blue'?"),
        ("at: topp", 5, 4, "'topp' is not an anchor", "did you mean 'top'?"),
        ("at: cenre", 5, 5, "'cenre' is not an anchor", "did you mean 'centre'?"),
        ("at: left top", 5, 8, "'left top' is not an anchor", "did you mean 'top left'?"),
        ("at: bottom + 0.5", 12, 5, "this needs a unit, such as 2 mm", "write + 0.5 mm"),
        ("at: bottom + hieght", 14, 6, "'hieght' is not known here", "use one of: "),
        (
            "at: top left + 1 mm",
            14,
            6,
            "from 'top left' a step could go two ways",
            "say both ways: {anchor: top left, offset: [1 mm, 0 mm]}",
        ),
        (
            "at: 2 mm",
            5,
            4,
            "'2 mm' is not an anchor",
            "write an anchor, such as bottom + 0.5 mm, or [2 mm, 1 mm] for the lower left corner",
        ),
        ("at: [1 mm]", 5, 1, "1 given, two needed", "write two, to the right and up: [2.5 mm, 2.5 mm]"),
        ("at: {ancor: top}", 6, 5, "'ancor' is not known here", "did you mean 'anchor'?"),
        ("several: 1 mm", 10, 4, "1 given, 2 to 4 needed", "write a list: [first, second]"),
        ("several: [1 mm, 2, 3 mm]", 17, 1, "this needs a unit, such as 2 mm", "write 2 mm"),
        (
            "inks: [white, balck]",
            15,
            5,
            "there is no ink 'balck'",
            "did you mean 'black'? If not, add it under 'inks:'",
        ),
        ("pair: 2 mm", 7, 4, "1 given, two needed", "write two, width and height: [2.5 mm, 2.5 mm]"),
        (
            "inner: deep",
            8,
            4,
            "this group is a text; it needs keys",
            "write key: value lines under it, such as depth: 2.5 mm",
        ),
        ("inner: {note: x}", 8, 1, "this group has no 'depth'", "add depth: 2.5 mm"),
        ("inner: {detph: 2 mm}", 9, 5, "'detph' is not known here", "did you mean 'depth'?"),
        ("artwork: [feild]", 11, 5, "there is no shape 'feild'", "did you mean 'field'?"),
        (
            "artwork: [{field: {ink: white}, at: top}]",
            11,
            1,
            "this needs a shape",
            "one shape to an item: - field: {ink: white}",
        ),
        ("artwork: [field: {at: top}]", 11, 5, "the shape 'field' has no 'ink'", "add ink: white"),
        (
            "artwork: [field: white]",
            18,
            5,
            "the shape 'field' is a text; it needs keys",
            "write key: value lines under it",
        ),
    ],
)
def test_each_mistake_has_its_place_and_its_fix(text, column, size, message, fix):
    found, problems = attempt(text)
    assert found is None
    (problem,) = problems.sorted()
    assert problem.place is not None
    assert (problem.message, problem.place.line, problem.place.column, problem.place.length) == (
        message,
        1,
        column,
        size,
    )
    if fix is None:
        assert problem.fix
    elif fix.endswith(": "):
        assert problem.fix.startswith(fix)
    else:
        assert problem.fix == fix


def test_all_mistakes_come_in_one_run():
    text = "length: 1\nrows: 2.5\nflag: maybe\nseveral: [1, 2 mm, 3]\ninner: {depth: 1, note: 0123456789x}\ninkk: white"
    _, problems = attempt(text)
    places = [(p.place.line, p.place.column) for p in problems.sorted() if p.place]
    assert places == [(1, 9), (2, 7), (3, 7), (4, 11), (4, 20), (5, 16), (5, 25), (6, 1)]


def test_a_wrong_value_is_complained_of_once_at_its_own_place():
    problems = Problems()
    lines = ("length: gap", "size: gap + 1 mm", "text: <gap>", "values: {gap: '9,2 mm'}")
    group = document(Source("job.yaml", lines), problems)
    assert group is not None
    named = group.get("values")
    assert isinstance(named, Mapping)
    reader = Reader(problems, Scope(problems, {key.text: node for key, node in named.entries}))
    with pytest.raises(Told):
        reader.read(Everything, group, "the thing", also=("values",))
    (problem,) = problems.sorted()
    assert (str(problem.place), problem.fix) == ("job.yaml:4:16", "write a full stop: 9.2 mm")


@dataclass(frozen=True)
class Checked:
    width: Annotated[float, keys.Size("a width")]
    style: Annotated[str, keys.Text("how it refuses")] = ""

    def __post_init__(self) -> None:
        if self.style == "ours":
            raise DecalgenError("too wide for its height", fix="make it narrower")
        if self.style == "plain":
            raise ValueError("too wide")


def test_a_class_may_refuse_what_its_fields_alone_allow():
    assert attempt("width: 1 mm", Checked)[0] == Checked(1.0)
    for style, said in (("ours", ("too wide for its height", "make it narrower")), ("plain", ("too wide", ""))):
        _, problems = attempt(f"width: 1 mm\nstyle: {style}", Checked)
        (problem,) = problems.sorted()
        assert (problem.message, problem.fix) == said
        assert str(problem.place) == "job.yaml:1:1"


def test_every_mark_has_a_reader_and_a_place_in_the_schema():
    from decalgen.job.key_words import takes
    from decalgen.job.schema import _KINDS

    kinds = {cls for cls in vars(keys).values() if isinstance(cls, type) and issubclass(cls, keys.Key)} - {keys.Key}
    by_code_of_their_own = {keys.Named, keys.Part}
    assert set(Reader(Problems(), Scope(Problems()))._read) == kinds - by_code_of_their_own
    assert set(_KINDS) == kinds
    for cls in kinds:
        given: Any = {keys.Many: {"of": keys.Text()}, keys.Two: {"of": keys.Text()}, keys.Choice: {"options": ("a",)}}
        assert takes(cls(**given.get(cls, {}))), cls


def test_bounds_are_bounds_and_not_descriptions():
    # ``Number(0.1, 5.0)`` would make the first bound the description and leave the number without it.
    from decalgen.panels.registry import kinds, obstacle_kinds
    from decalgen.shapes.registry import load

    for cls in (*load().values(), *kinds().values(), *obstacle_kinds().values()):
        for spec in keys.specs(cls):
            kind: Any = spec.kind
            while isinstance(kind, keys.Key):
                assert isinstance(kind.about, str), f"{cls.__name__}.{spec.name}"
                kind = getattr(kind, "of", None)


def test_a_value_where_keys_belong_is_answered_with_the_first_of_them():
    from decalgen.job.examples import under
    from decalgen.shapes.lettering_groups import Arc, Shadow

    assert under(Arc) == "write key: value lines under it, such as radius: 8 mm"
    assert under(Shadow).endswith("such as dx: 0.3 mm")
