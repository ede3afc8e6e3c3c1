"""The verdict on a proof: the rule and its risk, slips, what would tell, causes named."""

from __future__ import annotations

import math
import random
import re
import statistics
from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.core.errors import GateError
from decalgen.core.instruments import CALIPER, RULE, Instrument, instrument
from decalgen.job.films import load_film
from decalgen.job.loader import load_job
from decalgen.job.model import Printer
from decalgen.nesting.model import QUICK
from decalgen.preflight import examine
from decalgen.proofing.fingerprint import Fingerprint
from decalgen.proofing.judge import SheetReading, Verdict, judge, reading
from decalgen.proofing.standard import MOST, Asked, Standard
from decalgen.proofing.standard import standard as standard_for
from decalgen.sheet.arrange import arrange
from decalgen.sheet.plan import Plan
from tests.helpers.jobs import PRINTER
from tests.helpers.tug import JOB

PRINT = Fingerprint("a", "b", "c", "d", "e")
PAGE = "148 × 210 mm"
BARS = (Asked(1, "x", 100.0, PAGE, 148.0, 210.0), Asked(1, "y", 80.0, PAGE, 148.0, 210.0))
STANDARD = Standard(PRINT, BARS, MOST, "0.3 % at most", (4.2, 4.2, 4.2, 4.2))
ONE = replace(STANDARD, bars=BARS[:1])


def judged(
    x: list[float], y: list[float], tool: Instrument = CALIPER, needed: Standard = STANDARD, sheet: int = 1
) -> Verdict:
    return judge(needed, SheetReading(PAGE, sheet, tool.name, tuple(x), tuple(y)), tool)


# ------------------------------------------------------------------------------------------------------- the rule
@pytest.mark.parametrize(
    ("value", "word"),
    [
        # By hand: T = 0.3 mm in 100, u = sqrt((0.02/sqrt 3)^2 + 0.041^2) = 0.0426 mm (DIN 862: 0.02 mm up to 100 mm).
        # Passed up to min(T, 1.3 T - 1.645 u) = min(0.3, 0.39 - 0.0701) = 0.3; refused above T + 1.645 u = 0.3701.
        (100.0, "passed"),
        (100.299, "passed"),
        (99.701, "passed"),
        (100.301, "cannot tell"),
        (99.699, "cannot tell"),
        (100.369, "cannot tell"),
        (100.371, "refused"),
        (99.629, "refused"),
        (97.0, "refused"),
    ],
)
def test_a_size_is_passed_within_the_guarded_tolerance_only(value: float, word: str) -> None:
    assert judged([value], [], needed=ONE).word == word


@pytest.mark.parametrize(
    ("length", "share", "tool", "times"),
    [
        (100.0, MOST, CALIPER, 1),
        (100.0, MOST, CALIPER, 3),
        (50.0, MOST, CALIPER, 3),
        (20.0, MOST, CALIPER, 4),
        (100.0, MOST, RULE, 3),
        (100.0, MOST, RULE, 10),
        (100.0, 0.001, CALIPER, 3),
    ],
)
@pytest.mark.parametrize("sign", [-1, 1])
def test_an_error_of_1_3_times_the_tolerance_passes_at_most_once_in_twenty(
    length: float, share: float, tool: Instrument, times: int, sign: int
) -> None:
    """Simulated by the errors that the instrument is said to have: the scale's rectangular and one for all readings,
    placing normal and new each time (JCGM 101:2008). Two prints in a thousand more are the noise of 4000 tries at two
    standard deviations of a binomial."""
    draw = random.Random(f"{length} {share} {tool.name} {times} {sign}")
    needed = replace(STANDARD, bars=(Asked(1, "x", length, PAGE, 148.0, 210.0),), share=share)
    size = length * (1 + sign * 1.3 * share)
    tries, passed = 4000, 0
    for _ in range(tries):
        scale = draw.uniform(-1, 1) * tool.limit(length)
        values = [size + scale + draw.gauss(0, tool.placing) for _ in range(times)]
        try:
            passed += judged(values, [], tool, needed).word == "passed"
        except GateError as error:
            assert "do not agree" in error.message
    assert passed / tries <= 0.05 + 2 * math.sqrt(0.05 * 0.95 / tries)


def test_a_true_print_measured_three_times_is_passed() -> None:
    draw = random.Random(7)
    words = []
    for _ in range(2000):
        scale = draw.uniform(-1, 1) * CALIPER.limit(100.0)
        x, y = ([size + scale + draw.gauss(0, CALIPER.placing) for _ in range(3)] for size in (100.0, 80.0))
        words.append(judged(x, y).word)
    assert words.count("passed") == 2000


def test_the_risk_is_said() -> None:
    lines = judged([100.0], [80.0]).lines
    assert lines[-1] == "allowed: 0.30% (0.3 % at most); of prints 1.3 times as far out, at most 5% pass"
    assert lines[0] == "horizontal bar: 100.00 mm of 100 mm, +0.00% ± 0.09% (k = 2): passed"


def test_where_readings_scatter_more_than_the_instrument_explains_the_scatter_counts() -> None:
    # u = 0.12/sqrt 2 = 0.085, so that passed ends at 0.39 - 0.14 = 0.25 mm; by the instrument alone it were 0.3 mm.
    assert judged([99.62, 99.86], [], needed=ONE).word == "cannot tell"
    assert judged([99.73, 99.75], [], needed=ONE).word == "passed"


@pytest.mark.parametrize("values", [(100.0, 100.2), (100.0, 100.16, 99.96)])
def test_the_scatter_of_few_readings_is_not_taken_for_less_than_it_is(values: tuple[float, ...]) -> None:
    """The experimental standard deviation of the mean divides by n - 1 and then by n (JCGM 100:2008, 4.2.2, 4.2.3)."""
    placing = statistics.stdev(values) / math.sqrt(len(values))
    assert statistics.stdev(values) > CALIPER.placing
    found = reading(BARS[0], values, CALIPER)
    assert found.u == pytest.approx(math.hypot(CALIPER.systematic(100.0), placing), rel=1e-9)
    assert found.read == pytest.approx(statistics.mean(values))


def test_one_bad_bar_refuses_both() -> None:
    assert judged([100.0], [78.0]).word == "refused"


# ------------------------------------------------------------------------------------------------ what would tell
@pytest.mark.parametrize(
    ("asked", "share", "tool", "value", "told"),
    [
        # By hand: the least n with |d| + 1.645 sqrt(s^2 + p^2/n) <= 1.3 T.
        (100.0, MOST, RULE, 100.1, "a steel rule is fine enough: measure each bar 3 times (--with 'steel rule')"),
        (20.0, MOST, CALIPER, 20.03, "a caliper is fine enough: measure each bar 3 times (--with caliper)"),
        (50.0, MOST, RULE, 50.0, "a caliper is fine enough: measure each bar once (--with caliper)"),
        (100.0, 0.0003, CALIPER, 100.0, "a caliper is fine enough: measure each bar 4 times (--with caliper)"),
        (100.0, 0.0001, CALIPER, 100.0, "not even a caliper can measure that finely (0.010 mm in 100 mm)"),
        (100.0, MOST, CALIPER, 100.32, "at the edge of what is allowed"),
    ],
)
def test_what_would_tell_is_said_and_does(
    asked: float, share: float, tool: Instrument, value: float, told: str
) -> None:
    needed = replace(ONE, bars=(replace(BARS[0], length=asked),), share=share)
    verdict = judged([value], [], tool, needed)
    assert verdict.word == "cannot tell"
    assert any(told in line for line in verdict.lines), verdict.lines
    how = re.search(r"a (.*) is fine enough: measure each bar (\d+|once)", told)
    if how:
        times = 1 if how[2] == "once" else int(how[2])
        better = instrument(how[1])
        assert judged([value] * times, [], better, needed).word == "passed"
        if times > 1:
            assert judged([value] * (times - 1), [], better, needed).word == "cannot tell"


# -------------------------------------------------------------------------------------------------- slips and causes
@pytest.mark.parametrize(
    ("x", "y", "told"),
    [
        # (148 - 8.4)/148: fitted to what the printer reaches of the film's own size.
        (94.32, 75.46, "fitted to the printable area"),
        # A5 on A4: 297/210.
        (141.4, 113.1, "fitted to A4 paper"),
        (75.0, 60.0, "scaled to 75 %"),
        (26.46, 21.17, "took millimetres for pixels"),
        (110.0, 88.0, "scaled to 110 %"),
        (98.5, 80.6, "no usual cause gives this"),
        (99.4, 80.5, "calibrate the printer with this film"),
    ],
)
def test_causes_are_named_or_said_to_be_none(x: float, y: float, told: str) -> None:
    verdict = judged([x], [y])
    assert verdict.word == "refused"
    assert told in verdict.lines[-1]


@pytest.mark.parametrize(
    ("x", "y", "told"),
    [
        ([9.98], [80.0], "9.98 mm cannot be the horizontal bar"),
        ([-99.8], [80.0], "cannot be the horizontal bar"),
        ([3.93], [80.0], "it looks like inches"),
        ([109.9], [80.0], "looks 10 mm out"),
        ([100.0], [70.1], "70.1 mm cannot be the vertical bar.*looks 10 mm out"),
        ([99.9, float("nan")], [80.0], "cannot be the horizontal bar"),
        ([100.0, 100.4], [80.0], "do not agree"),
        ([99.2, 100.6], [80.0], "do not agree"),
        ([100.0], [], "the vertical bar was not measured"),
        ([], [], "was not measured"),
    ],
)
def test_slips_are_told(x: list[float], y: list[float], told: str) -> None:
    with pytest.raises(GateError, match=told):
        judged(x, y)


def test_bars_that_are_not_there_are_told() -> None:
    with pytest.raises(GateError, match="sheet 2 of this proof has no check bars"):
        judged([], [], sheet=2)
    with pytest.raises(GateError) as told:
        judged([100.0], [80.0], needed=ONE)
    assert told.value.fix == "leave out --y: the sheet is too small for it"
    with pytest.raises(GateError) as told:
        judged([100.0], [], sheet=2)
    assert told.value.fix == "measure it on sheet 1: --sheet 1"


def test_a_bar_longer_than_the_caliper_is_told() -> None:
    with pytest.raises(GateError, match="does not reach"):
        judged([180.0], [], needed=replace(ONE, bars=(replace(BARS[0], length=180.0),)))


@pytest.mark.parametrize("value", [40.0, 20.0])
def test_a_reading_10_mm_out_on_a_short_bar_is_told(value: float) -> None:
    """Bars of 30 mm, as a small film has: a third too long, and still it is the scale that was misread."""
    needed = replace(STANDARD, bars=tuple(replace(bar, length=30.0) for bar in BARS))
    with pytest.raises(GateError, match="looks 10 mm out"):
        judged([value], [30.0], needed=needed)


# --------------------------------------------------------------------------------------------------- the standard
@pytest.mark.parametrize(
    ("width", "share"),
    [
        ("panel.width - 2 mm", MOST),  # 1 mm of 20.4 mm is far more than 0.3 %
        ("panel.width - 0.08 mm", 0.04 / 22.32),
        ("panel.width - 0.01 mm", 0.005 / 22.39),
    ],
)
def test_the_tightest_clearance_decides(tmp_path: Path, width: str, share: float) -> None:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.replace("panel.width - 2 mm", width), encoding="utf-8")
    job = load_job(path)
    layout = arrange([job], Plan((load_film("white A5"),), PRINTER, effort=QUICK))
    needed = standard_for(layout, examine([job], PRINTER).fits)
    assert needed.share == pytest.approx(share, rel=1e-3)
    assert {(bar.axis, bar.length, bar.page) for bar in needed.bars} == {("x", 100.0, PAGE), ("y", 100.0, PAGE)}


def test_margins_are_those_of_a_named_printer_only(tmp_path: Path) -> None:
    """Of a printer that nobody named nothing is known, so no cause can be told by its margins."""
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    job = load_job(path)
    for printer, margins in ((PRINTER, PRINTER.margins), (Printer(), None)):
        layout = arrange([job], Plan((load_film("white A5"),), printer, effort=QUICK))
        assert standard_for(layout, {}).margins == margins
