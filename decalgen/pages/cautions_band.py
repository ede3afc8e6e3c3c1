"""The cautions of paperwork under a band of their own, on one page: torn apart they are not read. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core import style
from decalgen.core.cautions import LAW
from decalgen.core.lengths.units import POINT_MM
from decalgen.lettering.paper import wrap
from decalgen.pages.composer import band_height
from decalgen.pages.flow import Flow


class CautionsBand:
    """Cautions, each a head and a text, and under them the word on local law."""

    def __init__(self, cautions: Sequence[tuple[str, str]]) -> None:
        self.rows = [f"{head}. {text}" for head, text in cautions]

    def height(self, flow: Flow) -> float:
        """The room they take, mm."""
        step = style.TYPE_REST * POINT_MM * style.LEADING
        lines = sum(len(wrap(row, style.TYPE_REST, flow.inner)) for row in self.rows)
        law = len(wrap(LAW, style.TYPE_REST, flow.inner, True))
        return band_height(flow.inner, "Cautions") + 1.6 + (lines + law) * step + len(self.rows) + 1.0

    def write(self, flow: Flow) -> None:
        """At the cursor, or on the next page."""
        flow.room(self.height(flow))
        flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, "Cautions") - 1.6
        for row in self.rows:
            flow.paragraph(row)
        flow.paragraph(LAW, bold=True)
