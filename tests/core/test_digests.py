"""The fixed text form of named values: what it depends on, and what it does not."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields, make_dataclass, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.digests import digest_of, text_form
from decalgen.job.model import Film, Printer, UsedArea


@dataclass(frozen=True)
class Bar:
    """A stand-in."""

    length: float = 20.0
    name: str = "x"
    parts: tuple[tuple[float, float], ...] = ((1.0, 2.0),)
    known: bool = True
    note: str | None = None
    count: int = 3


def test_the_form_is_fixed() -> None:
    assert text_form(Bar()) == (
        '6 named\n count: 3\n known: yes\n length: 20\n name: "x"\n note: none\n parts: 1 of\n  - 2 of\n   - 1\n   - 2'
    )
    assert digest_of(Bar()) == hashlib.sha256(text_form(Bar()).encode()).hexdigest()


def test_renaming_a_class_or_sorting_its_fields_otherwise_changes_nothing() -> None:
    turned = make_dataclass("Strip", [(f.name, f.type, getattr(Bar(), f.name)) for f in reversed(fields(Bar))])
    assert digest_of(turned()) == digest_of(Bar())
    assert digest_of({f.name: getattr(Bar(), f.name) for f in fields(Bar)}) == digest_of(Bar())


@pytest.mark.parametrize(
    "changed",
    [
        {"length": 20.000000001},
        {"name": "y"},
        {"parts": ((1.0, 2.0), (1.0, 2.0))},
        {"parts": ((2.0, 1.0),)},
        {"parts": ((1.0,), (2.0,))},
        {"known": False},
        {"note": ""},
        {"count": 4},
    ],
)
def test_each_named_value_matters(changed: dict[str, Any]) -> None:
    assert digest_of(replace(Bar(), **changed)) != digest_of(Bar())


def test_each_value_of_a_film_and_a_printer_matters() -> None:
    """Every field there is, also those that Python's own way of showing them leaves out."""
    film = Film("a", "white", "inkjet", 148.0, 210.0)
    other = Film(
        "b", "clear", "laser", 149.0, 211.0, (UsedArea(1, 2, 3, 4),), 2, True, (((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)),),
        ((1.0, 2.0, 1),), True, "1 EUR", "#ffffff", 0.5, (0,),
    )  # fmt: skip
    for one in fields(Film):
        assert digest_of(replace(film, **{one.name: getattr(other, one.name)})) != digest_of(film), one.name
    assert digest_of(film, ["price"]) == digest_of(replace(film, price="1 EUR"), ["price"])
    assert digest_of(replace(Printer(), lean=0.001)) != digest_of(Printer())


def test_what_could_run_together_does_not() -> None:
    assert digest_of(("a", "b")) != digest_of(('a"\n- "b',))
    assert digest_of({"a": "b", "c": "d"}) != digest_of({"a": 'b"\n c: "d'})
    assert digest_of([[], [1]]) != digest_of([[1], []])
    assert digest_of("1") != digest_of(1) != digest_of(True) != digest_of("yes")
    # A length read back from a file is a float, whatever it was before.
    assert digest_of(3) == digest_of(3.0) != digest_of(3.000000001)


@given(st.floats(-1e6, 1e6))
def test_numbers_have_a_fixed_form(value: float) -> None:
    text = text_form(value)
    assert abs(float(text) - value) <= 0.5e-9 + 1e-12 * abs(value)
    assert len(text.partition(".")[2]) <= 9 and "e" not in text
    assert text_form(-0.0) == text_form(0.0) == text_form(-1e-12)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), {1, 2}, b"x", object(), Bar, {1: 2}])
def test_what_has_no_form_is_refused(value: object) -> None:
    with pytest.raises((TypeError, ValueError)):
        text_form(value)
