"""Inks, paints and films: what files may say, and what is found wrong."""

from __future__ import annotations

import pytest

from decalgen.colour.inks import PAPER, WHITE_INK, FilmLook, bare_metal, check_body, check_inks, ink, paint
from decalgen.colour.value import ColourError
from decalgen.core.errors import Place

HERE = Place("gannet.job", 7, 3, "  berry red: {colour: '#c21f2'}")


def test_an_ink_from_its_name_alone() -> None:
    assert ink("lifebuoy orange").colour.hex == "#e8641b"
    assert ink("white", "white").colour == WHITE_INK
    assert ink("stripe", colour="navy").colour.hex == "#000080"


def test_errors_name_the_ink_and_the_place() -> None:
    with pytest.raises(ColourError) as caught:
        ink("stripe red", colour="#c21f2", place=HERE)
    assert "stripe red" in caught.value.message
    assert caught.value.place == HERE
    assert "six digits" in caught.value.fix
    with pytest.raises(ColourError, match="has no colour"):
        ink("stripe red", place=HERE)
    with pytest.raises(ColourError, match="paint 'hull' has no colour"):
        paint("hull")


@pytest.mark.parametrize("opacity", [0, 2, -1, 1, 55, float("nan")])
def test_opacity_out_of_range(opacity: float) -> None:
    with pytest.raises(ColourError) as caught:
        ink("white", "white", opacity=opacity, place=HERE)
    assert "opacity" in caught.value.message
    assert "from 0.05 to 0.995" in caught.value.fix
    if opacity == 55:
        assert "55 % is 0.55" in caught.value.fix


def test_opacity_belongs_to_white() -> None:
    with pytest.raises(ColourError, match="belongs to white"):
        ink("red", colour="red", opacity=0.5)
    with pytest.raises(ColourError, match="belongs to white film"):
        FilmLook("clear", opacity=0.5)
    assert FilmLook("white", opacity=0.9).opacity == 0.9


def test_a_spot_ink_named_twice_with_two_colours() -> None:
    same = [ink("Fleet Blue", "spot", "#1f55a5"), ink("fleet  blue", "spot", "#1f55a5")]
    assert check_inks(same) == ()
    found = check_inks([*same, ink("fleet blue", "spot", "#1f55a6", place=HERE)])
    assert [(one.severity, one.code, one.place) for one in found] == [("error", "ink-twice", HERE)]
    assert "#1f55a5" in found[0].message
    assert "#1f55a6" in found[0].message
    assert found[0].fix
    assert [one.code for one in check_inks([ink("x", "spot", "red"), ink("x", "process", "red")])] == ["ink-twice"]


@pytest.mark.parametrize("name", ["Cyan", "all", "White", "bleu fonc\u00e9"])
def test_spot_names_a_print_file_cannot_carry(name: str) -> None:
    assert [one.code for one in check_inks([ink(name, "spot", "#123456")])] == ["ink-name"]
    assert check_inks([ink(name, "process", "#123456")]) == ()


def test_metallic_ink_warns() -> None:
    assert [(one.severity, one.code) for one in check_inks([ink("gold", "metallic")])] == [("warning", "ink-metallic")]


def test_finishes() -> None:
    assert check_body(paint("hull", "navy")) == ()
    codes = {finish: check_body(paint("hull", "navy", finish))[0].code for finish in ("matt", "metallic", "bare metal")}  # type: ignore[arg-type]
    assert codes == {"matt": "body-matt", "metallic": "body-metallic", "bare metal": "body-metal"}


def test_bare_metal_is_a_range() -> None:
    metal = bare_metal()
    dark, bright = metal.looks
    assert bright.lab[0] - dark.lab[0] > 30
    assert dark.lab[0] < metal.colour.lab[0] < bright.lab[0]
    assert check_body(metal)[0].severity == "warning"


def test_film_names() -> None:
    assert FilmLook("clear").name == "clear waterslide film"
    assert FilmLook("white", adhesive=True, colour=PAPER).name == "white self-adhesive film"
