"""What a command loads before it does anything: counted, not timed, so that no busy machine decides.

Limits stand a little above what was counted when they were set; one that is passed asks whether the import is needed
there. Times are measured by hand: `tests/benchmarks/start.py`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = (
    "shapely",
    "numpy",
    "ruamel.yaml",
    "yaml",
    "uharfbuzz",
    "fontTools",
    "PIL",
    "pint",
    "reportlab",
    "scipy",
    "coloraide",
)
COUNT = """
import contextlib, dataclasses, io, json, sys
from decalgen.cli.main import main
with contextlib.suppress(SystemExit), contextlib.redirect_stdout(io.StringIO()):
    main(sys.argv[1:])
own = [name for name in sys.modules if name.startswith("decalgen.")]
values = {v for name in own for v in vars(sys.modules[name]).values()
          if isinstance(v, type) and dataclasses.is_dataclass(v) and v.__module__.startswith("decalgen.")}
print(json.dumps([len(own), len(values), sorted(sys.modules)]))
"""


@pytest.mark.parametrize(
    ("words", "modules", "values", "heavy"),
    [
        (("--help",), 29, 6, []),
        (("schema",), 144, 164, ["shapely", "numpy"]),
        (("check", "demo/gannet.yaml"), 214, 205, ["shapely", "numpy", "yaml", "uharfbuzz"]),
    ],
    ids=lambda found: found[0] if isinstance(found, tuple) else "",
)
def test_what_a_command_loads(
    repository: Path, words: tuple[str, ...], modules: int, values: int, heavy: list[str]
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", COUNT, *words], capture_output=True, text=True, check=True, cwd=repository
    )
    own, classes, loaded = json.loads(done.stdout.splitlines()[-1])
    assert own <= modules and classes <= values, (own, classes)
    assert [name for name in HEAVY if name in loaded] == heavy
