"""The placement guides of two hundred generated jobs, on A4, A5 and Letter in turn: words apart, off the margin, of at
least 8 points, every letter in list and drawing; by hand.

python tests/benchmarks/guide.py [FIRST LAST]
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

JOBS = 200


def main() -> int:
    """Tries every job, names those that fail, and prints how many decals there were and the time of one guide."""
    from tests.pages.test_guide import check_generated

    first, last = (int(word) for word in sys.argv[1:3]) if len(sys.argv) == 3 else (0, JOBS)
    failed, decals, begun = [], 0, time.process_time()
    for seed in range(first, last):
        try:
            decals += check_generated(seed)
        except AssertionError as error:
            failed.append(seed)
            print(f"job {seed}: {str(error).splitlines()[0] if str(error) else 'failed'}", flush=True)
    spent = (time.process_time() - begun) / max(1, last - first)
    print(f"{last - first} jobs, {decals} pieces, {len(failed)} failed; {spent:.2f} s of processor time each")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
