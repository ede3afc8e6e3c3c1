"""A new job tells an editor which schema it follows, and the schema lies beside it: no network needed."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import jsonschema

from decalgen.commands.editor_help import SCHEMA_FILE
from decalgen.commands.interview import MARK
from decalgen.job.schema import job_schema
from tests.cli.test_new import VAN, answering, run
from tests.helpers.commands import Run
from tests.job.test_schema import as_json

__all__ = ["answering", "run"]
# The modeline of the YAML language server (github.com/redhat-developer/yaml-language-server, README, "Using inlined
# schema"; from memory): a comment of this form names a schema by a URL or by a path from the file.
MODELINE = re.compile(r"^# yaml-language-server: \$schema=(\S+)$", re.MULTILINE)


def schema_named(job: Path) -> dict[str, object]:
    """The schema that an editor would load for a job."""
    text = job.read_text(encoding="utf-8")
    (named,) = MODELINE.findall(text)
    assert "/" not in named and "\\" not in named
    found: dict[str, object] = json.loads((job.parent / named).read_text(encoding="utf-8"))
    # A bare ? is no text in YAML; what it stands for is the text of one.
    text = re.sub(r"(?<=[\[ ])\?(?=[\],\n])", '"?"', text)
    jsonschema.Draft202012Validator(found).validate(as_json(text))
    return found


def test_a_job_from_options_names_the_schema_beside_it(run: Run):
    said = run("new", "van.yaml", "--yes")
    assert said.code == 0, said.text
    assert schema_named(Path("van.yaml")) == job_schema()
    assert SCHEMA_FILE in said.out


def test_so_does_an_unfinished_one_and_its_first_line_still_says_what_is_next(
    run: Run, answering: Callable[[list[str]], list[str]]
):
    answering([typed for _, typed in VAN][:9])
    run("new", "van.yaml")
    assert Path("van.yaml").read_text(encoding="utf-8").startswith(MARK)
    schema_named(Path("van.yaml"))
    answering([typed for _, typed in VAN][9:])
    assert run("new", "van.yaml").code == 0
    schema_named(Path("van.yaml"))


def test_an_older_schema_of_ours_is_made_anew_and_a_file_of_others_is_left(run: Run):
    there = Path(SCHEMA_FILE)
    there.write_text('{"title": "decalgen job", "of": "an earlier version"}', encoding="utf-8")
    run("new", "van.yaml", "--yes")
    assert json.loads(there.read_text(encoding="utf-8")) == job_schema()
    for other in ('{"title": "mine"}', "not JSON", "[]"):
        there.write_text(other, encoding="utf-8")
        assert run("new", f"van{len(other)}.yaml", "--yes").code == 0
        assert there.read_text(encoding="utf-8") == other
