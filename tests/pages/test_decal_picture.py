"""The picture of a decal alone: its dimensions stand beside the film, whatever part of the film the artwork takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.artwork.build import build
from decalgen.core.document import Line
from decalgen.job.loader import load_job
from decalgen.pages.decal_and_panel import decal_picture

JOB = """\
job: rally
body: grey
film: white
inks: {{red: "#b3261e"}}
panels:
  wing: {{width: 19 mm, height: 9 mm}}
decals:
  stripe: {{panel: wing, width: {width}, height: {height}, at: {at}, cut: panel, artwork: [field: {{ink: red}}]}}
"""


@pytest.mark.parametrize("at", ["centre", "bottom left", "top right"])
@pytest.mark.parametrize(
    ("width", "height"), [("19 mm", "5 mm"), ("5 mm", "9 mm"), ("4 mm", "3 mm"), ("19 mm", "9 mm")]
)
def test_dimensions_lie_on_the_page_and_clear_of_the_film(tmp_path: Path, width: str, height: str, at: str) -> None:
    (tmp_path / "rally.yaml").write_text(JOB.format(width=width, height=height, at=at), encoding="utf-8")
    job = load_job(tmp_path / "rally.yaml")
    (page,) = decal_picture(build(job, job.decals[0]), job, None).pages
    drawn = [item for layer in page.layers for item in layer.items if isinstance(item, Line)]
    assert len(drawn) > 4
    xs, ys = zip(*(point for line in drawn for point in line.points), strict=True)
    assert min(xs) > 0 and max(xs) < page.width and min(ys) > 0 and max(ys) < page.height
