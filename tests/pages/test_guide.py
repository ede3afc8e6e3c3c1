"""The placement guide: what stands in it, and whether somebody with nothing but its pages finds every place.

The simulated restorer reads the PDF by another program (`tests.helpers.guide_reader`, pikepdf): the panel as it is
drawn, the figures in the list, and where the line of each letter is. From these alone each decal is laid, and compared
with where the job puts it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from shapely.geometry import LineString

from decalgen import api
from decalgen.commands.guide import guides, make_guide
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.core.cautions import LAW, cautions_for
from decalgen.core.errors import DecalgenError, InputError, JobError, OutputError
from decalgen.export import render
from decalgen.job.model import Job
from decalgen.pages.guide import GuideMade, guide_pages, paper_notes
from decalgen.pages.guide_sides import GuideItem, GuideSide, guide_sides
from decalgen.pages.guide_templates import template_of, templates_of
from decalgen.shapes.base import Box
from decalgen.sheet.pieces import pieces
from tests.helpers import jobs
from tests.helpers.guide_reader import ReadDistance, ReadSide, read_sides
from tests.helpers.page_words import overlaps, words_of
from tests.helpers.paper_jobs import crowded_job

REPOSITORY = Path(__file__).resolve().parents[2]
DEMO = ("gannet", "h9", "ostmerrow", "dravenhoe")
SIZES = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}
FAR = 1000.0


def made_of(job: Job) -> GuideMade:
    return GuideMade(job.title, guide_sides(job, pieces([job], jobs.PRINTER)), cautions_for({"paint"}, bench=True))


@lru_cache
def demo(name: str) -> Run:
    return Run([REPOSITORY / "demo" / f"{name}.yaml"], Options(printer=str(REPOSITORY / "demo" / "printer.yaml")))


def place_of(item: GuideItem, side: GuideSide) -> tuple[float, float]:
    """Where the job puts the lower left corner of a piece of film, from its `at` alone."""
    art, panel = item.artwork, side.job.panel(side.panel.name)
    other = art.hand == "right" and panel.hand != "right"
    at = art.decal.at.mirrored() if other else art.decal.at
    x, y = at.corner(Box(art.width, art.height), Box(panel.width.value, panel.height.value))
    left, low, _, _ = art.cut_polygon.bounds
    return x + left, y + low


def laid(read: ReadSide, distance: ReadDistance, size: float) -> tuple[int, float]:
    """Which coordinate of a decal's lower left corner a distance gives, and where that is, ``size`` being the decal's:
    from the edge of the panel as it is drawn, at the place of the letter's line."""
    upright = distance.edge in ("top", "bottom")
    across = distance.across
    line = LineString([(across, -FAR), (across, FAR)] if upright else [(-FAR, across), (FAR, across)])
    met = read.panel.exterior.intersection(line)
    edges = sorted(
        {round(p, 6) for part in getattr(met, "geoms", [met]) for p in (c[1 if upright else 0] for c in part.coords)}
    )
    edge = min(edges, key=lambda p: abs(p - distance.end))
    assert distance.figure is not None
    figure = -distance.figure if "over" in distance.said else distance.figure
    rear = "rear" if read.name.endswith("left") else "front"
    low = distance.edge in ("left", "bottom") or (distance.edge in ("front", "rear") and distance.edge != rear)
    return (1 if upright else 0), edge + figure if low else edge - figure - size


def check_placing(sides: tuple[GuideSide, ...], read: list[ReadSide], least: float = 0.05) -> int:
    """Holds every decal of a guide against the job; gives how many. Raises AssertionError."""
    count = 0
    assert [one.name.casefold() for one in read] == [one.name.casefold() for one in sides]
    for side, seen in zip(sides, read, strict=True):
        assert [(one.number, one.name) for one in seen.decals] == [(one.number, one.name) for one in side.items]
        for item, decal in zip(side.items, seen.decals, strict=True):
            x0, y0, x1, y1 = item.artwork.cut_polygon.bounds
            found = dict(laid(seen, one, (x1 - x0, y1 - y0)[one.edge in ("top", "bottom")]) for one in decal.distances)
            assert set(found) == {0, 1}, f"{side.name}, {item.name}: nothing tells where it goes"
            asked = place_of(item, side)
            assert (found[0], found[1]) == pytest.approx(asked, abs=least), f"{side.name}, {item.name}"
            count += 1
    return count


def one_side(*decals: object, **more: object) -> GuideSide:
    job = jobs.job(*decals, panels=(jobs.panel(**more),))  # type: ignore[arg-type]
    (side,) = guide_sides(job, pieces([job], jobs.PRINTER))
    return side


def field(name: str, width: float, height: float, **more: object) -> object:
    return jobs.decal(name, width, height, jobs.element("field", ink="orange"), **more)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DEMO)
def test_with_the_pages_alone_each_decal_of_the_demo_finds_its_place(name: str, size: str) -> None:
    """Within 0.05 mm, both hands: half a unit of the last figure is 0.005."""
    (made,) = guides(demo(name))
    (data,) = render(guide_pages(made, *SIZES[size]), ".pdf")
    assert check_placing(made.sides, read_sides(data)) == sum(len(side.items) for side in made.sides) > 0


@pytest.mark.parametrize("seed", range(6))
def test_with_the_pages_alone_each_decal_of_a_generated_job_finds_its_place(seed: int) -> None:
    """Few enough on a side that none goes on over the next page, for the reader takes a side from one page."""
    made = made_of(crowded_job(seed, most=3))
    (data,) = render(guide_pages(made), ".pdf")
    assert check_placing(made.sides, read_sides(data)) == sum(len(side.items) for side in made.sides) > 10


@pytest.mark.parametrize("seed", range(12))
def test_generated_jobs_can_be_read(seed: int) -> None:
    """Two hundred of them: `tests/benchmarks/guide.py`."""
    check_generated(seed)


def check_generated(seed: int) -> int:
    """Words of a generated job's guide lie apart and off the margin on one size of paper in turn, and each letter is in
    the list and on the drawing. Gives the number of decals."""
    made = made_of(crowded_job(seed, most=3 + seed % 4, long=seed % 5 == 0))
    size = list(SIZES.values())[seed % 3]
    document = guide_pages(made, *size)
    found = words_of(document)
    assert not overlaps(found) and min(words.size for words in found) >= 8.0
    margin = (12.0 if size[0] >= 200 else 10.0) - 0.6
    for words in found:
        x0, y0, x1, y1 = words.box.bounds
        assert margin <= x0 and x1 <= size[0] - margin and margin <= y0 and y1 <= size[1] - margin, words.text
    letters = [row.letter for side in made.sides for item in side.items for row in item.rows]
    boxed = [words.text for words in found if words.text in letters]
    assert len(boxed) >= 2 * len(letters), "each letter is in the list and on the drawing"
    return sum(len(side.items) for side in made.sides)


@pytest.mark.parametrize("size", SIZES)
def test_every_side_of_the_demo_that_has_room_is_drawn_enlarged(size: str) -> None:
    """1.5 : 1 is the least; round a drawing 9 mm at each side are for its letters."""
    wide = SIZES[size][0] - 2 * (12.0 if SIZES[size][0] >= 200 else 10.0)
    for name in DEMO:
        (made,) = guides(demo(name))
        text = " ".join(words.text for words in words_of(guide_pages(made, *SIZES[size])))
        large = [float(times or 1) > 1 for times in re.findall(r"· drawn (?:at true size|([\d.]+) : [\d.]+)", text)]
        room = [1.5 * (side.bounds[2] - side.bounds[0]) + 18.0 <= wide for side in made.sides]
        assert large == room, name


@pytest.mark.parametrize("size", ["A4", "A5"])
def test_what_is_said_to_be_at_true_size_is_so_within_a_micrometre(size: str) -> None:
    (made,) = guides(demo("gannet"))
    (data,) = render(guide_pages(made, *SIZES[size]), ".pdf")
    for side, read in zip(made.sides, read_sides(data), strict=True):
        asked = (side.panel.width.value, side.panel.height.value)
        boxes = [_box(stroke.points) for stroke in read.strokes if stroke.closed and abs(stroke.width - 0.25) < 1e-3]
        true = [one for one in boxes if one == pytest.approx(asked, abs=1e-3)]
        assert len(true) == 1, f"{side.name}: {boxes}"


def _box(points: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return max(xs) - min(xs), max(ys) - min(ys)


# ------------------------------------------------------------------------------------------------------- what is said
@pytest.mark.parametrize("name", DEMO)
def test_what_the_job_sets_is_called_chosen_and_nothing_is_known_to_nothing(name: str) -> None:
    """Set is a distance from an edge that `at` names: no panel of these jobs leans there."""
    (made,) = guides(demo(name))
    chosen = 0
    for side in made.sides:
        for item in side.items:
            at = item.artwork.decal.at
            words = (at.mirrored() if item.artwork.hand == "right" else at).anchor.split()
            said = {row.distance.side: row.sureness for row in item.rows}
            assert all((said[way] == "mm, chosen") == (way in words) for way in said), (side.name, item.name, said)
            assert "± 0.00" not in " ".join(said.values())
            chosen += sum(way in words for way in said)
    assert chosen > 0


def test_a_distance_from_an_obstacle_says_how_sure_it_is(tmp_path: Path) -> None:
    """Limits of 0.04 mm for where a handle is and of 0.03 mm for its height make U = 2 / √3 · √(0.04² + 0.03²) = 0.058
    mm; for a band that hangs from the top edge a height known to 0.05 mm makes it 2 / √3 · √(0.04² + 0.03² + 0.05²) =
    0.082 mm (JCGM 100:2008, 4.3.7 and 5.1.2)."""

    def said(anchor: str, offset: str, known: tuple[str, str] = ("0.03", "0.04"), height: str = "10 mm ± 0.05") -> str:
        handle = f"{{rectangle: [4 mm ± 0.03, 1 mm ± {known[0]}], at: [8 mm ± 0.04, 3.5 mm ± {known[1]}]}}"
        text = JOB.replace("decals:", f"    obstacles:\n      handle: {handle}\ndecals:").replace(
            "10 mm ± 0.05", height
        )
        at = f"    margin: 0 mm\n    at: {{anchor: {anchor}, offset: [0 mm, {offset}]}}\n    artwork:"
        (made,) = guides(written(tmp_path, text.replace("    artwork:", at)))
        assert "Grey:handle." in "".join(words.plain for words in words_of(guide_pages(made)))
        (note,) = made.sides[0].items[0].notes
        return note

    assert said("top", "-1.5 mm") == "1.00 ± 0.08 mm from the handle"
    assert said("bottom", "5.5 mm") == "1.00 ± 0.06 mm from the handle"
    assert said("bottom", "5.5 mm", ("0.001", "0.001")) == "1.00 mm from the handle"
    assert said("bottom", "5.5 mm", height='"?"') == "close to the handle"


def test_what_is_grey_is_named_from_left_to_right() -> None:
    (made,) = guides(demo("h9"))
    seen = {side.name: paper_notes(side, templates_of(side)) for side in made.sides}
    assert seen["side, left"][1:] == ["Grey: from the left: front door, rear door."]
    assert seen["side, right"][1:] == ["Grey: from the left: rear door, front door."]
    assert seen["roof board"] == ["No card for 7: the strip beside is too narrow."]


def test_the_note_of_a_decal_and_the_cautions_stand_in_it() -> None:
    (made,) = guides(demo("dravenhoe"))
    notes = [note for side in made.sides for item in side.items for note in item.notes]
    assert "lay over the wheel arch and trim along it when dry" in notes
    assert "lies over 3: let that dry first" in notes
    shown = "".join(words.plain for words in words_of(guide_pages(made)))
    assert "trimalongitwhendry" in shown and LAW.split(";")[0].replace(" ", "") in shown


def test_a_decal_lies_after_those_under_it() -> None:
    (made,) = guides(demo("dravenhoe"))
    (rear,) = (side for side in made.sides if side.name == "rear")
    assert [item.name for item in rear.items] == ["rear chevrons", "plate"]


def test_sections_are_laid_from_the_nose() -> None:
    (made,) = guides(demo("h9"))
    left, right = (side for side in made.sides if side.panel.name == "side")
    assert [item.number for item in left.items] == ["1", "2", "3"]
    assert [item.number for item in right.items] == ["6", "5", "4"]


def test_edges_are_called_by_the_nose_only_on_the_sides_of_the_model() -> None:
    (made,) = guides(demo("dravenhoe"))
    edges = {side.name: {row.edge for item in side.items for row in item.rows} for side in made.sides}
    assert edges["door, left"] == {"front", "bottom", "top"}
    assert edges["cab front, left"] == {"left", "bottom"} and edges["cab front, right"] == {"right", "bottom"}


# ------------------------------------------------------------------------------------------------------------ mistakes
JOB = """\
job: van
body: white
panels:
  door:
    width: 20 mm ± 0.05
    height: 10 mm ± 0.05
decals:
  band:
    panel: door
    width: 8 mm
    height: 3 mm
    artwork:
      - field: {ink: black}
"""


def written(folder: Path, text: str) -> Run:
    path = folder / "van.yaml"
    path.write_text(text, encoding="utf-8")
    return Run([path])


def test_an_open_reading_stays_open_on_the_paper(tmp_path: Path) -> None:
    run = written(tmp_path, JOB.replace("20 mm ± 0.05", '"?"'))
    made = make_guide(run, [tmp_path / "guide.pdf"])
    assert "1 reading is open" in made.answer.done and made.answer.next.startswith("decalgen measure ")
    (side,) = guides(run)[0].sides
    assert {row.figure for item in side.items for row in item.rows} == {""}
    (read,) = read_sides(made.files[tmp_path / "guide.pdf"])
    assert [one.figure for one in read.decals[0].distances] == [None, None]
    assert template_of(side, side.items[0]) is None


@pytest.mark.parametrize(
    ("old", "new", "kind", "message", "fix"),
    [
        ("panel: door", "panel: dor", JobError, "there is no panel 'dor'", "door"),
        (JOB[JOB.index("decals:") :], "", InputError, "job 'van' has no decals", "add one below 'decals:'"),
        (
            "height: 3 mm",
            "height: 3 mm\n    at: [40 mm, 1 mm]",
            DecalgenError,
            "does not lie on panel 'door'",
            "its 'at'",
        ),
    ],
)
def test_a_mistake_is_told_with_its_fix(
    tmp_path: Path, old: str, new: str, kind: type[DecalgenError], message: str, fix: str
) -> None:
    run = written(tmp_path, JOB.replace(old, new, 1))
    with pytest.raises(kind) as caught:
        make_guide(run, [tmp_path / "guide.pdf"])
    assert message in str(caught.value) and fix in str(caught.value)
    assert not (tmp_path / "guide.pdf").exists()


def test_other_papers_and_endings_are_refused(tmp_path: Path) -> None:
    run = written(tmp_path, JOB)
    with pytest.raises(InputError, match="not made for 'A9'"):
        make_guide(run, [tmp_path / "guide.pdf"], "A9")
    with pytest.raises(OutputError, match="neither PDF nor HTML"):
        make_guide(run, [tmp_path / "guide.txt"])
    with pytest.raises(OutputError, match="is an input"):
        make_guide(run, [tmp_path / "van.yaml"])


def test_the_html_has_every_figure_true_sizes_and_nothing_from_elsewhere(tmp_path: Path) -> None:
    """Read by the standard library's own parser: no script, no address, the panel's outline in millimetres."""
    run = demo("gannet")
    data = make_guide(run, [tmp_path / "guide.html"]).files[tmp_path / "guide.html"].decode("utf-8")
    seen = _Html()
    seen.feed(data)
    assert not seen.open and "script" not in seen.tags and not seen.addresses
    (made,) = guides(run)
    for side in made.sides:
        for item in side.items:
            assert f"{item.number}  {item.name}" in seen.text
            assert all(row.figure in seen.text and row.words in seen.text for row in item.rows)
    assert seen.tags.count("input") == sum(len(side.items) for side in made.sides)
    assert all(width.endswith("mm") for width in seen.widths) and len(seen.widths) > len(made.sides)


class _Html(HTMLParser):
    """Tags, text, widths of drawings, and addresses other than of the page's own parts."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.open: list[str] = []
        self.addresses: list[str] = []
        self.widths: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag not in ("meta", "input"):
            self.open.append(tag)
        for key, value in attrs:
            if key in ("src", "href", "xlink:href") and not (value or "").startswith("#"):
                self.addresses.append(value or "")
            if tag == "svg" and key == "width":
                self.widths.append(value or "")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def test_numbers_are_those_of_the_same_jobs_on_film() -> None:
    paths = [REPOSITORY / "demo" / f"{name}.yaml" for name in DEMO]
    run = api.load(paths, printer=REPOSITORY / "demo" / "printer.yaml")
    asked = {one.label for one in pieces(run.jobs, run.printer, made={job.name: run.artworks(job) for job in run.jobs})}
    assert {item.number for made in guides(run) for side in made.sides for item in side.items} == asked
    (alone,) = guides(run, "h9")
    assert {item.number[0] for side in alone.sides for item in side.items} == {"C"}
    with pytest.raises(InputError, match="none of these jobs is called 'h8'"):
        guides(run, "h8")


def test_names_longer_than_a_line_wrap() -> None:
    job = jobs.job(replace(field("the band of the upper side as it was in its second year", 30.0, 8.0), panel="door"))  # type: ignore[type-var]
    document = guide_pages(made_of(job), *SIZES["A5"])
    assert not overlaps(words_of(document))
