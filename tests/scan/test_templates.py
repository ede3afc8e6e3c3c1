"""Panels read from generated tape templates: corners within what each says of itself, doubts said, suspects named."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from decalgen.core.pixels.values import PictureData
from decalgen.scan.measuring import ScanRequest
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


def read(one: MadeTemplate, **more: object) -> MeasuredTemplate:
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
            assert u < 0.2
    assert [side.kind for side in found.sides] == ["line", "arc", "line", "line", "line"]
    assert found.sides[1].rise == pytest.approx(-0.9, abs=0.15)
    assert found.corners[4].radius == pytest.approx(3.0, abs=0.5)
    assert [bool(corner.radius) for corner in found.corners] == [False, False, False, False, True]
    assert found.doubts == () and not found.found


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
