"""Sizes from the full-size vehicle and the scale: a model size to begin with, never a measurement.

The bodies of small toys are seldom to scale, so such a size is marked, is taken as up to 5 % off (common practice,
no source), and no decal is said to fit on it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from decalgen.core import keys
from decalgen.core.errors import Finding, Place
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError
from decalgen.panels.readings import Reading

OFF = 0.05
"""How far a toy's body may be from its scale."""


def model_size(full_size: float, scale: float, name: str) -> Quantity:
    """A full-size length, mm, on a model of scale 1:``scale``, with `OFF` as its limits."""
    value = full_size / scale
    return Quantity(value, 1, ((name, value * OFF / 3**0.5),))


@dataclass(frozen=True)
class FullSize:
    """Sizes of the full-size vehicle, mm."""

    width: Annotated[
        float | None,
        keys.Length("across the panel at full size", least=1.0, most=50000.0, example="960 mm", beside=("height",)),
    ] = None
    height: Annotated[
        float | None,
        keys.Length("up the panel at full size", least=1.0, most=50000.0, example="500 mm", beside=("width",)),
    ] = None


def prototype_readings(full: FullSize | None, scale: float | None, name: str) -> dict[str, Reading]:
    """Width and height of the model. Raises `PanelError` where a size or the scale is missing."""
    if full is None or full.width is None or full.height is None:
        raise PanelError("a prototype panel needs both sizes", fix="give prototype: {width: 960 mm, height: 500 mm}")
    if scale is None:
        raise PanelError("the job has no scale", fix='add for example: scale: "1:43"')
    return {
        key: Reading(model_size(size, scale, f"{name}.prototype {key}"))
        for key, size in (("width", full.width), ("height", full.height))
    }


def prototype_findings(
    full: FullSize | None,
    scale: float | None,
    sizes: Mapping[str, Quantity],
    name: str,
    place: Place | None,
    measured: bool,
) -> tuple[Finding, ...]:
    """A note for a panel that was not measured, and a warning where the full size and a measured panel disagree."""
    if full is None:
        return ()
    if not measured:
        message = f"{sizes['width'].value:.2f} x {sizes['height'].value:.2f} mm come from the full-size vehicle"
        fix = "measure the panel: toy bodies are seldom to scale"
        return (Finding("warning", "prototype-size", name, message, fix, place),)
    found = []
    for key, size in (("width", full.width), ("height", full.height)):
        if size is None:
            continue
        if scale is None:
            raise PanelError("the job has no scale", fix='add for example: scale: "1:43"')
        seen = sizes.get(f"seen {key}", sizes[key])
        expected = size / scale
        off = seen.value - expected
        if abs(off) > max(2 * seen.u, 0.02 * expected):
            found.append(
                Finding(
                    "warning",
                    "not-to-scale",
                    name,
                    f"{key} {seen.value:.2f} mm, but the full-size {size:g} mm are {expected:.2f} mm at 1:{scale:g} "
                    f"({off / expected:+.0%})",
                    "trust the measured panel; check the scale and both sizes if this surprises you",
                    place,
                )
            )
    return tuple(found)
