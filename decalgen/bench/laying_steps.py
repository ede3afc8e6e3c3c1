"""The steps of laying the decals of a job, from its guide: what is done before, each piece in its turn, what is done
once all are on; and what has to be dry first. The values are those of the guide and of the work card. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from decalgen.bench.applied import PieceOfJob, PieceTick, PutOn, latest, seconds_of
from decalgen.bench.applying import LaidGuide
from decalgen.core.cautions import LAW, WorkStage, stage_cautions
from decalgen.core.values import dataclass
from decalgen.job.model import Film, Hand
from decalgen.pages.guide import side_name
from decalgen.pages.guide_sides import GuideItem, GuideSide
from decalgen.pages.work_steps import (
    SIDE,
    UNDER,
    DryingTime,
    Wait,
    WorkStep,
    after_steps,
    before_steps,
    coat_waits,
    sealing_waits,
    side_wait,
    water_steps,
)

BEFORE: Final = "before"
AFTER: Final = "afterwards"
LONG_DIGEST = 16
"""So much of a drawing's digest tells two apart."""


@dataclass(frozen=True)
class LayingStep:
    """A piece on the side where it is laid. ``copies``: the numbers of its copies that go on this side, one a model;
    ``either``: another side has the same copies, so that this piece goes on one of the two."""

    side: GuideSide
    item: GuideItem
    copies: tuple[int, ...]
    either: bool = False

    @property
    def piece(self) -> PieceOfJob:
        """Which piece of the job it is."""
        art = self.item.artwork
        return art.decal.name, art.hand or "", art.section, art.backing

    @property
    def key(self) -> str:
        """What the page calls it: a piece of no hand may go on two sides."""
        decal, hand, section, backing = self.piece
        return f"{decal}|{hand}|{section}|{backing}|{self.side.hand or ''}"

    @property
    def called(self) -> str:
        """'3 door roundel, left'."""
        hand = f", {self.side.hand}" if self.side.hand else ""
        return f"{self.item.number} {self.item.name}{hand}".strip()

    @property
    def drawn(self) -> str:
        """What changes with its drawing."""
        return self.item.artwork.digest[:LONG_DIGEST]

    @property
    def place(self) -> str:
        """Where it goes: 'front edge 2.10 mm, top edge 0.50 mm'."""
        return ", ".join(f"{row.edge} edge {row.figure or '?'} mm" for row in self.item.rows)

    def ticks(self, found: PutOn) -> list[PieceTick]:
        """Those of its copies that are on."""
        return [tick for copy in self.copies if (tick := found.tick(self.piece, copy)) is not None]


def laying_steps(guide: LaidGuide) -> tuple[LayingStep, ...]:
    """Every piece in the order of application, side by side. Of a piece that goes on both sides each side has its share
    of the copies; one alone is for either."""
    sides: dict[PieceOfJob, list[Hand | None]] = {}
    plain = [LayingStep(side, item, ()) for side in guide.made.sides for item in side.items]
    for one in plain:
        sides.setdefault(one.piece, []).append(one.side.hand)
    found = []
    for one in plain:
        there, every = sides[one.piece], range(one.item.artwork.decal.copies)
        share = tuple(every[there.index(one.side.hand) :: len(there)])
        # With fewer copies than sides the page cannot know which side they are for.
        few = len(every) < len(there)
        found.append(LayingStep(one.side, one.item, tuple(every) if few else share, few))
    return tuple(found)


def count_of(steps: Sequence[LayingStep]) -> int:
    """How many copies there are to put on."""
    return len({(one.piece, copy) for one in steps for copy in one.copies})


def count_on(steps: Sequence[LayingStep], found: PutOn) -> int:
    """How many of them are on."""
    return len({(tick.piece, tick.copy) for one in steps for tick in one.ticks(found)})


# ------------------------------------------------------------------------------------------------- what has to be dry
def below(step: LayingStep, steps: Sequence[LayingStep]) -> list[LayingStep]:
    """The pieces of its side that it lies on: those that its decal lies over, and its own backing."""
    art, decal = step.item.artwork, step.item.artwork.decal
    if art.backing or not (decal.over or art.backed):
        return []
    return [
        one
        for one in steps
        if one.side is step.side
        and (
            one.item.artwork.decal.name in decal.over or (one.item.artwork.backing and one.piece[:3] == step.piece[:3])
        )
    ]


def dry_first(
    guide: LaidGuide, step: LayingStep, steps: Sequence[LayingStep], number: int, found: PutOn
) -> list[dict[str, Any]]:
    """What a copy of a piece lies on, and since when that is on; ``number``: which of the step's copies, from 0. Where
    there are fewer copies below, the last one counts. Film that is not laid wet needs no time."""
    rows = []
    for one in below(step, steps):
        tick = found.tick(one.piece, one.copies[min(number, len(one.copies) - 1)])
        time = DryingTime(0, 0) if film_of_step(guide, one).adhesive else UNDER
        begun = None if tick is None else seconds_of(tick.begun)
        rows.append({"what": one.called, "step": one.key, "begun": begun, "least": time.least, "most": time.most})
    return rows


def clock_rows(guide: LaidGuide, steps: Sequence[LayingStep], found: PutOn) -> list[dict[str, Any]]:
    """The rows of the drying clock: those that begin with a tick, and those that one begins oneself, ``hand``.
    ``stage``: with which step they are shown; pieces and sides have none."""
    sealing = _each(sealing_waits(film) for film in guide.films)
    rows = [_by_hand(wait, found) | {"stage": BEFORE} for wait in sealing]
    if is_wet(guide):
        rows += _side_rows(steps, found)
        rows += _under_rows(steps, found)
    last, mist = coat_waits()
    on = latest(tick for one in steps for tick in one.ticks(found))
    whole = count_on(steps, found) == count_of(steps)
    after = [_row(last, on if whole else None), _by_hand(mist, found)]
    return [*rows, *(row | {"stage": AFTER} for row in after)]


def is_wet(guide: LaidGuide) -> bool:
    """Whether any of its film is laid wet."""
    return any(side_wait(film) for film in guide.films)


def other_sides(guide: LaidGuide, step: LayingStep, steps: Sequence[LayingStep], found: PutOn) -> list[dict[str, Any]]:
    """The rows of the clock of the other sides on which something is."""
    rows = _side_rows([one for one in steps if one.side is not step.side], found) if is_wet(guide) else ()
    return [row for row in rows if row["begun"] is not None]


def _side_rows(steps: Sequence[LayingStep], found: PutOn) -> Iterator[dict[str, Any]]:
    """A row for each side: touch-dry, before the model is turned."""
    for side in dict.fromkeys(one.side.name for one in steps):
        mine = [one for one in steps if one.side.name == side]
        on = latest(tick for one in mine for tick in one.ticks(found))
        yield _row(Wait(side_name(mine[0].side), SIDE, "touch-dry, before the next side"), on)


def _under_rows(steps: Sequence[LayingStep], found: PutOn) -> Iterator[dict[str, Any]]:
    """A row for each piece that another goes over."""
    over: dict[str, list[LayingStep]] = {}
    for one in steps:
        for under in below(one, steps):
            over.setdefault(under.key, []).append(one)
    for under in steps:
        if under.key in over:
            names = " and ".join(one.called for one in over[under.key])
            goes = "goes" if len(over[under.key]) == 1 else "go"
            yield _row(Wait(under.called, UNDER, f"before {names} {goes} over it"), latest(under.ticks(found)))


def _row(wait: Wait, begun: int | None) -> dict[str, Any]:
    time = {"begun": begun, "least": wait.time.least, "most": wait.time.most, "words": wait.time.words}
    return {"what": wait.what, "until": wait.until, "hand": False} | time


def _by_hand(wait: Wait, found: PutOn) -> dict[str, Any]:
    start = found.started(wait.what)
    return _row(wait, None if start is None else seconds_of(start.begun)) | {"hand": True}


# ----------------------------------------------------------------------------------------------------- what is done
def stage_steps(guide: LaidGuide, stage: WorkStage) -> list[tuple[str, WorkStep]]:
    """The steps of the work card before laying, or once all are on, each with what it is called when it is ticked."""
    how = before_steps if stage == BEFORE else after_steps
    return [(f"{stage}: {one.name}", one) for one in _each(how(film) for film in guide.films)]


def laying_words(film: Film) -> list[dict[str, str]]:
    """How one piece of that film goes on."""
    return [{"name": one.name, "text": one.text} for one in water_steps(film)]


def film_of_step(guide: LaidGuide, step: LayingStep) -> Film:
    """The film that a piece is of."""
    return next((one for one in guide.films if one.kind == step.item.artwork.film), guide.films[0])


def cautions_of(guide: LaidGuide, stage: WorkStage) -> list[dict[str, str]]:
    """The cautions that are wanted at a stage; they end with what goes before them all."""
    rows = [{"head": head, "text": text} for head, text in stage_cautions(guide.made.cautions, stage)]
    return [*rows, {"head": "", "text": LAW}] if rows else []


def since(step: LayingStep, tick: PieceTick) -> str:
    """What of a piece is another in the job than when it was put on; '' where nothing is."""
    if tick.drawn != step.drawn:
        return "drawn differently in the job since it was put on"
    if tick.place != step.place:
        return f"the job has it elsewhere now; it was put on at {tick.place}"
    return ""


def gone(steps: Sequence[LayingStep], found: PutOn) -> list[PieceTick]:
    """What was put on and is in the job no more."""
    there = {(one.piece, copy) for one in steps for copy in one.copies}
    return [tick for tick in found.ticks if (tick.piece, tick.copy) not in there]


def _each(lists: Iterable[Sequence[Any]]) -> list[Any]:
    """Everything once, in order."""
    return list(dict.fromkeys(one for some in lists for one in some))
