"""Small text for paperwork (proofs, cards, guides): one face, sizes in points, figures of one width."""

from __future__ import annotations

import re
import unicodedata
from functools import cached_property, lru_cache

from shapely.geometry import MultiPolygon

from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.lettering.borrowing import lender
from decalgen.lettering.faces import face, paper_face
from decalgen.lettering.outlines import TextRun, join, placed, rounded_down, runs_of
from decalgen.lettering.shaping import Axes, cap_share, checked_axes, outline, shape
from decalgen.lettering.typeface import Face, LetteringError

"""A typographic point, mm."""

SMOOTH = 0.008
"""How far small print may lie from its true curves, mm: a third of a dot at 1200 dpi, for much smaller proofs."""

ORDINARY = 200
"""A text of so many characters is measured again and again as it is broken into lines."""
FIRST_ACCENT = "\u0300"
"""Accents that join the letter before them, and letters that run to the left, begin here."""

WEIGHTS = {False: 450.0, True: 700.0}
_FEATURES = (("tnum", True), ("lnum", True))


@dataclass(frozen=True)
class PaperGlyph:
    """A letter with its origin at x, y, mm; ``key`` is the same wherever the same letter of that size stands."""

    key: str
    region: MultiPolygon
    x: float
    y: float


@dataclass(frozen=True)
class PaperText:
    """A line of small text, mm: its pen starts at x = 0 on the baseline y = 0; ``width`` is its advance.

    Figures are of one width, so columns of them line up when each starts at x minus its ``width``.
    """

    width: float
    size: float
    cap_height: float
    glyphs: tuple[PaperGlyph, ...] = ()
    """The letters one by one, for files that draw a letter once and place it many times."""

    @cached_property
    def region(self) -> MultiPolygon:
        """The letters as one area, which few ask for."""
        return join([placed(one.region, 1.0, one.x, one.y) for one in self.glyphs])


def unmarked(text: str) -> str:
    """The text as it is set on paper: what a screen shows between backticks, paper shows between quotes."""
    return re.sub(r"`([^`\n]*)`", "\N{LEFT SINGLE QUOTATION MARK}\\1\N{RIGHT SINGLE QUOTATION MARK}", text)


@lru_cache(maxsize=4096)
def paper(text: str, size_pt: float, bold: bool = False) -> PaperText:
    """``text`` at ``size_pt`` points in the paper face. Empty text gives an empty region.

    A character no face has is shown as a question mark: paperwork always prints. Raises `LetteringError`
    for a size outside 1 to 400 pt.
    """
    em = _em(size_pt)
    glyphs: list[PaperGlyph] = []
    x = 0.0
    for run in _runs(text, bold):
        weight = "bold" if bold else "book"
        kind = f"{''.join(c for c in run.face.name if c.isascii() and c.isalnum())}-{weight}-{size_pt!r}".replace(
            ".", "-"
        )
        for glyph in shape(run.face.file, run.axes, run.text, _FEATURES):
            ink = _at_origin(run.face.file, run.axes, glyph.gid, em)
            if not ink.is_empty:
                glyphs.append(PaperGlyph(f"{kind}-{glyph.gid}", ink, x + glyph.x * em, glyph.y * em))
        x += _advance(run) * em
    return PaperText(x, em, em * paper_cap_height(bold), tuple(glyphs))


@lru_cache(maxsize=4096)
def _at_origin(file: str, axes: Axes, gid: int, em: float) -> MultiPolygon:
    """A glyph where its pen begins: one area however many texts it stands in."""
    return placed(outline(file, axes, gid, rounded_down(SMOOTH / em)), em, 0.0, 0.0)


@lru_cache(maxsize=4096)
def paper_width(text: str, size_pt: float, bold: bool = False) -> float:
    """The advance of ``text`` at ``size_pt`` points, mm, without drawing it."""
    return sum(_advance(run) for run in _runs(text, bold)) * _em(size_pt)


def paper_cap_height(bold: bool = False) -> float:
    """The height of the paper face's capitals, as a share of its size."""
    home = paper_face()
    return cap_share(home.file, _axes(home, bold))


def wrap(text: str, size_pt: float, width_mm: float, bold: bool = False) -> list[str]:
    """``text`` broken into lines no wider than ``width_mm`` at ``size_pt`` points; its own line breaks are
    kept.

    A number stays in one line with its unit and with its ±. A word wider than the line is broken between letters.
    Always gives at least one line.
    """
    lines: list[str] = []
    for paragraph in unmarked(text).split("\n"):
        line = ""
        for word in _unparted(paragraph, size_pt, width_mm, bold):
            longer = f"{line} {word}" if line else word
            if paper_width(longer, size_pt, bold) <= width_mm:
                line = longer
                continue
            if line:
                lines.append(line)
            *full, line = _broken(word, size_pt, width_mm, bold)
            lines += full
        lines.append(line)
    return lines


_HELD = re.compile(r"(?<=\d) (?=(?:mm|cm|pt|dpi)\b|cm²|mm²|[%°])| (?=±)|(?<=±) (?=\d)")
_TIE = "\N{NO-BREAK SPACE}"


def _unparted(paragraph: str, size_pt: float, width_mm: float, bold: bool) -> list[str]:
    """What is not parted at the end of a line: words, and numbers with what belongs to them if a line holds them."""
    found: list[str] = []
    for held in _HELD.sub(_TIE, " ".join(paragraph.split())).split(" "):
        whole = held.replace(_TIE, " ")
        found += [whole] if paper_width(whole, size_pt, bold) <= width_mm else whole.split(" ")
    return [one for one in found if one]


def _broken(word: str, size_pt: float, width_mm: float, bold: bool) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and paper_width(pieces[-1] + character, size_pt, bold) > width_mm:
            pieces.append("")
        pieces[-1] += character
    return pieces


def _em(size_pt: float) -> float:
    if not 1 <= size_pt <= 400:
        raise LetteringError(f"a type size of {size_pt:g} pt is out of range", "use 6 to 24 pt")
    return size_pt * POINT_MM


@lru_cache(maxsize=4)
def _weighted(name: str, bold: bool) -> Axes:
    home = face(name)
    wished = {"wght": WEIGHTS[bold]} if "wght" in home.defaults else {}
    return checked_axes(home, wished)


def _axes(home: Face, bold: bool) -> Axes:
    return _weighted(home.name, bold)


@lru_cache(maxsize=4096)
def _runs(text: str, bold: bool) -> tuple[TextRun, ...]:
    text = unmarked(text)
    home = paper_face()
    clean = "".join(" " if c.isspace() else c for c in text)
    clean = "".join(c for c in clean if unicodedata.category(c) not in ("Cc", "Cs", "Cf"))
    if not clean.strip():
        return (TextRun(home, _axes(home, bold), clean),) if clean else ()
    if len(clean) <= ORDINARY and all(map(_of_home, clean)):
        return (TextRun(home, _axes(home, bold), clean),)
    runs, missing, _ = runs_of(clean, home, _axes(home, bold))
    if missing:
        for cluster in missing:
            clean = clean.replace(cluster, "?")
        runs, _, _ = runs_of(clean, home, _axes(home, bold))
    return tuple(runs)


@lru_cache(maxsize=1024)
def _of_home(character: str) -> bool:
    """Whether a character is a letter or sign by itself that the paper face has and that is read to the right: a text
    of such is one run, and need not be taken apart."""
    return character < FIRST_ACCENT and lender(character, paper_face()) == paper_face()


@lru_cache(maxsize=4096)
def _advance(run: TextRun) -> float:
    return sum(glyph.advance for glyph in shape(run.face.file, run.axes, run.text, _FEATURES))
