"""What stands on a sheet's proof only: the check bars with boxes for their readings and the limits that pass, what
stays blank, and how to read the numbers; over film that stays blank, or on a page of its own. Pure; mm."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace

from shapely.geometry import Polygon, box

from decalgen.core import style
from decalgen.core.document import Page
from decalgen.core.geometry import Bounds, region
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper, paper_width, wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.flow import LEAST_PAPER
from decalgen.printer.acceptance import passing
from decalgen.printer.history import TOLERANCE
from decalgen.sheet.arrange import Sheet
from decalgen.sheet.check_bars import BAR_WORDS, BESIDE, DEEP, INSET, CheckBar, bar_lines
from decalgen.sheet.film_area import correction_of
from decalgen.sheet.labels import TRIANGLE, reads_turned
from decalgen.sheet.marks import cross_lengths

PAD = 2.0
"""Between the words and the edge of what they stand in, mm."""
COLUMN = 120.0
"""No line of words is longer, mm."""
GAP = 2.2
"""Between two blocks, mm."""
OFF_BAR = 2.5
"""Over the words of the horizontal bar, where there is room, mm."""
CODE_PT = 14.0
HOW = (
    "Print at 100 %, with all fitting and scaling off. Measure each bar three times, lifting the caliper between; if "
    "both pass, print on film."
)
DASH = (2.0, 1.5)


@dataclass(frozen=True)
class ProofWords:
    """What a proof says on its sheets. ``share``: how far a size may be off, as a part of it, None: not said; ``code``:
    what is typed with the readings, empty: nothing; ``jobs``: titles by the letters of the jobs."""

    share: float | None = None
    code: str = ""
    jobs: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class WordBlock:
    """Words that belong together: how high they are in a column of a width, and how they are drawn there, their top
    left corner given; ``at_bars``: whether they are written into at the bars. All mm."""

    height: Callable[[float], float]
    draw: Callable[[Sheaf, float, float, float], None]
    at_bars: bool = False


def write_bars(sheaf: Sheaf, sheet: Sheet, told: ProofWords) -> list[WordBlock]:
    """Bars and words onto a sheet's page, over the film that stays blank. Gives what has no room there."""
    blocks = _blocks(sheet, told)
    if sheet.bars.own_page:
        return blocks
    x0, y0, x1, y1 = sheet.bars.room
    out = INSET - 0.5
    corners = ((x0 - out, y0 - out), (x1 + out, y0 - out), (x1 + out, y1 + out), (x0 - out, y1 + out))
    sheaf.line(corners, style.LINE_DIMENSION, dash=DASH, closed=True)
    return _fill(sheaf, sheet.bars.room, sheet.bars.bars, blocks)


def bar_pages(sheet: Sheet, told: ProofWords, left: Sequence[WordBlock]) -> list[Page]:
    """Pages for what has no room on a sheet: the bars on one of the sheet's own size, as they prove that size; what
    words have no room beside them on pages of paper, however small the film."""
    pages: list[Page] = []
    bars = sheet.bars.bars if sheet.bars.own_page else ()
    todo = list(left)
    go_on = _paragraphs([(f"Sheet {sheet.index} of {sheet.of}, continued", style.TYPE_TITLE, True)])
    while bars or todo:
        size = (sheet.film.width, sheet.film.height)
        width, height = size if bars else (max(size[0], LEAST_PAPER[0]), max(size[1], LEAST_PAPER[1]))
        sheaf = Sheaf(width, height)
        rest = _fill(sheaf, _page_room(sheet, width, height), bars, todo if bars else [go_on, *todo])
        if not bars and len(rest) >= len(todo):
            rest = todo[1:]  # Not even alone on a page: margins as wide as that leave no room for these words.
        pages.append(_corrected(sheaf.page(), sheet))
        bars, todo = (), rest
    return pages


def _page_room(sheet: Sheet, width: float, height: float) -> Bounds:
    left, right, bottom, top = sheet.printer.margins
    return left, bottom, width - right, height - top


def _corrected(page: Page, sheet: Sheet) -> Page:
    return replace(page, correction=correction_of(sheet.printer))


def _fill(sheaf: Sheaf, room: Bounds, bars: Sequence[CheckBar], blocks: Sequence[WordBlock]) -> list[WordBlock]:
    """Bars with what is written into right at them, and the other blocks from the top down, in one column or two. Gives
    the blocks that have no room."""
    x0, y0, x1, y1 = room
    for bar in bars:
        _bar(sheaf, bar)
    left = x0 + PAD + (BESIDE + DEEP - PAD + 2.0 if any(bar.axis == "y" for bar in bars) else 0.0)
    foot = y0 + PAD + (BESIDE + DEEP - PAD + 1.0 if any(bar.axis == "x" for bar in bars) else 0.0)
    right, top = x1 - PAD, y1 - PAD
    wide = min(COLUMN, right - left)
    columns = 1 if _stack(blocks, wide) - GAP <= top - foot or right - left < 150.0 else 2
    if columns == 2:
        wide = min(COLUMN, (right - left - 6.0) / 2)
    low = [block for block in blocks if block.at_bars] if bars else []
    if _stack(low, wide) > top - foot:
        low = []
    todo = [block for block in blocks if block not in low]
    spare = max(0.0, top - foot - _stack([*low, *todo], wide))
    over = foot + _stack(low, wide) + (min(OFF_BAR, spare) if low else 0.0)
    _down(sheaf, low, (left, foot, wide, over - GAP))
    for n in range(columns):
        todo = _down(sheaf, todo, (left + n * (wide + 6.0), foot if n else over, wide, top))
    return todo


def _stack(blocks: Sequence[WordBlock], wide: float) -> float:
    """How high blocks are in a column of a width, with a gap under each, mm."""
    return sum(block.height(wide) + GAP for block in blocks)


def _down(sheaf: Sheaf, blocks: Sequence[WordBlock], column: tuple[float, float, float, float]) -> list[WordBlock]:
    """Blocks from the top of a column (left, foot, width, top) down. Gives those from the first one without room on."""
    left, foot, wide, y = column
    for n, block in enumerate(blocks):
        if y - block.height(wide) < foot - 1e-6:
            return list(blocks[n:])
        block.draw(sheaf, left, y, wide)
        y -= block.height(wide) + GAP
    return []


def _bar(sheaf: Sheaf, bar: CheckBar) -> None:
    sheaf.items += bar_lines(bar)
    words = f"{BAR_WORDS[bar.axis]} {bar.length:.2f} mm"
    if paper_width(words, style.TYPE_REST) > bar.length - 2.0:
        words = f"{bar.length:.2f} mm"
    middle = bar.length / 2
    if bar.axis == "x":
        sheaf.text(bar.x + middle, bar.y + 3.4, words, style.TYPE_REST, align="centre")
    else:
        cap = paper("0", style.TYPE_REST).cap_height
        sheaf.text(bar.x + 3.4 + cap, bar.y + middle, words, style.TYPE_REST, align="centre", turn=90)


# ----------------------------------------------------------------------------------------------------------- blocks
def _blocks(sheet: Sheet, told: ProofWords) -> list[WordBlock]:
    """The words of a sheet's proof, what is needed at the caliper first."""
    name = f"Proof of sheet {sheet.index} of {sheet.of}: {sheet.film.name}"
    found = [_paragraphs([(name, style.TYPE_TITLE, True)])]
    found.append(_paragraphs([(HOW, style.TYPE_BODY, False)]))
    if told.code:
        found.append(_code(told.code))
    found += _readings(sheet.bars.bars, told.share)
    found.append(_blank(sheet))
    crosses = _crosses(sheet)
    if crosses:
        found.append(_headed("On the film, cross to cross", crosses))
    numbers = _numbers(sheet, told.jobs)
    found.append(_side_by_side(numbers, _jobs(told.jobs)) if told.jobs else numbers)
    return found


def _paragraphs(rows: Sequence[tuple[str, float, bool]]) -> WordBlock:
    """Paragraphs, each with its type size and whether it is bold."""

    def lines(width: float) -> list[tuple[str, float, bool]]:
        return [(line, size, bold) for text, size, bold in rows for line in wrap(text, size, width, bold)]

    def height(width: float) -> float:
        return sum(size * POINT_MM * style.LEADING for _, size, _ in lines(width))

    def draw(sheaf: Sheaf, x: float, y: float, width: float) -> None:
        for text, size, bold in lines(width):
            step = size * POINT_MM * style.LEADING
            sheaf.text(x, y - 0.75 * step, text, size, bold=bold)
            y -= step

    return WordBlock(height, draw)


def _headed(head: str, text: str) -> WordBlock:
    return _paragraphs([(head, style.TYPE_BODY, True), (text, style.TYPE_REST, False)])


def _code(code: str) -> WordBlock:
    """The code, large, with what it is for."""
    words = "is typed with the readings"

    def draw(sheaf: Sheaf, x: float, y: float, width: float) -> None:
        cap = paper("0", CODE_PT, True).cap_height
        line = sheaf.text(x, y - cap - 0.5, code, CODE_PT, bold=True)
        if line.width + 2.0 + paper_width(words, style.TYPE_REST) <= width:
            sheaf.text(x + line.width + 2.0, y - cap - 0.5, words, style.TYPE_REST)

    return WordBlock(lambda width: 5.0, draw, at_bars=True)


def _readings(bars: Sequence[CheckBar], share: float | None) -> list[WordBlock]:
    """A block a bar, their boxes in line."""
    said = []
    for bar in bars:
        low, high = passing(bar.length, share or 0.0)
        passes = f"mean {low:.2f} to {high:.2f} passes" if low <= high else "too short for a caliper"
        said.append((BAR_WORDS[bar.axis], "" if share is None else passes))
    widths = [max(paper_width(name, style.TYPE_BODY, True), paper_width(says, style.TYPE_BODY)) for name, says in said]
    return [_boxes(name, says, max(widths) + 3.0) for name, says in said]


def _boxes(name: str, says: str, label: float) -> WordBlock:
    """Boxes for three readings, with a bar's name and the limits beside them, or above in a narrow column."""
    wide, high_box = style.READING_BOX

    def grid(width: float) -> tuple[bool, int]:
        """Whether the name stands beside the boxes, and how many of these go in a row."""
        if width >= label + 3 * wide + 4.0:
            return True, 3
        return False, max(1, min(3, int((width + 2.0) / (wide + 2.0))))

    def above(width: float) -> WordBlock:
        return _paragraphs([(name, style.TYPE_BODY, True), *([(says, style.TYPE_BODY, False)] if says else [])])

    def height(width: float) -> float:
        beside, count = grid(width)
        rows = -(-3 // count)
        boxes = rows * (high_box + 1.0) - 1.0
        return boxes if beside else above(width).height(width) + 1.0 + boxes

    def draw(sheaf: Sheaf, x: float, y: float, width: float) -> None:
        beside, count = grid(width)
        if beside:
            step = style.TYPE_BODY * POINT_MM * style.LEADING
            above(label).draw(sheaf, x, y - (high_box - 2 * step) / 2, label)
            x += label
        else:
            above(width).draw(sheaf, x, y, width)
            y -= above(width).height(width) + 1.0
        for n in range(3):
            row, column = divmod(n, count)
            low = y - high_box - row * (high_box + 1.0)
            sheaf.box(x + column * (wide + 2.0), low, wide, high_box, style.LINE_PANEL)

    return WordBlock(height, draw, at_bars=True)


def _blank(sheet: Sheet) -> WordBlock:
    if sheet.rest is None:
        return _headed("Stays blank on the film", "nothing that is worth keeping.")
    x0, y0, x1, y1 = sheet.rest
    said = f"{x1 - x0:.0f} × {y1 - y0:.0f} mm in one piece, 1 mm off all that is printed."
    if not sheet.bars.own_page:
        said += " Bars and words inside the dashed line are on the proof only."
    return _headed("Stays blank on the film", said)


def _crosses(sheet: Sheet) -> str:
    """The lengths to measure on the film, and which of them are too short to show that it is right."""
    lengths = cross_lengths(sheet.furniture.registration)
    if not lengths:
        return ""
    said = ", ".join(f"{one.which} {one.length:.2f} mm" for one in lengths)
    said += f" (to {100 * TOLERANCE:g} %)."
    for one in lengths:
        way = "width" if one.axis == "x" else "height"
        if not one.measured:
            said += f" The {one.which} are too near each other to measure: prove the {way} here."
        elif not one.proves:
            said += f" The {one.which} can only refuse a wrong {way}: prove it here."
    if sheet.furniture.words:
        said += f" The film is marked {sheet.furniture.words}."
    return said


def _numbers(sheet: Sheet, jobs: Mapping[str, str]) -> WordBlock:
    """How a number is read, for what there is on the sheet."""
    first = sheet.placed[0].piece
    of_job = f" of job {first.letter}" if jobs else ""
    rows: list[tuple[str, str]] = [(first.label, f"decal {first.number}{of_job}; its copies share the number")]
    if any(one.piece.artwork.hand for one in sheet.placed):
        rows.append(("◂", "points to the nose of the model"))
    rows.append(("6", "the line is below the number: not a 9"))
    step = style.TYPE_REST * POINT_MM * style.LEADING + 0.4
    first_column = max(8.0, paper_width(first.label, style.TYPE_BODY, True) + 3.0)

    def told(width: float) -> list[tuple[str, list[str]]]:
        return [(sign, wrap(text, style.TYPE_REST, width - first_column)) for sign, text in rows]

    def height(width: float) -> float:
        return style.TYPE_BODY * POINT_MM * style.LEADING + sum(len(lines) for _, lines in told(width)) * step

    def draw(sheaf: Sheaf, x: float, y: float, width: float) -> None:
        y -= style.TYPE_BODY * POINT_MM * style.LEADING
        sheaf.text(x, y + 1.0, "Read a number", style.TYPE_BODY, bold=True)
        for sign, lines in told(width):
            y -= step
            _sign(sheaf, x, y + 1.0, sign)
            for n, line in enumerate(lines):
                sheaf.text(x + first_column, y + 1.0 - n * step, line, style.TYPE_REST)
            y -= (len(lines) - 1) * step

    return WordBlock(height, draw)


def _sign(sheaf: Sheaf, x: float, y: float, sign: str) -> None:
    """What is explained, as it looks on the film: a number, the triangle, the line under a 6."""
    cap = paper("0", style.TYPE_BODY, True).cap_height
    if sign == "◂":
        tip = Polygon([(x, y + cap / 2), (x + TRIANGLE * cap, y), (x + TRIANGLE * cap, y + cap)])
        sheaf.fill(region(tip), style.TEXT)
        return
    end = x + sheaf.text(x, y, sign, style.TYPE_BODY, bold=True).width
    if reads_turned(sign):
        x += paper_width(sign.rstrip("0123456789"), style.TYPE_BODY, True)
        sheaf.fill(region(box(x, y - 0.6, end, y - 0.35)), style.TEXT)


def _jobs(jobs: Mapping[str, str]) -> WordBlock:
    """The letters of the jobs."""
    step = style.TYPE_REST * POINT_MM * style.LEADING + 0.4
    head = style.TYPE_BODY * POINT_MM * style.LEADING

    def told(width: float) -> list[tuple[str, list[str]]]:
        return [(letter, wrap(title, style.TYPE_REST, width - 8.0)) for letter, title in jobs.items()]

    def height(width: float) -> float:
        return head + sum(len(lines) for _, lines in told(width)) * step

    def draw(sheaf: Sheaf, x: float, y: float, width: float) -> None:
        y -= head
        sheaf.text(x, y + 1.0, "Jobs", style.TYPE_BODY, bold=True)
        for letter, lines in told(width):
            sheaf.text(x, y - step + 1.0, letter, style.TYPE_BODY, bold=True)
            for line in lines:
                y -= step
                sheaf.text(x + 8.0, y + 1.0, line, style.TYPE_REST)

    return WordBlock(height, draw)


def _side_by_side(one: WordBlock, other: WordBlock) -> WordBlock:
    """Two blocks beside each other where a column is wide enough, else one under the other."""

    def beside(width: float) -> bool:
        return width >= 105.0

    def half(width: float) -> float:
        return (width - 5.0) / 2

    def height(width: float) -> float:
        if beside(width):
            return max(one.height(half(width)), other.height(half(width)))
        return one.height(width) + GAP + other.height(width)

    def draw(sheaf: Sheaf, x: float, y: float, width: float) -> None:
        if beside(width):
            one.draw(sheaf, x, y, half(width))
            other.draw(sheaf, x + half(width) + 5.0, y, half(width))
            return
        one.draw(sheaf, x, y, width)
        other.draw(sheaf, x, y - one.height(width) - GAP, width)

    return WordBlock(height, draw)
