"""Lengths as people type them, and expressions over measured names; pure.

`evaluate` reads ``12.4 mm ± 0.05``, ``1 1/2 in`` or ``panel.width - 2 * 0.4 mm``; `length` and `number`
also see to it that the right kind of value comes out. A mistake raises `ExpressionError`, which says where in
the text it stands. `Scale` is the scale of a model. A unit beyond the common ones is looked up in pint's registry,
which is not imported before.
"""

from __future__ import annotations

from decalgen.core.lengths.expressions import NO_NAMES, Names
from decalgen.core.lengths.quantity import Quantity, propagate
from decalgen.core.lengths.remarks import Remark, borrowed_unit
from decalgen.core.lengths.scale import Scale, parse_scale
from decalgen.core.lengths.text import ExpressionError, NameProblem, UnknownName, mend_comma
from decalgen.core.lengths.units import MILLIMETRES
from decalgen.core.lengths.wanted import evaluate, length, names_in, number

__all__ = [
    "MILLIMETRES",
    "NO_NAMES",
    "ExpressionError",
    "NameProblem",
    "Names",
    "Quantity",
    "Remark",
    "Scale",
    "UnknownName",
    "borrowed_unit",
    "evaluate",
    "length",
    "mend_comma",
    "names_in",
    "number",
    "parse_scale",
    "propagate",
]
