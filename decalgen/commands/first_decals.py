"""The first decals of a new job: ready layouts, every length in them as its share of the panel."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from decalgen.commands.panel_questions import AWAY
from decalgen.commands.question_values import free, grown, taken_away
from decalgen.commands.questions import Question, QuestionName
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.job.edits import set_value, values
from decalgen.job.layouts import Layout, layouts, load_layout
from decalgen.job.nodes import Mapping, Scalar
from decalgen.job.restructure import add_decal
from decalgen.job.written import YamlValue
from decalgen.panels.base import Panel

_MM = re.compile(r"(\d+(?:\.\d+)?) mm")
SHRINK = (1.0, 0.8, 0.65, 0.5, 0.4, 0.3, 0.2)
"""So many times the layout's own share of a panel are tried, in this order, until the decal fits."""
PLACES = ("top - 0.5 mm", "bottom + 0.5 mm", "left + 0.5 mm", "right - 0.5 mm")
"""Where a decal is tried that lies on something where its layout has it."""
LEAST = 0.01
"""Lengths are rounded to it, and none is made smaller, mm."""
POOR = 1
AMISS = ("on-obstacle", "decals-overlap", "fit-not-known", "colour-film", "colour-legibility")
"""Warnings that a first decal is moved, made smaller or put on white film for."""
HERE = Path("job.yaml")
"""A job that includes no other file may be anywhere."""
DecalRows = dict[str, YamlValue]
WHITE: DecalRows = {"film": "white"}
_HANDS = (("one", "one decal"), ("both", "one for each side"), ("left", "the left side only"), ("right", "the right"))


def decal_question(whole: Any, at: QuestionName) -> Question:
    """The question at ``at``."""
    known = tuple((one.name, one.about) for one in layouts())
    if len(at) == 1:
        return Question(at, "A ready layout for a decal", (), "Enter when there are no more", choices=known)
    decal, step = at[1], at[2]
    group = whole["decals"][decal]
    if step == "layout":
        away = (AWAY, "none: remove this decal")
        return Question(at, f"{decal}: from which layout", (), default=group["layout"], choices=(*known, away))
    if step == "panel":
        on = tuple((name, "") for name in whole["panels"])
        return Question(at, f"{decal}: on which panel", at, default=group.get("panel", "1"), choices=on)
    return Question(at, f"{decal}: for which sides", at, default=_hands(whole, decal), choices=_HANDS)


def put_decal(text: str, whole: Any, at: QuestionName, typed: str) -> tuple[str, QuestionName]:
    """The text with the answer, and which question follows."""
    if len(at) == 1:
        return _put_layout(text, whole, typed) if typed else (text, ("lettering",))
    decal, step = at[1], at[2]
    group = whole["decals"][decal]
    if step == "layout":
        if typed == group["layout"]:
            return text, ("decals",)
        text = taken_away(text, ("decals", decal))
        return _put_layout(text, values(text), typed) if typed != AWAY else (text, ("decals",))
    if step == "panel":
        layout = group["layout"]
        if typed != group.get("panel"):
            text = fitted(text, decal, layout, typed)
        return text, sides_of(decal, layout)
    return grown(text, ("decals", decal, "hands"), typed), ("decals",)


def _put_layout(text: str, whole: Any, typed: str) -> tuple[str, QuestionName]:
    panels = list(whole["panels"])
    name = free(typed.replace("-", " "), whole.get("decals") or {})
    # Which panel is meant is asked next; until then it lies on the first that holds it.
    for panel in panels:
        try:
            text = placed(text, name, typed, panel)
            break
        except DecalgenError:
            if panel == panels[-1]:
                raise
    return text, ("decals", name, "panel") if len(panels) > 1 else sides_of(name, typed)


def sides_of(decal: str, layout: str) -> QuestionName:
    """Whether it is asked for which sides a decal is: not where its layout says so."""
    return ("decals",) if load_layout(layout).decal.get("hands") else ("decals", decal, "hands")


def placed(text: str, decal: str, layout: str, panel: str, path: Path = HERE) -> str:
    """The text with one more decal, a layout on a panel, in sizes that fit it. ``path``: of the job file. Raises as
    `fitted` does."""
    return _best(lambda rows: add_decal(text, decal, rows), decal, layout, panel_in(text, path, panel), path)


def fitted(text: str, decal: str, layout: str, panel: str) -> str:
    """The text with the decal's sizes small enough for its panel, where it lies clear of obstacles and other decals if
    there is such a place; on white film where its colours call for that. Raises DecalgenError where a check has an
    error of it in all sizes."""
    on = panel_in(text, HERE, panel)
    return _best(lambda rows: set_value(text, ("decals", decal), rows), decal, layout, on, HERE)


def panel_in(text: str, path: Path, name: str) -> Panel:
    """A panel of a job. Raises JobError for a text that cannot be read."""
    from decalgen.job.loader import job_as_written

    return job_as_written(text, path).panel(name)


def _best(put: Callable[[DecalRows], str], decal: str, layout: str, panel: Panel, path: Path) -> str:
    film: DecalRows = {}
    whole = put(layout_rows(layout, panel, 1.0))
    first = shortfall(whole, decal, path)
    if first.level and shortfall(put({**layout_rows(layout, panel, 1.0), **WHITE}), decal, path).level < first.level:
        film = WHITE
    new, found = clear_place(
        lambda share: {**layout_rows(layout, panel, share), **film}, lambda rows: shortfall(put(rows), decal, path)
    )
    if found.level > POOR:
        raise DecalgenError(
            f"'{layout}' does not suit '{panel.name}': {first.message}",
            fix=f"{first.fix}; or choose another layout or another panel" if first.fix else "choose another layout",
        )
    return put(new)


def clear_place(
    rows: Callable[[float], DecalRows], judge: Callable[[DecalRows], Shortfall]
) -> tuple[DecalRows, Shortfall]:
    """The keys of a decal in the first size and place that nothing is amiss with, or else the first that has no error;
    and what is amiss. ``rows`` gives them for a share of the usual size, ``judge`` tells what is amiss."""
    poor: tuple[DecalRows, Shortfall] | None = None
    for share, place in [(share, "") for share in SHRINK] + [
        (share, place) for place in PLACES for share in SHRINK[:4]
    ]:
        new = {**rows(share), "at": place} if place else rows(share)
        found = judge(new)
        if not found.level:
            return new, found
        if poor is None or found.level < poor[1].level:
            poor = new, found
    assert poor is not None
    return poor


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
    tried = add_decal(text, name, rows)
    if "inks" not in values(text):
        tried = grown(tried, ("inks",), {"harbour teal": {"colour": "#127077"}})
    return tried if shortfall(tried, name).level <= POOR else text


@dataclass(frozen=True)
class Shortfall:
    """What a check has against a decal: nothing (level 0), that it lies on something or may not fit (`POOR`), or an
    error, with its message and fix."""

    level: int
    message: str = ""
    fix: str = ""


def shortfall(text: str, decal: str, path: Path = HERE) -> Shortfall:
    """What a check has against a decal among those of its panel. What waits for readings does not count."""
    from decalgen.artwork.drawn import draw_decals
    from decalgen.job.loader import job_as_written
    from decalgen.job.model import Printer
    from decalgen.preflight import examine
    from decalgen.preflight.lettering import small_letters
    from decalgen.preflight.rules import DECAL_RULES

    # What would help small letters takes most of a check's time, and is neither an error nor one of AMISS.
    rules = [rule for rule in DECAL_RULES if rule is not small_letters]
    try:
        job = job_as_written(text, path)
        panel = next((one.panel for one in job.decals if one.name == decal), "")
        job = replace(job, decals=tuple(one for one in job.decals if one.panel == panel))
        found = examine([job], Printer(), {job.name: draw_decals(job)}, rules)
    except DecalgenError as error:
        return Shortfall(POOR + 1, error.message, error.fix)
    mine = [one for one in found.findings if one.subject.partition(",")[0] == decal and one.code != "unmeasured"]
    errors = [one for one in mine if one.severity == "error"]
    if errors:
        return Shortfall(POOR + 1, errors[0].message, errors[0].fix)
    if decal not in {one.decal.name for one in found.fits[job.name]}:
        return Shortfall(POOR + 1, "it cannot be drawn")
    return Shortfall(POOR if any(one.code in AMISS for one in mine) else 0)


def layout_rows(layout: str, panel: Panel, share: float) -> DecalRows:
    """A decal of a layout: each of its lengths as its share of the panel that the layout is shown on, to 0.01 mm; by
    the panel's size where that is still to be measured. What the layout says anyway is left out."""
    found = load_layout(layout)
    rows: dict[str, YamlValue] = {"layout": found.name, "panel": panel.name}
    sample = _sample(found)
    sizes: dict[str, YamlValue] = {}
    for name, node in found.values.items():
        plain = _MM.fullmatch(node.text.strip()) if isinstance(node, Scalar) else None
        # A size of the full-size vehicle is no share of a panel.
        if plain is None or not float(plain[1]) or sample is None or name.startswith("full size"):
            continue
        width, height = sample
        if panel.unmeasured:
            length = round(float(plain[1]) * share, 4)
            sizes[name] = f"{length:g} * min(panel.width / {width:g}, panel.height / {height:g})"
            continue
        here = min(panel.width.value / width, panel.height.value / height)
        length = max(LEAST, round(float(plain[1]) * share * here, 2))
        if length != float(plain[1]):
            sizes[name] = f"{length:.2f} mm"
    return {**rows, "values": sizes} if sizes else rows


def _sample(layout: Layout) -> tuple[float, float] | None:
    """Width and height of the panel that a layout is shown on, mm; None where it is not shown on a plain one."""
    panel = layout.shown_on.get("panel")
    if not isinstance(panel, Mapping):
        return None
    found = {}
    for key in ("width", "height"):
        node = panel.get(key)
        plain = _MM.fullmatch(node.text.strip()) if isinstance(node, Scalar) else None
        if plain is None:
            return None
        found[key] = float(plain[1])
    return found["width"], found["height"]


def _hands(whole: Any, decal: str) -> str:
    group = whole["decals"][decal]
    panel = whole["panels"][group["panel"]]
    return group.get("hands") or ("both" if panel.get("hand") else "one")
