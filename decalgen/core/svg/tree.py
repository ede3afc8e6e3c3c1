"""The elements of a drawing, read by expat within limits: a drawing comes from a stranger.

Nothing outside the text is read. A DOCTYPE by itself is harmless and common; entities, which can blow up or reach for
files, are refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from functools import lru_cache
from xml.parsers import expat

from decalgen.core.svg.text import SvgError
from decalgen.core.values import dataclass

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
XML = "http://www.w3.org/XML/1998/namespace"
MOST_BYTES = 4_000_000
"""A larger drawing is not read."""
DEEPEST = 64
"""Elements deeper in each other than this are a slip or a hostile file."""
MOST_ELEMENTS = 50_000
NOT_SVG = "name a drawing saved as SVG"
PLAIN = "save it as plain SVG in your drawing program"


@dataclass(frozen=True, eq=False)
class SvgNode:
    """An element. ``tag``: its name in SVG, '' for what is of another language; attributes of other languages but
    ``href`` are left out. ``line``: where it begins, from 1. Two are equal only if they are the same."""

    tag: str
    attributes: dict[str, str]
    line: int
    parent: SvgNode | None = field(default=None, repr=False)
    children: list[SvgNode] = field(default_factory=list, repr=False)
    texts: list[str] = field(default_factory=list, repr=False)

    def get(self, name: str, without: str = "") -> str:
        """An attribute."""
        return self.attributes.get(name, without)

    @property
    def text(self) -> str:
        """The text right inside it."""
        return "".join(self.texts)

    @property
    def called(self) -> str:
        """How a person finds it: its id, or its tag, with its line."""
        name = self.get("id")
        return f"'{name[:40]}' in line {self.line}" if name else f"{self.tag} in line {self.line}"

    def walk(self) -> Iterator[SvgNode]:
        """It and all below it, in order."""
        todo = [self]
        while todo:
            one = todo.pop()
            yield one
            todo.extend(reversed(one.children))


@dataclass(frozen=True, eq=False)
class SvgTree:
    """A whole drawing: its outermost element, and by their names all that have one, the first of each.
    ``sheets``: whether it asks for a style sheet of another file."""

    root: SvgNode
    named: dict[str, SvgNode]
    sheets: bool = False

    def linked(self, href: str) -> SvgNode | None:
        """What '#name' refers to; None for a name that no element has, and for what is in another file."""
        return self.named.get(href[1:]) if href.startswith("#") else None


@lru_cache(maxsize=16)
def read_tree(text: str) -> SvgTree:
    """The elements of a drawing. Raises `SvgError` for a text that is not SVG, is cut short, too large or dangerous."""
    if len(text) > MOST_BYTES:
        raise SvgError(f"it is too large: {len(text) / 1e6:.1f} million characters, at most 4", PLAIN)
    if not text.strip():
        raise SvgError("it is empty", NOT_SVG)
    reader = _TreeReader()
    try:
        reader.parser.Parse(text, True)
    except expat.ExpatError as error:
        why = expat.errors.messages.get(error.code, "") or "not XML"
        if reader.root is None:
            raise SvgError(f"it is not an SVG drawing ({why})", NOT_SVG, error.lineno) from None
        fix = "it may have been cut short: copy it again" if error.code in _CUT_SHORT else PLAIN
        raise SvgError(f"it cannot be read: {why}", fix, error.lineno) from None
    if reader.root is None or reader.root.tag != "svg":
        raise SvgError("it is not an SVG drawing", NOT_SVG, 1)
    named: dict[str, SvgNode] = {}
    for node in reader.root.walk():
        if node.get("id"):
            named.setdefault(node.get("id"), node)
    return SvgTree(reader.root, named, reader.sheets)


_CUT_SHORT = {expat.errors.codes[message] for message in (expat.errors.XML_ERROR_NO_ELEMENTS,
    expat.errors.XML_ERROR_UNCLOSED_TOKEN, expat.errors.XML_ERROR_UNCLOSED_CDATA_SECTION)}  # fmt: skip


class _TreeReader:
    def __init__(self) -> None:
        self.root: SvgNode | None = None
        self.sheets = False
        self.count = 0
        self.open: list[SvgNode] = []
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.EntityDeclHandler = self._entity
        parser.SkippedEntityHandler = self._skipped
        parser.ExternalEntityRefHandler = self._outside
        parser.ProcessingInstructionHandler = self._instruction
        self.parser = parser

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        line = self.parser.CurrentLineNumber
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise SvgError(f"it has more than {MOST_ELEMENTS} elements", "leave out of it what is not printed", line)
        if len(self.open) >= DEEPEST:
            raise SvgError(f"its elements are more than {DEEPEST} deep in each other", "ungroup some of them", line)
        space, _, own = name.rpartition(" ")
        # A drawing without any name space is meant as SVG, too.
        tag = own if space in (SVG, "") else ""
        known: dict[str, str] = {}
        for key, value in attributes.items():
            where, _, short = key.rpartition(" ")
            if not where:
                known[short] = value
            elif (where == XLINK and short == "href") or (where == XML and short == "id"):
                known.setdefault(short, value)
        node = SvgNode(tag, known, line, self.open[-1] if self.open else None)
        if self.open:
            self.open[-1].children.append(node)
        elif self.root is None:
            self.root = node
        self.open.append(node)

    def _end(self, _: str) -> None:
        self.open.pop()

    def _text(self, text: str) -> None:
        if self.open and self.open[-1].tag == "style":
            self.open[-1].texts.append(text)

    def _entity(self, name: str, *_: object) -> None:
        line = self.parser.CurrentLineNumber
        raise SvgError(f"it declares an entity, '{name[:40]}', which is not read", PLAIN, line)

    def _skipped(self, name: str, _: object) -> None:
        line = self.parser.CurrentLineNumber
        raise SvgError(f"it uses an entity, '{name[:40]}', which is not read", PLAIN, line)

    def _outside(self, *_: object) -> int:
        raise SvgError("it refers to another file, which is not read", PLAIN, self.parser.CurrentLineNumber)

    def _instruction(self, target: str, _: str) -> None:
        self.sheets = self.sheets or target == "xml-stylesheet"
