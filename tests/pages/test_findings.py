"""The picture of what a check found: marks where the faults are, a number each, a key with every finding."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path as FilePath

import numpy as np
import pytest
from PIL import Image
from shapely.geometry import box

from decalgen.artwork.build import build_all
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill
from decalgen.core.geometry import IDENTITY
from decalgen.export import render
from decalgen.job.model import Decal, Hand, Job
from decalgen.pages.findings import AROUND, LEAST, findings_picture, merged
from decalgen.preflight import on_decal
from tests.commands.test_check_json import JOB
from tests.helpers import jobs
from tests.helpers.commands import Run, runner

GROUND = jobs.element("field", ink="white")
"""Film that is meant to be bare."""
HAIR = jobs.element("stripe", stripe_width=0.1, ink="navy", length=4.0, at=jobs.At("top left", 2.0, -1.0))


def drawn(decal: Decal, hand: Hand | None = None, job: Job | None = None) -> Document:
    job = job or jobs.job(decal)
    parts = build_all(job, decal, hand)
    return findings_picture(parts, on_decal(parts, decal, job, jobs.PRINTER), decal, job, "2026-11-25")


def rings(document: Document, colour: str) -> list[tuple[float, float, float, float]]:
    """The rectangles of all marks in one colour."""
    (page,) = document.pages
    paths = [item for layer in page.layers for item in layer.items if isinstance(item, Contour)]
    return [path.outline.polygon.bounds for path in paths if path.colour == colour]


def cut(document: Document) -> tuple[float, float, float, float]:
    """Where the film of the decal is drawn: the first fill of white that is not the window."""
    (page,) = document.pages
    whites = [i for i in page.layers[0].items if isinstance(i, Fill) and i.colour == "#ffffff"]
    return whites[1].region.bounds


@pytest.mark.parametrize(("hand", "left"), [("left", 2.0), ("right", 14.0)])
def test_a_mark_lies_where_the_fault_is_on_either_hand(hand: Hand, left: float) -> None:
    """20 x 8 mm at 6 : 1; the hairline runs from 2 to 6 mm of the left hand, mirrored on the right."""
    document = drawn(jobs.decal("band", 20.0, 8.0, GROUND, HAIR, hands="both"), hand)
    x0, y0, x1, _ = cut(document)
    assert x1 - x0 == pytest.approx(120.0)
    (mark,) = rings(document, style.WARNING)
    # A tenth of a millimetre round the line; its height on the page is the least of a mark.
    assert mark[0] == pytest.approx(x0 + 6 * (left - 0.1), abs=0.02)
    assert mark[2] == pytest.approx(x0 + 6 * (left + 4.1), abs=0.02)
    assert mark[3] - mark[1] == pytest.approx(LEAST, abs=0.02)
    assert (mark[1] + mark[3]) / 2 == pytest.approx(y0 + 6 * (8.0 - 1.0 - 0.05), abs=0.02)


def test_what_reaches_over_the_panel_is_marked_in_the_colour_of_an_error() -> None:
    decal = jobs.decal("band", 66.0, 8.0, jobs.element("field", ink="navy"))
    document = drawn(decal)
    x0, _, x1, _ = cut(document)
    scale = (x1 - x0) / 66.0
    over = sorted(rings(document, style.ERROR))
    # 66 on 60 mm: 3 mm on either side.
    assert [mark[0] for mark in over] == [pytest.approx(x0 - 0.1 * scale), pytest.approx(x1 - 3.1 * scale)]
    assert [mark[2] for mark in over] == [pytest.approx(x0 + 3.1 * scale), pytest.approx(x1 + 0.1 * scale)]


def test_every_finding_stands_in_the_key_and_nothing_leaves_the_page() -> None:
    word = jobs.element("lettering", text=("STORES",), cap_height=0.7, ink="navy", at=jobs.At("bottom", 0.0, 1.0))
    decal = jobs.decal("band", 20.0, 8.0, GROUND, HAIR, word)
    few, many = drawn(jobs.decal("band", 20.0, 8.0, GROUND, HAIR)), drawn(decal)
    assert many.pages[0].height > few.pages[0].height + 8
    page = many.pages[0]
    whole = box(0, 0, page.width, page.height)
    fills = [item for layer in page.layers for item in layer.items if isinstance(item, Fill)]
    assert all(whole.contains(fill.region) for fill in fills)


def test_spots_near_each_other_share_a_mark() -> None:
    near, far = (0.0, 0.0, 4.0, 4.0), (20.0, 0.0, 24.0, 4.0)
    assert [p.bounds for p in merged([near, (5.0, 1.0, 8.0, 3.0), far], IDENTITY)] == [(0, 0, 8, 4), far]
    (small,) = merged([(1.0, 1.0, 1.2, 5.0)], IDENTITY)
    assert small.bounds == pytest.approx((1.1 - LEAST / 2, 1.0, 1.1 + LEAST / 2, 5.0))
    # One that bridges two others joins all three.
    assert len(merged([near, (9.0, 0.0, 12.0, 4.0), (5.0, 0.0, 8.0, 4.0)], IDENTITY)) == 1


def test_numbers_do_not_lie_over_each_other() -> None:
    decal = jobs.decal("band", 20.0, 8.0, *(
        jobs.element("stripe", stripe_width=0.1, ink=ink, length=1.5, at=jobs.At("top left", 2.0 + 2.2 * n, -1.0))
        for n, ink in enumerate(("navy", "orange", "green"))
    ))  # fmt: skip
    data = render(drawn(decal), ".png", dpi=100)[0]
    with Image.open(BytesIO(data)) as image:
        dots = np.asarray(image.convert("RGB")).astype(int)
    amber = np.array([int(style.WARNING[i : i + 2], 16) for i in (1, 3, 5)])
    # Three discs of 2.1 mm in the picture (the key has its own below), less their figures.
    _, y0, _, _ = cut(drawn(decal))
    page = drawn(decal).pages[0]
    foot = round((page.height - y0 + AROUND) / 25.4 * 100)
    hit = (np.abs(dots[:foot] - amber).sum(axis=2) < 12).sum() * 0.254**2
    assert hit > 3 * 3.14159 * 2.1**2 * 0.7


def test_the_command_draws_those_with_findings_alone(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    run: Run = runner(capsys)
    clean = "  clean:\n    panel: door\n    width: 5 mm\n    height: 5 mm\n    artwork: [field: {ink: black}]\n"
    FilePath("tug.yaml").write_text(JOB + clean, encoding="utf-8")
    said = run("draw", "tug.yaml", "-o", "out", "--findings", "--as", "svg")
    assert said.code == 0
    found = sorted(path.name for path in FilePath("out").glob("*-findings.svg"))
    assert found == ["tug-band-left-findings.svg", "tug-band-right-findings.svg"]
    plain = run("draw", "tug.yaml", "-o", "plain", "--as", "svg")
    assert plain.code == 0
    assert not list(FilePath("plain").glob("*-findings.svg"))


def test_what_lies_beside_the_decal_is_in_the_picture() -> None:
    """A word of which nothing lies on the decal: its box is ringed where it is, and numbered, all of it on the page."""
    lettering = jobs.element("lettering", jobs.At("left", 26.0, 0.0), text=("ROW",), ink="navy", cap_height=2.0)
    document = drawn(jobs.decal("band", 20.0, 8.0, jobs.element("field", ink="orange"), lettering))
    x0, _, x1, _ = cut(document)
    scale = (x1 - x0) / 20.0
    marks = rings(document, style.ERROR)
    (mark,) = marks
    assert mark[0] == pytest.approx(x0 + 26.0 * scale, abs=0.5)
    assert mark[2] < document.pages[0].width - AROUND / 2


def test_a_place_far_away_is_marked_at_the_edge_of_the_picture() -> None:
    lettering = jobs.element("lettering", jobs.At("left", 900.0, 0.0), text=("ROW",), ink="navy", cap_height=2.0)
    document = drawn(jobs.decal("band", 20.0, 8.0, jobs.element("field", ink="orange"), lettering))
    (mark,) = rings(document, style.ERROR)
    x0, _, x1, _ = cut(document)
    assert x1 - x0 > 20.0
    assert mark[0] > 0 and mark[2] < document.pages[0].width
