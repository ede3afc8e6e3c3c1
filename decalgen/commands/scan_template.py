"""What `decalgen scan --template` does: a panel read from its template, told in words, drawn over the scan, and put
into a job where that is asked."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Made, Result
from decalgen.commands.page_scans import picture_in
from decalgen.commands.rendering import rendered
from decalgen.core.command_line import typed as command
from decalgen.core.document import Document
from decalgen.core.errors import Finding
from decalgen.core.pixels.arrays import from_rgb
from decalgen.pages.scan_report import ReportRow, ScanReport, scan_report
from decalgen.scan.template.values import MeasuredTemplate, TemplateMark, TemplateRequest

if TYPE_CHECKING:
    from decalgen.commands.template_into import PanelHome

PLUS = "\N{PLUS-MINUS SIGN}"


def scan_template(
    image: Path, request: TemplateRequest, name: str = "", output: Path | None = None, into: PanelHome | None = None
) -> Result:
    """Reads a panel. ``name``: the panel's. Raises DecalgenError; nothing is written then."""
    from decalgen.scan.template.reading import measure_template

    found = measure_template(picture_in(image, "a scan or photo of the template"), request)
    files: dict[Path, bytes] = {}
    groups = []
    follow = f"the same with -o {image.stem}-fit.png, and compare the fit with the scan"
    if output is not None:
        made = rendered(report_of_template(found, name), output)
        files |= made
        groups.append(FileGroup("the fit over the scan", tuple(made)))
        follow = (
            f"compare the fit with the scan; confirm the corners with --points '{points_told(found)}'"
            if found.found
            else "compare the fit with the scan; then add --into JOB.yaml --panel NAME"
        )
    if into is not None:
        from decalgen.commands.template_into import with_panel

        files[into.path] = with_panel(into, found, notes_of_template(found)).encode()
        groups.append(FileGroup(f"panel '{into.panel}' {'replaced' if into.instead else 'added'}", (into.path,)))
        follow = command(["decalgen", "check", into.path])
    lines = told_template(found)
    what = f"panel '{name}'" if name else "a panel"
    answer = Answer(
        f"read {what} from {image.name}",
        follow,
        tuple(groups),
        tuple(line for line, _ in lines),
    )
    short = tuple(line for line, always in lines if always)
    return Made(files, findings_of_template(image, found), short, answer).write()


def findings_of_template(image: Path, found: MeasuredTemplate) -> tuple[Finding, ...]:
    """What is in doubt, as warnings."""
    return tuple(Finding("warning", "scan-doubt", image.name, one.message, one.fix) for one in found.doubts)


def told_template(found: MeasuredTemplate) -> list[tuple[str, bool]]:
    """The lines of the answer, and whether the short one has each."""
    sizes = " \N{MULTIPLICATION SIGN} ".join(_mm(one.value, one.u) for one in (found.width, found.height))
    lines = [(f"panel of {len(found.corners)} corners, {sizes}, by {found.scale.told}", True)]
    lines += [(f"  {words}", True) for words in found.weighed]
    rows = rows_of_template(found)
    wide = max(len(row.name) for row in rows)
    lines += [(f"  {row.name:<{wide}}  {row.value}{f'  {row.remark}' if row.remark else ''}", True) for row in rows]
    lines.append((f"  {PLUS} is the expanded uncertainty, k = 2", False))
    if found.found:
        lines.append((f"  corners in pixels: --points '{points_told(found)}'", True))
    return lines


def rows_of_template(found: MeasuredTemplate) -> list[ReportRow]:
    """Corners, sides and obstacles in words; of a side how much of it is seen."""
    rows = []
    n = len(found.corners)
    for i, corner in enumerate(found.corners):
        places = ", ".join(_mm(value, u, "") for value, u in zip(corner.at, corner.u, strict=True)) + " mm"
        remark = f"round, radius {_mm(corner.radius, corner.radius_u)}" if corner.radius else ""
        rows.append(ReportRow(f"corner {i + 1}", places, "", remark))
    for i, side in enumerate(found.sides):
        name = f"side {i + 1}, to corner {(i + 1) % n + 1}"
        value = f"arc, rise {_mm(side.rise, side.rise_u)}" if side.rise else "line"
        rows.append(ReportRow(name, value, f"{side.there:.0%}", ""))
    for i, mark in enumerate(found.marks):
        rows.append(ReportRow(f"obstacle {i + 1}", mark_told(mark), "", ""))
    return rows


def mark_told(mark: TemplateMark) -> str:
    """An obstacle in words."""
    places = " to ".join(f"{x:.2f}, {y:.2f}" for x, y in mark.points[:4])
    size = " \N{MULTIPLICATION SIGN} ".join(f"{one:.2f}" for one in mark.size)
    words = {"circle": f"circle {size} mm round", "rectangle": f"rectangle {size} mm at", "line": "line from"}
    return f"{words.get(mark.kind, 'outline of')} {places} mm {PLUS} {2 * mark.u:.2f}"


def points_told(found: MeasuredTemplate) -> str:
    """The corners as --points takes them."""
    words = []
    for corner, side in zip(found.corners, found.sides, strict=True):
        words.append(f"{corner.pixel[0]:.0f},{corner.pixel[1]:.0f}")
        words += ["round"] if corner.radius else []
        words += ["arc"] if side.rise else []
    return " ".join(words)


def notes_of_template(found: MeasuredTemplate) -> list[str]:
    """What a panel in a job file is noted with."""
    how = "corners as found, not confirmed" if found.found else "corners given"
    head = f"read from {found.scan.name}, {how}; the size by {found.scale.told}; {PLUS} is U, k = 2"
    rows = [head, *found.weighed]
    rows.append(f"width {_mm(found.width.value, found.width.u)}, height {_mm(found.height.value, found.height.u)}")
    rows += [f"{row.name}: {row.value}{f', {row.remark}' if row.remark else ''}" for row in rows_of_template(found)]
    return rows + [f"in doubt: {one.message}" for one in found.doubts]


def report_of_template(found: MeasuredTemplate, name: str) -> Document:
    """The fit over the part of the scan that was looked at, corners numbered."""
    left, top, right, bottom = found.window
    edges = [
        (tuple((x - left, y - top) for x, y in points), there)
        for side in found.sides
        for points, there in side.drawn
        if len(points) > 1
    ]
    edges += [(tuple((x - left, y - top) for x, y in mark.drawn), True) for mark in found.marks if mark.drawn]
    labels = tuple(((x - left, y - top), text) for (x, y), text in _numbers_beside(found))
    words = f"the size by {found.scale.told}; {PLUS} is the expanded uncertainty, k = 2"
    if found.doubts:
        words = f"{words}. In doubt: {'; '.join(one.message for one in found.doubts)}"
    return scan_report(
        ScanReport(
            f"{found.scan.name}: {f'panel {name}' if name else 'a panel'}",
            words,
            from_rgb(found.scan.coded[top:bottom, left:right]),
            _pixel(found),
            tuple(edges),
            tuple(rows_of_template(found)),
            (),
            labels,
        )
    )


def _numbers_beside(found: MeasuredTemplate) -> list[tuple[tuple[float, float], str]]:
    """The number of each corner, a little outside it, pixels."""
    places = [corner.pixel for corner in found.corners]
    left, top, right, bottom = found.window
    off, n = 0.035 * max(right - left, bottom - top), len(places)
    # Anticlockwise to the eye outside is on the right; y counts down.
    ways = [(places[(i + 1) % n][0] - places[i][0], places[(i + 1) % n][1] - places[i][1]) for i in range(n)]
    out = [(-dy / math.hypot(dx, dy), dx / math.hypot(dx, dy)) for dx, dy in ways]
    rows = []
    for i, (x, y) in enumerate(places):
        across, down = out[i - 1][0] + out[i][0], out[i - 1][1] + out[i][1]
        size = max(math.hypot(across, down), 1e-6)
        rows.append(((x + off * across / size, y + off * down / size), str(i + 1)))
    return rows


def _pixel(found: MeasuredTemplate) -> float:
    from decalgen.scan.light import window_middle

    return found.scale.pixel_mm(window_middle(found.window))


def _mm(value: float, u: float, unit: str = " mm") -> str:
    return f"{value + 0.0:.2f} {PLUS} {max(2 * u, 0.01):.2f}{unit}"
