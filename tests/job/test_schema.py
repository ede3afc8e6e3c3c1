"""The schema, by jsonschema (draft 2020-12): what the loader reads it allows, common mistakes it does not."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from decalgen.core.keys import specs
from decalgen.job.loader import load_job
from decalgen.job.schema import job_schema
from decalgen.panels.registry import kinds, obstacle_kinds
from decalgen.shapes.registry import load

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
