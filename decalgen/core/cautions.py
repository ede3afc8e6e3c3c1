"""The cautions that paperwork prints. Every block ends by deferring to local law and the product labels."""

from __future__ import annotations

LAW = (
    "Follow your local law and the labels of the products; where work is reserved for licensed people, "
    "leave it to them."
)

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Old paint may hold lead",
        "Test it before you strip. No dry sanding, no heat gun on untested paint; wear gloves and wash your hands.",
    ),
    (
        "Lacquers, thinners and aerosols are flammable",
        "Work outdoors or with extracted air, no flame or spark near, organic-vapour mask on. "
        "No two-pack isocyanate paints at home.",
    ),
    ("Film and fuser", "A laser printer takes laser-rated film only: inkjet film melts on its hot fuser."),
    ("Blades", "Cut away from yourself, on a mat; cap the blade when you put it down."),
    ("Not for children", "A restored toy is a collector's piece (14+), not a toy to play with."),
    (
        "Marks of others",
        "A red cross, crescent or crystal on white is protected by law. Ask before you publish or sell police "
        "insignia, trade marks or liveries of others, and mark reproductions as such.",
    ),
)


def block() -> str:
    """All cautions as one text, a paragraph each, the reference to the law last."""
    return "\n".join([f"{head}. {text}" for head, text in CAUTIONS] + [LAW])
