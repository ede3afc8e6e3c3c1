"""Advice is never worse than what it mends: every line of a file that a `fix` offers is written, and checked again.

A fix says what can be written in backticks (see `Finding`). Each case below is a job with faults; every finding of it
that offers lines has each of them applied alone. The job must then have no error it had not, the finding must be gone
or weaker, and nothing new may be as grave as what was mended.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from decalgen.core.errors import Finding
from decalgen.core.keys import specs
from decalgen.job.entries import DecalEntry, SizeEntry
from decalgen.job.loader import load_job
from decalgen.job.model import Printer
from decalgen.shapes.fade import Fade
from decalgen.shapes.lettering import Lettering
from tests.helpers import jobs
from tests.helpers.checks import check_jobs

GRAVE = {"note": 0, "warning": 1, "error": 2}
DECAL = {spec.key for spec in (*specs(DecalEntry), *specs(SizeEntry))} | {"cut"}
LETTERING = {spec.key for spec in specs(Lettering)} - DECAL
FADE = {spec.key for spec in specs(Fade)} - DECAL

HEAD = """\
job: tug
body: navy
paints: {navy: "#1d2b4a", cream: "#f4e8c8"}
inks: {orange: "#e8641b", navy: "#1d2b4a"}
film: white
panels:
  door:
    width: 40 mm ± 0.05
    height: 20 mm ± 0.05
    obstacles:
      handle: {rectangle: [3 mm, 1 mm], at: [30 mm, 14 mm], clearance: 0.3 mm}
      vent: {rectangle: [3 mm, 1 mm], at: [8 mm, 14 mm]}
      shut line: {line: [[20 mm, -1 mm], [20 mm, 21 mm]], width: 0.4 mm}
      seam: {rectangle: [0.4 mm, 30 mm], at: [34 mm, -5 mm], gap: yes}
  bonnet:
    outline: [[0 mm, 0 mm], [40 mm, 0 mm], [38 mm, 30 mm], [2 mm, 30 mm]]
  roof: {width: 40 mm ± 0.05, height: 20 mm ± 0.05}
  lid: {width: 30 mm, height: 30 mm, rise across: 4 mm, rise up: 4 mm}
decals:
"""

BAND = "{panel: roof, width: 20 mm, height: 8 mm, "
SHORT = {
    "GROUND": "artwork: [field: {ink: orange}]",
    "THIN": "artwork: [stripe: {ink: orange, stripe width: 1 mm}]",
    "TWO": "artwork: [stripe: {ink: orange, stripe width: 1 mm, count: 2, pitch: 4 mm}]",
}
CASES = {
    "a stripe too wide for a bonnet": "  a: {panel: bonnet, width: 41 mm, height: 9 mm, GROUND}",
    "a ground too large for a bonnet": "  a: {panel: bonnet, width: 41 mm, height: 31 mm, GROUND}",
    "a stripe as wide as its roof": "  a: {panel: roof, width: 40 mm, height: 9 mm, GROUND}",
    "a ground as wide as its roof": "  a: {panel: roof, width: 40 mm, height: 20 mm, GROUND}",
    "clear and as wide as its roof": (
        "  a: {panel: roof, film: clear, width: 40 mm, height: 9 mm, artwork: [field: {ink: navy}]}"
    ),
    "over two obstacles": "  a: {panel: door, width: 39 mm, height: 17 mm, GROUND}",
    "cut around one of two": "  a: {panel: door, width: 39 mm, height: 17 mm, cut around: [vent], GROUND}",
    "across a shut line": "  a: {panel: door, width: 18 mm, height: 6 mm, at: bottom, GROUND}",
    "just across a shut line": (
        "  a: {panel: door, width: 10.6 mm, height: 6 mm, at: {anchor: bottom left, offset: [10 mm, 1 mm]}, GROUND}"
    ),
    "across a gap without a middle": (
        "  a: {panel: door, width: 8 mm, height: 6 mm, at: {anchor: bottom left, offset: [30 mm, 1 mm]}, GROUND}"
    ),
    "split at one gap, across another": (
        "  a: {panel: door, width: 30 mm, height: 6 mm, at: {anchor: bottom left, offset: [8 mm, 1 mm]},"
        " split at: [seam], GROUND}"
    ),
    "a round panel": "  a: {panel: lid, width: 26 mm, height: 26 mm, GROUND}",
    "bleed too short": f"  a: {BAND}bleed: 0.1 mm, GROUND}}",
    "bleed too short on clear film": f"  a: {BAND}film: clear, bleed: 0.1 mm, artwork: [field: {{ink: navy}}]}}",
    "white on clear film": (
        f"  a: {BAND}film: clear, artwork: [field: {{ink: orange}}, stripe: {{ink: white, stripe width: 2 mm}}]}}"
    ),
    "thin white on clear film": f"  a: {BAND}film: clear, artwork: [stripe: {{ink: white, stripe width: 1.2 mm}}]}}",
    "white under art": f"  a: {BAND}film: clear, underlay: all, GROUND}}",
    "white under thin art": f"  a: {BAND}film: clear, underlay: all, THIN}}",
    "backing on white film": f"  a: {BAND}backing: white, GROUND}}",
    "backing on white film, thin": f"  a: {BAND}backing: white, THIN}}",
    "backing lost": f"  a: {BAND}film: clear, backing: white, THIN}}",
    "backing dropped": (
        f"  a: {BAND}film: clear, backing: white, artwork: [stripe: {{ink: orange, stripe width: 4 mm, at: bottom}},"
        " stripe: {ink: orange, stripe width: 1 mm, at: top}]}"
    ),
    "backing in pieces": (
        f"  a: {BAND}film: clear, backing: white, artwork: [checks: {{rows: 1, columns: 10, inks: [orange]}}]}}"
    ),
    "letters too small": (
        f"  a: {BAND}artwork: [field: {{ink: orange}}, lettering: {{text: DEPOT, cap height: 0.8 mm, ink: navy}}]}}"
    ),
    "letters too small and tight": (
        "  a: {panel: roof, width: 3.4 mm, height: 2 mm, artwork: [field: {ink: orange},"
        " lettering: {text: DEPOT, cap height: 0.8 mm, ink: navy}]}"
    ),
    "script too small": (
        f"  a: {BAND}artwork: [field: {{ink: orange}}, lettering: {{text: HOTEL, cap height: 0.9 mm, face: Lobster,"
        " ink: navy}]}"
    ),
    "script that opening would harm": (
        f"  a: {BAND}artwork: [field: {{ink: orange}}, lettering: {{text: Bakery, cap height: 1.3 mm, face: Lobster,"
        " ink: navy, compensate: yes, slant: 10°}]}"
    ),
    "letters that close": (
        f"  a: {BAND}artwork: [field: {{ink: orange}}, lettering: {{text: QUAY 4, cap height: 1.84 mm, face: Anton,"
        " ink: navy}]}"
    ),
    "letters that close up tight": (
        "  a: {panel: roof, width: 6.2 mm, height: 3 mm, artwork: [field: {ink: orange},"
        " lettering: {text: QUAY 4, cap height: 1.84 mm, face: Block, ink: navy}]}"
    ),
    "reversed letters that break": (
        f"  a: {BAND}artwork: [lettering: {{text: DEPOT, cap height: 1.0 mm, face: Block, ink: navy, reversed: yes}}]}}"
    ),
    "letters turned in a tight bend": (
        "  a: {panel: roof, width: 24 mm, height: 16 mm, artwork: [field: {ink: orange}, lettering: {text: HARBOUR,"
        " cap height: 2 mm, ink: navy, arc: {radius: 6 mm, side: inside}}]}"
    ),
    "two decals over each other": (f"  a: {BAND}GROUND}}\n  b: {BAND}artwork: [field: {{ink: navy}}]}}"),
    "three decals over each other": (
        f"  a: {BAND}GROUND}}\n  b: {BAND}at: bottom, artwork: [field: {{ink: navy}}]}}\n"
        f"  c: {BAND}over: b, at: {{anchor: centre, offset: [0 mm, -3 mm]}}, GROUND}}"
    ),
    "bare film round a disc": f"  a: {BAND}artwork: [roundel: {{inks: [orange], ratios: [8]}}]}}",
    "bare film round two stripes": f"  a: {BAND}TWO}}",
    "a fade too fine": (
        f"  a: {BAND}artwork: [fade: {{ink: orange, tones: [80, 15], pitch: 0.3 mm, smallest line: 0.08 mm,"
        " smallest gap: 0.1 mm}]}"
    ),
    "dots of a fade too fine": (
        f"  a: {BAND}artwork: [fade: {{ink: orange, tones: [80, 15], marks: dots, pitch: 1 mm, smallest line: 0.08 mm,"
        " smallest gap: 0.1 mm}]}"
    ),
    "a fade without its ends": f"  a: {BAND}artwork: [fade: {{ink: orange, tones: [100, 5], pitch: 0.6 mm}}]}}",
    "a cut line that falls apart": (f"  a: {BAND}cut: artwork, TWO}}"),
}


def job(name: str) -> str:
    text = HEAD + CASES[name] + "\n"
    for word, stands_for in SHORT.items():
        text = text.replace(word, stands_for)
    return text


def lines(finding: Finding) -> Iterator[tuple[dict[str, Any], str]]:
    """Each line that a fix offers: its keys with their values, and the key it takes the place of."""
    gone = re.search(r"in place of `([a-z ]+)`", finding.fix)
    for text in re.findall(r"`([a-z ]+: [^`]+)`", finding.fix):
        yield dict(YAML(typ="safe").load("{" + text + "}")), gone.group(1) if gone else ""


def written(text: str, finding: Finding, line: dict[str, Any], gone: str) -> str:
    """The job with a line written at the decal, or at the lettering, that a finding is about."""
    yaml = YAML()
    yaml.width = 400
    data = yaml.load(text)
    decal = data["decals"][finding.subject.split(",")[0]]
    there = decal
    if set(line) <= LETTERING:
        there = next(one["lettering"] for one in decal["artwork"] if "lettering" in one)
    elif set(line) <= FADE:
        there = next(one["fade"] for one in decal["artwork"] if "fade" in one)
    else:
        assert set(line) <= DECAL, line
    # A key that takes another's place does so wherever the two are alternatives.
    if gone and gone not in line:
        there.pop(gone, None)
    there.update(line)
    out = io.StringIO()
    yaml.dump(data, out)
    return out.getvalue()


def check(path: Path, text: str, printer: Printer = jobs.PRINTER) -> tuple[Finding, ...]:
    path.write_text(text, encoding="utf-8")
    return check_jobs([load_job(path)], printer)


def key(finding: Finding) -> tuple[str, str]:
    return finding.code, finding.subject.split(",")[0]


def worse(finding: Finding, before: tuple[Finding, ...], after: tuple[Finding, ...]) -> list[str]:
    """What is not better."""
    had = {key(one): GRAVE[one.severity] for one in reversed(before)}
    said = []
    for one in after:
        grave = GRAVE[one.severity]
        if key(one) == key(finding):
            weaker = None not in (one.measured, finding.measured) and off(one) < off(finding) - 1e-6
            mended = finding.fix != one.fix == "no action needed" and one.severity == "note"
            if grave >= GRAVE[finding.severity] and not weaker and not mended:
                said.append(f"stays: {one}")
        elif one.severity == "error" and had.get(key(one), 0) < grave:
            said.append(f"new error: {one}")
        elif key(one) not in had and grave >= GRAVE[finding.severity] and grave > 0:
            said.append(f"as grave as what it mends: {one}")
    return said


def off(finding: Finding) -> float:
    return abs((finding.measured or 0.0) - (finding.limit or 0.0))


def offered(tmp_path: Path) -> Iterator[tuple[str, Finding, dict[str, Any], str]]:
    for name in CASES:
        for finding in check(tmp_path / "job.yaml", job(name)):
            for line, gone in lines(finding):
                yield name, finding, line, gone


@pytest.mark.parametrize("name", CASES)
def test_every_line_of_a_fix_makes_it_better(tmp_path: Path, name: str) -> None:
    path, text = tmp_path / "job.yaml", job(name)
    before = check(path, text)
    assert [one for one in before if one.severity != "note" or one.fix]
    for finding in before:
        for line, gone in lines(finding):
            changed = written(text, finding, line, gone)
            said = worse(finding, before, check(path, changed))
            assert not said, (name, str(finding), line, said)


IN_BACKTICKS = re.compile(r"`([a-z][a-z ]*): [^`]+`")
ELSEWHERE = {"spares", "passes"}
"""Offered for sheets: what fits in the free film is proven in `test_sheets.py`. Of a printer file: what two passes of
white give is proven in `tests/colour/test_advice.py`."""


def test_every_key_that_a_finding_may_offer_was_tried(repository: Path, tmp_path: Path) -> None:
    """No line escapes the test above: each key in backticks with a value, in the rules and what they stand on."""
    asked = set()
    for folder in ("preflight", "artwork", "panels", "colour"):
        for path in sorted((repository / "decalgen" / folder).rglob("*.py")):
            source = "".join(re.findall(r"\"(.*)\"", path.read_text(encoding="utf-8")))
            asked |= set(IN_BACKTICKS.findall(source))
    tried = {one for _, _, line, _ in offered(tmp_path) for one in line}
    assert asked - tried - ELSEWHERE == set()
    assert {"cut", "cut around", "split at", "slits", "film", "backing", "bleed", "margin", "over"} <= tried


def test_a_stripe_never_becomes_a_bonnet_of_bare_film(tmp_path: Path) -> None:
    """White film over a dark body: a stripe of 9 mm is not told to take the outline of its panel; a ground is."""
    stripe = check(tmp_path / "job.yaml", job("a stripe too wide for a bonnet"))
    ground = check(tmp_path / "job.yaml", job("a ground too large for a bonnet"))
    assert all("cut: panel" not in one.fix for one in stripe)
    assert any("cut: panel" in one.fix for one in ground)


def test_bare_film_is_told_with_its_area(tmp_path: Path) -> None:
    """The bonnet is 40 and 36 mm wide and 30 mm high: 1140 mm²; the stripe of 9 mm covers less than 360 of them."""
    text = job("a stripe too wide for a bonnet").replace("width: 41 mm", "cut: panel, width: 41 mm")
    (finding,) = [one for one in check(tmp_path / "job.yaml", text) if one.code == "bare-film"]
    assert finding.severity == "warning"
    assert finding.measured is not None and 1140 - 10 * 40 < finding.measured < 1140 - 9 * 36
    assert f"{finding.measured:.1f} mm² of bare white film" in finding.message
    assert finding.areas


@pytest.mark.parametrize(
    ("decal", "told"),
    [
        ("artwork: [field: {ink: orange}]", False),
        ("artwork: [field: {ink: white}, stripe: {ink: orange, stripe width: 2 mm}]", False),
        ("artwork: [stripe: {ink: orange, stripe width: 2 mm}]", True),
        ("margin: 0.5 mm, artwork: [field: {ink: orange}]", True),
        ("film: clear, artwork: [stripe: {ink: navy, stripe width: 2 mm}]", False),
    ],
)
def test_what_is_meant_to_be_white_and_clear_film_are_not_bare(tmp_path: Path, decal: str, told: bool) -> None:
    found = check(tmp_path / "job.yaml", f"{HEAD}  a: {BAND}{decal}}}\n")
    assert ("bare-film" in [one.code for one in found]) is told


def test_on_a_body_like_the_film_nothing_shows(tmp_path: Path) -> None:
    text = f"{HEAD}  a: {BAND}artwork: [stripe: {{ink: orange, stripe width: 2 mm}}]}}\n"
    white = text.replace("body: navy", 'body: "#f7f6f1"')  # as white film looks
    assert "bare-film" not in [one.code for one in check(tmp_path / "job.yaml", white)]
    assert "bare-film" in [one.code for one in check(tmp_path / "job.yaml", text.replace("body: navy", "body: cream"))]


def test_film_that_looks_as_the_body_within_what_is_good_does_not_show(tmp_path: Path) -> None:
    """White film is #f7f6f1; #f3f2ec differs by less than dE 3."""
    text = f"{HEAD}  a: {BAND}artwork: [stripe: {{ink: orange, stripe width: 2 mm}}]}}\n"
    found = check(tmp_path / "job.yaml", text.replace("body: navy", 'body: "#f3f2ec"'))
    assert "bare-film" not in [one.code for one in found]


@pytest.mark.parametrize("more", ["margin: 0.5 mm, ", "at: {anchor: centre, offset: [10 mm, 0 mm]}, "])
def test_a_ground_with_a_margin_or_beside_its_panel_is_not_told_to_take_its_outline(tmp_path: Path, more: str) -> None:
    text = job("a ground too large for a bonnet").replace("width: 41 mm", f"{more}width: 41 mm")
    found = check(tmp_path / "job.yaml", text)
    assert [one for one in found if one.code == "off-panel"]
    assert all("cut: panel" not in one.fix for one in found)


def test_letters_are_not_told_to_open_where_they_have_no_room_for_it() -> None:
    """'DEPOT' at 0.8 mm grows wider when it is opened: a decal as wide as the word is too narrow for that."""

    def fix(width: float) -> str:
        word = jobs.element("lettering", text=("DEPOT",), cap_height=0.8, ink="navy")
        one = jobs.decal("a", width, 3.0, jobs.element("field", ink="orange"), word)
        return next(f.fix for f in check_jobs([jobs.job(one)], jobs.PRINTER) if f.code == "small-lettering")

    wide = Lettering(text=("DEPOT",), cap_height=0.8, ink="navy").block.width
    assert "compensate: yes" in fix(20.0)
    # A narrower face may have room: what is offered is tried above, "letters too small and tight".
    assert "add `compensate" not in fix(wide + 0.02)
