"""What is done with a sheet of film and in what order, as the work card says it: steps and waits. Pure.

Soaking, drying and the times between coats are common practice, no source, given as ranges; a sealing coat is for
inkjet ink on waterslide film, which runs in water.
"""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.values import dataclass
from decalgen.job.model import Job
from decalgen.pages.whose_piece import laid_over
from decalgen.sheet.arrange import Sheet


@dataclass(frozen=True)
class WorkStep:
    """A word for what is done, and how."""

    name: str
    text: str


@dataclass(frozen=True)
class Wait:
    """Something that dries: what, how long, and what must not be done until then."""

    what: str
    wait: str
    until: str


def sealed(sheet: Sheet) -> bool:
    """Whether its ink has to be sealed before it is wetted."""
    return sheet.film.process == "inkjet" and not sheet.film.adhesive


def before_steps(sheet: Sheet) -> list[WorkStep]:
    """Everything up to the cut pieces."""
    film = sheet.film
    steps = [
        WorkStep("Paint cured", "hard, without smell, and gloss where decals go: film silvers on matt paint"),
        WorkStep("Proof passed", "its check bars within their limits, the readings entered"),
    ]
    if film.process == "laser":
        steps.append(
            WorkStep("Printed on film", "laser-rated film only, whole, on all its backing; 100 %; one sheet at a time")
        )
        steps.append(WorkStep("Toner sound", "cold, and does not rub off; laser ink needs no sealing"))
    else:
        steps.append(WorkStep("Printed on film", "on the coated side, 100 %, quality high, one sheet in the tray"))
    if sealed(sheet):
        steps.append(WorkStep("Sealed", "when the ink is dry: 2 to 3 light coats; a heavy one puckers the film"))
    tried = "softener and clear coat" if not film.adhesive else "clear coat"
    steps.append(WorkStep("Tried on a spare", f"{tried}, on a spare of this print, dry, before any goes on the model"))
    edge = "exactly on the line: white film shows a rim" if film.kind == "white" else "on the line; the film is clear"
    steps.append(WorkStep("Cut", f"{edge}; fresh blade, away from you, on a mat; openings and slits first"))
    return steps


def waits(sheet: Sheet, jobs: Sequence[Job]) -> list[Wait]:
    """The rows of the drying clock."""
    rows = []
    if sealed(sheet):
        rows += [
            Wait("ink on the film", "8 to 24 h", "before the first sealing coat"),
            Wait("sealing coat 1", "15 to 60 min", "before the second"),
            Wait("sealing coat 2", "15 to 60 min", "before a third, if it needs one"),
            Wait("last sealing coat", "12 to 24 h", "before the film is cut and soaked"),
        ]
    if not sheet.film.adhesive:
        rows.append(Wait("decals set on a side", "30 to 60 min", "touch-dry, before the next side"))
        for over, under in laid_over(sheet, jobs):
            rows.append(Wait(f"{under}", "2 to 24 h", f"before {over} goes over it"))
    rows += [
        Wait("last decal", "24 h or more", "before the clear coat"),
        Wait("mist coat", "15 to 30 min", "before the first wet coat"),
    ]
    return rows


def water_steps(sheet: Sheet) -> list[WorkStep]:
    """One decal on its way to the model."""
    if sheet.film.adhesive:
        return [
            WorkStep("clean", "the panel, free of dust and grease"),
            WorkStep("peel", "lift a corner with tweezers; keep fingers off the glue"),
            WorkStep("place", "by the guide, page of that panel; check number, hand and nose"),
            WorkStep("press", "from the middle outward, with a soft cloth"),
        ]
    return [
        WorkStep("soak", "10 to 60 s in lukewarm water; ready when it slides, not before; too long takes its gum"),
        WorkStep("slide", "wet the panel, hold the film, draw the paper out from under it"),
        WorkStep("place", "by the guide, page of that panel, or against its card; check number, hand and nose"),
        WorkStep("press", "the water out from the middle, with a damp cloth or a soft brush"),
        WorkStep("soften", "only over curves, gaps and rivets; do not touch it while it is soft"),
    ]


def after_steps(sheet: Sheet) -> list[WorkStep]:
    """What is left to do once all decals are dry."""
    steps = []
    if not sheet.film.adhesive:
        steps.append(WorkStep("wash", "glue off round the decals with a damp cloth: it yellows under a clear coat"))
    if sheet.film.kind == "white":
        steps.append(WorkStep("edges", "touch white edges in with the colour of the ink, fine brush, almost dry"))
    steps.append(WorkStep("coat", "clear: a dry mist first, then wet coats; a wet one at once swells and splits film"))
    return steps
