"""How long fades take to draw; run by hand.

    python tests/benchmarks/fades.py

Lines and dots from 80 to 15 % at a pitch of 1 mm, running on by 0.5 mm, over two sizes: how many areas come out, and
processor time, the best of three.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.shapes.base import Box
from decalgen.shapes.fade import Fade


def main() -> None:
    """Prints the figures."""
    for marks in ("lines", "dots"):
        fade = Fade("navy", tones=(80.0, 15.0), marks=marks)
        for size in (Box(40.0, 10.0), Box(70.0, 25.0)):
            spent = []
            for _ in range(3):
                before = time.process_time()
                (drawn,) = fade.draw(size, 0.5)
                spent.append(time.process_time() - before)
            print(f"{marks} {size.width:g} x {size.height:g} mm: {len(drawn.region.geoms)} areas, {min(spent):.3f} s")


if __name__ == "__main__":
    main()
