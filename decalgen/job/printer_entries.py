"""What may stand in a printer file, as dataclasses with marks (`decalgen.core.keys`)."""

from __future__ import annotations

from typing import Annotated

from decalgen.colour.white import DEFAULT_OPACITY
from decalgen.core import keys
from decalgen.core.instruments import CALIPER
from decalgen.core.values import dataclass
from decalgen.printer.history import FEEDS

_RATIO = keys.Number("printed over asked", 0.8, 1.25, example="1.0021")
_DOUBT = keys.Number("its standard uncertainty", 0.0, 0.1, example="0.0002")


@dataclass(frozen=True)
class PrinterEntry:
    """A printer profile."""

    printer: Annotated[str, keys.Text("its name", most=60, example="desk inkjet")]
    process: Annotated[str, keys.Choice("how it prints", ("inkjet", "laser"))] = "inkjet"
    margins: Annotated[
        tuple[float, ...],
        keys.Many(
            "edges it cannot print: left, right, bottom, top",
            of=keys.Length(least=0.0, most=100.0),
            least=4,
            most=4,
            example=("5 mm", "5 mm", "10 mm", "5 mm"),
        ),
    ] = (10.0, 10.0, 10.0, 10.0)
    scale_x: Annotated[float, keys.Number("correction across", 0.8, 1.25, example="1.002")] = 1.0
    scale_y: Annotated[float, keys.Number("correction along", 0.8, 1.25, example="0.998")] = 1.0
    lean: Annotated[float, keys.Number("how far to lean what is upright, mm a mm", -0.05, 0.05, example="0.001")] = 0.0
    dpi: Annotated[int, keys.Count("resolution, dots per inch", least=72, most=10_000, example="1200")] = 600
    white: Annotated[bool, keys.Flag("it prints white")] = False
    misregister: Annotated[
        float, keys.Length("how far printing passes are out of register", 0.0, 5.0, example="0.1 mm")
    ] = 0.15
    shortest_sheet: Annotated[
        float, keys.Length("the shortest sheet it feeds; 0: not known", 0.0, 500.0, example="89 mm")
    ] = 0.0


@dataclass(frozen=True)
class SettingEntry:
    """What a profile holds for."""

    film: Annotated[str, keys.Text("the film's name", most=60, example="white A5")]
    kind: Annotated[str, keys.Choice("kind of film", ("clear", "white"), example="white")]
    width: Annotated[float, keys.Size("of the sheet", example="148 mm")]
    height: Annotated[float, keys.Size("of the sheet", example="210 mm")]
    adhesive: Annotated[bool, keys.Flag("self-adhesive film, not waterslide")] = False
    tray: Annotated[str, keys.Text("the tray it is fed from", most=60, example="rear tray")] = ""
    feed: Annotated[str, keys.Choice("which edge goes in first", FEEDS)] = FEEDS[0]
    paper_type: Annotated[
        str, keys.Text("the paper type set for it, by the printer's own word", most=60, example="transparency")
    ] = ""


@dataclass(frozen=True)
class DatedEntry:
    """One calibration."""

    date: Annotated[str, keys.Text('its day, as in "2026-11-25"', most=10, example="2026-11-25")]
    x: Annotated[float, _RATIO]
    u_x: Annotated[float, _DOUBT]
    y: Annotated[float, _RATIO]
    u_y: Annotated[float, _DOUBT]
    lean: Annotated[float | None, keys.Number("lean of an upright, mm a mm", -0.05, 0.05, example="0.0004")] = None
    u_lean: Annotated[float, _DOUBT] = 0.0
    readings: Annotated[int, keys.Count("how many", least=0, most=10_000, example="6")] = 0
    by: Annotated[str, keys.Text("the instrument", most=40, example="steel rule")] = CALIPER.name


@dataclass(frozen=True)
class BarsEntry:
    """The check bars of one print on film."""

    date: Annotated[str, keys.Text('the day, as in "2026-11-25"', most=10, example="2026-11-25")]
    x: Annotated[
        float, keys.Length("the horizontal bar as measured; 0: not measured", 0.0, 500.0, example="99.85 mm")
    ] = 0.0
    y: Annotated[
        float, keys.Length("the vertical bar as measured; 0: not measured", 0.0, 500.0, example="100.10 mm")
    ] = 0.0
    asked_x: Annotated[float, keys.Size("the length printed beside the horizontal bar", 500.0, example="80 mm")] = 100.0
    asked_y: Annotated[float, keys.Size("the length printed beside the vertical bar", 500.0, example="80 mm")] = 100.0
    readings: Annotated[int, keys.Count("how many of each", most=100, example="3")] = 1
    by: Annotated[str, keys.Text("the instrument", most=40, example="steel rule")] = CALIPER.name


@dataclass(frozen=True)
class SwatchEntry:
    """What is known of a printer's colours, without its inks."""

    profile: Annotated[
        str | None, keys.Text("its ICC profile, a file beside this one", most=200, example="desk-inkjet.icc")
    ] = None
    opacity: Annotated[float, keys.Number("of one pass of its white, as in 0.55", example="0.6")] = DEFAULT_OPACITY
    passes: Annotated[int, keys.Count("how many passes of white it may print", most=3, example="3")] = 2
    darkest: Annotated[str | None, keys.ColourText("its darkest patch on white card", example="lab(18 1 2)")] = None
    smallest_line: Annotated[
        float | None, keys.Length("the thinnest line that held on its swatch sheet", 0.001, 5.0, example="0.10 mm")
    ] = None
    smallest_gap: Annotated[
        float | None, keys.Length("the narrowest gap that held on its swatch sheet", 0.001, 5.0, example="0.15 mm")
    ] = None
    smallest_caps: Annotated[
        float | None,
        keys.Length("the smallest capitals that could be read on its swatch sheet", 0.001, 5.0, example="0.9 mm"),
    ] = None
    smallest_caps_reversed: Annotated[
        float | None,
        keys.Length("the smallest bare capitals that could be read in a printed field", 0.001, 5.0, example="1.1 mm"),
    ] = None


@dataclass(frozen=True)
class SwatchParts:
    """The groups among a printer's colours, each read by code of its own."""

    inks: Annotated[
        object,
        keys.Named("how each ink looks on the film", of=(keys.ColourText(),), example={"night sea": "lab(19 4 -22)"}),
    ] = None


SWATCH_GROUPS = tuple(spec.key for spec in keys.specs(SwatchParts))


@dataclass(frozen=True)
class PrinterParts:
    """The groups of a printer, each read by code of its own."""

    colour: Annotated[object, keys.Part("its colours, read off its swatch sheet", of=(keys.Block(of=SwatchEntry),))] = (
        None
    )
    for_: Annotated[object, keys.Part("what it was calibrated for", of=(keys.Block(of=SettingEntry),))] = None
    calibrations: Annotated[
        object, keys.Part("its calibrations; the newest corrects", of=(keys.Block(of=DatedEntry),), many=True)
    ] = None
    check_bars: Annotated[
        object, keys.Part("check bars of prints on film, for its drift", of=(keys.Block(of=BarsEntry),), many=True)
    ] = None


PRINTER_GROUPS = tuple(spec.key for spec in keys.specs(PrinterParts))
HISTORY_GROUPS = tuple(key for key in PRINTER_GROUPS if key != "colour")
