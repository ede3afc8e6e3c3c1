"""The sheet of faces, and faces beside an original: what stands on the pages, and what the command says."""

from __future__ import annotations

import shutil
import textwrap
from pathlib import Path

import pytest
import shapely

from decalgen.commands.fonts import as_written
from decalgen.commands.tracing import letter_places, told_missing, tracing
from decalgen.core.document import Contour, Fill, Line, Use
from decalgen.core.geometry import region, transform
from decalgen.core.lengths import Quantity
from decalgen.job.loader import load_job
from decalgen.lettering.by_letter import match_by_letter
from decalgen.lettering.faces import face, faces
from decalgen.lettering.measured import MeasuredLettering
from decalgen.lettering.own_fonts import read_font
from decalgen.lettering.rank import Ranked, rank
from decalgen.lettering.typeface import OwnFaceName
from decalgen.lettering.typesetting import typeset
from decalgen.pages.faces import A4, CELL, PAD, axes_text, like_page, specimen_page
from decalgen.shapes.lettering import Lettering
from tests.helpers.commands import Run, runner
from tests.lettering.originals import Original, original

TARGETS = Path(__file__).parents[1] / "lettering" / "targets"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    return runner(capsys)


def write_tracing(aim: Original, name: str = "traced.txt", scale: float = 1.0) -> None:
    rows = []
    for part in aim.region.geoms:
        for ring in (part.exterior, *part.interiors):
            # Somewhere on a scan, not at the origin.
            rows += [f"{40 + x * scale:.4f} {7 + y * scale:.4f}" for x, y in ring.coords[:-1]] + [""]
    Path(name).write_text("\n".join(rows), encoding="utf-8")


@pytest.mark.parametrize("text", ["Harbour Stores 147", "I", "The long name of a drainage board 1470 & others"])
def test_every_face_stands_inside_the_margins(text: str) -> None:
    document = specimen_page(text)
    assert {(page.width, page.height) for page in document.pages} == {A4}
    items = [item for page in document.pages for layer in page.layers for item in layer.items]
    boxes = [i.region.bounds for i in items if isinstance(i, Fill)]
    boxes += [
        transform(part.region, i.matrix).bounds
        for i in items
        if isinstance(i, Use)
        for part in i.symbol.items
        if isinstance(part, Fill)
    ]
    assert min(b[0] for b in boxes) >= PAD - 0.6
    assert max(b[2] for b in boxes) <= A4[0] - PAD + 0.6
    assert min(b[1] for b in boxes) > 6
    assert max(b[3] for b in boxes) < A4[1] - 8
    words = [i for i in items if isinstance(i, Fill)]
    # A sample, twenty-six capitals and one line of figures a face.
    assert len(words) == 28 * len(faces())
    assert max(w.region.bounds[2] - w.region.bounds[0] for w in words) <= CELL + 0.01


def test_an_alphabet_runs_from_the_lightest_to_the_heaviest() -> None:
    words = [
        i.region
        for page in specimen_page("A").pages
        for layer in page.layers
        for i in layer.items
        if isinstance(i, Fill)
    ]
    number = [f.name for f in faces()].index("Archivo")
    capitals = words[28 * number + 1 : 28 * number + 27]
    # Stems: H is the eighth, N the fourteenth.
    light, heavy = capitals[7], capitals[13]
    assert heavy.area / heavy.convex_hull.area > light.area / light.convex_hull.area + 0.1
    lefts = [part.bounds[0] for part in capitals]
    assert lefts == sorted(lefts)


def test_settings_are_listed_as_a_job_writes_them(run: Run) -> None:
    assert axes_text(face("Anton")) == ""
    said = run("fonts")
    assert "axes: wght 100 to 900, wdth 62 to 125" in said.out
    for one in faces():
        assert one.suits in said.out


@pytest.mark.parametrize("ending", ["pdf", "png", "svg"])
def test_the_sheet_is_written(run: Run, ending: str) -> None:
    assert run("fonts", "-o", f"faces.{ending}").code == 0
    # A PDF has pages, a picture is numbered.
    pages = len(specimen_page("A").pages)
    names = ["faces.pdf"] if ending == "pdf" else [f"faces-{n}.{ending}" for n in range(1, pages + 1)]
    assert sorted(path.name for path in Path().iterdir()) == names and pages == 2
    assert all(Path(name).stat().st_size > 10_000 for name in names)


@pytest.mark.parametrize(
    ("target", "first"),
    [("rajdhani-bold", "Saira"), ("zilla-slab-bold", "Sanchez")],
)
def test_a_tracing_finds_the_face_of_its_kind(run: Run, target: str, first: str) -> None:
    # A square face, whose bowls have straight sides as Saira's have, and a slab.
    aim = original(target, "HARBOUR", 1.6)
    write_tracing(aim)
    said = run("fonts", "--like", "HARBOUR", "--cap", "1.6mm", "--traced", "traced.txt", "-o", "like.pdf")
    assert said.code == 0
    assert said.out.splitlines()[0].startswith(first)
    assert f"stem {aim.stem:.2f} mm (H), crossbar {aim.crossbar:.2f} mm (H)" in said.out
    assert Path("like.pdf").stat().st_size > 10_000


def test_a_tracing_of_tails_lies_on_its_baseline(run: Run) -> None:
    line = typeset("Jolly", face="Overpass", cap_height=3.0)
    rows = [f"{x} {y}" for part in line.region.geoms for ring in (part.exterior, *part.interiors)
            for x, y in [*ring.coords[:-1], (None, None)]]  # fmt: skip
    Path("t.txt").write_text("\n".join(rows).replace("None None", ""), encoding="utf-8")
    said = run("fonts", "--like", "Jolly", "--cap", "3mm", "--traced", "t.txt")
    name, _, rest = said.out.splitlines()[0].partition("  ")
    assert name == "Overpass"
    assert int(rest.split("covers ")[1].split("%")[0]) > 85


def test_letters_are_told_apart_and_dots_belong_to_them() -> None:
    area = shapely.MultiPolygon([shapely.box(0, 0, 1, 2), shapely.box(2, 0, 2.4, 1.2), shapely.box(2, 1.5, 2.4, 2)])
    assert letter_places("Hi", area) == ((0.0, 1.0), (2.0, pytest.approx(0.4)))
    assert letter_places("H i", area) is not None
    assert letter_places("Hit", area) is None


def test_what_does_not_fit_the_tracing_is_said(run: Run) -> None:
    write_tracing(original("barlow-semibold", "HARBOUR", 1.6))
    words = ("fonts", "--like", "HARBOUR", "--cap", "1.6mm", "--traced", "traced.txt")
    assert "check its scale" in run(*words, "--length", "8mm").out
    told = run("fonts", "--like", "HARBOURS", *words[3:]).out
    assert "the tracing has 7 outlines side by side and 'HARBOURS' has 8 letters" in told
    assert "most likely letter 8, 'S', is missing" in told
    assert "a face a letter" not in told


def test_the_letter_that_is_missing_is_named() -> None:
    aim = original("barlow-semibold", "HARBOUR", 1.6)
    for number in (2, 4, 6):
        rest = region(shapely.union_all([one for i, one in enumerate(aim.letters, 1) if i != number]))
        assert f"letter {number}, '{'HARBOUR'[number - 1]}', is missing" in told_missing("HARBOUR", rest)


def write_word(folder: Path, head: str, text: str, rows: str) -> None:
    """A job of one word, with what the command wrote of its lettering."""
    job = f"""\
job: word
body: white
{head}
panels: {{side: {{width: 40 mm, height: 20 mm}}}}
decals:
  name:
    panel: side
    width: 30 mm
    height: 12 mm
    artwork:
      - lettering:
          text: {text}
          ink: black
{rows}
"""
    (folder / "word.yaml").write_text(job, encoding="utf-8")


def test_a_face_a_letter_is_offered_as_a_job_writes_it(run: Run, tmp_path: Path) -> None:
    # A round A, which one face alone has, and an S of another.
    one, other = (
        typeset(text, face=name, cap_height=2.0).region for text, name in (("A", "Righteous"), ("S", "Archivo"))
    )
    rows_traced: list[str] = []
    for area in (one, shapely.affinity.translate(other, 2.4)):
        for ring in (area.geoms[0].exterior, *area.geoms[0].interiors):
            rows_traced += [*(f"{x} {y}" for x, y in ring.coords[:-1]), ""]
    Path("traced.txt").write_text("\n".join(rows_traced), encoding="utf-8")
    said = run("fonts", "--like", "AS", "--cap", "2mm", "--traced", "traced.txt")
    lines = said.out.splitlines()
    told = next(line for line in lines if line.startswith("a face a letter: covers"))
    first = next(line for line in lines if "covers" in line)
    share, whole = (int(line.split("covers ")[1].split("%")[0]) for line in (told, first))
    assert share > whole
    start = next(i for i, line in enumerate(lines) if line.strip().startswith("face: "))
    end = next(i for i, line in enumerate(lines) if line.strip().startswith("faces: ["))
    rows = "\n".join("        " + line for line in lines[start : end + 1])
    write_word(tmp_path, 'film: white\ninks: {black: {colour: "#000000"}}', "AS", rows)
    checked = run("check", "word.yaml", "-v")
    assert checked.code == 0, checked.err
    sources = told.partition("bent by")[2].partition(": ")[2]
    assert f"'AS' with {sources}, has cap height" in checked.out
    assert "off the readings by less than" in checked.out


def test_the_name_of_a_face_is_quoted_where_a_job_needs_it(tmp_path: Path) -> None:
    shutil.copy(TARGETS / "fjalla-one.ttf", tmp_path / "old.ttf")
    own = OwnFaceName("worn: no. 2, by hand", read_font((tmp_path / "old.ttf").read_bytes()))
    measured = MeasuredLettering(2.0, 4.9, 0.3, letters=((0.0, 1.4), (1.7, 1.4), (3.5, 1.4)))
    matched = match_by_letter("HUD", measured, (own, own, "Archivo"))
    lines = as_written(measured, Ranked(matched.face, 0.1, 0.9, matched))
    write_word(tmp_path, f'faces: {{"{own}": old.ttf}}', "HUD", textwrap.indent(lines, " " * 8))
    found = load_job(tmp_path / "word.yaml").decals[0].artwork[0].shape
    assert isinstance(found, Lettering) and found.match is not None
    assert (found.face, found.match.faces) == (own, (own, own, "Archivo"))
    assert found.match.letters == measured.letters
    assert (found.match.cap_height.value, found.match.length) == (2.0, Quantity(4.9))


@pytest.mark.parametrize(
    ("words", "says", "fix"),
    [
        (("--like", "HARBOUR"), "without a cap height", "add --cap"),
        (("--like", "HARBOUR", "--cap", "abc"), "'abc' is not a length", "write a number and its unit"),
        (("--like", "HARBOUR", "--cap", "1.6"), "'1.6' is not a length", "1.6mm"),
        (("--like", "", "--cap", "2mm"), "no text", "write the text"),
        (("--like", "\U0001f692", "--cap", "2mm"), "no letter any face can draw", "write letters"),
        (("--like", "HARBOUR", "--cap", "2mm", "--traced", "none.txt"), "there is no file 'none.txt'", "corner in mm"),
        (("--like", "HARBOUR", "--cap", "2mm", "--traced", "bad.txt"), "bad.txt:2: this is not a point", "1.25 0.80"),
        (("--like", "HARBOUR", "--cap", "2mm", "--traced", "few.txt"), "holds no outline", "three points or more"),
        (
            ("--like", "HA", "--cap", "2mm", "--traced", "own.txt"),
            "own.txt:5: the outline that begins here crosses itself at",
            "once",
        ),
        (
            ("--like", "HA", "--cap", "2mm", "--traced", "two.txt"),
            "two.txt:6: the outline that begins here crosses the one that begins on line 1",
            "apart",
        ),
        (("--like", "HA\u2603", "--cap", "2mm"), "no face has '\u2603' of 'HA\u2603'", "leave it out of the word"),
        (("--cap", "2mm"), "--like WORD", ""),
        (("--text", "", "-o", "x.pdf"), "no text", "write the text"),
    ],
)
def test_mistakes(run: Run, words: tuple[str, ...], says: str, fix: str) -> None:
    Path("bad.txt").write_text("1 2\n1 2 3\n", encoding="utf-8")
    Path("few.txt").write_text("1 2\n\n3 4\n5 6\n", encoding="utf-8")
    square = "0 0\n2 0\n2 2\n0 2\n\n"
    Path("own.txt").write_text("0 0\n2 0\n2 2\n\n4 0\n6 2\n6 0\n4 2\n", encoding="utf-8")
    Path("two.txt").write_text(square + "1 1\n4 1\n4 3\n1 3\n", encoding="utf-8")
    said = run("fonts", *words)
    assert said.code != 0
    assert says in said.err
    assert fix in said.err
    assert not Path("x.pdf").exists()


def test_the_tracing_is_drawn_round_each_face() -> None:
    aim = original("barlow-semibold", "HARBOUR", 1.6)
    read = MeasuredLettering(1.6, aim.length, aim.stem, aim.crossbar)
    ranked = rank("HARBOUR", read, outline=aim.region, among=("Archivo", "Overpass", "Saira"))
    plain, traced = (like_page("HARBOUR", ranked, area) for area in (None, aim.region))
    lines = [
        sum(isinstance(i, Contour | Line) for layer in d.pages[0].layers for i in layer.items) for d in (plain, traced)
    ]
    assert lines == [0, 3 * len(aim.region.geoms)]


def test_a_tracing_starts_at_its_lower_left(run: Run) -> None:
    write_tracing(original("barlow-semibold", "HARBOUR", 1.6))
    assert tracing(Path("traced.txt")).bounds[:2] == pytest.approx((0.0, 0.0))
