"""Processor time to load a job of 200 decals of six shapes each, and how much of it the YAML parser takes; by hand.

python tests/benchmarks/job.py
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from ruamel.yaml import YAML

from decalgen.job.loader import load_job

DECALS = 200
HEAD = """\
job: large
body: navy
inks: {lifebuoy orange: {colour: "#e8641b"}}
values: {edge: 1.0 mm}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
"""
DECAL = """\
  band NUMBER:
    panel: door
    hands: both
    at: {anchor: bottom, offset: [0 mm, 1.2 mm]}
    width: panel.width - 2 * edge
    height: 5.0 mm
    artwork:
      - checks: {rows: 2, columns: 12, height: 2.4 mm, at: top, inks: [white, lifebuoy orange]}
      - field: {height: 2.6 mm, at: bottom, ink: lifebuoy orange}
      - lettering: {text: HARBOUR STORES, cap height: 1.6 mm, at: bottom + 0.5 mm, ink: white}
      - field: {height: decal.height / 4, width: decal.width - 2 * edge, at: centre, ink: white}
      - stripe: {stripe width: 0.4 mm, at: top, ink: lifebuoy orange}
      - lettering: {text: "NUMBER", cap height: 1.6 mm, at: top - 0.5 mm, ink: white}
"""


def best(work: Callable[[], object], runs: int = 5) -> float:
    """The least processor time of some runs, seconds."""
    times = []
    for _ in range(runs):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return min(times)


def main() -> None:
    """Prints both times."""
    text = HEAD + "".join(DECAL.replace("NUMBER", str(n)) for n in range(DECALS))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.yaml"
        path.write_text(text, encoding="utf-8")
        whole = best(lambda: load_job(path))
    parsing = best(lambda: sum(1 for _ in YAML(typ="safe", pure=True).parse(text)))
    print(f"{DECALS} decals of 6 shapes: {whole:.2f} s, of which the parser alone {parsing:.2f} s")


if __name__ == "__main__":
    main()
