"""Which paint an element has (SVG 1.1, 6; CSS 2.1, 6.4), and what is no flat ink: named, never dropped in silence."""

from __future__ import annotations

import pytest

from tests.core.svg.drawn import areas, drawn, left_out

RECT = '<rect width="2" height="2" {}/>'


@pytest.mark.parametrize(
    ("text", "colour"),
    [
        ("red", "#ff0000"),
        ("#18f", "#1188ff"),
        ("#A01C20", "#a01c20"),
        ("rgb(16, 32,48)", "#102030"),
        ("rgb(100%, 0%, 50%)", "#ff0080"),
        ("hsl(120, 100%, 25%)", "#008000"),
        ("DarkSlateGrey", "#2f4f4f"),
        ("#a01c20 icc-color(acme, 0.1)", "#a01c20"),
    ],
)
def test_colours(text: str, colour: str) -> None:
    # The values of the names and of hsl() are those of CSS Color 3, 4.3 and 4.2.4.
    assert list(areas(RECT.format(f'fill="{text}"'))) == [colour]


@pytest.mark.parametrize(
    ("body", "colour"),
    [
        (f'<g fill="red">{RECT.format("")}</g>', "#ff0000"),
        (f'<g fill="red">{RECT.format(chr(32).join(["fill=" + chr(34) + "blue" + chr(34)]))}</g>', "#0000ff"),
        (RECT.format('fill="red" style="fill: blue"'), "#0000ff"),
        ("<style>rect { fill: lime }</style>" + RECT.format('fill="red"'), "#00ff00"),
        ("<style>rect { fill: lime }</style>" + RECT.format('style="fill:blue"'), "#0000ff"),
        ("<style>rect { fill: lime !important }</style>" + RECT.format('style="fill:blue"'), "#00ff00"),
        ("<style>.a { fill: lime } rect { fill: red }</style>" + RECT.format('class="b a"'), "#00ff00"),
        ("<style>rect { fill: lime } rect { fill: red }</style>" + RECT.format(""), "#ff0000"),
        ("<style>#r { fill: lime } .a { fill: red }</style>" + RECT.format('id="r" class="a"'), "#00ff00"),
        ("<style>g > rect { fill: lime }</style><g>" + RECT.format("") + "</g>", "#00ff00"),
        ("<style><![CDATA[.a{fill:#0f0}]]></style>" + RECT.format('class="a"'), "#00ff00"),
        ('<g color="red">' + RECT.format('fill="currentColor"') + "</g>", "#ff0000"),
        ('<g fill="red"><g fill="blue">' + RECT.format('fill="inherit"') + "</g></g>", "#0000ff"),
        (RECT.format('fill="url(#none) green"'), "#008000"),
    ],
)
def test_the_cascade(body: str, colour: str) -> None:
    assert list(areas(body)) == [colour]


def test_a_copy_inherits_from_where_it_is_used() -> None:
    assert list(
        areas(f'<defs>{RECT.format("id=" + chr(34) + "r" + chr(34))}</defs><g fill="red"><use href="#r"/></g>')
    ) == ["#ff0000"]


@pytest.mark.parametrize("how", ['display="none"', 'visibility="hidden"', 'fill="none"', 'opacity="0"',
                                 'fill-opacity="0"', 'fill="transparent"', 'width="0"'])  # fmt: skip
def test_what_shows_nothing_is_no_finding(how: str) -> None:
    body = f'<rect height="2" {how}/>' if "width" in how else RECT.format(how)
    assert areas(body + '<rect x="9" width="1" height="1"/>') == {"#000000": 1.0}


def test_a_hidden_group_may_hold_what_is_seen() -> None:
    body = f'<g visibility="hidden">{RECT.format("")}{RECT.format("visibility=" + chr(34) + "visible" + chr(34))}</g>'
    assert areas(body) == {"#000000": 4.0}


def test_a_swatch_kept_as_a_gradient_of_one_colour_is_flat() -> None:
    one = '<linearGradient id="s"><stop stop-color="#a01c20"/></linearGradient>'
    link = '<linearGradient id="t" href="#s"/>'
    assert list(areas(one + link + RECT.format('fill="url(#t)"'))) == ["#a01c20"]


@pytest.mark.parametrize(
    ("body", "what"),
    [
        (RECT.format('id="x" fill="url(#g)"'), "a gradient"),
        (RECT.format('id="x" stroke="url(#g)" fill="none"'), "a gradient"),
        (RECT.format('id="x" fill="url(#p)"'), "a pattern"),
        (RECT.format('id="x" fill="url(#nothing)"'), "a paint that is not in the drawing"),
        (RECT.format('id="x" fill="sparkling"'), "an unknown colour, 'sparkling'"),
        (RECT.format('id="x" fill="lab(50 20 20)"'), "an unknown colour, 'lab(50 20 20)'"),
        (RECT.format('id="x" fill-opacity=".5"'), "partial opacity"),
        (RECT.format('id="x" opacity="50%"'), "partial opacity"),
        (RECT.format('id="x" fill="#ff000080"'), "partial opacity"),
        (RECT.format('id="x" filter="url(#f)"'), "a filter"),
        (RECT.format('id="x" mask="url(#m)"'), "a mask"),
        (RECT.format('id="x" style="mix-blend-mode: multiply"'), "a blend mode"),
        (RECT.format('id="x" style="transform: rotate(3deg)"'), "'transform' in a style"),
        (RECT.format('id="x" clip-path="url(#nothing)"'), "a clip path that is not in the drawing"),
        ('<text id="x" y="9">GR</text>', "text"),
        ('<image id="x" width="9" height="9" href="data:image/png;base64,AA"/>', "a picture"),
        ('<foreignObject id="x" width="9" height="9"/>', "what is not SVG"),
        ('<path id="x" d="M0 0H9" marker-end="url(#a)"/>', "a marker"),
        ('<use id="x" href="other.svg#a"/>', "what is in another file"),
        ('<use id="x" href="#nothing"/>', "a copy of what is not in the drawing"),
        ('<g id="y"><use id="x" href="#y"/></g>', "a copy of itself"),
        ('<rect width="2" height="2"><animate id="x" attributeName="x"/></rect>', "an animation"),
        ('<rect id="x" width="2em" height="2"/>', "a size that is not known here, '2em'"),
        ('<polygon id="x" points="1,1 2,q"/>', "points that cannot be read"),
        ('<rect id="x" width="2" height="2" transform="turn(3)"/>', "a transform that cannot be read"),
        ('<sparkle id="x"/>', "a 'sparkle'"),
        ('<style id="x">@media print { rect { fill: red } }</style>', "@media in a style sheet"),
    ],
)
def test_what_is_no_flat_ink_is_named_with_its_place(body: str, what: str) -> None:
    defs = (
        '<defs><linearGradient id="g"><stop stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
        '<pattern id="p"/><filter id="f"/><mask id="m"/><marker id="a"/></defs>'
    )
    assert left_out(defs + body) == {what: ("'x' in line 1",)}


def test_an_element_without_an_id_is_named_by_its_line() -> None:
    assert left_out('\n\n<text y="9">A</text>\n<text y="9">B</text>') == {"text": ("text in line 3", "text in line 4")}


def test_a_switch_takes_the_first_that_can_be_drawn() -> None:
    # As drawing programs save it: what is theirs first, then the drawing.
    body = (
        '<switch><foreignObject requiredExtensions="http://example.org/" width="1" height="1"/>'
        f'<g>{RECT.format("")}</g><rect width="9" height="9"/></switch>'
    )
    assert areas(body) == {"#000000": 4.0}


def test_paint_order_and_fills_under_strokes() -> None:
    body = '<rect x="5" y="5" width="10" height="10" fill="red" stroke="blue" stroke-width="2" {}/>'
    assert areas(body.format("")) == pytest.approx({"#ff0000": 64.0, "#0000ff": 80.0})
    assert areas(body.format('paint-order="stroke"')) == pytest.approx({"#ff0000": 100.0, "#0000ff": 44.0})


def test_nothing_of_another_language_is_drawn_or_told() -> None:
    body = '<metadata><x xmlns="http://example.org/"><rect width="9" height="9"/></x></metadata>'
    body += '<x:view xmlns:x="http://example.org/"/>'
    found = drawn(body + RECT.format(""))
    assert len(found.areas) == 1 and found.left_out == ()
