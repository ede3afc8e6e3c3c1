"""Drawings from strangers: each is refused in one sentence with its line, within bounds."""

from __future__ import annotations

import math

import numpy as np
import pytest

from decalgen.core.svg import dashes, draw, flatten
from decalgen.core.svg.copies import count_copies
from decalgen.core.svg.crossings import MOST_CROSSINGS, CrossingCount
from decalgen.core.svg.draw import draw_tree
from decalgen.core.svg.text import SvgError
from decalgen.core.svg.tree import read_tree
from tests.core.svg.drawn import NAMESPACES, whole


def bomb(levels: int, each: int = 10) -> str:
    """Groups that copy the one before ten times, ``levels`` deep."""
    rows = ['<defs><g id="a0"><rect width="1" height="1"/></g>']
    for n in range(1, levels):
        rows.append(f'<g id="a{n}">' + f'<use href="#a{n - 1}"/>' * each + "</g>")
    return "".join(rows) + f'</defs><use href="#a{levels - 1}"/>'


ENTITY = f'<!DOCTYPE svg [<!ENTITY a "aaaa">]>\n<svg {NAMESPACES}><title>&a;</title></svg>'
LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))


@pytest.mark.parametrize(
    ("text", "message", "line"),
    [
        ("", "it is empty", 0),
        (" \n", "it is empty", 0),
        ("crest", "it is not an SVG drawing (syntax error)", 1),
        ("job: gannet\nbody: navy\n", "it is not an SVG drawing (syntax error)", 1),
        ("<html><body/></html>", "it is not an SVG drawing", 1),
        (f"<svg {NAMESPACES}>\n<rect", "it cannot be read: unclosed token", 2),
        (f"<svg {NAMESPACES}>\n<g>\n", "it cannot be read: no element found", 3),
        (f"<svg {NAMESPACES}>\n<g></svg>", "it cannot be read: mismatched tag", 2),
        (ENTITY, "it declares an entity, 'a', which is not read", 1),
        (f'<!DOCTYPE svg [<!ENTITY l0 "lol">{LAUGHS}]><svg>&l9;</svg>', "it declares an entity, 'l0'", 1),
        ('<!DOCTYPE svg [<!ENTITY f SYSTEM "file:///etc/passwd">]><svg>&f;</svg>', "it declares an entity, 'f'", 1),
        ('<!DOCTYPE svg [<!ENTITY % p SYSTEM "http://example.org/x.dtd">%p;]><svg/>', "it declares an entity, 'p'", 1),
        ('<!DOCTYPE svg SYSTEM "x.dtd">\n<svg>&amp;&f;</svg>', "it uses an entity, 'f', which is not read", 2),
        (f"<svg {NAMESPACES}>{'<g>' * 70}{'</g>' * 70}</svg>", "its elements are more than 64 deep", 1),
        (whole("<g/>" * 50_001), "it has more than 50000 elements", 1),
        (whole("<desc>" + "x" * 4_000_000 + "</desc>"), "it is too large: 4.0 million characters", 0),
        (whole(bomb(9)), "it draws more than 20 000 elements, copies among them", 1),
        (whole(f'<path d="M0 0{" 1 1" * 1_000_000}"/>'), "it is too large: 4.0 million characters", 0),
        (whole(f'<path d="M0 0{"1 1 " * 990_000}"/>'), "a path has more than 500 000 numbers", 1),
        (whole('<circle r="1e6"/>' * 60), "it has more than 500 000 points", 1),
        (whole(f'<path d="M0 0{"q1 3 2 0" * 60_000}" transform="scale(30)"/>'), "it has more than 500 000 points", 1),
        (whole('<path d="M0 0H39" stroke="red" stroke-dasharray=".001"/>'), "a line has more than 2000 dashes", 1),
        (f'<svg {NAMESPACES} width="10mm" height="0"/>', "its page has no area", 1),
        (f'<svg {NAMESPACES} viewBox="0 0 10 -3"/>', "the viewBox of svg in line 1 has no area", 1),
    ],
)  # fmt: skip
def test_refused(text: str, message: str, line: int) -> None:
    with pytest.raises(SvgError) as refused:
        draw_tree(read_tree(text), 1.0)
    assert refused.value.message.startswith(message)
    assert refused.value.fix and "\n" not in refused.value.message
    assert refused.value.line == line


def test_a_bomb_is_small_and_stops_at_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    text = whole(bomb(9))
    assert len(text) < 2500
    monkeypatch.setattr(draw, "MOST_COPIES", 1000)
    with pytest.raises(SvgError, match="draws more than"):
        draw_tree(read_tree(text), 1.0)


def test_a_bomb_is_refused_before_any_of_it_is_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    def goes_off(*_: object) -> None:
        raise AssertionError("it was drawn")

    monkeypatch.setattr(draw._SvgWork, "shape", goes_off)
    with pytest.raises(SvgError, match="draws more than 20 000 elements"):
        draw_tree(read_tree(whole(bomb(9))), 1.0)


@pytest.mark.parametrize(
    ("inside", "count"),
    [
        ("", 1),
        ('<g id="a"><rect/><rect/></g>', 4),
        # The group and its two, then twice a copy with the three that it copies.
        ('<g id="a"><rect/><rect/></g><use href="#a"/><use href="#a"/>', 4 + 2 * 4),
        ('<defs><g id="a"><rect/></g></defs><use href="#a"/>', 1 + 1 + 2),
        ('<symbol id="a"><rect/></symbol><use href="#a"/><use href="#b"/>', 1 + 1 + 2 + 1),
        ('<g id="a"><use href="#a"/></g>', 1 + 1 + 1 + 1),
    ],
)
def test_copies_are_counted_without_being_drawn(inside: str, count: int) -> None:
    assert count_copies(read_tree(whole(inside)), draw.QUIET) == count


def test_the_bounds_are_reached_not_passed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(flatten, "MOST_POINTS", 40)
    monkeypatch.setattr(dashes, "MOST_DASHES", 10)
    draw_tree(read_tree(whole('<path d="M0 0H20" stroke="red" stroke-dasharray="1"/>')), 1.0)
    with pytest.raises(SvgError, match="more than 10 dashes"):
        draw_tree(read_tree(whole('<path d="M0 0H21" stroke="red" stroke-dasharray="1"/>')), 1.0)


def star(points: int, step: int) -> list[tuple[float, float]]:
    """The corners of the star {points/step}, in the order of its sides; its middle at 5, 5."""
    turns = [2 * math.pi * step * number / points for number in range(points)]
    return [(5 + 4 * math.cos(turn), 5 + 4 * math.sin(turn)) for turn in turns]


@pytest.mark.parametrize(("points", "step"), [(13, 2), (101, 50), (203, 40), (1000, 3)])
def test_crossings_are_counted(points: int, step: int) -> None:
    # Each side of {n/k} is met by 2 (k - 1) others (H. S. M. Coxeter, Regular Polytopes, 6.1): n (k - 1) in all.
    count = CrossingCount()
    count.take([np.array(star(points, step))])
    assert count.left == MOST_CROSSINGS - points * (step - 1)
    side = np.array([[5.0, 5.0], [9.0, 9.0], [9.0, 5.0]])
    touching = CrossingCount(0)
    touching.take([side, side[::-1], side + 4, side - 4])


@pytest.mark.parametrize(
    "body",
    [
        '<g>\n<polygon points="{star}" fill-rule="evenodd"/></g>',
        '<clipPath id="c">\n<polygon points="{star}"/></clipPath><rect width="9" height="9" clip-path="url(#c)"/>',
        '<polygon points="{small}"/>' * 13 + '\n<polygon points="{small}"/>',
    ],
)
def test_a_scribble_is_refused_before_it_is_filled(body: str) -> None:
    """A file of 12 kB would take hours: what fills lines takes time by the square of their crossings."""
    corners = {"star": star(603, 301), "small": star(53, 15)}
    text = {name: " ".join(f"{x:.6f},{y:.6f}" for x, y in found) for name, found in corners.items()}
    with pytest.raises(SvgError, match="its lines cross each other more than 10 000 times") as error:
        draw_tree(read_tree(whole(body.format(**text))), 1.0)
    assert error.value.line == 2 and error.value.fix


@pytest.mark.parametrize(
    "body",
    [
        '<rect width="NaN" height="3"/>',
        '<rect width="1e999" height="3"/>',
        '<path d="M0 0L1e999 3 4 4z"/>',
        '<path d="M0 0L1e9 3 4 4z"/>',
        '<path d="A"/>',
        '<path d="M"/>',
        '<path d="10 10"/>',
        '<polygon points="1"/>',
        '<g transform="scale(0)"><rect width="3" height="3"/></g>',
        '<g transform="scale(1e-6)"><circle r="3" stroke="red"/></g>',
        '<rect width="3" height="3" stroke="red" stroke-width="-2" stroke-miterlimit="x" stroke-dasharray="a b"/>',
        '<path d="M0 0L0 0 0 0z" stroke="red" stroke-linejoin="round"/>',
        '<path d="M0 0L5 0z" stroke="red"/>',
        '<path d="M0 0L5 5L0 0L5 5" stroke="red" stroke-linecap="square"/>',
        '<path d="M1 1A0 5 0 0 1 3 3M1 1A5 5 0 0 1 1 1" stroke="red"/>',
        '<clipPath id="a" clip-path="url(#a)"><rect width="9" height="9"/></clipPath><rect width="9" height="9" '
        'clip-path="url(#a)"/>',
        '<linearGradient id="a" href="#b"/><linearGradient id="b" href="#a"/><rect width="9" height="9" '
        'fill="url(#a)"/>',
        '<style>rect { fill: } } :::q { x } rect:hover { fill: red }</style><rect width="2" height="2"/>',
        '<svg width="5" height="5" viewBox="a b c d"><rect width="2" height="2"/></svg>',
        '<symbol id="s"><use href="#s"/></symbol><use href="#s" width="3" height="3"/>',
    ],
)  # fmt: skip
def test_nonsense_is_drawn_as_far_as_it_can_be(body: str) -> None:
    for one in draw_tree(read_tree(whole(body)), 1.0).areas:
        assert one.area.is_valid


def test_a_doctype_alone_is_no_fault() -> None:
    head = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    assert draw_tree(read_tree(head + whole('<rect width="2" height="2"/>')), 1.0).areas


def test_a_style_sheet_of_another_file_is_named() -> None:
    text = '<?xml-stylesheet href="x.css"?>' + whole('<rect width="2" height="2"/>')
    assert [one.what for one in draw_tree(read_tree(text), 1.0).left_out] == ["a style sheet of another file"]
