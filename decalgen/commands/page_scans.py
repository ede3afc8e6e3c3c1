"""Scans of printed pages as they are named and typed: the picture, and the card beside the page."""

from __future__ import annotations

from pathlib import Path

from decalgen.core.pixels.values import PictureData
from decalgen.core.small_files import Wanted, read_small
from decalgen.core.values import dataclass
from decalgen.job.pictures import KINDS
from decalgen.scan.printed.beside import CardSize

MOST_BYTES = 200_000_000
"""The largest scan that is read."""


@dataclass(frozen=True)
class PageScan:
    """A scan of a printed page with a card beside it."""

    picture: PictureData
    card: CardSize = CardSize()


def card_typed(beside: str | None) -> CardSize:
    """What is typed after --beside: 'card', or the size that was measured. Raises ScanWordsError."""
    from decalgen.commands.scan_words import CARD, ScanWordsError, request_of

    if beside is None or not beside.strip():
        raise ScanWordsError(
            "nothing tells the scanner's own scale",
            fix="lay a card of ID-1 size, as bank cards have, beside the page and add --beside card; one that you "
            "measured is better: --beside '85.58 mm x 53.97 mm'",
        )
    if beside.strip().casefold() == CARD:
        return CardSize()
    found = request_of({"beside": beside})
    return CardSize.measured(found.card_mm, found.card_off) if found.card_mm else CardSize()


def page_scan(path: Path, beside: str | None) -> PageScan:
    """The scan in a file, with what is said to lie beside the page. Raises InputError, ScanWordsError."""
    card = card_typed(beside)
    return PageScan(page_picture(path), card)


def page_picture(path: Path) -> PictureData:
    """The picture of a page in a file. Raises InputError."""
    return picture_in(path, "a scan of the page")


def picture_in(path: Path, what: str) -> PictureData:
    """The picture in a file; ``what`` it is to be, in words. Raises InputError."""
    wanted = Wanted(f"name {what}: a PNG, JPEG or TIFF file", KINDS)
    return PictureData(path.name, read_small(path, MOST_BYTES, wanted))
