"""Own pictures on the page: told of by an address, served by their content, read anew when they change."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.pictures import Drawings, decal_data
from decalgen.bench.shown_pixels import MOST_KEPT, ShownPixels
from decalgen.core.pixels.decode import pixels_of
from decalgen.shapes.base import InkedPicture
from tests.bench.small_job import JOB
from tests.helpers.pictures import colours, emblem, photograph, saved


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    (tmp_path / "emblem.png").write_bytes(saved(emblem(60)))
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.replace("field: {ink: teal}", "picture: {file: emblem.png, width: 2 mm}"), encoding="utf-8")
    return Desk(path)


def test_a_decal_is_told_with_the_address_of_its_picture_and_its_place(desk: Desk, inside: TestClient) -> None:
    assert desk.job is not None
    told = decal_data(Drawings(), desk.job, desk.job.decals[0], None)
    (ink,) = told["inks"]
    # From the unit square with rows down to a picture of 2 × 2 mm in the middle of 20 × 2 mm, in micrometres.
    assert ink["picture"]["matrix"] == [2000, 0, 0, -2000, 9000, 2000]
    answer = inside.get(ink["picture"]["src"])
    assert answer.status_code == 200 and answer.headers["content-type"] == "image/png"
    shown = np.asarray(Image.open(BytesIO(answer.content)).convert("RGBA"))
    own = np.asarray(emblem(60))
    assert (shown[own[..., 3] == 255] == own[own[..., 3] == 255]).all()


def test_only_what_the_page_was_told_of_is_served_and_only_to_who_was_let_in(
    desk: Desk, inside: TestClient, client: TestClient
) -> None:
    assert desk.job is not None
    address = decal_data(Drawings(), desk.job, desk.job.decals[0], None)["inks"][0]["picture"]["src"]
    for wrong in ("/pixels/emblem.png", f"/pixels/{'0' * 32}.png", "/pixels/..%2f..%2femblem.png", "/pixels/.png"):
        assert inside.get(wrong).status_code == 404
    assert inside.get(address, headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert inside.get(address, headers={"host": "example.org"}).status_code == 421
    client.cookies.clear()
    assert client.get(address).status_code == 401


def test_a_large_picture_is_shown_smaller_and_the_oldest_is_let_go() -> None:
    shown = ShownPixels()
    large = InkedPicture("a.png", pixels_of(Image.fromarray(colours(3000, 1500))), (1.0, 0.0, 0.0, 1.0, 0.0, 0.0))

    def name(picture: InkedPicture) -> str:
        return str(shown.told(picture)["src"]).removeprefix("/pixels/").removesuffix(".png")

    first = name(large)
    data = shown.png(first)
    assert data is not None and Image.open(BytesIO(data)).size == (1024, 512)
    for seed in range(MOST_KEPT):
        name(InkedPicture("b.png", pixels_of(photograph(8, 6, seed)), large.matrix))
    assert shown.png(first) is None


def test_a_job_is_read_anew_when_a_picture_it_names_changes_or_goes(desk: Desk, tmp_path: Path) -> None:
    assert desk.job is not None and not desk.look_beside()
    before = desk.job.digest
    (tmp_path / "emblem.png").write_bytes(saved(emblem(60, seed=9)))
    assert desk.look_beside() and desk.job.digest != before
    (tmp_path / "emblem.png").write_bytes(b"no picture")
    assert desk.look_beside() and "is not a PNG, JPEG or TIFF picture" in desk.problems[0].message
    (tmp_path / "emblem.png").unlink()
    assert desk.look_beside() and "there is no file" in desk.problems[0].message
    assert not desk.look_beside()
