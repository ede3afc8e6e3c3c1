"""Tape templates made here, by a seed: strips of tinted tape over a panel, its edges rubbed with a pencil that skips
and leaves grain, obstacles traced with a coloured pen, the tape stretched and wrinkled, and laid down askew beside a
card on a scanner with a scale of its own in each axis. What is true of each is known, in mm. Independent of what reads
them.

The pencil: 0.18 to 0.40 mm wide inside the edge, 0.07 to 0.14 mm outside, shifted inward by 0 to 0.12 mm. Nobody has
checked that against real tape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, gaussian_filter1d, zoom
from scipy.spatial import cKDTree

from tests.scan.scans import file_of

Floats = NDArray[np.float64]
CARD = (85.60, 53.98)
CARD_RADIUS = 3.18
STEP = 0.04
TINTS = ((0.80, 0.70, 0.48), (0.83, 0.79, 0.64), (0.42, 0.58, 0.74), (0.50, 0.68, 0.50), (0.84, 0.76, 0.40))
PENS = ((0.62, 0.06, 0.07), (0.07, 0.13, 0.55))
FAMILIES = ("bonnet", "cab", "door", "arch", "roof")


@dataclass
class Panel:
    """Points anticlockwise from the lower left, mm; for each point its radius; for each side how far its middle rises
    outward. The box round it begins at 0, 0. ``marks``: obstacles, by their own numbers."""

    family: str
    points: list[tuple[float, float]]
    radii: list[float]
    rises: list[float]
    marks: list[dict[str, float | str]] = field(default_factory=list)


@dataclass
class Faults:
    """What the tape and the scanner do. ``stretch``: shares across and up; ``gone``: the share of the pencil line that
    is missing."""

    stretch: tuple[float, float] = (0.0, 0.0)
    skew: float = 0.0
    gone: float = 0.0
    wrinkle: float = 0.03
    tint: tuple[float, float, float] = TINTS[0]
    scanner: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    noise: float = 1.5
    blur: float = 0.6
    jpeg: bool = False
    card: bool = True
    margin: float = 9.0
    shift: float = 0.06
    inside: float = 0.29
    outside: float = 0.105
    dark: float = 0.5
    corners_kept: bool = False


@dataclass
class MadeTemplate:
    """The file and what is true of it; ``pixels``: where the panel's points are, pixels."""

    data: bytes
    dpi: float
    panel: Panel
    pixels: list[tuple[float, float]]
    marks: list[tuple[float, float]] = field(default_factory=list)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the panel."""
        line, _ = boundary(self.panel)
        return tuple(float(v) for v in np.ptp(line, axis=0))


# -------------------------------------------------------------------------------------------------------------- panels
def panel(rng: np.random.Generator, family: str) -> Panel:
    made = _FAMILIES[family](rng)
    line, _ = boundary(made)
    low = line.min(axis=0)
    made.points = [(x - low[0], y - low[1]) for x, y in made.points]
    _put_marks(made, rng)
    return made


def _bonnet(rng: np.random.Generator) -> Panel:
    low, high, long = rng.uniform(18, 34), 0.0, rng.uniform(14, 30)
    high = low * rng.uniform(0.7, 0.95)
    inset = (low - high) / 2
    points = [(0.0, 0.0), (low, 0.0), (low - inset, long), (inset, long)]
    return Panel("bonnet", points, [0.0] * 4, [rng.uniform(0.8, 2.0), 0.0, rng.uniform(0.6, 1.6), 0.0])


def _cab(rng: np.random.Generator) -> Panel:
    wide, high = rng.uniform(16, 30), rng.uniform(14, 24)
    foot, back, front = rng.uniform(0.4, 0.6) * high, rng.uniform(0.15, 0.25) * wide, rng.uniform(0.2, 0.35) * wide
    points = [(0.0, 0.0), (wide, 0.0), (wide, foot), (wide - front, high), (back, high), (0.0, high * 0.6)]
    return Panel("cab", points, [0.0] * 6, [0.0] * 6)


def _door(rng: np.random.Generator) -> Panel:
    wide, high = rng.uniform(12, 24), rng.uniform(14, 26)
    cut = rng.uniform(0.25, 0.4) * min(wide, high)
    points = [(0.0, 0.0), (wide - cut, 0.0), (wide, cut), (wide, high), (0.0, high)]
    radius = float(rng.choice([0.0, rng.uniform(2.0, 3.5)]))
    return Panel("door", points, [0.0, 0.0, 0.0, 0.0, radius], [0.0, -0.22 * cut, 0.0, 0.0, 0.0])


def _arch(rng: np.random.Generator) -> Panel:
    wide, high = rng.uniform(30, 60), rng.uniform(14, 22)
    span, start = rng.uniform(12, 17), rng.uniform(0.2, 0.45) * wide
    points = [(0.0, 0.0), (start, 0.0), (start + span, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    return Panel("arch", points, [0.0] * 6, [0.0, -rng.uniform(0.3, 0.48) * span, 0.0, 0.0, 0.0, 0.0])


def _roof(rng: np.random.Generator) -> Panel:
    """Round corners between straight sides, or sharp ones between sides that bulge a little."""
    wide, high = rng.uniform(16, 32), rng.uniform(20, 45)
    points = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    if rng.random() < 0.6:
        return Panel("roof", points, [float(rng.uniform(2.0, 5.0))] * 4, [0.0] * 4)
    return Panel("roof", points, [0.0] * 4, [0.0, rng.uniform(0.4, 0.8), rng.uniform(0.5, 1.5), rng.uniform(0.4, 0.8)])


_FAMILIES = {"bonnet": _bonnet, "cab": _cab, "door": _door, "arch": _arch, "roof": _roof}


def _put_marks(made: Panel, rng: np.random.Generator) -> None:
    """Up to two obstacles in the upper half, apart from each other and from the edges."""
    wide, high = np.ptp(np.array(made.points), axis=0)
    spots = [(0.32, 0.55), (0.66, 0.55)]
    for n in range(int(rng.integers(0, 3))):
        x, y = spots[n][0] * wide, spots[n][1] * high
        kind = str(rng.choice(["circle", "rectangle", "line"]))
        if kind == "circle":
            made.marks.append({"kind": kind, "x": x, "y": y, "size": float(rng.uniform(1.2, 3.0))})
        elif kind == "rectangle":
            size = (float(rng.uniform(2.5, 4.0)), float(rng.uniform(1.2, 2.0)))
            made.marks.append({"kind": kind, "x": x, "y": y, "wide": size[0], "high": size[1]})
        else:
            long = float(rng.uniform(0.2, 0.35) * high)
            made.marks.append({"kind": kind, "x": x, "y": y, "long": long})


# ------------------------------------------------------------------------------------------------------------ geometry
def boundary(made: Panel) -> tuple[Floats, Floats]:
    """The outline, points every STEP mm, anticlockwise, and outward normals."""
    n = len(made.points)
    points = np.array(made.points)
    starts, ends, corners = points.copy(), points.copy(), []
    for i in range(n):
        r = made.radii[i]
        a, b = points[i - 1] - points[i], points[(i + 1) % n] - points[i]
        a, b = a / np.linalg.norm(a), b / np.linalg.norm(b)
        half = math.acos(float(np.clip(a @ b, -1, 1))) / 2
        if r <= 0:
            corners.append(np.empty((0, 2)))
            continue
        cut = r / math.tan(half)
        ends[i], starts[i] = points[i] + cut * a, points[i] + cut * b
        centre = points[i] + r / math.sin(half) * (a + b) / np.linalg.norm(a + b)
        first = math.atan2(*(ends[i] - centre)[::-1])
        sweep = math.pi - 2 * half
        turns = first + np.linspace(0, sweep, max(3, round(r * sweep / STEP)))
        corners.append(centre + r * np.column_stack((np.cos(turns), np.sin(turns))))
    parts = []
    for i in range(n):
        a, b = starts[i], ends[(i + 1) % n]
        parts += [_bowed(a, b, made.rises[i]), corners[(i + 1) % n]]
    line = np.concatenate(parts)
    apart = np.linalg.norm(np.roll(line, -1, axis=0) - line, axis=1)
    line = line[apart > 1e-6]
    along = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    return line, np.column_stack((along[:, 1], -along[:, 0]))


def _bowed(a: Floats, b: Floats, rise: float) -> Floats:
    """A side that bulges to its right by ``rise``: outward, where one goes round anticlockwise."""
    chord = math.dist(a, b)
    if not rise:
        return a + np.linspace(0, 1, max(2, round(chord / STEP)))[:, None] * (b - a)
    out = np.array([b[1] - a[1], a[0] - b[0]]) / chord
    radius = (chord**2 / 4 + rise**2) / (2 * abs(rise))
    centre = (a + b) / 2 + out * (rise - math.copysign(radius, rise))
    first, last = (math.atan2(*(p - centre)[::-1]) for p in (a, b))
    sweep = (last - first) % (2 * math.pi) if rise > 0 else -((first - last) % (2 * math.pi))
    turns = first + np.linspace(0, sweep, max(3, round(radius * abs(sweep) / STEP)))
    return centre + radius * np.column_stack((np.cos(turns), np.sin(turns)))


def _outline_of(mark: dict[str, float | str]) -> Floats:
    x, y = float(mark["x"]), float(mark["y"])
    if mark["kind"] == "circle":
        t = np.linspace(0, 2 * math.pi, 200)
        return np.column_stack((x + float(mark["size"]) / 2 * np.cos(t), y + float(mark["size"]) / 2 * np.sin(t)))
    if mark["kind"] == "rectangle":
        w, h = float(mark["wide"]) / 2, float(mark["high"]) / 2
        ring = [(x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h), (x - w, y - h)]
        return np.concatenate([_bowed(np.array(a), np.array(b), 0.0) for a, b in pairwise(ring)])
    half = float(mark["long"]) / 2
    return _bowed(np.array((x, y - half)), np.array((x, y + half)), 0.0)


# ------------------------------------------------------------------------------------------------------------- drawing
def template(made: Panel, faults: Faults, dpi: float = 300.0, seed: int = 1) -> MadeTemplate:
    """The scan of a template of a panel."""
    rng = np.random.default_rng(seed)
    size = np.ptp(boundary(made)[0], axis=0)
    diagonal = float(np.hypot(*size)) + 2 * faults.margin
    wide = max(CARD[0] + 6.0 if faults.card else 0.0, diagonal) + 2.0
    below = CARD[1] + 5.0 if faults.card else 0.0
    high = below + diagonal
    pitch = 25.4 / dpi
    steps = [pitch * (1 + off) for off in faults.scanner]
    columns, rows = round(wide / steps[0]), round(high / steps[1])
    x, y = (np.arange(columns) + 0.5) * steps[0], high - (np.arange(rows) + 0.5) * steps[1]
    image = np.full((rows, columns, 3), 0.86, np.float32)
    if faults.card:
        _put_card(image, x, y, rng)
    middle = np.array((wide / 2, below + diagonal / 2))
    turn = math.radians(faults.turn)
    pose = np.array(((math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))))
    pulled = pose @ np.array(((1 + faults.stretch[0], faults.skew), (0.0, 1 + faults.stretch[1])))
    bend = _bends(rng, size, faults.wrinkle)

    def laid(at: Floats) -> Floats:
        return (at + bend(at) - size / 2) @ pulled.T + middle

    _put_tape(image, (x, y), (middle, pose, size / 2 + 0.75 * faults.margin), faults.tint, rng)
    _put_pencil(image, (x, y), laid, made, faults, rng)
    for mark in made.marks:
        _put_pen(image, (x, y), laid(_outline_of(mark)), rng)
    image = gaussian_filter(image, (faults.blur, faults.blur, 0))
    data = file_of(image, dpi, faults.noise, rng, 90 if faults.jpeg else None)

    def pixels(at: Floats) -> list[tuple[float, float]]:
        return [(float(px / steps[0]), float((high - py) / steps[1])) for px, py in laid(np.array(at, float))]

    marks = [(float(one["x"]), float(one["y"])) for one in made.marks]
    return MadeTemplate(data, dpi, made, pixels(np.array(made.points)), pixels(marks) if marks else [])


def _bends(rng: np.random.Generator, size: Floats, most: float):  # type: ignore[no-untyped-def]
    """How wrinkles move each place: smooth, some mm long."""
    waves = [
        (rng.normal(0, 1, 2) * most / 2.0, rng.uniform(0, 6.3), rng.uniform(0, 6.3), 2 * math.pi / rng.uniform(9, 30))
        for _ in range(4)
    ]

    def found(at: Floats) -> Floats:
        total = np.zeros_like(at)
        for amount, phase, way, k in waves:
            total += np.sin(k * (at @ (math.cos(way), math.sin(way))) + phase)[:, None] * amount
        return total

    return found


def _put_card(image: NDArray[np.float32], x: Floats, y: Floats, rng: np.random.Generator) -> None:
    turn = math.radians(rng.uniform(-2, 2))
    at = (3.0 + CARD[0] / 2, 2.5 + CARD[1] / 2)
    cos, sin = math.cos(turn), math.sin(turn)
    rows, columns = np.nonzero(y < CARD[1] + 6.0)[0], np.nonzero(x < CARD[0] + 6.0)[0]
    gx, gy = x[columns][None] - at[0], y[rows][:, None] - at[1]
    a = np.abs(gx * cos + gy * sin) - CARD[0] / 2 + CARD_RADIUS
    b = np.abs(-gx * sin + gy * cos) - CARD[1] / 2 + CARD_RADIUS
    off = np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - CARD_RADIUS
    cover = np.clip(0.5 - off / (x[1] - x[0]), 0, 1)[..., None]
    part = np.ix_(rows, columns)
    image[part] = image[part] * (1 - cover) + np.array((0.05, 0.11, 0.16)) * cover


def _put_tape(
    image: NDArray[np.float32],
    grid: tuple[Floats, Floats],
    lies: tuple[Floats, Floats, Floats],
    tint: tuple[float, float, float],
    rng: np.random.Generator,
) -> None:
    """Strips side by side, each over the next by a little; crepe and soft shades of wrinkles."""
    x, y = grid
    middle, pose, half = lies
    gx, gy = x[None] - middle[0], y[:, None] - middle[1]
    u = gx * pose[0, 0] + gy * pose[1, 0]
    v = gx * pose[0, 1] + gy * pose[1, 1]
    wide = rng.uniform(14, 19)
    strips = np.zeros(u.shape)
    for start in np.arange(-half[1], half[1], wide):
        strips += (v > start) & (v < start + wide + 1.5)
    strips = np.where(np.abs(u) < half[0], strips, 0.0)
    clear = np.array(tint)[None, None]
    noise = zoom(rng.normal(0, 1, (len(y) // 3 + 2, len(x) // 6 + 2)), (3, 6), order=1)[: len(y), : len(x)]
    shade = 1 + 0.012 * noise
    for _ in range(3):
        way, off = rng.uniform(0, 3.1), rng.uniform(-half[0], half[0])
        across = u * math.cos(way) + v * math.sin(way) - off
        shade -= rng.uniform(0.02, 0.06) * np.exp(-((across / 0.35) ** 2))
    light = clear ** (0.6 + 0.4 * np.maximum(strips, 1))[..., None] * shade[..., None]
    image[:] = np.where((strips > 0)[..., None], light, image)


def _put_pencil(
    image: NDArray[np.float32],
    grid: tuple[Floats, Floats],
    laid,  # type: ignore[no-untyped-def]
    made: Panel,
    faults: Faults,
    rng: np.random.Generator,
) -> None:
    line, normal = boundary(made)
    count = len(line)
    kept = _kept(count, faults, rng, _corner_numbers(made, line))

    def wave(low: float, high: float, about: float) -> Floats:
        raw = gaussian_filter1d(rng.normal(0, 1, count), 2.0 / STEP, mode="wrap")
        return np.clip(about + 0.25 * (high - low) * raw / raw.std(), low, high)

    inside, outside = wave(0.18, 0.40, faults.inside), wave(0.07, 0.14, faults.outside)
    shift = wave(0.0, 0.12, faults.shift)
    dark = faults.dark * np.clip(1 + 0.25 * wave(-1, 1, 0.0), 0.4, 1.4) * kept
    placed, beyond = laid(line), laid(line + normal)
    out = beyond - placed
    out /= np.linalg.norm(out, axis=1)[:, None]
    x, y = grid
    step = x[1] - x[0]
    columns, rows = (
        np.nonzero((x > placed[:, 0].min() - 1) & (x < placed[:, 0].max() + 1))[0],
        np.nonzero((y > placed[:, 1].min() - 1) & (y < placed[:, 1].max() + 1))[0],
    )
    sub = 2
    offs = (np.arange(sub) + 0.5) / sub - 0.5
    tree = cKDTree(placed)
    px = (x[columns][:, None] + offs * step).ravel()
    py = (y[rows][:, None] - offs * step).ravel()
    near = np.zeros((len(py), len(px)), bool)
    ix = np.searchsorted(px, placed[:, 0]).clip(0, len(px) - 1)
    iy = np.searchsorted(-py, -placed[:, 1]).clip(0, len(py) - 1)
    near[iy, ix] = True
    reach = round(0.8 / step * sub)
    near = gaussian_filter(near.astype(np.float32), reach / 2.0, truncate=2.2) > 1e-6
    jj, ii = np.nonzero(near)
    at = np.column_stack((px[ii], py[jj]))
    _, which = tree.query(at)
    t = ((at - placed[which]) * out[which]).sum(axis=1) + shift[which]
    soft = 0.03
    level = 1 / (1 + np.exp(-(t + inside[which]) / soft)) / (1 + np.exp((t - outside[which]) / soft))
    grain = rng.normal(0, 1, near.shape).astype(np.float32)
    grain = gaussian_filter(grain, 0.05 / step * sub)
    grain /= grain.std()
    density = np.zeros(near.shape, np.float32)
    density[jj, ii] = level * dark[which] * np.clip(0.85 + 0.45 * grain[jj, ii], 0.05, 1.6)
    through = 10.0**-density
    shape = (len(rows), sub, len(columns), sub)
    image[np.ix_(rows, columns)] *= through.reshape(shape).mean(axis=(1, 3))[..., None]


def _corner_numbers(made: Panel, line: Floats) -> list[int]:
    return [int(np.linalg.norm(line - point, axis=1).argmin()) for point in np.array(made.points)]


def _kept(count: int, faults: Faults, rng: np.random.Generator, corners: list[int]) -> Floats:
    """1 where the pencil has left its line, 0 in gaps of 0.5 to 4 mm, or more where two meet."""
    kept = np.ones(count)
    for _ in range(400):
        if 1 - kept.mean() >= faults.gone:
            break
        long = rng.uniform(0.5, 4.0) / STEP
        start = int(rng.integers(count))
        numbers = (start + np.arange(int(long))) % count
        if faults.corners_kept and any(
            abs((numbers - c + count // 2) % count - count // 2).min() < 50 for c in corners
        ):
            continue
        kept[numbers] = 0.0
    return gaussian_filter1d(kept, 0.08 / STEP, mode="wrap")


def _put_pen(image: NDArray[np.float32], grid: tuple[Floats, Floats], line: Floats, rng: np.random.Generator) -> None:
    """A stroke of a fine coloured pen."""
    x, y = grid
    wide = rng.uniform(0.35, 0.55)
    columns = np.nonzero((x > line[:, 0].min() - 1) & (x < line[:, 0].max() + 1))[0]
    rows = np.nonzero((y > line[:, 1].min() - 1) & (y < line[:, 1].max() + 1))[0]
    gx, gy = np.meshgrid(x[columns], y[rows])
    off = cKDTree(line).query(np.column_stack((gx.ravel(), gy.ravel())))[0].reshape(gx.shape)
    cover = np.clip(0.5 - (off - wide / 2) / (x[1] - x[0]), 0, 1)[..., None] * 0.9
    part = np.ix_(rows, columns)
    ink = np.array(PENS[int(rng.integers(len(PENS)))])
    image[part] *= 1 - cover + cover * ink


# --------------------------------------------------------------------------------------------------------------- cases
def case(seed: int, number: int, dpi: float = 0.0) -> MadeTemplate:
    """One case by its number; the families come in turn."""
    rng = np.random.default_rng([seed, number])
    made = panel(rng, FAMILIES[number % len(FAMILIES)])
    faults = Faults(
        stretch=(float(rng.uniform(0, 0.003)), float(rng.uniform(-0.0005, 0.0015))),
        skew=float(rng.uniform(-0.0015, 0.0015)),
        gone=float(rng.uniform(0, 0.25)),
        wrinkle=float(rng.uniform(0.01, 0.05)),
        tint=TINTS[int(rng.integers(len(TINTS)))],
        scanner=(float(rng.uniform(-0.005, 0.005)), float(rng.uniform(-0.005, 0.005))),
        turn=float(rng.uniform(-6, 6)),
        noise=float(rng.uniform(0.8, 2.5)),
        blur=float(rng.uniform(0.5, 0.9)),
        jpeg=bool(rng.random() < 0.5),
        shift=float(rng.uniform(0.0, 0.12)),
        inside=float(rng.uniform(0.18, 0.40)),
        outside=float(rng.uniform(0.07, 0.14)),
        dark=float(rng.uniform(0.3, 0.8)),
    )
    return template(made, faults, dpi or float(rng.choice([300, 300, 300, 400, 600])), int(rng.integers(1 << 30)))
