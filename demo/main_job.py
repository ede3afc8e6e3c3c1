"""The demo itself: four invented jobs are checked, nested on one opened white and one clear A5, proven and printed.

Everything goes into demo/out/: the check's report, the proof, the sheets, and a picture of all that came of it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path as File

from decalgen.artwork.build import Artwork, artworks
from decalgen.commands.proof_passed import pass_proof
from decalgen.commands.run import Options, check, layout_of, load_jobs
from decalgen.commands.sheet import SheetFiles, make_proof, make_sheet
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill, Item, Line, Symbol, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.files import make_folder, write_files
from decalgen.core.geometry import Matrix, mirror_x, multiply, polygons, rectangle, region, transform, translation
from decalgen.export import render
from decalgen.job.model import Job
from decalgen.pages.composer import Sheaf
from decalgen.pages.decal_and_panel import is_mirrored, obstacle_outlines, panel_outline, position_on_panel
from decalgen.pages.film import preview_fills
from decalgen.panels.base import Panel
from decalgen.proofing.files import positions_file
from decalgen.proofing.judge import GateError
from decalgen.sheet.arrange import Arrangement, Sheet


def _short(path: File) -> File:
    """As a user would name it from where they stand."""
    return path.relative_to(File.cwd()) if path.is_relative_to(File.cwd()) else path


HERE = _short(File(__file__).resolve().parent)
OUT = HERE / "out"
JOBS = tuple(HERE / f"{name}.yaml" for name in ("gannet", "h9", "ostmerrow", "dravenhoe"))
OPTIONS = Options(
    films=(str(HERE / "films" / "white-a5.yaml"), str(HERE / "films" / "clear-a5.yaml")),
    printer=str(HERE / "printer.yaml"),
)
ZOOM = 1.4
"""Panels are shown larger than they are by this, the sheets at their own size."""
EDGE = 12.0
GAP = 8.0


def main() -> int:
    """Makes every file and names it. Gives the exit code. ``--picture`` makes the README's picture anew."""
    try:
        files = run(OUT)
        if "--picture" in sys.argv[1:]:
            files = (*files, *write_files({HERE / "picture.png": small_picture()}))
        for path in files:
            print(f"wrote {path}")
    except DecalgenError as error:
        print(error)
        return error.exit_code
    return 0


def small_picture() -> bytes:
    """The picture at the head of the README: the same as four-jobs.png with fewer dots."""
    jobs = load_jobs(JOBS)
    layout = layout_of(jobs, OPTIONS, positions=positions_file(OUT / "four-jobs-proof.pdf"))
    return render(contact_picture(layout, jobs), ".png", dpi=72)[0]


def run(folder: File) -> tuple[File, ...]:
    """Makes the demo's files in a folder. Raises DecalgenError."""
    make_folder(folder)
    report = folder / "check.txt"
    found = check(JOBS, OPTIONS)
    text = "\n".join([*(str(finding) for finding in found.findings), "", *found.lines, ""])
    files = write_files({report: text.encode("utf-8")})
    proof = make_proof(JOBS, folder / "four-jobs-proof.pdf", OPTIONS)
    wanted = SheetFiles(
        (folder / "four-jobs-sheet.pdf", folder / "four-jobs-sheet.svg"), cut=(folder / "four-jobs-cut.svg",)
    )
    verdict, *proving = _prove(proof.files[0], wanted)
    sheets = make_sheet(JOBS, wanted, OPTIONS)
    jobs = load_jobs(JOBS)
    layout = layout_of(jobs, OPTIONS, positions=positions_file(folder / "four-jobs-proof.pdf"))
    picture = render(contact_picture(layout, jobs), ".png", dpi=144)[0]
    for line in (*found.lines, *proving, *sheets.lines):
        print(line)
    return (*files, *proof.files, verdict, *sheets.files, *write_files({folder / "four-jobs.png": picture}))


def _prove(proof: File, wanted: SheetFiles) -> tuple[File, *tuple[str, ...]]:
    """A proof that came out at 97 x 96 % is refused, and so is the film; printed again at 100 % it is passed. Gives the
    file of the verdict, and what was said."""
    rows = ["", "the proof's check bars measure 97.1 and 96.0 mm of 100:"]
    result, _ = pass_proof(proof, ["97.1 97.0 97.1"], ["96.0 96.1 96.0"], "caliper", 1)
    rows += [f"  {line}" for line in result.lines]
    try:
        make_sheet(JOBS, wanted, OPTIONS)
    except GateError as error:
        rows += [f"  {line}" for line in ("the sheet for film, asked for all the same:", *str(error).splitlines())]
    rows.append("printed again at 100 %, they measure 99.9 and 100.1 mm:")
    result, _ = pass_proof(proof, ["99.9 99.9 99.8"], ["100.1 100.0 100.1"], "caliper", 1)
    rows += [f"  {line}" for line in result.lines]
    return (result.files[0], *rows, "")


def contact_picture(layout: Arrangement, jobs: Sequence[Job]) -> Document:
    """The sheets as they come from the printer, and under them every panel with its decals over the body colour."""
    width = 2 * EDGE + sum(s.film.width for s in layout.sheets) + GAP * (len(layout.sheets) - 1)
    rows = [list(_rows(job, width - 2 * EDGE)) for job in jobs]
    tall = max(s.film.height for s in layout.sheets) + 2 * EDGE + 14.0
    tall += sum(10.0 + sum(_deep(row) for row in job_rows) for job_rows in rows)
    sheaf = Sheaf(width, tall)
    sheaf.fill(rectangle(0, 0, width, tall), style.GROUND)
    x, y = EDGE, tall - EDGE
    for sheet in layout.sheets:
        text = f"Sheet {sheet.index} of {sheet.of}: {sheet.film.name}, {len(sheet.placed)} pieces, drawn 1 : 1"
        sheaf.text(x, y - 3.0, text, style.TYPE_BODY, bold=True)
        _sheet(sheaf, sheet, x, y - 6.0 - sheet.film.height)
        x += sheet.film.width + GAP
    y -= max(s.film.height for s in layout.sheets) + 14.0
    for job, job_rows in zip(jobs, rows, strict=True):
        sheaf.text(EDGE, y - 3.0, f"{job.title}, drawn {ZOOM:g} : 1", style.TYPE_BODY, bold=True)
        y -= 10.0
        for row in job_rows:
            x = EDGE
            for panel, shown in row:
                _panel(sheaf, job, panel, shown, x, y)
                x += panel.width.value * ZOOM + GAP
            y -= _deep(row)
    return Document((sheaf.page(),), title="Four jobs on two sheets")


Shown = tuple[Artwork, ...]


def _rows(job: Job, width: float) -> Iterator[list[tuple[Panel, Shown]]]:
    """The job's panels, each hand with its decals, in rows no wider than told."""
    everything = artworks(job)
    row: list[tuple[Panel, Shown]] = []
    room = width
    for panel in job.panels:
        mine = [art for art in everything if art.decal.panel == panel.name]
        for hand in dict.fromkeys(art.hand for art in mine if art.hand) or (None,):
            wide = panel.width.value * ZOOM
            if row and wide > room:
                yield row
                row, room = [], width
            row.append((panel, tuple(art for art in mine if art.hand in (hand, None))))
            room -= wide + GAP
    yield row


def _deep(row: Sequence[tuple[Panel, Shown]]) -> float:
    return max(panel.height.value for panel, _ in row) * ZOOM + 11.0


def _panel(sheaf: Sheaf, job: Job, panel: Panel, shown: Shown, x: float, top: float) -> None:
    mirrored = any(is_mirrored(art, panel) for art in shown)
    outline = panel_outline(panel, mirrored).polygon
    y = top - panel.height.value * ZOOM
    place: Matrix = multiply(translation(x, y), (ZOOM, 0.0, 0.0, ZOOM, 0.0, 0.0))
    sheaf.fill(region(transform(outline, place)), job.paint(job.body).colour)
    for art in shown:
        on = multiply(place, position_on_panel(art, panel))
        if art.film == "white":
            sheaf.fill(region(transform(art.cut_polygon, on)), "#ffffff")
        for fill in preview_fills(art):
            sheaf.fill(region(transform(fill.region, on)), fill.colour)
    hand = next((art.hand for art in shown if art.hand), None)
    name = f"{panel.name}, {hand}" if hand else panel.name
    for obstacle in panel.obstacles:
        for part in obstacle_outlines(obstacle, panel):
            area = part.moved(mirror_x(panel.width.value)).polygon if mirrored else part.polygon
            sheaf.fill(region(transform(area, place)), "#c9ccd1")
    ring = transform(outline, place)
    sheaf.line(list(polygons(ring)[0].exterior.coords)[:-1], style.LINE_RULE, style.QUIET, closed=True)
    sheaf.text(x, y - 4.0, name, style.TYPE_SMALL, colour=style.QUIET)


def _sheet(sheaf: Sheaf, sheet: Sheet, x: float, y: float) -> None:
    film = sheet.film
    ground = "#ffffff" if film.kind == "white" else "#e6ebec"
    sheaf.fill(rectangle(x, y, x + film.width, y + film.height), ground)
    for used in film.used:
        sheaf.fill(rectangle(x + used.x, y + used.y, x + used.x + used.width, y + used.y + used.height), style.RULE)
    corners = ((x, y), (x + film.width, y), (x + film.width, y + film.height), (x, y + film.height))
    sheaf.line(corners, style.LINE_RULE, style.QUIET, closed=True)
    for placed in sheet.placed:
        on = multiply(translation(x, y), placed.matrix)
        for inked in placed.piece.artwork.printed:
            area = region(transform(inked.region, on))
            if polygons(area):
                sheaf.fill(area, placed.piece.artwork.colour(inked.ink))
    marks = Symbol(f"marks-{sheet.index}", (*_plain(sheet.furniture.items), *sheet.ticks, *sheet.labels))
    sheaf.items.append(Use(marks, translation(x, y)))


def _plain(items: Sequence[Item]) -> tuple[Fill | Line | Contour, ...]:
    return tuple(item for item in items if not isinstance(item, Use))


if __name__ == "__main__":
    raise SystemExit(main())
