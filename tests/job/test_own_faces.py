"""Faces of a job's own: where they are read from, what a lettering in one is, each mistake with place and fix."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from decalgen.core.document import Fill
from decalgen.core.errors import JobError
from decalgen.job.loader import load_job
from decalgen.job.model import Job
from decalgen.lettering.faces import faces
from decalgen.lettering.own_fonts import read_font
from decalgen.lettering.typeface import OwnFaceName
from decalgen.lettering.typesetting import typeset
from decalgen.pages.faces import SAMPLE, specimen_page
from decalgen.shapes.lettering import Lettering
from tests.helpers.commands import Run, runner
from tests.helpers.page_words import words_of

TARGETS = Path(__file__).parents[1] / "lettering" / "targets"
JOB = """\
job: own
body: navy
faces:
  my letterer: fonts/old.ttf
panels:
  door: {width: 30 mm ± 0.05, height: 20 mm ± 0.05}
decals:
  name:
    panel: door
    width: 24 mm
    height: 8 mm
    film: clear
    artwork:
      - lettering: {text: HILL, face: my letterer, cap height: 3 mm, ink: white}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "fonts").mkdir()
    shutil.copy(TARGETS / "fjalla-one.ttf", tmp_path / "fonts" / "old.ttf")
    return tmp_path


def loaded(folder: Path, old: str = "", new: str = "") -> Job:
    assert old in JOB
    (folder / "job.yaml").write_text(JOB.replace(old, new) if old else JOB, encoding="utf-8")
    return load_job(folder / "job.yaml")


def lettering_of(job: Job) -> Lettering:
    shape = job.decals[0].artwork[0].shape
    assert isinstance(shape, Lettering)
    return shape


def refusal(folder: Path, old: str = "", new: str = "", line: int = 4) -> tuple[str, str]:
    """The one mistake: what is wrong, and the fix; in the line that it is looked for in."""
    with pytest.raises(JobError) as error:
        loaded(folder, old, new)
    (problem,) = error.value.problems
    assert problem.place is not None and problem.place.line == line
    return problem.message.replace(str(folder), "FOLDER"), problem.fix.replace(str(folder), "FOLDER")


@pytest.mark.parametrize("spelling", ["my letterer", "My-Letterer", "MYLETTERER"])
def test_a_lettering_is_set_in_it(folder: Path, spelling: str) -> None:
    job = loaded(folder, "face: my letterer", f"face: {spelling}")
    name = lettering_of(job).face
    assert isinstance(name, OwnFaceName) and str(name) == "my letterer"
    digest = hashlib.sha256((folder / "fonts" / "old.ttf").read_bytes()).hexdigest()
    assert name.font.sha256 == digest and job.faces == (("fonts/old.ttf", name),)
    assert {one.face for one in lettering_of(job).block.letters} == {name}


@pytest.fixture
def run(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(folder)
    Path("job.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys)


def test_the_list_of_faces_and_the_specimen_begin_with_it(run: Run) -> None:
    said = run("fonts", "job.yaml", "-o", "faces.pdf")
    assert said.code == 0 and f"listed {len(faces()) + 1} faces" in said.out
    assert said.out.split("\n")[0].split("  ")[0] == "my letterer"
    assert "my letterer" not in run("fonts").out
    own, plain = (
        [item.region for page in specimen_page("HILL", names).pages for item in page.layers[0].items
         if isinstance(item, Fill)]
        for names in ([load_job(Path("job.yaml")).faces[0][1]], [])
    )  # fmt: skip
    # A sample, twenty-six capitals and one line of figures more than without it; the first is drawn with its outlines.
    assert len(own) == len(plain) + 28
    line = typeset("HILL", face=load_job(Path("job.yaml")).faces[0][1], cap_height=SAMPLE)
    assert own[0].area == pytest.approx(line.region.area)


def test_the_specimen_says_which_letters_are_not_its_own(run: Run) -> None:
    # fontTools: the font of the test has the capitals alone.
    assert ord("a") not in TTFont("fonts/old.ttf").getBestCmap() and ord("H") in TTFont("fonts/old.ttf").getBestCmap()
    for text, lent in (("Harbour", True), ("HARBOUR", False)):
        found = words_of(specimen_page(text, [load_job(Path("job.yaml")).faces[0][1]]))
        said = "".join(line.plain for line in found)
        assert ("lettersofthewordsthatitlacksaresetinArchivo" in said) == lent


def test_it_is_ranked_among_the_others_and_comes_first_beside_its_own_word(run: Run, folder: Path) -> None:
    # The measures and the outline are those of the word as fontTools' table of Fjalla One draws it.
    line = typeset(
        "HARBOUR", face=OwnFaceName("x", read_font((folder / "fonts" / "old.ttf").read_bytes())), cap_height=3
    )
    rings = [ring for part in line.region.geoms for ring in (part.exterior, *part.interiors)]
    rows = "\n\n".join("\n".join(f"{x:.4f} {y:.4f}" for x, y in ring.coords[:-1]) for ring in rings)
    Path("traced.txt").write_text(rows, encoding="utf-8")
    words = ("fonts", "--like", "HARBOUR", "--cap", "3mm", "--length", f"{line.width:.3f}mm")
    for more in ((), ("--traced", "traced.txt", "-o", "like.pdf")):
        said = run(*words, "job.yaml", *more)
        assert said.code == 0 and said.out.count("my letterer") >= 1, said.out
    assert said.out.startswith("my letterer") and "face: my letterer" in said.out
    assert Path("like.pdf").stat().st_size > 1000
    assert "my letterer" not in run(*words).out


def test_a_job_whose_face_is_broken_is_told_with_its_place(run: Run, folder: Path) -> None:
    (folder / "fonts" / "old.ttf").write_bytes(b"\x89PNG\r\n")
    for words in ((), ("--like", "HILL", "--cap", "3mm")):
        said = run("fonts", "job.yaml", *words)
        assert said.code != 0 and "job.yaml:4:" in said.err and "is a PNG picture, not a font" in said.err
    assert "no.yaml" in run("fonts", "no.yaml").err


def test_another_font_is_another_job(folder: Path) -> None:
    one = loaded(folder)
    shutil.copy(TARGETS / "dosis-700.ttf", folder / "fonts" / "old.ttf")
    other = loaded(folder)
    assert one.digest != other.digest and one.decals != other.decals


def test_effects_arcs_and_measures_go_with_it(folder: Path) -> None:
    for more in (
        "outline: {ink: black, width: 0.2 mm}",
        "shadow: {ink: black, dx: 0.3 mm, dy: -0.3 mm}",
        "arc: {radius: 20 mm}",
        "compensate: yes",
    ):
        lettering = lettering_of(loaded(folder, "ink: white}", f"ink: white, {more}}}"))
        assert isinstance(lettering.face, OwnFaceName) and not lettering.block.region.is_empty
    lettering = lettering_of(
        loaded(folder, "cap height: 3 mm", "match: {cap height: 3 mm, length: 9 mm, stem: 0.5 mm}")
    )
    assert lettering.block.region.bounds[2] - lettering.block.region.bounds[0] == pytest.approx(9.0, abs=2e-3)


@pytest.mark.parametrize(
    ("old", "new", "line", "says", "fix"),
    [
        ("old.ttf", "new.ttf", 4, "there is no file 'FOLDER/fonts/new.ttf'", "did you mean 'FOLDER/fonts/old.ttf'?"),
        ("fonts/old.ttf", "../old.ttf", 4, "'../old.ttf' is outside the job's folder", "copy the file beside the job"),
        ("fonts/old.ttf", "/etc/passwd", 4, "is outside the job's folder", "copy the file beside the job"),
        ("fonts/old.ttf", "fonts", 4, "'FOLDER/fonts' is a folder", "name a file in it"),
        ("fonts/old.ttf", "[a, b]", 4, "the name of a font file is needed", "such as fonts/old.ttf"),
        ("fonts/old.ttf", "job.yaml", 4, "'job.yaml' is not a font", "name a font file: TTF, OTF or WOFF2"),
        ("my letterer", "Anton", 4, "'Anton' is a face of decalgen's", "give it another name"),
        ("my letterer", "'&'", 4, "the name of a face has a letter or a digit", "give it a short name"),
        ("face: my letterer", "face: my leterer", 14, "there is no face called", "did you mean 'my letterer'?"),
        ("face: my letterer", "face: fonts/old.ttf", 14, "there is no face called", "write it under 'faces:'"),
    ],
)  # fmt: skip
def test_each_mistake_in_one_sentence_with_place_and_fix(
    folder: Path, old: str, new: str, line: int, says: str, fix: str
) -> None:
    message, advice = refusal(folder, old, new, line)
    assert says in message and fix in advice


def test_a_face_that_cannot_be_read_is_told_once(folder: Path) -> None:
    (folder / "fonts" / "old.ttf").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    assert refusal(folder) == ("'fonts/old.ttf' is a PNG picture, not a font", "name a font file: TTF, OTF or WOFF2")
    (folder / "fonts" / "old.ttf").write_bytes(bytes(4_000_001))
    assert "is too large: 4.1 MB, at most 4 MB is read" in refusal(folder)[0]


def test_two_faces_of_one_name_are_told(folder: Path) -> None:
    message, fix = refusal(folder, "panels:", "  My-Letterer: fonts/old.ttf\npanels:", 5)
    assert (message, fix) == ("'My-Letterer' is the name of another face of the job", "give it another name")
    many = "".join(f"  face {n}: fonts/old.ttf\n" for n in range(20))
    message, fix = refusal(folder, "panels:", f"{many}panels:", 24)
    assert "more than 20 faces in one job" in message and "leave out" in fix


def test_the_advised_entry_is_taken(folder: Path) -> None:
    _, fix = refusal(folder, "face: my letterer", "face: fonts/old.ttf", 14)
    assert "faces: {my letterer: fonts/old.ttf}" in fix
    assert lettering_of(loaded(folder, "faces:\n  my letterer: fonts/old.ttf", "faces: {my letterer: fonts/old.ttf}"))


def test_an_included_file_and_a_variant_bring_faces_too(folder: Path) -> None:
    (folder / "fonts" / "common.yaml").write_text("faces: {my letterer: old.ttf}\n", encoding="utf-8")
    job = loaded(folder, "faces:\n  my letterer: fonts/old.ttf\n", "include: fonts/common.yaml\n")
    assert job.faces[0][0] == "fonts/old.ttf"
    shutil.copy(TARGETS / "dosis-700.ttf", folder / "fonts" / "new.ttf")
    (folder / "job.yaml").write_text(
        f"{JOB}variants:\n  late: {{faces: {{my letterer: fonts/new.ttf}}}}\n", encoding="utf-8"
    )
    one, other = (load_job(folder / "job.yaml", variant) for variant in (None, "late"))
    assert lettering_of(one).face != lettering_of(other).face


@pytest.mark.parametrize(
    ("bits", "told"), [(2, "does not allow the font itself"), (0x200, "allows only bitmaps of it")]
)
def test_what_its_maker_forbids_is_a_note_with_its_place(
    folder: Path, bits: int, told: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    # OpenType 1.9, OS/2, fsType.
    font = TTFont(folder / "fonts" / "old.ttf")
    font["OS/2"].fsType = bits
    font.save(folder / "fonts" / "old.ttf")
    monkeypatch.chdir(folder)
    job = loaded(folder)
    (note,) = [one for one in job.notes if one.code == "face-rights"]
    assert told in note.message and note.place is not None and note.place.line == 4
    run: Run = runner(capsys)
    said = run("check", "-v", "job.yaml")
    assert "decalgen puts no font into a file, it prints outlines as artwork" in said.out
    assert "read in its licence whether it may be used so" in said.out


def test_no_font_is_in_what_is_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(folder)
    loaded(
        folder,
        "film: clear\n    artwork:\n      - lettering: {text: HILL, face: my letterer, cap height: 3 mm, ink: white}",
        "film: white\n    artwork: [{lettering: {text: HILL, face: my letterer, cap height: 3 mm, ink: black}}]",
    )
    run: Run = runner(capsys)
    assert run("sheet", "job.yaml", "-o", "own.pdf", "--film", "white A5", "--without-proof", "a trial").code == 0
    data = (folder / "own.pdf").read_bytes()
    assert b"/FontFile" not in data and b"/Font" not in data.replace(b"/FontInfo", b"")
