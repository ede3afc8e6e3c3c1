"""Rules for lettering on arcs and along curves: pairs that were opened, bends too tight to turn letters in."""

from __future__ import annotations

from collections.abc import Iterator

from decalgen.artwork.findings import locate
from decalgen.core.errors import Finding
from decalgen.job.model import Decal
from decalgen.preflight.curves import course_findings
from decalgen.preflight.lettering import letterings, shown
from decalgen.shapes.lettering import Lettering

TIGHT = 4.0
"""In a hollow bend of fewer cap heights' radius letters turned about one foot look broken (seen on three faces)."""


def on_curves(decal: Decal) -> list[Finding]:
    """What is to be known of each lettering of a decal that stands on a curve."""
    found = []
    for element, lettering in letterings(decal.artwork):
        for rule in (_opened, _tight, _through_points):
            found += locate(rule(lettering), element, decal)
    return found


def _opened(lettering: Lettering) -> Iterator[Finding]:
    """Pairs that came too near because the curve leans them together."""
    pairs = lettering.block.opened
    if pairs:
        told = ", ".join(f"'{one.pair}' by {one.by:.2f} mm" for one in pairs)
        message = f"letters of '{shown(lettering)}' that the curve leans together are moved apart: {told}"
        yield Finding("note", "opened-pairs", "", message)


def _tight(lettering: Lettering) -> Iterator[Finding]:
    """A hollow bend that breaks a word of turned letters."""
    radius, cap = lettering.block.tightest, lettering.block.cap_height
    if radius < TIGHT * cap:
        yield Finding(
            "note",
            "tight-baseline",
            "",
            f"turned letters of '{shown(lettering)}' look broken in a hollow bend of {radius:.2f} mm radius",
            "add `bend: fan`, or let the baseline bend less",
            measured=radius,
            limit=TIGHT * cap,
        )


def _through_points(lettering: Lettering) -> Iterator[Finding]:
    """What is told of the points of every curve."""
    if lettering.along:
        yield from course_findings(lettering.along)
