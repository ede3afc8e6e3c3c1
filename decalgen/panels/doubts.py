"""What looks wrong about readings, before anything is drawn: units, uncertainty, obstacles off the panel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from decalgen.core.errors import Finding, Place
from decalgen.core.lengths import Quantity
from decalgen.core.lengths.units import INCH_MM
from decalgen.panels.base import Obstacle, Panel, PanelError

LONGEST_FULL_SIZE = 20000.0
"""No road vehicle has a longer panel, mm (common practice, no source)."""
SHORTEST_FULL_SIZE = 30.0
"""No panel that carries a decal is narrower, mm (common practice, no source)."""
LONGEST = 400.0
"""No panel of a small toy is longer, mm, whatever its scale."""


def uncertain(quantity: Quantity, key: str, subject: str, place: Place | None) -> tuple[Finding, ...]:
    """Raises `PanelError` for an uncertainty larger than its value; warns above a third of it."""
    size, u = abs(quantity.value), quantity.u
    unit = "mm" if quantity.dimension == 1 else "degrees"
    if size == 0 or key.startswith("point ") or key.endswith("inset"):
        return ()
    if u * 3**0.5 >= size:
        raise PanelError(
            f"the uncertainty of {key} is as large as its value: {quantity.value:g} {unit} "
            f"\N{PLUS-MINUS SIGN} {u * 3**0.5:.3g}",
            fix=f"write the largest error you expect of {key} after the \N{PLUS-MINUS SIGN}, not the size itself; "
            "or measure it with something finer",
            place=place,
        )
    if u * 3**0.5 > size / 3:
        message = f"{key} is {quantity.value:g} {unit}, known only within {u * 3**0.5:.2g} {unit}"
        return (Finding("warning", "reading-coarse", subject, message, f"measure {key} with something finer", place),)
    return ()


def assumed(keys: Sequence[str], subject: str, place: Place | None) -> tuple[Finding, ...]:
    """The note for readings without \N{PLUS-MINUS SIGN} and without an instrument."""
    if not keys:
        return ()
    lists = {"point": "the points", "arc": "the arcs", "rise": "the arc rises"}
    keys = list(
        dict.fromkeys(
            lists.get(key.split()[0], key) if key[-1].isdigit() or key[-2:] in (" x", " y") else key for key in keys
        )
    )
    named = " and ".join([", ".join(keys[:-1]), keys[-1]] if len(keys) > 1 else keys)
    message = f"{named} without \N{PLUS-MINUS SIGN} or instrument: taken as read with a digital caliper (0.02 mm)"
    fix = "write for example 22.40 mm \N{PLUS-MINUS SIGN} 0.05, or add: instrument: steel rule"
    return (Finding("note", "uncertainty-assumed", subject, message, fix, place),)


def units(sizes: Mapping[str, Quantity], scale: float | None, subject: str, place: Place | None) -> tuple[Finding, ...]:
    """A warning for a panel that is far too large or too small for a model of its scale: inches for millimetres,
    or the full-size vehicle measured."""
    width, height = sizes["width"].value, sizes["height"].value
    large, small = max(width, height), min(width, height)
    too_large = large > LONGEST or (scale is not None and large * scale > LONGEST_FULL_SIZE)
    too_small = small < 0.8 or (scale is not None and small * scale < SHORTEST_FULL_SIZE)
    if not too_large and not too_small:
        return ()
    at_scale = f", at 1:{scale:g} that is {width * scale:,.0f} x {height * scale:,.0f} mm full size" if scale else ""
    if too_large:
        hint = f"were millimetres meant? {large / INCH_MM:.4g} in is {large:.4g} mm; write {large / INCH_MM:.4g} mm"
        if scale is not None and large / scale < LONGEST / 4:
            hint += "; a size of the full-size vehicle goes under prototype"
    else:
        hint = f"were inches meant? {small:g} in is {small * INCH_MM:.2f} mm; and check the scale"
    size = f"{width:.2f} x {height:.2f} mm is too {'large' if too_large else 'small'} for a panel{at_scale}"
    return (Finding("warning", "size-unlikely", subject, size, hint, place),)


def too_large(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Of such warnings, those of panels that are too large."""
    return tuple(one for one in findings if one.code == "size-unlikely" and "too large" in one.message)


def obstacle(panel: Panel, found: Obstacle) -> tuple[Finding, ...]:
    """Raises `PanelError` for an obstacle that touches the panel nowhere; warns where it covers all of it."""
    shape, whole = found.outline.polygon, panel.outline.polygon
    x0, y0, x1, y1 = shape.bounds
    if not shape.intersects(whole):
        raise PanelError(
            f"'{found.name}' ({x0:.2f} to {x1:.2f} mm across, {y0:.2f} to {y1:.2f} mm up) lies outside, the panel is "
            f"{panel.width.value:.2f} x {panel.height.value:.2f} mm",
            fix="measure its position from the panel's lower left corner as you look at it",
            place=found.place,
        )
    if shape.buffer(found.clearance).contains(whole):
        message = f"'{found.name}' and its clearance cover the whole panel"
        return (
            Finding("error", "obstacle-covers", panel.name, message, "check its size and its position", found.place),
        )
    return ()
