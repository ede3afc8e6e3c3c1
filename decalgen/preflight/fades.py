"""Rules for fades: a pitch too fine for the printer, and what of the tones asked for its marks can show."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from decalgen.artwork.findings import locate
from decalgen.core.errors import Finding
from decalgen.job.model import Decal, Printer
from decalgen.preflight.limits import held, limits
from decalgen.shapes.fade import Fade
from decalgen.shapes.fade_marks import MarkNet
from decalgen.shapes.group import inside_groups

CLEAR = 0.2
"""A pitch at which the smallest gap takes no more than this share, and the smallest line no more than 15 %, shows most
of a fade: common practice, no source."""
THIN_END = 0.15
STEP = 0.05
"""Advised pitches are whole multiples of this, mm."""


def fade_findings(decal: Decal, printer: Printer) -> list[Finding]:
    """What is to be known of each fade of a decal."""
    found = []
    for element in inside_groups(decal.artwork):
        if isinstance(element.shape, Fade):
            told = [*_too_fine(element.shape, printer), *_cut_short(element.shape)]
            found += locate(told, element, decal)
    return list(dict.fromkeys(found))


def _too_fine(fade: Fade, printer: Printer) -> Iterator[Finding]:
    """Marks made for a finer printer: what they must be for this one, and the pitch that then holds."""
    screen, holds = fade.screen, limits(printer)
    if screen.line >= holds.line and screen.gap >= holds.gap:
        return
    wanted = replace(screen, line=max(screen.line, holds.line), gap=max(screen.gap, holds.gap))
    which = "line" if screen.line < holds.line else "gap"
    pitch = max(_advised(wanted), screen.pitch)
    keys = [f"smallest line: {wanted.line:.2f} mm", f"smallest gap: {wanted.gap:.2f} mm"]
    if screen.pitch < wanted.least_pitch:
        keys.append(f"pitch: {pitch:.2f} mm")
        wanted = replace(wanted, pitch=pitch)
    yield Finding(
        "warning",
        "fade-too-fine",
        "",
        f"its {fade.marks} are as thin as {screen.line:.2f} mm, and its gaps as narrow as {screen.gap:.2f} mm, but "
        f"a line of {holds.line:.2f} mm and a gap of {holds.gap:.2f} mm is what {held(printer, which)}",
        f"write `{', '.join(keys)}`, which shows {_tones(wanted)}",
        None,
        screen.line if which == "line" else screen.gap,
        holds.line if which == "line" else holds.gap,
    )


def _cut_short(fade: Fade) -> Iterator[Finding]:
    """Tones that are asked for and that no mark can show; solid and bare always can."""
    screen = fade.screen
    least, most = (round(100 * tone) for tone in screen.held)
    below = min(fade.tones) < least and max(fade.tones) > 0
    above = max(fade.tones) > most
    if not (below or above):
        return
    said = [f"under {least} % it is bare"] * below + [f"over {most} % it is solid"] * above
    wider = _advised(screen)
    fix = "no action needed"
    if screen.pitch < wider:
        fix = f"`pitch: {wider:.2f} mm` shows {_tones(replace(screen, pitch=wider))}"
    yield Finding(
        "note",
        "fade-ends",
        "",
        f"{' and '.join(said)}: at a pitch of {screen.pitch:.2f} mm {fade.marks} of {screen.line:.2f} mm and gaps of "
        f"{screen.gap:.2f} mm show {_tones(screen)}",
        fix,
        None,
        screen.pitch,
        None,
    )


def _advised(screen: MarkNet) -> float:
    """The pitch that shows most of a fade, mm."""
    least = max(screen.line / THIN_END, screen.gap / CLEAR, screen.least_pitch)
    return math.ceil(least / STEP - 1e-9) * STEP


def _tones(screen: MarkNet) -> str:
    least, most = screen.held
    return f"{100 * least:.0f} to {100 * most:.0f} %"
