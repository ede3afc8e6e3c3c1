"""Ten thousand spoilt files, by hand: `python tests/fuzz/by_hand.py [COUNT] [SEED] [KIND...]`.

Says for each kind how many were read, the longest time, the most memory, and every fault. Each kind is read in a
process of its own, so that a crash of a library is seen and named too.
"""

from __future__ import annotations

import multiprocessing
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.fuzz.readers import KINDS, furnish, outcome, spoilt


def work(name: str, count: int, seed: int, source: str, told: Any) -> None:
    """One kind; reports its slowest, its memory and its faults."""
    import os

    kind = KINDS[name]
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(source, folder, dirs_exist_ok=True)
        os.chdir(folder)
        os.environ["DECALGEN_DATA"] = str(Path(folder) / "data")
        good = Path(kind.file).read_bytes()
        outcome(kind.read)
        for number in range(count):
            label = f"{seed} {name} {number}"
            data = spoilt(kind, good, label)
            Path(kind.file).write_bytes(data)
            told.send(("next", label, 0.0, 0.0))
            start = time.process_time()
            fault, _ = outcome(kind.read)
            spent = time.process_time() - start
            most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            told.send(("fault" if fault else "good", f"{label}: {fault}", spent, most))
        told.send(("done", "", 0.0, 0.0))
        os.chdir("/")


def main() -> None:
    """All kinds, or those named."""
    sys.stdout.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    names = sys.argv[3:] or list(KINDS)
    whole = sum(KINDS[name].share for name in names)
    total = faults = 0
    with tempfile.TemporaryDirectory() as source:
        furnish(Path(source))
        for name in names:
            ours, theirs = multiprocessing.Pipe(False)
            each = max(1, round(count * KINDS[name].share / whole))
            child = multiprocessing.Process(target=work, args=(name, each, seed, source, theirs))
            child.start()
            theirs.close()
            slowest, most, read, last, seen = 0.0, 0.0, 0, "", set()
            ended = False
            try:
                while not ended:
                    what, label, spent, memory = ours.recv()
                    ended = what == "done"
                    last = label if what == "next" else last
                    read += what in ("good", "fault")
                    if spent > slowest:
                        slowest, where = spent, label
                    most = max(most, memory)
                    if what == "fault":
                        faults += 1
                        end = label.strip().splitlines()[-1]
                        if end not in seen:
                            seen.add(end)
                            print(f"FAULT {label}", flush=True)
            except EOFError:
                faults += 1
                print(f"CRASH {last}", flush=True)
            child.join()
            total += read
            print(f"{name:18} {read:6} read  longest {slowest:5.2f} s ({where[:40]!r})  {most:4.0f} MB", flush=True)
    print(f"{total} files, {faults} faults")
    sys.exit(bool(faults))


if __name__ == "__main__":
    main()
