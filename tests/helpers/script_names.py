"""The names in a script: what it brings in, gives out and declares, and those that nothing stands behind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tree_sitter import Node, Parser

FUNCTIONS = {"function_declaration", "function_expression", "arrow_function", "method_definition"}
BINDS = {"identifier", "shorthand_property_identifier_pattern"}
READS = {"identifier", "shorthand_property_identifier"}


@cache
def parser() -> Parser:
    tree_sitter = pytest.importorskip("tree_sitter", reason="tree-sitter comes with the extra `test`")
    script = pytest.importorskip("tree_sitter_javascript", reason="tree-sitter-javascript comes with the extra `test`")
    made: Parser = tree_sitter.Parser(tree_sitter.Language(script.language()))
    return made


def text(node: Node | None) -> str:
    assert node is not None and node.text is not None
    return node.text.decode()


def walk(node: Node) -> Iterator[Node]:
    yield node
    for one in node.named_children:
        yield from walk(one)


@dataclass
class Scope:
    """Names that hold from one brace to the next, and within what is inside it."""

    outer: Scope | None = None
    names: set[str] = field(default_factory=set)

    def knows(self, name: str) -> bool:
        return name in self.names or (self.outer is not None and self.outer.knows(name))


@dataclass
class ScriptNames:
    """``asks``: what is asked of other scripts, (script, name, line); ``gives``: what others may ask of it; ``free``:
    the names it reads or sets that it does not declare, with the first line of each; ``unread``: what it brings in or
    declares at its top and never reads."""

    asks: list[tuple[str, str, int]] = field(default_factory=list)
    gives: set[str] = field(default_factory=set)
    free: dict[str, int] = field(default_factory=dict)
    unread: set[str] = field(default_factory=set)


def names_of(script: str) -> ScriptNames:
    """Raises AssertionError for what is no script."""
    root = parser().parse(script.encode()).root_node
    wrong = next((one for one in walk(root) if one.is_error or one.is_missing), None)
    assert wrong is None and not root.has_error, f"line {wrong.start_point[0] + 1 if wrong else '?'} cannot be read"
    return _Reading(root).found


class _Reading:
    def __init__(self, root: Node) -> None:
        self.found = ScriptNames()
        self.seen: set[tuple[int, str]] = set()
        top = Scope()
        self.top = top
        self._modules(root)
        self._block(root, top)
        self.found.unread = {one for one in top.names if (id(top), one) not in self.seen} - self.found.gives

    def _modules(self, root: Node) -> None:
        """What goes from script to script."""
        readers = dict(_readers(root))
        for one in walk(root):
            line = one.start_point[0] + 1
            if one.type == "import_statement":
                for name in (each for each in walk(one) if each.type == "import_specifier"):
                    self.found.asks.append((_path(one), text(name.child_by_field_name("name")), line))
            elif one.type == "export_statement":
                self.found.gives |= _given(one)
            elif one.type == "call_expression" and (path := _later(one, readers)):
                self._asked_later(one, path)

    def _asked_later(self, call: Node, path: str) -> None:
        """What is asked of a script that is read when needed: by a pattern, or through a name it is kept under."""
        self.found.asks.append((path, "", call.start_point[0] + 1))
        around = call.parent
        while around is not None and around.type not in (
            "variable_declarator",
            "expression_statement",
            "if_statement",
            "pair",
        ):
            around = around.parent
        if around is None:
            return
        for name, within in _kept_under(call, around):
            for member in _members(within, name):
                self.found.asks.append((path, text(member), member.start_point[0] + 1))
        pattern = around.child_by_field_name("name") if around.type == "variable_declarator" else None
        for one in pattern.named_children if pattern is not None and pattern.type == "object_pattern" else []:
            key = one.child_by_field_name("key") or one
            self.found.asks.append((path, text(key), one.start_point[0] + 1))

    def _block(self, node: Node, scope: Scope) -> None:
        """The names of a block hold in all of it, above their line too."""
        for one in node.named_children:
            _declare(one.child_by_field_name("declaration") or one if one.type == "export_statement" else one, scope)
        for one in node.named_children:
            self._visit(one, scope)

    def _visit(self, node: Node, scope: Scope) -> None:
        if node.type in ("import_statement", "comment", "export_clause"):
            return
        if node.type in READS or node.type == "shorthand_property_identifier_pattern":
            self._read(node, scope)
        elif node.type in FUNCTIONS:
            self._function(node, scope)
        elif node.type in ("statement_block", "switch_body"):
            self._block(node, Scope(scope))
        elif node.type in ("for_statement", "for_in_statement", "catch_clause"):
            self._with_head(node, Scope(scope))
        elif node.type == "variable_declarator":
            self._defaults(node.child_by_field_name("name"), scope)
            self._visit_some(scope, node.child_by_field_name("value"))
        else:
            assert node.type not in ("variable_declaration", "class_declaration", "class", "with_statement"), (
                f"line {node.start_point[0] + 1}: {node.type} is not looked through yet"
            )
            self._visit_some(scope, *node.named_children)

    def _visit_some(self, scope: Scope, *nodes: Node | None) -> None:
        for one in nodes:
            if one is not None:
                self._visit(one, scope)

    def _function(self, node: Node, scope: Scope) -> None:
        inner = Scope(scope)
        if node.type == "function_expression" and (name := node.child_by_field_name("name")):
            inner.names.add(text(name))
        for head in (node.child_by_field_name("parameter"), node.child_by_field_name("parameters")):
            inner.names |= bound(head)
            self._defaults(head, inner)
        body = node.child_by_field_name("body")
        assert body is not None
        self._visit(body, inner)

    def _with_head(self, node: Node, inner: Scope) -> None:
        """A loop or a `catch`, whose head declares names."""
        if node.type == "for_statement":
            _declare(node.child_by_field_name("initializer"), inner)
            self._visit_some(inner, *node.named_children)
            return
        head = node.child_by_field_name("parameter" if node.type == "catch_clause" else "left")
        if node.type == "catch_clause" or node.child_by_field_name("kind"):
            inner.names |= bound(head)
            self._defaults(head, inner)
        else:
            self._visit_some(inner, head)
        self._visit_some(inner, node.child_by_field_name("right"), node.child_by_field_name("body"))

    def _defaults(self, pattern: Node | None, scope: Scope) -> None:
        """What is read inside a pattern: defaults and reckoned keys."""
        for one in walk(pattern) if pattern is not None else ():
            if one.type in ("assignment_pattern", "object_assignment_pattern"):
                self._visit_some(scope, one.child_by_field_name("right"))
            elif one.type == "computed_property_name":
                self._visit_some(scope, *one.named_children)

    def _read(self, node: Node, scope: Scope) -> None:
        name = text(node)
        at: Scope | None = scope
        while at is not None and name not in at.names:
            at = at.outer
        if at is None:
            self.found.free.setdefault(name, node.start_point[0] + 1)
        else:
            self.seen.add((id(at), name))


def _declare(node: Node | None, scope: Scope) -> None:
    if node is None:
        return
    if node.type == "lexical_declaration":
        for one in node.named_children:
            scope.names |= bound(one.child_by_field_name("name"))
    elif node.type == "function_declaration":
        scope.names.add(text(node.child_by_field_name("name")))
    elif node.type == "import_statement":
        for one in (each for each in walk(node) if each.type == "import_specifier"):
            scope.names.add(text(one.child_by_field_name("alias") or one.child_by_field_name("name")))


def bound(pattern: Node | None) -> set[str]:
    """The names that a pattern, or the head of a function, declares."""
    if pattern is None:
        return set()
    if pattern.type in BINDS:
        return {text(pattern)}
    if pattern.type in ("assignment_pattern", "object_assignment_pattern"):
        return bound(pattern.child_by_field_name("left"))
    if pattern.type == "pair_pattern":
        return bound(pattern.child_by_field_name("value"))
    return set().union(*map(bound, pattern.named_children))


def _given(node: Node) -> set[str]:
    declared = Scope()
    _declare(node.child_by_field_name("declaration"), declared)
    names = [one for one in walk(node) if one.type == "export_specifier"]
    return declared.names | {text(one.child_by_field_name("alias") or one.child_by_field_name("name")) for one in names}


def _path(node: Node) -> str:
    """The script that a node names; what follows a question mark is not of its name."""
    parts = [text(one) for one in walk(node) if one.type == "string_fragment"]
    assert parts and parts[0].startswith("./"), text(node)
    return parts[0].removeprefix("./").partition("?")[0]


def _readers(root: Node) -> Iterator[tuple[str, str]]:
    """The constants that read a script once they are called, with its name: `const X = (again) => import(...)`."""
    for one in walk(root):
        value = one.child_by_field_name("value") if one.type == "variable_declarator" else None
        body = value.child_by_field_name("body") if value is not None and value.type == "arrow_function" else None
        if body is not None and body.type == "call_expression" and (path := _later(body, {})):
            yield text(one.child_by_field_name("name")), path


def _later(call: Node, readers: Mapping[str, str]) -> str:
    """The script that a call reads: `import(...)`, or `script(X)` of such a constant; '' for other calls."""
    given = call.child_by_field_name("arguments")
    assert given is not None
    if text(call.child_by_field_name("function")) == "import":
        return _path(given)
    return next((readers[text(one)] for one in given.named_children if text(one) in readers), "")


def _kept_under(call: Node, around: Node) -> list[tuple[str, Node]]:
    """The names that a script is kept under, and where they hold: in `then((found) => { kept = found; })` both."""
    told = [one for one in walk(around) if one.type == "arrow_function" and _then_of(one) == call]
    found = [(name, one) for one in told for name in bound(one.child_by_field_name("parameters"))]
    root = around
    while root.parent is not None:
        root = root.parent
    for one in walk(around):
        right = one.child_by_field_name("right") if one.type == "assignment_expression" else None
        if right is not None and (
            text(right) in dict(found) or (right.type == "await_expression" and call in walk(right))
        ):
            found.append((text(one.child_by_field_name("left")), root))
    return found


def _members(within: Node, name: str) -> Iterator[Node]:
    """What is asked of a name: the `x` of `name.x`."""
    for one in walk(within):
        member = one.child_by_field_name("property") if one.type == "member_expression" else None
        if member is not None and text(one.child_by_field_name("object")) == name:
            yield member


def _then_of(function: Node) -> Node | None:
    """What a function is told once it is there: the `x` of `x.then(function)`."""
    then = function.parent.parent if function.parent is not None else None
    member = then.child_by_field_name("function") if then is not None and then.type == "call_expression" else None
    if member is None or member.type != "member_expression" or text(member.child_by_field_name("property")) != "then":
        return None
    first = next((one for one in function.parent.named_children), None) if function.parent is not None else None
    return member.child_by_field_name("object") if first == function else None


def strays(scripts: Mapping[str, str], known: set[str]) -> list[str]:
    """What is asked for and not there, in words: names of other scripts, and names that are neither declared nor
    ``known``; and what is brought in or declared and never read."""
    read = {name: names_of(script) for name, script in scripts.items()}
    found = []
    for name, one in read.items():
        for script, asked, line in one.asks:
            if script not in read:
                found.append(f"{name}:{line}: there is no {script}")
            elif asked and asked not in read[script].gives:
                found.append(f"{name}:{line}: {script} gives no {asked}")
        found += [f"{name}:{line}: nothing is called {free}" for free, line in one.free.items() if free not in known]
        found += [f"{name}: {unread} is never read" for unread in sorted(one.unread)]
    return found
