"""Whether a record may still be printed: its proof was not refused since, nor its printer calibrated anew."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import GateError, InputError
from decalgen.core.kept import value_of
from decalgen.proofing.files import ENDING, kept_beside, proven_of, standard_of, verdict_on
from decalgen.proofing.fingerprint import Fingerprint
from decalgen.proofing.gate import OVERRIDE
from decalgen.sheet.film_area import correction_of
from decalgen.sheet.positions import read_positions

if TYPE_CHECKING:
    from decalgen.job.model import Printer
    from decalgen.sheet.record import Record

ALIKE = 1e-9
"""Corrections that differ by less are the same."""


def check_still_proven(record: Record, printers: Mapping[str, Printer], folder: Path) -> None:
    """Raises GateError where readings beside the record, or in the folder one stands in, refuse its proof by now, or
    where a kept profile corrects its printer otherwise than it was printed with. ``printers``: by the film's name.

    A print shop answers for its own size, and what was printed without a proof is so again.
    """
    if record.press or record.without_proof:
        return
    for film, printer in printers.items():
        if _calibrated_since(printer):
            raise GateError(
                f"the printer '{printer.name}' was calibrated again for '{film}' since this record was printed",
                fix=f"make a new proof from the jobs with `decalgen proof`, {OVERRIDE}",
            )
    if _refused_since(record, dict.fromkeys([folder, Path()])):
        raise GateError(
            "the proof of these sheets was measured again since, and did not pass",
            fix=f"put that right, print the proof again, and pass it; {OVERRIDE}",
        )


def _calibrated_since(printer: Printer) -> bool:
    from decalgen.workshop.profiles import kept

    setting = printer.history.setting if printer.history else None
    if setting is None:
        return False
    now = [one.printer for one in kept() if one.printer.name == printer.name and one.setting == setting]
    return any(
        abs(new - old) > ALIKE
        for one in now
        for new, old in zip(correction_of(one), correction_of(printer), strict=True)
    )


def _refused_since(record: Record, folders: Mapping[Path, None]) -> bool:
    """Whether readings of these sheets that lie in some folders do not pass; what the proof has to reach stands in its
    positions, and without them nothing is known."""
    with suppress(ValueError):
        printed: Fingerprint = value_of(Fingerprint, dict(record.printed), "the fingerprint")
        for one in proven_of(printed, list(folders)).values():
            for path in kept_beside(folders, ENDING):
                with suppress(InputError, GateError):
                    needed = standard_of(read_positions(path), outdated=True)
                    if needed.fingerprint == printed and verdict_on(needed, one)[0] != "passed":
                        return True
    return False
