"""`python -m decalgen` does what the command `decalgen` does: both begin here."""

from __future__ import annotations

import gc
import os
import sys


def main() -> None:
    """Runs the command line. Ctrl-C while it is still being loaded stops it as quietly as later."""
    # Sums here are short: threads for linear algebra only wait, at a tenth of the processor time of a check.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Most of what a command makes lives until its end: cycles are looked for once in so many objects, not in 700.
    gc.set_threshold(50_000)
    try:
        from decalgen.cli.main import main as run
    except KeyboardInterrupt:
        # Nothing of the program may be there yet; and without a console there is no such stream.
        if sys.stderr is not None:
            print("\nstopped; no half-written file is left", file=sys.stderr)
        raise SystemExit(130) from None
    try:
        run()
    finally:
        # The process ends: the system takes its memory back, and no cycles need be looked for in what is left.
        gc.freeze()


if __name__ == "__main__":
    main()
