"""A drawing named in a job file: where it is read from, its size, its inks; each mistake in one sentence with place and
fix."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core.errors import JobError
from decalgen.job.loader import load_job
from decalgen.job.model import Job
from decalgen.shapes.base import Box
from decalgen.shapes.drawing import OwnDrawing, matches_of
from tests.core.svg.drawn import NAMESPACES, whole

JOB = """\
job: crest
body: navy
inks:
  gorse red: "#a01c20"
  harbour teal: "#1f7f86"
panels:
  door: {width: 30 mm ± 0.05, height: 20 mm ± 0.05}
decals:
  crest:
    panel: door
    artwork:
      - drawing: {DRAWING}
"""
CREST = whole('<rect width="8" height="6" fill="#a01c21"/><rect width="4" height="6" fill="#fefefe"/>', 8, 6)


def loaded(folder: Path, drawing: str = "{file: crest.svg}", text: str | bytes | None = CREST) -> Job:
    (folder / "job.yaml").write_text(JOB.replace("{DRAWING}", drawing), encoding="utf-8")
    if text is not None:
        (folder / "crest.svg").write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return load_job(folder / "job.yaml")


def drawing_of(job: Job) -> OwnDrawing:
    shape = job.decals[0].artwork[0].shape
    assert isinstance(shape, OwnDrawing)
    return shape


def refusal(folder: Path, drawing: str = "{file: crest.svg}", text: str | bytes | None = CREST) -> tuple[str, str]:
    """The one mistake: what is wrong, and the fix; in the line that names the drawing."""
    with pytest.raises(JobError) as error:
        loaded(folder, drawing, text)
    (problem,) = error.value.problems
    assert problem.place is not None and problem.place.line == 12 and problem.place.file.endswith("job.yaml")
    return problem.message.replace(str(folder), "FOLDER"), problem.fix.replace(str(folder), "FOLDER")


def test_its_true_size_and_the_nearest_inks(tmp_path: Path) -> None:
    drawing = drawing_of(loaded(tmp_path))
    assert drawing.extent(Box(30, 20)) == pytest.approx((8, 6))
    assert {one.colour: one.ink for one in matches_of(drawing)} == {"#a01c21": "gorse red", "#fefefe": "white"}
    areas = {one.ink: one.region.area for one in drawing.draw(Box(8, 6))}
    assert areas == pytest.approx({"gorse red": 24, "white": 24})


@pytest.mark.parametrize(
    ("size", "view", "given", "expected"),
    [
        ('width="8mm" height="6mm"', "0 0 80 60", "", (8, 6)),
        ('width="0.8cm" height="6mm"', "0 0 8 6", "", (8, 6)),
        # An inch is 25.4 mm, a point 1/72 of one, a pica 12 points (CSS Values 3, 5.2).
        ('width="1in" height="72pt"', "0 0 1 1", "", (25.4, 25.4)),
        ('width="6pc"', "0 0 2 1", "", (25.4, 12.7)),
        ('height="12mm"', "0 0 2 1", "", (24, 12)),
        ('width="120" height="90"', "0 0 8 6", ", width: 16 mm", (16, 12)),
        ("", "0 0 8 6", ", height: 3 mm", (4, 3)),
        ('width="100%" height="100%"', "0 0 8 6", ", height: 3 mm", (4, 3)),
        ('width="8mm" height="6mm"', "0 0 8 6", ", width: 16 mm", (16, 12)),
        ('width="8mm" height="6mm"', "0 0 8 6", ", width: 16 mm, height: 12 mm", (16, 12)),
        ('width="210mm" height="297mm"', "0 0 210 297", ", cropped: yes", (8, 6)),
        ('width="210mm" height="297mm"', "0 0 210 297", ", cropped: yes, width: 4 mm", (4, 3)),
        ("", "", ", width: 4 mm", (4, 3)),
    ],
)
def test_sizes(tmp_path: Path, size: str, view: str, given: str, expected: tuple[float, float]) -> None:
    # What is drawn is 8 × 6 in the units of the view, and fills it but for the page of paper.
    box = f'viewBox="{view}"' if view else ""
    w, h = (8, 6) if not view or view.endswith("297") else (view.split()[2], view.split()[3])
    text = f'<svg {NAMESPACES} {size} {box}><rect width="{w}" height="{h}" fill="#a01c20"/></svg>'
    drawing = drawing_of(loaded(tmp_path, "{file: crest.svg" + given + "}", text))
    found = drawing.extent(Box(30, 20))
    assert found == pytest.approx(expected, abs=3e-6)  # the fill is exact to a nanometre a side
    assert drawing.draw(found)[0].region.area == pytest.approx(expected[0] * expected[1], abs=1e-4)


def test_colours_get_the_inks_that_the_job_names(tmp_path: Path) -> None:
    drawing = drawing_of(loaded(tmp_path, '{file: crest.svg, inks: {"#A01C21": harbour teal, "#fefefe": gorse red}}'))
    assert {one.colour: (one.ink, one.told) for one in matches_of(drawing)} == {
        "#a01c21": ("harbour teal", True),
        "#fefefe": ("gorse red", True),
    }
    one = drawing_of(loaded(tmp_path, '{file: crest.svg, inks: {"#fefefe": gorse red}}')).draw(Box(8, 6))
    assert [(area.ink, round(area.region.area, 6)) for area in one] == [("gorse red", 48)]


def test_its_text_belongs_to_the_job(tmp_path: Path) -> None:
    job = loaded(tmp_path)
    assert job.drawings == (("crest.svg", CREST),)
    same, other = loaded(tmp_path), loaded(tmp_path, text=CREST.replace("a01c21", "a01c22"))
    assert job.digest == same.digest != other.digest
    assert job.decals == same.decals != other.decals


def test_a_drawing_is_named_from_the_file_that_names_it(tmp_path: Path) -> None:
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "crest.svg").write_text(CREST, encoding="utf-8")
    (tmp_path / "more" / "part.yaml").write_text(
        "decals: {crest: {artwork: [{drawing: {file: crest.svg}}]}}\n", encoding="utf-8"
    )
    head = JOB.partition("    artwork:")[0]
    (tmp_path / "job.yaml").write_text(f"include: more/part.yaml\n{head}", encoding="utf-8")
    assert load_job(tmp_path / "job.yaml").drawings == (("more/crest.svg", CREST),)


NO_SIZE = f'<svg {NAMESPACES} width="120" height="90" viewBox="0 0 8 6"><rect width="8" height="6"/></svg>'


@pytest.mark.parametrize(
    ("drawing", "text", "message", "fix"),
    [
        ("{file: crest.svg}", None, "there is no file 'FOLDER/crest.svg'", "name a drawing saved as plain SVG"),
        ("{file: crests.svg}", CREST, "there is no file 'FOLDER/crests.svg'", "did you mean 'FOLDER/crest.svg'?"),
        ("{file: ../crest.svg}", CREST, "'../crest.svg' is outside the job's folder", "copy the file beside the job"),
        ("{file: /etc/passwd}", CREST, "'/etc/passwd' is outside the job's folder", "copy the file beside the job"),
        ("{file: .}", CREST, "'FOLDER' is a folder", "name a file in it, such as FOLDER/crest.svg"),
        ("{file: crest.svgz}", CREST, "'crest.svgz' is a packed drawing",
         "save it as plain SVG, which is not packed"),
        ("{file: crest.svg}", b"\x89PNG\r\n\x1a\n\x00\x00", "'FOLDER/crest.svg' is not an SVG drawing",
         "name a drawing saved as plain SVG"),
        ("{file: crest.svg}", b"<svg>\xff</svg>", "'FOLDER/crest.svg' is not UTF-8 text: see line 1",
         "save it as UTF-8 in your editor"),
        ("{file: crest.svg}", "", "'crest.svg': it is empty", "name a drawing saved as SVG"),
        ("{file: crest.svg}", CREST[:90], "'crest.svg', line 1: it is not an SVG drawing (unclosed token)",
         "name a drawing saved as SVG"),
        ("{file: crest.svg}", CREST[:-8], "'crest.svg', line 1: it cannot be read: unclosed token",
         "it may have been cut short: copy it again"),
        ("{file: job.yaml}", CREST, "'job.yaml', line 1: it is not an SVG drawing (syntax error)",
         "name a drawing saved as SVG"),
        ("{file: crest.svg}", '<!DOCTYPE svg [<!ENTITY a "a">]><svg/>',
         "'crest.svg', line 1: it declares an entity, 'a', which is not read",
         "save it as plain SVG in your drawing program"),
        ("{file: crest.svg}", NO_SIZE,
         "the drawing 'crest.svg' does not say how large it is on paper: it has 120 × 90 px",
         "write its width or its height, such as width: 12 mm; by 96 px to the inch it would be 31.75 × 23.81 mm"),
        ("{file: crest.svg}", NO_SIZE.replace('"120"', '"8mm"'),
         "the drawing 'crest.svg' does not say how large it is on paper: it has 30.2362 × 90 px",
         "write its width or its height, such as width: 12 mm; by 96 px to the inch it would be 8.00 × 23.81 mm"),
        ("{file: crest.svg}", f'<svg {NAMESPACES}><rect width="8" height="6"/></svg>',
         "the drawing 'crest.svg' says neither how large it is nor has a viewBox",
         "write its width or its height, such as width: 12 mm"),
        ("{file: crest.svg, width: 8 mm, height: 8 mm}", CREST,
         "the drawing 'crest.svg' would have to be stretched: at that width it is 6.00 mm high",
         "write its width or its height; the other follows"),
        ("{file: crest.svg}", whole('<text id="t" y="9">A</text>'),
         "nothing of the drawing 'crest.svg' can be printed as flat ink: text, 't' in line 1",
         "draw it as paths and shapes in plain colours"),
        ("{width: 8 mm}", CREST, "the shape 'drawing' has no 'file'", "add file: crest.svg"),
        ("{file: [a, b]}", CREST, "the name of a file is needed", "write one name, such as crest.svg"),
        ("{file: crest.svg, inks: [gorse red]}", CREST, "'inks' of a drawing is a list; it needs keys",
         'write {"#1d2b4a": navy}: a colour of the drawing, then its ink'),
        ("{file: crest.svg, inks: {reddish: gorse red}}", CREST, "'reddish' is not a colour", None),
        ("{file: crest.svg, inks: {red: gorse}}", CREST, "there is no ink 'gorse'", None),
        ('{file: crest.svg, inks: {red: white, "#f00": black}}', CREST, "'#f00' is a colour that has its ink already",
         "remove one of the two"),
    ],
)  # fmt: skip
def test_mistakes(tmp_path: Path, drawing: str, text: str | bytes | None, message: str, fix: str | None) -> None:
    said, remedy = refusal(tmp_path, drawing, text)
    assert said == message
    assert remedy == fix if fix is not None else remedy


def test_a_file_too_large_is_not_read(tmp_path: Path) -> None:
    with (tmp_path / "crest.svg").open("wb") as file:
        file.truncate(4_100_000)
    message, _ = refusal(tmp_path, text=None)
    assert message == "'FOLDER/crest.svg' is too large: 4.1 MB, at most 4 MB is read"


def test_all_drawings_together_have_a_bound(tmp_path: Path) -> None:
    body = whole("<desc>" + "x" * 3_000_000 + "</desc>" + '<rect width="9" height="9"/>')
    for name in "abc":
        (tmp_path / f"{name}.svg").write_text(body, encoding="utf-8")
    rows = "".join(f"\n      - drawing: {{file: {name}.svg}}" for name in "abc")
    (tmp_path / "job.yaml").write_text(JOB.replace("\n      - drawing: {DRAWING}", rows), encoding="utf-8")
    with pytest.raises(JobError) as error:
        load_job(tmp_path / "job.yaml")
    assert [one.message for one in error.value.problems] == ["the drawings of this job come to more than 8 MB"]


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "inside").mkdir()
    (tmp_path / "secret.svg").write_text(CREST, encoding="utf-8")
    (tmp_path / "inside" / "crest.svg").symlink_to(tmp_path / "secret.svg")
    message, _ = refusal(tmp_path / "inside", text=None)
    assert message == "'crest.svg' is outside the job's folder"


def test_a_drawing_in_dxf_is_part_of_the_job_as_one_in_svg_is(tmp_path: Path) -> None:
    """A square of 6 mm on the layer of an ink, written by ezdxf; binary ones and nonsense are told."""
    import io

    import ezdxf

    document = ezdxf.new("R2010", units=4)
    document.layers.add("gorse red")
    document.modelspace().add_lwpolyline(
        [(0, 0), (6, 0), (6, 6), (0, 6)], close=True, dxfattribs={"layer": "gorse red"}
    )
    kept = io.StringIO()
    document.write(kept)

    def named(text: bytes) -> Path:
        loaded(tmp_path)
        (tmp_path / "crest.dxf").write_bytes(text)
        job = tmp_path / "job.yaml"
        job.write_text(job.read_text(encoding="utf-8").replace("crest.svg", "crest.dxf"), encoding="utf-8")
        return job

    job = load_job(named(kept.getvalue().encode()))
    drawing = drawing_of(job)
    assert drawing.extent(Box(20, 20)) == pytest.approx((6.0, 6.0))
    assert [(one.ink, one.region.area) for one in drawing.draw(Box(6, 6))] == [("gorse red", pytest.approx(36.0))]
    assert [name for name, _ in job.drawings] == ["crest.dxf"]
    for text, said in (
        (b"AutoCAD Binary DXF\r\n\x1a\x00\x00", "is not a DXF drawing"),
        (b"hello", "cannot be read as DXF"),
    ):
        with pytest.raises(JobError, match=said):
            load_job(named(text))
