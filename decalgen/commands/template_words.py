"""What is typed about a template, as values: its corners and sizes. Raises ScanWordsError, with the fix."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from decalgen.commands.scan_words import LEAST_U_MM, ScanWordsError, request_of
from decalgen.core.lengths import ExpressionError, length
from decalgen.scan.template.values import SIDES, SOURCES, GivenCorner, TemplateRequest, TypedSize

_PAIR = re.compile(r"(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)")
_POINTS = (
    "corners in pixels once round, with `arc` or `line` after a corner for the side that leaves it, and `round` for a "
    "round corner: --points '120,640 line 930,640 arc 931,250 round 118,252'"
)
PATTERN_OPTIONS = ("kind", "value", "fills", "white", "black", "own_white", "chart", "tolerance", "name")
"""Options that speak of a pattern alone."""
ROUND = "round"


def template_request(given: Mapping[str, Any]) -> TemplateRequest:
    """The options of the command, by their names, as a request."""
    for name in PATTERN_OPTIONS:
        if given.get(name):
            option = {"kind": "as"}.get(name, name.replace("_", "-"))
            raise ScanWordsError(
                f"--{option} is for a pattern, and --template reads a panel", fix=f"leave out --{option}"
            )
    source = given["template"]
    if source not in SOURCES:
        raise ScanWordsError(f"'{source}' is not a kind of template", fix="tape or photo")
    width, height = (_size(given.get(name), f"--{name}") for name in ("width", "height"))
    corners = points(given["points"]) if given.get("points") else ()
    return TemplateRequest(request_of(given), source, corners, width, height)


def points(text: str) -> tuple[GivenCorner, ...]:
    """Corners with the words after each: 'round', and the side that leaves it."""
    found: list[GivenCorner] = []
    for word in re.sub(r"\s*,\s*", ",", text.replace(";", " ")).split():
        pair = _PAIR.fullmatch(word)
        if pair:
            found.append(GivenCorner((float(pair[1]), float(pair[2]))))
        elif not found:
            raise ScanWordsError(f"'{word[:40]}' is not a corner", fix=_POINTS)
        elif word == ROUND:
            found[-1] = replace(found[-1], round=True)
        elif word in SIDES:
            found[-1] = replace(found[-1], side=word)
        else:
            raise ScanWordsError(f"'{word[:40]}' is neither a corner nor {', '.join((*SIDES, ROUND))}", fix=_POINTS)
    if len(found) < 3:
        raise ScanWordsError(f"{len(found)} corners make no outline", fix=_POINTS)
    for number, one in enumerate(found):
        bent = next((side for side in (found[number - 1].side, one.side) if side == "arc"), "")
        if one.round and bent:
            raise ScanWordsError(
                f"corner {number + 1} is round and has an arc beside it",
                fix="put a corner where the arc begins and one where it ends, and leave `round` out",
            )
    return tuple(found)


def _size(text: str | None, option: str) -> TypedSize | None:
    if not text:
        return None
    fix = f"with its unit, as in {option} '22.40 mm ± 0.05'"
    try:
        found = length(text)
    except ExpressionError as error:
        raise ScanWordsError(f"{option}: '{text[:40]}' is not a length: {error.message}", fix=fix) from None
    if not 1 <= found.value <= 1000:
        raise ScanWordsError(f"{option}: no panel is {found.value:g} mm", fix=fix)
    return TypedSize(found.value, max(found.u, LEAST_U_MM))
