"""The drawer as a plain file: JSON that one can read, a part a line. For copies, other computers and the curious."""

from __future__ import annotations

import json
from typing import Any

from decalgen.core.errors import InputError
from decalgen.core.kept import Form, read_kept
from decalgen.workshop.drawer.model import (
    DrawerEntry,
    DrawerError,
    OwnedSheet,
    PrintedMark,
    UsedPart,
    checked,
    on_sheet,
    part,
)

NEVER = 1_000_000
"""A version that is never reached."""
FORM = Form("decalgen film drawer", 4, NEVER, "an exported film drawer", "make the file with `decalgen film export`")
"""Of the forms before, the first had neither prices nor registration marks, neither it nor the second had colours, and
the third no opacities. None carries a seal: an exported drawer may be edited by hand, and every sheet is checked as it
comes in."""
LARGEST = 50_000_000
"""No file is larger, bytes."""
MOST = 2_000


def write_plain(sheets: tuple[OwnedSheet, ...]) -> bytes:
    """The file's bytes; lengths in mm from each sheet's lower left corner."""
    groups = []
    for sheet in sheets:
        e = sheet.entry
        head = {
            "name": e.name,
            "kind": e.kind,
            "process": e.process,
            "width": e.width,
            "height": e.height,
            "adhesive": e.adhesive,
            "bought": e.bought,
            "leads": e.leads,
            "note": e.note,
            "price": e.price,
            "colour": e.colour,
            "opacity": e.opacity,
            "marks": [[m.step, m.x, m.y] for m in sheet.marks],
        }
        rows = [
            json.dumps(
                {"step": p.step, "why": p.why, "about": p.about, "layout": p.layout, "points": p.points},
                ensure_ascii=False,
            )
            for p in sheet.parts
        ]
        inner = "[\n   " + ",\n   ".join(rows) + "\n  ]" if rows else "[]"
        groups.append(" " + json.dumps(head, ensure_ascii=False)[:-1] + f',\n  "used": {inner}}}')
    body = "[\n" + ",\n".join(groups) + "\n ]" if groups else "[]"
    return f'{{"form": "{FORM.family} {FORM.newest}",\n "sheets": {body}\n}}\n'.encode()


def read_plain(data: bytes, name: str) -> tuple[OwnedSheet, ...]:
    """The sheets of an exported file. Raises InputError for one that is none, newer or wrong, naming the sheet."""
    if len(data) > LARGEST:
        raise InputError(f"'{name}' is too large for {FORM.what}", fix=FORM.fix)
    bad = InputError(f"'{name}' is not {FORM.what}", fix=FORM.fix)
    try:
        version, tree = read_kept(data.decode("utf-8"), FORM, name)
        if version < 1 or len(tree["sheets"]) > MOST:
            raise bad
        return tuple(_sheet(number, group, name) for number, group in enumerate(tree["sheets"], start=1))
    except (ValueError, KeyError, TypeError, RecursionError, AttributeError, OverflowError):
        raise bad from None


def _sheet(number: int, group: dict[str, Any], name: str) -> OwnedSheet:
    texts = {key: group[key] for key in ("name", "kind", "process", "bought", "leads", "note")}
    texts["price"] = group.get("price", "")
    texts["colour"] = group.get("colour", "")
    if not all(isinstance(text, str) for text in texts.values()) or not isinstance(group["adhesive"], bool):
        raise ValueError("a text is none")
    opacity = group.get("opacity")
    entry = DrawerEntry(
        width=float(group["width"]),
        height=float(group["height"]),
        adhesive=group["adhesive"],
        opacity=None if opacity is None else float(opacity),
        **texts,
    )
    try:
        parts = tuple(_part(entry, one) for one in group["used"])
        return OwnedSheet(number, checked(entry), parts, _marks(entry, group.get("marks", [])))
    except DrawerError as error:
        raise InputError(f"'{name}': sheet '{entry.name[:60]}': {error.message}", fix=error.fix) from None


def _marks(entry: DrawerEntry, rows: list[Any]) -> tuple[PrintedMark, ...]:
    found = tuple(PrintedMark(step, float(x), float(y)) for step, x, y in rows)
    if not all(isinstance(m.step, int) and m.step >= 1 and on_sheet(entry, m) for m in found):
        raise ValueError("a mark is none")
    return found


def _part(entry: DrawerEntry, one: dict[str, Any]) -> UsedPart:
    why, step = one["why"], one["step"]
    if why not in ("printed", "cut off") or not isinstance(step, int) or not 1 <= step <= 1_000_000:
        raise ValueError("a part is none")
    points = [(float(x), float(y)) for x, y in one["points"]]
    return part(entry, points, why, step, about=str(one["about"]), layout=str(one["layout"]))
