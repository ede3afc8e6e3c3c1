"""Inks and white against the printer, with the figures a check gives of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from decalgen.colour.icc import shipped
from decalgen.colour.printer import PrinterColour
from decalgen.core.errors import Finding
from decalgen.job.model import InkSpec, Job, Printer
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
