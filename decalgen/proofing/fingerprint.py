"""The fingerprint of sheets as they would be printed now, and the short code on a proof that follows from it. Pure.

A proof proves one thing: that these decals in these inks, at these places, with this film and this printer's
correction, come out at their size. So its verdict is tied to a fingerprint of all that is printed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import fields

import shapely

from decalgen.artwork.build import Artwork
from decalgen.core.digests import digest_of
from decalgen.core.pixels.values import PictureData
from decalgen.core.svg.text import DrawingText
from decalgen.core.values import dataclass
from decalgen.job.model import Printer
from decalgen.lettering.typeface import OwnFaceName
from decalgen.printer.history import Setting
from decalgen.shapes.group import inside_groups
from decalgen.shapes.lettering import Lettering
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.digest import NOT_NESTED

NOT_PRINTED_OF_FILM = (*NOT_NESTED, "sheets")
"""What moves nothing, and how many sheets of a film there are, change nothing printed; what follows from its colour and
opacity is in the inks."""
NOT_SIZE = ("swatches", "profile", "white", "misregister", "history", "shop", "notes")
"""What of a printer decides no size: its colours, and what is noted of its past, but for the tray and the way of
feeding. What follows from them in colour and words stands in the decals and the marks."""
LETTERS = "BCDFGHJKLMNPRSTVWXZ"
"""Of a code: no vowel, so that no word comes of it, and neither Q nor Y. There are nineteen, a prime, so that the check
letter finds every single wrong letter and every two swapped (ISO/IEC 7064 asks the same of its systems)."""
LENGTH = 5


@dataclass(frozen=True)
class Fingerprint:
    """SHA-256 of each of the things that a proof stands for. ``marks`` is all that is printed beside the decals."""

    decals: str
    positions: str
    film: str
    printer: str
    marks: str

    def changed(self, other: Fingerprint) -> list[str]:
        """What differs, in words."""
        said = {
            "decals": "the decals",
            "positions": "their positions",
            "film": "the film",
            "printer": "the printer",
            "marks": "the marks beside them",
        }
        found = [said[one.name] for one in fields(self) if getattr(self, one.name) != getattr(other, one.name)]
        # The line of text names film and printer: it changes with them, and that is no news.
        return [words for words in found if words != said["marks"]] or found


def fingerprint(arrangement: Arrangement) -> Fingerprint:
    """Of an arrangement as it would be printed now."""
    decals = sorted(
        digest_of({"key": placed.piece.key, "copy": placed.piece.copy, "drawn": _drawn(placed.piece.artwork)})
        for sheet in arrangement.sheets
        for placed in sheet.placed
    )
    places = sorted(
        digest_of(
            {
                "key": p.key,
                "copy": p.copy,
                "film": p.film,
                "sheet": p.sheet,
                "at": (round(p.x, 6), round(p.y, 6)),
                "turn": p.turn,
            }
        )
        for p in arrangement.positions
    )
    films = [digest_of(sheet.film, NOT_PRINTED_OF_FILM) for sheet in arrangement.sheets]
    printers = [way_printed(sheet.printer) for sheet in arrangement.sheets]
    marks = [_marks(sheet) for sheet in arrangement.sheets]
    return Fingerprint(*(digest_of(part) for part in (decals, places, films, printers, marks)))


def way_printed(printer: Printer) -> str:
    """What of a printer decides the size: itself, its correction, and the tray and way of feeding that it is for, as
    each path through a printer pulls paper in its own way."""
    setting = printer.history.setting if printer.history else None
    itself = digest_of(printer, NOT_SIZE)
    if setting is None or (setting.tray, setting.feed) == (Setting.tray, Setting.feed):
        return itself  # as in proofs of before
    return digest_of({"printer": itself, "tray": setting.tray, "feed": setting.feed})


def _drawn(artwork: Artwork) -> dict[str, object]:
    """What of a decal is printed and cut, and in which colours: of inks it does not print nothing counts."""
    used = {part.ink for part in artwork.printed}
    inks = {
        spec.name: {"kind": spec.kind, "colour": spec.colour, "exact": spec.exact}
        for spec in artwork.inks
        if spec.name in used
    }
    drawn: dict[str, object] = {"artwork": artwork.digest, "inks": inks}
    # Decals without any keep the fingerprint that their proofs have.
    return drawn | {name: found for name, found in _from_outside(artwork).items() if found}


def _from_outside(artwork: Artwork) -> dict[str, list[str]]:
    """The digests of the own drawings, pictures and fonts that a decal is made of."""
    shapes = [one.shape for one in inside_groups(artwork.decal.artwork)]
    files = [getattr(shape, "file", None) for shape in shapes]
    letterings = [shape for shape in shapes if isinstance(shape, Lettering)]
    names = {one.face for one in letterings}.union(*(one.match.faces or () for one in letterings if one.match))
    return {
        "drawings": sorted({file.digest for file in files if isinstance(file, DrawingText | PictureData)}),
        "faces": sorted(name.font.sha256 for name in names if isinstance(name, OwnFaceName)),
    }


def _marks(sheet: Sheet) -> str:
    """All that is printed beside the decals of a sheet, and the bars that its proof is measured by, to a micrometre."""
    things = sheet.furniture
    return digest_of(
        {
            "crosses": _places(things.registration),
            "bars": [(bar.axis, *(round(value, 3) for value in (bar.x, bar.y, bar.length))) for bar in sheet.bars.bars],
            "kept free": [_places(area.exterior.coords) for area in things.keep_outs],
            "ticks": [
                {"line": _places(line.points), "width": line.width, "colour": line.colour}
                for line in (*sheet.ticks, *sheet.leaders)
            ],
            "numbers": [
                {"area": _places(shapely.get_coordinates(label.region).tolist()), "colour": label.colour}
                for label in sheet.labels
            ],
        }
    )


def _places(points: Iterable[Iterable[float]]) -> str:
    text = " ".join([",".join([f"{value:.3f}" for value in point]) for point in points])
    # Nought has no sign.
    return hashlib.sha256(text.replace("-0.000", "0.000").encode("ascii")).hexdigest()


def code_of(printed: Fingerprint) -> str:
    """Four letters that follow from a fingerprint, and a check letter: printed on its proof, typed with the readings.

    One of 130 321: two different sheets share a code once in so many.
    """
    number = int(digest_of(printed)[:16], 16) % len(LETTERS) ** (LENGTH - 1)
    letters = ""
    for _ in range(LENGTH - 1):
        number, one = divmod(number, len(LETTERS))
        letters += LETTERS[one]
    return letters + _check_letter(letters)


def typed_code(text: str) -> str:
    """A code as typed, in capitals without spaces and hyphens; empty where it is none: a letter wrong or swapped."""
    plain = "".join(c for c in text.upper() if not c.isspace() and c not in "-\u2010\u2013.")
    if len(plain) != LENGTH or any(c not in LETTERS for c in plain):
        return ""
    return plain if plain[-1] == _check_letter(plain[:-1]) else ""


def _check_letter(letters: str) -> str:
    total = sum(weight * LETTERS.index(c) for weight, c in enumerate(letters, start=2))
    return LETTERS[total % len(LETTERS)]
