"""A picture named in a job file: where it is read from, its size, its outline; each mistake in one sentence with place
and fix."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image

from decalgen.artwork.build import build
from decalgen.core.errors import JobError
from decalgen.job.loader import load_job
from decalgen.job.model import Job
from decalgen.shapes.base import Box
from decalgen.shapes.picture import OwnPicture
from tests.helpers.pictures import emblem, photograph, saved

JOB = """\
job: emblem
body: navy
panels:
  door: {width: 30 mm ± 0.05, height: 20 mm ± 0.05}
decals:
  emblem:
    panel: door
    hands: both
    cut: artwork
    film: white
    bleed: 0 mm
    artwork:
      - picture: {PICTURE}
"""
EMBLEM = saved(emblem(200))
PHOTO = saved(photograph(400, 300), "JPEG")


def loaded(folder: Path, picture: str = "{file: emblem.png, width: 10 mm}", data: bytes | None = EMBLEM) -> Job:
    (folder / "job.yaml").write_text(JOB.replace("{PICTURE}", picture), encoding="utf-8")
    if data is not None:
        (folder / "emblem.png").write_bytes(data)
    return load_job(folder / "job.yaml")


def shape_of(job: Job) -> OwnPicture:
    shape = job.decals[0].artwork[0].shape
    assert isinstance(shape, OwnPicture)
    return shape


def refusal(folder: Path, picture: str, data: bytes | None = EMBLEM) -> tuple[str, str]:
    """The one mistake: what is wrong, and the fix; in the line that names the picture."""
    with pytest.raises(JobError) as error:
        loaded(folder, picture, data)
    (problem,) = error.value.problems
    assert problem.place is not None and problem.place.line == 13 and problem.place.file.endswith("job.yaml")
    return problem.message.replace(str(folder), "FOLDER"), problem.fix.replace(str(folder), "FOLDER")


@pytest.mark.parametrize(
    ("given", "expected"),
    [("width: 12 mm", (12, 9)), ("height: 12 mm", (16, 12)), ("width: 12 mm, height: 12 mm", (12, 12))],
)
def test_sizes(tmp_path: Path, given: str, expected: tuple[float, float]) -> None:
    shape = shape_of(loaded(tmp_path, f"{{file: emblem.png, {given}}}", PHOTO))
    assert shape.extent(Box(30, 20)) == pytest.approx(expected, abs=1e-9)
    (inked,) = shape.draw(shape.extent(Box(30, 20)))
    assert inked.region.bounds == pytest.approx((0, 0, *expected), abs=1e-9)


def test_its_resolution_in_the_file_changes_nothing(tmp_path: Path) -> None:
    shape = shape_of(loaded(tmp_path, data=saved(photograph(), dpi=(72, 72))))
    assert shape.extent(Box(30, 20)) == pytest.approx((10, 7.5))


def test_the_cut_line_runs_along_its_alpha_within_a_sixth_of_a_pixel(tmp_path: Path) -> None:
    art = build(loaded(tmp_path), loaded(tmp_path).decals[0], "left")
    # A disc of four tenths of the side of 200 pixels: at 10 mm its radius is 4 mm, and a pixel is 0.05 mm.
    points = shapely.get_coordinates(art.cut_polygon)
    off = np.hypot(points[:, 0] - art.width / 2, points[:, 1] - art.height / 2) - 4.0
    assert abs(off).max() < 0.05 / 6


@pytest.mark.parametrize(("outline", "area"), [("box", 75.0), ("ellipse", np.pi * 5.0 * 3.75)])
def test_box_and_ellipse(tmp_path: Path, outline: str, area: float) -> None:
    shape = shape_of(loaded(tmp_path, f"{{file: emblem.png, width: 10 mm, outline: {outline}}}", PHOTO))
    (inked,) = shape.draw(shape.extent(Box(30, 20)))
    assert inked.region.area == pytest.approx(area, rel=2e-4)


@pytest.mark.parametrize(
    ("words", "left", "right"),
    [("", False, False), (", handed: yes", False, True), (", mirror: yes", True, True),
     (", mirror: yes, handed: yes", True, False)],
)  # fmt: skip
def test_it_is_mirrored_only_where_it_is_asked_to_be(tmp_path: Path, words: str, left: bool, right: bool) -> None:
    job = loaded(tmp_path, f"{{file: emblem.png, width: 10 mm{words}}}", saved(photograph(40, 30)))
    plain = np.asarray(photograph(40, 30))
    for hand, turned in (("left", left), ("right", right)):
        (inked,) = build(job, job.decals[0], hand).printed  # type: ignore[arg-type]
        assert inked.picture is not None and inked.picture.matrix[0] > 0
        shown = np.frombuffer(inked.picture.pixels.rgb, np.uint8).reshape(30, 40, 3)
        assert (shown == (plain[:, ::-1] if turned else plain)).all()


def test_in_the_other_hand_it_lies_at_the_mirrored_spot(tmp_path: Path) -> None:
    (tmp_path / "emblem.png").write_bytes(PHOTO)
    text = JOB.replace("    cut: artwork\n", "    width: 20 mm\n    height: 10 mm\n").replace(
        "{PICTURE}", "{file: emblem.png, width: 4 mm, at: left + 1 mm}"
    )
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    job = load_job(tmp_path / "job.yaml")
    for hand, x in (("left", 1.0), ("right", 15.0)):
        (inked,) = build(job, job.decals[0], hand).printed  # type: ignore[arg-type]
        assert inked.region.bounds == pytest.approx((x, 3.5, x + 4, 6.5))
        assert inked.picture is not None and inked.picture.matrix == pytest.approx((4, 0, 0, 3, x, 3.5))


def test_it_belongs_to_the_job(tmp_path: Path) -> None:
    job = loaded(tmp_path)
    assert [name for name, _ in job.pictures] == ["emblem.png"]
    same, other = loaded(tmp_path), loaded(tmp_path, data=saved(emblem(200, seed=8)))
    assert job.digest == same.digest != other.digest
    one, two = (build(each, each.decals[0], "left") for each in (job, other))
    assert one.digest != two.digest and one.cut_polygon.equals(two.cut_polygon)


def test_beyond_the_cut_line_its_colours_run_on(tmp_path: Path) -> None:
    plain = loaded(tmp_path)
    text = (tmp_path / "job.yaml").read_text(encoding="utf-8").replace("bleed: 0 mm", "bleed: 0.5 mm")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    job = load_job(tmp_path / "job.yaml")
    (inside,), (grown,) = (build(each, each.decals[0], "left").printed for each in (plain, job))
    assert grown.region.area == pytest.approx(np.pi * 4.5**2, rel=0.002)
    assert inside.picture is not None and grown.picture is not None and grown.picture.pixels.alpha is None
    # A pixel is 0.05 mm: the rim adds whole pixels, and inside nothing moves.
    a, _, _, _, e, _ = grown.picture.matrix
    rim = (grown.picture.pixels.width - 200) // 2
    assert a == pytest.approx(grown.picture.pixels.width * 0.05) and e == pytest.approx(
        inside.picture.matrix[4] - rim * 0.05
    )
    own = np.asarray(emblem(200))
    spread = np.frombuffer(grown.picture.pixels.rgb, np.uint8).reshape(*[200 + 2 * rim] * 2, 3)[rim:-rim, rim:-rim]
    assert (spread[own[..., 3] == 255] == own[..., :3][own[..., 3] == 255]).all()
    # Just beyond the rim of the disc the colour is that of the rim, to within what a wave of colour changes there.
    assert abs(spread[100, 184].astype(int) - own[100, 178, :3].astype(int)).max() < 30


ANY = "save it as PNG in your picture program"


@pytest.mark.parametrize(
    ("picture", "data", "message", "fix"),
    [
        ("{file: emblem.png, width: 9 mm}", None, "there is no file 'FOLDER/emblem.png'",
         "name a picture: a PNG, JPEG or TIFF file"),
        ("{file: emblems.png, width: 9 mm}", EMBLEM, "there is no file 'FOLDER/emblems.png'",
         "did you mean 'FOLDER/emblem.png'?"),
        ("{file: ../emblem.png, width: 9 mm}", EMBLEM, "'../emblem.png' is outside the job's folder",
         "copy the file beside the job"),
        ("{file: /etc/passwd, width: 9 mm}", EMBLEM, "'/etc/passwd' is outside the job's folder",
         "copy the file beside the job"),
        ("{file: emblem.png}", EMBLEM, "the picture 'emblem.png' has no size",
         "write its width or its height, such as width: 12 mm"),
        ("{file: job.yaml, width: 9 mm}", EMBLEM, "'job.yaml' is not a PNG, JPEG or TIFF picture", ANY),
        ("{file: emblem.png, width: 9 mm}", b"", "'emblem.png' is not a PNG, JPEG or TIFF picture", ANY),
        ("{file: emblem.png, width: 9 mm, outline: alpha}", PHOTO,
         "nothing shows through 'emblem.png': it has no alpha", "write outline: box, or outline: ellipse"),
        ("{file: emblem.png, width: 9 mm}", saved(Image.new("RGBA", (20, 20))),
         "nothing of the picture 'emblem.png' is seen: its alpha covers nothing", "write outline: box"),
        ("{width: 9 mm}", EMBLEM, "the shape 'picture' has no 'file'", "add file: emblem.png"),
        ("{file: [a, b], width: 9 mm}", EMBLEM, "the name of a file is needed", "write one name, such as emblem.png"),
    ],
)  # fmt: skip
def test_mistakes(tmp_path: Path, picture: str, data: bytes | None, message: str, fix: str) -> None:
    assert refusal(tmp_path, picture, data) == (message, fix)


def test_a_file_cut_short_is_told(tmp_path: Path) -> None:
    message, fix = refusal(tmp_path, "{file: emblem.png, width: 9 mm}", EMBLEM[:4000])
    assert message.startswith("the picture 'emblem.png' cannot be read: ") and "cut short" in fix


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "inside").mkdir()
    (tmp_path / "secret.png").write_bytes(EMBLEM)
    (tmp_path / "inside" / "emblem.png").symlink_to(tmp_path / "secret.png")
    message, _ = refusal(tmp_path / "inside", "{file: emblem.png, width: 9 mm}", None)
    assert message == "'emblem.png' is outside the job's folder"


def test_a_file_too_large_is_not_read(tmp_path: Path) -> None:
    with (tmp_path / "emblem.png").open("wb") as file:
        file.truncate(30_100_000)
    message, _ = refusal(tmp_path, "{file: emblem.png, width: 9 mm}", None)
    assert message == "'FOLDER/emblem.png' is too large: 30.1 MB, at most 30 MB is read"


def test_as_seen_is_refused_on_a_bent_panel(tmp_path: Path) -> None:
    from decalgen.shapes.base import ShapeError

    loaded(tmp_path)
    text = (tmp_path / "job.yaml").read_text(encoding="utf-8")
    text = text.replace("{width: 30 mm ± 0.05, height: 20 mm ± 0.05}", "{chord: 30 mm, rise: 3 mm, length: 20 mm}")
    (tmp_path / "job.yaml").write_text(text.replace("    bleed: 0 mm\n", "    as seen: yes\n"), encoding="utf-8")
    job = load_job(tmp_path / "job.yaml")
    with pytest.raises(ShapeError, match="a picture cannot be drawn as it is seen on a bent panel"):
        build(job, job.decals[0], "left")
