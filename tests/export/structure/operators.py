"""The operators of content streams (ISO 32000-1, annex A): which a press file has, with what operands."""

from __future__ import annotations

Matrix = tuple[float, ...]
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

# 'n' a number, '/' a name, '?' anything.
OPERANDS = {
    "q": "",
    "Q": "",
    "cm": "nnnnnn",
    "w": "n",
    "d": "?n",
    "gs": "/",
    "m": "nn",
    "l": "nn",
    "c": "nnnnnn",
    "h": "",
    "re": "nnnn",
    "S": "",
    "s": "",
    "f": "",
    "f*": "",
    "n": "",
    "BDC": "/?",
    "EMC": "",
    "Do": "/",
    "k": "nnnn",
    "K": "nnnn",
    "cs": "/",
    "CS": "/",
    "scn": "n",
    "SCN": "n",
}
PAINTS = {"S", "s", "f", "f*", "n"}
# What is refused with a rule of its own.
REFUSED = {
    **dict.fromkeys(("rg", "RG", "g", "G"), "colour"),
    "ri": "rendering intent",
    "sh": "shadings",
    **dict.fromkeys(("BT", "ET", "Tf", "Tj", "TJ", "'", '"', "Tr", "Td", "Tm"), "fonts"),
    **dict.fromkeys(("INLINE IMAGE", "BI", "ID", "EI"), "images"),
    **dict.fromkeys(("W", "W*"), "clipping"),
    **dict.fromkeys(("BX", "EX"), "content"),
    **dict.fromkeys(("d0", "d1"), "fonts"),
}


def multiplied(outer: Matrix, inner: Matrix) -> Matrix:
    """The matrix that applies ``inner`` first."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f)


def moved(matrix: Matrix, point: tuple[float, float]) -> tuple[float, float]:
    """A point under a matrix."""
    a, b, c, d, e, f = matrix
    x, y = point
    return (a * x + c * y + e, b * x + d * y + f)
