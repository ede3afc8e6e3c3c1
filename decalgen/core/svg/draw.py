"""A drawing to flat areas with their colours, in painting order, and by name all that is not flat ink. Pure; mm, y up.

Later paint lies over earlier; nothing is knocked out here. What cannot be printed as flat ink is left out and named
with the element it belongs to: nothing goes without a word.
"""

from __future__ import annotations

from decalgen.core.geometry import (
    EMPTY,
    IDENTITY,
    TOLERANCE,
    Matrix,
    multiply,
    rectangle,
    region,
    transform,
    translation,
)
from decalgen.core.geometry import Region as Area
from decalgen.core.svg.clips import Clips
from decalgen.core.svg.copies import DEEPEST_COPIES, count_copies
from decalgen.core.svg.crossings import CrossingCount
from decalgen.core.svg.fills import filled
from decalgen.core.svg.flatten import PointCount, flatten
from decalgen.core.svg.numbers import fit, number, stretch, transform_of
from decalgen.core.svg.page import page_of, view_box
from decalgen.core.svg.paint import Paints, link, opacity
from decalgen.core.svg.paths import Subpath
from decalgen.core.svg.shapes import SHAPES, Viewport, outline_of
from decalgen.core.svg.strokes import StrokePen, stroked
from decalgen.core.svg.style import Cascade, Style, computed
from decalgen.core.svg.text import SvgError
from decalgen.core.svg.tree import SvgNode, SvgTree
from decalgen.core.values import dataclass

MOST_COPIES = 20_000
"""Elements that are looked at while drawing, each copy of a `use` again."""
MOST_AREAS = 20_000
FAR_TOO_MANY = 10 * MOST_COPIES
"""So many, hidden ones counted in, are refused before any of them is drawn."""
FINE = 0.2
"""The middle of a stroke is flattened finer than its edge may be, by this factor."""
PICTURED = {"text": "text", "image": "a picture", "foreignObject": "what is not SVG", "video": "a film",
            "audio": "a sound", "canvas": "a picture", "iframe": "what is not SVG"}  # fmt: skip
QUIET = {"", "defs", "symbol", "clipPath", "mask", "marker", "pattern", "linearGradient", "radialGradient", "filter",
         "style", "title", "desc", "metadata", "view", "cursor", "font", "font-face", "color-profile", "stop",
         "solidColor", "hatch", "mesh", "discard"}  # fmt: skip
"""Elements that show nothing by themselves."""
LIVELY = ("DOM", "dynamic", "Event", "Animation", "Script", "Extensibility")
"""Parts of the names of features that paper does not have (SVG 1.1, appendix O)."""
MOVING = {"animate", "animateTransform", "animateMotion", "animateColor", "set"}


@dataclass(frozen=True)
class SvgArea:
    """An area of one colour, '#rrggbb'."""

    colour: str
    area: Area


@dataclass(frozen=True)
class NotFlat:
    """In words what is not drawn, or not as it is meant, and where: elements by id or line."""

    what: str
    where: tuple[str, ...]


@dataclass(frozen=True)
class SvgDrawn:
    """All areas in painting order, and all that was left out."""

    areas: tuple[SvgArea, ...]
    left_out: tuple[NotFlat, ...]


def draw_tree(tree: SvgTree, scale: float) -> SvgDrawn:
    """The areas of a drawing on its page, ``scale`` mm to the pixel of CSS; without a page, wherever they lie.
    Raises `SvgError` for a drawing without end."""
    page = page_of(tree.root)
    if count_copies(tree, QUIET) > FAR_TOO_MANY:
        raise _too_many(next((node for node in tree.root.walk() if node.tag == "use"), tree.root))
    work = _SvgWork(tree, page.matrix(scale))
    if tree.sheets:
        work.leave_out("a style sheet of another file", tree.root)
    style = work.style(tree.root, None)
    box = view_box(tree.root)
    view = Viewport(box[2], box[3]) if box else Viewport(page.width or 100.0, page.height or 100.0)
    clip = None
    if page.width:
        w, h = page.width * scale, page.height * scale
        clip = region(rectangle(0.0, 0.0, w, h))
    if work.shows(tree.root, style):
        own = transform_of(tree.root.get("transform")) or IDENTITY
        matrix = multiply(work.outer, own)
        work.children(tree.root, matrix, style, view, work.clips.of(style, tree.root, matrix, view, clip))
    left = tuple(NotFlat(what, tuple(where)) for what, where in work.left.items())
    return SvgDrawn(tuple(work.areas), left)


class _SvgWork:
    """One drawing while it is drawn."""

    def __init__(self, tree: SvgTree, outer: Matrix) -> None:
        self.tree = tree
        self.outer = outer
        self.fine = TOLERANCE
        self.left: dict[str, list[str]] = {}
        self.cascade = Cascade(tree.root, self.leave_out)
        self.paints = Paints(tree, self.cascade)
        self.clips = Clips(self)
        self.count = PointCount()
        self.crossings = CrossingCount()
        self.areas: list[SvgArea] = []
        self.visits = 0
        self.depth = 0
        self.copying: list[SvgNode] = []

    # ---------------------------------------------------------------------------------------------- keeping count
    def visit(self, node: SvgNode) -> None:
        """Counts an element. Raises `SvgError` for too many."""
        self.visits += 1
        if self.visits > MOST_COPIES:
            raise _too_many(node)

    def leave_out(self, what: str, node: SvgNode) -> None:
        """Notes what is left out, each element once."""
        where = self.left.setdefault(what, [])
        if node.called not in where:
            where.append(node.called)

    def style(self, node: SvgNode, parent: Style | None) -> Style:
        """The style of an element."""
        declared, strange = self.cascade.declared(node)
        for name in sorted(strange):
            self.leave_out(f"'{name}' in a style", node)
        return computed(declared, parent)

    def shows(self, node: SvgNode, style: Style) -> bool:
        """Whether an element is drawn at all; what keeps it from being flat ink is noted."""
        if style["display"] == "none" or opacity(style["opacity"]) == 0 or not _wanted(node):
            return False
        for child in node.children:
            if child.tag in MOVING:
                self.leave_out("an animation", child)
        why = (
            "partial opacity"
            if opacity(style["opacity"]) < 1
            else "a mask"
            if style["mask"] != "none"
            else "a filter"
            if style["filter"] != "none"
            else "a blend mode"
            if style["mix-blend-mode"] != "normal"
            else PICTURED.get(node.tag, "")
        )
        if why:
            self.leave_out(why, node)
        return not why

    # ------------------------------------------------------------------------------------------------- elements
    def children(self, node: SvgNode, matrix: Matrix, style: Style, view: Viewport, clip: Area | None) -> None:
        """All that is in an element."""
        self.depth += 1
        if self.depth > DEEPEST_COPIES:
            raise SvgError(f"its elements are more than {DEEPEST_COPIES} deep in each other", "ungroup some", node.line)
        for child in node.children:
            try:
                self.element(child, matrix, style, view, clip)
            except SvgError as error:
                raise SvgError(error.message, error.fix, error.line or child.line) from None
        self.depth -= 1

    def element(self, node: SvgNode, matrix: Matrix, above: Style, view: Viewport, clip: Area | None) -> None:
        """One element with all in it. ``matrix``: from the units of what it is in to mm."""
        if node.tag in QUIET or node.tag in MOVING:
            return
        self.visit(node)
        style = self.style(node, above)
        if not self.shows(node, style):
            return
        own = transform_of(node.get("transform"))
        if own is None:
            self.leave_out("a transform that cannot be read", node)
            return
        matrix = multiply(matrix, own)
        if abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) < 1e-18:
            return  # It is flattened to a line.
        clip = self.clips.of(style, node, matrix, view, clip)
        if node.tag in ("g", "a"):
            self.children(node, matrix, style, view, clip)
        elif node.tag == "switch":
            chosen = next((one for one in node.children if _wanted(one) and one.tag not in ("", *PICTURED)), None)
            if chosen is not None:
                self.element(chosen, matrix, style, view, clip)
        elif node.tag == "svg":
            self.nested(node, node, matrix, style, view, clip)
        elif node.tag == "use":
            self.copy(node, matrix, style, view, clip)
        elif node.tag in SHAPES:
            self.shape(node, matrix, style, view, clip)
        else:
            self.leave_out(f"a '{node.tag[:40]}'", node)

    def nested(
        self, node: SvgNode, sized: SvgNode, matrix: Matrix, style: Style, view: Viewport, clip: Area | None
    ) -> None:
        """An inner view, an ``svg`` or a ``symbol``; ``sized``: the element that says how large it is."""
        width, height = (
            view.size(sized.get(name) or node.get(name), whole, sized, self.leave_out, whole)
            for name, whole in (("width", view.width), ("height", view.height))
        )
        if width <= 0 or height <= 0:
            return
        if node.tag == "svg":
            x, y = view.across(node, self.leave_out, "x"), view.up(node, self.leave_out, "y")
            matrix = multiply(matrix, translation(x, y))
        if style["overflow"] not in ("visible", "auto"):
            window = transform(rectangle(0.0, 0.0, width, height), matrix)
            clip = region(window if clip is None else window.intersection(clip))
        box = view_box(node)
        inner = fit(box, width, height, node.get("preserveAspectRatio")) if box else IDENTITY
        self.children(
            node, multiply(matrix, inner or IDENTITY), style, Viewport(*box[2:]) if box else Viewport(width, height),
            clip,
        )  # fmt: skip

    def copy(self, node: SvgNode, matrix: Matrix, style: Style, view: Viewport, clip: Area | None) -> None:
        """A ``use``: what it refers to once more (SVG 1.1, 5.6)."""
        href = node.get("href")
        target = self.tree.linked(href)
        if target is None:
            what = "a copy of what is not in the drawing" if href.startswith("#") else "what is in another file"
            self.leave_out(what, node)
            return
        if target in self.copying or target in _above(node):
            self.leave_out("a copy of itself", node)
            return
        x, y = view.across(node, self.leave_out, "x"), view.up(node, self.leave_out, "y")
        matrix = multiply(matrix, translation(x, y))
        self.copying.append(target)
        if target.tag in ("symbol", "svg"):
            inner = self.style(target, style)
            if self.shows(target, inner):
                self.visit(target)
                own = transform_of(target.get("transform")) or IDENTITY
                self.nested(target, node, multiply(matrix, own), inner, view, clip)
        else:
            self.depth += 1
            self.element(target, matrix, style, view, clip)
            self.depth -= 1
        self.copying.pop()

    # --------------------------------------------------------------------------------------------------- shapes
    def shape(self, node: SvgNode, matrix: Matrix, style: Style, view: Viewport, clip: Area | None) -> None:
        """A shape or path: what its fill and its stroke cover."""
        if style["visibility"] != "visible":
            return
        paints = [(what, self.paints.of(style, what)) for what in ("fill", "stroke")]
        if _stroke_first(style["paint-order"]):
            paints.reverse()
        self._markers(node, style)
        if not any(paint.colour or paint.why for _, paint in paints):
            return
        outline = outline_of(node, view, self.leave_out)
        for what, paint in paints:
            if paint.why:
                self.leave_out(paint.why, node)
            if not paint.colour:
                continue
            if what == "fill":
                lines = [flatten(one, self.count, self.fine, matrix).points for one in outline]
                self.crossings.take(lines, node.line)
                self._paint(paint.colour, filled(lines, style["fill-rule"] == "evenodd"), clip)
            else:
                self._paint(paint.colour, self._stroke(outline, node, style, view, matrix), clip)

    def _paint(self, colour: str, area: Area, clip: Area | None) -> None:
        if clip is not None and not area.is_empty:
            area = region(area.intersection(clip))
        if not area.is_empty:
            self.areas.append(SvgArea(colour, area))
        if len(self.areas) > MOST_AREAS:
            raise SvgError(f"it has more than {MOST_AREAS // 1000} 000 areas", "draw less of it, or join some")

    def _stroke(
        self, outline: tuple[Subpath, ...], node: SvgNode, style: Style, view: Viewport, matrix: Matrix
    ) -> Area:
        """The area of a stroke: in the element's own units, then under its transform."""
        width = view.size(style["stroke-width"], view.diagonal, node, self.leave_out, 1.0)
        if width <= 0:
            return EMPTY
        before, after = IDENTITY, matrix
        if style["vector-effect"] == "non-scaling-stroke":
            before, after = multiply(_inverse(self.outer), matrix), self.outer
        fine = self.fine / stretch(after)
        dashes, offset = self._dashes(node, style, view, outline)
        limit = number(style["stroke-miterlimit"])
        pen = StrokePen(
            width,
            style["stroke-linecap"],
            "miter" if style["stroke-linejoin"] in ("miter-clip", "arcs") else style["stroke-linejoin"],
            limit if limit is not None and limit >= 1 else 4.0,
            dashes,
            offset,
            fine,
        )
        if style["stroke-linejoin"] in ("miter-clip", "arcs"):
            self.leave_out(f"the join '{style['stroke-linejoin']}', drawn as a mitre", node)
        lines = [flatten(one, self.count, fine * FINE, before, width / 2) for one in outline]
        return region(transform(stroked(lines, pen), after))

    def _dashes(
        self, node: SvgNode, style: Style, view: Viewport, outline: tuple[Subpath, ...]
    ) -> tuple[tuple[float, ...], float]:
        words = style["stroke-dasharray"].replace(",", " ").split()
        if words in ([], ["none"]):
            return (), 0.0
        sizes = [view.size(word, view.diagonal, node, self.leave_out, -1.0) for word in words]
        if any(one < 0 for one in sizes) or sum(sizes) <= 0:
            return (), 0.0
        offset = view.size(style["stroke-dashoffset"], view.diagonal, node, self.leave_out)
        told = number(node.get("pathLength")) or 0.0
        if told > 0:
            # Dashes are in parts of a length that the element states.
            lines = [flatten(one, self.count, self.fine / stretch(self.outer)) for one in outline]
            share = sum(float(line.chords.sum()) for line in lines) / told
            sizes, offset = [one * share for one in sizes], offset * share
        return tuple(sizes), offset

    def _markers(self, node: SvgNode, style: Style) -> None:
        for name in ("marker-start", "marker-mid", "marker-end"):
            found = link(style[name])
            if found and self.tree.linked(found[0]) and node.tag not in ("rect", "circle", "ellipse"):
                self.leave_out("a marker", node)


def _too_many(node: SvgNode) -> SvgError:
    fix = "draw less of it, or remove `use` elements that copy each other"
    return SvgError(f"it draws more than {MOST_COPIES // 1000} 000 elements, copies among them", fix, node.line)


def _above(node: SvgNode) -> list[SvgNode]:
    """All that an element is in."""
    found = []
    one = node.parent
    while one is not None:
        found.append(one)
        one = one.parent
    return found


def _inverse(matrix: Matrix) -> Matrix:
    a, b, c, d, e, f = matrix
    det = a * d - b * c
    return (d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det)


def _stroke_first(order: str) -> bool:
    """Whether a stroke is painted before the fill (SVG 2, 13.8)."""
    words = [word for word in order.split() if word in ("fill", "stroke")]
    return words[:1] == ["stroke"]


def _wanted(node: SvgNode) -> bool:
    """Whether the conditions of an element hold here (SVG 1.1, 5.8): no extension is known, nothing moves or answers,
    and English is spoken."""
    if "requiredExtensions" in node.attributes or any(one in node.get("requiredFeatures") for one in LIVELY):
        return False
    languages = node.attributes.get("systemLanguage")
    return languages is None or any(one.strip().partition("-")[0] == "en" for one in languages.split(","))
