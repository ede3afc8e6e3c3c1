"""What the page is told of a picture that is read: in the words of the command, with what is drawn over it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from decalgen.bench.faults import failure
from decalgen.bench.page_words import on_page
from decalgen.bench.standing import counted

if TYPE_CHECKING:
    from decalgen.bench.original_said import OriginalSaid
    from decalgen.bench.original_shelf import OriginalPicture
    from decalgen.core.geometry import Point
    from decalgen.job.model import Job
    from decalgen.scan.measuring import MeasuredScan
    from decalgen.scan.remains import FoundValue, PatternFit
    from decalgen.scan.scale import ScanScale
    from decalgen.scan.template.values import MeasuredTemplate


def picture_told(one: OriginalPicture) -> dict[str, Any]:
    """The picture itself, and what was said of it."""
    said = one.said
    return {
        "key": one.key,
        "name": one.name,
        "width": one.size[0],
        "height": one.size[1],
        "dpi": round(one.dpi[0]) if one.dpi else 0,
        "kept": one.kept,
        "said": {
            "what": said.what,
            "points": [[point.x, point.y, point.round, point.side] for point in said.points],
            "panel_width": said.width,
            "panel_height": said.height,
            "by": said.by,
            "size": said.size,
            "corners": [list(point) for point in said.corners],
            "dpi": said.dpi,
            "part": list(said.part) if said.part else None,
            "kind": said.kind,
            "white": said.white,
            "black": said.black,
            "own_white": said.own_white,
        },
        "waits": said.waits,
    }


def wrong_told(one: OriginalPicture) -> dict[str, Any] | None:
    """Why nothing could be read, and the ways out that are on the screen: 'corners', 'dpi', 'part', 'another'."""
    from decalgen.core.pixels.values import PixelsError
    from decalgen.scan.scale import ScaleError

    if one.wrong is None or one.read_of != one.said:
        return None
    if isinstance(one.wrong, PixelsError):
        ways = ["another"]
    elif isinstance(one.wrong, ScaleError) and one.said.by == "card":
        ways = ["corners", "dpi"]
    elif isinstance(one.wrong, ScaleError):
        ways = ["card", "corners"]
    elif one.said.what != "pattern":
        ways = ["points"]
    else:
        ways = ["part"]
    return {**failure(one.wrong), "ways": ways}


def read_told(one: OriginalPicture, job: Job | None) -> dict[str, Any] | None:
    """What was read: None where nothing is, as it is said now."""
    from decalgen.commands.scan import told

    found, fit = one.found, one.fit
    if found is None or fit is None:
        return None
    sizes = {"across": found.scale.across, "up": found.scale.up}
    return {
        "kind": fit.kind,
        "head": told(replace(found, fits=(fit, *found.fits[1:])))[0][0].partition(";")[0],
        "by": found.scale.told,
        "sure": {way: f"± {200 * share:.2f} %" for way, share in sizes.items()},
        "score": f"{fit.score:.0%}",
        "others": [[other.kind, f"{other.score:.0%}"] for other in found.fits[1:]],
        "doubts": list(map(on_page, found.doubts)),
        "remarks": list(fit.remarks),
        "rows": [_row(one, value) for value in fit.values],
        "inks": _inks(found, fit, job),
        "colours": found.colours,
        **_drawn(one.said, found, fit),
    }


def outline_told(one: OriginalPicture) -> dict[str, Any] | None:
    """The panel that was read; None where none is, as it is said now."""
    from decalgen.commands.scan_template import rows_of_template, told_template

    found = one.panel
    if found is None or one.read_of != one.said:
        return None
    pieces = [piece for side in found.sides for piece in side.drawn if len(piece[0]) > 1]
    pieces += [(mark.drawn, True) for mark in found.marks if len(mark.drawn) > 1]
    sizes = {"across": found.scale.across, "up": found.scale.up}
    return {
        "head": told_template(found)[0][0].rpartition(", by ")[0],
        "by": found.scale.told,
        "sure": {way: f"± {200 * share:.2f} %" for way, share in sizes.items()},
        "weighed": list(found.weighed),
        "doubts": [f"{doubt.message}: {on_page(doubt.fix)}" for doubt in found.doubts],
        "rows": [[row.name, row.value, row.left, row.remark] for row in rows_of_template(found)],
        "edges": [{"d": line_data(points), "there": there} for points, there in pieces],
        "offer": _offer(found) if found.found else [],
        "corners": [[round(x, 1), round(y, 1)] for x, y in (corner.pixel for corner in found.corners)],
        "part": list(found.window),
        "card": card_data(one.said, found.scale),
    }


def _offer(found: MeasuredTemplate) -> list[list[Any]]:
    """The corners that were looked for, as they are said once they are confirmed."""
    both = zip(found.corners, found.sides, strict=True)
    return [
        [*(round(at, 1) for at in one.pixel), bool(one.radius), "arc" if side.rise else "line"] for one, side in both
    ]


def line_data(points: Iterable[Point]) -> str:
    """A line through places of the picture, as SVG path data."""
    return "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def card_data(said: OriginalSaid, scale: ScanScale) -> list[list[float]]:
    """The corners of the card, or of what was set as one, in pixels of the picture; nothing where the dpi tells."""
    import numpy as np

    from decalgen.scan.reference import CARD_MM

    if said.by == "dpi":
        return []
    wide, high = said.request().card_mm or CARD_MM
    at = scale.to_pixels(np.array([(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]))
    return [[round(float(x), 2), round(float(y), 2)] for x, y in at]


def _row(one: OriginalPicture, value: FoundValue) -> dict[str, Any]:
    from decalgen.commands.scan import told_value
    from decalgen.scan.decal import TYPED
    from decalgen.scan.tracing.trace import TracedFit

    typed = value.doubt == TYPED
    flag = "" if typed else value.doubt or (_at_least(value) if value.least else "")
    return {
        "name": value.name,
        "value": told_value(value),
        "left": f"{value.share:.0%}",
        "part": round(value.share, 3),
        "flag": flag,
        "taken": value.name in one.taken,
        "typed": one.typed.get(value.name, ""),
        "count": value.unit == "",
        "fixed": value.name == "angle" or (one.found is not None and isinstance(one.found.fits[0], TracedFit)),
    }


def _at_least(value: FoundValue) -> str:
    return "an outer edge is torn off" if value.unit == "" else "an end is torn off"


def open_doubts(one: OriginalPicture) -> list[str]:
    """The values in doubt that were neither taken as read nor typed over, by name."""
    fit = one.fit
    if fit is None:
        return []
    rows = (_row(one, value) for value in fit.values)
    return [row["name"] for row in rows if row["flag"] and not row["taken"]]


def doubts_words(names: list[str]) -> str:
    """'2 values in doubt: columns, width'; '' where none is."""
    return f"{counted(len(names), 'value')} in doubt: {', '.join(names)}" if names else ""


def _inks(found: MeasuredScan, fit: PatternFit, job: Job | None) -> list[dict[str, str]]:
    """Each colour, and the ink of the job that it is taken for; '' for a new one."""
    from decalgen.commands.scan_into import known_inks

    names = known_inks(job, fit.colours) if job else [None] * len(fit.colours)
    return [{"colour": colour, "ink": name or ""} for colour, name in zip(fit.colours, names, strict=True)]


def _drawn(said: OriginalSaid, found: MeasuredScan, fit: PatternFit) -> dict[str, Any]:
    """The part that was read, the edges of the fit, and the corners of the card, in pixels of the picture."""
    import numpy as np

    edges = [{"d": line_data(found.scale.to_pixels(np.array(edge.points))), "there": edge.there} for edge in fit.edges]
    return {
        "edges": edges,
        "part": list(found.window),
        "pixel": found.pixel,
        "card": card_data(said, found.scale),
    }
