"""The pages of `decalgen keys` as values: complete, in the words of a file, and every example read by the reader."""

from __future__ import annotations

import importlib
import pkgutil
import re
from contextlib import suppress
from dataclasses import is_dataclass
from pathlib import Path

import pytest
from ruamel.yaml import YAML

import decalgen.job
import decalgen.panels
import decalgen.shapes
from decalgen.commands.check import check
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.core import keys
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.example import example_png
from decalgen.job.key_groups import KeyGroup, pages
from decalgen.job.reference import every_section, lines_of, own_example, reference, shown, topics, used_in
from decalgen.job.written import rows
from decalgen.shapes.drawing import EXAMPLE
from decalgen.shapes.registry import load
from tests.helpers.key_examples import job_text, problem, row_problem

NAMES = [name for name, _ in topics()]
NEVER = ("()", "False", "True", "None", "many, needed", "KeyRow", "At(")


def test_there_is_a_page_for_each_file_each_group_and_each_shape():
    assert set(NAMES) >= {"job", "panel", "decal", "film", "printer", "cutter", "ink", *load()}
    assert set(NAMES) >= {"match", "arc", "outline", "inline", "shadow"}


@pytest.mark.parametrize("name", NAMES)
def test_every_row_says_all_in_the_words_of_a_file(name: str):
    for section in reference(name).sections:
        assert section.about and section.where and section.example
        for row in section.rows:
            said = (row.key, row.meaning, row.takes, row.default, row.example)
            assert all(said), row
            assert not any(bad in text for bad in NEVER for text in said), row
            assert row.example.startswith(f"{row.key}:")
            assert row.unit in ("mm", "°", "")
            assert row.topic in ("", *pages(), *(one.name for _, one in every_section()))


def test_a_topic_that_is_not_there_suggests_the_nearest():
    with pytest.raises(DecalgenError, match="there is no topic 'lettring'") as told:
        reference("lettring")
    assert told.value.fix == "did you mean 'lettering'?"


def test_a_key_is_found_wherever_it_may_stand():
    assert ("lettering", "lettering") in [found[:2] for found in used_in("cap height")]
    assert ("match", "match") in [found[:2] for found in used_in("cap height")]
    assert used_in("cap hight") == ()


@pytest.mark.parametrize(
    ("topic", "key", "default"),
    [
        ("arc", "side", "outside"),
        ("arc", "radius", "optional"),
        ("lettering", "tracking", "0 mm"),
        ("lettering", "reversed", "no"),
        ("lettering", "line pitch", "1.6 cap heights"),
        ("lettering", "at", "centre"),
        ("stripe", "angle", "0°"),
        ("printer", "margins", "[10 mm, 10 mm, 10 mm, 10 mm]"),
        ("decal", "width", "the panel's"),
        ("decal", "turn", "yes"),
        ("lettering", "match", "optional"),
    ],
)
def test_defaults_are_written_as_a_file_writes_them(topic: str, key: str, default: str):
    found = [row for section in reference(topic).sections for row in section.rows if row.key == key]
    assert [row.default for row in found] == [default]


def test_what_must_be_given_is_told_where_there_is_more_than_one_way():
    needs = {section.name: section.needs for section in reference("panel").sections}
    assert needs["flat"] == ""
    assert needs["tapered"].count("; or ") == 1
    assert needs["cylinder"].endswith(" (`height` or `width` may stand for `length`)")
    assert needs["cylinder"].startswith("`chord` and `rise` and `length`; or ")


GROUPS = [(page.name, group) for page in pages().values() for group in page.groups]
ROWS = [(page, group, spec.key) for page, group in GROUPS for spec in group.specs()]


@pytest.mark.parametrize(("page", "group"), GROUPS, ids=[f"{page}-{group.name}" for page, group in GROUPS])
def test_every_example_of_a_page_is_read_by_the_reader(page: str, group: KeyGroup, tmp_path: Path):
    tree = group.around(own_example(group))
    assert problem(page, tree, tmp_path) == ""
    # What is shown is what was read.
    assert YAML(typ="safe", pure=True).load(shown(group)) == YAML(typ="safe", pure=True).load("\n".join(rows(tree, 0)))


IN_JOBS = [
    (page, group)
    for page, group in GROUPS
    if page not in ("film", "printer", "cutter", "layout") and "decals" in group.around(own_example(group))
]


@pytest.mark.parametrize(("page", "group"), IN_JOBS, ids=[f"{page}-{group.name}" for page, group in IN_JOBS])
def test_a_check_finds_no_error_in_an_example(page: str, group: KeyGroup, tmp_path: Path):
    path = tmp_path / "example.yaml"
    path.write_text(job_text({**group.around(own_example(group)), "film": "white"}), encoding="utf-8")
    (tmp_path / "common-inks.yaml").write_text("inks: {}\n", encoding="utf-8")
    (tmp_path / "crest.svg").write_text(EXAMPLE, encoding="utf-8")
    (tmp_path / "emblem.png").write_bytes(example_png())
    assert [str(one) for one in check(Run((path,), Options())).findings if one.severity == "error"] == []


@pytest.mark.parametrize(
    ("page", "group", "key"), ROWS, ids=[f"{page}-{group.name}-{key}" for page, group, key in ROWS]
)
def test_every_example_line_is_read_by_the_reader(page: str, group: KeyGroup, key: str, tmp_path: Path):
    assert row_problem(page, group, key, tmp_path) == ""
    spec = next(spec for spec in group.specs() if spec.key == key)
    (row,) = [row for one in reference(page).sections if one.name == group.name and one.about == group.about
              for row in one.rows if row.key == key]  # fmt: skip
    read = YAML(typ="safe", pure=True).load
    assert read(row.example) == read("\n".join(rows(lines_of(group, spec), 0)))
    assert max(len(line) for line in row.example.split("\n")) <= 70


@pytest.mark.parametrize(("page", "group"), GROUPS, ids=[f"{page}-{group.name}" for page, group in GROUPS])
def test_the_reader_knows_the_keys_of_a_page_and_no_others(page: str, group: KeyGroup, tmp_path: Path):
    """A key that nothing is like makes the reader list all that it takes there."""
    said = problem(page, group.around({**own_example(group), "zzqxjw": "1 mm"}), tmp_path)
    found = re.search(r"'zzqxjw' is not known here.*?fix: use one of: ([^\n]*)", said, re.DOTALL)
    assert found is not None, said
    known = {spec.key for spec in group.specs()}
    if page == "panel" and group.name not in ("prototype", "every panel"):
        known |= {spec.key for spec in pages()["panel"].groups[0].specs()}
    if group.name == "every panel":
        # The panel of the example is a flat one.
        known |= {"width", "height"}
    assert set(found[1].split(", ")) == known


def test_every_class_with_marks_is_on_a_page():
    """No reader can take a class that the pages leave out; sheet formats come with decalgen, nobody writes one."""
    # What a class has from its bases is on its page.
    on_pages = {base for _, group in GROUPS for cls in group.classes for base in cls.__mro__}
    marked = set()
    for package in (decalgen.job, decalgen.panels, decalgen.shapes):
        for module in pkgutil.iter_modules(package.__path__):
            for cls in vars(importlib.import_module(f"{package.__name__}.{module.name}")).values():
                if isinstance(cls, type) and is_dataclass(cls) and cls.__module__.startswith(package.__name__):
                    with suppress(TypeError, NameError):
                        marked |= {cls} if keys.specs(cls) else set()
    left = {cls.__name__ for cls in marked - on_pages}
    assert left == {"SheetEntry", "Prototype"}


@pytest.mark.parametrize("short", ["top", "bottom + 0.5 mm", ["2 mm", "1 mm"]])
def test_the_short_places_that_the_page_names_are_read(short: object, tmp_path: Path):
    about = reference("at").about
    words = short if isinstance(short, str) else f"[{', '.join(short)}]"  # type: ignore[arg-type]
    assert words in about
    size = {"panel": "door", "width": "10 mm", "height": "4 mm"}
    tree = {"decals": {"sign": {**size, "at": short, "artwork": [{"field": {"ink": "black", "at": short}}]}}}
    assert problem("decal", tree, tmp_path) == ""
