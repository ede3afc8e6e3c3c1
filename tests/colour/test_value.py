"""Reading colours: what is understood, and what is refused with which words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.colour.difference import delta_e
from decalgen.colour.palette import PALETTE
from decalgen.colour.typed import from_cmyk, parse
from decalgen.colour.value import Colour, ColourError
from decalgen.core.errors import DecalgenError


@given(st.integers(0, 0xFFFFFF))
def test_every_hex_comes_back(number: int) -> None:
    code = f"#{number:06x}"
    colour = parse(code)
    assert colour.hex == code
    assert colour.in_srgb


@given(st.integers(0, 0xFFFFFF))
def test_hex_is_what_css_says(number: int) -> None:
    """Against coloraide's own conversion (CSS Color 4)."""
    from coloraide import Color

    code = f"#{number:06x}"
    assert parse(code).xyz == pytest.approx(Color(code).convert("xyz-d50").coords(), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("#E8641B", "#e8641b"),
        ("#fff", "#ffffff"),
        ("navy", "#000080"),  # CSS Color 4, named colours
        ("RebeccaPurple", "#663399"),
        ("rgb(232 100 27)", "#e8641b"),
        ("lifebuoy orange", "#e8641b"),
        ("  Lifebuoy   Orange ", "#e8641b"),
        ("lab(100 0 0)", "#ffffff"),
        ("Lab 0 0 0", "#000000"),
        ("lab(53.585 0 0)", "#808080"),
        ("cmyk(0 0 0 0)", "#ffffff"),
    ],
)
def test_ways_to_write(text: str, code: str) -> None:
    assert parse(text).hex == code


def test_cmyk_is_what_the_profile_says() -> None:
    asked: list[tuple[float, ...]] = []

    def reader(percent: tuple[float, float, float, float]) -> Colour:
        asked.append(percent)
        return parse("#123456")

    assert parse("device-cmyk(10% 20% 30% 40%)", reader).hex == "#123456"
    assert parse("CMYK 0, 70, 100, 0", reader).hex == "#123456"
    assert asked == [(10, 20, 30, 40), (0, 70, 100, 0)]


def test_lab_outside_the_screen_is_kept_and_shown_as_near_as_can_be() -> None:
    colour = parse("lab(60 -70 -30)")
    assert not colour.in_srgb
    assert colour.lab == pytest.approx((60, -70, -30), abs=1e-9)
    assert abs(parse(colour.hex).lab[0] - 60) < 1


@pytest.mark.parametrize(
    ("text", "says", "fix"),
    [
        ("lab(140 0 0)", "L* 140 is out of range", "54.9"),
        ("lab(-3 0 0)", "L* -3 is out of range", "between 0 and 100"),
        ("lab(50 200 0)", "a* 200 is out of range", "between -128 and 128"),
        ("lab(50 0)", "is not a colour", "3 numbers"),
        ("cmyk(0 70 100)", "is not a colour", "4 numbers"),
        ("cmyk(0 170 100 0)", "magenta 170 % is out of range", "between 0 and 100"),
        ("rgb(300 0 0)", "out of range", "between 0 and 255"),
        ("#e8641", "is not a colour", "six digits"),
        ("e8641b", "is not a colour", "'#e8641b'"),
        ("#11223344", "transparent", "leave out"),
        ("nawy", "is not a colour", "did you mean 'navy'"),
        ("", "is not a colour", "#e8641b"),
        ("x" * 5000, "is not a colour", "#e8641b"),
        ("lab(nan 0 0)", "is not a colour", ""),
        ("rgb(none 0 0)", "is not a colour", ""),
        ("none", "is not a colour", ""),
    ],
)
def test_refusals(text: str, says: str, fix: str) -> None:
    with pytest.raises(ColourError) as caught:
        parse(text)
    assert says in caught.value.message
    assert fix in caught.value.fix
    assert caught.value.fix
    assert isinstance(caught.value, DecalgenError)
    assert len(caught.value.message) < 200


@given(st.text(max_size=40))
def test_anything_typed_gives_a_colour_or_a_colour_error(text: str) -> None:
    try:
        colour = parse(text)
    except ColourError as error:
        assert error.fix
    else:
        assert len(colour.hex) == 7


def test_not_a_number_in_lab() -> None:
    with pytest.raises(ColourError, match="not a number"):
        Colour.from_lab(float("nan"), 0, 0)
    with pytest.raises(ColourError, match="out of range"):
        from_cmyk((0, 0, 0, float("inf")))


def test_palette_is_of_colours_that_can_be_told_apart() -> None:
    assert 24 <= len(PALETTE) <= 26
    names = list(PALETTE)
    for i, one in enumerate(names):
        assert one == one.lower()
        for other in names[i + 1 :]:
            assert delta_e(parse(PALETTE[one]), parse(PALETTE[other])) > 5, (one, other)


def test_palette_hides_no_css_colour() -> None:
    from coloraide.css.color_names import name2val_map

    assert not set(PALETTE) & set(name2val_map)
