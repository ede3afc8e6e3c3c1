"""A reading's text, and the instrument that is named after it."""

from __future__ import annotations

from dataclasses import replace

from decalgen.core.errors import DecalgenError
from decalgen.job.nodes import Scalar
from decalgen.job.problems import Problems
from decalgen.job.scope import Told


def without_instrument(text: Scalar, problems: Problems) -> tuple[Scalar, str]:
    """``22.40 mm by steel rule`` as the reading and the instrument, '' for none. Raises `Told` for one that is none."""
    from decalgen.core.instruments import instrument
    from decalgen.panels.readings import split_instrument

    value, tool = split_instrument(text.text)
    if tool:
        try:
            instrument(tool)
        except DecalgenError as error:
            problems.add(error.message, text.inside(text.text.rindex(tool), len(tool)), error.fix)
            raise Told from None
    return replace(text, text=value), tool
