"""Decals that are there twice."""

from __future__ import annotations

from typing import Any

from decalgen.job.model import Decal
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.helpers.checks import check_jobs


def band(name: str, width: float = 20.0, ink: str = "navy", **more: Any) -> Decal:
    return jobs.decal(name, width, 8.0, jobs.element("field", ink=ink), **more)


def codes(*decals: Decal) -> list[tuple[str, str, str]]:
    found = check_jobs([jobs.job(*decals)], jobs.PRINTER)
    return [(f.severity, f.code, f.subject) for f in found if f.code.startswith("same-")]


def test_the_same_artwork_at_the_same_place() -> None:
    assert codes(band("one"), band("two")) == [("warning", "same-place", "two")]


def test_the_same_artwork_elsewhere_is_only_told() -> None:
    assert codes(band("one"), band("two", at=At("top"))) == [("note", "same-artwork", "two")]


def test_what_differs_is_not_told() -> None:
    assert codes(band("one"), band("two", 19.0)) == []
    assert codes(band("one"), band("two", ink="orange")) == []
    assert codes(band("one"), band("two", film="clear")) == []


def test_both_hands_of_one_decal_are_not_doubles() -> None:
    assert codes(band("one", hands="both")) == []


def test_the_left_of_a_pair_and_a_single_one_lie_on_the_same_door() -> None:
    assert codes(band("one"), band("two", hands="both")) == [("warning", "same-place", "two")]
