"""Faults in how a piece lies: white, artwork and cut line belong together; and what else a first look missed."""

from __future__ import annotations

import pikepdf
import pytest
from pikepdf import Dictionary, Name

from tests.export.planting import (
    ART,
    Fault,
    box,
    full,
    in_form,
    packet,
    page,
    planted,
    put,
    rewrite,
    rules,
    sheet,
    state,
    swap,
)
from tests.export.structure import UNJUDGED, problems

FULL_INK, ORANGE = b"1 1 1 1 k", b"0 0.69804 0.93333 0.03922 k"


def twice(layer: bytes) -> Fault:
    return rewrite(rb"(/OC /" + layer + rb" BDC\n)(q [^\n]* Do Q\n)", rb"\1\2\2")


def moved(layer: bytes) -> Fault:
    """Two millimetres along the sheet."""
    return rewrite(rb"(/OC /" + layer + rb" BDC\nq 1 0 0 1 )112", rb"\g<1>110")


def everything_moved(pdf: pikepdf.Pdf) -> None:
    """White, artwork and cut line of a piece, all together, to where a cross stands."""
    before = page(pdf).Contents.read_bytes()
    assert before.count(b"112.5000005 10.4999995 cm") == 3
    page(pdf).Contents = pdf.make_stream(before.replace(b"112.5000005 10.4999995 cm", b"5.5 10.4999995 cm"))


FAULTS: dict[str, tuple[str, Fault]] = {
    "white moved": ("register", moved(b"White")),
    "white turned": ("register", rewrite(rb"(/OC /White BDC\nq )1 0 0 1", rb"\g<1>-1 0 0 -1")),
    "artwork moved": ("register", moved(b"Artwork")),
    "cut line moved": ("register", moved(b"Cutting")),
    "white twice": ("register", twice(b"White")),
    "artwork twice": ("register", twice(b"Artwork")),
    "an open cut line": ("register", in_form(b"\ns\n", b"\nS\n")),
    "a cut line that crosses itself": ("line", in_form(b"30.5 0 l\n", b"3 8.8 l\n")),
    "a piece over a mark": ("register", everything_moved),
    "a page that begins elsewhere": ("boxes", box("/MediaBox", -500, 0, 419.527559, 595.275591)),
    "an operator of other bytes": ("operator", swap(ART, ART + b"\n\xff\xfe")),
    "all inks on one spot": ("colour", in_form(ORANGE, FULL_INK)),
    "opacity as shape": ("graphics state", state("/AIS", True)),
    "lines adjusted to dots": ("graphics state", state("/SA", True)),
    "a group that knocks out": (
        "blending",
        put(page, "/Group", Dictionary(S=Name.Transparency, CS=Name.DeviceCMYK, K=True)),
    ),
    "a page twice": ("pages", lambda pdf: pdf.pages.append(pdf.pages[0])),
    "a title in French alone": ("agreement", packet(b"x-default", b"fr")),
    "the format of another kind": ("xmp", packet(b"application/pdf", b"application/postscript")),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_refused_for_its_reason(name: str) -> None:
    rule, fault = FAULTS[name]
    found = problems(planted(fault, sheet()))
    assert rule in rules(found) and UNJUDGED not in rules(found), found


def test_a_fill_outside_every_cut_line_is_refused() -> None:
    found = problems(planted(swap(b"60 20 m\n80 20 l", b"60 50 m\n80 20 l"), full()))
    assert "register" in rules(found), found


def test_a_group_of_the_right_space_is_no_fault() -> None:
    right = Dictionary(Type=Name.Group, S=Name.Transparency, CS=Name.DeviceCMYK, I=True)
    assert problems(planted(put(page, "/Group", right), sheet())) == []


def test_two_pages_of_one_layout_are_no_fault() -> None:
    def again(pdf: pikepdf.Pdf) -> None:
        pdf.pages.append(pdf.pages[0])
        pdf.pages[1].obj.Contents = pdf.make_stream(page(pdf).Contents.read_bytes())

    assert problems(planted(again, sheet())) == []
