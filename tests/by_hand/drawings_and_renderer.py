"""Own drawings against another renderer: how many flat files of a folder come out the same within 1 % of their area.

    python tests/by_hand/drawings_and_renderer.py FOLDER [MOST]

Every file without text (which is taken out on both sides) is drawn by rsvg-convert (librsvg2-bin of Debian) as it is,
and from our areas; the two pictures of 400 pixels are compared: the sum of what their pixels differ by, as a share of
what is painted. Files of which something is named as left out are not flat, and are counted apart. Folders this was
tried on: the W3C's SVG 1.1 test suite, as Debian's source package of librsvg carries it, and the packages
feather-icons, bootstrap-icons and flag-icons of npm (MIT).
"""

from __future__ import annotations

import io
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
from PIL import Image
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import polygons
from decalgen.core.svg.draw import SvgDrawn, draw_tree
from decalgen.core.svg.page import SvgPage, page_of
from decalgen.core.svg.text import SvgError
from decalgen.core.svg.tree import SVG, read_tree

PIXELS = 400
MM = 100.0
WORDS = ("text", "altGlyph", "tref", "tspan")


def without_text(text: str) -> str:
    """The drawing with its text elements taken out."""
    ElementTree.register_namespace("", SVG)
    root = ElementTree.fromstring(text)
    for parent in list(root.iter()):
        for child in list(parent):
            if str(child.tag).rpartition("}")[2] in WORDS:
                parent.remove(child)
    return ElementTree.tostring(root, encoding="unicode")


def ring(points: BaseGeometry) -> str:
    return "M" + "L".join(f"{x:.6f} {y:.6f}" for x, y in points.coords) + "Z"


def ours_as_svg(page: SvgPage, drawn: SvgDrawn) -> str:
    """Our areas in painting order, as paths of straight lines."""
    height = MM * page.height / page.width
    paths = []
    for one in drawn.areas:
        rings = [r for part in polygons(one.area) for r in (part.exterior, *part.interiors)]
        d = "".join(map(ring, rings))
        paths.append(f'<path fill="{one.colour}" fill-rule="evenodd" d="{d}"/>')
    return (
        f'<svg xmlns="{SVG}" width="{MM}" height="{height}" viewBox="0 0 {MM} {height}">'
        f'<g transform="matrix(1 0 0 -1 0 {height})">{"".join(paths)}</g></svg>'
    )


def rendered(svg: str) -> np.ndarray:
    """The picture, premultiplied, 0 to 1."""
    command = ["rsvg-convert", "--unlimited", "-w", str(PIXELS)]
    done = subprocess.run(command, input=svg.encode(), capture_output=True, timeout=60, check=True)
    pixels = np.asarray(Image.open(io.BytesIO(done.stdout)).convert("RGBA"), dtype=float) / 255
    pixels[..., :3] *= pixels[..., 3:]
    return pixels


def compare(path: Path) -> tuple[str, float, str]:
    """What a file is ('flat', 'not flat' or 'error'), how much differs, and what was left out."""
    try:
        text = without_text(path.read_text(encoding="utf-8"))
        tree = read_tree(text)
        page = page_of(tree.root)
        if not page.width:
            return "no size", 0.0, ""
        drawn = draw_tree(tree, MM / page.width)
    except (SvgError, ElementTree.ParseError, UnicodeDecodeError) as error:
        return "error", 0.0, str(error)
    left = "; ".join(f"{one.what}: {one.where[0]}" for one in drawn.left_out)
    if left:
        return "not flat", 0.0, left
    try:
        root = ElementTree.fromstring(text)
        root.set("width", f"{page.width}")
        root.set("height", f"{page.height}")
        theirs = rendered(f"{ElementTree.tostring(root, encoding='unicode')}")
        own = rendered(ours_as_svg(page, drawn))
    except subprocess.CalledProcessError as error:
        return "renderer", 0.0, error.stderr.decode()[:200]
    height = min(len(theirs), len(own))
    theirs, own = theirs[:height], own[:height]
    painted = max(theirs[..., 3].sum(), own[..., 3].sum(), 1.0)
    return "flat", float(np.abs(theirs - own).max(axis=2).sum() / painted), ""


def main(folder: str, most: int = 10**9) -> None:
    files = sorted(Path(folder).rglob("*.svg"))
    files = files[:: max(1, len(files) // most)]
    kinds: Counter[str] = Counter()
    good = 0
    slow = ("", 0.0)
    for path in files:
        start = time.perf_counter()
        kind, off, why = compare(path)
        took = time.perf_counter() - start
        slow = max(slow, (path.name, took), key=lambda one: one[1])
        kinds[kind] += 1
        good += kind == "flat" and off <= 0.01
        if kind != "flat" or off > 0.01:
            print(f"{kind:9} {path.name} {off:.2%} {why}")
    flat = kinds["flat"]
    print(f"{len(files)} files: {dict(kinds)}; of {flat} flat ones {good} agree ({good / max(flat, 1):.1%})")
    print(f"slowest: {slow[0]}, {slow[1]:.2f} s")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 10**9)
