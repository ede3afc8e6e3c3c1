"""Measured prints to judge the colour model by: CMYK characterisation data and the ink pairs in it.

Every patch that holds the inks A and B together is a measured "ink A over the coloured ground B", if A alone and B
alone were measured too. Data: see tests/data/characterisation/SOURCE.txt; all nine sets are in the Debian package
icc-profiles-free.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations, product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from decalgen.colour.model import INTERNAL_REFLECTION, look

Array = NDArray[np.float64]

DEVELOPED = ("FOGRA39L", "TR006", "FOGRA29L", "TR002")
"""The model was chosen and tuned on these; figures on them prove nothing."""

HELD = ("FOGRA28L", "FOGRA30L", "FOGRA40L", "TR003", "TR005")
"""Kept apart to judge by."""

FRESH = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
"""A profile of offset print from another source, by the package libgs-common: looked at once the model was final, and
by no fit or choice before that. Its looks are what its maker's table gives, in steps of 8 bits, which alone makes the
mean error some 0.1 larger."""

FOLDERS = (
    Path("/usr/share/color/icc"),
    Path(__file__).parents[1] / "data" / "characterisation",
)

WHITE = np.array([0.9642, 1.0, 0.8249])
"""D50 as ICC profiles and the data sets take it."""

# XYZ (D50) to linear sRGB, Bradford adapted (IEC 61966-2-1, CSS Color 4 sample code).
SRGB = np.array(
    [[3.1341359, -1.6173864, -0.4906619], [-0.9787955, 1.9162544, 0.0334427], [0.0719554, -0.2289768, 1.4053860]]
)


def find(name: str) -> Path | None:
    """The file of a data set, installed or kept with the tests."""
    return next((path for folder in FOLDERS if (path := folder / f"{name}.ti3").is_file()), None)


def available(names: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the data sets that are there."""
    return tuple(name for name in names if find(name))


@dataclass(frozen=True)
class Pairs:
    """Ink over ground: XYZ of the ink on paper, of the ground, of both together (measured), and of the paper.

    ``chromatic``: the ink on top holds no black. ``on_solid``: no black at all, and the ground is of full inks, as a
    painted body is. ``solid``: one full cyan, magenta or yellow on one full other ink, black included. ``floor``: Y of
    the darkest patch.
    """

    name: str
    ink: Array
    ground: Array
    both: Array
    paper: Array
    chromatic: NDArray[np.bool_]
    on_solid: NDArray[np.bool_]
    solid: NDArray[np.bool_]
    floor: float

    def every(self, step: int) -> Pairs:
        """One pair in ``step``."""
        rows = {
            name: getattr(self, name)[::step] for name in ("ink", "ground", "both", "chromatic", "on_solid", "solid")
        }
        return replace(self, **rows)


def read(name: str) -> tuple[Array, Array]:
    """(ink percentages, XYZ with Y of a perfect white at 1), patch by patch."""
    path = find(name)
    assert path is not None, f"{name} is not here: install icc-profiles-free"
    lines = path.read_text(encoding="latin-1").splitlines()
    start = next(i for i, line in enumerate(lines) if line.strip() == "BEGIN_DATA") + 1
    end = next(i for i, line in enumerate(lines) if line.strip() == "END_DATA")
    rows = np.array([[float(value) for value in line.split()[1:8]] for line in lines[start:end]])
    return rows[:, :4], rows[:, 4:7] / 100


def pairs(name: str) -> Pairs:
    """All pairs of a data set, in both orders."""
    return _paired(name, *read(name))


def _paired(name: str, inks: Array, xyz: Array) -> Pairs:
    where: dict[tuple[float, ...], int] = {}
    for i, row in enumerate(inks):
        where.setdefault(tuple(row), i)
    found = []
    for patch, i in where.items():
        used = [c for c in range(4) if patch[c] > 0]
        for count in range(1, len(used)):
            for top in combinations(used, count):
                over = tuple(v if c in top else 0.0 for c, v in enumerate(patch))
                under = tuple(0.0 if c in top else v for c, v in enumerate(patch))
                if over in where and under in where:
                    found.append((where[over], where[under], i))
    over, under, both = np.array(found).T
    single = ((inks[over] > 0).sum(axis=1) == 1) & ((inks[under] > 0).sum(axis=1) == 1)
    full = np.isin(inks[both], (0.0, 100.0)).all(axis=1)
    chromatic = inks[over][:, 3] == 0
    return Pairs(
        name,
        xyz[over],
        xyz[under],
        xyz[both],
        xyz[where[0.0, 0.0, 0.0, 0.0]],
        chromatic,
        (inks[both][:, 3] == 0) & np.isin(inks[under], (0.0, 100.0)).all(axis=1),
        single & full & chromatic,
        float(xyz[:, 1].min()),
    )


def profile_pairs(path: Path, levels: tuple[int, ...] = (0, 25, 50, 75, 100), most: int = 300) -> Pairs:
    """All pairs of a CMYK profile's own table at some ink percentages, up to ``most`` percent of ink altogether."""
    from PIL import Image, ImageCms

    profile = ImageCms.getOpenProfile(str(path))
    grid = np.array([row for row in product(levels, repeat=4) if sum(row) <= most], dtype=float)
    pixels = Image.frombytes("CMYK", (len(grid), 1), (grid * 2.55).round().astype(np.uint8).tobytes())
    change = ImageCms.buildTransform(profile, ImageCms.createProfile("LAB", 5000), "CMYK", "LAB", 1, 0)
    seen = np.frombuffer(ImageCms.applyTransform(pixels, change).tobytes(), np.uint8).reshape(-1, 3).astype(float)
    light, a, b = seen[:, 0] / 2.55, (seen[:, 1] + 128) % 256 - 128, (seen[:, 2] + 128) % 256 - 128
    f = np.stack([(light + 16) / 116 + a / 500, (light + 16) / 116, (light + 16) / 116 - b / 200], axis=1)
    # Relative to the paper, as profiles are (ICC.1:2010, 6.3.2); the media white point takes it back.
    xyz = np.where(f**3 > 216 / 24389, f**3, (116 * f - 16) * 27 / 24389) * np.array(
        profile.profile.media_white_point[0]
    )
    return _paired(path.stem, grid, xyz)


def lab(xyz: Array) -> Array:
    """CIE L*a*b* under D50 (CIE 15)."""
    t = xyz / WHITE
    f = np.where(t > 216 / 24389, np.cbrt(np.maximum(t, 0)), (24389 / 27 * t + 16) / 116)
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=1)


def delta_e(one: Array, other: Array) -> Array:
    """CIEDE2000 of rows of Lab (Sharma, Wu, Dalal 2005), for thousands at a time; held against the project's own
    in tests/published/test_colour.py."""
    (l1, a1, b1), (l2, a2, b2) = one.T, other.T
    mean = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    g = 0.5 * (1 - np.sqrt(mean**7 / (mean**7 + 25.0**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    grey = c1 * c2 == 0
    turn = h2 - h1
    turn = np.where(turn > 180, turn - 360, np.where(turn < -180, turn + 360, turn))
    turn = np.where(grey, 0, turn)
    hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    total = h1 + h2
    middle = np.where(np.abs(h1 - h2) <= 180, total / 2, np.where(total < 360, (total + 360) / 2, (total - 360) / 2))
    middle = np.where(grey, total, middle)
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * np.cos(np.radians(middle - 30))
        + 0.24 * np.cos(np.radians(2 * middle))
        + 0.32 * np.cos(np.radians(3 * middle + 6))
        - 0.20 * np.cos(np.radians(4 * middle - 63))
    )
    sl = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    sc, sh = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    rt = -np.sin(np.radians(60 * np.exp(-(((middle - 275) / 25) ** 2))))
    rt = rt * 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    x, y, z = (l2 - l1) / sl, (c2 - c1) / sc, hue / sh
    return np.sqrt(x * x + y * y + z * z + rt * y * z)


def predict(found: Pairs, k2: float = INTERNAL_REFLECTION) -> Array:
    """XYZ by the project's model."""
    paper = (float(found.paper[0]), float(found.paper[1]), float(found.paper[2]))
    return np.array(
        [
            look(tuple(ink), paper, tuple(ground), found.floor, k2)
            for ink, ground in zip(found.ink.tolist(), found.ground.tolist(), strict=True)
        ]
    )


def errors(found: Pairs, predicted: Array) -> Array:
    """CIEDE2000 of each prediction against what was measured."""
    return delta_e(lab(predicted), lab(found.both))
