"""Wall time of `decalgen --help` and of the demo's four jobs to a sheet and a proof; by hand.

python tests/benchmarks/start.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMO = Path(__file__).parents[2] / "demo"
JOBS = [str(DEMO / f"{name}.yaml") for name in ("gannet", "h9", "ostmerrow", "dravenhoe")]
FILMS = ["--film", str(DEMO / "films" / "white-a5.yaml"), "--film", str(DEMO / "films" / "clear-a5.yaml")]
PRINTER = ["--printer", str(DEMO / "printer.yaml")]
UNPROVEN = ["--nest-again", "--without-proof", "only timed, never printed"]


def best(words: list[str], runs: int = 5) -> float:
    """The least wall time of some runs of a command, seconds, its start included."""
    times = []
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(runs):
            begin = time.perf_counter()
            subprocess.run([sys.executable, "-m", "decalgen", *words], cwd=folder, check=True, capture_output=True)
            times.append(time.perf_counter() - begin)
    return min(times)


def main() -> None:
    """Prints the times beside what is asked of them."""
    print(f"--help: {best(['--help']):.3f} s (asked: 0.15 s)")
    jobs = [*JOBS, *FILMS, *PRINTER]
    print(f"four jobs to a sheet: {best(['sheet', *jobs, '-o', 'sheet.pdf', *UNPROVEN], 3):.2f} s (asked: 2 s)")
    print(f"four jobs to a proof: {best(['proof', *jobs, '-o', 'proof.pdf'], 3):.2f} s")


if __name__ == "__main__":
    main()
