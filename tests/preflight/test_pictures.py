"""What is found about own pictures."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from decalgen.core.errors import Finding
from decalgen.core.pixels.values import PictureData
from decalgen.shapes.picture_outline import PictureCurve, PictureOutline
from tests.helpers.checks import check_jobs
from tests.helpers.jobs import PRINTER, decal, element, job
from tests.helpers.pictures import disc, emblem, photograph, saved


def found_in(image: Image.Image, **keys: object) -> list[Finding]:
    """The findings about one picture in a group."""
    file = PictureData("emblem.png", saved(image))
    group = element("group", elements=(element("picture", file=file, **keys),), width=40.0, height=40.0)
    findings = check_jobs([job(decal("emblem", 40.0, 40.0, group))], PRINTER)
    return [one for one in findings if one.code.startswith("picture")]


@pytest.mark.parametrize(
    ("width", "code", "severity", "dpi"),
    [
        # Pixels to the inch are 25.4 times pixels over millimetres: 240 pixels in 20.32 mm are 300.
        (20.32, "picture", "note", 300),
        (15.0, "picture", "note", 406),
        (20.4, "picture-coarse", "note", 299),
        (40.64, "picture-coarse", "note", 150),
        (40.9, "picture-coarse", "warning", 149),
    ],
)
def test_how_fine_it_is_and_the_size_at_which_it_holds(width: float, code: str, severity: str, dpi: int) -> None:
    (found,) = found_in(photograph(240, 120), width=width)
    assert (found.code, found.severity, found.measured, found.unit) == (code, severity, dpi, "dpi")
    assert f"'emblem.png' is a picture at {dpi} dpi, no vector" in found.message
    if code == "picture-coarse":
        assert found.limit == 300 and "no larger than 20.32 × 10.16 mm" in found.fix


def test_what_is_finer_than_any_printer_needs_is_thinned_and_told() -> None:
    (found,) = found_in(photograph(1000, 800), width=20.0)
    assert found.message.endswith("1270 dpi, no vector, thinned to 599 for the files")


def test_a_width_and_a_height_that_stretch_it_are_told() -> None:
    stretched, _ = sorted(found_in(photograph(400, 300), width=20.0, height=20.0), key=lambda one: one.severity)[::-1]
    assert (stretched.code, stretched.severity) == ("picture-stretched", "warning")
    assert "at 20.00 mm wide it would be 15.00 mm high, not 20.00" in stretched.message
    assert [one.code for one in found_in(photograph(400, 300), width=20.0, height=15.0)] == ["picture"]


def test_specks_are_left_out_and_counted() -> None:
    image = np.asarray(emblem(400)).copy()
    image[5:8, 5:8, 3] = 255
    image[390:392, 20:30, 3] = 255
    specks, _ = sorted(found_in(Image.fromarray(image), width=20.0), key=lambda one: one.code)[::-1]
    assert (specks.code, specks.measured) == ("picture-specks", 2)
    # A disc of 2 mm apart from the rest is no speck.
    image[:, :, 3] = np.maximum(disc(400, (150, 200), 100), disc(400, (350, 200), 20))
    assert [one.code for one in found_in(Image.fromarray(image), width=20.0)] == ["picture"]


def test_a_profile_that_cannot_be_used_is_told() -> None:
    file = PictureData("emblem.png", saved(photograph(400, 300), icc_profile=b"no profile at all" * 30))
    findings = check_jobs([job(decal("emblem", 40.0, 40.0, element("picture", file=file, width=20.0)))], PRINTER)
    (told,) = [one for one in findings if one.code == "picture-colours"]
    assert told.message == "'emblem.png': its colour profile cannot be used: its colours are taken as sRGB"


def on_paper(paper: tuple[int, int, int] = (246, 243, 235), alpha: bool = False, side: int = 300) -> Image.Image:
    """A disc of colours scanned on paper, with a scanner's noise; ``alpha``: with a hole in its middle."""
    shown = emblem(side)
    image = Image.new("RGBA", (side, side), (*paper, 255))
    image.alpha_composite(shown)
    noisy = np.asarray(image).astype(int)
    noisy[..., :3] += np.random.default_rng(3).integers(-4, 5, (side, side, 3))
    if alpha:
        noisy[140:160, 140:160, 3] = 0
    found = Image.fromarray(noisy.clip(0, 255).astype(np.uint8))
    return found if alpha else found.convert("RGB")


def codes(image: Image.Image, film: str = "clear", **keys: object) -> list[str]:
    file = PictureData("scan.png", saved(image))
    one = decal("emblem", 40.0, 40.0, element("picture", file=file, width=20.0, **keys), film=film)
    return [f.code for f in check_jobs([job(one)], PRINTER) if f.code == "picture-paper"]


def test_paper_round_a_scan_is_told_on_clear_film() -> None:
    file = PictureData("scan.png", saved(on_paper()))
    one = decal("emblem", 40.0, 40.0, element("picture", file=file, width=20.0), film="clear")
    (told,) = [f for f in check_jobs([job(one)], PRINTER) if f.code == "picture-paper"]
    assert (told.severity, told.measured, told.limit, told.unit) == ("warning", 100, 95, "%")
    assert told.message.startswith("'scan.png' shows the paper round its artwork: 100 % of its edge is near white")
    assert "a cut outline or a cut curve along the artwork" in told.fix
    # An alpha that leaves the paper cuts none of it off.
    for outline in ("box", "alpha", None):
        assert codes(on_paper(alpha=True), outline=outline) == ["picture-paper"]
    # Paper that has yellowed is paper.
    assert codes(on_paper((236, 224, 204))) == ["picture-paper"]


def test_what_the_finding_says_mends_it() -> None:
    turns = [2 * np.pi * n / 8 for n in range(8)]
    round_it = tuple((10 + 8 * np.cos(t), 10 + 8 * np.sin(t)) for t in turns)
    assert not codes(on_paper(), cut_curve=PictureCurve(round_it))
    assert not codes(on_paper(), cut_outline=PictureOutline(round_it))
    assert not codes(emblem(300))


def test_no_paper_is_seen_where_there_is_none() -> None:
    """On white film, in colours to the edge, on a ground of pale ink, and on a blank sheet."""
    assert not codes(on_paper(), film="white")
    assert not codes(photograph(300, 300))
    assert not codes(on_paper((205, 235, 250)))
    assert not codes(Image.new("RGB", (300, 300), (250, 250, 250)))
    # Artwork that takes up 0.4 of a side, a tenth of the edge.
    touching = on_paper()
    touching.paste((30, 60, 120), (0, 100, 20, 220))
    assert not codes(touching)
