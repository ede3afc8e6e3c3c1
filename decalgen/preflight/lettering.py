"""Rules for lettering: no blank boxes, no letters below what the printer holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from decalgen.artwork import Artwork
from decalgen.errors import Finding
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight.limits import smallest
from decalgen.shapes.base import Element
from decalgen.shapes.group import Group
from decalgen.shapes.lettering import Lettering


def letterings(elements: Sequence[Element]) -> Iterator[tuple[Element, Lettering]]:
    """Every lettering among some elements and inside their groups, with the element it stands in."""
    for element in elements:
        if isinstance(element.shape, Lettering):
            yield element, element.shape
        elif isinstance(element.shape, Group):
            yield from letterings(element.shape.elements)


def glyphs(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Characters that no face has, or that another face had to lend."""
    found = []
    for element, lettering in letterings(decal.artwork):
        place = element.place or decal.place
        words = " ".join(lettering.text)
        if lettering.block.missing:
            lacking = ", ".join(f"'{c}'" for c in dict.fromkeys(lettering.block.missing))
            found.append(
                Finding(
                    "error",
                    "no-glyph",
                    decal.name,
                    f"no face has a glyph for {lacking} of '{words}', so nothing would be printed there",
                    "spell it with other characters, or draw the sign as an `outline`",
                    place,
                )
            )
        for name in dict.fromkeys(lender for _, lender in lettering.block.borrowed):
            found.append(
                Finding(
                    "note",
                    "borrowed-glyph",
                    decal.name,
                    f"'{lettering.face}' lacks some letters of '{words}'; they are taken from '{name}'",
                    "choose a face that has them all (`decalgen fonts`)",
                    place,
                )
            )
    return found


def small_letters(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Capitals lower than the printer holds."""
    limit = smallest(printer.dpi).caps
    return [
        Finding(
            "warning",
            "small-lettering",
            decal.name,
            f"capitals of {lettering.cap_height:.2f} mm are under the {limit:.1f} mm that {printer.dpi} dpi holds",
            "make the lettering larger, or print with a finer printer",
            element.place or decal.place,
        )
        for element, lettering in letterings(decal.artwork)
        if lettering.cap_height < limit - 1e-9
    ]
