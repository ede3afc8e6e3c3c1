"""How far own drawings agree with another renderer; run by hand.

    python tests/benchmarks/drawings.py FOLDER [EACH]

Takes every SVG file (or each EACH-th) below a folder, without its text, as decalgen takes it. What has something that
is no flat ink is named with what that is, and not compared. All else is written again as plain filled polygons in
painting order; both files are drawn 800 pixels wide by `rsvg-convert` (librsvg), so that it is the reading that is
judged: styles, units, transforms, curves, strokes, dashes, clips, copies. The difference is the sum over the pixels of
the largest difference of a premultiplied channel, as a share of what is painted (of the page, where nothing is);
files agree within 1 %.

Sets that were used: the W3C's tests of SVG 1.1 as librsvg carries them (its source, rsvg/tests/fixtures), and the npm
packages feather-icons, bootstrap-icons and flag-icons (all MIT).
"""

from __future__ import annotations

import io
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import polygons
from decalgen.core.svg.draw import SvgDrawn, draw_tree
from decalgen.core.svg.page import page_of
from decalgen.core.svg.tree import read_tree

ACROSS = 800
"""Pixels."""
AGREES = 0.01
TEXT = re.compile(r"<text\b[^>]*/>|<text\b.*?</text\s*>", re.DOTALL)


def rendered(svg: Path) -> np.ndarray:
    """Premultiplied channels of a file as the other renderer draws it, 0 to 1."""
    command = ["rsvg-convert", "--width", str(ACROSS), "--keep-aspect-ratio", "--unlimited", str(svg)]
    done = subprocess.run(command, capture_output=True, check=True, timeout=60)
    pixels = np.asarray(Image.open(io.BytesIO(done.stdout)).convert("RGBA"), dtype=float) / 255
    pixels[..., :3] *= pixels[..., 3:]
    return pixels


def plain(drawn: SvgDrawn, width: float, height: float) -> str:
    """Areas as filled polygons in a page of its own, y down."""
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width!r} {height!r}" width="{width!r}" '
             f'height="{height!r}">']  # fmt: skip
    for one in drawn.areas:
        rings = [ring for part in polygons(one.area) for ring in (part.exterior, *part.interiors)]
        data = "".join("M" + "L".join(f"{x:.6f},{height - y:.6f}" for x, y in ring.coords[:-1]) + "Z" for ring in rings)
        parts.append(f'<path fill="{one.colour}" fill-rule="evenodd" d="{data}"/>')
    return "\n".join([*parts, "</svg>"])


def judged(source: Path, folder: Path) -> tuple[str, str]:
    """What came of a file, and what is to be said of it."""
    text = TEXT.sub("", source.read_text(encoding="utf-8", errors="replace"))
    try:
        tree = read_tree(text)
        page = page_of(tree.root)
        if not (page.width and page.height):
            return "no page", ""
        drawn = draw_tree(tree, 1.0)
    except DecalgenError as error:
        return "refused", error.message
    if drawn.left_out:
        return "named", "; ".join(one.what for one in drawn.left_out)
    theirs, ours = folder / source.name, folder / f"plain-{source.name}"
    theirs.write_text(text, encoding="utf-8")
    ours.write_text(plain(drawn, page.width, page.height), encoding="utf-8")
    try:
        one, other = rendered(theirs), rendered(ours)
    except subprocess.CalledProcessError as error:
        return "not drawn by the other", error.stderr.decode(errors="replace").strip()[:80]
    if abs(one.shape[0] - other.shape[0]) > 1:
        return "another page", f"{one.shape[:2]} and {other.shape[:2]}"
    high = min(one.shape[0], other.shape[0])
    apart = np.abs(one[:high] - other[:high]).max(axis=2).sum()
    share = apart / (max(one[..., 3].sum(), other[..., 3].sum()) or one[..., 3].size)
    return ("agrees" if share < AGREES else "differs"), f"{100 * share:.2f} %"


def main() -> None:
    """Prints each file that does not agree, what was named how often, and the figures."""
    root, each = Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1
    came: Counter[str] = Counter()
    named: Counter[str] = Counter()
    with TemporaryDirectory() as folder:
        for source in sorted(root.rglob("*.svg"))[::each]:
            kind, said = judged(source, Path(folder))
            came[kind] += 1
            if kind == "named":
                named.update(said.split("; "))
            elif kind != "agrees":
                print(f"{source.name}: {kind} {said}")
    print("left out, files:", ", ".join(f"{what} {count}" for what, count in named.most_common()))
    flat = came["agrees"] + came["differs"] + came["another page"]
    print(", ".join(f"{kind} {count}" for kind, count in came.most_common()))
    print(f"{came['agrees']} of {flat} flat files agree within {100 * AGREES:g} %")


if __name__ == "__main__":
    main()
