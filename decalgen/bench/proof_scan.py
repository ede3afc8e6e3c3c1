"""The check bars of a proof read from a scan on the page, beside the typing: as `proof passed --scan` reads them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.busy import BusyError
from decalgen.bench.original_said import typed_card
from decalgen.bench.print_files import proof_path
from decalgen.bench.typed_mm import typed_count
from decalgen.core.pixels.values import PictureData

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace
    from decalgen.commands.options import Made
    from decalgen.proofing.judge import Verdict

RESULT = "scan"
"""Under this name it is kept what came of the last scan: which it was, or why nothing came of it."""
AT_WORK = "reading the scan"
HOW = (
    "Lay the proof on a flatbed, and a plain card of bank-card size, never a payment card, close to its bars: beside "
    "the sheet, or under a blank part of it, 20 mm or more off the bars.",
    "Scan both bars and the card at 300 dpi or more, with all that improves pictures switched off.",
    "A scan tells at once whether the print dialog fitted the page. Near the limit it asks for the caliper.",
)
BEFORE = "The scan was not read: this is the verdict on the readings before."


def scan_state(place: Workplace) -> dict[str, Any]:
    """How it is done; whether a scan is being read; the one that was read last, or why it was not."""
    found = place.results.get(RESULT, {})
    wrong = {key: found[key] for key in ("wrong", "fix")} if found.get("wrong") else None
    return {"how": list(HOW), "busy": reads(place), "read": found.get("read", ""), "wrong": wrong, "before": BEFORE}


def reads(place: Workplace) -> bool:
    """Whether a scan of the proof is being read."""
    return place.busy == AT_WORK


def looked_at(picture: PictureData) -> PictureData:
    """A picture that can be read. Raises PixelsError."""
    from decalgen.core.pixels.decode import size_of

    size_of(picture)
    return picture


def bring_scan(place: Workplace, asked: Mapping[str, str], picture: PictureData) -> None:
    """Has the bars read from a scan: ``code`` on the paper, ``sheet``, ``card``: its size as typed, '' as the standard
    says. What comes of it is in the place's results. Raises InputError, EditError, ScanWordsError for what is typed
    wrong, BusyError while something is made."""
    from decalgen.commands.page_scans import PageScan, card_typed
    from decalgen.commands.proof_passed import pass_proof

    if place.busy:
        raise BusyError(place.busy)
    forget_scan(place)
    card = card_typed(typed_card(asked.get("card", "")) or "card")
    number = typed_count(asked.get("sheet", ""), "Sheet")
    proof, code = proof_path(place.desk.path), asked.get("code", "")
    judged: list[tuple[Made, Verdict]] = []

    def work() -> dict[str, Any]:
        judged.append(pass_proof(proof, (), (), "", number, code, PageScan(picture, card)))
        return {"read": picture.name}

    place.start(RESULT, AT_WORK, work, lambda: keep_verdict(place, *judged[0]))


def keep_verdict(place: Workplace, made: Made, verdict: Verdict) -> None:
    """Writes the readings that were judged, and keeps what was said of them while the page is open."""
    made.write()
    place.results["verdict"] = {"word": verdict.word, "lines": list(made.lines), "next": made.answer.next}


def check_no_scan(place: Workplace) -> None:
    """Raises BusyError while a scan is being read: what it comes to would be judged by the readings before."""
    if reads(place):
        raise BusyError(place.busy)


def forget_scan(place: Workplace) -> None:
    """Something newer is said of the proof than what came of its last scan."""
    place.results.pop(RESULT, None)
