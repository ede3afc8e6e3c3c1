"""Rules for own pictures: how fine they are at their size, what of them is stretched or left out."""

from __future__ import annotations

from collections.abc import Iterator

from decalgen.artwork.findings import locate
from decalgen.core.errors import Finding
from decalgen.core.lengths.units import INCH_MM
from decalgen.job.model import Decal
from decalgen.shapes.base import Box
from decalgen.shapes.group import inside_groups
from decalgen.shapes.picture import MOST_PPI, SAME_SHAPE, OwnPicture, PictureUse, use_of

FINE = 300.0
"""A picture of fewer pixels to the inch is soft at its size (common practice, no source)."""
COARSE = 150.0
"""One of fewer shows its pixels at arm's length (common practice, no source)."""


PAPER = 0.95
"""An edge of which so much is pale and opaque is that of the paper it was scanned on (common practice, no source)."""


def picture_findings(decal: Decal, film: str) -> list[Finding]:
    """What is to be known of each picture of a decal on clear or white ``film``."""
    found = []
    for element in inside_groups(decal.artwork):
        shape = element.shape
        if isinstance(shape, OwnPicture):
            use = use_of(shape)
            for rule in (_fineness, _stretched, _left_out, *((_on_paper,) if film == "clear" else ())):
                found += locate(rule(shape, use), element, decal)
    return list(dict.fromkeys(found))


def _fineness(picture: OwnPicture, use: PictureUse) -> Iterator[Finding]:
    """What a picture is: pixels, no outlines; and whether there are enough of them."""
    name, size = picture.file.name, picture.extent(Box(0.0, 0.0))
    ppi = min(use.ppi)
    is_ = f"'{name}' is a picture at {ppi:.0f} dpi, no vector"
    if ppi >= FINE:
        thinned = f", thinned to {min(use.printed_ppi):.0f} for the files" if max(use.ppi) > MOST_PPI else ""
        yield Finding("note", "picture", "", is_ + thinned, measured=round(ppi), unit="dpi")
        return
    holds = Box(size.width * use.ppi[0] / FINE, size.height * use.ppi[1] / FINE)
    yield Finding(
        "warning" if ppi < COARSE else "note",
        "picture-coarse",
        "",
        f"{is_}: at {size.width:.2f} \N{MULTIPLICATION SIGN} {size.height:.2f} mm it "
        + ("shows its pixels" if ppi < COARSE else "looks soft"),
        f"make it no larger than {holds.width:.2f} \N{MULTIPLICATION SIGN} {holds.height:.2f} mm, or scan it finer: "
        f"{size.width / INCH_MM * FINE:.0f} pixels across would do",
        measured=round(ppi),
        limit=FINE,
        unit="dpi",
    )


def _stretched(picture: OwnPicture, use: PictureUse) -> Iterator[Finding]:
    if abs(use.stretched - 1) <= SAME_SHAPE:
        return
    size = picture.extent(Box(0.0, 0.0))
    yield Finding(
        "warning",
        "picture-stretched",
        "",
        f"'{picture.file.name}' is stretched: at {size.width:.2f} mm wide it would be "
        f"{size.height * use.stretched:.2f} mm high, not {size.height:.2f}",
        "write its width or its height; the other follows",
        measured=round(use.stretched, 3),
        limit=1.0,
        unit="",
    )


def _left_out(picture: OwnPicture, use: PictureUse) -> Iterator[Finding]:
    name = picture.file.name
    if use.specks:
        yield Finding(
            "note",
            "picture-specks",
            "",
            f"{use.specks} speck{'s' * (use.specks > 1)} of '{name}' beside what it shows "
            f"{'are' if use.specks > 1 else 'is'} left out",
            "clean its alpha in your picture program, or write outline: box",
            measured=use.specks,
            unit="",
        )
    for note in use.notes:
        fix = "save it as sRGB in your picture program"
        yield Finding("note", "picture-colours", "", f"'{name}': {note}", fix)


def _on_paper(picture: OwnPicture, use: PictureUse) -> Iterator[Finding]:
    """On white film the paper is as white as the film; on clear film it is a pale box over the body."""
    if use.paper < PAPER:
        return
    yield Finding(
        "warning",
        "picture-paper",
        "",
        f"'{picture.file.name}' shows the paper round its artwork: {100 * use.paper:.0f} % of its edge is near white "
        "and not transparent, a pale box on clear film",
        "give it a cut outline or a cut curve along the artwork, or cut the paper away in your picture program and "
        "save it as PNG with alpha",
        measured=round(100 * use.paper),
        limit=100 * PAPER,
        unit="%",
    )
