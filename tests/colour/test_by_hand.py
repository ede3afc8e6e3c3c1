"""What is reckoned by hand so that a check need not load the colour library, held against that library (coloraide)."""

from __future__ import annotations

import subprocess
import sys

import pytest
from coloraide import Color
from coloraide.cmfs import CIE_1931_2DEG
from hypothesis import given
from hypothesis import strategies as st

from decalgen.colour import spectral
from decalgen.colour.ciede2000 import delta_e_lab
from decalgen.colour.difference import contrast
from decalgen.colour.eyes import Eyes, seen_by
from decalgen.colour.srgb import brought_in
from decalgen.colour.value import Colour

HEXES = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
LABS = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))
NAMES: dict[Eyes, str] = {"red-blind": "protan", "green-blind": "deutan", "blue-blind": "tritan"}


@given(LABS, LABS)
def test_ciede2000(one: tuple[float, float, float], other: tuple[float, float, float]) -> None:
    reference = Color("lab", list(one)).delta_e(Color("lab", list(other)), method="2000", space="lab")
    assert delta_e_lab(one, other) == pytest.approx(reference, abs=1e-6)


@given(HEXES)
def test_lab(text: str) -> None:
    reference = Color(text).convert("lab").coords(nans=False)
    assert Colour.from_hex(text).lab == pytest.approx(tuple(reference), abs=1e-4)


@given(LABS)
def test_lab_turned_round(lab: tuple[float, float, float]) -> None:
    reference = Color("lab", list(lab)).convert("xyz-d50").coords(nans=False)
    assert Colour.from_lab(*lab).xyz == pytest.approx(tuple(reference), abs=1e-9)


@given(LABS)
def test_colours_a_screen_cannot_show_are_brought_in_alike(lab: tuple[float, float, float]) -> None:
    """By the same search; where it ends may differ by the last steps of a bisection, far below what can be seen."""
    colour = Colour.from_lab(*lab)
    reference = Color("lab", list(lab)).convert("srgb").fit(method="lch-chroma").coords(nans=False)
    assert brought_in(colour.xyz) == pytest.approx(tuple(reference), abs=0.004)


@given(HEXES, HEXES)
def test_contrast(one: str, other: str) -> None:
    reference = Color(one).contrast(Color(other), method="wcag21")
    assert contrast(Colour.from_hex(one), Colour.from_hex(other)) == pytest.approx(reference, abs=2e-3)


@given(HEXES, st.sampled_from(list(NAMES)))
def test_what_colour_deficient_eyes_see(text: str, eyes: Eyes) -> None:
    """Its filters are those of Vienot 1999 and Brettel 1997 too."""
    seen = seen_by(eyes, Colour.from_hex(text)).linear
    assert seen == pytest.approx(tuple(Color(text).filter(NAMES[eyes]).convert("srgb-linear").coords()), abs=1e-6)


@pytest.mark.parametrize(("eyes", "colour"), [("red-blind", "#ff0000"), ("green-blind", "#00ff00")])
def test_red_and_green_are_one_mixture_to_them(eyes: Eyes, colour: str) -> None:
    red, green, _ = seen_by(eyes, Colour.from_hex(colour)).linear
    assert red == pytest.approx(green)


def test_the_standard_observer() -> None:
    """The library's table rounds to single precision, ours to six places."""
    for wavelength, row in zip(spectral.WAVELENGTHS, spectral._OBSERVER, strict=True):
        assert row == pytest.approx(tuple(CIE_1931_2DEG[wavelength]), abs=6e-7)


def test_a_check_of_plain_colours_does_not_load_the_library() -> None:
    program = (
        "import sys\n"
        "from decalgen.colour.legibility import confusions, legibility\n"
        "from decalgen.colour.value import Colour\n"
        "looks = {'a': Colour.from_hex('#c00000'), 'b': Colour.from_hex('#5a7000')}\n"
        "assert confusions('decal', looks)\n"
        "legibility(*looks.values())\n"
        "print('coloraide' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
