"""How many elements the copies of a drawing come to, counted without drawing any: a bomb is known before it bursts."""

from __future__ import annotations

from decalgen.core.svg.tree import SvgNode, SvgTree

DEEPEST_COPIES = 100
"""Elements deeper in each other than this, copies counted in, are a hostile file."""


def count_copies(tree: SvgTree, quiet: set[str]) -> int:
    """All elements with each copy of a ``use`` counted again, those hidden by a style too; ``quiet``: tags of what
    shows only where it is copied. What copies itself, or is deeper than `DEEPEST_COPIES`, is counted once."""
    known: dict[SvgNode, int] = {}
    open_now: set[SvgNode] = set()

    def count(node: SvgNode, depth: int) -> int:
        if node in known:
            return known[node]
        if node in open_now or depth > DEEPEST_COPIES:
            return 1
        open_now.add(node)
        found = 1 + sum(count(child, depth + 1) for child in node.children if child.tag not in quiet)
        target = tree.linked(node.get("href")) if node.tag == "use" else None
        if target is not None:
            found += count(target, depth + 1)
        open_now.discard(node)
        known[node] = found
        return found

    return count(tree.root, 0)
