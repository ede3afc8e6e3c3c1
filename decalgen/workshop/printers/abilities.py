"""What a printer says of itself, and whether a page can be printed by it as it is."""

from __future__ import annotations

from typing import Any

from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass
from decalgen.workshop.printers.messages import Attributes, WholeRange, plain

WANTED = (
    "printer-name",
    "printer-make-and-model",
    "printer-info",
    "printer-uuid",
    "printer-state",
    "printer-state-reasons",
    "printer-state-message",
    "printer-is-accepting-jobs",
    "ipp-versions-supported",
    "operations-supported",
    "document-format-supported",
    "job-creation-attributes-supported",
    "print-scaling-supported",
    "media-supported",
    "media-size-supported",
    "media-col-supported",
    "media-col-ready",
    "media-source-supported",
    "media-type-supported",
    "media-top-margin-supported",
    "media-bottom-margin-supported",
    "media-left-margin-supported",
    "media-right-margin-supported",
    "sides-supported",
    "print-quality-supported",
    "print-color-mode-supported",
    "printer-resolution-supported",
    "print-rendering-intent-supported",
    "orientation-requested-supported",
    "color-supported",
)
PDF = "application/pdf"
IDLE, BUSY_PRINTING, STOPPED = 3, 4, 5
"""Of printer-state (RFC 8011, 5.4.11)."""
TOLERANCE = 50
"""A sheet differs from one the printer knows by no more, 1/100 mm."""
SheetSides = tuple[int, int]
"""Width and height of a sheet, 1/100 mm, as IPP counts."""


@dataclass(frozen=True)
class Abilities:
    """What a printer answered, by the names of its attributes, each with all its values."""

    said: dict[str, tuple[Any, ...]]

    @staticmethod
    def of(attributes: Attributes) -> Abilities:
        """What an answer says."""
        return Abilities({name: plain(values) for name, values in attributes.items()})

    def all(self, name: str) -> tuple[Any, ...]:
        """All values of an attribute; none where the printer is silent on it."""
        return self.said.get(name, ())

    def one(self, name: str, default: Any = None) -> Any:
        """Its first value."""
        return next(iter(self.all(name)), default)

    @property
    def name(self) -> str:
        """What it calls itself."""
        return str(self.one("printer-info") or self.one("printer-name") or self.one("printer-make-and-model") or "")

    @property
    def model(self) -> str:
        """Maker and model, as it says itself."""
        return str(self.one("printer-make-and-model", ""))

    @property
    def uuid(self) -> str:
        """What tells it from every other printer; empty where it has none."""
        return str(self.one("printer-uuid", "")).removeprefix("urn:uuid:").lower()

    @property
    def takes_pdf(self) -> bool:
        """Whether a PDF file is printed as it is sent."""
        return PDF in self.all("document-format-supported")

    @property
    def can_be_told_not_to_scale(self) -> bool:
        """Whether it offers to print without scaling."""
        return "none" in self.all("print-scaling-supported")

    @property
    def reasons(self) -> tuple[str, ...]:
        """What keeps it from printing, or soon will, in its own words."""
        return tuple(one for one in map(str, self.all("printer-state-reasons")) if one != "none")

    def does(self, operation: int) -> bool:
        """Whether it knows an operation; one that lists none is taken to know all that every printer must."""
        known = self.all("operations-supported")
        return operation in known or not known

    def takes(self, attribute: str) -> bool:
        """Whether an attribute of a job may be sent; one that does not say which is asked to take all."""
        known = self.all("job-creation-attributes-supported")
        return not known or attribute in known

    def least_margin(self, side: str) -> int:
        """The least margin above nought on a side, 1/100 mm: nought asks for borderless, which enlarges (common
        practice, no source); nought where the printer says none."""
        offered = [one for one in self.all(f"media-{side}-margin-supported") if isinstance(one, int) and one > 0]
        return min(offered, default=0)

    def sheet(self, wide: int, high: int) -> SheetSides | None:
        """The sheet of the printer that a page fits on exactly, 1/100 mm: the page's own size in a range, else a known
        one within the tolerance; None where it has none."""
        for entry in self.all("media-size-supported"):
            if not isinstance(entry, dict):
                continue
            found = tuple(_side(entry, axis, want) for axis, want in (("x-dimension", wide), ("y-dimension", high)))
            if found[0] is not None and found[1] is not None:
                return found[0], found[1]
        return None

    def sheets(self) -> list[str]:
        """The sizes it offers, in words, mm."""
        rows = [entry for entry in self.all("media-size-supported") if isinstance(entry, dict)]
        return list(dict.fromkeys(" × ".join(_size_words(row, axis) for axis in ("x-dimension", "y-dimension"))
                                  for row in rows))  # fmt: skip


def _side(entry: dict[str, Any], axis: str, want: int) -> int | None:
    for one in entry.get(axis, ()):
        if isinstance(one, WholeRange):
            if one.least <= want <= one.most:
                return want
        elif isinstance(one, int) and abs(one - want) <= TOLERANCE:
            return one
    return None


def _size_words(entry: dict[str, Any], axis: str) -> str:
    one = next(iter(entry.get(axis, ())), "?")
    if isinstance(one, WholeRange):
        return f"{one.least / 100:g} to {one.most / 100:g}"
    return f"{one / 100:g}" if isinstance(one, int) else "?"


def check_able(able: Abilities, shown: str) -> None:
    """Raises PrintingError for a printer that takes no PDF file, or takes no jobs now."""
    if not able.takes_pdf:
        raise PrintingError(
            f"{shown} takes no PDF files, so only its own driver can print on it",
            fix="open the file, and print it through the dialog: 100 %, paper as large as the sheet, not borderless",
        )
    if able.one("printer-is-accepting-jobs", True) is False:
        raise PrintingError(f"{shown} takes no jobs now", fix="see what its display asks for, then try again")
