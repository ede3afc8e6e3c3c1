"""Inks and white against the printer, with the figures a check gives of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from decalgen.colour.icc import CmykProfile, open_profile, shipped
from decalgen.colour.printer import PrinterColour
from decalgen.colour.value import Colour
from decalgen.core.errors import Finding
from decalgen.job.model import InkSpec, Job, Printer, Process
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

WHITE = replace(jobs.PRINTER, name="white laser", white=True, swatches=PrinterColour(opacity=0.9))


def found(job: Job, code: str, printer: Printer = jobs.PRINTER) -> list[Finding]:
    return [finding for finding in check_jobs([job], printer) if finding.code == code]


def band(height: float, ink: str = "orange", film: str = "white", **more: object) -> Job:
    field = jobs.element("field", ink=ink, height=height)
    return jobs.job(jobs.decal("band", 20.0, 8.0, field, **more), film=film)


@pytest.mark.parametrize(("height", "told"), [(0.40, True), (0.44, True), (0.46, False)])
def test_white_too_thin_has_its_measure(height: float, told: bool) -> None:
    """Drawn in by 0.15 mm on both sides, with 0.15 mm to be left: 0.45 mm."""
    said = found(band(height, film="clear", underlay="all", margin=0.5), "white-dropped", WHITE)
    assert len(said) == told
    if told:
        assert said[0].measured == pytest.approx(height, abs=0.01)
        assert said[0].limit == pytest.approx(0.45)
        # Across the middle of 20 x 8 mm.
        (area,) = said[0].areas
        assert (area[1] + area[3]) / 2 == pytest.approx(4.0, abs=0.02)


def test_a_spot_ink_is_beyond_a_printer_of_process_inks() -> None:
    made = band(4.0, "depot red")
    job = replace(made, inks=(*made.inks, InkSpec("depot red", "spot", "#a02020")))
    (note,) = found(job, "spot-ink")
    assert (note.severity, note.subject) == ("note", "depot red")
    assert "'test printer' mixes from its own inks" in note.message
    assert found(band(4.0), "spot-ink") == []


def test_a_colour_outside_the_gamut_has_its_distance_and_the_limit() -> None:
    """A green no printing inks reach, by the profile that comes with the program."""
    printer = replace(jobs.PRINTER, swatches=PrinterColour(profile=shipped()))
    made = band(4.0, "signal")
    job = replace(made, inks=(*made.inks, InkSpec("signal", "process", "#00ff00")))
    (note,) = found(job, "colour-gamut", printer)
    assert note.measured is not None and note.limit is not None
    assert note.measured > 10 > note.limit
    assert note.unit == "dE" and f"dE {note.measured:.1f}" in note.message
    assert found(band(4.0, "navy"), "colour-gamut", printer) == []


def made_for(signature: bytes) -> CmykProfile:
    """The shipped profile with a technology tag. ICC.1:2010, 7.3: at byte 128 how many tags there are, then 12 bytes
    each: signature, offset, size; a signatureType is 'sig ', four zeros, the signature (from memory)."""
    data = shipped().data
    count = int.from_bytes(data[128:132], "big")
    rows = [data[at : at + 12] for at in range(132, 132 + 12 * count, 12)]
    moved = [row[:4] + (int.from_bytes(row[4:8], "big") + 12).to_bytes(4, "big") + row[8:] for row in rows]
    body = data[132 + 12 * count :]
    end = 132 + 12 * (count + 1) + len(body)
    moved.append(b"tech" + end.to_bytes(4, "big") + (12).to_bytes(4, "big"))
    whole = data[:128] + (count + 1).to_bytes(4, "big") + b"".join(moved) + body + b"sig \0\0\0\0" + signature
    return open_profile(len(whole).to_bytes(4, "big") + whole[4:], "mine.icc")


@pytest.mark.parametrize(
    ("signature", "process", "told"),
    [(b"ijet", "inkjet", ""), (b"epho", "laser", ""), (b"ijet", "laser", "inkjet"), (b"epho", "inkjet", "laser"),
     (b"offs", "laser", "offset print"), (b"scrn", "laser", "")],
)  # fmt: skip
def test_a_profile_of_another_kind_of_printer_is_told(signature: bytes, process: Process, told: str) -> None:
    printer = replace(jobs.PRINTER, process=process, swatches=PrinterColour(profile=made_for(signature)))
    job = band(4.0, "navy")
    findings = found(job, "other-profile", printer)
    assert len(findings) == bool(told)
    if told:
        (finding,) = findings
        assert (finding.severity, finding.subject) == ("warning", printer.name)
        assert f"was made for {told}, and the printer is {process}" in finding.message
        # What it says to do: no profile, or a profile of the same kind.
        assert "leave `profile` out" in finding.fix
        assert found(job, "other-profile", replace(printer, swatches=PrinterColour())) == []
        assert found(job, "other-profile", replace(printer, shop=True)) == []


def test_a_swatch_of_this_printer_that_its_profile_calls_unprintable_is_told() -> None:
    def printer(read: str) -> Printer:
        known = PrinterColour(profile=shipped(), patches=(("navy", Colour.from_hex(read)),))
        return replace(jobs.PRINTER, swatches=known)

    (finding,) = found(band(4.0, "navy"), "other-profile", printer("#1060ff"))
    assert (finding.severity, finding.subject, finding.unit) == ("warning", "navy", "dE")
    assert finding.measured is not None and finding.measured > finding.limit == 6.0
    assert "#1060ff was read off a swatch of test printer" in finding.message
    # At the edge of the gamut it may be the reading: 3.5 by the profile.
    assert found(band(4.0, "navy"), "other-profile", printer("#00c8ff")) == []
    assert found(band(4.0, "navy"), "other-profile", printer("#243a5c")) == []
