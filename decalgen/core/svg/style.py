"""The style of an element: presentation attributes, then style sheets, then its own ``style``; and what it inherits
(SVG 1.1, 6)."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from decalgen.core.svg.declared import Declared, own_style
from decalgen.core.svg.tree import SvgNode

INHERITED: Mapping[str, str] = {
    "fill": "black",
    "fill-rule": "nonzero",
    "fill-opacity": "1",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "stroke-opacity": "1",
    "color": "black",
    "visibility": "visible",
    "clip-rule": "nonzero",
    "paint-order": "normal",
    "marker-start": "none",
    "marker-mid": "none",
    "marker-end": "none",
}
"""What a child takes over from what it stands in, and what holds without it."""
OWN: Mapping[str, str] = {
    "display": "inline",
    "opacity": "1",
    "clip-path": "none",
    "mask": "none",
    "filter": "none",
    "overflow": "",
    "vector-effect": "none",
    "mix-blend-mode": "normal",
    "stop-color": "black",
    "stop-opacity": "1",
}
"""What holds for an element alone."""
ELSEWHERE = ("transform", "d", "x", "y", "width", "height", "cx", "cy", "r", "rx", "ry")
"""What SVG 2 lets a style sheet say and this reader takes from attributes alone."""
SHORT = {"marker": ("marker-start", "marker-mid", "marker-end")}
CSS = ("", "text/css")
Style = Mapping[str, str]


class Cascade:
    """The declarations of a drawing's own style sheets, by element."""

    def __init__(self, root: SvgNode, leave_out: Callable[[str, SvgNode], None]) -> None:
        self.rules: Mapping[SvgNode, Declared] = {}
        sheets = [one for one in root.walk() if one.tag == "style" and one.get("type") in CSS and one.text.strip()]
        if sheets:
            from decalgen.core.svg.sheets import sheet_rules

            self.rules = sheet_rules(root, sheets, leave_out)

    def declared(self, node: SvgNode) -> tuple[dict[str, str], set[str]]:
        """What is declared for an element, and which of it this reader does not take from a style."""
        found = {name: node.attributes[name] for name in (*INHERITED, *OWN) if name in node.attributes}
        plain, important = self.rules.get(node, ({}, {}))
        own = own_style(node.get("style")) if node.get("style") else ({}, {})
        strange: set[str] = set()
        for layer in (plain, own[0], important, own[1]):
            for name, value in layer.items():
                if name in INHERITED or name in OWN:
                    found[name] = value
                elif name in SHORT:
                    found |= dict.fromkeys(SHORT[name], value)
                elif name in ELSEWHERE and value not in ("none", "auto"):
                    strange.add(name)
        return found, strange


def computed(declared: Mapping[str, str], parent: Style | None) -> dict[str, str]:
    """All of an element's style. ``parent``: that of what it stands in."""
    above = parent or INHERITED
    found = {name: above[name] for name in INHERITED} | dict(OWN)
    for name, value in declared.items():
        word = value.strip()
        low = word.lower()
        if low == "inherit":
            found[name] = (parent or {**INHERITED, **OWN})[name]
        elif low in ("initial", "unset", "revert") or not word:
            if low == "initial" or (low and name in OWN):
                found[name] = INHERITED.get(name, OWN.get(name, ""))
        else:
            found[name] = word
    return found
