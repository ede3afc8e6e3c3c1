"""A new key comes where a careful person writes it."""

from __future__ import annotations

import pytest

from decalgen.job.edits import values
from decalgen.job.first_shapes import shape_body
from decalgen.job.key_order import added
from decalgen.job.restructure import add_decal
from decalgen.job.written import rows as rows_of
from decalgen.shapes.base import Box

LONG = """job: tug
body: navy

panels:
  door:
    width: 22.40 mm
    height: 11.60 mm

decals:
  band:                # along the foot
    panel: door
    width: 10 mm       # as measured
    height: 2 mm
    # the ground first
    artwork:
      - field:
          ink: black

  flag: {panel: door, width: 1 mm, artwork: [{field: {ink: black}}]}
"""


@pytest.mark.parametrize(
    ("path", "value", "before", "after"),
    [
        (("decals", "band", "at"), "bottom", "    panel: door\n", "    width: 10 mm       # as measured\n"),
        (("decals", "band", "spares"), "2", "    height: 2 mm\n", "    # the ground first\n    artwork:\n"),
        (("decals", "band", "cut"), "round", "    height: 2 mm\n", "    # the ground first\n    artwork:\n"),
        (("date",), "2026-11-25", "body: navy\n", "\npanels:\n"),
        (("title",), "Tug", "body: navy\n", "\npanels:\n"),
    ],
)
def test_a_key_comes_before_what_is_long(path: tuple[str, ...], value: str, before: str, after: str) -> None:
    found = added(LONG, path, value)
    indent = "    " if len(path) > 1 else ""
    assert f"{before}{indent}{path[-1]}: {value}\n{after}" in found
    assert found.replace(f"{indent}{path[-1]}: {value}\n", "", 1) == LONG


def test_a_key_in_brackets_comes_before_the_artwork_too() -> None:
    assert "{panel: door, at: top, width: 1 mm, artwork:" in added(LONG, ("decals", "flag", "at"), "top")


def test_what_is_no_key_of_a_decal_goes_last() -> None:
    found = added(LONG, ("decals", "band", "artwork", 0, "field", "at"), "top")
    assert list(values(found)["decals"]["band"]["artwork"][0]["field"].items()) == [("ink", "black"), ("at", "top")]


def test_a_new_decal_has_its_keys_in_the_order_of_a_tidy_file() -> None:
    rows = {"panel": "door", "artwork": [{"field": {"ink": "black"}}], "film": "white", "at": "top", "width": "2 mm"}
    new = add_decal(LONG, "foot", rows)
    assert list(values(new)["decals"]["foot"]) == ["panel", "at", "width", "film", "artwork"]


def test_points_and_lists_of_a_new_shape_are_written_in_brackets() -> None:
    body = shape_body("band", Box(20.0, 10.0), ["soot", "teal"])
    text = "\n".join(rows_of({"band": body}, 0))
    assert "  inks: [soot, teal]\n" in text and "    - [0.65 mm, 0.65 mm]\n" in text
    assert values(text)["band"]["points"][0] == ["0.65 mm", "0.65 mm"]
