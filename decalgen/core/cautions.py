"""The cautions that paperwork prints. Every block ends by deferring to local law and the product labels."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Literal

Concern = Literal["paint", "lacquer", "waterslide", "laser", "emblem"]
"""What of a job calls for a caution: an old paint under new, film to be sealed, film laid wet, a hot fuser, a sign that
is protected by law."""

WorkStage = Literal["before", "laying", "afterwards"]
"""When a caution is wanted: before any decal is on, while one is laid, once all are on."""

LAW = (
    "Follow your local law and the labels of the products; where work is reserved for licensed people, "
    "leave it to them."
)

CAUTIONS: tuple[tuple[str, str, Concern | None], ...] = (
    (
        "Old paint may hold lead",
        "Test it before you strip. No dry sanding, no heat gun on untested paint; wear gloves and wash your hands.",
        "paint",
    ),
    (
        "Lacquers, thinners and aerosols are flammable",
        "Work outdoors or with extracted air, no flame or spark near, organic-vapour mask on. "
        "No two-pack isocyanate paints at home.",
        "lacquer",
    ),
    (
        "Film and fuser",
        "A laser printer takes laser-rated film only: inkjet film melts on its hot fuser.",
        "laser",
    ),
    ("Blades", "Cut away from yourself, on a mat; cap the blade when you put it down.", None),
    ("Not for children", "A restored toy is a collector's piece (14+), not a toy to play with.", None),
    (
        "Protected signs",
        "A red cross, crescent or crystal on white, and nations' roundels, are protected by law.",
        "emblem",
    ),
    (
        "Marks of others",
        "Ask before you publish or sell police insignia, trade marks or liveries of others, and mark reproductions as "
        "such.",
        None,
    ),
)
"""Head, text, and what it is for; None: every job."""

AT_THE_BENCH: tuple[tuple[str, str, Concern | None], ...] = (
    (
        "Setting solutions and softeners are solvents",
        "Try one on a spare of the same print first. Open a window, keep it off skin and eyes, no flame near.",
        "waterslide",
    ),
    (
        "Film in a laser printer",
        "No film with openings cut in it, and none with its backing paper bared: it peels and sticks to the fuser, "
        "which stays hot after printing.",
        "laser",
    ),
    ("Dust", "Sand wet, or under extraction with a dust mask; wipe up, do not blow.", "paint"),
    (
        "Old zinc castings can decay",
        "One that cracks, swells or crumbles breaks under pressure: hold it lightly, leave its paint on, and wash your "
        "hands.",
        None,
    ),
)
"""The same, for papers that lie beside the model: the guide and the work card."""

LATER: Mapping[str, WorkStage] = {
    "Setting solutions and softeners are solvents": "laying",
    "Old zinc castings can decay": "laying",
    "Not for children": "afterwards",
    "Marks of others": "afterwards",
}
"""When cautions are wanted, by their heads; those that are not here, before any decal is on."""
AGAIN_LATER = "Lacquers, thinners and aerosols are flammable"
"""What is wanted for the clear coat once more."""


def stage_cautions(fitting: Collection[tuple[str, str]], stage: WorkStage) -> tuple[tuple[str, str], ...]:
    """Of the cautions that fit a job those that are wanted at a stage of the work."""
    return tuple(
        (head, text)
        for head, text in fitting
        if LATER.get(head, "before") == stage or (head == AGAIN_LATER and stage == "afterwards")
    )


def cautions_for(concerns: Collection[Concern], *, bench: bool = False) -> tuple[tuple[str, str], ...]:
    """Head and text of the cautions that fit a job. ``bench``: with those for the work on the model."""
    every = (*CAUTIONS[:-3], *AT_THE_BENCH, *CAUTIONS[-3:]) if bench else CAUTIONS
    return tuple((head, text) for head, text, concern in every if concern is None or concern in concerns)
