"""Lengths and expressions, against pint (unit factors), Python's fractions (arithmetic) and JCGM 100:2008."""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.lengths import (
    MILLIMETRES,
    ExpressionError,
    NameProblem,
    Quantity,
    evaluate,
    length,
    number,
    parse_scale,
    propagate,
)
from decalgen.core.lengths.wanted import names_in

# pint 0.25: its default registry, built on CODATA and the definitions of the SI and of the yard and pound agreement.
PINT = pint.UnitRegistry()
PINT_NAMES = {"mm": "mm", "cm": "cm", "µm": "µm", "um": "um", "in": "inch", "thou": "thou", "pt": "point"}
WIDTH = Quantity(22.4, 1, (("door.width", 0.03),))
BRACKETS = "put the reading in brackets, as in (12.4 mm ± 0.1 mm) {} 2, or work out the ±"
UNCLEAR_U = "put the reading in brackets, as in (12.4 mm ± 0.1 mm) * 2, or work out the u"
MANY_UNITS = "check whether a value has one unit too many or too few"
NAMES = {
    "panel.width": WIDTH,
    "panel.height": Quantity(11.6),
    "panels.cargo side.top width": Quantity(28.6),
    "panels.D-door.width": Quantity(9.0),
    "stripe gap": Quantity(0.5),
    "columns": Quantity(12.0, 0),
}


def failure(text: str, read: object = evaluate) -> ExpressionError:
    with pytest.raises(ExpressionError) as caught:
        read(text, NAMES)  # type: ignore[operator]
    return caught.value


# ------------------------------------------------------------------------------------------------------- units
@given(
    value=st.decimals(min_value=0, max_value=1000, places=4, allow_nan=False),
    unit=st.sampled_from(sorted(MILLIMETRES)),
    space=st.sampled_from(["", " ", "\N{NO-BREAK SPACE}", "\N{NARROW NO-BREAK SPACE}"]),
)
def test_every_unit_agrees_with_pint(value, unit, space):
    expected = PINT.Quantity(float(value), PINT_NAMES[unit]).to("mm").magnitude
    found = length(f"{value:f}{space}{unit}") if value else evaluate(f"0 {unit}")
    assert found.value == pytest.approx(expected, rel=1e-12)
    assert (found.dimension, found.parts) == (1, ())


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        # CSS Values and Units Level 4, 6.2: a pica is a sixth of an inch.
        ("6 pica", 25.4),
        ("1 1/2 picas", 6.35),
        ("0.25 pica ± 0.05 mm", 25.4 / 24),
        ("3 inches", 76.2),
        ("12 points", 25.4 / 6),
        ("800 microns", 0.8),
        ("2 millimetres", 2.0),
        ("0.3 decimetres", 30.0),
        ("900000 nm", 0.9),
        # NIST Handbook 44, Appendix C: the yard, hand and chain.
        ("0.1 yard", 91.44),
        ("0.5 hand", 50.8),
    ],
)
def test_a_unit_beyond_the_common_ones_is_read_by_its_name(text, millimetres):
    assert length(text).value == pytest.approx(millimetres, rel=1e-12)


def test_a_long_unit_is_read_too():
    # NIST Handbook 44, Appendix C: a furlong is 660 feet, of the survey or the international foot.
    assert length("2 furlong").value == pytest.approx(2 * 201_168, rel=1e-5)
    assert failure("1 parsec").message == "the value here is too large"


@given(unit=st.sampled_from(["pica", "yard", "hand", "fathom", "rod", "mile", "angstrom", "micron", "thou", "didot"]))
def test_those_units_agree_with_pint(unit):
    expected = PINT.Quantity(1, unit).to("mm").magnitude
    assert length(f"1 {unit}").value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("text", ["3 second", "3 pint", "3 kg", "2 litre", "90 degree"])
def test_a_unit_of_something_else_is_refused(text):
    found = failure(text, length)
    assert found.message == f"'{text.split()[1]}' is not a unit of length"
    assert found.fix == "write a length, such as 2.5 mm" and found.start == 2 + (text == "90 degree")


@pytest.mark.parametrize("text", ["3 pin", "3 kin", "3 __import__", "3 mm.real", "3 " + "m" * 150, "3 metre_per_foot"])
def test_what_names_no_unit_is_refused(text):
    assert isinstance(failure(text, length), ExpressionError)


def test_slips_are_no_units_whatever_the_registry_says():
    # There "px" is a 96th of an inch and "mil" no length; a metre or a foot is no size of a model's panel.
    assert failure("20 px").fix == "a pixel has no size of its own: write mm"
    assert failure("20 mil").fix == "write mm or thou, whichever is meant"
    assert failure("2 metres").fix == "write it in mm: 1 m is 1000 mm"
    assert failure("2 feet").fix == "feet are not used here: write in or mm"
    assert length("2 metres", full_size=True).value == 2000
    assert length("2 feet", full_size=True).value == pytest.approx(609.6)


def test_a_value_of_the_job_is_never_taken_for_a_unit():
    with pytest.raises(ExpressionError, match="'pica' is not a unit"):
        evaluate("3 pica", {"pica": Quantity(2.0)})


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        # ISO 216 and ANSI/ASME Y14.1: the published sizes in inches and millimetres agree.
        ("8 1/2 in", 215.9),
        ("8½ in", 215.9),
        ("11 in", 279.4),
        ('11"', 279.4),
        ("11″", 279.4),
        ("3/8 in", 9.525),
        ("¼ in", 6.35),
        ("72 pt", 25.4),  # the typographic point of 1/72 inch (ISO 32000-1, 8.3.2.3: default user space)
        ("100 thou", 2.54),
        ("14.8 cm", 148.0),
        (".5 mm", 0.5),
        ("5. mm", 5.0),
        ("1e2 mm", 100.0),
        ("-2.5 mm", -2.5),
        ("\N{MINUS SIGN}2.5 mm", -2.5),
        ("250 μm", 0.25),  # Greek mu instead of the micro sign
    ],
)
def test_known_lengths(text, millimetres):
    assert length(text).value == pytest.approx(millimetres, rel=1e-15)


@given(whole=st.integers(0, 200), above=st.integers(1, 63), below=st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_of_an_inch_are_exact(whole, above, below):
    exact = float((whole + Fraction(above, below)) * Fraction(127, 5))
    assert length(f"{whole} {above}/{below} in").value == exact
    assert length(f"{above}/{below} in").value == float(Fraction(above, below) * Fraction(127, 5))


def test_full_size_units_are_for_full_size_only():
    assert length("1.9 m", full_size=True).value == 1900.0
    assert length("6 ft", full_size=True).value == pytest.approx(PINT.Quantity(6, "ft").to("mm").magnitude)
    assert failure("1.9 m").fix == "write it in mm: 1 m is 1000 mm"


def test_pint_is_not_imported_before_it_is_needed():
    code = "import sys, decalgen.core.lengths as a; a.evaluate('1 in + 2 mm'); sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


# ------------------------------------------------------------------------------------------------- uncertainty
@pytest.mark.parametrize(
    "text",
    [
        "12.4 mm ± 0.05",
        "12.4 ± 0.05 mm",
        "12.4 mm ± 0.05 mm",
        "12.4 mm +/- 0.05",
        "12.4 mm +- 50 µm",
        "1.24 cm ± 0.05 mm",
    ],
)
def test_plus_minus_are_limits(text):
    # JCGM 100:2008, 4.3.7: a rectangular distribution of half-width a has u = a/√3.
    found = length(text, reading="door.width")
    assert found.value == pytest.approx(12.4)
    assert found.parts == (("door.width", pytest.approx(0.05 / math.sqrt(3), rel=1e-12)),)


@pytest.mark.parametrize(
    ("text", "value", "limit"),
    [
        ("12 mm ± 1/10 mm", 12.0, 0.1),
        ("22.4 mm ± 1/2", 22.4, 0.5),
        ("22.4 mm +/- 1 / 20", 22.4, 0.05),
        ("0.5 in ± 1/64", 12.7, 25.4 / 64),
        ("2.24 cm ± 1/4 mm", 22.4, 0.25),
        ("22.4 mm u 1/20 mm", 22.4, math.sqrt(3) / 20),
        ("22.4 mm ± 1 1/2 mm", 22.4, 1.5),
        ("(22.4 mm ± 0.1) / 2", 11.2, 0.05),
        ("2 * 11.2 mm ± 0.1", 22.4, 0.2),
        ("22.4 mm ± 1/2 - 2 mm", 20.4, 0.5),
    ],
)
def test_a_fraction_after_plus_minus_divides_no_reading(text, value, limit):
    found = length(text, reading="w")
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.parts == (("w", pytest.approx(limit / math.sqrt(3), rel=1e-12)),)


def test_u_is_a_standard_uncertainty():
    for text in ("12.4 mm u 0.05", "12.4 mm u 0.05 mm", "12.4 u 0.05 mm", "12.4 mm u .05"):
        assert length(text, reading="w").parts == (("w", pytest.approx(0.05, rel=1e-15)),)


def test_two_readings_in_one_text_are_two_readings():
    found = length("12.4 mm u 0.03 - 2 * 0.4 mm u 0.02", reading="w")
    assert dict(found.parts) == {"w": pytest.approx(0.03), "w 2": pytest.approx(-0.04)}
    assert found.u == pytest.approx(0.05)  # 3-4-5


def test_one_reading_correlates_with_itself():
    assert evaluate("panel.width - panel.width", NAMES).parts == ()
    assert evaluate("panel.width + panel.width", NAMES).u == pytest.approx(0.06)
    assert evaluate("panel.width / panel.width", NAMES).u == pytest.approx(0.0, abs=1e-18)
    assert (WIDTH - WIDTH).u == 0.0


def test_independent_readings_add_as_squares():
    # JCGM 100:2008, 5.1.2, equation (10).
    a, b = Quantity(3.0, 1, (("a", 0.3),)), Quantity(4.0, 1, (("b", 0.4),))
    assert (a + b).u == pytest.approx(0.5)
    assert (a - b).u == pytest.approx(0.5)
    # Relative uncertainties of a product add as squares (5.1.6, equation (12)): 10 % and 10 %.
    assert (a * b).u / (a * b).value == pytest.approx(math.hypot(0.1, 0.1))
    assert (a / b).u / (a / b).value == pytest.approx(math.hypot(0.1, 0.1))
    assert (2 * a).u == pytest.approx(0.6)
    assert a.expanded() == pytest.approx(0.6)
    assert a.expanded(3) == pytest.approx(0.9)


def test_propagate_drops_what_cancels():
    assert propagate(0.0, 1, ((1.0, WIDTH), (-1.0, WIDTH))) == Quantity(0.0)


@given(
    x=st.floats(1, 50),
    y=st.floats(1, 50),
    text=st.sampled_from(
        ["x + y - 2 * x", "x * y / (x + y)", "(x - 0.4 mm) / y * 3 mm", "max(x, y) - x / 3", "-x + y * 2"]
    ),
)
def test_parts_are_the_partial_derivatives(x, y, text):
    u = 1e-6
    at = {"x": Quantity(x, 1, (("x", u),)), "y": Quantity(y, 1, (("y", u),))}
    if "max" in text and abs(x - y) < 1e-3:
        return
    found = dict(evaluate(text, at).parts)
    for name in ("x", "y"):

        def value(shift, name=name):
            moved = {key: Quantity(q.value + (shift if key == name else 0.0)) for key, q in at.items()}
            return evaluate(text, moved).value

        slope = (value(1e-4) - value(-1e-4)) / 2e-4
        assert found.get(name, 0.0) == pytest.approx(slope * u, rel=1e-4, abs=1e-12)


def test_min_and_max_keep_the_parts_of_what_they_choose():
    assert evaluate("min(panel.width, 50 mm)", NAMES) == WIDTH
    assert evaluate("max(panel.width, 50 mm)", NAMES) == Quantity(50.0)
    assert evaluate("min(3 mm, 1 mm, 2 mm)") == Quantity(1.0)
    assert evaluate("max(0, panel.height)", NAMES) == Quantity(11.6)


# ------------------------------------------------------------------------------------------------- expressions
def _expression(depth: int) -> st.SearchStrategy[tuple[str, Fraction]]:
    """Texts of plain numbers with their exact value by Python's fractions."""
    numbers = st.integers(0, 99).map(lambda n: (str(n), Fraction(n)))
    tenths = st.integers(0, 999).map(lambda n: (f"{n / 10:.1f}", Fraction(n, 10)))
    leaf = numbers | tenths
    if depth == 0:
        return leaf
    below = _expression(depth - 1)

    def joined(parts: tuple[tuple[str, Fraction], str, tuple[str, Fraction]]) -> tuple[str, Fraction]:
        (left, a), sign, (right, b) = parts
        if sign == "/" and b == 0:
            sign = "-"
        value = {"+": a + b, "-": a - b, "*": a * b, "/": a / b if b else a}[sign]
        return f"({left}) {sign} ({right})", value

    either = st.tuples(below, st.sampled_from("+-*/"), below).map(joined)
    negative = below.map(lambda part: (f"-({part[0]})", -part[1]))
    chosen = st.tuples(below, below).map(lambda two: (f"min({two[0][0]}, {two[1][0]})", min(two[0][1], two[1][1])))
    return leaf | either | negative | chosen


@given(_expression(3))
def test_arithmetic_agrees_with_pythons_fractions(case):
    text, exact = case
    if len(text) > 200 or abs(exact) > 10**9:
        return
    assert evaluate(text).value == pytest.approx(float(exact), rel=1e-9, abs=1e-9)


@given(st.lists(st.tuples(st.sampled_from("+-*"), st.integers(1, 9)), min_size=1, max_size=12))
def test_products_bind_before_sums_and_sums_go_from_left_to_right(steps):
    text = "7" + "".join(f" {sign} {n}" for sign, n in steps)
    products: list[int] = [7]
    for sign, n in steps:
        if sign == "*":
            products[-1] *= n
        else:
            products.append(n if sign == "+" else -n)
    assert evaluate(text).value == float(sum(products))


@pytest.mark.parametrize(
    ("text", "value", "dimension"),
    [
        ("panel.width - 2 * 0.4 mm", 21.6, 1),
        ("panel.width-2 mm", 20.4, 1),
        ("panels.cargo side.top width / 2", 14.3, 1),
        ("panels.D-door.width-1 mm", 8.0, 1),
        ("stripe gap*2", 1.0, 1),
        ("panel.width / panel.height", 22.4 / 11.6, 0),
        ("panel.width * panel.height", 22.4 * 11.6, 2),
        ("panel.width / columns", 22.4 / 12, 1),
        ("panel.width - 0", 22.4, 1),
        ("6 × 2", 12.0, 0),
        ("6 ÷ 2", 3.0, 0),
        ("1 1/2", 1.5, 0),
        ("2 * -3", -6.0, 0),
    ],
)
def test_names_and_dimensions(text, value, dimension):
    found = evaluate(text, NAMES)
    assert found.value == pytest.approx(value, rel=1e-12)
    assert found.dimension == dimension


def test_nought_is_a_length_and_a_number():
    assert length("0") == Quantity(0.0)
    assert length("0.0 mm") == Quantity(0.0)
    assert number("0") == Quantity(0.0, 0)


def test_angles():
    for text in ("45", "45°", "45 deg", "45 degrees", "90° / 2", "90 deg - 45"):
        assert number(text, angle=True) == Quantity(45.0, 0)
    assert failure("45 mm", lambda t, n: number(t, n, angle=True)).message == "'mm' is not a unit here"


@pytest.mark.parametrize(
    ("text", "message", "fix", "start", "size"),
    [
        ("9,2 mm", "there is a comma inside a number", "write a full stop: 9.2 mm", 0, 3),
        (
            "1,500 mm",
            "there is a comma inside a number",
            "write a full stop: 1.500 mm; or leave the comma out: 1500 mm",
            0,
            5,
        ),
        ("panel.width - 2", "a length and a plain number cannot be subtracted", "panel.width - 2 mm", 14, 1),
        ("2 + panel.width", "a plain number and a length cannot be added", "2 mm + panel.width", 2, 1),
        ("panel.widht", "'panel.widht' is not known here", "did you mean 'panel.width'?", 0, 11),
        ("2 * panel.widht - 1 mm", "'panel.widht' is not known here", "did you mean 'panel.width'?", 4, 11),
        ("3 MM", "'MM' is not a unit here", "write mm", 2, 2),
        ("3 mil", "'mil' is not a unit here", "write mm or thou, whichever is meant", 2, 3),
        ("3'", "''' is not a unit here", "feet are not used here: write in or mm", 1, 1),
        ("9**9", "'**' is not allowed here", "multiply instead: there are no powers", 1, 2),
        ("9^9", "'^' is not allowed here", "multiply instead: there are no powers", 1, 1),
        ("(1 mm", "this bracket is never closed", "put ) where it ends", 0, 1),
        ("1 mm)", "this bracket was never opened", "remove it, or put ( where it begins", 4, 1),
        ("2 (3 mm)", "something is missing before '('", "put + - * or / between two values", 2, 1),
        ("(1 mm 2)", "something is missing before '2'", "put + - * or / between two values", 6, 1),
        ("min(1 mm", "this bracket is never closed", "put ) where it ends", 3, 1),
        ("* 2", "'*' is out of place here", "a value is needed", 0, 1),
        ("1 mm, 2 mm", "there is a comma here", "a decimal point is a full stop: 0.5 mm", 4, 1),
        ("2 garland", "'garland' is not a unit here", "use one of: cm, in, mm, pt, thou, um, µm", 2, 7),
        ("2 Mils", "'Mils' is not a unit here", "write mm or thou, whichever is meant", 2, 4),
        ("2 mm 3", "something is missing before '3'", "put + - * or / between two values", 5, 1),
        ("1 mm +", "something is missing at the end", "write what comes next, or remove this", 5, 1),
        ("± 3 mm", "'±' can only follow a measured number", "as in 12.4 mm ± 0.05", 0, 1),
        ("3 mm ±", "a number is missing after '±'", "write the largest error you expect, as in ± 0.05 mm", 5, 1),
        ("12.4 ± 0.05", "a measured value needs its unit", "write 12.4 mm ± 0.05", 0, 11),
        ("12.4 mm ± 0.1 / 2", "it is not clear what is divided, the reading or its ± 0.1", BRACKETS.format("/"), 14, 1),
        ("9 mm u 0.1 mm * 2", "it is not clear what is multiplied, the reading or its u 0.1", UNCLEAR_U, 14, 1),
        ("9 mm ± 1/20/2", "it is not clear what is divided, the reading or its ± 1/20", BRACKETS.format("/"), 11, 1),
        ("9 mm ± 1/0", "nothing can be divided by zero", "write the fraction again", 7, 3),
        ("sin(2)", "'sin' is not known here", "only min(…) and max(…)", 0, 3),
        ("1-1/2 in", "a plain number and a length cannot be subtracted", "write 1 1/2 in", 1, 1),
        ("4 mm / 0", "nothing can be divided by zero", "check which value below the line is zero", 5, 3),
        ("1/0 in", "nothing can be divided by zero", "write the fraction again", 0, 3),
        ("2 / panel.width", "a plain number cannot be divided by a length", MANY_UNITS, 2, 13),
        ("1 mm*1 mm*1 mm", "this is a volume, and nothing here takes one", MANY_UNITS, 9, 2),
        ("1e13 mm", "this number is too large", "at most 1000000000000", 0, 4),
        ("1e999999999 mm", "this number is too large", "at most 1000000000000", 0, 11),
        ("1000000 * 1000001", "the value here is too large", "at most 1000000000000", 8, 1),
        ("2.5 – 1", "this is a dash, not a minus", "write a plain minus: -", 4, 1),
        ("٣ mm", "'٣' is not a digit from 0 to 9", "type the number again with plain digits", 0, 1),
        ("<gap> + 1 mm", "'<' is not allowed here", "write a name without < and > inside an expression", 0, 1),
        ("", "a value is missing", "write a value, such as 2.5 mm", 0, 1),
        ("   ", "a value is missing", "write a value, such as 2.5 mm", 0, 3),
    ],
)
def test_mistakes_say_what_where_and_how_to_mend_it(text, message, fix, start, size):
    error = failure(text)
    assert (error.message, error.fix, error.start, error.length) == (message, fix, start, size)


def test_very_small_numbers_cost_nothing():
    assert evaluate("1e-99999999999 mm") == Quantity(0.0)
    assert evaluate("1e-5 mm") == Quantity(1e-5)
    assert failure("1 / (1e-39 * 1e-39) * (1e-39 * 1e-39)").message == "the value here is too large"


def test_a_length_needs_its_unit():
    error = failure("12.4", length)
    assert (error.message, error.fix) == ("this needs a unit, such as 2 mm", "write 12.4 mm")
    assert failure("2 * 3", length).fix == "give the lengths in it a unit, as in 2.5 mm"
    assert failure("panel.width * panel.height", length).message == "this is an area, not a length"
    assert failure("3 mm", number).message == "this is a length; a plain number is needed"


def test_two_hundred_characters_and_no_more():
    assert evaluate("1" + "+1" * 99 + " ").value == 100.0
    error = failure("1" + "+1" * 100)
    assert (error.message, error.start, error.length) == ("this is longer than 200 characters", 200, 1)


def test_twenty_levels_and_no_more():
    assert evaluate("(" * 20 + "1" + ")" * 20).value == 1.0
    assert evaluate("-" * 20 + "1").value == 1.0
    assert failure("(" * 21 + "1" + ")" * 21).message == "more than 20 levels of brackets and signs"
    assert failure("-" * 21 + "1").start == 21
    assert failure("(" * 199).message == "more than 20 levels of brackets and signs"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 2e12])
def test_no_name_brings_in_what_is_no_sound_value(value):
    with pytest.raises(ExpressionError, match="too large"):
        evaluate("x + 1", {"x": Quantity(value, 0)})


def test_a_name_that_has_no_value_says_why_at_its_place():
    class Names(dict[str, Quantity]):
        def __missing__(self, name: str) -> Quantity:
            raise NameProblem(f"'{name}' is a text", "name another")

    with pytest.raises(ExpressionError) as caught:
        evaluate("2 * title", Names())
    assert (caught.value.message, caught.value.start, caught.value.length) == ("'title' is a text", 4, 5)


WORDS = st.sampled_from(
    [
        "panel.width",
        "columns",
        "mm",
        "in",
        "u",
        "±",
        "+/-",
        "(",
        ")",
        "min(",
        "max",
        ",",
        "+",
        "-",
        "*",
        "/",
        "1",
        "0",
        "1/2",
        "9,2",
        "1e9",
        "°",
        "½",
        " ",
        ".",
        "x",
        "nan",
        "__import__",
        "\n",
        "\x00",
    ]
)


@given(st.text(max_size=60) | st.lists(WORDS, max_size=40).map("".join) | st.lists(WORDS, max_size=40).map(" ".join))
def test_no_text_makes_anything_but_a_value_or_a_mistake_with_a_place(text):
    for read in (evaluate, length, number, lambda t, n: evaluate(t, n, angle=True)):
        try:
            found = read(text, NAMES)
        except ExpressionError as error:
            assert error.message
            assert 0 <= error.start <= max(1, len(text))
            assert 1 <= error.length <= max(1, len(text))
        else:
            assert isinstance(found, Quantity)
            assert math.isfinite(found.value) and math.isfinite(found.u)
            assert found.dimension in (0, 1, 2)


def test_quantities_refuse_what_makes_no_sense():
    with pytest.raises(ValueError, match="a length and a plain number cannot be added"):
        Quantity(1.0) + Quantity(1.0, 0)
    with pytest.raises(ValueError, match="volume"):
        Quantity(1.0, 2) * Quantity(1.0)
    with pytest.raises(ValueError, match="divided by a length"):
        Quantity(1.0, 0) / Quantity(1.0)
    with pytest.raises(ZeroDivisionError):
        Quantity(1.0) / Quantity(0.0, 0)


# ------------------------------------------------------------------------------------------------------- scale
def test_scales_are_written_back_as_people_write_them():
    assert [str(parse_scale(text)) for text in ("1:43", "1/43.5", "2:87")] == ["1:43", "1:43.5", "1:43.5"]


@pytest.mark.parametrize(
    ("text", "fix"),
    [
        ("43", "write 1:43"),
        ("1-43", "write 1:43"),
        ("", "write 1:43"),
        ("43:1", "write the model first: 1:43"),
        ("1:0", "write the model first: 1:43"),
        ("1:2000", "write the model first: 1:43"),
        ("0:5", "write the model first: 1:43"),
        ("one to 43", "write 1:43"),
        ("9" * 50, "write 1:43"),
    ],
)
def test_scales_that_are_none(text, fix):
    with pytest.raises(ExpressionError) as caught:
        parse_scale(text)
    assert caught.value.fix == fix


def test_a_value_that_was_read_before_is_read_anew_where_a_name_takes_part() -> None:
    """What is kept of a text holds only where no name could mean another."""
    assert evaluate("min(2 mm, 3 mm)").value == 2 and evaluate("2 pica").dimension == 1
    assert evaluate("2 mm ± 0.1", reading="width").parts != evaluate("2 mm ± 0.1", reading="height").parts
    with pytest.raises(ExpressionError):
        evaluate("min(2 mm, 3 mm)", {"min": evaluate("4 mm")})
    with pytest.raises(ExpressionError, match="'pica' is not a unit"):
        evaluate("2 pica", {"pica": evaluate("4 mm")})
    with pytest.raises(ExpressionError):
        evaluate("edge")
    assert evaluate("edge", {"edge": evaluate("4 mm")}).value == 4
    assert evaluate("edge", {"edge": evaluate("5 mm")}).value == 5
    assert names_in("2 mm + edge", {"edge": evaluate("5 mm")}) == (("edge", 7),) and names_in("2 mm") == ()
    assert evaluate("30", angle=True) == evaluate("30") and evaluate("30°", angle=True).dimension == 0
    with pytest.raises(ExpressionError):
        evaluate("30°")
