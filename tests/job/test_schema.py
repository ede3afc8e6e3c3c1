"""The schemas, by jsonschema (draft 2020-12): what the readers read they allow, common mistakes they do not."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from decalgen.core.errors import DecalgenError
from decalgen.core.keys import specs
from decalgen.job.key_groups import KeyGroup, pages
from decalgen.job.loader import load_job
from decalgen.job.reference import lines_of, own_example, value_of
from decalgen.job.schema import job_schema, schema_names, schema_of
from decalgen.job.written import rows
from decalgen.lettering.faces import face, faces
from decalgen.panels.registry import kinds, obstacle_kinds
from decalgen.shapes.registry import load
from tests.helpers.documents import blocks
from tests.helpers.key_examples import HEAD, laid_over, refusal

from .test_loader import GANNET
from .test_merge import JOB

DEMO = Path(__file__).resolve().parents[2] / "demo"
SCHEMA = job_schema()
JUDGE = jsonschema.Draft202012Validator(SCHEMA)


def as_json(text: str) -> Any:
    """YAML as an editor's own reader takes it: plain numbers are numbers, yes is a text (YAML 1.2)."""
    return json.loads(json.dumps(YAML(typ="safe", pure=True).load(text), default=str))


def demo_jobs() -> list[Path]:
    return sorted(path for path in DEMO.glob("*.yaml") if "\njob:" in "\n" + path.read_text(encoding="utf-8"))


def test_it_is_a_schema_and_can_be_written():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA


@pytest.mark.parametrize("text", [GANNET, JOB], ids=["gannet", "variants"])
def test_jobs_of_the_tests_are_allowed(text):
    JUDGE.validate(as_json(text))


def test_there_are_jobs_in_the_demo():
    assert len(demo_jobs()) >= 4


@pytest.mark.parametrize("path", demo_jobs(), ids=lambda path: path.stem)
def test_jobs_of_the_demo_are_allowed_by_both(path):
    JUDGE.validate(as_json(path.read_text(encoding="utf-8")))
    assert load_job(path).decals


def test_every_key_of_every_shape_and_panel_is_there():
    for name, cls in load().items():
        body = SCHEMA["$defs"][f"shape {name}"]["properties"][name]
        keys = body.get("properties") or body["anyOf"][0]["properties"]
        assert set(keys) == {spec.key for spec in specs(cls)} | {"at", "never mirror"}
    titles = [panel["title"] for panel in SCHEMA["$defs"]["panel"]["anyOf"]]
    assert titles == list(kinds())
    assert len(SCHEMA["$defs"]["obstacle"]["anyOf"]) == len(obstacle_kinds())


CHANGES = [
    ("job: gannet", "jop: gannet"),
    ("body: navy\n", ""),
    ("hands: both", "hands: booth"),
    ("hands: both", "hand: both"),
    ("panel: door", "pannel: door"),
    ("at: top", "at: topp"),
    ("- checks:", "- cheques:"),
    ("rows: 2", "row: 2"),
    ("width: 22.40 mm ± 0.05", "widht: 22.40 mm ± 0.05"),
    ("rectangle: [3.0 mm, 0.8 mm]", "rectangle: [3.0 mm]"),
    ("{kind: white}", "{kind: wite}"),
    ("offset: [0 mm, 1.2 mm]", "offset: 1.2 mm"),
    ("text: HARBOUR STORES, ", ""),
    ("copies: 1", "copies: [1]"),
]


@pytest.mark.parametrize(("right", "wrong"), CHANGES)
def test_what_the_reader_refuses_the_schema_refuses_too(right, wrong, mistakes):
    assert right in GANNET
    text = GANNET.replace(right, wrong)
    assert mistakes(text)
    assert not JUDGE.is_valid(as_json(text))


# ------------------------------------------------------------------------------------ every file, every key, every word
ROOT = DEMO.parent
JUDGES = {name: jsonschema.Draft202012Validator(schema_of(name)) for name in schema_names()}
GROUPS = [(page.name, group) for page in pages().values() for group in page.groups]
IDS = [f"{page}-{group.name}" for page, group in GROUPS]
EXAMPLES = [(page, group, spec.key) for page, group in GROUPS for spec in group.specs()]


def judge_of(page: str) -> Any:
    return JUDGES.get(page, JUDGES["job"])


def whole(page: str, tree: dict[str, Any]) -> dict[str, Any]:
    """A file of that page's kind with an example in it, as an editor reads it."""
    if page not in JUDGES:
        tree = laid_over(HEAD if "panels" not in tree else {**HEAD, "panels": {}, "decals": {}}, tree)
    read: dict[str, Any] = as_json("\n".join(rows(tree, 0)))
    return read


def files_of(kind: str) -> list[Path]:
    if kind == "layout":
        return sorted((ROOT / "layouts").glob("*.yaml"))
    key = "inks" if kind == "inks" else kind
    found = [*DEMO.glob("*.yaml"), *DEMO.glob("films/*.yaml")]
    return sorted(path for path in found if path.read_text(encoding="utf-8").split("\n" + key + ":")[0].count("\n") < 12
                  and re.search(rf"^{key}:", path.read_text(encoding="utf-8"), re.MULTILINE)
                  and (kind == "job") == ("\njob:" in path.read_text(encoding="utf-8")))  # fmt: skip


@pytest.mark.parametrize("name", schema_names())
def test_every_schema_is_one(name: str):
    jsonschema.Draft202012Validator.check_schema(schema_of(name))
    assert schema_of(name)["title"] == f"decalgen {name}"


@pytest.mark.parametrize(("kind", "least"), [("film", 2), ("printer", 1), ("inks", 1), ("layout", 14), ("job", 4)])
def test_every_file_that_comes_with_it_is_allowed(kind: str, least: int):
    assert len(files_of(kind)) >= least
    for path in files_of(kind):
        JUDGES[kind].validate(as_json(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(("page", "group"), GROUPS, ids=IDS)
def test_the_example_of_every_group_is_allowed_and_a_strange_key_in_it_is_not(page: str, group: KeyGroup):
    own = own_example(group)
    judge_of(page).validate(whole(page, group.around(own)))
    assert not judge_of(page).is_valid(whole(page, group.around({**own, "no such key": "1 mm"})))


@pytest.mark.parametrize(("page", "group"), GROUPS, ids=IDS)
def test_what_must_be_given_is_missed(page: str, group: KeyGroup):
    own = own_example(group)
    if page == "decal":
        own = {key: own[key] for key in ("panel", "artwork")}
    for spec in group.specs():
        if spec.required:
            without = {key: value for key, value in own.items() if key != spec.key}
            assert not judge_of(page).is_valid(whole(page, group.around(without))), spec.key


@pytest.mark.parametrize(("page", "group", "key"), EXAMPLES, ids=[f"{p}-{g.name}-{k}" for p, g, k in EXAMPLES])
def test_the_example_of_every_key_is_allowed(page: str, group: KeyGroup, key: str):
    spec = next(spec for spec in group.specs() if spec.key == key)
    judged = []
    for way in group.ways or (frozenset(),):
        base = {s.key: value_of(group, s) for s in group.specs() if s.required or s.key in way}
        judged.append(judge_of(page).is_valid(whole(page, group.around({**base, **lines_of(group, spec)}))))
    assert any(judged)


def properties(part: Any) -> Iterator[tuple[str, Any]]:
    """Every key anywhere in a schema, with what it allows."""
    if isinstance(part, dict):
        for key, value in part.items():
            if key == "properties":
                yield from value.items()
            yield from properties(value)
    elif isinstance(part, list):
        for one in part:
            yield from properties(one)


def test_the_schemas_have_the_keys_of_the_pages_and_no_others():
    of_pages = {spec.key for _, group in GROUPS for spec in group.specs()} | set(load())
    of_schemas = {key for name in schema_names() for key, _ in properties(schema_of(name))}
    assert of_schemas == of_pages


@pytest.mark.parametrize("name", schema_names())
def test_every_key_is_described_and_its_default_and_example_are_what_it_allows(name: str):
    schema = schema_of(name)
    loose = schema.get("properties", {}).get("variants", {})
    known = {id(value) for _, value in properties(loose)}
    for key, value in properties(schema):
        if id(value) in known or key in load():
            continue
        assert value.get("description"), key
        inner = jsonschema.Draft202012Validator({**value, "$defs": schema.get("$defs", {})})
        for told in [*value["examples"], *([value["default"]] if "default" in value else [])]:
            inner.validate(told)


def test_defaults_are_there_in_the_words_of_a_file():
    stripe = SCHEMA["$defs"]["shape stripe"]["properties"]["stripe"]["properties"]
    assert stripe["angle"]["default"] == "0°" and stripe["fill"]["default"] == "no" and stripe["count"]["default"] == 1
    assert SCHEMA["$defs"]["decal"]["properties"]["at"]["default"] == "centre"
    assert "default" not in SCHEMA["$defs"]["decal"]["properties"]["note"]
    assert schema_of("printer")["properties"]["margins"]["default"] == ["10 mm"] * 4


def test_the_faces_are_listed_and_taken_in_every_spelling_that_the_reader_takes():
    allowed = SCHEMA["$defs"]["shape lettering"]["properties"]["lettering"]["properties"]["face"]
    judge = jsonschema.Draft202012Validator(allowed)
    names = [one.name for one in faces()]
    assert allowed["anyOf"][0]["enum"] == names
    for name in names:
        for spelt in (name, name.lower(), name.upper(), name.replace(" ", "-"), name.replace(" ", "")):
            assert face(spelt).name == name and judge.is_valid(spelt)
    for wrong in ("Archivo 2", "Archivoo", "rchivo", ""):
        with pytest.raises(DecalgenError):
            face(wrong)
        assert not judge.is_valid(wrong)


SPOILT = [
    ("film", "demo/films/*.yaml", "kind: white", "kind: wite"),
    ("film", "demo/films/*.yaml", "sheet: A5", "sheeet: A5"),
    ("film", "demo/films/*.yaml", "sheet: A5", "# sheet: A5"),
    ("film", "demo/films/*.yaml", "process: inkjet", "process: ink jet"),
    ("film", "demo/films/*.yaml", "    size: [148 mm, 30 mm]", "    size: [148 mm]"),
    ("printer", "demo/printer.yaml", "white: no", "white: never"),
    ("printer", "demo/printer.yaml", "margins: [5 mm, 5 mm, 10 mm, 5 mm]", "margins: [5 mm, 5 mm, 10 mm]"),
    ("printer", "demo/printer.yaml", "dpi: 600", "DPI: 600"),
    ("printer", "demo/printer.yaml", "printer: desk inkjet", "name: desk inkjet"),
    ("inks", "demo/common-inks.yaml", "white: {kind: white}", "white: {kind: wite}"),
    ("inks", "demo/common-inks.yaml", '{colour: "#9c4a22"}', '{hue: "#9c4a22"}'),
    ("layout", "layouts/door-band.yaml", "layout: door-band", "name: door-band"),
    ("layout", "layouts/door-band.yaml", "    - field:", "    - feild:"),
    ("layout", "layouts/door-band.yaml", "        cap height:", "        capheight:"),
    ("layout", "layouts/door-band.yaml", "sample:", "samples:"),
]


@pytest.mark.parametrize(("kind", "files", "right", "wrong"), SPOILT, ids=[f"{s[0]}-{s[3].strip()}" for s in SPOILT])
def test_what_is_spoilt_in_another_file_is_refused_by_both(
    kind: str, files: str, right: str, wrong: str, tmp_path: Path
):
    texts = [path.read_text(encoding="utf-8") for path in sorted(ROOT.glob(files))]
    text = next(text for text in texts if right in text)
    assert JUDGES[kind].is_valid(as_json(text))
    spoilt = text.replace(right, wrong, 1)
    assert not JUDGES[kind].is_valid(as_json(spoilt))
    if kind == "inks":
        (tmp_path / "inks.yaml").write_text(spoilt, encoding="utf-8")
        said = refusal("job", "job: a\nbody: white\ninclude: inks.yaml\n", tmp_path)
    else:
        said = refusal(kind, spoilt.replace("door-band", "my-band"), tmp_path)
    assert said


def test_another_schema_is_suggested():
    with pytest.raises(DecalgenError, match="there is no schema of 'printr'") as told:
        schema_of("printr")
    assert told.value.fix == "did you mean 'printer'?"


CHAPTERS = sorted((ROOT / "decalgen" / "pages" / "handbook").glob("*.md"))
WHOLE = [
    (path.name, kind, text)
    for path in (ROOT / "README.md", *CHAPTERS)
    for text in blocks(path, "yaml")
    for kind in ("job", "film", "printer", "cutter")
    if text.startswith(f"{kind}:")
]


@pytest.mark.parametrize(
    ("name", "kind", "text"), WHOLE, ids=[f"{name}-{kind}-{n}" for n, (name, kind, _) in enumerate(WHOLE)]
)
def test_every_whole_file_in_readme_and_handbook_is_allowed(name: str, kind: str, text: str):
    JUDGES[kind].validate(as_json(re.sub(r"(?<=[\[ ])\?(?=[\],\n ])", '"?"', text)))


def test_there_are_such_files():
    assert {kind for _, kind, _ in WHOLE} == {"job", "film", "printer", "cutter"}
