"""Kept files: values to plain data and back, the seal, and every way such a file can be wrong."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.errors import InputError
from decalgen.core.kept import Form, MisfitError, plain, read_kept, value_of, write_kept

FORM = Form("decalgen thing", 3, 2, "a kept thing", "make it again")


@dataclass(frozen=True)
class Inner:
    """A stand-in."""

    x: float
    way: Literal["up", "down"] = "up"


@dataclass(frozen=True)
class Outer:
    """A stand-in with every kind of field."""

    name: str
    inner: tuple[Inner, ...]
    pair: tuple[str, float]
    count: int = 1
    sure: bool = False
    note: str | None = None
    named: Mapping[str, float] = field(default_factory=dict)


things = st.builds(
    Outer,
    st.text(),
    st.lists(st.builds(Inner, st.floats(-1e9, 1e9), st.sampled_from(["up", "down"])), max_size=4).map(tuple),
    st.tuples(st.text(), st.floats(-1e9, 1e9)),
    st.integers(-(10**9), 10**9),
    st.booleans(),
    st.none() | st.text(),
    st.dictionaries(st.text(), st.floats(-1e9, 1e9), max_size=3),
)


@given(things)
def test_what_was_kept_is_read_back(thing: Outer) -> None:
    text = write_kept(FORM, {"thing": thing}).decode("utf-8")
    version, data = read_kept(text, FORM, "f")
    assert version == 3 and value_of(Outer, data["thing"]) == thing


def test_a_list_is_a_line_an_entry() -> None:
    text = write_kept(FORM, {"rows": [{"a": 1}, {"a": 2}]}).decode("utf-8")
    assert text.startswith('{\n "form": "decalgen thing 3",\n "rows": [\n  {"a": 1},\n  {"a": 2}\n ],\n "content": ')


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ({"name": "a", "inner": [], "pair": ["b"]}, "pair has 1 values"),
        ({"name": 1, "inner": [], "pair": ["b", 1]}, "name is '1'"),
        ({"name": "a", "inner": [{"x": True}], "pair": ["b", 1]}, "inner, 1, x is 'True'"),
        ({"name": "a", "inner": [{"x": float("nan")}], "pair": ["b", 1]}, "not float"),
        ({"name": "a", "inner": [{"x": 10**400}], "pair": ["b", 1]}, "not float"),
        ({"name": "a", "inner": [{"x": 1, "way": "left"}], "pair": ["b", 1]}, "none of up, down"),
        ({"name": "a", "inner": {}, "pair": ["b", 1]}, "inner is not a list"),
        ({"name": "a", "inner": [], "pair": ["b", 1], "count": 1.5}, "count"),
        ({"name": "a", "inner": [], "pair": ["b", 1], "count": True}, "count"),
        ({"name": "a", "inner": [], "pair": ["b", 1], "named": []}, "named has no keys"),
        ({"name": "a", "inner": [], "pair": ["b", 1], "more": 1}, "unknown key 'more'"),
        ({"name": "a", "pair": ["b", 1]}, "lacks 'inner'"),
        ([], "has no keys"),
    ],
)
def test_what_does_not_fit_is_told(data: Any, told: str) -> None:
    with pytest.raises(MisfitError, match=told):
        value_of(Outer, data)


def test_a_missing_key_takes_its_default() -> None:
    assert value_of(Outer, {"name": "a", "inner": [], "pair": ["b", 1]}) == Outer("a", (), ("b", 1.0))


TEXT = write_kept(FORM, {"share": 0.003, "rows": [{"x": 1.5}]}).decode("utf-8")


def test_laid_out_otherwise_it_is_still_the_same() -> None:
    again = json.dumps(dict(reversed(json.loads(TEXT).items())), indent=4).replace("\n", "\r\n")
    assert read_kept(again, FORM, "f") == (3, {"share": 0.003, "rows": [{"x": 1.5}]})


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("0.003", "0.03", "was changed since decalgen wrote it"),
        ("1.5", "1.50001", "was changed since"),
        ('"share"', '"shore"', "was changed since"),
        ("thing 3", "thing 2", "was changed since"),
        ('"content"', '"contents"', "was changed since"),
        ("thing 3", "thing 4", "newer version"),
        ("thing 3", "thing three", "is not a kept thing"),
        ("thing 3", "thing \u00b3", "is not a kept thing"),
        ("thing 3", "other 3", "is not a kept thing"),
        ("{", "", "is not a kept thing"),
    ],
)
def test_a_changed_one_is_told_as_changed(old: str, new: str, told: str) -> None:
    assert old in TEXT
    with pytest.raises(InputError, match=told):
        read_kept(TEXT.replace(old, new, 1), FORM, "f")


def test_one_from_before_seals_needs_none() -> None:
    assert read_kept('{"form": "decalgen thing 1", "share": 1}', FORM, "f") == (1, {"share": 1})


def test_plain_data_are_what_json_knows() -> None:
    value = Outer("a", (Inner(1.0),), ("b", 2.0))
    assert json.loads(json.dumps(plain(value))) == plain(value)
