"""`decalgen film`: the sheets the user owns, what is used of each, and what is left."""

from __future__ import annotations

from pathlib import Path

import click

from decalgen.cli.detail import reported

SHEET = click.argument("sheet", metavar="SHEET")


@click.group()
def film() -> None:
    """Keep the film drawer: the sheets you own and what is left of each.

    SHEET is a sheet's name, or its number in the list.

    \b
    Example:
      decalgen film add "white A5" --count 2
    """


@film.command()
@click.argument("words", metavar="FILM")
@click.option("--name", help="What to call it; if left out, the film's name with a number.")
@click.option("--count", type=int, default=1, show_default=True, help="How many of them.")
@click.option("--bought", default="", help="When it was bought, in your own words.")
@click.option("--leads", default="top", show_default=True, help="Edge that enters the printer first: top, bottom, left, right.")  # noqa: E501  # fmt: skip
@click.option("--note", default="", help="Anything else worth noting.")
@click.option("--price", default="", help="Price of a whole sheet, such as '4.50 EUR' or '£3'.")
def add(words: str, name: str | None, count: int, bought: str, leads: str, note: str, price: str) -> None:
    """Put sheets in: FILM is a film file, or words such as "clear A5 laser".

    \b
    Example:
      decalgen film add "white A5" --count 3 --bought "March 2026" --note "old packet, curls"
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import add as run

    tell(run(words, name, count, bought, leads, note, price))


@film.command("list")
@reported
def list_() -> None:
    """List the sheets with what is left of each.

    \b
    Example:
      decalgen film list
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import listed

    tell(listed())


@film.command()
@SHEET
@click.argument("positions", type=click.Path(path_type=Path), metavar="POSITIONS")
def use(sheet: str, positions: Path) -> None:
    """Mark what was printed as used: POSITIONS is the file beside the proof.

    \b
    Example:
      decalgen film use "white A5 1" harbour.positions.json
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import use as run

    tell(run(sheet, positions))


@film.command()
@SHEET
@click.option(
    "--x", default="0mm", help="How far the film's marks lie to the right of those drawn; to the left: -0.4mm."
)
@click.option("--y", default="0mm", help="How far the film's marks lie above those drawn.")
def shift(sheet: str, x: str, y: str) -> None:
    """Enter where the last print on a sheet really is.

    A proof for a part-used sheet draws the registration marks of earlier prints, each in a box. Lay it over the film,
    edges flush, hold both to a window, and measure how far the film's marks are from those drawn.

    \b
    Example:
      decalgen film shift "white A5 1" --x 0.4mm --y 0.2mm
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import shift as run

    tell(run(sheet, x, y))


@film.command()
@SHEET
def back(sheet: str) -> None:
    """Undo the last use of a sheet.

    \b
    Example:
      decalgen film back "white A5 1"
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import back as run

    tell(run(sheet))


@film.command("cut-off")
@SHEET
@click.option("--rectangle", metavar="X,Y WxH", help="A rectangle by its lower left corner and size, mm.")
@click.option("--corner", metavar="WHICH WxH", help="A rectangle at a corner: 'upper left 40x30'.")
@click.option("--edge", metavar="WHICH DEPTH", help="A straight strip along an edge: 'bottom 60'.")
@click.option("--polygon", metavar="X,Y...", help="Any part by its corners in order: '0,0 40,0 0,30'.")
@click.option("--all", "everything", is_flag=True, help="The whole sheet: used up or thrown away.")
def cut_off(
    sheet: str, rectangle: str | None, corner: str | None, edge: str | None, polygon: str | None, everything: bool
) -> None:
    """Mark a part that you cut off by hand as used.

    All in mm from the lower left corner that the sheet had when it was whole.

    \b
    Example:
      decalgen film cut-off "white A5 1" --edge "bottom 60"
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import Cutting
    from decalgen.commands.film_drawer import cut_off as run

    tell(run(sheet, Cutting(rectangle, corner, edge, polygon, everything)))


@film.command()
@SHEET
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The picture (.svg, .png, .pdf).")
def show(sheet: str, output: Path | None) -> None:
    """Draw a sheet: used parts hatched, the rest measured.

    \b
    Example:
      decalgen film show "white A5 1" -o left.png
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import show as run

    tell(run(sheet, output))


@film.command()
@SHEET
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The page to print on plain paper (.pdf).")
def carrier(sheet: str, output: Path | None) -> None:
    """Print the outline of an inkjet remnant on the paper that carries it.

    \b
    Example:
      decalgen film carrier "white A5 1" -o carrier.pdf
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import carrier as run

    tell(run(sheet, output))


@film.command()
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
def export(file: Path) -> None:
    """Write the whole drawer to a plain file that can be read and kept.

    \b
    Example:
      decalgen film export drawer.json
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import export as run

    tell(run(file))


@film.command("import")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
def import_(file: Path) -> None:
    """Put the sheets of such a file into the drawer; what is there stays.

    \b
    Example:
      decalgen film import drawer.json
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.film_drawer import bring_in

    tell(bring_in(file))
