"""The group `colour` of a printer file: its ICC profile, its white, and what was read off its swatch sheet."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from pathlib import Path

from decalgen.colour.icc import LARGEST, CmykProfile, open_profile
from decalgen.colour.printer import PrinterColour
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError
from decalgen.core import keys
from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import Wanted, read_small
from decalgen.job.nodes import Mapping, Node, Scalar
from decalgen.job.printer_entries import SWATCH_GROUPS, SwatchEntry
from decalgen.job.reader import Reader
from decalgen.job.scope import Told


def read_swatches(reader: Reader, node: Node) -> tuple[PrinterColour, str]:
    """The colour side of a printer and its profile's file name. Raises `Told` with every mistake noted."""
    group = reader.mapping(node, "'colour'")
    try:
        entry = reader.read(SwatchEntry, group, "'colour'", also=SWATCH_GROUPS)
    except Told:
        _told_too(reader, group)
        raise
    patches = _patches(reader, group)
    floor = PrinterColour().floor if entry.darkest is None else parse(entry.darkest).xyz[1]
    # Each on its own, so that one mistake does not hide another.
    wrong = _wrong(reader, group, "opacity", opacity=entry.opacity)
    wrong |= _wrong(reader, group, "darkest", floor=floor)
    profile = _profile(reader, group) if entry.profile else None
    if wrong:
        raise Told
    try:
        found = PrinterColour(
            profile=profile,
            floor=floor,
            opacity=entry.opacity,
            passes=entry.passes,
            smallest_line=entry.smallest_line,
            smallest_gap=entry.smallest_gap,
            smallest_caps=entry.smallest_caps,
            smallest_caps_reversed=entry.smallest_caps_reversed,
            patches=patches,
        )
    except ColourError as error:
        reader.problems.add(error.message, group.place, error.fix)
        raise Told from None
    return found, entry.profile or ""


def _wrong(reader: Reader, group: Mapping, key: str, **value: float) -> bool:
    """Whether one value is out of range; it is noted."""
    try:
        PrinterColour(**value)  # type: ignore[arg-type]
    except ColourError as error:
        node = group.get(key)
        reader.problems.add(error.message, node.place if node else group.place, error.fix)
        return True
    return False


def _told_too(reader: Reader, group: Mapping) -> None:
    """Notes what else is out of range beside a value that could not be read: the opacity, where it is a number, and
    the darkest patch, where it is a colour."""
    for key in ("opacity", "darkest"):
        node = group.get(key)
        if isinstance(node, Scalar):
            with suppress(ValueError, DecalgenError):
                _wrong(reader, group, key, **_number(key, node.text))


def _number(key: str, text: str) -> dict[str, float]:
    return {"opacity": float(text)} if key == "opacity" else {"floor": parse(text).xyz[1]}


def _patches(reader: Reader, group: Mapping) -> tuple[tuple[str, Colour], ...]:
    node = group.get("inks")
    if node is None or (isinstance(node, Scalar) and node.empty):
        return ()
    found = []
    for name, value in reader.mapping(node, "'inks'").entries:
        with suppress(Told):
            found.append((name.text, parse(reader.value(keys.ColourText(), value, "", name.text))))
    return tuple(sorted(found))


def _profile(reader: Reader, group: Mapping) -> CmykProfile:
    """The profile, from a file that lies in the printer file's folder."""
    node = group.get("profile")
    assert isinstance(node, Scalar)
    folder = Path(group.source.name).parent
    path = folder / node.text
    try:
        if Path(node.text).is_absolute() or not path.resolve().is_relative_to(folder.resolve()):
            raise ColourError(
                f"'{node.text[:60]}' is outside the printer file's folder", fix="copy the profile beside it"
            )
        if not os.path.lexists(path):
            raise ColourError(f"there is no file '{path}'", fix="copy the profile beside the printer file")
        return open_profile(read_small(path, LARGEST, Wanted("name an ICC profile", (".icc", ".icm"))), node.text)
    except (OSError, ValueError) as error:  # a name that no file can have
        reader.problems.add(f"'{path}' cannot be read: {error}", node.place, "check its name")
    except DecalgenError as error:
        reader.problems.add(error.message, node.place, error.fix)
    raise Told


def swatch_rows(known: PrinterColour, profile: str = "") -> list[str]:
    """The group as lines of a printer file; colours as Lab, as exact as readings are."""
    rows = ["colour:"]
    if profile:
        rows.append(f"  profile: {json.dumps(profile, ensure_ascii=False)}")
    rows += [f"  opacity: {known.opacity:.3f}", f"  passes: {known.passes}"]
    rows.append(f"  darkest: {_lab(Colour(_grey(known.floor)))}")
    for key in ("smallest_line", "smallest_gap", "smallest_caps", "smallest_caps_reversed"):
        value = getattr(known, key)
        if value is not None:
            rows.append(f"  {key.replace('_', ' ')}: {value:g} mm")
    if known.patches:
        rows.append("  inks:")
        rows += [f"    {json.dumps(name, ensure_ascii=False)}: {_lab(colour)}" for name, colour in known.patches]
    return rows


def _grey(luminance: float) -> tuple[float, float, float]:
    from decalgen.colour.model import WHITE

    x, y, z = (part * luminance for part in WHITE)
    return x, y, z


def _lab(colour: Colour) -> str:
    lightness, a, b = (round(part, 3) + 0.0 for part in colour.lab)
    return f"lab({lightness:g} {a:g} {b:g})"
