"""Pages of faces: a specimen of them all, and all of them drawn to the measures of one original. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import MultiPolygon

from decalgen.core import style
from decalgen.core.document import Document, Fill, Page
from decalgen.core.geometry import Matrix, Outline, polygons, region, transform
from decalgen.lettering.faces import face as face_named
from decalgen.lettering.faces import faces
from decalgen.lettering.rank import Ranked, broken
from decalgen.lettering.typeface import Face, OwnFaceName
from decalgen.lettering.typesetting import typeset
from decalgen.pages.composer import Sheaf

A4 = (210.0, 297.0)
PAD, GUTTER = 12.0, 8.0
CELL = (A4[0] - 2 * PAD - GUTTER) / 2
SAMPLE = 4.7
"""Cap height of a face's sample, mm, where the words leave room for it."""
SMALL = 2.2
"""Cap height of the alphabets."""
MOST_ON_A_PAGE = 22
"""More faces take another page."""
MOST_CALLED = 24
"""Letters of a face's name that are shown."""
CAPITALS, FIGURES = "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "0123456789"

AXES = {
    "wght": "weight",
    "wdth": "width",
    "XOPQ": "stem",
    "YOPQ": "crossbar",
    "XTRA": "counters",
    "slnt": "slant",
}
"""What the axes do that an eye sees first, in plain words."""


def axes_text(face: Face) -> str:
    """The settings of a face as a job writes them, with their ranges; '' for a face without."""
    return ", ".join(f"{axis.tag} {axis.least:g} to {axis.most:g}" for axis in face.axes)


def suited(face: Face) -> str:
    """What kind of face it is and what it suits, in one line."""
    return f"{face.category}: {face.suits}" if face.category != "own" else face.suits


def specimen_page(text: str, own: Sequence[str] = ()) -> Document:
    """Every face, those of a job's ``own`` first, with ``text``, its alphabet, and what it suits, on A4 pages. Raises
    `LetteringError`."""
    found = (*map(face_named, own), *faces())
    pages = -(-len(found) // MOST_ON_A_PAGE)
    share = -(-len(found) // pages)
    parts = [found[first : first + share] for first in range(0, len(found), share)]
    return Document(tuple(_page_of(part, text, share) for part in parts), title="Faces for lettering")


def _page_of(found: Sequence[Face], text: str, most: int) -> Page:
    """Some faces, with room for ``most``, down the first column and then the second."""
    rows = -(-most // 2)
    sheaf = Sheaf(*A4)
    sheaf.text(PAD, A4[1] - PAD - 3, "Faces for lettering", style.TYPE_TITLE, bold=True)
    under = "Where a face has weights, its alphabet runs from the lightest to the heaviest."
    sheaf.text(A4[0] - PAD, A4[1] - PAD - 3, under, style.TYPE_REST, align="right")
    top = A4[1] - PAD - 8
    high = (top - PAD) / rows
    for i, face in enumerate(found):
        column, row = divmod(i, rows)
        _specimen(sheaf, PAD + column * (CELL + GUTTER), top - row * high, face, text)
    return sheaf.page()


def _specimen(sheaf: Sheaf, x: float, y: float, face: Face, text: str) -> None:
    """One face, below y."""
    sheaf.line(((x, y), (x + CELL, y)), style.LINE_RULE, style.RULE)
    y -= 4.2
    name = sheaf.text(x, y, _called(face.name), style.TYPE_BODY, bold=True)
    if not face.drawn and face.category != "own":
        sheaf.text(x + name.width + 2.5, y, face.category, style.TYPE_REST)
    told = [AXES.get(axis.tag, axis.tag) for axis in face.axes]
    if told:
        known = [word for word in told if word in AXES.values()]
        words = ", ".join(told) if len(told) < 6 else f"{', '.join((known or told)[:2])} and {len(told) - 2} more"
        sheaf.text(x + CELL, y, f"adjustable: {words}", style.TYPE_REST, align="right")
    y -= 7.0
    line = typeset(text, face=face.name, cap_height=SAMPLE)
    _set(sheaf, line.region, x, y, min(1.0, CELL / line.width))
    y -= 4.4
    _alphabet(sheaf, x, y, face)
    others = sorted({str(letter.face) for letter in line.letters if letter.face != face.name})
    lent = f"; letters of the words that it lacks are set in {', '.join(others)}" if others else ""
    own = isinstance(face.name, OwnFaceName)
    sheaf.paragraph(x, y - 3.7, CELL, face.suits + lent if own else face.suits, style.TYPE_REST, leading=1.12)


def _called(name: str) -> str:
    """The name of a face, shortened: one of a job's own may be long."""
    return name if len(name) <= MOST_CALLED else f"{name[: MOST_CALLED - 1]}\u2026"


def _alphabet(sheaf: Sheaf, x: float, y: float, face: Face) -> None:
    """Capitals and figures, over the whole width of the cell at most."""
    weight = next((axis for axis in face.axes if axis.tag == "wght"), None)
    parts: list[tuple[MultiPolygon, float]] = []
    across = 0.0
    for n, letter in enumerate(CAPITALS):
        share = n / (len(CAPITALS) - 1)
        axes = None if weight is None else {"wght": weight.least + share * (weight.most - weight.least)}
        line = typeset(letter, face=face.name, cap_height=SMALL, axes=axes)
        parts.append((line.region, across))
        across += line.width + 0.22 * SMALL
    figures = typeset(FIGURES, face=face.name, cap_height=SMALL)
    parts.append((figures.region, across + 0.8 * SMALL))
    scale = min(1.0, CELL / (across + 0.8 * SMALL + figures.width))
    for area, left in parts:
        _set(sheaf, area, x + left * scale, y, scale)


def _set(sheaf: Sheaf, area: MultiPolygon, x: float, y: float, scale: float) -> None:
    place: Matrix = (scale, 0.0, 0.0, scale, x, y)
    sheaf.items.append(Fill(region(transform(area, place)), style.TEXT))


def likeness(one: Ranked, of: str = " of the tracing") -> str:
    """How like a face is, in words; ``of``: what it covers, empty where that is told beside."""
    bent = f"bent by {one.strain:.0%}"
    found = bent if one.overlap is None else f"covers {one.overlap:.0%}{of}, {bent}"
    if broken(one):
        found += ", strokes lost"
    return found


def like_page(text: str, ranked: Sequence[Ranked], traced: MultiPolygon | None, best: Ranked | None = None) -> Document:
    """The faces drawn to the same measures, the most like first; what was traced as a line round each. ``best``: the
    word with a face a letter, before all of them."""
    called = [f"{i}. {_called(one.face)}" for i, one in enumerate(ranked, 1)]
    if best is not None:
        ranked, called = (best, *ranked), ["A face a letter", *called]
    widest = max(one.matched.width for one in ranked)
    scale = min(CELL / widest, 8.0 / ranked[0].matched.cap_height)
    # Room for accents above and tails below the capitals.
    up = max(0.0, max(one.matched.region.bounds[3] for one in ranked)) * scale
    down = max(0.0, -min(one.matched.region.bounds[1] for one in ranked)) * scale
    high = up + down + 10.0
    rows = -(-len(ranked) // 2)
    notes = [
        f"All are drawn {scale:.3g} : 1 to the same measures, the best match first. Bent: how far a face had to be "
        "forced. Very adjustable faces bend little in any case, and rank lower for it.",
    ]
    if traced is not None:
        notes.append("The line round the letters is the tracing, which a face covers by so much.")
    if best is not None:
        notes.append(f"A face a letter: {best.matched.sources}.")
    sheaf = Sheaf(A4[0], PAD + 20.0 + 4.0 * len(notes) + rows * high + PAD)
    y = sheaf.height - PAD - 3
    sheaf.text(PAD, y, f"Faces like the original of \u2018{text}\u2019", style.TYPE_TITLE, bold=True)
    y -= 6
    for note in notes:
        y = sheaf.paragraph(PAD, y, A4[0] - 2 * PAD, note, style.TYPE_REST)
    for i, one in enumerate(ranked):
        column, row = divmod(i, rows)
        x, foot = PAD + column * (CELL + GUTTER), y - row * high - up - 1
        _set(sheaf, one.matched.region, x, foot, scale)
        if traced is not None:
            for part in polygons(traced):
                outline = Outline.from_polygon(part).moved((scale, 0.0, 0.0, scale, x, foot))
                sheaf.outline(outline, 0.12, style.ERROR)
        sheaf.text(x, foot - down - 4.2, called[i], style.TYPE_REST, bold=True)
        sheaf.text(x + CELL, foot - down - 4.2, likeness(one, of=""), style.TYPE_REST, align="right")
    return Document((sheaf.page(),), title=f"Faces like the original of '{text}'")
