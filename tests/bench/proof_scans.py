"""A proof of few pieces on A5, printed a little off and scanned beside a card: how long its bars are is known."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2

from decalgen.commands.options import Options
from decalgen.commands.proof import make_proof
from decalgen.commands.run import Run
from decalgen.proofing.files import standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions
from tests.bench.sheeting import tug
from tests.scan.printed.scans import Glass, Printed, scan_of_page

SIZE = (124.0, 136.0)
"""So much of the sheet, from its lower left, is scanned, mm."""
DOTS = 400
"""To the inch, of the page before it is scanned."""


@dataclass(frozen=True)
class ScannedProof:
    """``folder``: with the job, 'tug.yaml', and its proof; ``code``: on its paper; ``scan``: the file of the scan;
    ``x``, ``y``: how long its bars are on the paper, mm."""

    folder: Path
    code: str
    scan: bytes
    x: float
    y: float


def scanned_proof(folder: Path) -> ScannedProof:
    """The proof, 0.06 % too wide and 0.05 % too low, on a scanner that is 0.4 and -0.3 % out; a card lies on it."""
    job = tug(folder)
    proof = job.with_name("tug-proof.pdf")
    make_proof(Run([job], Options()), proof).write()
    needed = standard_of(read_positions(job.with_name("tug.positions.json")))
    page = pypdfium2.PdfDocument(str(proof))[0].render(scale=DOTS / 72).to_pil().convert("L")
    wide, high = (round(side / 25.4 * DOTS) for side in SIZE)
    printed = Printed(np.asarray(page)[-high:, :wide], SIZE, 1.0006, 0.9995)
    glass = Glass((128.0, 140.0), (64.0, 70.0), 0.6, (78.0, 80.0), 1.2, stretch=(1.004, 0.997), row=0.0005, dpi=200.0)
    x, y = (next(bar.length for bar in needed.bars if bar.axis == axis) for axis in ("x", "y"))
    scan = scan_of_page(printed, glass, 4)
    return ScannedProof(folder, code_of(needed.fingerprint), scan, printed.length(x, 0), printed.length(0, y))
