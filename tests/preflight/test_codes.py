"""The handbook's table of findings against the program: every code there is, how grave it is, and its limit."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from decalgen.artwork import backing
from decalgen.artwork.findings import MERGE
from decalgen.colour import legibility, separations
from decalgen.colour.advice import GAMUT
from decalgen.colour.difference import GOOD
from decalgen.commands import printer_drift
from decalgen.core import instruments
from decalgen.pages.handbook import chapter
from decalgen.panels import doubts, sections, strain
from decalgen.preflight import doubles, edges, limits, sheets
from decalgen.printer import slips
from decalgen.scan import remains

RENAMED = {"fit-too-big": ("off-panel", "on-obstacle")}
"""What the fit finds is told under a code of its own for edges and for obstacles."""


def codes(repository: Path) -> dict[str, set[str]]:
    """Every code of a `Finding(…)` in the program, and the severities it is given there by name."""
    found: dict[str, set[str]] = {}
    for path in sorted((repository / "decalgen").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or getattr(node.func, "id", "") != "Finding":
                continue
            severity, code = node.args[:2]
            if isinstance(code, ast.Constant):
                named = [str(code.value)]
            else:
                # Only the strain's advice makes up a code.
                assert ast.unparse(code) == "f'strain-{self.advice}'", f"{path}: {ast.unparse(code)}"
                named = [f"strain-{advice}" for advice in ("softener", "slits", "gores")]
            for one in (new for name in named for new in RENAMED.get(name, (name,))):
                given = {severity.value} if isinstance(severity, ast.Constant) and one not in RENAMED else set()
                found.setdefault(one, set()).update(map(str, given))
    # What lies on an obstacle is made milder than what reaches over the edge.
    found["on-obstacle"] = {"warning"}
    # What stops a new nest is only told of positions that are kept.
    found["no-room-for-number"].add("note")
    return found


def share(value: float, form: str) -> str:
    """A share as the tables write it: '2 %'."""
    return f"{value:{form}}".replace("%", " %")


def rows() -> dict[str, list[str]]:
    """The handbook's rows by code: how grave, what is measured, limit, fix."""
    table = chapter("findings").text.split("## All findings by code", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in table.splitlines() if line.startswith("| `")]
    cells = [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines]
    assert all(len(row) == 5 and all(row) for row in cells)
    names = [row[0].strip("`") for row in cells]
    assert names == sorted(set(names))
    return dict(zip(names, (row[1:] for row in cells), strict=True))


def test_every_code_has_one_row(repository: Path) -> None:
    assert set(rows()) == set(codes(repository))
    fitting = (repository / "decalgen" / "preflight" / "fitting.py").read_text(encoding="utf-8")
    assert all(f'"{code}"' in fitting for code in RENAMED["fit-too-big"])


def test_how_grave_each_is(repository: Path) -> None:
    told = rows()
    for code, severities in codes(repository).items():
        said = set(told[code][0].split(", "))
        assert said <= {"error", "warning", "note"}, code
        assert severities <= said, code
        # More is said only where the program makes one milder or graver on the way.
        assert said == severities or code.startswith("strain-") or not severities, code


@pytest.mark.parametrize(
    ("code", "limit"),
    [
        ("backing-dropped", f"{backing.NARROWEST:g} mm"),
        ("backing-in-pieces", f"{backing.MOST_PIECES}"),
        ("backing-lost", f"{backing.NARROWEST:g} mm"),
        ("bleed-short", f"{edges.SHORTEST_BLEED:g} mm"),
        ("colour-as-body", f"{GOOD:g}"),
        ("colour-eyes", f"{legibility.MERGED:g}, where others see {legibility.APART:g}"),
        ("colour-film", f"{GOOD:g}"),
        ("colour-gamut", f"{GAMUT:g}"),
        ("colour-legibility", f"{legibility.LEAST_CONTRAST:g}:1 and {legibility.LEAST_DELTA_L:g} in L*"),
        ("drift", share(printer_drift.TOLERANCE, ".1%")),
        ("lettering-cut-off", share(MERGE, ".0%")),
        ("lettering-merges", share(MERGE, ".0%")),
        ("scan-little-left", share(remains.LITTLE, ".0%")),
        ("same-place", share(doubles.SAME_PLACE, ".0%")),
        ("section-narrow", f"{sections.NARROW:g} mm"),
        ("sheet-wasted", share(sheets.WASTED, ".0%")),
        ("size-unlikely", f"{doubts.LONGEST:g} mm, and {doubts.LONGEST_FULL_SIZE / 1000:g} m full size"),
        ("size-unlikely", f"{doubts.SHORTEST_FULL_SIZE:g} mm full size"),
        ("slip", f"{instruments.SLIP:g} mm with a caliper, {slips.STRAY:g} mm"),
        ("strain-gores", share(strain.GORES, ".0%")),
        ("strain-slits", share(strain.SLITS, ".0%")),
        ("strain-softener", share(strain.SOFTENER, ".0%")),
        ("white-dropped", f"{separations.SMALLEST_WHITE:g} mm"),
    ],
)
def test_its_limit_is_the_programs(code: str, limit: str) -> None:
    assert limit in rows()[code][2]


def test_what_a_printer_holds() -> None:
    said = chapter("findings").text.split("What a printer holds: ", 1)[1].split("(", 1)[0]
    numbers = [float(one) for one in re.findall(r"\d+(?:\.\d+)?", said)]
    held = [value for one in limits.SMALLEST for value in (one.dpi, one.line, one.gap, one.caps)]
    assert numbers == held
