"""The examples of `decalgen keys`, put into whole files and read by the readers themselves."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any
from unittest.mock import patch

from decalgen.core.errors import JobError
from decalgen.core.pixels.example import example_png
from decalgen.core.resources import resource_folder
from decalgen.job.files import source_of
from decalgen.job.films import load_cutter, load_film, load_printer
from decalgen.job.key_groups import KeyGroup
from decalgen.job.layouts import read_layout
from decalgen.job.loader import job_as_written
from decalgen.job.merge import document
from decalgen.job.problems import Problems
from decalgen.job.reference import lines_of, value_of
from decalgen.job.samples import sample
from decalgen.job.written import rows
from decalgen.shapes.drawing import EXAMPLE

PROFILE = Path(__file__).resolve().parents[2] / "decalgen" / "colour" / "coated_tr006.icc"
HEAD: dict[str, Any] = {
    "job": "example",
    "body": "white",
    "scale": "1:43",
    "panels": {
        "door": {
            "width": "22.40 mm",
            "height": "11.60 mm",
            "obstacles": {
                "handle": {"rectangle": ["3.0 mm", "0.8 mm"], "at": ["16 mm", "8 mm"]},
                "shut line": {"line": [["8 mm", "0 mm"], ["8 mm", "11.6 mm"]], "width": "0.4 mm"},
                "fuel flap": {"line": [["12 mm", "0 mm"], ["12 mm", "5 mm"]], "width": "0.4 mm"},
            },
        }
    },
    "decals": {"ground": {"panel": "door", "artwork": [{"field": {"ink": "white"}}]}},
}
"""What the examples take for granted: a measured panel with obstacles, and another decal."""


def laid_over(below: Any, above: Any) -> Any:
    """Groups key by key; anything else replaced."""
    if isinstance(below, dict) and isinstance(above, dict):
        return {**below, **{key: laid_over(below.get(key), value) for key, value in above.items()}}
    return above


def problem(page: str, tree: dict[str, Any], folder: Path) -> str:
    """What the reader of that page's files says of it; '' for nothing."""
    alone = page in ("film", "printer", "cutter", "layout")
    return refusal(page, "\n".join(rows(tree, 0)) + "\n" if alone else job_text(tree), folder)


def job_text(tree: dict[str, Any]) -> str:
    """A whole job with an example in it."""
    head = {**HEAD, "panels": {}, "decals": {}} if "panels" in tree else HEAD
    return "\n".join(rows(laid_over(head, tree), 0)) + "\n"


def refusal(page: str, text: str, folder: Path) -> str:
    """What the reader says of a whole file; '' for nothing."""
    path = folder / "example.yaml"
    (folder / "common-inks.yaml").write_text("inks: {night sea: '#1d2b4a'}\n", encoding="utf-8")
    (folder / "crest.svg").write_text(EXAMPLE, encoding="utf-8")
    (folder / "emblem.png").write_bytes(example_png())
    (folder / "fonts").mkdir(exist_ok=True)
    shutil.copy(resource_folder("fonts") / "arvo" / "Arvo-Bold.ttf", folder / "fonts" / "old.ttf")
    (folder / "desk-inkjet.icc").write_bytes(PROFILE.read_bytes())
    try:
        if page in ("film", "printer", "cutter"):
            path.write_text(text, encoding="utf-8")
            {"film": load_film, "printer": load_printer, "cutter": load_cutter}[page](path)
        elif page == "layout":
            problems = Problems()
            group = document(source_of(text, "my-band.yaml"), problems)
            assert group is not None
            layout = read_layout("my-band", group, problems)
            if layout is None or len(problems):
                raise JobError(problems.sorted())
            # Its decal is read where a job uses it.
            with patch("decalgen.job.layouts.load_layout", return_value=layout):
                sample(layout)
        else:
            job_as_written(text, path)
    except JobError as error:
        return f"{error}\n{text}"
    return ""


def row_problem(page: str, group: KeyGroup, key: str, folder: Path) -> str:
    """What the reader says of one key's example beside what must be given, in the way that suits it best."""
    specs = {spec.key: spec for spec in group.specs()}
    said = []
    for way in group.ways or (frozenset(),):
        base = {k: value_of(group, s) for k, s in specs.items() if s.required or k in way}
        told = problem(page, group.around({**base, **lines_of(group, specs[key])}), folder)
        if not told:
            return ""
        said.append(told)
    return said[0]
