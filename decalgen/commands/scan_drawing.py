"""The report of a scan, from what was measured."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from decalgen.core.document import Document
from decalgen.core.pixels.arrays import from_rgb
from decalgen.pages.scan_report import ReportRow, ScanReport, scan_report
from decalgen.scan.decal import TYPED
from decalgen.scan.measuring import MeasuredScan
from decalgen.scan.remains import FoundValue


def report_of(found: MeasuredScan, values: Sequence[tuple[FoundValue, str]]) -> Document:
    """The fit over the part of the scan that was looked at, with its values."""
    left, top, right, bottom = found.window
    fit = found.fits[0]
    edges = []
    for edge in fit.edges:
        at = found.scale.to_pixels(np.array(edge.points)) - (left, top)
        edges.append((tuple((float(x), float(y)) for x, y in at), edge.there))
    rows = tuple(ReportRow(one.name, words, f"{one.share:.0%}", _remark(one)) for one, words in values)
    words = f"the size by {found.scale.told}; \N{PLUS-MINUS SIGN} is the expanded uncertainty, k = 2"
    if found.doubts:
        words = f"{words}. In doubt: {'; '.join(found.doubts)}"
    return scan_report(
        ScanReport(
            f"{found.scan.name}: {fit.kind}",
            words,
            from_rgb(found.scan.coded[top:bottom, left:right]),
            found.pixel,
            tuple(edges),
            rows,
            tuple((f"ink {n}", ink) for n, ink in enumerate(fit.colours, 1)),
        )
    )


def _remark(one: FoundValue) -> str:
    if one.doubt == TYPED:
        return "as typed"
    return one.doubt or ("an outer edge is torn off" if one.least else "")
