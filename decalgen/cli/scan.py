"""The command `scan`: sizes, colours and the pattern from a scan or photo; and the options of commands that read a
page they printed from a scan. Thin."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from decalgen.cli.measure import card_paper
from decalgen.cli.progress import ProgressBar
from decalgen.cli.terminal import tell
from decalgen.core.scan_kinds import KINDS

if TYPE_CHECKING:
    from decalgen.commands.page_scans import PageScan

SOURCES = ("tape", "photo")
"""From what `scan/template` reads a panel."""


PAGE_SCAN = click.option(
    "--scan", type=click.Path(path_type=Path, dir_okay=False), help="Read it from this scan instead, 300 dpi or more."
)
PAGE_BESIDE = click.option(
    "--beside", metavar="SIZE", help="With --scan: the card beside the page: 'card' (ID-1), or its measured size."
)


def scan_typed(scan: Path | None, beside: str | None) -> PageScan | None:
    """The scan that is named, read; None where none is."""
    if scan is None:
        if beside is not None:
            raise click.UsageError("--beside goes with --scan: name the picture that the card is in")
        return None
    from decalgen.commands.page_scans import page_scan

    return page_scan(scan, beside)


@click.command("scan")
@click.argument("image", type=click.Path(path_type=Path), metavar="[PICTURE]", required=False)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Draw the fit over the scan (.png, .svg, .pdf).")
@click.option(
    "--beside", metavar="SIZE", help="What lies beside it: 'card' (ID-1), or its measured size, width x height."
)
@click.option(
    "--corners", metavar="POINTS", help="Its four corners in pixels, 'x,y x,y x,y x,y', round from lower left."
)
@click.option(
    "--straight", multiple=True, metavar="POINTS", help="With --corners: points along a straight edge. Repeatable."
)
@click.option("--bar", multiple=True, help="A known length: 'x,y x,y = 100 mm', ends in pixels. One for each axis.")
@click.option("--dpi", help="The scanner's setting, as 300, or 300x600 where the axes differ.")
@click.option("--depth", help="How far the original lies nearer to the camera than the card, as '2 mm ± 1'.")
@click.option("--camera", help="With --depth: from the camera to the card, as '400 mm'.")
@click.option("--part", metavar="PIXELS", help="The part to read: left, upper, right, lower side, as 120,80,900,400.")
@click.option(
    "--as",
    "kind",
    type=click.Choice(tuple(KINDS)),
    help="Which pattern it is, where misread; 'outline' traces all.",
)
@click.option("--tolerance", metavar="SIZE", help="With --as outline: how closely to trace; if left out, 0.02 mm.")
@click.option("--value", multiple=True, help="Type over what was read, as 'columns = 12'. Repeatable.")
@click.option("--fills", help="What the whole pattern filled, as '24 mm ± 0.1 x 6 mm ± 0.1': ranks counts of cells.")
@click.option(
    "--white", metavar="PLACE", help="A white patch, as '120,80' in pixels, or '120,80 = #f1f1ee' if measured."
)
@click.option("--black", metavar="PLACE", help="With --white: a black patch, in the same way.")
@click.option("--chart", metavar="CHART", help="A chart of 24 patches: 'x,y x,y x,y x,y = FILE'; see the handbook.")
@click.option("--own-white", metavar="PLACE", help="A spot of the original that was white once: takes out its yellow.")
@click.option("--template", type=click.Choice(SOURCES), help="Read a panel: from its tape template, or from a photo.")
@click.option(
    "--points", metavar="CORNERS", help="With --template: its corners, 'x,y x,y arc x,y round', in pixels once round."
)
@click.option("--width", help="With --template: the panel's width along the skin, as '22.40 mm ± 0.05'.")
@click.option("--height", help="With --template: its height.")
@click.option("--instead", is_flag=True, help="With --template: put it in place of the panel of that name.")
@click.option(
    "--into", type=click.Path(path_type=Path), metavar="JOB", help="Add it to a job as a decal or panel, with notes."
)
@click.option("--panel", help="With --into: the panel it is on; with --template: the panel's name.")
@click.option("--name", help="With --into: the new decal's name.")
@click.option("--card", type=click.Path(path_type=Path), help="Print the corner card (.pdf), and read nothing.")
@card_paper("With --card: its paper.")
def scan(image: Path | None, output: Path | None, card: Path | None, paper: str, **given: Any) -> None:
    """Read sizes, colours and the pattern from a scan or photo of what is left of an original.

    Reads checks, stripes level, upright or slanted, chevrons, crosses, stars, rectangles, discs and rings, each value
    with its ±, or traces outlines. A plain card or the corner card beside the original tells the size. Nothing is
    written unless you say where; your picture is only read.

    \b
    Example:
      decalgen scan --card corner-card.pdf
      decalgen scan door.png --beside card -o door-fit.png
      decalgen scan door.png --beside "85.58 mm x 53.97 mm" --value "columns = 12" --into gannet.yaml --panel door
      decalgen scan tape.png --beside card --template tape --width "22.40 mm ± 0.05" -o tape-fit.png
    """
    if card is not None:
        from decalgen.commands.scan import print_corner_card

        tell(print_corner_card(card, paper))
        return
    if image is None:
        raise click.UsageError("name the picture to read, or --card and a file to print the corner card")
    if given["template"]:
        _template(image, output, given)
        return
    for name in ("points", "width", "height", "instead"):
        if given[name]:
            raise click.UsageError(f"--{name} is for a panel: add --template tape, or --template photo")
    if bool(given["into"]) != bool(given["panel"]):
        raise click.UsageError("--into and --panel go together: say the job and the panel the decal is on")
    if given["name"] and not given["into"]:
        raise click.UsageError("--name is for the new decal: add --into JOB --panel NAME")
    from decalgen.commands.scan import scan as run
    from decalgen.commands.scan_words import ScanJob, request_of, room_of, typed_values

    into = ScanJob(given["into"], given["panel"], given["name"] or "") if given["into"] else None
    request = request_of(given)
    fills = room_of(given["fills"]) if given["fills"] else None
    with ProgressBar("reading the scan"):
        result = run(image, request, output, typed_values(given["value"]), into, fills)
    tell(result)


def _template(image: Path, output: Path | None, given: dict[str, Any]) -> None:
    """Reads a panel from its template."""
    if given["into"] and not given["panel"]:
        raise click.UsageError("--into needs the panel's name: add --panel NAME")
    if given["instead"] and not given["into"]:
        raise click.UsageError("--instead is for a panel of a job: add --into JOB --panel NAME")
    from decalgen.commands.scan_template import scan_template
    from decalgen.commands.template_into import PanelHome
    from decalgen.commands.template_words import template_request

    name = given["panel"] or ""
    into = PanelHome(given["into"], name, given["instead"]) if given["into"] else None
    request = template_request(given)
    with ProgressBar("reading the template"):
        result = scan_template(image, request, name, output, into)
    tell(result)
