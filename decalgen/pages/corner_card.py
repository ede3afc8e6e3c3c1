"""The corner card: a black frame to be printed, measured and laid round what is scanned or photographed. Pure; mm."""

from __future__ import annotations

from shapely.geometry import Polygon

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import rectangle, region
from decalgen.pages.flow import Flow

FRAME = (100.0, 70.0)
"""Its outer size as drawn."""
BORDER = 5.0
HINT = (
    "Print at 100 %. Measure the black frame over its outer edges, across and up, with a caliper, and write both down. "
    "Lay the original inside the frame, and scan the page, or photograph it from straight above. The frame has to lie "
    "as high as what is measured. Then type what you measured, as in the line at the foot."
)


def corner_card(width: float, height: float) -> Document:
    """On paper of that size, mm."""
    flow = Flow(width, height, "Corner card", 'decalgen scan PICTURE --beside "99.82 x 69.91 mm"')
    flow.paragraph(HINT)
    x = (width - FRAME[0]) / 2
    y = flow.y - 12.0 - FRAME[1]
    outer, inner = (rectangle(x + rim, y + rim, x + FRAME[0] - rim, y + FRAME[1] - rim) for rim in (0.0, BORDER))
    flow.sheaf.fill(region(Polygon(outer.exterior, [inner.exterior])), "#000000")
    y -= 9.0
    for name, left in (("across, mm", x), ("up, mm", x + FRAME[0] / 2)):
        flow.sheaf.text(left, y, name, style.TYPE_BODY)
        flow.sheaf.reading_boxes(left, y - 2.0 - style.READING_BOX[1], count=2)
    return Document(tuple(flow.pages()), title="Corner card")
