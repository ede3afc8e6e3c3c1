"""The measuring card of a job, from the text of its file: a box for each reading that is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.questions import Slot, lettering_slots, panel_slots, shown_value
from decalgen.core.command_line import typed
from decalgen.core.document import Document
from decalgen.core.errors import OutputError
from decalgen.core.files import write_files
from decalgen.export import render
from decalgen.job.edits import values
from decalgen.job.files import job_text
from decalgen.job.loader import job_as_written
from decalgen.pages.measuring_card import CardBlock, CardPart, CardRow, lettering_block, measuring_card
from decalgen.pages.obstacle_drawings import ARCH
from decalgen.panels.base import PanelError
from decalgen.panels.registry import kind_for, obstacle_for

PAPERS = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}
"""The papers a card is printed on: width and height, mm (ISO 216; ANSI/ASME Y14.1)."""


def only_pdf(output: Path) -> None:
    """Raises OutputError for a card that is to be anything else."""
    if output.suffix.lower() != ".pdf":
        raise OutputError(f"'{output.name}' is not a PDF", fix="name a file .pdf")


def print_card(job: Path, output: Path, paper: str) -> Result:
    """Writes the card of a job, as PDF. Raises OutputError for another ending or the job itself, and what reading a job
    does."""
    only_pdf(output)
    text = job_text(job)
    made = job_as_written(text, job)
    files = write_files({output: render(job_card(text, made.title, *PAPERS[paper]), ".pdf")[0]})
    group = FileGroup(f"print on {paper}, and take to the bench", files)
    return Result(files, answer=Answer("printed the measuring card", typed(["decalgen", "measure", job]), (group,)))


def job_card(text: str, title: str, width: float = 210.0, height: float = 297.0) -> Document:
    """The card of a job with this text, on paper of that size, mm."""
    return measuring_card(title, card_blocks(text), width, height)


def card_blocks(text: str) -> list[CardBlock]:
    """A block for each panel, then one for each lettering to match; an empty one where there is none."""
    whole: Any = values(text)
    found = []
    for name in whole.get("panels") or {}:
        try:
            found.append(_of_panel(whole, name))
        except PanelError:
            # In words of before it can be read, but not be drawn by its keys.
            continue
    letterings = []
    for decal, group in (whole.get("decals") or {}).items():
        slots = lettering_slots(whole, decal) if isinstance(group, dict) else []
        for subject in dict.fromkeys(slot.subject for slot in slots):
            letterings.append(lettering_block(subject, [_row(slot) for slot in slots if slot.subject == subject]))
    return [*found, *(letterings or [lettering_block()])]


def _of_panel(whole: Any, panel: str) -> CardBlock:
    group = whole["panels"][panel]
    kind = kind_for(group, group.get("kind"))
    slots = panel_slots(whole, panel)
    own = [slot for slot in slots if slot.path[2] != "obstacles"]
    letters = tuple(_letters(own, 2).items())
    outside, depth = ([_row(slot) for slot in own if slot.depth is deep] for deep in (False, True))
    labels = list(group.get("obstacles") or {})
    parts = [CardPart(kind.name, tuple(outside if labels else [*outside, *depth]), letters)]
    for label in labels:
        item = group["obstacles"][label]
        mine = [slot for slot in slots if slot.path[2:4] == ("obstacles", label)]
        drawn = obstacle_for(item).name
        drawing = ARCH if drawn == "circle" and _is_arch(label, item) else drawn
        rows = tuple(_row(slot) for slot in mine)
        parts.append(CardPart(drawing, rows, tuple(_letters(mine, 4).items()), f"on {panel}: {label}", obstacle=True))
    if labels and depth:
        parts.append(CardPart("", tuple(depth), head=f"{panel}, last: depth"))
    alike = f" · measured on the {group['hand']}; is the other alike?  yes / no" if group.get("hand") else ""
    return CardBlock(panel, f"{kind.about}{alike}", tuple(parts))


def _is_arch(label: str, item: Any) -> bool:
    """Whether a circle is a wheel arch: its middle lies below the panel's foot, or it is called so."""
    at = item.get("at")
    low = isinstance(at, list) and len(at) == 2 and str(at[1]).strip().startswith(("-", "\N{MINUS SIGN}"))
    return low or "arch" in label.casefold()


def _letters(slots: Sequence[Slot], above: int) -> dict[str, str]:
    """The letter of each reading by its name in the drawing: ``chord``, ``at x``, ``outline 3``."""
    found = {}
    for slot in slots:
        key = slot.path[above]
        point = isinstance(slot.path[-2], int)
        numbered = key in ("outline", "line") and point
        number = slot.path[above + 1] if len(slot.path) > above + 1 else 0
        named = f"{key} {int(number) + 1}" if numbered or key in ("arcs", "arc rises") else slot.key
        found[named] = slot.letter
    return found


def _row(slot: Slot) -> CardRow:
    unit = ", degrees" if slot.angle else ""
    about = "" if slot.key.endswith(slot.about) else slot.about
    return CardRow(slot.letter, f"{slot.key}{unit}", about, "" if slot.open else shown_value(slot.value))
