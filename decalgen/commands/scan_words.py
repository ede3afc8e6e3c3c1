"""What is typed about a scan, as values: sizes, points, bars, resolution. Raises ScanWordsError, with the fix."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from decalgen.colour.value import Colour
from decalgen.commands.scan_chart import chart_of
from decalgen.core.errors import DecalgenError
from decalgen.core.lengths import ExpressionError, Quantity, length
from decalgen.core.values import dataclass
from decalgen.scan.counts import FilledSize
from decalgen.scan.lens import LEAST_ON_LINE
from decalgen.scan.measuring import ScanRequest
from decalgen.scan.patches import ColourPatch, Patches
from decalgen.scan.scale import Bar, Depth
from decalgen.scan.tracing.trace import LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM, OUTLINE

CARD = "card"
_POINT = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)\s*")
_HEX = re.compile(r"#[0-9a-fA-F]{6}")
_BY = re.compile(r"\s*[x\N{MULTIPLICATION SIGN}]\s*")
_CORNERS = "four points in pixels, round from the lower left, as in --corners '96,868 1100,870 1102,234 97,230'"
_BAR = "two points in pixels and the length between them, as in --bar '120,80 1301,82 = 100 mm'"
_PART = "left, upper, right and lower side in pixels, as in --part 120,80,900,400"
_FILLS = "width and height with units, as in --fills '24.0 mm ± 0.1 x 6.0 mm ± 0.1'"
LEAST_U_MM = 0.02
"""A size that is typed without ± is known no better, standard (common practice, no source)."""
_BESIDE = "'card', or its width and height as measured, as in --beside '85.58 mm x 53.97 mm'"


@dataclass(frozen=True)
class ScanJob:
    """Where what was read goes: the job file, the panel it is on, the new decal's name, the hands it is for where that
    is said."""

    path: Path
    panel: str
    name: str = ""
    hands: str = ""


class ScanWordsError(DecalgenError):
    """Words about a scan that cannot be read."""

    exit_code = 2


def request_of(given: Mapping[str, Any]) -> ScanRequest:
    """The options of the command, by their names, as a request."""
    beside, corners, bars = given.get("beside"), given.get("corners"), given.get("bar") or ()
    if bars and (beside or corners):
        raise ScanWordsError("bars and a card both tell the size", fix="use --bar, or --beside with --corners")
    size, off = (None, None) if not beside or beside.strip().casefold() == CARD else _size(beside)
    return ScanRequest(
        dpi=_dpi(given["dpi"]) if given.get("dpi") else None,
        card=CARD if beside and not corners else "",
        card_mm=size,
        card_off=off,
        corners=_points(corners) if corners else (),
        bars=tuple(_bar(one) for one in bars),
        depth=_depth(given.get("depth"), given.get("camera")),
        part=_part(given["part"]) if given.get("part") else None,
        kind=given.get("kind") or "",
        straights=_straights(given.get("straight") or (), bool(corners)),
        tolerance=_tolerance(given.get("tolerance"), given.get("kind")),
        patches=Patches(
            white=_patch(given.get("white"), "white"),
            black=_patch(given.get("black"), "black"),
            own_white=_patch(given.get("own_white"), "own_white"),
            chart=chart_of(given["chart"]) if given.get("chart") else None,
        ),
    )


def room_of(text: str) -> FilledSize:
    """What the whole pattern filled, as typed: width x height, each with its ±."""
    parts = _BY.split(text.strip())
    if len(parts) != 2:
        raise ScanWordsError(f"'{text[:60]}' is not a width and a height", fix=_FILLS)
    across, up = (_length(part, "--fills", _FILLS) for part in parts)
    if min(across.value, up.value) <= 0:
        raise ScanWordsError("what the pattern filled has to be more than 0 mm both ways", fix=_FILLS)
    return FilledSize((across.value, up.value), (max(across.u, LEAST_U_MM), max(up.u, LEAST_U_MM)))


def typed_values(words: Sequence[str]) -> dict[str, str]:
    """Values typed over what was read, by name: 'columns = 12'."""
    found = {}
    for one in words:
        name, sign, value = one.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise ScanWordsError(f"'{one[:60]}' gives no value", fix="as in --value 'columns = 12'")
        found[" ".join(name.split())] = value.strip()
    return found


def _size(text: str) -> tuple[tuple[float, float], tuple[float, float] | None]:
    """Width and height of a card, and the largest error of each where a ± was typed."""
    parts = _BY.split(text.strip())
    if len(parts) != 2:
        raise ScanWordsError(f"'{text[:60]}' is not the size of a card", fix=_BESIDE)
    # A unit after the second is meant for both.
    unit = re.search(r"[^\W\d_]+\s*$", parts[1])
    if unit and re.fullmatch(r"[\d.]+", parts[0]):
        parts[0] = f"{parts[0]} {unit[0].strip()}"
    across, up = (_length(part, "--beside", _BESIDE) for part in parts)
    width, height = across.value, up.value
    if min(width, height) < 5 or max(width, height) > 500 or max(width, height) < 1.02 * min(width, height):
        raise ScanWordsError(
            f"a card of {width:g} \N{MULTIPLICATION SIGN} {height:g} mm does not serve",
            fix="use one from 5 to 500 mm with one side longer than the other",
        )
    off = (across.u * math.sqrt(3), up.u * math.sqrt(3))
    return (width, height), off if min(off) > 0 else None


def _length(text: str, option: str, fix: str) -> Quantity:
    try:
        return length(text)
    except ExpressionError as error:
        raise ScanWordsError(f"{option}: '{text[:40]}' is not a length: {error.message}", fix=fix) from None


def _points(text: str) -> tuple[tuple[float, float], ...]:
    found = [_POINT.fullmatch(part) for part in re.split(r"[;\s]+(?=-?\d+(?:\.\d+)?\s*,)", text.strip())]
    if len(found) != 4 or None in found:
        raise ScanWordsError(f"'{text[:60]}' is not four points", fix=_CORNERS)
    return tuple((float(one[1]), float(one[2])) for one in found if one)


def _bar(text: str) -> Bar:
    places, sign, size = text.partition("=")
    ends = [_POINT.fullmatch(part) for part in places.split()]
    if not sign or len(ends) != 2 or None in ends:
        raise ScanWordsError(f"'{text[:60]}' is not a bar", fix=_BAR)
    mm = _length(size.strip(), "--bar", _BAR)
    first, second = ((float(one[1]), float(one[2])) for one in ends if one)
    return Bar(first, second, mm.value, mm.u * math.sqrt(3))


def _dpi(text: str) -> tuple[float, float]:
    parts = _BY.split(text.strip())
    try:
        found = [float(part) for part in parts]
    except ValueError:
        found = []
    if len(found) not in (1, 2) or not all(math.isfinite(one) for one in found):
        raise ScanWordsError(f"'{text[:40]}' is not a resolution", fix="as in --dpi 300, or --dpi 300x600")
    return found[0], found[-1]


def _depth(depth: str | None, camera: str | None) -> Depth | None:
    fix = "give both, as in --depth '2 mm ± 1' --camera '400 mm'"
    if not depth and not camera:
        return None
    if not depth or not camera:
        raise ScanWordsError("a depth needs the camera's distance, and the other way round", fix=fix)
    nearer, far = _length(depth, "--depth", fix), _length(camera, "--camera", fix)
    return Depth(nearer.value, nearer.u * math.sqrt(3), far.value)


def _straights(words: Sequence[str], corners: bool) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Lines that are straight in truth, each by points on it."""
    fix = f"{LEAST_ON_LINE} points or more along a straight edge, as in --straight '97,230 420,226 760,227 999,232'"
    if words and not corners:
        raise ScanWordsError(
            "--straight goes with --corners: the edges of a card are found and used by themselves", fix=fix
        )
    found = []
    for text in words:
        points = [_POINT.fullmatch(one) for one in text.split()]
        if len(points) < LEAST_ON_LINE or None in points:
            raise ScanWordsError(f"'{text[:60]}' is not {LEAST_ON_LINE} points or more", fix=fix)
        found.append(tuple((float(one[1]), float(one[2])) for one in points if one))
    return tuple(found)


def _tolerance(text: str | None, kind: str | None) -> float | None:
    """How closely outlines are traced, mm."""
    if not text:
        return None
    fix = "as in --as outline --tolerance '0.02 mm'"
    if kind != OUTLINE:
        raise ScanWordsError("--tolerance says how closely outlines are traced", fix=fix)
    found = _length(text, "--tolerance", fix).value
    low, high = LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM
    if not low <= found <= high:
        raise ScanWordsError(f"a tolerance of {found:g} mm is out of range", fix=f"use {low:g} to {high:g} mm")
    return found


def _patch(text: str | None, name: str) -> ColourPatch | None:
    """A patch of known colour: its place, and its colour where it was measured."""
    if not text:
        return None
    option = f"--{name.replace('_', '-')}"
    place, sign, colour = text.partition("=")
    at = _POINT.fullmatch(place)
    own = name == "own_white"
    fix = f"its place in pixels, as in {option} 120,80" + ("" if own else f", or {option} '120,80 = #f1f1ee'")
    if at is None or (sign and (own or not _HEX.fullmatch(colour.strip()))):
        raise ScanWordsError(f"'{text[:60]}' is not a patch", fix=fix)
    known = Colour.from_hex(colour.strip()).linear if sign else None
    return ColourPatch((float(at[1]), float(at[2])), known)


def _part(text: str) -> tuple[int, int, int, int]:
    parts = re.split(r"[,;\s]+", text.strip())
    if len(parts) != 4 or not all(re.fullmatch(r"\d{1,6}", part) for part in parts):
        raise ScanWordsError(f"'{text[:40]}' is not a part of a picture", fix=_PART)
    left, top, right, bottom = map(int, parts)
    if right <= left or bottom <= top:
        raise ScanWordsError("the part's right side comes after its left, its lower after its upper", fix=_PART)
    return left, top, right, bottom
