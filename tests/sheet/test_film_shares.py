"""Shares of film and money: they add up exactly, and are what one reckons by hand."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.prices import Price, read_price, share_out
from decalgen.nesting.model import QUICK
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.film_shares import share_lines, shares
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import FilmTaken
from tests.helpers import jobs
from tests.helpers.commands import Run, runner

WEIGHTS = st.lists(st.floats(0.0, 1e5), min_size=1, max_size=12)


@given(st.integers(0, 10**6), WEIGHTS)
def test_shares_add_up_and_none_is_off_by_a_whole_step(whole: int, weights: list[float]) -> None:
    """The quota rule, which the method of largest remainders keeps (from memory; Balinski and Young, Fair
    Representation, 1982)."""
    parts = share_out(whole, weights)
    assert sum(parts) == whole
    total = math.fsum(weights)
    if total > 0:
        for part, weight in zip(parts, weights, strict=True):
            assert abs(part - whole * weight / total) < 1 + 1e-6


def test_equal_weights_share_a_rest_by_order() -> None:
    assert share_out(100, [1, 1, 1]) == (34, 33, 33) and share_out(0, [1, 2]) == (0, 0) and share_out(5, []) == ()


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("4.50 EUR", Price("EUR", 450)),
        ("4,5 EUR", Price("EUR", 450)),
        ("12 CHF", Price("CHF", 1200)),
        (" 3.07€ ", Price("€", 307)),
        ("450 yen", Price("yen", 45000)),
    ],
)
def test_prices_as_people_write_them(text: str, price: Price) -> None:
    assert read_price(text) == price
    assert read_price(str(price)) == price


@pytest.mark.parametrize("text", ["", "4.50", "EUR", "-1 EUR", "4.505 EUR", "1e9 EUR", "4.50 EUR each", "9999999 EUR"])
def test_what_is_no_price(text: str) -> None:
    with pytest.raises(ValueError, match=r"such as 4\.50 EUR"):
        read_price(text)


def field(name: str, width: float, height: float, **more: object) -> object:
    return jobs.decal(name, width, height, jobs.element("field", ink="navy"), margin=0.0, **more)


def two_jobs(price: str = "4.50 EUR", **more: object) -> tuple[Arrangement, list[object]]:
    made = [
        jobs.job(field("a", 40.0, 20.0, copies=2)),  # type: ignore[arg-type]
        jobs.job(field("b", 10.0, 5.0), name="barge"),  # type: ignore[arg-type]
    ]
    film = replace(jobs.film(), price=price)
    return arrange(made, Plan([film], jobs.PRINTER, effort=QUICK, gap=3.0, **more)), made  # type: ignore[arg-type]


def test_a_sheet_is_shared_by_area_with_the_gap_round_each_piece() -> None:
    layout, made = two_jobs()
    (one, two), total = shares(layout, made)  # type: ignore[arg-type]
    # Steiner's formula for a convex outline spread by r = 1.5 mm: A + P r + pi r².
    r = 1.5
    large = 2 * (40 * 20 + 120 * r + math.pi * r * r)
    small = 10 * 5 + 30 * r + math.pi * r * r
    assert total.units == 3108 and total.prices == (Price("EUR", 450),), "148 × 210 mm in steps of 0.1 cm²"
    assert one.units + two.units == 3108
    assert one.units == pytest.approx(3108 * large / (large + small), abs=1.5)
    assert one.prices[0].hundredths + two.prices[0].hundredths == 450
    assert two.prices[0].hundredths == pytest.approx(450 * small / (large + small), abs=1)


def test_no_more_than_a_whole_sheet_is_paid_where_what_is_taken_overlaps() -> None:
    layout, made = two_jobs()
    whole = ((0.0, 0.0), (148.0, 0.0), (148.0, 210.0), (0.0, 210.0))
    taken = FilmTaken(layout.sheets[0].film.name, (whole, whole))
    _, total = shares(layout, made, [taken])  # type: ignore[arg-type]
    assert total.units == 3108 and total.prices == (Price("EUR", 450),)


def test_only_what_is_to_be_shared_or_paid_is_told() -> None:
    layout, made = two_jobs("")
    lines = share_lines(layout, made)  # type: ignore[arg-type]
    assert len(lines) == 3 and not any("EUR" in line for line in lines)
    assert lines[2] == "total film, whole sheets: 310.8 cm²"
    alone = arrange(made[:1], Plan([jobs.film()], jobs.PRINTER, effort=QUICK))  # type: ignore[arg-type]
    assert share_lines(alone, made[:1]) == []  # type: ignore[arg-type]


# --------------------------------------------------------------------------------------------------- through commands

JOB = """\
job: NAME
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 60 mm ± 0.05, height: 40 mm ± 0.05}}
decals:
  side: {panel: door, copies: COPIES, width: 58 mm, height: 38 mm, artwork: [field: {ink: lifebuoy orange}]}
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    for name, copies in (("tug", 3), ("barge", 1)):
        Path(f"{name}.yaml").write_text(JOB.replace("NAME", name).replace("COPIES", str(copies)), encoding="utf-8")
    return runner(capsys)


def told(text: str) -> dict[str, tuple[float, float]]:
    """By job: cm² and the amount of money."""
    rows = re.findall(r"film(?:,| for) ([a-z ]+): ([\d.]+) cm² and ([\d.]+) EUR", text)
    return {name: (float(area), float(amount)) for name, area, amount in rows}


def test_film_from_the_drawer_is_paid_by_what_is_taken_off(run: Run) -> None:
    said = run("film", "add", "white A5", "--price", "4.50 EUR")
    assert said.code == 0 and "4.50 EUR" in said.out
    said = run("proof", "tug.yaml", "barge.yaml", "--film", "drawer", "--effort", "quick", "-v")
    assert said.code == 0, said.err
    shares = told(said.out)
    area, amount = shares["as taken from the drawer"]
    assert 4 * 58 * 38 / 100 < area < 310.8 and amount == pytest.approx(4.5 * area / 310.8, abs=0.01)
    assert shares["tug"][0] + shares["barge"][0] == pytest.approx(area)
    assert shares["tug"][1] + shares["barge"][1] == pytest.approx(amount)
    # Both are said to 0.1 cm²: 0.05 + 3 × 0.05 at the most, and a hair for the sum in binary.
    assert shares["tug"][0] == pytest.approx(3 * shares["barge"][0], abs=0.2001), "three equal pieces against one"


def test_a_film_file_with_a_price(run: Run) -> None:
    Path("f.yaml").write_text("film: new\nkind: white\nprocess: inkjet\nsheet: A5\nprice: 4.50 EUR\n", encoding="utf-8")
    said = run("sheet", "tug.yaml", "--film", "f.yaml", "--effort", "quick")
    assert "total film, whole sheets: 310.8 cm² and 4.50 EUR" in said.out
    Path("f.yaml").write_text("film: new\nkind: white\nprocess: inkjet\nsheet: A5\nprice: dear\n", encoding="utf-8")
    said = run("sheet", "tug.yaml", "--film", "f.yaml", "--effort", "quick")
    assert said.code == 2 and "f.yaml:5:8: 'dear' is not a price" in said.err and "4.50 EUR" in said.err
    said = run("film", "add", "white A5", "--price", "dear")
    assert said.code == 1 and "'dear' is not a price" in said.err and "such as 4.50 EUR" in said.err
