"""The first decals of a new job: ready layouts, every length in them by the size of the panel."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from decalgen.commands.questions import Question, QuestionName
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import add_value, set_value, values
from decalgen.job.layouts import Layout, layouts, load_layout
from decalgen.job.nodes import Mapping, Scalar
from decalgen.job.written import YamlValue

_MM = re.compile(r"(\d+(?:\.\d+)?) mm")
SHRINK = (1.0, 0.8, 0.65, 0.5, 0.4, 0.3, 0.2)
"""So many times the layout's own share of a panel are tried, in this order, until the decal fits."""
_HANDS = (("one", "one decal"), ("both", "one for each side"), ("left", "the left side only"), ("right", "the right"))


def decal_question(whole: Any, at: QuestionName) -> Question:
    """The question at ``at``."""
    if len(at) == 1:
        known = tuple((one.name, one.about) for one in layouts())
        return Question(at, "A ready layout for a decal", (), "Enter when there are no more", choices=known)
    decal, step = at[1], at[2]
    _ = whole["decals"][decal]
    if step == "panel":
        known = tuple((name, "") for name in whole["panels"])
        return Question(at, f"{decal}: on which panel", at, default="1", choices=known)
    return Question(at, f"{decal}: for which sides", at, default=_hands(whole, decal), choices=_HANDS)


def put_decal(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    """The text with the answer, and which question follows."""
    if len(at) == 1:
        if not typed:
            return text, ("end",)
        panels = list(whole["panels"])
        name = _free(typed.replace("-", " "), whole.get("decals") or {})
        text = placed(text, name, typed, panels[0])
        return text, ("decals", name, "panel") if len(panels) > 1 else _sides(name, typed)
    decal, step = at[1], at[2]
    if step == "panel":
        layout = whole["decals"][decal]["layout"]
        text = set_value(text, ("decals", decal), _rows(layout, typed, 1.0))
        return fitted(text, decal, layout, typed), _sides(decal, layout)
    given = whole["decals"][decal].get("hands")
    path = ("decals", decal, "hands")
    return (set_value(text, path, typed) if given else add_value(text, path, typed)), ("decals",)


def _sides(decal: str, layout: str) -> QuestionName:
    """Whether it is asked for which sides a decal is: not where its layout says so."""
    return ("decals",) if load_layout(layout).decal.get("hands") else ("decals", decal, "hands")


def placed(text: str, decal: str, layout: str, panel: str) -> str:
    """The text with one more decal, a layout on a panel, in sizes that fit it."""
    whole = values(text)
    rows = _rows(layout, panel, 1.0)
    if "decals" in whole:
        text = add_value(text, ("decals", decal), rows)
    else:
        text = add_value(text, ("decals",), {decal: rows})
    return fitted(text, decal, layout, panel)


def fitted(text: str, decal: str, layout: str, panel: str) -> str:
    """The text with the decal's sizes small enough for its panel. Raises DecalgenError where none are."""
    for share in SHRINK:
        tried = set_value(text, ("decals", decal), _rows(layout, panel, share))
        if _fits(tried, decal):
            return tried
    raise DecalgenError(f"'{layout}' does not fit on '{panel}'", fix="choose another layout or another panel")


def with_starter(text: str, panel: str) -> str:
    """The text with a decal to begin with, a band with a word, where it fits the panel; else as it is."""
    if "decals" in values(text):
        return text
    name = f"{panel} band"
    lettering: YamlValue = {"text": "STORES", "cap height": "decal.height / 3", "ink": "white"}
    rows: dict[str, YamlValue] = {
        "panel": panel,
        "at": "bottom",
        "width": "0.9 * panel.width",
        "height": "panel.height / 3",
        "artwork": [{"field": {"ink": "harbour teal"}}, {"lettering": lettering}],
    }
    tried = add_value(text, ("decals",), {name: rows})
    if "inks" not in values(text):
        tried = add_value(tried, ("inks",), {"harbour teal": {"colour": "#127077"}})
    return tried if _fits(tried, name) else text


def _fits(text: str, decal: str) -> bool:
    """Whether a check has no error for the decal; what waits for readings does not count."""
    from decalgen.artwork.drawn import draw_decals
    from decalgen.job.loader import job_as_written
    from decalgen.job.model import Printer
    from decalgen.preflight import examine

    try:
        job = job_as_written(text, Path("job.yaml"))
        found = examine([job], Printer(), {job.name: draw_decals(job)})
    except DecalgenError:
        return False
    sizes = {one.decal.name: one for one in found.fits[job.name]}
    errors = [one for one in found.findings if one.severity == "error" and one.code != "unmeasured"]
    mine = [one for one in errors if one.subject.partition(",")[0] == decal]
    return not mine and decal in sizes


def _rows(layout: str, panel: str, share: float) -> dict[str, YamlValue]:
    """A decal of a layout: each of its lengths as its share of the panel that the layout is shown on."""
    found = load_layout(layout)
    rows: dict[str, YamlValue] = {"layout": found.name, "panel": panel}
    unit = _unit(found)
    sizes: dict[str, YamlValue] = {}
    for name, node in found.values.items():
        plain = _MM.fullmatch(node.text.strip()) if isinstance(node, Scalar) else None
        # A size of the full-size vehicle is no share of a panel.
        if plain and float(plain[1]) > 0 and unit and not name.startswith("full size"):
            sizes[name] = f"{round(float(plain[1]) * share, 4):g} * {unit}"
    return {**rows, "values": sizes} if sizes else rows


def _unit(layout: Layout) -> str:
    """What 1 mm on the layout's sample panel is on another."""
    panel = layout.shown_on.get("panel")
    if not isinstance(panel, Mapping):
        return ""
    found = {}
    for key in ("width", "height"):
        node = panel.get(key)
        plain = _MM.fullmatch(node.text.strip()) if isinstance(node, Scalar) else None
        if plain is None:
            return ""
        found[key] = float(plain[1])
    return f"min(panel.width / {found['width']:g}, panel.height / {found['height']:g})"


def _hands(whole: Any, decal: str) -> str:
    panel = whole["panels"][whole["decals"][decal]["panel"]]
    return "both" if panel.get("hand") else "one"


def _free(name: str, there: Any) -> str:
    number, tried = 1, name
    while tried in there:
        number += 1
        tried = f"{name} {number}"
    return tried
