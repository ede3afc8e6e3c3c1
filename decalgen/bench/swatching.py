"""The swatch sheet of a printer on the page: made, and what was read off it kept in a new printer file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.calibrating import asked_of, request_of
from decalgen.bench.typed_film import in_folder, typed_text
from decalgen.bench.typed_mm import typed_mm
from decalgen.colour.printer import PrinterColour
from decalgen.colour.readings import COLOURS, SIZE_LETTERS, SIZES
from decalgen.colour.white import DEFAULT_OPACITY
from decalgen.commands.calibrate_colour import keep_swatches
from decalgen.commands.calibrate_printer import base_of
from decalgen.commands.swatch_sheets import job_inks, print_swatches
from decalgen.core.errors import DecalgenError
from decalgen.core.names import slug
from decalgen.job.colours import ink_of, printer_colour
from decalgen.job.model import Printer
from decalgen.workshop.profiles import printer_named

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace
    from decalgen.commands.options import Result

READING = "reading "
"""What the name of every box with a reading begins with."""
WHITE = ("white over black", "white over white")
ABOUT = {
    "paper": "bare film on white card",
    "darkest": "the darkest patch",
    "white over black": "one pass of white on black",
    "white over white": "one pass of white on white card",
    "line": "the thinnest line that printed whole",
    "gap": "the narrowest gap that stayed open",
    "caps": "the smallest capitals that can be read",
    "caps reversed": "the smallest white capitals that can be read",
    "choke": "how far white and colour miss each other",
}


def swatch_state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """What the swatch sheet asks for, of the job's inks and the printer chosen; what is known of it so far."""
    try:
        wanted = request_of(place.desk.path.parent, asked_of(view))
        base = base_of(wanted.printer, wanted.keep)
        printer = printer_named(base) if base else Printer()
    except DecalgenError:
        printer = Printer()
    known = printer_colour(printer)
    inks = [ink_of(spec) for spec in place.desk.job.inks if spec.place is not None] if place.desk.job else []
    sizes = [name for name in SIZE_LETTERS if name != "choke" or printer.white]
    colours = [name for name in COLOURS if name not in WHITE or printer.white]
    return {
        "inks": [{"name": ink.name, "colour": ink.colour.hex} for ink in inks],
        "colours": [{"name": name, "about": ABOUT[name]} for name in colours],
        "sizes": [{"name": name, "letter": SIZE_LETTERS[name], "about": ABOUT[name]} for name in sizes],
        "white": printer.white,
        "measured": _measured(known),
        "output": f"{slug(printer.name, 'printer')}-colour.yaml",
    }


def _measured(known: PrinterColour) -> list[str]:
    """What was read off the swatches of a printer so far."""
    found = [
        f"{name} {value:.3g} mm" for name, key in SIZES.items() if name != "choke" and (value := getattr(known, key))
    ]
    if known.white and known.opacity != DEFAULT_OPACITY:
        found.append(f"opacity of white {known.opacity:.2g}")
    return [*found, *(f"{name} {colour.hex}" for name, colour in known.patches)]


def make_swatches(place: Workplace, asked: Mapping[str, Any]) -> Result:
    """`calibrate colour`: the swatches beside the job, white in files of its own."""
    place.desk.keep()
    path = place.desk.path
    wanted = request_of(path.parent, asked)
    return print_swatches([path], base_of(wanted.printer, wanted.keep), wanted.film, path.with_name("swatches.pdf"))


def read_swatch_boxes(place: Workplace, asked: Mapping[str, Any]) -> Result:
    """`calibrate swatches` of what was typed, into the file ``output`` beside the job; empty boxes are left out."""
    place.desk.keep()
    path = place.desk.path
    wanted = request_of(path.parent, asked)
    output = in_folder(path.parent, typed_text(asked, "output"), "New printer file")
    names = {ink.name for ink in job_inks([path])}
    typed: dict[str, str | float] = {}
    for key in asked:
        name = key.removeprefix(READING)
        if key.startswith(READING) and typed_text(asked, key):
            size = name in SIZE_LETTERS and name not in names
            typed[name] = typed_mm(asked[key], name) if size else typed_text(asked, key)
    return keep_swatches(typed, [path], base_of(wanted.printer, wanted.keep), wanted.date, output)
