"""What is done with film and in what order, as the work card and the page say it: steps and waits. Pure.

Soaking, drying and the times between coats are common practice, no source, given as ranges; a sealing coat is for
inkjet ink on waterslide film, which runs in water.
"""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.values import dataclass
from decalgen.job.model import Film, Job
from decalgen.pages.whose_piece import laid_over
from decalgen.sheet.arrange import Sheet


@dataclass(frozen=True)
class WorkStep:
    """A word for what is done, and how."""

    name: str
    text: str


@dataclass(frozen=True)
class DryingTime:
    """How long something dries: ``least`` and ``most`` minutes; None: there is no most."""

    least: int
    most: int | None = None

    @property
    def words(self) -> str:
        """'30 to 60 min', '24 h or more'."""
        if self.most is None:
            return f"{_time(self.least)} or more"
        hours = self.least % 60 == 0 and self.most % 60 == 0 and self.most > 60
        low, high = (self.least // 60, self.most // 60) if hours else (self.least, self.most)
        return f"{low} to {high} {'h' if hours else 'min'}"


def _time(minutes: int) -> str:
    return f"{minutes // 60} h" if minutes % 60 == 0 else f"{minutes} min"


INK = DryingTime(8 * 60, 24 * 60)
COAT = DryingTime(15, 60)
LAST_COAT = DryingTime(12 * 60, 24 * 60)
SIDE = DryingTime(30, 60)
UNDER = DryingTime(2 * 60, 24 * 60)
"""What another decal goes over."""
LAST_DECAL = DryingTime(24 * 60)
MIST = DryingTime(15, 30)


@dataclass(frozen=True)
class Wait:
    """Something that dries: what, how long, and what must not be done until then."""

    what: str
    time: DryingTime
    until: str


def is_sealed(film: Film) -> bool:
    """Whether ink on it has to be sealed before it is wetted."""
    return film.process == "inkjet" and not film.adhesive


def before_steps(film: Film) -> list[WorkStep]:
    """Everything up to the cut pieces."""
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
    if is_sealed(film):
        steps.append(WorkStep("Sealed", "when the ink is dry: 2 to 3 light coats; a heavy one puckers the film"))
    tried = "softener and clear coat" if not film.adhesive else "clear coat"
    steps.append(WorkStep("Tried on a spare", f"{tried}, on a spare of this print, dry, before any goes on the model"))
    edge = "exactly on the line: white film shows a rim" if film.kind == "white" else "on the line; the film is clear"
    steps.append(WorkStep("Cut", f"{edge}; fresh blade, away from you, on a mat; openings and slits first"))
    return steps


def sealing_waits(film: Film) -> list[Wait]:
    """The rows of the drying clock before film is cut."""
    if not is_sealed(film):
        return []
    return [
        Wait("ink on the film", INK, "before the first sealing coat"),
        Wait("sealing coat 1", COAT, "before the second"),
        Wait("sealing coat 2", COAT, "before a third, if it needs one"),
        Wait("last sealing coat", LAST_COAT, "before the film is cut and soaked"),
    ]


def side_wait(film: Film) -> list[Wait]:
    """The row of a side on which decals were set; none for film that is not laid wet."""
    return [] if film.adhesive else [Wait("decals set on a side", SIDE, "touch-dry, before the next side")]


def coat_waits() -> list[Wait]:
    """The rows once all decals are on."""
    return [
        Wait("last decal", LAST_DECAL, "before the clear coat"),
        Wait("mist coat", MIST, "before the first wet coat"),
    ]


def waits(sheet: Sheet, jobs: Sequence[Job]) -> list[Wait]:
    """The rows of the drying clock of a sheet."""
    rows = [*sealing_waits(sheet.film), *side_wait(sheet.film)]
    if not sheet.film.adhesive:
        rows += [Wait(f"{under}", UNDER, f"before {over} goes over it") for over, under in laid_over(sheet, jobs)]
    return [*rows, *coat_waits()]


def water_steps(film: Film) -> list[WorkStep]:
    """One decal on its way to the model."""
    if film.adhesive:
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


def after_steps(film: Film) -> list[WorkStep]:
    """What is left to do once all decals are dry."""
    steps = []
    if not film.adhesive:
        steps.append(WorkStep("wash", "glue off round the decals with a damp cloth: it yellows under a clear coat"))
    if film.kind == "white":
        steps.append(WorkStep("edges", "touch white edges in with the colour of the ink, fine brush, almost dry"))
    steps.append(WorkStep("coat", "clear: a dry mist first, then wet coats; a wet one at once swells and splits film"))
    return steps
