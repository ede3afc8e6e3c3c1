"""`check --json`: its form by jsonschema, its findings against those in words, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from decalgen.commands import run as runs
from decalgen.commands.check import check
from decalgen.commands.check_json import FORM, check_schema
from decalgen.core.errors import EXIT_FINDINGS
from tests.helpers.commands import Run, edited, runner

JOB = """job: tug
title: Harbour tug
date: 2026-11-25
body: navy
film: white
paints: {navy: "#1d2b4a"}
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels:
  door:
    width: 22.4 mm ± 0.05
    height: 11.6 mm ± 0.05
    obstacles:
      handle: {rectangle: [3.0 mm, 0.8 mm], at: [16.5 mm, 8.2 mm], clearance: 0.3 mm}
decals:
  band:
    panel: door
    hands: both
    width: 20 mm
    height: 5 mm
    spares: 1
    artwork:
      - stripe: {stripe width: 0.1 mm, length: 12 mm, ink: lifebuoy orange}
"""
JUDGE = jsonschema.Draft202012Validator(check_schema())


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys)


def told(run: Run, code: int, *files: str) -> dict[str, Any]:
    """What is printed, once it is of the form, and the check in words ends the same."""
    said = run("check", *(files or ("tug.yaml",)), "--json")
    assert (said.code, said.err) == (code, "")
    found: dict[str, Any] = json.loads(said.out)
    JUDGE.validate(found)
    assert run("check", *(files or ("tug.yaml",))).code == code
    return found


def test_the_schema_is_one_and_is_printed(run: Run) -> None:
    jsonschema.Draft202012Validator.check_schema(check_schema())
    assert json.loads(run("schema", "--of-check").out) == check_schema()
    assert not JUDGE.is_valid({"form": FORM})


def test_findings_are_those_in_words_with_their_figures(run: Run) -> None:
    found = told(run, 0)
    words = check(runs.Run([Path("tug.yaml")])).findings
    assert [(f["severity"], f["code"], f["subject"], f["message"]) for f in found["findings"]] == [
        (f.severity, f.code, f.subject, f.message) for f in words
    ]
    assert found["errors"] == 0
    assert found["warnings"] == sum(f.severity == "warning" for f in words) >= 2
    (line,) = [f for f in found["findings"] if f["code"] == "thin-line" and f["subject"] == "band, left"]
    assert (line["measured"], line["limit"], line["unit"]) == (pytest.approx(0.1, abs=1e-3), 0.15, "mm")
    assert line["place"] == {"file": "tug.yaml", "line": 15, "column": 3}
    # 12 mm in the middle of 20 x 5 mm, with a tenth of a millimetre round it.
    assert line["areas"] == [pytest.approx([3.9, 2.35, 16.1, 2.65], abs=1e-3)]
    assert all(f["fix"] is None or f["fix"] for f in found["findings"])


def test_fits_have_their_figures(run: Run) -> None:
    (job,) = told(run, 0)["jobs"]
    assert (job["job"], job["title"], job["panels"], job["decals"], job["pieces"]) == ("tug", "Harbour tug", 1, 1, 4)
    left, right = job["fits"]
    assert (left["decal"], left["title"], right["title"]) == ("band", "band, left", "band, right")
    assert left["width"] == {"value": 20, "U": 0}
    # (22.4 - 20) / 2 a side; U = 2 x 0.05 / sqrt 3 / 2 (JCGM 100:2008, 4.3.7).
    (edge,) = [c for c in left["clearances"] if (c["to"], c["kind"]) == ("left", "edge")]
    assert edge == {"to": "left", "kind": "edge", "value": 1.2, "U": 0.0289, "verdict": "fits"}


def test_arches_and_slits_are_of_the_form_too(run: Run) -> None:
    points = "[[0 mm, 0 mm], [5 mm, 0 mm], [15 mm, 0 mm], [22.4 mm, 0 mm], [22.4 mm, 11.6 mm], [0 mm, 11.6 mm]]"
    edited("width: 22.4 mm ± 0.05", f"outline: {points}")
    edited("height: 11.6 mm ± 0.05", "arcs: [0, -5 mm, 0, 0, 0, 0]")
    edited("handle: {", "shut line: {line: [[20 mm, 0 mm], [20 mm, 11.6 mm]], width: 0.3 mm}\n      handle: {")
    edited("height: 5 mm", "height: 5 mm\n    slits: shut line")
    fit = told(run, EXIT_FINDINGS)["jobs"][0]["fits"][0]
    (arch,) = [c for c in fit["clearances"] if c["kind"] == "arch"]
    # The arch stands 5 high, the band's foot at 3.3.
    assert (arch["to"], arch["value"], arch["verdict"]) == ("side 2", pytest.approx(-1.7, abs=0.01), "too big")
    assert (fit["across"], fit["slits"]) == (["shut line"], 2)


def test_errors_end_with_the_code_of_the_check(run: Run) -> None:
    edited("width: 20 mm", "width: 25 mm")
    found = told(run, EXIT_FINDINGS)
    assert found["errors"] == 2
    (first, _) = [f for f in found["findings"] if f["severity"] == "error"]
    # 25 on 22.4: 1.3 mm over on either side, 2.6 in all.
    assert (first["code"], first["measured"], first["limit"]) == ("off-panel", pytest.approx(-2.6), 0)
    assert sorted(area[0] for area in first["areas"]) == [pytest.approx(-0.1), pytest.approx(23.6)]
    assert found["jobs"][0]["fits"][0]["verdict"] == "too big"


@pytest.mark.parametrize(("panel", "verdict"), [("22.4 mm", "lettering cut off"), ("19 mm", "too big")])
def test_film_that_fits_does_not_fit_with_its_lettering_cut_off(run: Run, panel: str, verdict: str) -> None:
    edited("    height: 5 mm", "    height: 5 mm\n    at: bottom")
    before = told(run, 0)["jobs"][0]["fits"]
    assert [(fit["verdict"], fit["cut off"]) for fit in before] == [("fits", False)] * 2
    edited("width: 22.4 mm ± 0.05", f"width: {panel} ± 0.05")
    words = "lettering: {text: HARBOUR STORES, cap height: 4 mm, ink: lifebuoy orange}"
    edited("    artwork:\n", f"    artwork:\n      - {words}\n")
    fits = told(run, EXIT_FINDINGS)["jobs"][0]["fits"]
    assert [(fit["verdict"], fit["cut off"]) for fit in fits] == [(verdict, True)] * 2


def test_mistakes_and_missing_files_are_findings_too(run: Run) -> None:
    edited("stripe width: 0.1 mm", "stripe wdith: 0.1 mm")
    found = told(run, 2)
    assert (found["jobs"], found["findings"][0]["code"]) == ([], "mistake")
    assert found["findings"][0]["place"]["line"] == 22
    lost = told(run, 3, "none.yaml")
    assert (lost["errors"], lost["findings"][0]["code"]) == (1, "cannot-read")


def test_the_same_text_twice(run: Run) -> None:
    assert run("check", "tug.yaml", "--json").out == run("check", "tug.yaml", "--json").out
