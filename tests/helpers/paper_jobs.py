"""Jobs made up from a seed that paper has to cope with: many decals on a panel, long names, wide and tiny panels."""

from __future__ import annotations

import random
from dataclasses import replace

from decalgen.job.model import Decal, Job
from decalgen.panels.base import Panel
from decalgen.shapes.base import At
from tests.helpers import jobs

WORDS = ("HARBOUR", "STORES", "POST", "Nº 7", "ÉTÉ", "Q100 DRB", "47", "DRAINAGE BOARD")
NAMES = ("band", "roundel", "number", "first-aid square", "lettering of the upper side", "chevrons", "line", "Wappen")


def crowded_job(seed: int, name: str = "tug", most: int = 8, long: bool = False) -> Job:
    """A job of four to seven panels with up to ``most`` decals each; ``long``: names of every thing are long."""
    chance = random.Random(seed)
    panels: list[Panel] = []
    decals: list[Decal] = []
    for n in range(chance.randint(4, 7)):
        width, height = round(chance.uniform(9, 110), 1), round(chance.uniform(6, 45), 1)
        own = f"{chance.choice(['door', 'side', 'bonnet', 'boot', 'roof', 'rear'])} {n}"
        own += " of the upper body behind the driver's cab" if long else ""
        panels.append(jobs.panel(own, width, height, obstacles=(jobs.handle(),) if width > 25 and height > 12 else ()))
        for k in range(chance.randint(1, most)):
            wide = round(min(width - 1, chance.uniform(2.5, 24)), 1)
            high = round(min(height - 1, chance.uniform(2, 9)), 1)
            ink = chance.choice(["orange", "navy", "green"])
            artwork = [jobs.element("field", ink=ink)]
            if chance.random() < 0.5 and wide > 8 and high > 2.5:
                word = chance.choice(WORDS)
                artwork.append(jobs.element("lettering", text=(word,), cap_height=0.2 * high, ink="white"))
            at = At(
                "bottom left",
                round(chance.uniform(0.2, max(0.3, width - wide)), 1),
                round(chance.uniform(0.2, max(0.3, height - high)), 1),
            )
            title = f"{chance.choice(NAMES)} {n}.{k}" + (" as it was in the second year of the line" if long else "")
            decal = jobs.decal(
                title, wide, high, *artwork, hands=chance.choice(["one", "both"]), at=at,
                copies=chance.choice([1, 1, 2]), spares=chance.choice([0, 0, 1]), margin=chance.choice([0.0, 0.5]),
            )  # fmt: skip
            decals.append(replace(decal, panel=own))
    job = jobs.job(*decals, name=name, panels=tuple(panels))
    words = "Model of a van in the livery of a line that nobody has run for many years" if long else f"Model {name}"
    return replace(job, title=words, scale="1:43")
