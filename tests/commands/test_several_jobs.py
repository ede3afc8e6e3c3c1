"""Several jobs in one run: a variant that one lacks, inks of one name in two colours, film with and without a price."""

from __future__ import annotations

import contextlib
import re
import zlib
from pathlib import Path

import pytest

from decalgen.artwork.build import build_all
from decalgen.commands.check import pieces_of
from decalgen.commands.rendering import title_of
from decalgen.preflight.fitting import fitting
from decalgen.sheet.pieces import pieces
from tests.helpers import jobs
from tests.helpers.commands import Run, runner

run = pytest.fixture(runner)

JOB = """\
job: {name}
date: "2026-11-25"
body: "#ffffff"
inks: {{black: "{black}"}}
film: white
panels: {{door: {{width: 40 mm ± 0.05, height: 20 mm ± 0.05}}}}
decals:
  a: {{panel: door, width: 10 mm, height: 5 mm, {more}artwork: [field: {{ink: black}}]}}
"""


@pytest.fixture(autouse=True)
def two_jobs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two jobs, each with a black of its own."""
    monkeypatch.chdir(tmp_path)
    for name, black in (("one", "#101010"), ("two", "#202040")):
        Path(f"{name}.yaml").write_text(JOB.format(name=name, black=black, more=""), encoding="utf-8")


def test_a_variant_that_only_one_job_has_is_told_with_the_job_that_lacks_it(run: Run) -> None:
    with Path("one.yaml").open("a", encoding="utf-8") as file:
        file.write("variants:\n  green: {body: '#00aa00'}\n")
    said = run("check", "one.yaml", "two.yaml", "--variant", "green")
    assert said.code == 2
    assert "there is no variant 'green' in 'two.yaml'" in said.text
    assert said.text.startswith("two.yaml:1:1")
    assert "'one.yaml'" not in said.text


def test_a_press_file_takes_two_blacks(run: Run) -> None:
    """Process inks are mixed of the press's four: no plate is made of either. Plates of the inks are still refused."""
    said = run("sheet", "one.yaml", "two.yaml", "-o", "press.pdf", "--for", "press")
    assert said.code == 0, said.text
    assert Path("press.pdf").is_file()
    plates = run("sheet", "one.yaml", "two.yaml", "-o", "plates.pdf", "--plates")
    assert plates.code == 1 and "a plate has one ink" in plates.text


def test_both_blacks_are_in_the_press_file(run: Run) -> None:
    """As many colours are set in the file as for two inks of two names."""
    run("sheet", "one.yaml", "two.yaml", "-o", "same.pdf", "--for", "press")
    text = Path("two.yaml").read_text(encoding="utf-8")
    Path("two.yaml").write_text(text.replace("black", "coal"), encoding="utf-8")
    run("sheet", "one.yaml", "two.yaml", "-o", "apart.pdf", "--for", "press")
    assert _colours(Path("same.pdf")) == _colours(Path("apart.pdf"))


def _colours(path: Path) -> set[bytes]:
    """The CMYK colours that fill anything in a PDF: operator k (ISO 32000-1, 8.6.8)."""
    found: set[bytes] = set()
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", path.read_bytes(), re.S):
        with contextlib.suppress(zlib.error):
            stream = zlib.decompress(stream)
        found |= set(re.findall(rb"((?:[\d.]+ ){4})k\b", stream))
    assert found
    return found


def test_swatches_name_each_black_by_its_job(run: Run) -> None:
    said = run("calibrate", "colour", "one.yaml", "two.yaml", "-o", "swatches.pdf")
    assert said.code == 0, said.text
    Path("readings.txt").write_text("black (one): '#111111'\nblack (two): '#222244'\n", encoding="utf-8")
    said = run("calibrate", "swatches", "readings.txt", "one.yaml", "two.yaml", "-o", "printer.yaml")
    assert said.code == 0, said.text
    wrong = run("calibrate", "swatches", "readings.txt", "one.yaml", "-o", "other.yaml")
    assert wrong.code != 0 and "black" in wrong.text


def test_film_without_a_price_beside_film_with_one_is_told(run: Run) -> None:
    text = JOB.format(name="two", black="#101010", more="film: clear, ")
    Path("two.yaml").write_text(text, encoding="utf-8")
    film = "film: priced\nkind: white\nprocess: inkjet\nsheet: A5\n"
    Path("priced.yaml").write_text(film + "price: 4.50 EUR\n", encoding="utf-8")
    Path("free.yaml").write_text(film.replace("priced", "unpriced"), encoding="utf-8")
    said = run("sheet", "one.yaml", "two.yaml", "-o", "s.pdf", "--film", "priced.yaml", "--film", "clear A5")
    assert "no price is known for clear A5: that film is not in the cost" in said.text
    without = run("sheet", "one.yaml", "two.yaml", "-o", "t.pdf", "--film", "free.yaml", "--film", "clear A5")
    assert without.code == 0 and "no price is known" not in without.text
    alone = run("sheet", "one.yaml", "-o", "u.pdf", "--film", "priced.yaml")
    assert alone.code == 0 and "no price is known" not in alone.text


@pytest.mark.parametrize("body", ["sgnal orange", "rgb(1 2", "", "#12345"])
def test_new_never_writes_a_body_that_a_check_refuses(run: Run, body: str) -> None:
    said = run("new", "fresh.yaml", "--panel", "door=22x11", "--body", body, "--yes")
    assert said.code == 1
    assert "is not a colour" in said.text and "fix:" in said.text
    assert not Path("fresh.yaml").exists()


@pytest.mark.parametrize("body", ["navy", "#1d2b4a", "ferry blue", "lab(58 52 60)", "cmyk(0 70 100 0)"])
def test_what_new_writes_is_read(run: Run, body: str) -> None:
    assert run("new", "fresh.yaml", "--panel", "door=22x11", "--body", body, "--yes").code == 0
    assert run("check", "fresh.yaml").code == 0


@pytest.mark.parametrize(
    "own",
    [
        'inks: {oat cream: {kind: spot, colour: "#ffe0a0"}}',
        'inks: {oat cream: "#ffe0a0"}',
        "inks:\n  oat cream:\n    kind: spot\n    colour: '#ffe0a0'",
    ],
)
def test_a_finding_on_an_ink_points_at_the_users_own_and_not_at_a_layouts(run: Run, own: str) -> None:
    """The layout 'bonnet-label' brings an oat cream of its own."""
    text = f"job: tug\nbody: '#1d2b4a'\nfilm: clear\n{own}\npanels: {{door: {{width: 40 mm, height: 20 mm}}}}\n"
    Path("tug.yaml").write_text(
        text + "decals:\n  label: {panel: door, layout: bonnet-label, film: clear}\n", encoding="utf-8"
    )
    said = run("check", "tug.yaml")
    lines = [
        line for line in said.text.splitlines() if ": oat cream" in line and ("colour-film" in line or "spot" in line)
    ]
    assert lines
    assert all(line.startswith(("tug.yaml:4:", "tug.yaml:5:")) for line in lines), lines


def test_pictures_of_variants_lie_beside_each_other(run: Run) -> None:
    with Path("one.yaml").open("a", encoding="utf-8") as file:
        file.write(
            "variants:\n  green: {body: '#00aa00'}\n  red sea: {body: '#aa0000'}\n  red-sea: {body: '#cc2200'}\n"
        )
    assert run("draw", "one.yaml").code == 0
    kept = {path: path.read_bytes() for path in Path("drawings").iterdir()}
    usual = len(kept)
    for variant, said in (("green", "green"), ("red sea", "red-sea"), ("red-sea", "red-sea")):
        assert run("draw", "one.yaml", "--variant", variant).code == 0
        assert {path: path.read_bytes() for path in kept} == kept, variant
        new = set(Path("drawings").iterdir()) - set(kept)
        assert len(new) == usual and all(said in path.name for path in new)
        kept |= {path: path.read_bytes() for path in new}


def test_files_of_a_variant_are_named_after_it_where_no_name_is_given(run: Run) -> None:
    with Path("one.yaml").open("a", encoding="utf-8") as file:
        file.write("variants:\n  green: {body: '#00aa00'}\n")
    words = ("--film", "white A5", "--effort", "quick")
    assert run("proof", "one.yaml", *words).code == 0
    plain = {path: path.read_bytes() for path in Path().glob("one-proof*")}
    assert plain and run("proof", "one.yaml", "--variant", "green", *words).code == 0
    assert {path: path.read_bytes() for path in plain} == plain and list(Path().glob("one+green-proof.pdf"))
    made = run("sheet", "one.yaml", "--variant", "green", *words)
    assert made.code == 0 and "as on the proof" in made.out and Path("one+green-sheet.pdf").is_file()


def test_two_jobs_are_both_named_and_of_more_the_first() -> None:
    one = jobs.job()
    assert title_of([one]) == one.title
    assert title_of([one, one]) == f"{one.title} and {one.title}"
    assert title_of([one, one, one]) == f"{one.title} and 2 more"


@pytest.mark.parametrize("copies", [1, 3])
def test_the_pieces_that_are_counted_are_those_that_are_nested(copies: int) -> None:
    job = jobs.job(jobs.decal("band", 10.0, 4.0, jobs.element("field", ink="orange"), copies=copies), film="white")
    drawn = build_all(job, job.decals[0])
    counted = pieces_of(job, [fitting(drawn, job.decals[0], job)], drawn)
    assert counted == len(pieces([job], jobs.PRINTER)) >= copies
