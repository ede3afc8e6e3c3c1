"""Artwork runs on only where the film ends: on film that goes on beyond the decal's box it keeps its size."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.artwork.build import build
from decalgen.job.loader import load_job

JOB = """\
job: rally
body: grey
film: white
inks: {{red: "#b3261e"}}
panels:
  wing: {{outline: [[0 mm, 0 mm], [19 mm, 0 mm], [19 mm, 9 mm], [0 mm, 9 mm]]}}
decals:
  stripe: {{panel: wing, width: {width}, height: 5 mm, cut: {cut}, artwork: [field: {{ink: red}}]}}
"""


@pytest.mark.parametrize(
    ("width", "cut", "wanted"),
    [
        # The film goes on above and below the band, and ends with it at the sides.
        ("panel.width", "panel", (-0.5, 0.0, 19.5, 5.0)),
        ("10 mm", "panel", (0.0, 0.0, 10.0, 5.0)),
        ("panel.width", "rectangle", (-0.5, -0.5, 19.5, 5.5)),
        ("10 mm", "artwork", (-0.5, -0.5, 10.5, 5.5)),
        (
            "10 mm",
            "{kind: outline, points: [[-1 mm, 0 mm], [10 mm, 0 mm], [10 mm, 6 mm], [-1 mm, 6 mm]]}",
            (0.0, -0.5, 10.5, 5.0),
        ),
    ],
)
def test_a_field_is_as_high_as_it_was_asked_for(
    tmp_path: Path, width: str, cut: str, wanted: tuple[float, float, float, float]
) -> None:
    (tmp_path / "rally.yaml").write_text(JOB.format(width=width, cut=cut), encoding="utf-8")
    job = load_job(tmp_path / "rally.yaml")
    (printed,) = build(job, job.decals[0]).printed
    assert printed.region.bounds == pytest.approx(wanted, abs=1e-6)
