"""Optional content as processing steps (ISO 32000-1, 8.11; ISO 15930-7, 6.18; ISO 19593-1), and the spots."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name

from tests.export.structure.reading import dictionaries, held, listed, named, number, numbers, text


@dataclass(frozen=True)
class LayerRule:
    """What a layer of this name is: its step (ISO 19593-1, group and type), its ink, whether it is seen and printed."""

    steps: tuple[str, str] | None
    ink: str
    printed: bool = True


# ISO 19593-1 names groups and types; which are printed is the house's rule: bleed and dimensions are for the eye.
RULES = {
    "White": LayerRule(("White", ""), "White"),
    "Artwork": LayerRule(None, "process"),
    "Legend": LayerRule(("Legend", ""), "process"),
    "Dimensions": LayerRule(("Dimensions", ""), "process", printed=False),
    "Bleed": LayerRule(("Structural", "Bleed"), "process", printed=False),
    "Marks": LayerRule(None, "All"),
    "Crop marks": LayerRule(None, "All"),
    "Cutting": LayerRule(("Structural", "Cutting"), "Cutting"),
}
GROUP = {"/Type", "/Name", "/GTS_Metadata", "/Intent"}
STEP = {"/GTS_ProcStepsGroup", "/GTS_ProcStepsType"}
PROPERTIES = {"/OCGs", "/D"}
CONFIGURATION = {"/Name", "/Creator", "/BaseState", "/ON", "/OFF", "/Order", "/Intent"}
SPOTS = {"White", "Cutting", "All"}


def layers(pdf: pikepdf.Pdf) -> Iterator[str]:
    """One named configuration that lists every group once, and groups that are what their names say."""
    properties = held(held(pdf.Root).get("/OCProperties"))
    groups = [group for group in listed(properties.get("/OCGs")) if isinstance(group, Dictionary)]
    if not groups:
        yield "layers: none"
        return
    for key in set(properties) - PROPERTIES:
        yield f"layers: another configuration ({key})"
    for group in groups:
        yield from _group(held(group))
    names = [text(held(group).get("/Name")) for group in groups]
    if len(set(names)) != len(names):
        yield "layers: two of a name"
    if "Cutting" not in names:
        yield "layers: there is none of cut lines"
    yield from _configuration(held(properties.get("/D")), groups)
    known = {group.objgen for group in groups}
    for item in dictionaries(pdf):
        kind = named(held(item).get("/Type"))
        if kind == "OCMD":
            yield "layers: one that depends on others (OCMD)"
        elif kind == "OCG" and item.objgen not in known:
            yield f"layers: '{text(held(item).get('/Name'))}' is not listed"


def _group(entries: dict[str, Any]) -> Iterator[str]:
    name = text(entries.get("/Name"))
    rule = RULES.get(name)
    if entries.get("/Type") != Name.OCG:
        yield f"layers: '{name}' is of type {named(entries.get('/Type'))}"
    if named(entries.get("/Intent", Name.View)) != "View":
        yield f"layers: '{name}' is not for viewing"
    for key in set(entries) - GROUP:
        yield f"layers: '{name}' has {key}, which changes when it is seen"
    if rule is None:
        yield f"layers: '{name}' is no layer of a press file"
        return
    if "/GTS_Metadata" not in entries:
        if rule.steps:
            yield f"processing step: '{name}' has none"
        return
    steps = held(entries["/GTS_Metadata"])
    found = (named(steps.get("/GTS_ProcStepsGroup")), named(steps.get("/GTS_ProcStepsType")))
    if found != rule.steps or set(steps) - STEP or ("/GTS_ProcStepsType" in steps) != bool(found[1]):
        yield f"processing step: '{name}' is '{found[0]}' of type '{found[1]}'"


def _configuration(default: dict[str, Any], groups: list[Any]) -> Iterator[str]:
    if not text(default.get("/Name")).strip():
        yield "layers: the configuration has no name"
    for key in set(default) - CONFIGURATION:
        yield f"layers: states change by themselves, or are locked ({key})"
    if named(default.get("/BaseState", Name.ON)) != "ON":
        yield f"layers: the base state is {named(default.get('/BaseState'))}"
    if named(default.get("/Intent", Name.View)) != "View":
        yield "layers: the configuration is not for viewing"
    numbers_of = {group.objgen: text(held(group).get("/Name")) for group in groups}
    order = listed(default.get("/Order"))
    listing = [one.objgen for one in order if isinstance(one, Dictionary)]
    if len(listing) != len(order) or sorted(listing) != sorted(numbers_of):
        yield "layers: the order does not list all, once each"
    off = [one.objgen for key in ("/OFF",) for one in listed(default.get(key)) if isinstance(one, Dictionary)]
    on = [one.objgen for one in listed(default.get("/ON")) if isinstance(one, Dictionary)]
    if len(set(off)) != len(off) or set(off) - set(numbers_of) or set(on) & set(off):
        yield "layers: what is off is listed twice, is on too, or is no layer"
    for number_of, name in numbers_of.items():
        rule = RULES.get(name)
        if rule and rule.printed == (number_of in off):
            yield f"layers: '{name}' is {'off' if rule.printed else 'on'}"


def spots(pdf: pikepdf.Pdf) -> Iterator[str]:
    """Colour spaces: separations by their allowed names, each shown by one tint in CMYK."""
    shown: dict[str, set[tuple[float, ...]]] = {}
    for item in dictionaries(pdf):
        for key, space in held(held(item).get("/ColorSpace")).items():
            if key in {"/DefaultRGB", "/DefaultCMYK", "/DefaultGray"}:
                yield f"colour space: {key} changes what device colours mean"
            members = listed(space)
            if not members or named(members[0]) != "Separation":
                yield f"colour space: {named(members[0]) if members else named(space)}"
                continue
            yield from _separation(members, shown)
    for spot, ways in shown.items():
        if len(ways) > 1:
            yield f"spot alternates: '{spot}' is shown in {len(ways)} ways"


def _separation(members: list[Any], shown: dict[str, set[tuple[float, ...]]]) -> Iterator[str]:
    spot = named(members[1]) if len(members) > 1 else ""
    if spot not in SPOTS:
        yield f"spot name: '{spot}'"
    if len(members) != 4:
        yield f"colour space: the separation '{spot}' has {len(members)} parts"
        return
    if isinstance(members[2], Array) or named(members[2]) != "DeviceCMYK":
        yield f"spot alternates: '{spot}' is shown in {named(members[2]) or 'a space of its own'}"
    tint = held(members[3])
    full = numbers(tint.get("/C1"), 4)
    straight = tint.get("/FunctionType") == 2 and number(tint.get("/N")) == 1
    if not straight or numbers(tint.get("/Domain"), 2) != [0, 1] or numbers(tint.get("/C0"), 4) != [0, 0, 0, 0]:
        yield f"spot alternates: the tints of '{spot}' do not run straight from nothing"
    if set(tint) - {"/FunctionType", "/Domain", "/C0", "/C1", "/N"}:
        yield f"spot alternates: the tints of '{spot}' are cut off"
    if full is None or not all(0 <= part <= 1 for part in full) or not any(full):
        yield f"spot alternates: '{spot}' is not seen in full"
    elif spot == "All" and full != [1, 1, 1, 1]:
        yield "spot alternates: 'All' is not all inks"
    if full is not None:
        shown.setdefault(spot, set()).add(tuple(full))
