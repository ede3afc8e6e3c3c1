"""Lettering leant by any number of degrees, in any face and however it is set."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
import shapely

from decalgen.core.errors import DecalgenError
from decalgen.core.lengths import Quantity
from decalgen.job.loader import load_job
from decalgen.lettering.typeface import LetteringError
from decalgen.lettering.typesetting import typeset
from decalgen.shapes.base import ShapeError
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Match

LEAN = 12.0


def lean_of(area: shapely.Geometry, cap: float) -> float:
    """The lean of the left edge of an H, degrees."""
    points = [(x, y) for part in area.geoms for x, y in part.exterior.coords]
    foot = min(x for x, y in points if abs(y) < 1e-6)
    head = min(x for x, y in points if abs(y - cap) < 1e-6)
    return math.degrees(math.atan2(head - foot, cap))


@pytest.mark.parametrize("face", ["Archivo", "Alfa Slab One", "Block", "Lobster"])
def test_any_face_is_leant_on_its_baseline(face: str) -> None:
    plain, leant = (typeset("HO", face=face, cap_height=4.0, slant=slant) for slant in (0.0, LEAN))
    turned = [shapely.affinity.affine_transform(one.region, (1, math.tan(math.radians(LEAN)), 0, 1, 0, 0))
              for one in plain.letters]  # fmt: skip
    first = min(area.bounds[0] for area in turned)
    for one, area in zip(leant.letters, turned, strict=True):
        assert one.region.symmetric_difference(shapely.affinity.translate(area, -first)).area < 1e-6
        assert (one.left, one.right) == pytest.approx((one.region.bounds[0], one.region.bounds[2]))
    assert leant.region.bounds[0] == pytest.approx(0.0, abs=1e-9)
    assert leant.width == pytest.approx(leant.region.bounds[2])


PLAIN = Lettering(text=("HOH",), ink="black", cap_height=3.0, slant=LEAN)


@pytest.mark.parametrize(
    "lettering",
    [
        PLAIN,
        replace(PLAIN, slant=-LEAN),
        replace(PLAIN, tracking=0.4),
        replace(PLAIN, width=14.0),
        replace(PLAIN, compensate=True),
        replace(PLAIN, justify=True, width=16.0),
        replace(PLAIN, start=(0.0, 0.0), end=(15.0, 0.0)),
        Lettering(text=("HOH",), ink="black", fit=True, width=12.0, height=5.0, slant=LEAN),
    ],
)
def test_letters_lean_however_they_are_set(lettering: Lettering) -> None:
    block = lettering.block
    first = block.letters[0].region
    foot = first.bounds[1]
    upright = shapely.affinity.translate(first, 0.0, -foot)
    assert lean_of(upright, upright.bounds[3]) == pytest.approx(lettering.slant, abs=0.2)
    assert all(a.region.distance(b.region) > 0 for a, b in pairwise(block.letters))
    if lettering.width is not None and not lettering.fit:
        assert block.region.bounds[2] - block.region.bounds[0] == pytest.approx(lettering.width, abs=1e-6)


def test_a_slant_of_its_own_and_one_of_a_match_do_not_go_together() -> None:
    with pytest.raises(ShapeError, match="`slant` does not go with `match`") as caught:
        Lettering(text=("HO",), ink="black", slant=LEAN, match=Match(Quantity(2.0)))
    assert "under `match`" in str(caught.value.fix)
    with pytest.raises(LetteringError, match="slant of 60 degrees"):
        typeset("HO", face="Archivo", cap_height=3.0, slant=60.0)


@pytest.mark.parametrize("slant", ["60°", "-50°", "steep", "12 mm", "[12°]"])
def test_a_bad_slant_is_told_with_its_place_and_a_fix(tmp_path: Path, slant: str) -> None:
    path = tmp_path / "tug.yaml"
    path.write_text(
        "job: tug\nbody: '#1d2b4a'\npanels:\n  door: {width: 40 mm, height: 20 mm}\ninks: {navy: '#1d2b4a'}\n"
        "decals:\n  name:\n    panel: door\n    width: 20 mm\n    height: 6 mm\n    artwork:\n      - lettering:\n"
        f"          text: HO\n          ink: navy\n          cap height: 3 mm\n          slant: {slant}\n",
        encoding="utf-8",
    )
    with pytest.raises(DecalgenError) as caught:
        load_job(path)
    assert caught.value.place is not None
    assert (caught.value.place.file, caught.value.place.line) == (str(path), 16)
    assert caught.value.fix
