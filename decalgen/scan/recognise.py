"""Which pattern remains are of: every kind is fitted, and the one that explains the edges best comes first. Pure."""

from __future__ import annotations

from collections.abc import Callable

from decalgen.core.errors import DecalgenError
from decalgen.core.scan_kinds import are_many
from decalgen.scan.checks import fit_checks
from decalgen.scan.chevrons import fit_chevrons
from decalgen.scan.crosses import fit_cross
from decalgen.scan.discs import fit_disc
from decalgen.scan.frames import frames_in
from decalgen.scan.lines import main_directions
from decalgen.scan.remains import PatternFit, Remains
from decalgen.scan.slanted import fit_slanted
from decalgen.scan.stars import fit_star
from decalgen.scan.striped import fit_striped

SURE_SCORE = 0.5
"""A fit that explains less is told as doubtful."""
LEAST_SCORE = 0.33
"""A fit that explains less is a guess."""

FORCED_SCORE = 0.12
"""The same where the user says which kind it is."""


ENOUGH = {"checks": 0.65, "roundel": 0.65, "rectangle": 0.85}
"""Where one of these explains more, the rarer kinds are not looked for."""
SURELY = 0.7
"""Where one of the rarer explains more, other frames are not looked at."""
RARER = ("slanted stripes", "chevrons", "cross", "star")
"""Kinds that are looked for where none of the others explains enough."""

ReadingStage = Callable[[str], None]
"""Is called with what is done next, in words; what it raises ends the work."""


def untold(_: str) -> None:
    """Of a stage, nothing."""


class PatternError(DecalgenError):
    """Remains in which no pattern is found."""

    exit_code = 2


def recognise(remains: Remains, kind: str = "", stage: ReadingStage = untold) -> tuple[PatternFit, ...]:
    """The fits of all kinds, or of one alone, the best first. Raises PatternError where none explains the edges."""
    if len(remains.at) < 40:
        raise PatternError(
            f"nothing with clear edges is seen in '{remains.scan.name}'",
            fix="scan at 300 dpi or more, on a ground of another colour, or give the part that holds it with --part",
        )
    found = [] if kind in RARER else _common(remains, stage)
    if kind in RARER or not any(one is not None and one.score > ENOUGH.get(one.kind, 1.0) for one in found):
        found += _rarer(remains, stage)
    fits = [one for one in found if one is not None and kind in ("", one.kind)]
    fits.sort(key=lambda one: -one.score)
    if not fits or fits[0].score < (FORCED_SCORE if kind else LEAST_SCORE):
        are = "are" if are_many(kind) else "is"
        wanted = f"no {kind} {are}" if kind else "no pattern is"
        raise PatternError(
            f"{wanted} recognised in '{remains.scan.name}'",
            fix="give the part of the picture that holds one pattern alone with --part, or say which it is with --as",
        )
    return tuple(fits)


def _common(remains: Remains, stage: ReadingStage) -> list[PatternFit | None]:
    """The fits of all other kinds."""
    stage("trying discs and rings")
    found: list[PatternFit | None] = [fit_disc(remains)]
    for angle in main_directions(remains):
        stage("trying checks")
        found.append(fit_checks(remains, angle))
        for upright in (False, True):
            stage("trying stripes")
            found.append(fit_striped(remains, angle, upright))
    return found


def _rarer(remains: Remains, stage: ReadingStage) -> list[PatternFit | None]:
    """The fits of the kinds that cost more to look for."""
    stage("trying stars")
    found: list[PatternFit | None] = [fit_star(remains)]
    for frame in frames_in(remains):
        stage("trying crosses")
        found.append(fit_cross(remains, frame))
        stage("trying slanted stripes")
        found.append(fit_slanted(remains, frame))
        for upright in (False, True):
            stage("trying chevrons")
            found.append(fit_chevrons(remains, frame, upright))
        if any(one is not None and one.score > SURELY for one in found):
            break
    return found
