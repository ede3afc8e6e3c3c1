"""Layouts: ready decals under a decal's own keys."""

from __future__ import annotations

import pytest

from decalgen.core.errors import InputError, JobError
from decalgen.job import layouts as module
from decalgen.job.layouts import layouts, load_layout
from decalgen.job.samples import sample
from decalgen.shapes.base import At

from .conftest import HEAD, PANEL

BAND = """\
layout: band
about: A band along the foot
source: nobody (invented)
values:
  band height: panel.height / 4
  rim: 0.5 mm
  ink: teal
  word: STORES
inks: {teal: {colour: "#008080"}}
decal:
  hands: both
  width: panel.width - 2 * rim
  height: band height
  at: bottom + rim
  artwork:
    - field: {ink: <ink>}
    - lettering: {text: <word>, cap height: decal.height / 2, ink: white}
sample: {body: navy, panel: {width: 30 mm, height: 20 mm}}
"""


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """A layouts folder of our own; write into it, then use it."""
    place = tmp_path / "layouts"
    place.mkdir()

    def forget() -> None:
        module.layout_names.cache_clear()
        module._load.cache_clear()

    def names(kind: str, ending: str = "") -> tuple[str, ...]:
        assert kind == "layouts"
        return tuple(sorted(path.name for path in place.glob(f"*{ending}")))

    monkeypatch.setattr(module, "resource_folder", lambda kind: place)
    monkeypatch.setattr(module, "resource_names", names)
    forget()
    (place / "band.yaml").write_text(BAND, encoding="utf-8")
    yield place
    forget()


def job_with(keys: str, more: str = "") -> str:
    return f"{HEAD}{PANEL}{more}decals:\n  foot: {{panel: door, layout: band, {keys}}}\n"


def test_the_defaults_of_a_layout(shelf, load):
    job = load(job_with(""))
    (decal,) = job.decals
    assert (decal.hands, decal.width.value, decal.height.value) == ("both", pytest.approx(21.4), pytest.approx(2.9))
    assert decal.at == At("bottom", 0.0, 0.5)
    field, lettering = decal.artwork
    assert (field.shape.ink, lettering.shape.text) == ("teal", ("STORES",))
    assert lettering.shape.cap_height == pytest.approx(1.45)
    assert job.ink("teal").colour == "#008080"
    # An ink that only the layout declares stands where the user can change it: where the job names the layout.
    place = job.ink("teal").place
    assert str(place) == "job.yaml:6:31" and place.text[30:].startswith("band") and place.length == 4
    assert str(field.place) == "layouts/band.yaml:16:7"
    assert str(decal.place) == "job.yaml:6:3"


def test_values_and_keys_of_the_decal_come_first(shelf, load):
    text = job_with(
        "hands: one, at: {anchor: top}, values: {rim: gap * 2, word: <word>, band height: 3 mm}",
        "values: {gap: 0.7 mm, word: HARBOUR}\ninks: {teal: '#007070'}\n",
    )
    job = load(text)
    (decal,) = job.decals
    assert (decal.hands, decal.at, decal.height.value) == ("one", At("top"), 3.0)
    assert decal.width.value == pytest.approx(22.4 - 2.8)
    assert decal.artwork[1].shape.text == ("HARBOUR",)
    assert job.ink("teal").colour == "#007070"


def test_a_value_of_the_job_does_not_leak_into_a_layout(shelf, load):
    # The layout's own rim is meant, not a value of the job that happens to have the same name.
    assert load(job_with("", "values: {rim: 3 mm}\n")).decals[0].width.value == pytest.approx(21.4)


def test_an_unknown_layout_or_value(shelf, mistakes):
    (problem,) = mistakes(job_with("").replace("layout: band", "layout: bnad"))
    assert (str(problem.place), problem.message, problem.fix) == (
        "job.yaml:6:31",
        "there is no layout 'bnad'",
        "did you mean 'band'?",
    )
    (problem,) = mistakes(job_with("values: {rimm: 1 mm}"))
    assert (problem.message, problem.fix) == ("the layout 'band' has no value 'rimm'", "did you mean 'rim'?")
    (problem,) = mistakes(job_with("hand: both"))
    assert (problem.message, problem.fix) == ("'hand' is not known here", "did you mean 'hands'?")


def test_a_wrong_value_is_shown_in_the_job(shelf, mistakes):
    (problem,) = mistakes(job_with("values: {rim: '0,5 mm'}"))
    assert (str(problem.place), problem.fix) == ("job.yaml:6:52", "write a full stop: 0.5 mm")


def test_a_mistake_in_a_layout_is_shown_in_the_layout(shelf, mistakes):
    (shelf / "band.yaml").write_text(BAND.replace("cap height:", "cap hieght:"), encoding="utf-8")
    (problem,) = mistakes(job_with(""))
    assert (str(problem.place), problem.fix) == ("layouts/band.yaml:17:33", "did you mean 'cap height'?")


def test_the_text_of_a_layout_belongs_to_the_digest(shelf, load):
    first = load(job_with("")).digest
    (shelf / "band.yaml").write_text(BAND + "# a note\n", encoding="utf-8")
    module._load.cache_clear()
    assert load(job_with("")).digest != first


def test_loading_a_layout_alone(shelf):
    layout = load_layout("band")
    assert (layout.name, layout.about, layout.source) == ("band", "A band along the foot", "nobody (invented)")
    assert list(layout.values) == ["band height", "rim", "ink", "word"]
    assert [found.name for found in layouts()] == ["band"]
    with pytest.raises(InputError, match="there is no layout 'brand'"):
        load_layout("brand")


def test_the_sample_of_a_layout(shelf):
    job = sample(load_layout("band"))
    assert (job.name, job.body, job.panels[0].width.value) == ("band", "navy", 30.0)
    assert job.decals[0].width.value == pytest.approx(29.0)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("layout: band", "layout: bond"), "the layout is called 'bond' and its file 'band'"),
        (("about:", "abuot:"), "'abuot' is not known here"),
        (("decal:", "decals:"), "'decals' is not known here"),
        (("values:\n", "values: [a]\nvalue:\n"), "'values' is a list; it needs keys"),
    ],
)
def test_mistakes_in_the_file_of_a_layout(shelf, change, message):
    (shelf / "band.yaml").write_text(BAND.replace(*change), encoding="utf-8")
    with pytest.raises(JobError) as caught:
        load_layout("band")
    assert message in [problem.message for problem in caught.value.problems]


def test_names_with_spaces_find_files_with_hyphens(shelf):
    (shelf / "foot-band.yaml").write_text(BAND.replace("layout: band", "layout: foot-band"), encoding="utf-8")
    assert load_layout("Foot band").name == "foot-band"


def test_the_layouts_that_come_with_the_program_can_all_be_used():
    found = layouts()
    assert len(found) >= 10
    for layout in found:
        assert layout.about
        assert sample(layout).decals[0].artwork


OWN = {
    "a colour": "inks:\n  teal: '#007070'\n",
    "in block": "inks:\n  teal:\n    colour: '#007070'\n",
    "in flow": "inks: {teal: {colour: '#007070'}}\n",
    "only its kind": "inks: {teal: {kind: spot}}\n",
}
USES = {
    "in flow": "decals:\n  foot: {panel: door, layout: band}\n",
    "in block": "decals:\n  foot:\n    panel: door\n    layout: band\n",
}


@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("own", OWN)
def test_an_ink_of_the_job_that_a_layout_has_too_stands_where_the_job_has_it(shelf, load, own, use):
    """Before the decals and after, in the job, in a file it includes, in a variant of it."""
    inks, decals = OWN[own], USES[use]
    variant = "variants:\n  dark:\n" + "".join(f"    {line}\n" for line in inks.splitlines())
    plain = f"{HEAD}{PANEL}{decals}"
    included = plain.replace("body:", "include: base.yaml\nbody:")
    for file, job in (
        ("job.yaml", load(f"{HEAD}{PANEL}{inks}{decals}")),
        ("job.yaml", load(f"{plain}{inks}")),
        ("base.yaml", load(included, base=inks)),
        ("job.yaml", load(f"{HEAD}include: base.yaml\n{inks}", base=f"{PANEL}{decals}")),
        ("job.yaml", load(f"{plain}{variant}", "dark")),
    ):
        place = job.ink("teal").place
        assert (place.file, place.text[place.column - 1 :][:4]) == (file, "teal")


@pytest.mark.parametrize("use", USES)
def test_an_ink_that_only_a_layout_has_stands_where_the_layout_is_named(shelf, load, use):
    decals = USES[use]
    variant = "variants: {dark: {decals: {foot: {layout: band}}}}\n"
    plain = "decals: {foot: {panel: door, artwork: [field: {ink: white}], width: 5 mm, height: 2 mm}}\n"
    for file, job in (
        ("job.yaml", load(f"{HEAD}{PANEL}{decals}")),
        ("base.yaml", load(f"{HEAD}include: base.yaml\n", base=f"{PANEL}{decals}")),
        ("job.yaml", load(f"{HEAD}{PANEL}{plain}{variant}", "dark")),
    ):
        place = job.ink("teal").place
        assert (place.file, place.text[place.column - 1 :][:4]) == (file, "band")


@pytest.mark.parametrize(
    ("key", "fix"),
    [
        ("rim: 1 mm", "write it under 'values', as in values: {rim: 1 mm}"),
        ("word: SHOP", "write it under 'values', as in values: {word: SHOP}"),
        # What a decal may say itself is looked for first.
        ("Height: 1 mm", "did you mean 'height'?"),
        ("colour: navy", None),
    ],
)
def test_a_value_of_a_layout_that_stands_beside_it_is_told_its_place(shelf, mistakes, key, fix):
    (problem,) = mistakes(job_with(key))
    assert problem.message == f"'{key.partition(':')[0]}' is not known here"
    assert problem.fix == fix or (fix is None and "values" not in problem.fix.split("use one of")[0])
