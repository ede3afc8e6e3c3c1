"""Whatever is asked for, a nest keeps the rules; checked with shapely alone."""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict

import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from decalgen.nesting import Effort, Nest, NestItem, NestRegion, Request, nest
from decalgen.nesting.frame import frame_of
from decalgen.nesting.gate import gate
from decalgen.nesting.hall import hall_of, spread
from tests.nesting.cases import films, items

SMALL = Effort("test", 60)


def where(item: NestItem, x: float, y: float, turn: int) -> Polygon:
    """The outline in place, by shapely's own rotation."""
    return affinity.translate(affinity.rotate(item.outline, turn, origin=(0, 0)), x, y)


def assert_rules(request: Request, result: Nest) -> None:
    by_key = {item.key: item for item in request.items}
    film = {region.key: region for region in request.regions}
    sheets: dict[int, list[Polygon]] = defaultdict(list)
    for p in result.positions:
        assert p.turn % 360 in by_key[p.item].turns
        outline = where(by_key[p.item], p.x, p.y, p.turn)
        region = film[p.region]
        outside = outline.difference(region.usable)
        assert outside.area <= 1e-6 * outline.length + 1e-9, (p, outside.area)
        for keep_out in region.keep_outs:
            distance = outline.distance(keep_out)
            assert distance >= region.keep_out_clearance - 1.01e-6
            assert shapely.intersection(outline, keep_out).area <= 1e-6 * outline.length + 1e-9
        sheets[p.sheet].append(outline)
    for outlines in sheets.values():
        for a, b in itertools.combinations(outlines, 2):
            assert a.distance(b) >= request.gap - 1.01e-6
            assert a.intersection(b).area <= 1e-6 * min(a.length, b.length) + 1e-9
    count = Counter((p.item, p.copy) for p in result.positions)
    count.update((entry.item, copy) for entry in result.left_out for copy in entry.copies)
    assert count == Counter({(i.key, copy): 1 for i in request.items for copy in range(i.quantity)})
    assert gate(request, result.positions, result.left_out) == []


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(items(), films(), st.sampled_from([0.0, 0.5, 1.0, 2.37, 7.0]), st.integers(0, 3))
def test_rules(decals: tuple[NestItem, ...], film: NestRegion, gap: float, seed: int) -> None:
    request = Request(decals, (film,), gap, seed=seed, effort=SMALL)
    assert_rules(request, nest(request))


def test_a_piece_at_its_clearance_lies_outside_the_walls_of_the_hall() -> None:
    # Pieces are spread by half the gap, so the walls leave them 1.5 mm round a used part that wants 2 mm.
    used = shapely.box(40, 20, 60, 40)
    film = NestRegion("film", 100, 60, shapely.box(0, 0, 100, 60), (used,), keep_out_clearance=2.0)
    hall = hall_of([frame_of(film, 0)], 1.0, [()])
    low = hall.outline.buffer(-1e-3)
    for left, fits in ((62.0, True), (61.9, False)):
        piece = spread(shapely.box(left, 25, left + 10, 35), 0.5)
        assert low.intersects(affinity.translate(piece, hall.offsets[0])) is not fits


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(items(), films(), st.sampled_from([0.0, 1.3]))
def test_rules_without_any_compiled_engine(decals: tuple[NestItem, ...], film: NestRegion, gap: float) -> None:
    request = Request(decals, (film,), gap, engines=("shelf",))
    result = nest(request)
    assert_rules(request, result)
    assert result.engine == "shelf"


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(items(), films(), st.integers(0, 5))
def test_the_same_request_gives_the_same_nest(decals: tuple[NestItem, ...], film: NestRegion, seed: int) -> None:
    request = Request(decals, (film,), 1.0, seed=seed, effort=SMALL)
    assert nest(request) == nest(request)
