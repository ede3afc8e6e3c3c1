"""Panels read from generated tape templates: corners within what each says of itself, doubts said, suspects named."""

from __future__ import annotations

import io
import sys
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image, ImageDraw

from decalgen.colour.spaces import coded_of, decoded
from decalgen.commands.template_into import PanelHome, with_panel
from decalgen.core.pixels.values import PictureData
from decalgen.job.edits import values
from decalgen.scan.light import read_scan
from decalgen.scan.measuring import ScanRequest
from decalgen.scan.scale import by_dpi
from decalgen.scan.template import marks
from decalgen.scan.template.doubtful import _of_round
from decalgen.scan.template.ink import ink_in
from decalgen.scan.template.reading import measure_template
from decalgen.scan.template.values import GivenCorner, MeasuredTemplate, TemplateError, TemplateRequest, TypedSize
from tests.scan.templates import Faults, MadeTemplate, Panel, template

DPI = 200.0
FLAT = ScanRequest(dpi=(DPI, DPI))
PLAIN = Faults(card=False, margin=5.0, turn=2.0, noise=1.0, corners_kept=True)
DOOR = Panel(
    "door", [(0, 0), (11, 0), (16, 4), (16, 14), (0, 14)], [0.0, 0.0, 0.0, 0.0, 3.0], [0.0, -0.9, 0.0, 0.0, 0.0]
)


@cache
def made(gone: float = 0.0, stretch: float = 0.0, shift: float = 0.06) -> MadeTemplate:
    faults = Faults(**{**PLAIN.__dict__, "gone": gone, "stretch": (stretch, stretch), "shift": shift})
    return template(DOOR, faults, DPI, 3)


def corners(one: MadeTemplate, kinds: bool = True) -> tuple[GivenCorner, ...]:
    found = []
    for n, at in enumerate(one.pixels):
        side = "" if not kinds else "arc" if one.panel.rises[n] else "line"
        found.append(GivenCorner((at[0] + 1.5, at[1] - 1.5), bool(one.panel.radii[n]), side))
    return tuple(found)


@cache
def _alone(data: bytes, given: tuple[GivenCorner, ...]) -> MeasuredTemplate:
    return measure_template(PictureData("tape.png", data), TemplateRequest(FLAT, corners=given))


def read(one: MadeTemplate, **more: object) -> MeasuredTemplate:
    if not more:
        return _alone(one.data, corners(one))
    request = TemplateRequest(FLAT, **{"corners": corners(one), **more})  # type: ignore[arg-type]
    return measure_template(PictureData("tape.png", one.data), request)


def far(one: MadeTemplate, found: MeasuredTemplate) -> list[float]:
    return [
        float(np.hypot(at.at[0] - true[0], at.at[1] - true[1]))
        for at, true in zip(found.corners, one.panel.points, strict=True)
    ]


def test_corners_arcs_and_round_corners_are_read_within_their_uncertainty() -> None:
    one = made()
    found = read(one)
    assert max(far(one, found)) < 0.3
    for corner, true in zip(found.corners, one.panel.points, strict=True):
        for value, truth, u in zip(corner.at, true, corner.u, strict=True):
            assert abs(value - truth) <= 3 * u
            assert u < 0.22
    assert [side.kind for side in found.sides] == ["line", "arc", "line", "line", "line"]
    assert found.sides[1].rise == pytest.approx(-0.9, abs=0.15)
    assert found.corners[4].radius == pytest.approx(3.0, abs=0.5)
    assert [bool(corner.radius) for corner in found.corners] == [False, False, False, False, True]
    (doubt,) = found.doubts
    assert "rests on the dpi alone" in doubt.message and "--beside card" in doubt.fix and not found.found


def test_corners_given_clockwise_and_without_kinds_read_the_same() -> None:
    one = made()
    turned = tuple(reversed(corners(one, kinds=False)))
    found, plain = read(one, corners=turned), read(one)
    assert [side.kind for side in found.sides] == [side.kind for side in plain.sides]
    for this, that in zip(found.corners, plain.corners, strict=True):
        assert this.at == pytest.approx(that.at, abs=0.1)
        assert bool(this.radius) == bool(that.radius)


def test_typed_sizes_take_out_stretch_and_the_pencil() -> None:
    one = made(stretch=0.02, shift=0.0)
    alone = read(one)
    sizes = {"width": TypedSize(16.0, 0.02), "height": TypedSize(14.0, 0.02)}
    both = read(one, **sizes)
    assert max(far(one, both)) < 0.6 * max(far(one, alone))
    assert both.width.value == pytest.approx(16.0, abs=0.05)
    assert both.width.u < alone.width.u / 3
    # The one that was typed alone moves the other too: they have the pencil in common.
    width = read(one, width=TypedSize(16.0, 0.02))
    assert abs(width.height.value - 14.0) < abs(alone.height.value - 14.0)


def test_a_typed_size_that_disagrees_is_named_and_both_alike_accuse_the_template() -> None:
    one = made()
    wrong = read(one, width=TypedSize(17.0, 0.02), height=TypedSize(14.0, 0.02))
    first = wrong.doubts[0]
    more = 17.0 - read(one).width.value
    assert first.message.startswith(f"the typed width, 17.00 mm, is {more:.2f} mm more than the template's")
    assert "suspect" in first.message and "measure the width again" in first.fix
    right = read(one, width=TypedSize(16.0, 0.02), height=TypedSize(14.0, 0.02))
    assert wrong.corners[1].u[0] > 1.5 * right.corners[1].u[0]
    # Two sizes that agree with the tape tell its scale: nothing rests on the dpi any more.
    assert right.weighed == ("width as typed, 16.00 mm, weighed with it", "height as typed, 14.00 mm, weighed with it")
    assert not right.doubts and any("dpi alone" in one.message for one in wrong.doubts)
    both = read(one, width=TypedSize(16.8, 0.02), height=TypedSize(14.7, 0.02))
    assert "the template is the suspect" in both.doubts[0].message and "less" in both.doubts[0].message


def test_what_the_pencil_missed_is_said_with_its_place() -> None:
    one = template(DOOR, Faults(**{**PLAIN.__dict__, "gone": 0.35, "corners_kept": False}), DPI, 8)
    said = " | ".join(doubt.message for doubt in read(one).doubts)
    assert "no pencil" in said and ("at corner" in said or "the side from corner" in said)


def test_corners_beside_the_pencil_are_refused_with_their_side() -> None:
    one = made()
    shifted = tuple(GivenCorner((c.at[0] + 40, c.at[1]), c.round, c.side) for c in corners(one))
    with pytest.raises(TemplateError, match="no edge is seen along the side after corner"):
        read(one, corners=shifted)
    outside = (GivenCorner((-5.0, 3.0)), *corners(one)[1:])
    with pytest.raises(TemplateError, match="corner 1 lies outside the picture"):
        read(one, corners=outside)
    flat = tuple(GivenCorner((10.0 * n, 10.0)) for n in range(1, 4))
    with pytest.raises(TemplateError, match="enclose nothing"):
        read(one, corners=flat)


# ------------------------------------------------------------------------------------------------ found without help
MARKS: list[dict[str, float | str]] = [
    {"kind": "circle", "x": 4.0, "y": 8.0, "size": 2.0},
    {"kind": "rectangle", "x": 9.0, "y": 8.0, "wide": 3.2, "high": 1.8},
    {"kind": "line", "x": 13.0, "y": 9.0, "long": 4.0},
]


@cache
def marked() -> MadeTemplate:
    door = Panel(DOOR.family, DOOR.points, DOOR.radii, DOOR.rises, MARKS)
    return template(door, Faults(**{**PLAIN.__dict__, "gone": 0.05}), DPI, 4)


@cache
def _offered(data: bytes) -> MeasuredTemplate:
    return measure_template(PictureData("tape.png", data), TemplateRequest(FLAT))


def found_in(one: MadeTemplate) -> MeasuredTemplate:
    return _offered(one.data)


def offered(one: MadeTemplate) -> MeasuredTemplate:
    return measure_template(PictureData("tape.png", one.data), TemplateRequest(FLAT))


def test_corners_are_found_from_the_lower_left_as_an_offer() -> None:
    one = marked()
    found = found_in(one)
    assert found.found
    assert max(far(one, found)) < 0.4
    assert [side.kind for side in found.sides] == ["line", "arc", "line", "line", "line"]
    assert [bool(corner.radius) for corner in found.corners] == [False, False, False, False, True]
    for corner, at in zip(found.corners, one.pixels, strict=True):
        assert corner.pixel == pytest.approx(at, abs=0.4 * DPI / 25.4)


def test_what_was_traced_in_a_coloured_pen_is_read_as_obstacles() -> None:
    circle, rectangle, line = found_in(marked()).marks
    assert (circle.kind, rectangle.kind, line.kind) == ("circle", "rectangle", "line")
    assert circle.points[0] == pytest.approx((4.0, 8.0), abs=0.25) and circle.size[0] == pytest.approx(2.0, abs=0.2)
    assert rectangle.points[0] == pytest.approx((7.4, 7.1), abs=0.3)
    assert rectangle.size == pytest.approx((3.2, 1.8), abs=0.2)
    ends = sorted(line.points, key=lambda at: at[1])
    assert ends[0] == pytest.approx((13.0, 7.0), abs=0.4) and ends[-1] == pytest.approx((13.0, 11.0), abs=0.4)
    assert all(0.05 < mark.u < 0.3 for mark in (circle, rectangle, line))


def test_more_marks_than_are_read_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(marks, "MOST_MARKS", 2)
    found = _alone.__wrapped__(marked().data, corners(marked()))
    assert [one.kind for one in found.marks] == ["circle", "rectangle"]
    (doubt,) = [one for one in found.doubts if "marks in pen" in one.message]
    assert doubt.message == "3 marks in pen are seen on the panel, and the 2 furthest to the left were read"


def test_the_same_scan_read_once_more_doubles_no_obstacle(tmp_path: Path) -> None:
    home = PanelHome(tmp_path / "van.yaml", "door", instead=True)
    job = "job: van\nbody: grey\npanels:\n    door:\n        width: 30 mm\n        height: 12 mm\n"
    once = with_panel(home, found_in(marked()), [], job)
    obstacles = values(once)["panels"]["door"]["obstacles"]
    assert list(obstacles) == ["obstacle 1", "obstacle 2", "obstacle 3"]
    assert with_panel(home, found_in(marked()), [], once) == once
    # What was changed by hand stays, and what was read comes to it.
    moved = once.replace(str(obstacles["obstacle 1"]["circle"]), "2.50 mm")
    assert list(values(with_panel(home, found_in(marked()), [], moved))["panels"]["door"]["obstacles"]) == [
        *obstacles,
        "obstacle 1 2",
    ]


def test_an_open_outline_and_a_blank_tape_are_refused_and_a_missed_corner_is_said() -> None:
    blank = template(DOOR, Faults(**{**PLAIN.__dict__, "dark": 0.0}), DPI, 4)
    with pytest.raises(TemplateError, match=r"no (pencil|closed outline) is seen"):
        offered(blank)
    broken = template(DOOR, Faults(**{**PLAIN.__dict__, "gone": 0.6, "corners_kept": False}), DPI, 4)
    with pytest.raises(TemplateError) as told:
        offered(broken)
    assert "--points" in told.value.fix


def test_a_photo_and_a_missing_library_say_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(TemplateError, match="photo") as told:
        measure_template(PictureData("t.png", marked().data), TemplateRequest(FLAT, "photo"))
    assert "--points" in told.value.fix
    monkeypatch.setitem(sys.modules, "scipy", None)
    with pytest.raises(TemplateError, match="needs scipy") as told:
        offered(marked())
    assert "decalgen[scan]" in told.value.fix and "--points" in told.value.fix
    # With corners given nothing else is needed; where a pen was used, it is said that obstacles were left out.
    found = read(marked())
    assert len(found.corners) == 5 and not found.marks
    (doubt,) = [one for one in found.doubts if "obstacles" in one.message]
    assert "were left out" in doubt.message and "decalgen[scan]" in doubt.fix
    unmarked = _alone.__wrapped__(made().data, corners(made()))
    assert not [one for one in unmarked.doubts if "obstacles" in one.message]


def test_of_a_red_pen_hardly_anything_is_taken_for_pencil() -> None:
    picture = Image.new("RGB", (120, 90), "#e6e0c8")
    # It keeps 0.15 of red, and 0.56 of green and blue, as density.
    kept = zip(decoded(n / 255 for n in (230, 224, 200)), (0.15, 0.56, 0.56), strict=True)
    lit = [round(255 * one) for one in coded_of(tuple(light * 10**-density for light, density in kept))]  # type: ignore[arg-type]
    ImageDraw.Draw(picture).line([(20, 45), (100, 45)], fill=tuple(lit), width=6)
    out = io.BytesIO()
    picture.save(out, "PNG")
    scan = read_scan(PictureData("pen.png", out.getvalue()))
    ink = ink_in(scan, scan.whole, by_dpi((DPI, DPI), True))
    assert ink.pen[45, 60] == pytest.approx(0.41, abs=0.03)
    assert abs(float(ink.pencil[45, 60])) < 0.06


def test_a_round_corner_that_no_job_takes_is_told_when_it_is_read() -> None:
    one = made()
    # The corner after the hollow side, whose kind the picture shows, is said to be round.
    given = list(corners(one))
    given[1] = GivenCorner(given[1].at, False, "")
    given[2] = GivenCorner(given[2].at, True, "line")
    found = read(one, corners=tuple(given))
    assert found.corners[2].radius and found.sides[1].rise
    (doubt,) = [one for one in found.doubts if one.message.startswith("corner 3 ")]
    assert "the side after corner 2 reads as an arc: no job takes both" in doubt.message
    assert "add `line` after corner 2 in --points" in doubt.fix and "leave `round` out" in doubt.fix


@pytest.mark.parametrize(("radius", "u", "told"), [(0.0, 0.5, True), (0.0, 0.0, False)])
def test_a_corner_given_as_round_that_reads_sharp_is_told(radius: float, u: float, told: bool) -> None:
    found = read(made())
    fitted = SimpleNamespace(radii=((radius, u), *[(0.0, 0.0)] * 4))
    said = [one.message for one in _of_round(found, fitted, 0)]  # type: ignore[arg-type]
    assert said == ["corner 1 was given as round, and no radius is seen there: it is taken as sharp"] * told


def test_the_edges_of_a_panel_in_a_photo_are_read_with_corners_given() -> None:
    size = (220, 180)
    picture = Image.new("RGB", size, "#c8c4bb")
    at = [(40.0, 140.0), (180.0, 140.0), (160.0, 40.0), (40.0, 40.0)]
    big = picture.resize((4 * size[0], 4 * size[1]))
    ImageDraw.Draw(big).polygon([(4 * x, 4 * y) for x, y in at], fill="#2a5a78")
    out = io.BytesIO()
    big.resize(size, Image.Resampling.BOX).save(out, "PNG")
    given = tuple(GivenCorner((x + 2, y - 2)) for x, y in at)
    found = measure_template(PictureData("p.png", out.getvalue()), TemplateRequest(FLAT, "photo", given))
    scale = 25.4 / DPI
    wanted = [((x - 40) * scale, (140 - y) * scale) for x, y in at]
    for corner, true in zip(found.corners, wanted, strict=True):
        assert corner.at == pytest.approx(true, abs=0.08)
