"""One table of instruments for panels, target and check bars: the same name, the same error, wherever it is read."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from decalgen.core.instruments import InstrumentError, instrument, instruments, line_instrument
from decalgen.core.lengths import Quantity
from decalgen.panels.readings import Reading, settle
from decalgen.proofing.judge import reading
from decalgen.proofing.standard import Asked
from tests.helpers.commands import Run, runner


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys)


WORDS = ["steel rule", "ruler", "rule", "Ruler", " steel  ruler ", "steel-rule"]


@pytest.mark.parametrize("word", WORDS)
def test_a_rule_has_one_uncertainty_on_a_panel_and_on_a_check_bar(word: str) -> None:
    """Class I of Directive 2014/32/EU, annex X: 0.2 mm up to a metre; each end read to half a division of 0.5 mm."""
    on_panel = settle(Reading(Quantity(100.0), word), "door.width").quantity
    on_bar = reading(Asked(1, "x", 100.0), [100.0], line_instrument(word))
    assert on_panel.expanded() == pytest.approx(2 * on_bar.u, rel=1e-9)
    assert on_panel.u == pytest.approx(math.hypot(0.2 / math.sqrt(3), 0.25 / math.sqrt(3) * math.sqrt(2)), rel=0.02)


def test_more_readings_shrink_what_placing_adds_and_no_more() -> None:
    rule = instrument("ruler")
    assert rule.u(100.0, 10**9) == pytest.approx(0.2 / math.sqrt(3), rel=1e-6)
    four = settle(tuple(Reading(Quantity(100.0), "ruler") for _ in range(4)), "door.width").quantity
    assert four.u == pytest.approx(rule.u(100.0, 4)) == pytest.approx(rule.u_lines(100.0, 4))


@pytest.mark.parametrize("word", ["ruler", "rule", "Callipers", "digital calliper", "vernier", "scan at 600dpi"])
def test_every_command_that_takes_an_instrument_takes_its_other_names(word: str, tmp_path: Path, run: Run) -> None:
    out = tmp_path / "target.pdf"
    done = run("calibrate", "print", "--film", "white A4", "--with", word, "-o", str(out))
    assert done.code == 0, done.text
    printer = tmp_path / "printer.yaml"
    printer.write_text(
        "printer: bench\nprocess: inkjet\nfor: {film: white A4, kind: white, width: 210 mm, height: 297 mm}\n"
        f'calibrations:\n  - {{date: "2026-11-25", x: 1, u x: 0.0001, y: 1, u y: 0.0001, by: {word}}}\n'
    )
    done = run("calibrate", "print", "--printer", str(printer), "-o", str(tmp_path / "b.pdf"))
    assert done.code == 0, done.text


@pytest.mark.parametrize("word", ["feeler gauge", "protractor", "tape", "photo"])
def test_what_cannot_measure_printed_lines_is_refused_with_what_can(word: str, tmp_path: Path, run: Run) -> None:
    with pytest.raises(InstrumentError, match="cannot measure the distance of printed lines") as caught:
        line_instrument(word)
    assert "caliper" in caught.value.fix and "steel rule" in caught.value.fix
    done = run("calibrate", "print", "--with", word, "-o", str(tmp_path / "target.pdf"))
    assert done.code == 2 and "printed lines" in done.text


def test_an_unknown_instrument_is_told_the_same_way_everywhere(tmp_path: Path, run: Run) -> None:
    for find in (instrument, line_instrument):
        with pytest.raises(InstrumentError, match="there is no instrument 'sextant'"):
            find("sextant")
    done = run("calibrate", "print", "--with", "calibre", "-o", str(tmp_path / "target.pdf"))
    assert done.code == 2 and "did you mean 'caliper'?" in done.text


@pytest.mark.parametrize(
    ("word", "fix"),
    [
        ("electronic caliper", "did you mean 'caliper'?"),
        ("dial calipers", "did you mean 'caliper'?"),
        ("inch rule", "did you mean 'steel rule'?"),
        ("plastic ruler", "did you mean 'steel rule'?"),
        ("300 dpi scan", "did you mean 'scan 300 dpi'?"),
        ("flatbed scan", "write for example: scan 600 dpi"),
    ],
)
def test_an_instrument_by_another_name_is_told_the_name_it_has_here(word: str, fix: str) -> None:
    with pytest.raises(InstrumentError) as caught:
        instrument(word)
    assert caught.value.fix == fix


def test_a_scan_beside_a_card_is_as_sure_as_its_name_says() -> None:
    """Its name holds U (k = 2) across and up, percent; what is kept under it is reckoned again from the name alone."""
    tool = line_instrument("scan beside card 0.23 x 0.15 %")
    assert tool.by_scan and 2 * tool.systematic(100.0) == pytest.approx(0.23)
    assert 2 * tool.systematic(100.0, "y") == pytest.approx(0.15)
    assert instrument(tool.name).name == tool.name == "scan beside card 0.23 x 0.15 %"
    # Without figures it is as a card of nominal size: its limits alone, ±0.13 mm in 85.60, make 0.175 %.
    assert 0.175 < 2 * line_instrument("scan beside a card").systematic(100.0) < 0.3


def test_each_name_is_in_the_table_once() -> None:
    names = [one.name for one in instruments()]
    assert len(names) == len(set(names)) and all(instrument(name).name == name for name in names)


@pytest.mark.parametrize(("size", "limit"), [(20.0, 0.02), (100.0, 0.02), (100.1, 0.03), (150.0, 0.03)])
def test_a_caliper_is_less_exact_beyond_100_mm(size: float, limit: float) -> None:
    """Limits of error of a digital caliper of 150 mm, DIN 862 (from memory); even over their width: 1/√3 of it."""
    assert instrument("caliper").u(size) == pytest.approx(limit / math.sqrt(3))


@pytest.mark.parametrize(("word", "least"), [("caliper", 0.25), ("scan at 600dpi", 0.25), ("steel rule", 1.2)])
def test_a_slip_is_beyond_what_placing_alone_scatters(word: str, least: float) -> None:
    """At least a quarter of a millimetre, and six times what one placing scatters: 6 · 0.2 mm for a rule."""
    tool = line_instrument(word)
    assert tool.slip == pytest.approx(least) and tool.slip >= 6 * tool.placing - 1e-12
