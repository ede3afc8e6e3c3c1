"""The target of a printer on the page: drawn as it is printed, read span by span, judged while one reads."""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapely.geometry import Point, Polygon

from decalgen.bench.drawings_of_readings import drawn_items
from decalgen.bench.page_words import on_page
from decalgen.bench.pictures import UNIT
from decalgen.bench.standing import error_words
from decalgen.bench.typed_film import film_named, printer_given, typed_text
from decalgen.commands.calibrate_printer import (
    CalibrationRequest,
    base_of,
    print_target,
    read_target,
    target_size,
    tried_target,
)
from decalgen.commands.options import Result
from decalgen.commands.typed_readings import TypedReadings, typed_readings
from decalgen.core.document import Item, Line, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Bounds
from decalgen.core.instruments import CALIPER
from decalgen.pages.calibration_target import span_ends, target_page
from decalgen.printer.history import FEEDS
from decalgen.printer.target import LETTERS, SPANS, CalibrationError, Target, span_label
from decalgen.printer.typed_lengths import readings

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

HOW = (
    "Put a sheet of this film into the printer, fed as you will feed the decals.",
    "Print the target on it at 100 %, with every fitting, scaling and borderless setting off.",
    "Let it dry, turn the thick edge towards you, and measure each letter three times, from middle to middle of its "
    "crosses, lifting the caliper between.",
)
SPLIT = re.compile(r"\S+(?:\s+(?:mm|cm|in|inch|inches)\b)?")
"""One reading out of several, with its unit."""
NO_READING = "Type what you measure: at least one span across and one up."
TargetSize = tuple[Target, float, float, Bounds]
MOST_DRAWN = 8
_DRAWN: dict[TargetSize, list[dict[str, Any]]] = {}
_BEGUN: set[TargetSize] = set()
ROUND = 12
"""A closed line of more points is the ring of a letter."""


def request_of(folder: Path, asked: Mapping[str, Any]) -> CalibrationRequest:
    """What the boxes say a calibration is for. ``printer``: a kept one, a printer file beside the job, or nothing for
    a new one called ``name``. Raises InputError."""
    printer = printer_given(folder, typed_text(asked, "printer"))
    name = typed_text(asked, "name")
    if not name and printer:
        from decalgen.workshop.profiles import printer_named

        name = printer_named(printer).name
    film = film_named(folder, typed_text(asked, "film") or "white A5")
    tool, tray = typed_text(asked, "tool") or CALIPER.name, typed_text(asked, "tray")
    feed = typed_text(asked, "feed")
    date = typed_text(asked, "date")
    paper = typed_text(asked, "paper")
    return CalibrationRequest(printer, film, tool, date, None, name, tray, feed if feed in FEEDS else FEEDS[0], paper)


def asked_of(view: Mapping[str, str]) -> dict[str, str]:
    """What the page has chosen so far."""
    try:
        found = json.loads(view.get("target") or "{}")
    except (ValueError, RecursionError):
        return {}
    return {str(key): str(value) for key, value in found.items()} if isinstance(found, dict) else {}


def target_state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The target for what is chosen, what was read of it so far, and what that says."""
    asked = asked_of(view)
    found: dict[str, Any] = {"asked": asked, "how": list(HOW), "wrong": "", "spans": [], "waits": ""}
    try:
        wanted = request_of(place.desk.path.parent, asked)
        found |= _spans(wanted)
        found["drawing"] = _drawing(place, found.pop("size"))
    except DecalgenError as error:
        return found | {"wrong": error_words(error)}
    if not wanted.keep:
        return found | {"waits": "Give the printer a name first: its readings are kept under it."}
    try:
        kept = typed_readings(wanted)
        typed = kept.taken_up()
    except DecalgenError as error:
        return found | {"waits": error_words(error)}
    for one in found["spans"]:
        one["typed"] = SPLIT.findall(typed.get(one["span"], ""))
    return found | {"verdict": _verdict(typed, wanted), "kept": str(kept.path) if typed else ""}


def _spans(wanted: CalibrationRequest) -> dict[str, Any]:
    """The spans as they are asked for, with both ends, and the drawing of the target, if it is made by now."""
    size = target_size(base_of(wanted.printer, wanted.keep), wanted.film, wanted.tool)
    target, width, height, area = size
    ends = span_ends(target, area)
    spans = [
        {
            "span": span,
            "letter": LETTERS[span],
            "label": span_label(span),
            "asked": f"{target.asked(span):.2f}",
            "ends": [round(v * UNIT) for point in ends[span] for v in point],
            "typed": [],
        }
        for span in SPANS
    ]
    return {"spans": spans, "drawing": None, "box": [0, 0, round(width * UNIT), round(height * UNIT)], "size": size}


def _drawing(place: Workplace, size: TargetSize) -> list[dict[str, Any]] | None:
    """The drawing of a target; None while it is made beside everything else, for it takes a second: told once it is
    there."""
    if size not in _DRAWN:

        async def work() -> None:
            found = await asyncio.to_thread(draw_target, size)
            while len(_DRAWN) >= MOST_DRAWN:
                _DRAWN.pop(next(iter(_DRAWN)))
            _DRAWN[size] = found
            place.tell(made="printer", version=place.desk.version)

        if size not in _BEGUN:
            _BEGUN.add(size)
            place.begin(work(), lambda: _BEGUN.discard(size))
    return _DRAWN.get(size)


def draw_target(size: TargetSize) -> list[dict[str, Any]]:
    """The target as it is printed, without its small print, as path data."""
    page = target_page(*size, "").pages[0]
    return drawn_items(_without_words([item for layer in page.layers for item in layer.items]))


def _without_words(items: list[Item]) -> list[Item]:
    """The target without its small print: lines, edges, and the letters in their rings."""
    rings = [Polygon(one.points) for one in items if isinstance(one, Line) and one.closed and len(one.points) > ROUND]
    return [
        one
        for one in items
        if not isinstance(one, Use) or any(ring.contains(Point(one.matrix[4], one.matrix[5])) for ring in rings)
    ]


def _verdict(typed: Mapping[str, str], wanted: CalibrationRequest) -> dict[str, Any]:
    """What the readings say so far, as the command will say it."""
    try:
        result = tried_target({span: readings(words) for span, words in typed.items() if words}, wanted)
    except DecalgenError as error:
        ways = {span.split()[0] for span, words in typed.items() if words}
        both = {"across", "up"} <= ways
        return {"wrong": error_words(error) if both else "", "open": "" if both else NO_READING, "lines": []}
    return {"wrong": "", "open": "", "lines": [on_page(one) for one in result.lines], "findings": findings_of(result)}


def findings_of(result: Result) -> list[dict[str, str]]:
    """What a command found, for the page."""
    return [
        {"severity": one.severity, "subject": one.subject, "message": on_page(one.message), "fix": on_page(one.fix)}
        for one in result.findings
    ]


def make_target(place: Workplace, asked: Mapping[str, Any]) -> Result:
    """`calibrate print`: the target beside the job, as ``target.pdf``."""
    folder = place.desk.path.parent
    wanted = request_of(folder, asked)
    return print_target(base_of(wanted.printer, wanted.keep), wanted.film, wanted.tool, folder / "target.pdf")


def type_span(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Keeps the readings of one ``span``, as `calibrate read` does while they are typed; ``words`` holds them all.
    Raises CalibrationError for readings that cannot be right: what was kept before stays."""
    kept, typed = _typed(place, asked)
    span, words = typed_text(asked, "span"), typed_text(asked, "words")
    if span not in SPANS:
        raise CalibrationError(f"there is no span '{span[:40]}'", fix="load the page again")
    kept.check(span, words, typed)
    kept.keep({**typed, span: words})


def keep_profile(place: Workplace, asked: Mapping[str, Any]) -> Result:
    """`calibrate read --keep` of what was typed."""
    kept, typed = _typed(place, asked)
    wanted = request_of(place.desk.path.parent, asked)
    result = read_target({span: readings(words) for span, words in typed.items() if words}, wanted)
    kept.used()
    return result


def _typed(place: Workplace, asked: Mapping[str, Any]) -> tuple[TypedReadings, dict[str, str]]:
    kept = typed_readings(request_of(place.desk.path.parent, asked))
    return kept, kept.taken_up()
