"""The record of a sheet that was printed on film: from what, onto what, where, and what was said. Pure: to text and
back. JSON, readable, with a checksum over all of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from decalgen.core.errors import InputError
from decalgen.core.values import dataclass
from decalgen.job.model import Film, UsedArea
from decalgen.sheet.positions import Position

FORM = "decalgen record 1"
AGAIN = "print from the jobs with `decalgen sheet`, or take the record from a copy"


@dataclass(frozen=True)
class JobText:
    """A job as it was: its name, the digest it had, and its files by name, the job file first."""

    name: str
    digest: str
    files: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PrinterText:
    """A printer as it prints on one film: the text of its file; the correction as exact numbers, because text rounds
    them; its ICC profile."""

    film: str
    text: str
    exact: tuple[tuple[str, float], ...]
    profile: str = ""
    """The ICC profile's bytes in base 64; empty: none."""


@dataclass(frozen=True)
class Record:
    """All that is needed to print the same sheets again without nesting, and what was known of them."""

    versions: tuple[tuple[str, str], ...]
    jobs: tuple[JobText, ...]
    films: tuple[Film, ...]
    printers: tuple[PrinterText, ...]
    """One for each of the films."""
    variant: str | None
    hands: str
    gap: float
    seed: int
    effort: str
    layout: str
    positions: tuple[Position, ...]
    complete: bool
    plates: bool
    press: bool
    dpi: float
    files: tuple[tuple[str, str], ...]
    """What was written: the name, and the SHA-256 of its bytes."""
    findings: tuple[str, ...]
    proof: str
    """The verdict of the proof; empty: there was none."""
    measured: tuple[str, ...]
    """What was measured of it, and what was said of that."""
    without_proof: str
    """Why it was printed all the same; empty: it was proven, or for a print shop."""


def write_record(record: Record) -> bytes:
    """The record's text."""
    data = asdict(record)
    data["versions"] = dict(record.versions)
    body = {"form": FORM, "checksum": _checksum(data), **data}
    return (json.dumps(body, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def mark_of(record: Record) -> str:
    """Eight figures that tell this record from others."""
    return _checksum({**asdict(record), "versions": dict(record.versions)})[:8]


def read_record(text: str, shown: str) -> Record:
    """A record from its text; ``shown`` names it in messages. Raises InputError for what is damaged or edited."""
    try:
        data = json.loads(text)
        if not isinstance(data, dict) or "form" not in data:
            raise TypeError
    except (ValueError, TypeError, RecursionError):
        raise InputError(f"'{shown}' is not a complete record", fix=AGAIN) from None
    if data.pop("form") != FORM:
        raise InputError(f"'{shown}' was written by another version of decalgen", fix="use that version, or the jobs")
    if data.pop("checksum", None) != _checksum(data):
        raise InputError(f"'{shown}' was changed since it was printed: its checksum does not fit", fix=AGAIN)
    try:
        return _record(data)
    except (KeyError, TypeError, ValueError):
        raise InputError(f"'{shown}' is not a complete record", fix=AGAIN) from None


def _record(data: Mapping[str, Any]) -> Record:
    jobs = tuple(
        JobText(one["name"], one["digest"], tuple((str(n), str(t)) for n, t in one["files"])) for one in data["jobs"]
    )
    return Record(
        versions=tuple(data["versions"].items()),
        jobs=jobs,
        films=tuple(_film(one) for one in data["films"]),
        printers=tuple(
            PrinterText(one["film"], one["text"], tuple(_exact(k, v) for k, v in one["exact"]), one["profile"])
            for one in data["printers"]
        ),
        variant=data["variant"],
        hands=data["hands"],
        gap=float(data["gap"]),
        seed=int(data["seed"]),
        effort=data["effort"],
        layout=data["layout"],
        positions=tuple(Position(**one) for one in data["positions"]),
        complete=bool(data["complete"]),
        plates=bool(data["plates"]),
        press=bool(data["press"]),
        dpi=float(data["dpi"]),
        files=tuple((str(name), str(total)) for name, total in data["files"]),
        findings=tuple(data["findings"]),
        proof=data["proof"],
        measured=tuple(str(line) for line in data["measured"]),
        without_proof=data["without_proof"],
    )


def _exact(name: str, value: float) -> tuple[str, float]:
    """A number of a printer by its name now: earlier versions called its lean shear."""
    return "lean" if name == "shear" else str(name), float(value)


def _film(data: Mapping[str, Any]) -> Film:
    used = tuple(UsedArea(**one) for one in data["used"])
    rings = tuple(tuple((float(x), float(y)) for x, y in ring) for ring in data["used_polygons"])
    return Film(**{**data, "used": used, "used_polygons": rings})


def _checksum(data: Mapping[str, Any]) -> str:
    text = json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
