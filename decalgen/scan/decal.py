"""A pattern that was read as the shapes of a decal, and values that are typed over what was read. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.lengths import ExpressionError, length
from decalgen.scan.remains import FoundValue, PatternFit
from decalgen.scan.tracing.as_shapes import traced_shapes
from decalgen.scan.tracing.trace import TracedFit

MOST_COUNT = 500
DEGREES = "\N{DEGREE SIGN}"
_ANGLE = re.compile(rf"-?\d{{1,3}}(?:\.\d{{1,6}})?\s*{DEGREES}?")
SHIFT = "shift"
"""May be negative."""
TYPED = "typed"
"""In place of a doubt, of a value that the user typed over what was read."""


class TypedOverError(DecalgenError):
    """A value that cannot be typed over what was read."""

    exit_code = 2


def typed_over(fit: PatternFit, typed: Mapping[str, str]) -> PatternFit:
    """The fit with values as typed: counts as numbers, angles in degrees, all else as lengths. The sizes of
    checks follow from their cells. Raises TypedOverError."""
    if isinstance(fit, TracedFit):
        if typed:
            raise TypedOverError(
                "an outline is drawn as it was traced: no value is typed over it",
                fix="leave --value out, and give what tells its size, such as --beside",
            )
        return fit
    values = {one.name: one for one in fit.values if one.name != "angle"}
    for name, text in typed.items():
        if name not in values:
            raise TypedOverError(
                f"no value '{name}' was read from the {fit.kind}", fix=did_you_mean(name, list(values))
            )
        values[name] = _typed(values[name], text)
    if fit.kind == "checks":
        for size, cell, count in (("width", "cell width", "columns"), ("height", "cell height", "rows")):
            if size not in typed:
                product = values[cell].value * values[count].value
                share = product / values[size].value
                values[size] = replace(values[size], value=product, u=values[size].u * share, least=values[count].least)
    return replace(fit, values=tuple(values.get(one.name, one) for one in fit.values))


def _typed(was: FoundValue, text: str) -> FoundValue:
    if was.unit == "":
        if not text.strip().isdecimal() or not 1 <= int(text) <= MOST_COUNT:
            raise TypedOverError(f"'{text[:40]}' is not a count for {was.name}", fix=f"as in --value '{was.name} = 12'")
        return FoundValue(was.name, int(text), 0.0, was.share, "", TYPED)
    if was.unit == DEGREES:
        if _ANGLE.fullmatch(text.strip()) is None:
            raise TypedOverError(
                f"'{text[:40]}' is not an angle for {was.name}", fix=f"as in --value '{was.name} = 45'"
            )
        return FoundValue(was.name, float(text.rstrip(f"{DEGREES} ")), 0.0, was.share, DEGREES, TYPED)
    try:
        found = length(text)
    except ExpressionError as error:
        raise TypedOverError(
            f"'{text[:40]}' is not a length for {was.name}: {error.message}", fix=f"as in --value '{was.name} = 2.4 mm'"
        ) from None
    if not found.value > 0 and was.name != SHIFT:
        raise TypedOverError(f"{was.name} has to be more than 0 mm", fix=f"as in --value '{was.name} = 2.4 mm'")
    return FoundValue(was.name, found.value, found.u, was.share, "mm", TYPED)


def size_of(fit: PatternFit) -> tuple[float, float]:
    """Width and height of a decal with the whole pattern, mm."""
    if fit.kind in ("roundel", "star"):
        return fit.value("diameter"), fit.value("diameter")
    return fit.value("width"), fit.value("height")


def shapes_of(fit: PatternFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    """The shapes that draw the pattern in a decal of its size, in inks of those names, as a job file has them."""
    if isinstance(fit, TracedFit):
        return traced_shapes(fit, inks)
    if fit.kind == "checks":
        counts = {name: str(int(fit.value(name))) for name in ("rows", "columns")}
        return [{"checks": {**counts, "inks": [inks[0], inks[1]]}}]
    if fit.kind == "roundel":
        rings = [one.value for one in fit.values if one.name.startswith("diameter")]
        rows: dict[str, Any] = {"inks": [inks[n] for n in fit.parts if n is not None]}
        if len(rings) > 1:
            rows["diameters"] = [_mm(one) for one in rings]
        return [{"roundel": rows}]
    if fit.kind == "rectangle":
        radius = next((one for one in fit.values if one.name == "corner radius" and one.doubt in ("", TYPED)), None)
        return [{"field": {"ink": inks[0], **({"corner radius": _mm(radius.value)} if radius else {})}}]
    rarer = {"slanted stripes": _slanted, "chevrons": _chevrons, "cross": _cross, "star": _star}.get(fit.kind)
    return rarer(fit, inks) if rarer else _fields(fit, inks)


def _slanted(fit: PatternFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    rows = {name: _mm(fit.value(name)) for name in ("stripe width", "pitch", SHIFT)}
    return [
        {
            "stripe": {
                "ink": inks[0],
                **rows,
                "angle": _degrees(fit.value("stripe angle")),
                "fill": "yes",
                **_ground(inks),
            }
        }
    ]


def _chevrons(fit: PatternFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    rows = {name: _mm(fit.value(name)) for name in ("stripe width", "gap", SHIFT)}
    way = {"direction": fit.points, "angle": _degrees(fit.value("arm angle"))}
    return [{"chevrons": {"ink": inks[0], **rows, **way, **_ground(inks)}}]


def _ground(inks: Sequence[str]) -> dict[str, str]:
    return {"ground": inks[1]} if len(inks) > 1 else {}


def _cross(fit: PatternFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    """The field first, the cross over it."""
    arms, edge, field = fit.parts
    rows: dict[str, Any] = {"ink": inks[arms or 0], "arm width": _mm(fit.value("arm width"))}
    if fit.points == "corners":
        rows["saltire"] = "yes"
    else:
        rows |= {name: _mm(fit.value(name)) for name in ("centre x", "centre y")}
    if edge is not None:
        rows |= {"fimbriation": [_mm(fit.value("edge width"))], "fimbriation inks": [inks[edge]]}
    return [*([] if field is None else [{"field": {"ink": inks[field]}}]), {"cross": rows}]


def _star(fit: PatternFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    rows: dict[str, Any] = {"ink": inks[0], "points": str(int(fit.value("points")))}
    rows["inner ratio"] = f"{fit.value('inner diameter') / fit.value('diameter'):.3f}"
    rows |= {"turn": _degrees(fit.value("turn")), "diameter": _mm(fit.value("diameter")), "in circle": "yes"}
    return [{"star": rows}]


def _fields(fit: PatternFit, inks: Sequence[str]) -> list[dict[str, Any]]:
    """A field for each stripe, by how far it is from the foot or the left."""
    widths = [one.value for one in fit.values if one.name.startswith(("stripe", "gap"))]
    side, anchor = ("width", "left") if fit.upright else ("height", "bottom")
    order = range(len(widths)) if fit.upright else range(len(widths) - 1, -1, -1)
    found, off = [], 0.0
    for n in order:
        number = fit.parts[n]
        if number is not None:
            at = anchor if off < 0.005 else f"{anchor} + {_mm(off)}"
            found.append({"field": {"ink": inks[number], side: _mm(widths[n]), "at": at}})
        off += widths[n]
    return found


def _mm(value: float) -> str:
    return f"{value:.2f} mm"


def _degrees(value: float) -> str:
    return f"{value:.2f}\N{DEGREE SIGN}"
