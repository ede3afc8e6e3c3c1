"""What is seen of a letter at a glance is what a whole look at it sees."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.geometry import polygons
from decalgen.lettering import narrow_places
from decalgen.lettering.narrow_places import FILLED, FINEST, NOTCH, breaks, closes, lost_openings, size_of
from decalgen.lettering.printable import again, printable
from decalgen.lettering.typesetting import typeset

FACES = ("Archivo", "Oswald", "Abril Fatface", "Black Ops One", "Yellowtail", "Block Round", "Block Drawing Fine")
TEXT = "ABEGKMQRSWXZ aegkmrsw 0348&?!"


def letters(face: str, cap: float) -> list[MultiPolygon]:
    """The letters of `TEXT`, each once."""
    return list({one.text: one.region for one in typeset(TEXT, face=face, cap_height=cap).letters}.values())


def looked_at(area: MultiPolygon, least: float) -> list[Polygon]:
    """The counters covered and notches filled by ink grown and drawn in again, every one tried."""
    kept = area.buffer(least / 2, quad_segs=4).buffer(-least / 2 * 1.01, quad_segs=4)
    counters = [Polygon(ring) for part in area.geoms for ring in part.interiors]
    found = [one for one in counters if one.area > FINEST**2 and kept.contains(one.buffer(-FINEST / 4))]
    for part in area.geoms:
        hull = part.convex_hull
        for notch in polygons(hull.difference(Polygon(part.exterior))):
            deep = shapely.distance(shapely.points(notch.exterior.coords), hull.exterior).max()
            if deep >= NOTCH * size_of(area) and notch.intersection(kept).area > FILLED * notch.area:
                found.append(notch)
    return found


@pytest.mark.parametrize("face", FACES)
def test_an_opening_seen_open_at_a_glance_is_open(face: str) -> None:
    glances = lost = 0
    for cap, least in product((0.6, 1.1, 2.4), (0.05, 0.15, 0.3)):
        for area in letters(face, cap):
            whole = looked_at(area, least)
            counters, notches = narrow_places._openings_of(area)
            glances += all(one.stays_open(least) for one in counters) and all(one.stays_open(least) for one in notches)
            lost += bool(whole)
            assert [one.wkb for one in lost_openings(area, least)] == [one.wkb for one in whole]
    assert glances and lost


@pytest.mark.parametrize("face", FACES)
def test_what_holds_a_stroke_or_a_gap_holds_less(face: str) -> None:
    """On this stands that letters once seen to hold are not measured again."""
    steps = (0.04, 0.08, 0.12, 0.16, 0.2, 0.25, 0.3)
    for area in letters(face, 1.2):
        for fails in (breaks, closes):
            seen = [fails(area, least) for least in (0.97 * step for step in steps)]
            beyond = [fails(area, least) for least in steps]
            assert all(later or not now for now, later in zip(seen, beyond, strict=True))
            assert seen == sorted(seen)


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize(("cap", "least"), [(0.8, (0.15, 0.2)), (1.2, (0.1, 0.1)), (1.6, (0.2, 0.15))])
def test_letters_known_to_hold_are_not_judged_otherwise_when_they_are_measured_anew(
    face: str, cap: float, least: tuple[float, float]
) -> None:
    done = printable("BERG 4&S", face=face, cap_height=cap, least_stroke=least[0], least_gap=least[1])
    anew = again(done, replace(done.line), *least)
    assert anew is not done and anew.fits == done.fits
    assert again(done, done.line, *least) is done
