"""How near the colour model comes to measured prints, beside simpler ways: `python tests/benchmarks/colour.py`.

Prints mean / 95th percentile / largest CIEDE2000 for every characterisation set that is there (Debian package
icc-profiles-free; two are kept with the tests), pooled over the sets the model was developed on and over those held
back. "Solid ink on solid coloured body" can be read in two ways, and both are printed: "any tint on full colour" (the
ground is solid, as a painted body is; the ink is any tint without black) and "full ink on full ink". The aim of 2.7 was
set beside 8.34 for the product in sRGB, 7.26 in XYZ and 4.60 in AP1 on the sets held back. Those are figures of the
first reading, so the aim is held against that; the second is harder, and the model misses 2.7 there.
With colour-science installed (extra `benchmarks`) also the paint-chip test: 24 measured paint spectra as grounds, the
18 coloured ones among them as inks, spectral multiplication as the truth. The spectra are read from the library: it
notes them as used by permission, so a copy may not be kept with the tests, and `tests/colour/test_paint_chips.py`
runs only where the library is. `--developed` leaves the held sets alone.
"""

from __future__ import annotations

import sys
import time
import warnings
from pathlib import Path

# In place of this folder, where this very file would hide the library called colour.
sys.path[0] = str(Path(__file__).parents[2])

import numpy as np  # noqa: E402

from decalgen.colour import model, spectral  # noqa: E402
from tests.colour import press  # noqa: E402

Array = press.Array


def in_space(matrix: Array, found: press.Pairs) -> Array:
    """Plain product, channel by channel; negative channels count as 0, as on a screen."""
    ink, ground, paper = (np.maximum(xyz @ matrix.T, 0) for xyz in (found.ink, found.ground, found.paper))
    return ink * ground / paper @ np.linalg.inv(matrix).T


def substrate(found: press.Pairs) -> Array:
    """Product in XYZ above the darkest patch (substrate correction as ISO 13655 and ISO 15339 practise it)."""
    black = found.paper * (found.floor / found.paper[1])
    return (found.ink - black) * (found.ground - black) / (found.paper - black) + black


# AP1 primaries and white (SMPTE ST 2065-1, S-2014-004), adapted to D50 by Bradford (ICC.1:2010, annex E).
AP1 = np.array(
    [
        [1.592616037540, -0.351851232229, -0.222882682297],
        [-0.675958396892, 1.639356501502, 0.015109912161],
        [0.019953524117, -0.022547150820, 1.215974375530],
    ]
)

WAYS = {
    "ink as on white paper": lambda found: found.ink,
    "product in linear sRGB": lambda found: in_space(press.SRGB, found),
    "product in XYZ": lambda found: in_space(np.eye(3), found),
    "substrate correction": substrate,
    "product in AP1": lambda found: in_space(AP1, found),
    "ours": press.predict,
}


def fresh() -> None:
    """The profile that no fit and no choice has seen."""
    if not press.FRESH.is_file():
        print("\nnobody fitted to: libgs-common is not installed")
        return
    found = press.profile_pairs(press.FRESH)
    print(f"\nnobody fitted to: {press.FRESH.name} ({len(found.ink)} pairs)")
    for name, way in WAYS.items():
        e = press.errors(found, way(found))
        print(f"  {name:23s}{figures(e)}   any tint on full colour {e[found.on_solid].mean():.2f}")


def figures(values: Array) -> str:
    return f"{values.mean():5.2f} /{np.percentile(values, 95):6.2f} /{values.max():6.2f}"


def table(title: str, names: tuple[str, ...]) -> None:
    if not names:
        return
    sets = [press.pairs(name) for name in names]
    masks = {
        "all pairs": [np.ones(len(s.ink), bool) for s in sets],
        "no black on top": [s.chromatic for s in sets],
        "any tint on full colour": [s.on_solid for s in sets],
        "full ink on full ink": [s.solid for s in sets],
    }
    counts = {words: sum(int(m.sum()) for m in per_set) for words, per_set in masks.items()}
    print(f"\n{title}: {', '.join(names)}")
    print("  mean / 95 % / largest  " + "".join(f"{f'{words} ({counts[words]})':>31s}" for words in masks))
    for name, way in WAYS.items():
        pooled = np.concatenate([press.errors(s, way(s)) for s in sets])
        print(f"  {name:23s}" + "".join(f"{figures(pooled[np.concatenate(m)]):>31s}" for m in masks.values()))
    for found in sets:
        e = press.errors(found, press.predict(found))
        print(
            f"    ours, {found.name:9s} floor {found.floor:.4f} {figures(e)}"
            f"   any tint on full colour {e[found.on_solid].mean():.2f}, full on full {e[found.solid].mean():.2f}"
        )


def chips() -> None:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import colour
    except ImportError:
        print("\npaint chips: colour-science is not installed (pip install .[benchmarks])")
        return
    illuminant = colour.SDS_ILLUMINANTS["D50"]
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    waves = [int(w) for w in spectral.WAVELENGTHS]
    weights = np.array([observer[w] * illuminant[w] for w in waves])
    weights *= press.WHITE / weights.sum(axis=0)
    print("\npaint chips: 24 grounds x 18 inks, spectral truth")
    for title in ("BabelColor Average", "ISO 17321-1"):
        paints = np.array([[sd[w] for w in waves] for sd in colour.SDS_COLOURCHECKERS[title].values()])
        inks = paints[:18] / paints[18]
        ink, ground = np.repeat(inks, 24, axis=0), np.tile(paints, (18, 1))
        sheet = press.WHITE[None]
        for words, floor, k2 in (("bare product", 0.0, 0.0), ("floor and k2", model.FLOOR, model.INTERNAL_REFLECTION)):
            inner = [np.maximum(r - floor, 0) for r in (ink, ground, np.ones(36))]
            inner = [r / ((1 - k2) + k2 * r) for r in inner]
            x = inner[0] * inner[1] / inner[2]
            truth = press.lab((floor + (1 - k2) * x / (1 - k2 * x)) @ weights)
            paper = (float(press.WHITE[0]), 1.0, float(press.WHITE[2]))
            a, b = ink @ weights, ground @ weights
            ours = np.array(
                [model.look(tuple(i), paper, tuple(g), floor, k2) for i, g in zip(a.tolist(), b.tolist(), strict=True)]
            )
            row = {"ours": ours}
            if not floor:
                row = {
                    "XYZ": a * b / sheet,
                    "sRGB": (a @ press.SRGB.T) * (b @ press.SRGB.T) @ np.linalg.inv(press.SRGB).T,
                    **row,
                }
            for name, seen in row.items():
                print(f"  {title:20s}{words:20s}{name:6s}{figures(press.delta_e(press.lab(seen), truth))}")


def speed() -> None:
    from decalgen.colour.advice import advise
    from decalgen.colour.inks import ink, paint
    from decalgen.colour.palette import PALETTE

    start = time.perf_counter()
    for body in list(PALETTE)[::5]:
        for name in PALETTE:
            advise(ink(name), paint(body))
    count = len(PALETTE) * len(list(PALETTE)[::5])
    print(f"\n{count} inks on bodies advised on in {time.perf_counter() - start:.2f} s")


if __name__ == "__main__":
    table("developed on", press.available(press.DEVELOPED))
    if "--developed" not in sys.argv:
        table("held back", press.available(press.HELD))
        fresh()
    chips()
    speed()
