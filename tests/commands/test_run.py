"""The demo's four jobs through the commands: the same bytes wherever and however they are run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.helpers.commands import code_on

PLACES = (
    {"TZ": "Asia/Kolkata", "LC_ALL": "C", "PYTHONHASHSEED": "1"},
    {"TZ": "America/St_Johns", "LC_ALL": "tr_TR.UTF-8", "PYTHONHASHSEED": "77"},
)


def test_the_demo_has_the_same_bytes_whatever_the_time_zone_locale_and_hash_seed(
    repository: Path, tmp_path: Path
) -> None:
    demo = repository / "demo"
    jobs = [str(demo / f"{name}.yaml") for name in ("gannet", "h9", "ostmerrow", "dravenhoe")]
    more = ["--film", str(demo / "films" / "white-a5.yaml"), "--film", str(demo / "films" / "clear-a5.yaml")]
    more += ["--printer", str(demo / "printer.yaml"), "--effort", "quick"]
    made = []
    for number, place in enumerate(PLACES):
        here = tmp_path / str(number)
        here.mkdir()
        for words in (
            ["proof", *jobs, *more, "-o", "four-proof.pdf"],
            ["proof", "passed", "four-proof.pdf", "--x", "99.9", "--y", "100.1", "--code"],
            ["sheet", *jobs, *more, "-o", "four-sheet.pdf", "-o", "four-sheet.svg"],
        ):
            code = [code_on(here / "four-proof.pdf")] if words[-1] == "--code" else []
            subprocess.run(
                [sys.executable, "-m", "decalgen", *words, *code],
                cwd=here,
                env={**os.environ, **place},
                check=True,
                capture_output=True,
            )
        made.append({path.name: path.read_bytes() for path in here.iterdir()})
    assert len(made[0]) == 7, sorted(made[0])
    assert made[0] == made[1]
