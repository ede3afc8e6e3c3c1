"""How well the bend of a lens is taken out of real photographs, by hand: ``python -m tests.benchmarks.lens [FOLDER]``.

FOLDER holds left01.jpg to left14.jpg of OpenCV's samples (Debian: opencv-doc; Apache 2.0), a board of 9 × 6 inner
corners, 25 mm apart. OpenCV (pip: opencv-python-headless) finds the corners; the four outermost are the known points,
rows and columns of corners the straight lines (all, or the four sides alone, as of a card). Told: how far all corners
are off that are predicted from these, in % of a square; beside it what OpenCV's own calibration by all corners of all
photographs, with five terms, leaves over: no better than that can be seen with these corners.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.scan.lens import lens_of
from decalgen.scan.scale import CardCorners, by_corners

FOLDER = Path("/usr/share/doc/opencv-doc/examples/data")
COLUMNS, ROWS, SQUARE = 9, 6, 25.0
HALF_WINDOW = 7
TRUTH = np.array([(x * SQUARE, y * SQUARE) for y in range(ROWS) for x in range(COLUMNS)])
OUTER = [0, COLUMNS - 1, ROWS * COLUMNS - 1, (ROWS - 1) * COLUMNS]


def main(folder: Path) -> None:
    import cv2

    found: dict[str, FloatArray] = {}
    size = (0, 0)
    for path in sorted(folder.glob("left??.jpg")):
        grey: Any = cv2.imread(str(path), 0)
        seen, corners = cv2.findChessboardCorners(grey, (COLUMNS, ROWS))
        if not seen:
            continue
        stop = (3, 100, 1e-5)
        corners = cv2.cornerSubPix(grey, corners, (HALF_WINDOW, HALF_WINDOW), (-1, -1), stop)
        found[path.stem] = np.asarray(corners, float).reshape(-1, 2) + 0.5
        size = (grey.shape[1], grey.shape[0])
    for sides, words in ((False, "rows and columns"), (True, "the four sides alone"), (None, "no lines")):
        offs = {name: off_by(at, size, sides) for name, at in found.items()}
        print(f"{words}: mean {np.mean([off.mean() for off in offs.values()]):.2f} %, "
              f"worst {max(off.max() for off in offs.values()):.2f} %")  # fmt: skip
        if sides is False:
            for name, off in offs.items():
                print(f"  {name}: mean {off.mean():.2f} %, worst {off.max():.2f} %")
    board = np.column_stack((TRUTH, np.zeros(len(TRUTH)))).astype(np.float32)
    seen_at = [at.reshape(-1, 1, 2).astype(np.float32) for at in found.values()]
    _, matrix, terms, turns, moves = cv2.calibrateCamera([board] * len(found), seen_at, size, None, None)
    rest = []
    for at, turn, move in zip(found.values(), turns, moves, strict=True):
        told = cv2.projectPoints(board, turn, move, matrix, terms)[0].reshape(-1, 2)
        squares = np.linalg.norm(np.diff(at.reshape(ROWS, COLUMNS, 2), axis=1), axis=2).mean()
        rest.append(100 * np.linalg.norm(told - at, axis=1) / squares)
    print(f"OpenCV, all corners: mean {np.mean([off.mean() for off in rest]):.2f} %, "
          f"worst {max(off.max() for off in rest):.2f} %")  # fmt: skip


def off_by(at: FloatArray, size: tuple[int, int], sides: bool | None) -> FloatArray:
    """How far corners are off, % of a square. ``sides``: by the four sides alone; None: without a lens."""
    grid = at.reshape(ROWS, COLUMNS, 2)
    lines = [*grid, *grid.transpose(1, 0, 2)]
    lines = [grid[0], grid[-1], grid[:, 0], grid[:, -1]] if sides else lines
    lens = None if sides is None else lens_of(lines, size)
    rectangle = ((COLUMNS - 1) * SQUARE, (ROWS - 1) * SQUARE)
    known = CardCorners(at[OUTER], 0.2, rectangle, (0.01, 0.01), "the board", lens)
    told = by_corners(known, at.mean(axis=0)).to_mm(at)
    return np.asarray(100 * np.linalg.norm(told - TRUTH, axis=1) / SQUARE, float)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
