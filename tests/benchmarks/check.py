"""Wall time of `decalgen check` of a job of ten decals with lettering, the whole process; by hand.

python tests/benchmarks/check.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

DECALS = 10
RUNS = 9
HEAD = """\
job: ten
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels:
  door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}
  bonnet: {chord: 24.20 mm ± 0.05, rise: 1.10 mm ± 0.10, length: 19.50 mm}
decals:
"""
DECAL = """\
  band NUMBER:
    panel: PANEL
    at: bottom
    width: panel.width - 2 mm
    height: 4 mm
    artwork:
      - field: {ink: lifebuoy orange}
      - checks: {rows: 2, columns: 12, height: 1.6 mm, at: top, inks: [white, lifebuoy orange]}
      - lettering: {text: HARBOUR STORES NUMBER, cap height: 1.4 mm, at: bottom + 0.5 mm, ink: white}
"""


def main() -> None:
    """Prints the best and the middle of some runs. The first one, which compiles the program, does not count."""
    each = (DECAL.replace("NUMBER", str(n)).replace("PANEL", ("door", "bonnet")[n % 2]) for n in range(DECALS))
    times = []
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "ten.yaml").write_text(HEAD + "".join(each), encoding="utf-8")
        for _ in range(RUNS + 1):
            begin = time.perf_counter()
            done = subprocess.run(
                [sys.executable, "-m", "decalgen", "check", "ten.yaml"], cwd=folder, capture_output=True, text=True
            )
            times.append(time.perf_counter() - begin)
    if "10 decals" not in done.stdout:
        raise SystemExit(done.stdout + done.stderr)
    rest = sorted(times[1:])
    print(f"check of {DECALS} decals: best {rest[0]:.2f} s, middle {rest[len(rest) // 2]:.2f} s (asked: 0.4 s)")


if __name__ == "__main__":
    main()
