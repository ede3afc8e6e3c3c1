"""`decalgen scan`: what it says, what it draws, what it puts into a job, and that nothing else changes."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from decalgen.commands.scan_into import known_inks
from decalgen.commands.scan_words import ScanWordsError, request_of, typed_values
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.export import render
from decalgen.job.loader import job_as_written, load_job
from decalgen.job.notes_above import noted
from decalgen.pages.corner_card import corner_card
from decalgen.scan.measuring import MeasuredScan, ScanRequest, measure_scan
from decalgen.scan.scale import Bar, Depth
from decalgen.shapes.base import Box
from tests.helpers.commands import Run, runner
from tests.scan.scans import Faults, bands, checks, roundel, scan_of

JOB = """\ufeff# mine\r
job: van\r
body: grey\r
inks: {harbour teal: "#1f7f86"}   # as on the tin\r
panels:\r
    door: {width: 30 mm, height: 12 mm}\r
decals:\r
    # the old one\r
    line:\r
        panel: door\r
        width: 20 mm\r
        height: 1 mm\r
        artwork: [{stripe: {ink: harbour teal, stripe width: 1 mm}}]\r
"""
INKS = ["#1f7f86", "#e9d9b0", "#7a1f2b"]
PLAIN = Faults(card=False, margin=3.0, noise=0.8)


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """A folder with a job and a scan of checks."""
    monkeypatch.chdir(tmp_path)
    Path("van.yaml").write_bytes(JOB.encode())
    made = scan_of(checks(2, 6, (2.4, 2.4)), (14.4, 4.8), INKS, PLAIN, 200.0, 3)
    Path("door.png").write_bytes(made.data)
    return runner(capsys)


def test_it_says_first_what_it_is_and_how_large(bench: Run) -> None:
    said = bench("scan", "door.png")
    assert said.code == 0
    lines = said.out.splitlines()
    assert lines[1].startswith("checks, 6 columns × 2 rows, 14.4")
    assert "by 200 dpi, as the file says" in lines[1]
    assert "scan-doubt" in lines[0] and "up to 0.5%" in lines[0]
    assert any(line.split()[:2] == ["cell", "width"] and "±" in line for line in lines)
    assert lines[-1].startswith("read checks from door.png: 0 errors, 1 warning")
    assert lines[-1].endswith("next: the same with -o door-fit.png, and compare the fit with the scan")
    more = bench("scan", "door.png", "-v", "--fills", "14.4 mm ± 0.1 x 4.8 mm ± 0.1").out
    assert "6 × 2 cells fill 14.40 × 4.80 mm" in more
    assert "explains" in more and "explains" not in said.out


def test_into_a_job_goes_one_decal_with_its_readings_and_nothing_else_changes(bench: Run) -> None:
    said = bench("scan", "door.png", "--dpi", "200", "--into", "van.yaml", "--panel", "door", "--value", "columns = 8")
    assert said.code == 0 and "decal 'checks of door' added" in said.out
    after = Path("van.yaml").read_bytes().decode()
    lines = iter(after.split("\r\n"))
    assert all(line in lines for line in JOB.split("\r\n") if not line.startswith("inks"))
    assert "\n" not in after.replace("\r\n", "") and after.startswith("\ufeff# mine")
    assert 'inks: {harbour teal: "#1f7f86", scanned 1: ' in after and "# as on the tin" in after
    assert "    # columns: 8, as typed\r\n" in after
    assert "    # cell width: 2." in after and "± is U, k = 2\r\n" in after
    job = load_job("van.yaml")
    decal = next(one for one in job.decals if one.name == "checks of door")
    assert decal.width.value == pytest.approx(19.2, abs=0.02) and decal.height.value == pytest.approx(4.8, abs=0.02)
    assert "harbour teal" in str(decal.artwork) and "scanned 1" in str(decal.artwork)
    assert bench("check", "van.yaml").code == 0
    # Once more: another name, the first decal as it was.
    bench("scan", "door.png", "--into", "van.yaml", "--panel", "door")
    assert [one.name for one in load_job("van.yaml").decals] == ["line", "checks of door", "checks of door 2"]


@pytest.mark.parametrize(
    ("words", "message", "fix"),
    [
        (["--into", "van.yaml", "--panel", "dor"], "the job has no panel 'dor'", "door"),
        (
            ["--into", "van.yaml", "--panel", "door", "--name", "line"],
            "there is a decal 'line' already",
            "another name",
        ),
        (["--value", "colums = 8", "--into", "van.yaml", "--panel", "door"], "no value 'colums'", "columns"),
        (["--value", "columns = many"], "'many' is not a count for columns", "columns = 12"),
        (["--value", "cell width = 2.4"], "is not a length for cell width", "2.4 mm"),
        (["--value", "columns"], "gives no value", "--value"),
        (["--beside", "card"], "no card of 85.6 × 53.98 mm is seen", "--corners"),
        (["--beside", "big"], "'big' is not the size of a card", "as measured"),
        (["--beside", "50 mm x 50 mm"], "does not serve", "one side longer"),
        (["--corners", "1,2 3,4 5,6"], "is not four points", "--corners"),
        (["--corners", "0,0 100,0 200,0 0,90"], "lie on a line", "in order round it"),
        (["--straight", "1,2 3,4 5,6 7,8"], "--straight goes with --corners", "--straight '97,230"),
        (["--straight", "1,2 3,4", "--corners", "0,9 99,9 99,0 0,0"], "is not 4 points or more", "--straight '97,230"),
        (["--bar", "0,0 100 = 20 mm"], "is not a bar", "--bar"),
        (["--bar", "0,0 100,0 = 20"], "is not a length", "--bar"),
        (["--bar", "0,0 100,0 = 20 mm", "--beside", "card"], "both tell the size", "use --bar, or"),
        (["--fills", "24 mm"], "is not a width and a height", "--fills"),
        (["--dpi", "fine"], "is not a resolution", "--dpi 300"),
        (["--dpi", "9"], "9 dpi is not what a scan has", "--dpi 300"),
        (["--depth", "2 mm"], "needs the camera's distance", "--camera"),
        (["--white", "here"], "'here' is not a patch", "--white 120,80"),
        (["--white", "5,5 = white"], "is not a patch", "= #f1f1ee"),
        (["--own-white", "5,5 = #ffffff"], "is not a patch", "--own-white 120,80"),
        (["--black", "5,5"], "does not tell how bright light is", "a white one too"),
        (["--part", "1,2,3"], "is not a part", "--part"),
        (["--part", "300,2,30,400"], "after its left", "--part"),
        (["--as", "roundel"], "no roundel is recognised", "--part"),
        (["--as", "outline", "--value", "width = 3 mm"], "no value is typed over it", "leave --value out"),
        (["--tolerance", "0.02 mm"], "says how closely outlines are traced", "--as outline"),
        (["--as", "outline", "--tolerance", "3 mm"], "a tolerance of 3 mm is out of range", "0.005 to 1 mm"),
        (["--as", "outline", "--tolerance", "fine"], "is not a length", "0.02 mm"),
    ],
)
def test_a_mistake_costs_nothing_and_has_a_way_out(bench: Run, words: list[str], message: str, fix: str) -> None:
    said = bench("scan", "door.png", *words)
    assert said.code and message in said.err, said.err
    assert fix in said.err.split("fix:")[1]
    assert Path("van.yaml").read_bytes() == JOB.encode()


def test_colours_are_told_by_what_they_were_corrected(bench: Run) -> None:
    # The lid beside the checks serves as a white patch.
    assert ", as scanned" in bench("scan", "door.png").out
    out = bench("scan", "door.png", "--white", "10,10 = #e0e0df").out
    assert ", by the white patch" in out and ", as scanned" not in out
    assert bench("scan", "door.png", "--own-white", "10,10", "--into", "van.yaml", "--panel", "door").code == 0
    assert "inks by the original's own white: #" in Path("van.yaml").read_text(encoding="utf-8")


def test_words_that_do_not_go_together(bench: Run) -> None:
    for words in (("scan",), ("scan", "door.png", "--into", "van.yaml"), ("scan", "door.png", "--name", "x")):
        assert bench(*words).code == 64
    assert "there is no file" in bench("scan", "none.png").err


def test_the_report_shows_the_fit_over_the_scan(bench: Run) -> None:
    said = bench("scan", "door.png", "-o", "fit.svg")
    assert said.code == 0 and "the fit over the scan: fit.svg" in said.out
    text = Path("fit.svg").read_text(encoding="utf-8")
    # Six by two cells have 7 × 2 + 3 × 6 edges, each drawn twice: a white line, and the edge over it.
    assert text.count("#0f6b73") + text.count("#a3342a") >= 32
    assert "data:image/png" in text


def test_the_corner_card_round_trip(bench: Run) -> None:
    assert bench("scan", "--card", "card.pdf", "--paper", "a5").code == 0
    assert Path("card.pdf").read_bytes().startswith(b"%PDF")
    assert "is not a PDF" in bench("scan", "--card", "card.png").err
    # Printed and scanned at 200 dpi with nothing lost, a disc of 12.70 mm (100 pixels) laid inside the frame.
    page = Image.open(io.BytesIO(render(corner_card(148.0, 210.0), ".png", dpi=200.0)[0])).convert("RGB")
    width = page.width
    disc = Image.new("L", (800, 800))
    ImageDraw.Draw(disc).ellipse((0, 0, 799, 799), fill=255)
    page.paste((31, 127, 134), (width // 2 - 50, 600), disc.resize((100, 100), Image.Resampling.BOX))
    page.save("photo.png")
    found = measure_scan_of("photo.png", request_of({"beside": "100 x 70 mm"}))
    fit = found.fits[0]
    assert fit.kind == "roundel" and fit.value("diameter") == pytest.approx(12.70, abs=0.03)


def measure_scan_of(name: str, request: ScanRequest) -> MeasuredScan:
    return measure_scan(PictureData(name, Path(name).read_bytes()), request)


def test_stripes_and_a_roundel_become_shapes_that_draw_them(bench: Run) -> None:
    made = scan_of(bands([0, 1.5, 2.3, 4.1], [0, 1, 2]), (16.0, 4.1), INKS, PLAIN, 200.0, 4)
    Path("line.png").write_bytes(made.data)
    bench("scan", "line.png", "--into", "van.yaml", "--panel", "door", "--name", "lines")
    decal = next(one for one in load_job("van.yaml").decals if one.name == "lines")
    text = Path("van.yaml").read_text(encoding="utf-8")
    assert len(decal.artwork) == 3 and "at: bottom + 1.5" in text and "at: bottom + 2.3" in text
    made = scan_of(roundel((4, 4), [4, 2], [0, 2]), (8.0, 8.0), INKS, PLAIN, 200.0, 4)
    Path("disc.png").write_bytes(made.data)
    said = bench("scan", "disc.png", "--into", "van.yaml", "--panel", "door", "--name", "disc")
    assert said.code == 0
    decal = next(one for one in load_job("van.yaml").decals if one.name == "disc")
    assert decal.width.value == decal.height.value == pytest.approx(8.0, abs=0.03)
    assert bench("check", "van.yaml").code == 0


def test_traced_outlines_become_shapes_that_draw_them(bench: Run) -> None:
    made = scan_of(roundel((4, 4), [4, 2], [0, 2]), (8.0, 8.0), INKS, PLAIN, 200.0, 4)
    Path("disc.png").write_bytes(made.data)
    words = ("--as", "outline", "--into", "van.yaml", "--panel", "door", "--name", "disc", "-v")
    said = bench("scan", "disc.png", *words)
    assert said.code == 0 and "outlines of 2 areas, " in said.out
    assert "traced within 0.0" in said.out and "(asked: 0.032 mm)" in said.out
    text = Path("van.yaml").read_text(encoding="utf-8")
    assert "# traced within 0.0" in text and "rises: [" in text
    decal = next(one for one in load_job("van.yaml").decals if one.name == "disc")
    assert [type(one.shape).__name__ for one in decal.artwork] == ["DrawnOutline", "DrawnOutline"]
    size = Box(decal.width.value, decal.height.value)
    areas = [sum(inked.region.area for inked in one.shape.draw(size)) for one in decal.artwork]
    assert areas == pytest.approx([math.pi * 16, math.pi * 4], rel=0.01)
    assert bench("check", "van.yaml").code == 0


def test_what_is_typed_about_a_scan() -> None:
    given = request_of(
        {
            "beside": "85.54 x 53.97 mm",
            "corners": "10,90 110,91 111,20 9,19",
            "dpi": "300x600",
            "depth": "2 mm ± 1",
            "camera": "40 cm",
            "part": "1,2,300,400",
            "kind": "checks",
        }
    )
    assert given.card_off is None
    off = request_of({"beside": "85.54 mm ± 0.05 x 53.97 mm ± 0.1"}).card_off
    assert off == pytest.approx((0.05, 0.1))
    assert given.card_mm == (85.54, 53.97) and given.card == "" and given.corners[2] == (111.0, 20.0)
    assert given.dpi == (300.0, 600.0) and given.part == (1, 2, 300, 400)
    assert given.depth is not None and given.depth.off == pytest.approx(1.0)
    assert replace(given.depth, off=1.0) == Depth(2.0, 1.0, 400.0)
    assert request_of({"bar": ["0,0 300,4 = 1 in"]}).bars == (Bar((0, 0), (300, 4), 25.4),)
    assert request_of({"beside": "card"}) == ScanRequest(card="card")
    assert typed_values(["cell  width =2.4 mm"]) == {"cell width": "2.4 mm"}
    with pytest.raises(ScanWordsError):
        typed_values(["= 3"])


def test_an_ink_of_the_job_is_taken_for_one_scanned_colour_alone() -> None:
    job = job_as_written(JOB.replace("\r", "").replace("\ufeff", ""), Path("van.yaml"))
    # Both are within 10 of harbour teal by CIEDE2000; the second is nearer.
    assert known_inks(job, ["#2b8a90", "#208087", "#e9d9b0"]) == [None, "harbour teal", None]
    assert known_inks(job, ["#2b8a90"]) == ["harbour teal"]


def test_notes_go_above_an_entry_and_change_no_value() -> None:
    text = "decals:\r\n  a: {panel: x}\r\n  b:\r\n    panel: x\r\n"
    assert noted(text, ("decals", "b"), ["one", "two\nthree"]) == text.replace(
        "  b:", "  # one\r\n  # two\r\n  # three\r\n  b:"
    )
    with pytest.raises(DecalgenError, match="a line of its own"):
        noted("decals: {a: {panel: x}}\n", ("decals", "a"), ["one"])
