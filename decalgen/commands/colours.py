"""What `decalgen colours` says: the names of colours there are, as a list, or drawn as a chart."""

from __future__ import annotations

import colorsys
from pathlib import Path

from decalgen.colour.advice import planned, wanted_look
from decalgen.colour.inks import Body, Ink
from decalgen.colour.names import NAMED
from decalgen.colour.palette import PALETTE
from decalgen.colour.printer import PrinterColour
from decalgen.colour.value import Colour
from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save
from decalgen.core.document import Document
from decalgen.job.colours import body_of, film_look, ink_of
from decalgen.job.loader import load_job
from decalgen.job.model import Job
from decalgen.pages.colour_chart import ChartBody, ChartColour, colour_chart

OURS = "Names of decalgen's own"
CSS = "Names of CSS"
CHART = "colours.png"
TITLE = "Colours by name"


def css_names() -> list[str]:
    """The names of CSS, those spelt two ways once, by hue and then from light to dark; greys first."""
    found = {name: code for name, code in NAMED.items() if "gray" not in name and name not in ("aqua", "fuchsia")}
    return sorted(found, key=lambda name: (*_hue(found[name]), name))


def _hue(code: str) -> tuple[int, float]:
    red, green, blue = (int(code[i : i + 2], 16) / 255 for i in (1, 3, 5))
    hue, light, _ = colorsys.rgb_to_hls(red, green, blue)
    grey = max(red, green, blue) - min(red, green, blue) < 0.06
    return (0 if grey else 1 + int(hue * 18), -light)


def show_colours(job_file: Path | None, output: Path | None, variant: str | None = None) -> Result:
    """The names as a list, or drawn as a chart; with a job, its own paints and inks first, and each colour over its
    body. Raises JobError and InputError for a job that cannot be read, OutputError for the chart."""
    job = None if job_file is None else load_job(job_file, variant)
    on = None if job is None else body_of(job.paint(job.body))
    groups = [
        *(_of_job(job, on) if job is not None and on is not None else []),
        *_by_name(job, on),
    ]
    count = sum(len(colours) for _, colours in groups)
    if output is None:
        after = f"decalgen colours {job_file or ''} -o {CHART}".replace("  ", " ")
        return Result((), lines=tuple(_lines(groups)), answer=Answer(f"listed {count} colours", after))
    title = TITLE if job is None else f"{TITLE}, over {job.title}"
    body = None if on is None else ChartBody(on.name, on.colour.hex)
    made = colour_chart(groups, body, title, one_page=output.suffix.lower() != ".pdf")
    files = save(made, output)
    drawn = (FileGroup("chart of the colours", files),)
    return Result(files, answer=Answer(f"drew {count} colours", "decalgen new my-model.yaml", drawn))


def named_chart() -> Document:
    """The chart of all names, on one page."""
    return colour_chart(_by_name(None, None), None, TITLE, one_page=True)


def _by_name(job: Job | None, on: Body | None) -> list[tuple[str, list[ChartColour]]]:
    return [
        (OURS, [_named(name, code, job, on) for name, code in PALETTE.items()]),
        (CSS, [_named(name, NAMED[name], job, on) for name in css_names()]),
    ]


def _of_job(job: Job, on: Body) -> list[tuple[str, list[ChartColour]]]:
    """The job's own paints and inks."""
    paints = [ChartColour(one.name, one.colour, one.colour) for one in job.paints]
    inks = [_looked(ink_of(spec), job, on) for spec in job.inks]
    found = [(f"Paints of {job.title}", paints), (f"Inks of {job.title}", inks)]
    return [(name, colours) for name, colours in found if colours]


def _named(name: str, code: str, job: Job | None, on: Body | None) -> ChartColour:
    ink = Ink(name, "process", Colour.from_hex(code))
    found = _looked(ink, job, on)
    return ChartColour(name, code, found.on_white, found.over)


def _looked(ink: Ink, job: Job | None, on: Body | None) -> ChartColour:
    """How an ink looks on white, and on clear film over a body."""
    white = wanted_look(ink, PrinterColour()).hex
    if on is None or job is None:
        return ChartColour(ink.name, ink.colour.hex, white)
    over = planned(ink, on, film_look("clear", job)).look.hex
    return ChartColour(ink.name, ink.colour.hex, white, over)


def _lines(groups: list[tuple[str, list[ChartColour]]]) -> list[str]:
    """The names in columns, 80 wide, each with its code."""
    lines: list[str] = []
    for name, colours in groups:
        lines += [*([""] if lines else []), f"{name}:"]
        wide = max(len(one.name) for one in colours)
        columns = max(1, 78 // (wide + 11))
        for first in range(0, len(colours), columns):
            row = colours[first : first + columns]
            lines.append("  " + "  ".join(f"{one.name:<{wide}} {one.code}" for one in row).rstrip())
    return [*lines, "", "Write a name, or a code in quotes, where a file takes a colour: body: night sea"]
