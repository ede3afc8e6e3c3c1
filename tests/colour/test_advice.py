"""The order of advice, its words and its findings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.colour.advice import FAR, advise, difference_words, ground, nearest_ink, planned, wanted_look
from decalgen.colour.difference import GOOD, delta_e
from decalgen.colour.findings import film_finding, gamut_finding, white_finding
from decalgen.colour.icc import shipped
from decalgen.colour.inks import CLEAR_FILM, PAPER, WHITE_ADHESIVE, WHITE_FILM, FilmLook, bare_metal, ink, paint
from decalgen.colour.model import SOURCE_NOTE, look
from decalgen.colour.printer import PrinterColour
from decalgen.colour.spectral import DOUBT_SHARE, plus_minus_of
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError

HOME = PrinterColour()
WITH_WHITE = PrinterColour(white=True)
RED = ink("stripe red", colour="#d01010")
WHITE = ink("white", "white")


@pytest.mark.parametrize(
    ("wanted", "body", "printer", "fills", "way"),
    [
        (RED, "#ffffff", HOME, False, "clear"),
        (RED, "#eadfbd", HOME, False, "compensated"),
        (RED, "#1d2b4a", HOME, True, "white film"),
        (RED, "#1d2b4a", HOME, False, "white film"),
        (RED, "#1d2b4a", PrinterColour(white=True, opacity=0.9), False, "white underlay"),
        (RED, "#1d2b4a", PrinterColour(white=True, opacity=0.9), True, "white film"),
        (ink("soot"), "#1d2b4a", HOME, False, "clear"),
        (WHITE, "#ffffff", HOME, False, "clear"),
        (WHITE, "#1d2b4a", HOME, True, "white film"),
        (WHITE, "#1d2b4a", PrinterColour(white=True, opacity=0.9), False, "white underlay"),
    ],
)
def test_the_first_way_that_does(wanted, body, printer, fills, way) -> None:  # type: ignore[no-untyped-def]
    advice = advise(wanted, paint("hull", body), printer=printer, fills_panel=fills)
    assert advice.chosen is not None
    assert advice.chosen.way == way
    assert advice.chosen.usable
    assert advice.chosen.delta_e <= GOOD


colours = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}")


@given(colours, colours, st.booleans(), st.booleans())
def test_nothing_cheaper_would_have_done(wanted: str, body: str, white: bool, fills: bool) -> None:
    advice = advise(
        ink("one", colour=wanted), paint("hull", body), printer=PrinterColour(white=white), fills_panel=fills
    )
    chosen = advice.chosen
    assert chosen is not None
    if chosen.usable:
        assert chosen == next(one for one in advice.options if one.usable)
        assert delta_e(chosen.look, advice.wanted) == pytest.approx(chosen.delta_e)
        assert chosen.delta_e <= GOOD
    else:
        assert all(one.delta_e > GOOD or one.reason not in {"", FAR} for one in advice.options)
        assert chosen.delta_e == min(one.delta_e for one in advice.options if one.reason == FAR)
    order = ["clear", "compensated", "white film", "white underlay"]
    ways = list(dict.fromkeys(one.way for one in advice.options))
    if fills:
        assert ways == [way for way in order if way in ways]


@given(colours, colours)
def test_compensation_never_makes_it_worse(wanted: str, body: str) -> None:
    target = wanted_look(ink("one", colour=wanted), HOME)
    below = parse(body)
    plain = delta_e(Colour(look(target.xyz, PAPER.xyz, below.xyz)), target)
    better = Colour(look(nearest_ink(target, below, HOME).xyz, PAPER.xyz, below.xyz))
    assert delta_e(better, target) <= plain + 1e-9


def test_two_passes_where_one_is_not_enough() -> None:
    thin, thick = (PrinterColour(white=True, opacity=o, passes=3) for o in (0.8, 0.97))
    body = paint("hull", "#101010")
    grey = ink("rain")
    assert advise(grey, body, (CLEAR_FILM,), thin).chosen.passes > 1  # type: ignore[union-attr]
    assert advise(grey, body, (CLEAR_FILM,), thick).chosen.passes == 1  # type: ignore[union-attr]
    looks = [one.look.lab[0] for one in advise(WHITE, body, (CLEAR_FILM,), thin).options if one.passes]
    assert looks == sorted(looks)


@pytest.mark.parametrize(("opacity", "about", "within"), [(0.88, 5.0, 1.0), (0.95, 3.0, 0.6)])
def test_opacity_it_takes_on_black(opacity: float, about: float, within: float) -> None:
    """From a white body to a black one, one pass of opacity 0.86 to 0.90 lets dE 5 through, 0.94 to 0.96 dE 3
    (computed from R = R0 + T² Rg / (1 - R0 Rg), ISO 6504-3)."""
    white = ink("white", "white", opacity=opacity)
    black, snow = (advise(white, paint("hull", c), (CLEAR_FILM,), WITH_WHITE).options[1] for c in ("#000", "#fff"))
    assert black.passes == snow.passes == 1
    assert delta_e(black.look, snow.look) == pytest.approx(about, abs=within)


def test_a_compensating_ink_outside_the_gamut_is_not_advised() -> None:
    """The red that makes up for beige, #fc1119, is brighter than offset print on coated paper can be."""
    body = paint("hull", "#d8c6a0")
    for printer, why in ((HOME, "has no ICC profile of its own"), (PrinterColour(profile=shipped()), shipped().name)):
        advice = advise(RED, body, printer=printer)
        assert advice.chosen is not None
        assert advice.chosen.way != "compensated"
        option = advice.option("compensated")
        assert option is not None
        assert not option.usable
        assert "outside the gamut of" in option.reason and why in option.reason


def test_a_compensating_ink_inside_the_gamut_is() -> None:
    dull = ink("dull", colour="#8a5040")
    advice = advise(dull, paint("hull", "#d8c6a0"), printer=PrinterColour(profile=shipped()))
    assert advice.chosen is not None
    assert advice.chosen.way == "compensated"
    assert shipped().miss(advice.chosen.ink) <= 3
    assert not advice.chosen.reason
    # Without a profile of the printer's own the shipped one is a guess, and that is said.
    guess = advise(dull, paint("hull", "#d8c6a0"), printer=HOME).chosen
    assert guess is not None
    assert guess.way == "compensated" and guess.ink == advice.chosen.ink
    assert "inside the gamut of coated offset print" in guess.reason and "no ICC profile of its own" in guess.reason


def test_two_passes_of_white_are_weighed_before_white_film() -> None:
    """A white of 0.9 hides navy in two passes, and not in one; the printer file allows one."""
    once = PrinterColour(white=True, opacity=0.9, passes=1)
    advice = advise(RED, paint("navy", "#1d2b4a"), printer=once)
    assert [one.passes for one in advice.options if one.way == "white underlay"] == [1, 2]
    assert advice.chosen is not None
    assert (advice.chosen.way, advice.chosen.passes) == ("white underlay", 2)
    assert advice.chosen.reason == "with `passes: 2` under `colour` of the printer file"
    allowed = advise(RED, paint("navy", "#1d2b4a"), printer=PrinterColour(white=True, opacity=0.9)).chosen
    assert allowed is not None and (allowed.passes, allowed.reason) == (2, "")


def test_every_figure_names_its_source() -> None:
    for body in ("#ffffff", "#d8c6a0", "#1d2b4a"):
        advice = advise(RED, paint("hull", body), printer=WITH_WHITE)
        assert SOURCE_NOTE in advice.sentence
        for option in advice.options:
            assert SOURCE_NOTE in difference_words(option)
    finding = film_finding(advise(RED, paint("hull", "#1d2b4a")), CLEAR_FILM)
    assert finding is not None
    assert SOURCE_NOTE in finding.message


def test_doubt_is_the_distance_of_the_two_estimates() -> None:
    advice = advise(ink("ferry blue"), paint("hull", "#d8c6a0"))
    option = advice.option("compensated")
    assert option is not None
    assert option.doubt is not None
    assert option.doubt > 2
    assert option.swatch
    assert option.plus_minus is not None
    assert option.plus_minus == pytest.approx(plus_minus_of(option.ink, parse("#d8c6a0"), option.doubt))
    assert option.plus_minus > DOUBT_SHARE * option.doubt
    assert f"dE {option.delta_e:.1f} ± {option.plus_minus:.1f} (" in difference_words(option)
    plain = advise(RED, paint("hull", "#ffffff")).options[0]
    assert plain.doubt == pytest.approx(0, abs=0.05)
    assert not plain.swatch
    assert plain.plus_minus == pytest.approx(0, abs=0.05) and "±" not in difference_words(plain)


def test_findings_on_the_film_a_decal_is_planned_on() -> None:
    navy = paint("navy", "#1d2b4a")
    clear = film_finding(advise(RED, navy), CLEAR_FILM)
    assert clear is not None
    assert (clear.severity, clear.code) == ("warning", "colour-film")
    assert "white waterslide film" in clear.fix
    assert film_finding(advise(RED, navy), WHITE_FILM) is None
    assert film_finding(advise(RED, paint("cream", "#ffffff")), CLEAR_FILM) is None
    assert film_finding(advise(RED, navy), WHITE_ADHESIVE) is None
    thin = film_finding(advise(RED, navy, printer=WITH_WHITE), CLEAR_FILM, PrinterColour(white=True, opacity=0.3), 1)
    assert thin is not None
    assert "one pass of white" in thin.message
    good = PrinterColour(white=True, opacity=0.9)
    assert film_finding(advise(RED, navy, printer=good), CLEAR_FILM, good, 2) is None
    assert film_finding(advise(ink("gold", "metallic"), navy), CLEAR_FILM) is None


def test_white_on_clear_film_without_white_ink() -> None:
    finding = film_finding(advise(WHITE, paint("navy", "#1d2b4a")), CLEAR_FILM)
    assert finding is not None
    assert finding.severity == "error"
    for offer in ("white film", "backing", "painted patch"):
        assert offer in finding.fix
    assert film_finding(advise(WHITE, paint("snow", "#ffffff")), CLEAR_FILM) is None
    alone = advise(WHITE, paint("navy", "#1d2b4a"), (CLEAR_FILM,))
    assert alone.chosen is None
    assert "cannot be printed" in alone.sentence


def test_white_asked_of_a_printer_without() -> None:
    finding = white_finding("door band", HOME)
    assert finding is not None
    assert finding.severity == "error"
    assert "prints no white" in finding.message
    assert finding.fix
    assert white_finding("door band", WITH_WHITE) is None


def test_an_ink_the_printer_cannot_make() -> None:
    finding = gamut_finding(ink("loud", colour="#00ff00"), PrinterColour(profile=shipped()))
    assert finding is not None
    assert "outside the gamut" in finding.message
    assert gamut_finding(ink("rust"), PrinterColour(profile=shipped())) is None
    assert gamut_finding(ink("loud", colour="#00ff00"), HOME) is None


def test_what_is_planned_is_what_is_weighed() -> None:
    navy = paint("navy", "#1d2b4a")
    options = advise(RED, navy, printer=WITH_WHITE, fills_panel=True).options
    for option in options:
        if option.way != "compensated":
            assert planned(RED, navy, option.film, WITH_WHITE, option.passes) == option


def test_bare_metal_counts_its_worse_side() -> None:
    advice = advise(RED, bare_metal(), (CLEAR_FILM,))
    dark, bright = (advise(RED, paint("half", one.hex), (CLEAR_FILM,)) for one in bare_metal().looks)
    assert advice.options[0].delta_e == pytest.approx(dark.options[0].delta_e, abs=0.5)
    assert dark.options[0].delta_e > bright.options[0].delta_e


def test_metallic_ink_has_no_figure() -> None:
    advice = advise(ink("gold", "metallic"), paint("navy", "#1d2b4a"))
    assert advice.chosen is not None
    assert "no model covers metallic" in advice.sentence
    assert advice.chosen.swatch


def test_films_change_what_lies_below() -> None:
    navy = parse("#1d2b4a")
    assert ground(CLEAR_FILM, navy) == navy
    yellowed = FilmLook("clear", colour=parse("#f4e8c0"))
    assert ground(yellowed, parse("#ffffff")).hex == "#f4e8c0"
    assert ground(WHITE_FILM, navy) == WHITE_FILM.colour
    thin = FilmLook("white", opacity=0.7)
    assert ground(thin, navy).lab[0] < ground(thin, parse("#ffffff")).lab[0] < 100


def test_measured_patches_replace_the_wanted_colour() -> None:
    """A printer that makes the red too dark shows it in the prediction, on any film."""
    dark = PrinterColour(patches=(("stripe red", parse("#901010")),))
    assert advise(RED, paint("snow", "#ffffff"), printer=dark).options[0].look.hex == "#901010"


def test_an_ink_that_makes_up_for_the_body_is_judged_as_this_printer_prints_it() -> None:
    """Measured a fifth darker than asked for, an ink is sent lighter; where that cannot be, nothing is promised."""
    cream = paint("cream", "#efe6cf")
    dull = ink("dull", colour="#8a5040")
    x, y, z = dull.colour.xyz
    shade = Colour((0.8 * x, 0.8 * y, 0.8 * z))
    plain = advise(dull, cream, (CLEAR_FILM,)).option("compensated")
    dark = advise(dull, cream, (CLEAR_FILM,), PrinterColour(patches=(("dull", shade),))).option("compensated")
    assert plain is not None and dark is not None
    assert dark.delta_e < 1 and dark.ink.xyz[1] == pytest.approx(plain.ink.xyz[1] / 0.8, rel=0.02)
    brown = PrinterColour(patches=(("stripe red", parse("#402018")),))
    lost = advise(RED, cream, (CLEAR_FILM,), brown).option("compensated")
    assert lost is not None and not lost.usable and lost.delta_e > 3


@pytest.mark.parametrize(
    "values", [{"opacity": 0}, {"opacity": 2}, {"passes": 0}, {"passes": 9}, {"floor": 0.7}, {"misregister": -1}]
)
def test_printer_values_out_of_range(values: dict[str, float]) -> None:
    with pytest.raises(ColourError) as caught:
        PrinterColour(**values)  # type: ignore[arg-type]
    assert caught.value.fix
