"""What tells one nested arrangement from another: a digest of all that decides a nest. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence

from decalgen.core.digests import digest_of, text_form
from decalgen.job.model import Film, Pinned
from decalgen.sheet.pieces import Piece
from decalgen.sheet.plan import Plan

NOT_NESTED = ("price", "colour", "opacity", "marks", "cut_off")
"""Of a film: what it costs, its own colour and opacity, the marks of earlier prints and whether a used part is still
there move nothing."""


def arrangement_digest(everything: Sequence[Piece], plan: Plan) -> str:
    """SHA-256 of all that decides a nest: the pieces, the films, the printable area, the gap."""
    return digest_of(_named(everything, plan))


def arrangement_parts(everything: Sequence[Piece], plan: Plan) -> dict[str, str]:
    """Short hashes of what decides a nest, each by itself and by its name: so that a change can be named."""
    return {name: digest_of(value)[:16] for name, value in _named(everything, plan).items()}


def _named(everything: Sequence[Piece], plan: Plan) -> Mapping[str, Sequence[object]]:
    pieces = [
        {
            "key": piece.key,
            "copy": piece.copy,
            "turn": piece.turn,
            "artwork": piece.artwork.digest,
            "pin": piece.pin,
            "group": piece.group,
        }
        for piece in everything
    ]
    return {
        "decals": pieces,
        "film": [text_form(film, NOT_NESTED) for film in plan.films],
        "printer": [plan.printer.margins, plan.printer.process],
        "gap": [plan.gap],
    }


def first_digest(everything: Sequence[Piece], plan: Plan) -> str:
    """The digest in its first form, which files of positions and records of version 0.1.0 carry. It showed values as
    Python of that time did, which is written out here so that it stays; nothing new is told by it."""
    h = hashlib.sha256()
    for piece in everything:
        h.update(f"{piece.key} {piece.copy} {piece.turn} {piece.artwork.digest}\n".encode())
        if piece.pin or piece.group:
            h.update(f"{_first_pin(piece.pin)} {piece.group}\n".encode())
    for film in plan.films:
        h.update(f"{_first_film(film)}\n".encode())
        if film.used_polygons:
            rings = [_first_row([_first_row([f"{x!r}", f"{y!r}"]) for x, y in ring]) for ring in film.used_polygons]
            h.update(f"{_first_row(rings)}\n".encode())
    margins = _first_row([f"{float(side)!r}" for side in plan.printer.margins])
    h.update(f"{margins} {plan.printer.process} {plan.gap:.6f}".encode())
    return h.hexdigest()


def _first_row(values: Sequence[str]) -> str:
    return f"({values[0]},)" if len(values) == 1 else f"({', '.join(values)})"


def _first_pin(pin: Pinned | None) -> str:
    return "None" if pin is None else f"Pinned(at=({pin.at[0]!r}, {pin.at[1]!r}), turn={pin.turn}, sheet={pin.sheet})"


def _first_film(film: Film) -> str:
    used = [f"UsedArea(x={u.x!r}, y={u.y!r}, width={u.width!r}, height={u.height!r})" for u in film.used]
    return (
        f"Film(name={film.name!r}, kind='{film.kind}', process='{film.process}', width={film.width!r}, "
        f"height={film.height!r}, used={_first_row(used)}, sheets={film.sheets}, adhesive={bool(film.adhesive)})"
    )
