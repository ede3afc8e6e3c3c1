"""Small lettering beside the same opened for the printer: which letterings, with which figures, and the files."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
import shapely

from decalgen.core.document import Fill, Use
from decalgen.job.model import Printer
from decalgen.pages.lettering_preview import least, letters_picture, pairs
from decalgen.shapes.base import At, Box, Element, ShapeError
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Arc
from tests.helpers import jobs
from tests.helpers.commands import runner

SMALL = {"ink": "navy", "cap_height": 0.9}
PRINTER = Printer()


def decal(*letterings: Lettering) -> jobs.Decal:
    return jobs.decal("sign", 40.0, 20.0, *(Element(one, At()) for one in letterings))


def gaps(lettering: Lettering) -> list[float]:
    return [a.region.distance(b.region) for a, b in pairwise(lettering.block.letters)]


def narrower(lettering: Lettering, width: float) -> bool:
    """Whether a stroke of some letter vanishes when half the width is taken off each edge."""
    parts = [part for letter in lettering.block.letters for part in letter.region.geoms]
    return any(part.buffer(-width / 2).is_empty for part in parts)


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"width": 12.0},
        {"justify": True, "width": 12.0},
        {"arc": Arc(5.0)},
        {"arc": Arc(5.0, "inside")},
        {"start": (1.0, 1.0), "end": (13.0, 3.0)},
    ],
    ids=["plain", "to a width", "justified", "arc", "inside an arc", "between points"],
)
def test_opened_letters_keep_what_the_printer_holds_wherever_they_stand(more: dict[str, object]) -> None:
    # Distances by shapely between whole letters, not by the routine that opens them.
    opened = Lettering(("HARBOUR",), compensate=True, **SMALL, **more)  # type: ignore[arg-type]
    assert min(gaps(opened)) >= 0.97 * 0.20
    assert not narrower(opened, 0.97 * 0.15)
    stroke, gap = least(opened)
    assert stroke >= 0.97 * 0.15
    assert gap >= 0.97 * 0.20


@pytest.mark.parametrize("face", ["Archivo", "Oswald", "Overpass", "Saira", "Roboto Flex", "Roboto Slab", "Block"])
def test_at_a_cap_height_of_one_millimetre_a_word_gets_the_least_stroke_and_gap(face: str) -> None:
    # 0.15 and 0.20 mm at 600 dpi: common practice, no source.
    opened = Lettering(("HARBOUR",), "navy", 1.0, face=face, compensate=True)
    assert min(gaps(opened)) >= 0.97 * 0.20
    for letter in opened.block.letters:
        part = letter.region
        assert not narrower(opened, 0.97 * 0.15)
        # Counters: a disc as wide as the least gap, less a hair, goes into each.
        holes = [shapely.Polygon(ring) for polygon in part.geoms for ring in polygon.interiors]
        assert all(not hole.buffer(-0.97 * 0.20 / 2).is_empty for hole in holes), letter.text
        h = letter.region.bounds[3]
        assert letter.text not in "HBR" or h == pytest.approx(1.0, rel=0.01)


def test_a_place_too_short_for_opened_letters_is_said() -> None:
    short = Lettering(("HARBOUR",), justify=True, width=5.2, compensate=True, **SMALL)  # type: ignore[arg-type]
    assert [one.fits for one in short.block.printable] == [False]
    assert least(short)[1] == pytest.approx(min(gaps(short)), abs=0.003)


def test_reversed_letters_swap_stroke_and_gap() -> None:
    # Bare letters: what lies between them is ink, and must be as wide as a stroke.
    opened = Lettering(("OUT",), reversed=True, compensate=True, **SMALL)  # type: ignore[arg-type]
    size = opened.extent(Box(40, 40))
    (field,) = opened.draw(size)
    assert not narrower(opened, 0.97 * 0.20)
    assert min(gaps(opened)) >= 0.97 * 0.15
    stroke, gap = least(opened)
    assert stroke == pytest.approx(0.15, abs=0.02)
    assert gap >= 0.97 * 0.20
    assert field.region.intersection(opened.block.region).area < size.width * size.height


def test_a_dash_and_a_full_stop_get_bolder_too() -> None:
    plain = Lettering(("No. 1-4",), "navy", 0.8, face="Oswald")
    opened = Lettering(("No. 1-4",), "navy", 0.8, face="Oswald", compensate=True)
    for sign in ".-":
        thin, bold = (next(x.region for x in one.block.letters if x.text == sign) for one in (plain, opened))
        assert bold.bounds[3] - bold.bounds[1] > thin.bounds[3] - thin.bounds[1]
        assert bold.bounds[3] - bold.bounds[1] >= 0.97 * 0.15


def test_a_joined_script_stays_joined() -> None:
    opened = Lettering(("ake",), "navy", 2.6, face="Lobster", compensate=True)
    assert min(gaps(opened)) == 0.0
    assert least(opened)[1] > 0


def test_widened_letters_keep_an_even_look() -> None:
    plain = Lettering(("OSTMERROW",), "navy", 0.9, face="Oswald")
    opened = Lettering(("OSTMERROW",), "navy", 0.9, face="Oswald", compensate=True)
    wider = [
        (b.right - b.left) / (a.right - a.left) for a, b in zip(plain.block.letters, opened.block.letters, strict=True)
    ]
    assert min(wider) > 1.15
    heights = [letter.region.bounds[3] - letter.region.bounds[1] for letter in opened.block.letters]
    assert heights == pytest.approx([x.region.bounds[3] - x.region.bounds[1] for x in plain.block.letters], rel=0.02)


def test_only_what_is_small_or_asks_for_it_is_shown() -> None:
    small = Lettering(("SMALL",), **SMALL)  # type: ignore[arg-type]
    large = Lettering(("LARGE",), "navy", 4.0)
    asked = Lettering(("ASKED",), "navy", 1.2, compensate=True)
    found = pairs(decal(small, large, asked), PRINTER)
    assert [(one.plain.text, one.asked) for one in found] == [(("SMALL",), False), (("ASKED",), True)]
    assert all(one.opened.compensate and not one.plain.compensate for one in found)
    assert letters_picture(decal(large), jobs.job(), PRINTER, None) is None


def test_both_are_drawn_to_one_scale_side_by_side() -> None:
    one = Lettering(("HARBOUR",), **SMALL)  # type: ignore[arg-type]
    picture = letters_picture(decal(one), jobs.job(), PRINTER, None)
    assert picture is not None
    (page,) = picture.pages
    items = [item for layer in page.layers for item in layer.items]
    words = [item.region for item in items if isinstance(item, Fill) and len(shapely.get_parts(item.region)) == 7]
    (pair,) = pairs(decal(one), PRINTER)
    wide = [word.bounds[2] - word.bounds[0] for word in words]
    assert wide[0] / pair.plain.block.width == pytest.approx(wide[1] / pair.opened.block.width, rel=1e-3)
    assert wide[0] > 5 * pair.plain.block.width
    assert words[0].bounds[2] < words[1].bounds[0]
    assert any(isinstance(item, Use) for item in items)


def test_draw_writes_the_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    text = (
        "job: tug\nbody: white\nfilm: white\ninks: {navy: {colour: '#1d2b4a'}}\n"
        "panels: {door: {width: 40 mm, height: 20 mm}}\ndecals:\n"
        "  sign: {panel: door, width: 30 mm, height: 8 mm, artwork: [\n"
        "    lettering: {text: HARBOUR, cap height: 0.9 mm, ink: navy}]}\n"
    )
    Path("tug.yaml").write_text(text, encoding="utf-8")
    run = runner(capsys)
    assert run("draw", "tug.yaml", "-o", "pictures", "--as", "svg").code == 0
    drawn = Path("pictures/tug-sign-letters.svg").read_text(encoding="utf-8")
    assert drawn.count("<") > 20
    Path("tug.yaml").write_text(text.replace("0.9 mm", "3 mm"), encoding="utf-8")
    assert run("draw", "tug.yaml", "-o", "larger", "--as", "svg").code == 0
    assert not list(Path("larger").glob("*letters*"))


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ("match: {cap height: 0.9 mm}", "would change them"),
        ("fit: yes, width: 9 mm, height: 3 mm", "looks for the size"),
    ],
)
def test_where_it_makes_no_sense_it_is_refused_with_a_place(
    more: str, says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(
        "job: tug\nbody: white\nfilm: white\ninks: {navy: {colour: '#1d2b4a'}}\n"
        "panels: {door: {width: 40 mm, height: 20 mm}}\ndecals:\n"
        "  sign: {panel: door, width: 30 mm, height: 8 mm, artwork: [\n"
        f"    lettering: {{text: HARBOUR, ink: navy, compensate: yes, {more}}}]}}\n",
        encoding="utf-8",
    )
    said = runner(capsys)("check", "tug.yaml")
    assert said.code == 2
    assert "tug.yaml:8:" in said.text
    assert says in said.text
    assert "fix:" in said.text
    with pytest.raises(ShapeError):
        Lettering(("A",), "navy", fit=True, width=9.0, height=3.0, compensate=True)
