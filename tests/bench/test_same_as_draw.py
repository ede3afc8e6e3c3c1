"""What Draw and On the body show is what the command `draw` writes: the same areas in each ink, where they lie on each
panel, in each hand and variant of the finished jobs. Its files are read here by fontTools' reader of SVG paths."""

from __future__ import annotations

import shutil
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from shapely import Polygon, make_valid, union_all
from shapely.affinity import affine_transform, translate
from shapely.geometry.base import BaseGeometry

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import page_state
from decalgen.bench.workplace import Workplace
from decalgen.cli.main import main
from tests.bench.first_minute import ROOT

JOBS = {"gannet": ("", "pilot"), "h9": ("",), "ostmerrow": ("",), "dravenhoe": ("",)}
OFF_MM = 0.0008
"""The page draws in whole micrometres, so each point is off by up to √2/2 µm; the files are finer."""
Areas = dict[str, BaseGeometry]


def area_of(d: str) -> BaseGeometry:
    """What a path fills by the rule evenodd."""
    pen = RecordingPen()
    parse_path(d, pen)
    found: BaseGeometry = Polygon()
    ring: list[tuple[float, float]] = []
    for act, points in pen.value:
        assert act in ("moveTo", "lineTo", "closePath", "endPath"), act
        if act in ("closePath", "endPath"):
            # Rounded, a ring may touch itself.
            found = found.symmetric_difference(make_valid(Polygon(ring)))
            ring = []
        else:
            ring.append(points[0])
    return found


def drawn(svg: Path, width: float) -> Areas:
    """The areas of each ink in a drawing of a panel, in the panel's own millimetres."""
    layer = next(one for one in ET.parse(svg).iter() if one.get("data-name") == "Panel")
    paths = [one for one in layer.iter() if one.tag.endswith("path")]
    x0, _, x1, y1 = area_of(paths[0].get("d", "")).bounds
    scale = width / (x1 - x0)
    found: dict[str, list[BaseGeometry]] = {}
    for one in paths:
        if ink := one.get("data-ink"):
            found.setdefault(ink, []).append(area_of(one.get("d", "")))
    return {
        ink: affine_transform(union_all(some), [scale, 0, 0, -scale, -x0 * scale, y1 * scale])
        for ink, some in found.items()
    }


def shown(side: dict[str, Any]) -> Areas:
    """The areas of each ink of a panel on the page, in the panel's own millimetres from its lower left corner."""
    found: dict[str, list[BaseGeometry]] = {}
    x0, y0 = side["panel"]["box"][:2]
    for decal in side["decals"]:
        for ink in decal["inks"]:
            lies = translate(area_of(ink["d"]), decal["at"][0] - x0, decal["at"][1] - y0)
            found.setdefault(ink["ink"], []).append(affine_transform(lies, [0.001, 0, 0, 0.001, 0, 0]))
    return {ink: union_all(some) for ink, some in found.items()}


def differing(one: Areas, other: Areas) -> list[str]:
    """The inks whose areas are not the same, to what rounding does along their outlines."""
    return [
        f"{ink}: {off:.4f} mm² of {one[ink].area if ink in one else 0:.2f}"
        for ink in sorted(one.keys() | other.keys())
        if (off := one.get(ink, Polygon()).symmetric_difference(other.get(ink, Polygon())).area)
        > OFF_MM * max(some[ink].length for some in (one, other) if ink in some)
    ]


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("finished")
    for path in [*(ROOT / "demo").glob("*.yaml"), *(ROOT / "demo").glob("*.svg")]:
        shutil.copy(path, folder)
    return folder


def by_command(folder: Path, job: str, variant: str) -> Path:
    """The drawings of a job by the command."""
    out = folder / f"drawings-{job}-{variant}"
    words = ["draw", str(folder / f"{job}.yaml"), "-o", str(out), *(["--variant", variant] if variant else [])]
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert not ended.value.code
    return out


def file_of(out: Path, side: dict[str, Any]) -> Path:
    """The drawing of a panel in a hand."""
    words = [f"on-{side['panel']['name'].replace(' ', '-')}", *([side["hand"]] if side["hand"] else [])]
    (found,) = [one for one in out.glob("*.svg") if one.stem.endswith("-".join(words))]
    return found


def on_draw(place: Workplace, variant: str) -> Iterator[dict[str, Any]]:
    for panel in {decal.panel for decal in (place.desk.job.decals if place.desk.job else ())}:
        for hand in ("left", "right"):
            sides = page_state(place, "draw", {"panel": panel, "hand": hand, "variant": variant})["screen"]["sides"]
            yield sides[0]


def on_the_body(place: Workplace, variant: str) -> Iterator[dict[str, Any]]:
    liveries = page_state(place, "body", {})["screen"]["liveries"]
    (found,) = [one for one in liveries if one.get("variant", "") == variant]
    yield from (one for one in found["panels"] if one["decals"])


@pytest.mark.parametrize(("job", "variant"), [(job, variant) for job, some in JOBS.items() for variant in some])
def test_draw_and_on_the_body_show_what_the_command_draws(finished: Path, job: str, variant: str) -> None:
    out, place = by_command(finished, job, variant), Workplace(Desk(finished / f"{job}.yaml"))
    seen: dict[str, set[tuple[str, str]]] = {}
    screens: dict[str, Callable[[Workplace, str], Iterator[dict[str, Any]]]] = {"draw": on_draw, "body": on_the_body}
    for screen, sides in screens.items():
        for side in sides(place, variant):
            box = side["panel"]["box"]
            there = drawn(file_of(out, side), (box[2] - box[0]) / 1000)
            assert there and not differing(shown(side), there), (screen, side["panel"]["name"], side["hand"])
            seen.setdefault(screen, set()).update((one["name"], one["hand"]) for one in side["decals"])
    # Every decal in every hand of it, on both screens.
    assert place.desk.job is not None and {name for name, _ in seen["draw"]} == {
        one.name for one in place.desk.job.decals
    }
    assert seen["draw"] == seen["body"]


def test_a_decal_that_lies_a_twentieth_of_a_millimetre_off_would_be_seen(finished: Path) -> None:
    out, place = by_command(finished, "gannet", ""), Workplace(Desk(finished / "gannet.yaml"))
    side = next(one for one in on_the_body(place, "") if one["panel"]["name"] == "door")
    there = drawn(file_of(out, side), (side["panel"]["box"][2] - side["panel"]["box"][0]) / 1000)
    assert not differing(shown(side), there)
    side["decals"][0]["at"][0] += 50
    assert differing(shown(side), there)
