"""The placement guide as one HTML file that needs nothing else: no script, no font, no picture from elsewhere. Boxes
can be ticked, words searched; printed at 100 % its drawings have the same sizes as in the PDF. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from decalgen.core import style
from decalgen.core.cautions import LAW
from decalgen.core.document import Document
from decalgen.export import render
from decalgen.pages.composer import Sheaf
from decalgen.pages.guide import (
    HINT,
    SCALE_CHECK,
    GuideMade,
    card_words,
    how_words,
    paper_notes,
    put_scale_check,
    side_name,
)
from decalgen.pages.guide_cells import TrueSizeCell, cells_of, put_cell
from decalgen.pages.guide_drawing import draw_side, lay_out_side
from decalgen.pages.guide_sides import GuideItem, GuideSide
from decalgen.pages.guide_templates import Template, templates_of
from decalgen.pages.sides_picture import HIGH, WIDE, draw_sides

WIDEST = (170.0, 110.0)
"""The most that a drawing takes, mm: it goes on A4 and Letter."""
LONGEST = (180.0, 240.0)
"""The same of what is at true size."""
LOOK = f"""
:root {{ color: {style.TEXT}; background: {style.PAPER}; font: 16px/1.45 system-ui, sans-serif; }}
body {{ max-width: 190mm; margin: 0 auto; padding: 4mm; }}
h1 {{ font-size: 1.5rem; border-bottom: 0.5mm solid; }}
h2 {{ font-size: 1.15rem; background: {style.BAND}; padding: 1.5mm 2mm; margin: 6mm 0 2mm; }}
h2 small {{ font-weight: normal; float: right; }}
h3 {{ font-size: 1rem; margin: 3mm 0 0; }}
svg {{ display: block; max-width: none; }}
section, .piece, figure {{ break-inside: avoid; }}
figure {{ display: inline-block; margin: 2mm 5mm 2mm 0; vertical-align: top; }}
.wide {{ overflow-x: auto; }}
td {{ padding: 0 3mm 0 0; vertical-align: baseline; }}
td.figure {{ font-weight: bold; text-align: right; font-variant-numeric: tabular-nums; }}
input {{ width: 5mm; height: 5mm; vertical-align: middle; }}
.blank {{ display: inline-block; width: 12mm; border-bottom: 0.2mm solid; }}
@media print {{ body {{ padding: 0; font-size: 9pt; }} @page {{ margin: 12mm; }} }}
"""


def guide_html(guides: Sequence[GuideMade], title: str) -> bytes:
    """The guides of one or more models as one file."""
    body = "".join(_guide(one) for one in guides)
    head = f'<meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{escape(title)}</title>'
    text = f'<!doctype html><html lang="en"><head>{head}<style>{LOOK}</style></head><body>{body}</body></html>\n'
    return text.encode("utf-8")


def _guide(made: GuideMade) -> str:
    templates = [templates_of(side) for side in made.sides]
    drawn = [one for some in templates for one in some if one]
    cards = f"<p>{escape(card_words(drawn))}</p>" if drawn else ""
    together = (
        f"<p>Numbers as on film printed together: {escape(made.numbered_with)}.</p>" if made.numbered_with else ""
    )
    legend = _picture("the sides of a model", WIDE, HIGH, lambda sheaf: _sides(sheaf, made))
    line = _picture("a line of 50 mm", 52.0, 6.0, lambda sheaf: put_scale_check(sheaf, 1.0, 3.0))
    rows = "".join(f"<p>{escape(f'{head}. {text}')}</p>" for head, text in made.cautions)
    return (
        f"<h1>Placement guide: {escape(made.title)}</h1><p>{escape(HINT)}</p>{cards}{together}"
        f"<figure>{legend}</figure><figure>{line}<figcaption>{escape(SCALE_CHECK)}</figcaption></figure>"
        f"{''.join(map(_side, made.sides, templates))}"
        f"<section><h2>Cautions</h2>{rows}<p><strong>{escape(LAW)}</strong></p></section>"
    )


def _sides(sheaf: Sheaf, made: GuideMade) -> None:
    draw_sides(sheaf, {side.view for side in made.sides}, 0.0, HIGH)


def _side(side: GuideSide, templates: Sequence[Template | None]) -> str:
    laid = lay_out_side(side, *WIDEST)
    name = side_name(side)

    def drawn(sheaf: Sheaf) -> None:
        draw_side(sheaf, side, laid, 0.0, laid.height)

    found = [
        f"<section><h2>{escape(name)} <small>{escape(how_words(side, laid))}</small></h2>",
        f'<div class="wide">{_picture(f"{name}, with its decals", laid.width, laid.height, drawn)}</div>',
    ]
    found += [_piece(item) for item in side.items]
    found += [f"<p>{escape(note)}</p>" for note in paper_notes(side, templates)]
    for cell in cells_of(side, templates, LONGEST, laid.scale != 1.0):

        def put(sheaf: Sheaf, cell: TrueSizeCell = cell) -> None:
            put_cell(sheaf, side, cell, 0.5, sheaf.height - 0.5)

        picture = _picture(" ".join(cell.caption), cell.width + 1.0, cell.height + 1.0, put)
        found.append(f"<figure>{picture}</figure>")
    return "".join([*found, "</section>"])


def _piece(item: GuideItem) -> str:
    head = escape(f"{item.number}  {item.name}".strip())
    rows = "".join(
        f"<tr><td><b>{escape(row.letter)}</b></td><td>{escape(row.words)}</td>"
        f'<td class="figure">{escape(row.figure) or "<span class=blank>&nbsp;</span>"}</td>'
        f"<td>{escape(row.sureness)}</td></tr>"
        for row in item.rows
    )
    notes = "".join(f"<div>{escape(note)}</div>" for note in item.notes)
    return (
        f'<div class="piece"><h3><label><input type="checkbox"> {head}</label></h3><table>{rows}</table>{notes}</div>'
    )


def _picture(label: str, width: float, height: float, draw: Callable[[Sheaf], None]) -> str:
    """A drawing as SVG in its true size, with what it shows for who does not see it."""
    sheaf = Sheaf(width, height)
    draw(sheaf)
    (data,) = render(Document((sheaf.page(),), title=label), ".svg")
    text = data.decode("utf-8")
    start = text.index("<svg")
    return f'<svg role="img" aria-label="{escape(label)}"{text[start + 4 :].rstrip()}'
