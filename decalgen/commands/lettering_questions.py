"""The questions about lettering of an original that is to be drawn again to its measures. Pure.

A lettering is a decal of its own on one panel. Its four measures are asked for like those of a panel, and may be taken
later; until then the decal has a share of its panel for a size.
"""

from __future__ import annotations

import re
from itertools import product
from typing import Any

from decalgen.commands.first_decals import PLACES, POOR, shortfall
from decalgen.commands.panel_questions import AWAY
from decalgen.commands.question_values import free, grown, taken_away
from decalgen.commands.questions import Question, QuestionName, lettering_slots, reading_question
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import set_value, values
from decalgen.job.written import YamlValue
from decalgen.panels.unmeasured import SIGN

MEASURES = ("cap height", "length", "stem", "crossbar")
INK = "black"
"""What it is printed in until the file says otherwise: every job has it."""
SIZES = (
    ("0.9 * panel.width", "panel.height / 3"),
    ("0.9 * panel.width", "panel.height"),
    ("panel.width", "panel.height"),
)
"""Widths and heights of the decal that are tried until it is measured."""
_MM = re.compile(r"(\d+(?:\.\d+)?) mm")


def lettering_question(whole: Any, at: QuestionName) -> Question:
    """The question at ``at``."""
    if len(at) == 1:
        about = "words left of an original, to be drawn again to its measures; Enter when there are no more"
        return Question(at, "Lettering to match", (), about)
    decal, step = at[1], at[2]
    if step == "words":
        words = whole["decals"][decal]["artwork"][0]["lettering"]["text"]
        return Question(at, "Lettering to match", (), f"{AWAY} removes it", default=words)
    if step == "panel":
        on = tuple((name, "") for name in whole["panels"])
        default = whole["decals"][decal].get("panel", "1")
        return Question(at, f"{decal}: on which panel", (), default=default, choices=on)
    slot = next(one for one in lettering_slots(whole, decal) if one.key == at[3])
    return reading_question(slot, at)


def put_lettering(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    """The text with the answer, and which question follows."""
    if len(at) == 1:
        return _put_words(text, whole, typed) if typed else (text, ("more",))
    decal, step = at[1], at[2]
    if step == "words":
        if typed == AWAY:
            return taken_away(text, ("decals", decal)), ("lettering",)
        _named_words(typed)
        return set_value(text, ("decals", decal, "artwork", 0, "lettering", "text"), typed), ("lettering",)
    if typed != whole["decals"][decal]["panel"]:
        text = sized(set_value(text, ("decals", decal, "panel"), typed), decal)
    return text, ("lettering", decal, "read", MEASURES[0])


def after_measure(text: str, at: QuestionName) -> tuple[str, QuestionName]:
    """The text once a measure is in it, and which question follows: with the last the decal gets a size to suit."""
    number = MEASURES.index(at[3]) + 1
    if number < len(MEASURES):
        return text, (*at[:3], MEASURES[number])
    return sized(text, at[1]), ("lettering",)


def sized(text: str, decal: str) -> str:
    """The text with a size for the decal that holds the lettering, by its measures where they are known: half a cap
    height more than the capitals, for accents, and as much more than the length."""
    whole: Any = values(text)
    match = whole["decals"][decal]["artwork"][0]["lettering"]["match"]
    cap, length = (_mm(match.get(key)) for key in ("cap height", "length"))
    tried = [(f"{length + cap / 2:.4g} mm", f"{1.5 * cap:.4g} mm")] if cap and length else []
    bare = taken_away(taken_away(text, ("decals", decal, "at")), ("decals", decal, "film"))
    poor = ""
    # Its ink may not be seen on clear film over this body.
    for (width, height), place, film in product((*tried, *SIZES), ("", *PLACES), ("", "white")):
        new = bare
        for key, value in (("width", width), ("height", height), ("at", place), ("film", film)):
            new = grown(new, ("decals", decal, key), value) if value else new
        found = shortfall(new, decal).level
        if not found:
            return new
        poor = poor or (new if found == POOR else "")
    return poor or text


def is_asked_for(group: Any) -> bool:
    """Whether a decal is one of those that these questions make."""
    artwork = group.get("artwork")
    body = artwork[0].get("lettering") if isinstance(artwork, list) and isinstance(artwork[0], dict) else None
    match = body.get("match") if isinstance(body, dict) else None
    return isinstance(match, dict) and all(key in match for key in MEASURES)


def _put_words(text: str, whole: Any, typed: str) -> tuple[str, QuestionName]:
    words = _named_words(typed)
    panels = list(whole["panels"])
    name = free(f"{words.casefold()[:50]} lettering", whole.get("decals") or {})
    lettering: YamlValue = {"text": words, "ink": INK, "match": dict.fromkeys(MEASURES, SIGN)}
    rows: dict[str, YamlValue] = {
        "panel": panels[0],
        "width": SIZES[0][0],
        "height": SIZES[0][1],
        "artwork": [{"lettering": lettering}],
    }
    text = grown(text, ("decals", name), rows)
    if len(panels) == 1:
        return sized(text, name), ("lettering", name, "read", MEASURES[0])
    return text, ("lettering", name, "panel")


def _named_words(typed: str) -> str:
    words = " ".join(typed.split())
    if not words or words == SIGN:
        raise DecalgenError("the words are needed, not a reading", fix="type the letters of the original: STORES")
    return words


def _mm(value: Any) -> float | None:
    """What a reading is in mm, the first of several; None where it is open or more than a number."""
    first = value[0] if isinstance(value, list) and value else value
    found = _MM.match(first) if isinstance(first, str) else None
    return float(found[1]) if found else None
