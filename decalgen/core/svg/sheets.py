"""Style sheets inside a drawing, by tinycss2 and cssselect2; loaded only where there is one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any
from xml.etree import ElementTree

import cssselect2
import tinycss2

from decalgen.core.svg.declared import Declared, declarations
from decalgen.core.svg.text import SvgError
from decalgen.core.svg.tree import SVG, SvgNode

MOST_MATCHES = 2_000_000
"""Elements times selectors; more would take too long."""
QUIET_RULES = ("font-face", "charset", "namespace")
"""What changes nothing but text."""


def sheet_rules(
    root: SvgNode, sheets: Sequence[SvgNode], leave_out: Callable[[str, SvgNode], None]
) -> dict[SvgNode, Declared]:
    """For each element that a rule is for, its declarations: plain ones, and important ones, each as the cascade has
    it. What is not read of a sheet, such as @media, is noted by ``leave_out``. Raises `SvgError` for sheets that would
    take too long."""
    matcher = cssselect2.Matcher()
    count = 0
    for sheet in sheets:
        for rule in tinycss2.parse_stylesheet(sheet.text, skip_comments=True, skip_whitespace=True):
            if rule.type != "qualified-rule":
                if rule.type == "at-rule" and rule.lower_at_keyword not in QUIET_RULES:
                    leave_out(f"@{rule.at_keyword[:20]} in a style sheet", sheet)
                elif rule.type == "error":
                    leave_out("a rule that cannot be read", sheet)
                continue
            found = declarations(tinycss2.parse_blocks_contents(rule.content, True, True))
            try:
                selectors = cssselect2.compile_selector_list(rule.prelude)
            except cssselect2.SelectorError:
                leave_out("a rule that cannot be read", sheet)
                continue
            for selector in selectors:
                if selector.pseudo_element is None:
                    matcher.add_selector(selector, found)
                    count += 1
    nodes = list(root.walk())
    if count * len(nodes) > MOST_MATCHES:
        raise SvgError(f"its style sheet has {count} selectors for {len(nodes)} elements", "save it with plain colours")
    return _matched(root, matcher)


def _matched(root: SvgNode, matcher: Any) -> dict[SvgNode, Declared]:
    by_element: dict[int, SvgNode] = {}
    tree = _element(root, by_element)
    found: dict[SvgNode, Declared] = {}
    for wrapper in cssselect2.ElementWrapper.from_xml_root(tree).iter_subtree():
        layers = sorted(matcher.match(wrapper), key=lambda match: match[:2])
        if layers:
            plain: dict[str, str] = {}
            important: dict[str, str] = {}
            for *_, (one, heavy) in layers:
                plain |= one
                important |= heavy
            found[by_element[id(wrapper.etree_element)]] = plain, important
    return found


def _element(node: SvgNode, by_element: dict[int, SvgNode]) -> ElementTree.Element:
    """The element as the library for selectors takes it."""
    found = ElementTree.Element(f"{{{SVG}}}{node.tag}" if node.tag else "other", dict(node.attributes))
    by_element[id(found)] = node
    found.extend([_element(child, by_element) for child in node.children])
    return found
