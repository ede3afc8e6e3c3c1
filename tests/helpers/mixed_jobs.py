"""Jobs and films made up from a seed, as a bench has them: a sheet filled a quarter to two thirds, some part used."""

from __future__ import annotations

import random
from typing import Any

from decalgen.core.values import dataclass
from decalgen.job.model import Cut, Film, Job, UsedArea
from decalgen.nesting.model import Effort
from decalgen.sheet.plan import Plan
from tests.helpers import jobs

SIZES = {"A6": (105.0, 148.0), "A5": (148.0, 210.0), "A4": (210.0, 297.0)}


@dataclass(frozen=True)
class Mixed:
    """Some jobs and the film they go on."""

    jobs: tuple[Job, ...]
    film: Film

    def plan(self, effort: Effort) -> Plan:
        return Plan([self.film], jobs.PRINTER, effort=effort)


def mixed(seed: int, size: str = "A5", share: float | None = None, used: bool = False) -> Mixed:
    """One to three jobs whose pieces take a ``share`` of the film, each cut line of another kind."""
    chance = random.Random(seed)
    wide, high = SIZES[size]
    film = jobs.film(width=wide, height=high, used=_used(chance, wide, high) if used else ())
    free = (wide - 10.0) * (high - 15.0) - sum(part.width * part.height for part in film.used)
    todo = free * (share if share is not None else chance.uniform(0.15, 0.45))
    count = chance.choice([1, 1, 2, 3])
    found = []
    for n in range(count):
        decals, taken = [], 0.0
        while taken < todo / count:
            w, h = (round(min(0.4 * wide, 3.0 + chance.lognormvariate(2.0, 0.7)), 2) for _ in range(2))
            copies = chance.choice([1, 1, 2, 3])
            more: dict[str, Any] = {"cut": chance.choice([Cut(), Cut(), Cut("round"), Cut(corner_radius=1.0)])}
            more["hands"] = chance.choice(["one", "both", "left"])
            piece = jobs.element("field", ink=chance.choice(["navy", "orange", "green"]))
            decals.append(jobs.decal(f"d{len(decals)}", w, h, piece, copies=copies, **more))
            taken += w * h * copies * (2 if more["hands"] == "both" else 1)
        found.append(jobs.job(*decals, name=f"job{n}"))
    return Mixed(tuple(found), film)


def _used(chance: random.Random, wide: float, high: float) -> tuple[UsedArea, ...]:
    if chance.random() < 0.5:
        strip = round(chance.uniform(0.1, 0.35) * high, 1)
        return (UsedArea(0.0, high - strip, wide, strip),)
    w, h = round(chance.uniform(0.2, 0.5) * wide, 1), round(chance.uniform(0.2, 0.5) * high, 1)
    return (UsedArea(wide - w, high - h, w, h),)
