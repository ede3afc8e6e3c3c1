"""Whether lettering can be read on its ground, and whether two inks stay apart for colour-deficient eyes."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

from decalgen.colour.difference import contrast, delta_e, delta_l
from decalgen.colour.eyes import Eyes, seen_by
from decalgen.colour.value import Colour
from decalgen.core.errors import Finding, Place
from decalgen.core.values import dataclass

LEAST_CONTRAST = 3.0
"""WCAG 2.2, success criterion 1.4.3: large text 3:1, other text 4.5:1."""


LEAST_DELTA_L = 30.0
"""Lightness difference below which lettering is hard to read (common practice, no source)."""

APART = 10.0
"""CIEDE2000 above which two inks are clearly meant to differ (common practice, no source)."""

MERGED = 5.0
"""CIEDE2000 below which two areas side by side pass for one at a glance (common practice, no source)."""

_EYES: tuple[Eyes, ...] = ("red-blind", "green-blind", "blue-blind")


@dataclass(frozen=True, slots=True)
class Legibility:
    """Contrast ratio (1 to 21) and difference in L* between lettering and ground, as they look on the
    body."""

    contrast: float
    delta_l: float

    @property
    def good(self) -> bool:
        """At least 3:1 and 30 in L*."""
        return self.contrast >= LEAST_CONTRAST and self.delta_l >= LEAST_DELTA_L


def legibility(lettering: Colour, on: Colour) -> Legibility:
    """Both colours as they will look on the body (`advice.Option.look`; the body's own where nothing is
    printed)."""
    return Legibility(contrast(lettering, on), delta_l(lettering, on))


def legibility_finding(subject: str, lettering: Colour, on: Colour, place: Place | None = None) -> Finding | None:
    """A warning where lettering will be hard to read; ``subject`` names the decal and the lettering."""
    seen = legibility(lettering, on)
    if seen.good:
        return None
    measured = (seen.contrast, LEAST_CONTRAST, ":1")
    if seen.contrast >= LEAST_CONTRAST:
        measured = (seen.delta_l, LEAST_DELTA_L, "L*")
    return Finding(
        "warning",
        "colour-legibility",
        subject,
        f"hard to read: {lettering.hex} on {on.hex} has a contrast of {seen.contrast:.1f}:1"
        f" (wanted {LEAST_CONTRAST:g}:1) and differs by {seen.delta_l:.0f} in L* (wanted {LEAST_DELTA_L:g})",
        "use a lighter or darker ink, a ground of another ink under it, white film, or white under the ink",
        place,
        *measured,
    )


def confusions(subject: str, looks: Mapping[str, Colour], place: Place | None = None) -> tuple[Finding, ...]:
    """Notes on inks of one decal that differ for most eyes and merge for some; ``looks`` by ink name, as
    they will look on the body."""
    findings = []
    for (one, first), (two, second) in combinations(looks.items(), 2):
        if delta_e(first, second) < APART:
            continue
        blind = []
        for eyes in _EYES:
            if delta_e(seen_by(eyes, first), seen_by(eyes, second)) < MERGED:
                blind.append(eyes)
        if blind:
            findings.append(
                Finding(
                    "note",
                    "colour-eyes",
                    subject,
                    f"'{one}' and '{two}' look alike to {' and '.join(blind)} eyes",
                    "make one clearly lighter, or part them by a line of a third ink",
                    place,
                )
            )
    return tuple(findings)
