"""Letters that are drawn for the printer, those that are left alone, and the face that is named for them.

What is lost is counted in pieces and holes of the outlines, not by the offsets that the program measures with.
"""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from decalgen.core.errors import Finding
from decalgen.lettering.printable import joined_script, least_of, printable
from decalgen.lettering.typesetting import typeset
from decalgen.preflight.lettering import PLAIN_FACES
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

STROKE, GAP = 0.15, 0.20
TOLD = {"small-lettering", "letters-close", "letters-break"}


def drawn(text: str, face: str, cap: float, **more: Any) -> Any:
    return printable(text, face=face, cap_height=cap, least_stroke=STROKE, least_gap=GAP, **more)


def found(text: str, face: str, cap: float, width: float = 30.0, **more: Any) -> list[Finding]:
    keys = {"text": (text,), "face": face, "cap_height": cap, "ink": "navy", "compensate": True, **more}
    decal = jobs.decal("a", width, 8.0, jobs.element("field", ink="orange"), jobs.element("lettering", **keys))
    return [one for one in check_jobs([jobs.job(decal)], jobs.PRINTER) if one.code in {*TOLD, "compensated-lettering"}]


def named(finding: Finding) -> str:
    return finding.fix.partition("write `face: ")[2].partition("`")[0]


@pytest.mark.parametrize(
    ("face", "cap"),
    [("Lobster", 1.0), ("Lobster", 1.3), ("Abril Fatface", 0.9), ("Abril Fatface", 1.1), ("Yellowtail", 1.1),
     ("Kaushan Script", 1.3)],
)  # fmt: skip
def test_scripts_and_fine_hairlines_are_left_as_the_face_has_them(face: str, cap: float) -> None:
    done = drawn("Bakery", face, cap)
    plain = typeset("Bakery", face=face, cap_height=cap, ligatures=False)
    assert done.harmed and not done.fits and done.changes == ()
    assert done.line.region.equals(plain.region)
    assert done.least_gap > 0


@pytest.mark.parametrize(
    ("text", "face"), [("THESSOCK", "Abril Fatface"), ("VW 6438", "Josefin Sans"), ("ferry line", "Oleo Script")]
)
def test_a_word_of_which_one_letter_alone_would_become_wide_is_left(text: str, face: str) -> None:
    """As judged by eye: a K, a 4 and an f that were twice as wide beside letters that were not."""
    done = drawn(text, face, 1.0)
    assert done.harmed and done.line.region.equals(done.plain.region) and done.changes == ()


@pytest.mark.parametrize(
    ("face", "cap"),
    [("Archivo", 1.0), ("Archivo", 1.3), ("Roboto Slab", 1.1), ("Besley", 1.3), ("Bebas Neue", 1.1), ("Lobster", 1.6),
     ("Abril Fatface", 1.6)],
)  # fmt: skip
def test_what_gains_by_it_is_opened(face: str, cap: float) -> None:
    text = "Baker & Co 48"
    done = drawn(text, face, cap)
    plain = typeset(text, face=face, cap_height=cap, ligatures=False)
    assert not done.harmed and done.changes

    def parts(line: Any) -> list[tuple[int, int]]:
        return [(len(x.region.geoms), sum(len(y.interiors) for y in x.region.geoms)) for x in line.letters]

    assert parts(done.line) == parts(plain)
    assert done.least_gap > 1.03 * least_of(plain.letters, joined_script(face))[1]


@pytest.mark.parametrize("sign", list(".,:;-'/!"))
@pytest.mark.parametrize("face", ["Oswald", "Overpass"])
def test_every_sign_gets_as_bold_as_is_asked(sign: str, face: str) -> None:
    done = drawn(f"I{sign}4", face, 0.9)
    plain = typeset(f"I{sign}4", face=face, cap_height=0.9, ligatures=False).letters[1].region
    area = done.line.letters[1].region
    # By erosion: no piece of it goes that is as wide as was asked, less a hair.
    assert all(not part.buffer(-0.97 * STROKE / 2).is_empty for part in area.geoms)
    assert area.area > 1.05 * plain.area
    assert len(area.geoms) == len(plain.geoms)


def test_a_thin_sign_makes_no_letter_bolder() -> None:
    """Thinner by a third than the letters, a comma of Oswald gets bolder by itself."""
    with_comma, without = (drawn(text, "Oswald", 1.0).line.letters for text in ("93,", "93"))
    for one, other in zip(with_comma, without, strict=False):
        assert one.region.area == pytest.approx(other.region.area, rel=1e-6)
    tail = with_comma[2].region.difference(with_comma[2].region.buffer(-0.97 * STROKE / 2).buffer(0.98 * STROKE / 2))
    assert tail.area < 0.1 * with_comma[2].region.area


def test_an_i_and_an_l_get_bolder_though_their_width_is_that_of_a_stroke() -> None:
    done = drawn("ILL", "Alumni Sans", 0.9, axes={"wght": 300.0})
    plain = typeset("ILL", face="Alumni Sans", cap_height=0.9, axes={"wght": 300.0}, ligatures=False)
    thin, bold = (x.letters[0].region for x in (plain, done.line))
    assert thin.bounds[2] - thin.bounds[0] < STROKE <= (bold.bounds[2] - bold.bounds[0]) / 0.97
    assert bold.bounds[3] == pytest.approx(0.9, abs=1e-6)


def test_a_counter_that_cannot_be_opened_as_far_as_asked_is_opened_as_far_as_it_goes() -> None:
    """A 4 of Oswald 0.8 mm high: twice as wide it has not 0.20 mm, but more than before."""
    done = drawn("No. 1-4", "Oswald", 0.8)
    assert not done.harmed and not done.fits
    thin, bold = (next(x.region for x in one.letters if x.text == "4") for one in (done.plain, done.line))

    def disc(area: Any) -> float:
        (hole,) = (ring for part in area.geoms for ring in part.interiors)
        return 2 * float(shapely.maximum_inscribed_circle(shapely.Polygon(hole)).length)

    assert disc(bold) > 1.3 * disc(thin)
    assert any("4 200%" in one for one in done.changes)


@pytest.mark.parametrize(("face", "cap", "holds"), [("Lobster", 1.1, "Alumni Sans"), ("Abril Fatface", 1.3, "Archivo")])
def test_the_face_that_is_named_holds_at_that_size(face: str, cap: float, holds: str) -> None:
    (finding,) = found("Bakery", face, cap)
    assert (finding.severity, finding.code) == ("warning", "small-lettering")
    assert finding.message.startswith(f"'Bakery' cannot be opened: bolder letters of '{face}' would fill up")
    assert named(finding) == holds
    assert finding.areas
    assert not {one.code for one in found("Bakery", holds, cap)} & TOLD
    # Those before it in order do not.
    for other in PLAIN_FACES[: PLAIN_FACES.index(holds)]:
        assert {one.code for one in found("Bakery", other, cap)} & TOLD


def test_a_face_is_named_for_letters_that_lean() -> None:
    (finding,) = found("Bakery", "Lobster", 1.3, slant=15.0)
    assert named(finding)
    assert not {one.code for one in found("Bakery", named(finding), 1.3, slant=15.0)} & TOLD


def test_no_face_is_named_that_the_decal_has_no_room_for() -> None:
    """'Bakery' in Archivo of 1.3 mm, opened, is wider than in Lobster; Alumni Sans is narrow."""
    wide, narrow = (drawn("Bakery", one, 1.3).line.width for one in ("Archivo", "Alumni Sans"))
    assert narrow < wide - 0.5
    (finding,) = found("Bakery", "Lobster", 1.3, width=(wide + narrow) / 2)
    assert named(finding) != "Archivo"
    (finding,) = found("Bakery", "Lobster", 1.3, width=wide + 0.5)
    assert named(finding) == "Archivo"


def test_where_no_face_holds_none_is_named() -> None:
    told = (*found("Bakery", "Lobster", 0.7), *found("Bag", "Josefin Sans", 1.1, axes=("wght 300",)))
    assert len(told) == 2
    for finding in told:
        assert finding.code == "small-lettering"
        assert "face:" not in finding.fix and finding.fix


def test_bare_letters_are_named_a_face_by_their_own_limits() -> None:
    """Left bare in a ground a stroke is a gap in ink: the keys that are offered have the limits exchanged."""
    text, keys = "DEPOT", {"face": "Lobster", "cap_height": 0.9, "ink": "white"}

    def told(**more: Any) -> list[Finding]:
        word = jobs.element("lettering", text=(text,), **{**keys, **more})
        one = jobs.decal("a", 30.0, 8.0, jobs.element("field", ink="navy"), word)
        return [x for x in check_jobs([jobs.job(one)], jobs.PRINTER) if x.code in TOLD]

    (finding,) = told()
    face = finding.fix.partition("write `face: ")[2].partition(",")[0]
    assert f"write `face: {face}, compensate: yes, least stroke: 0.2 mm, least gap: 0.15 mm`" in finding.fix
    assert told(face=face, compensate=True, least_stroke=0.2, least_gap=0.15) == []


def test_letters_drawn_for_the_printer_keep_their_lean() -> None:
    """Widened by a fifth, an H of Anton leans as much as it is told to."""
    done = drawn("HEB8", "Anton", 1.3, slant=20.0)
    assert any(one.startswith("made wider") and "H 120%" in one for one in done.changes)
    area = done.line.letters[0].region
    edge = sorted((y, x) for part in area.geoms for x, y in part.exterior.coords)
    foot = min(x for y, x in edge if y < 1e-3)
    head = min(x for y, x in edge if y > 1.3 - 1e-3)
    # tan 20 degrees is 0.36397.
    assert (head - foot) / 1.3 == pytest.approx(0.36397, abs=2e-3)


def test_a_script_set_from_point_to_point_is_left_alone_too() -> None:
    (finding,) = found("Bakery", "Lobster", 1.1, start=(0.0, 0.0), end=(10.0, 0.0))
    assert "so they are not changed" in finding.message
