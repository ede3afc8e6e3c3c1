"""Wrongly filled glyphs, over all glyphs of all shipped faces at four settings; run by hand.

The suite looks at a sample of the same (tests/lettering/test_winding.py).
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.lettering.faces import font_faces
from decalgen.lettering.shaping import outline
from tests.lettering import sweep


def main() -> int:
    looked, bad = 0, 0
    for face in font_faces():
        for axes in sweep.settings(face):
            found = list(sweep.wrong(face, axes))
            outline.cache_clear()
            looked += sweep.count(face)
            bad += len(found)
            print(f"{face.name:16} {sweep.count(face):5} glyphs, {len(found)} wrong {found[:8]}", flush=True)
    print(f"{looked} glyphs, {bad} wrongly filled")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
