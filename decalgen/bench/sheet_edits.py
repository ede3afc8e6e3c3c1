"""Changes of a job file that the sheet asks for: how many pieces of a decal, and where they are pinned. Pure."""

from __future__ import annotations

from typing import Any

from decalgen.bench.desk import Edit, value_at
from decalgen.job.edits import EditError, Path
from decalgen.job.model import Decal
from decalgen.job.written import YamlValue

MOST_PIECES = 999


def count_edits(values: Any, name: str, key: str, typed: str) -> list[Edit]:
    """The change that makes so many copies or spares of a decal. Raises EditError for what is not a whole number."""
    if key not in ("copies", "spares"):
        raise EditError("only copies and spares are counted", fix="load the page again")
    words = typed.strip()
    if not words.isascii() or not words.isdigit() or int(words) > MOST_PIECES:
        raise EditError(f"'{words[:20]}' is not a number of {key}", fix=f"type a whole number up to {MOST_PIECES}")
    was = value_at(values, ("decals", name, key))
    if value_at(values, ("decals", name)) is None:
        raise EditError(f"'{name}' comes from a file that the job includes", fix="change it there")
    return [Edit("add" if was is None else "set", ("decals", name, key), str(int(words)), was)]


def pin_edits(values: Any, decal: Decal, hand: str, at: tuple[float, float], turn: int, sheet: int) -> list[Edit]:
    """The change that pins one more piece of a decal: ``at`` is the lower left corner of the box round its cut line,
    mm."""
    entry: dict[str, YamlValue] = {"at": [_mm(at[0]), _mm(at[1])]}
    if turn:
        entry["turn"] = str(turn)
    if sheet > 1:
        entry["sheet"] = str(sheet)
    if decal.hands == "both":
        entry["hand"] = hand
    path: Path = ("decals", decal.name, "pin")
    was = value_at(values, path)
    if value_at(values, path[:2]) is None:
        raise EditError(f"'{decal.name}' comes from a file that the job includes", fix="pin it there")
    if was is None:
        return [Edit("add", path, entry)]
    if isinstance(was, list):
        return [Edit("add", (*path, len(was)), entry)]
    return [Edit("set", path, [was, entry], was)]


def pin_path(values: Any, decal: Decal, hand: str, copy: int) -> Path | None:
    """Where the pin of a piece stands; None where it has none."""
    path: Path = ("decals", decal.name, "pin")
    was = value_at(values, path)
    entries = was if isinstance(was, list) else [was] if isinstance(was, dict) else []
    count = decal.copies + decal.spares
    slots: list[int | None] = [None] * (count * (2 if decal.hands == "both" else 1))
    # As the reader hands them out: those that name a hand first.
    named = [one.get("hand") if isinstance(one, dict) else None for one in entries]
    for n in sorted(range(len(entries)), key=lambda n: named[n] is None):
        first = count if named[n] == "right" else 0
        free = next((at for at in range(first, len(slots)) if slots[at] is None), None)
        if free is not None:
            slots[free] = n
    slot = copy + (count if hand == "right" and decal.hands == "both" else 0)
    found = slots[slot] if slot < len(slots) else None
    if found is None:
        return None
    return (*path, found) if isinstance(was, list) else path


def repin_edits(values: Any, path: Path, at: tuple[float, float], turn: int) -> list[Edit]:
    """The changes that move a pin."""
    edits = [Edit("set", (*path, "at"), [_mm(at[0]), _mm(at[1])], value_at(values, (*path, "at")))]
    was = value_at(values, (*path, "turn"))
    if turn and was != str(turn):
        edits.append(Edit("add" if was is None else "set", (*path, "turn"), str(turn), was))
    elif not turn and was is not None:
        edits.append(Edit("remove", (*path, "turn"), None, was))
    return edits


def unpin_edits(values: Any, decal: Decal, hand: str, copy: int) -> list[Edit]:
    """The change that lets go of a piece that is pinned; none where it is not."""
    path = pin_path(values, decal, hand, copy)
    return [Edit("remove", path, None, value_at(values, path))] if path else []


def less_edits(values: Any, decal: Decal, hand: str, copy: int) -> list[Edit]:
    """The changes that take one piece of a decal away: a spare where there is one, and its pin. Raises EditError where
    none is left to take."""
    key = "spares" if decal.spares else "copies"
    count = getattr(decal, key)
    if not count:
        raise EditError(f"no piece of '{decal.name}' is left", fix="undo, or write copies on Draw")
    edits = unpin_edits(values, decal, hand, copy)
    if decal.hands == "both":
        # Where all of the other hand are pinned, the last of them goes.
        other = "left" if hand == "right" else "right"
        edits += unpin_edits(values, decal, other, decal.copies + decal.spares - 1)
    # Of one list, the last ones first.
    edits.sort(key=lambda one: one.at[-1] if isinstance(one.at[-1], int) else -1, reverse=True)
    return [*edits, *count_edits(values, decal.name, key, str(count - 1))]


def _mm(value: float) -> str:
    whole, _, part = f"{value:.7f}".rstrip("0").partition(".")
    return f"{whole}.{part.ljust(2, '0')} mm"
