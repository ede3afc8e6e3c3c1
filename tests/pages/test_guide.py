"""The placement guide: what stands in it, and whether somebody with nothing but its pages finds every place.

The simulated restorer reads the PDF by another program (`tests.helpers.guide_reader`, pikepdf): the panel as it is
drawn, the figures in the list, and where the line of each letter is. From these alone each decal is laid, and compared
with where the job puts it.
"""

from __future__ import annotations

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
from decalgen.pages.guide import GuideMade, guide_pages
from decalgen.pages.guide_sides import GuideItem, GuideSide, guide_sides
from decalgen.pages.guide_templates import LEAST_STRIP, template_of
from decalgen.shapes.base import At, Box
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


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DEMO)
def test_with_the_pages_alone_each_decal_of_the_demo_finds_its_place(name: str, size: str) -> None:
    """Within 0.05 mm, both hands: half a unit of the last figure is 0.005."""
    (made,) = guides(demo(name))
    (data,) = render(guide_pages(made, *SIZES[size]), ".pdf")
    assert check_placing(made.sides, read_sides(data)) == sum(len(side.items) for side in made.sides) > 0


@pytest.mark.parametrize("seed", range(12))
def test_generated_jobs_can_be_placed_and_read(seed: int) -> None:
    """Two hundred of them: `tests/benchmarks/guide.py`."""
    check_generated(seed)


def check_generated(seed: int) -> int:
    """Words of a generated job's guide lie apart and off the margin on one size of paper in turn, and its decals find
    their places. Gives the number of decals."""
    job = crowded_job(seed, most=3 + seed % 4, long=seed % 5 == 0)
    made = made_of(job)
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


# ------------------------------------------------------------------------------------------------------------ the cards
@pytest.mark.parametrize("name", DEMO)
def test_the_stop_and_the_ticks_of_a_card_show_the_place(name: str) -> None:
    (made,) = guides(demo(name))
    cards = 0
    for side in made.sides:
        for item in side.items:
            card = template_of(side, item)
            if card is None:
                continue
            cards += 1
            x, y = place_of(item, side)
            x0, y0, x1, y1 = item.artwork.cut_polygon.bounds
            x1, y1 = x + x1 - x0, y + y1 - y0
            upright = card.side in ("left", "right")
            stop = {"left": x, "right": x1, "bottom": y, "top": y1}[card.side]
            assert [c[not upright] for c in card.stop.coords] == pytest.approx([stop, stop], abs=0.05)
            ends = sorted(tick.coords[0][upright] for tick in card.ticks)
            assert ends == pytest.approx([y, y1] if upright else [x, x1], abs=0.05)
            assert side.panel.outline.polygon.buffer(1e-6).covers(card.card)
            assert card.card.intersection(item.cut).area < 1e-6, "it lies on the decal's place"
            assert card.tab is None, "no edge of the demo is free"
    assert (cards > 0) == (name != "none")


def one_side(*decals: object, **more: object) -> GuideSide:
    job = jobs.job(*decals, panels=(jobs.panel(**more),))  # type: ignore[arg-type]
    (side,) = guide_sides(job, pieces([job], jobs.PRINTER))
    return side


def field(name: str, width: float, height: float, **more: object) -> object:
    return jobs.decal(name, width, height, jobs.element("field", ink="orange"), **more)


def test_a_tab_folds_over_a_free_edge_only() -> None:
    decal = field("band", 30.0, 8.0, at=At("bottom", 0.0, 2.0))
    fixed, free = one_side(decal), one_side(decal, free=("top",))
    assert (card := template_of(fixed, fixed.items[0])) is not None and card.tab is None and card.side == "top"
    card = template_of(free, free.items[0])
    assert card is not None and card.tab is not None and card.tab.bounds == pytest.approx((0.0, 40.0, 60.0, 47.0))


def test_a_strip_too_narrow_to_hold_gives_no_card() -> None:
    narrow = one_side(field("band", 60.0 - 2 * LEAST_STRIP + 0.2, 40.0 - 2 * LEAST_STRIP + 0.2))
    assert template_of(narrow, narrow.items[0]) is None
    wide = one_side(field("band", 60.0 - 2 * LEAST_STRIP - 0.2, 40.0 - 2 * LEAST_STRIP + 0.2))
    assert template_of(wide, wide.items[0]) is not None


def test_a_card_leaves_what_stands_up_open() -> None:
    side = one_side(field("band", 30.0, 4.0, at=At("bottom", 0.0, 1.0)), obstacles=(jobs.handle(),))
    card = template_of(side, side.items[0])
    assert card is not None and card.card.distance(jobs.handle().outline.polygon) >= 0.3 - 1e-3


# ------------------------------------------------------------------------------------------------------- what is said
def test_what_the_job_sets_is_called_chosen_and_nothing_is_known_to_nothing() -> None:
    for name in DEMO:
        (made,) = guides(demo(name))
        rows = [row for side in made.sides for item in side.items for row in item.rows]
        assert any(row.sureness == "mm, chosen" for row in rows) or name in ("h9", "ostmerrow", "dravenhoe")
        assert not [row.sureness for row in rows if "± 0.00" in row.sureness]


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
