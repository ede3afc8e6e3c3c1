"""Every kind of file that decalgen reads, with a good one to start from and the command or function that reads it."""

from __future__ import annotations

import io
import os
import random
import re
import sys
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from decalgen.cli.main import cli
from decalgen.cli.terminal import put, screens
from decalgen.core.errors import DecalgenError
from tests.fuzz.mutations import TEXTS, TREES, Spoil, base_spoilt, bytes_spoilt
from tests.helpers.commands import code_on

RAW = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")
REPOSITORY = Path(__file__).resolve().parents[2]
FILM = "film: white A5 kept\nkind: white\nprocess: inkjet\nwidth: 148 mm\nheight: 210 mm\nsheets: 3\n"
CUTTER = "cutter: blade plotter\nscale x: 1.002\nscale y: 0.998\n"
TRACED = "0 0\n4 0\n4 1.6\n0 1.6\n\n1 0.4\n2 0.4\n2 1\n1 1\n"
READINGS = "across foot: 119.62 119.58 119.60\nup left: 159.9 159.8 159.9  # by caliper\n"
SWATCHES = "darkest: lab(9 0 0)\nteal: #1f7f86\n"
JOB = """\
job: tug
title: a tug
body: "#1d2b4a"
film: white
include: inks.yaml
values: {edge: 1 mm}
panels:
  door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}
  bonnet: {chord: 24.2 mm ± 0.05, rise: 1.1 mm ± 0.1, length: 19.5 mm}
decals:
  band:
    panel: door
    hands: both
    at: {anchor: bottom, offset: [0 mm, 1.2 mm]}
    width: panel.width - 2 * edge
    height: 4 mm
    artwork:
      - field: {ink: teal, height: 2 mm, at: bottom}
      - checks: {rows: 2, columns: 12, height: 2 mm, at: top, inks: [white, teal]}
      - lettering: {text: HARBOUR, cap height: 1.2 mm, ink: white, at: {anchor: bottom, offset: [0 mm, 0.4 mm]}}
variants:
  grey: {body: "#808080"}
"""
INKS = 'inks:\n  teal: {colour: "#1f7f86"}\n  cream: {colour: "#f2e6c8", kind: spot}\n'
PRINTER = """\
printer: desk inkjet
process: inkjet
margins: [5 mm, 5 mm, 10 mm, 5 mm]
dpi: 600
white: no
colour:
  profile: coated.icc
  opacity: 0.4
  passes: 1
  darkest: lab(9 0 0)
  inks: {"teal": lab(48 -25 -10)}
"""


@dataclass(frozen=True)
class Kind:
    """A kind of file: its name in the folder, how it is spoilt, and what reads it."""

    file: str
    spoils: tuple[Spoil, ...]
    read: Callable[[], object]
    share: int = 10


def command(*words: str) -> Callable[[], object]:
    """A command as it is typed."""
    return lambda: cli.main([*words], prog_name="decalgen", standalone_mode=False)


def _layout() -> object:
    from decalgen.core.errors import JobError
    from decalgen.job.files import read_source
    from decalgen.job.layouts import read_layout
    from decalgen.job.merge import document
    from decalgen.job.problems import Problems

    problems = Problems()
    group = document(read_source(Path("layout.yaml")), problems)
    found = read_layout("checker-band", group, problems) if group is not None else None
    if found is None or len(problems):
        raise JobError(problems.sorted())
    return found


def _font() -> object:
    import uharfbuzz as hb

    from decalgen.lettering import shaping

    data = Path("face.ttf").read_bytes()
    real = shaping.face_bytes
    shaping.face_bytes = lambda file: data
    try:
        font = hb.Font(shaping._hb_face.__wrapped__("face.ttf"))
        font.scale = (shaping.UNITS, shaping.UNITS)
        shaping._shaped(font, "HARBOUR 147", ())
        return [shaping._drawn(font, gid, 0.001) for gid in range(0, 120, 7)]
    finally:
        shaping.face_bytes = real


NOW = ("--film", "white A5", "--effort", "quick")
KINDS = {
    "job": Kind("tug.yaml", TEXTS, command("check", "tug.yaml"), 40),
    "job as json": Kind("tug.yaml", TEXTS, command("check", "tug.yaml", "--json")),
    "job laid out": Kind("tug.yaml", TEXTS, command("format", "tug.yaml")),
    "inks laid out": Kind("inks.yaml", TEXTS, command("format", "--short", "inks.yaml"), 5),
    "inks": Kind("inks.yaml", TEXTS, command("check", "tug.yaml")),
    "layout": Kind("layout.yaml", TEXTS, _layout),
    "drawing": Kind("crest.svg", TEXTS, command("check", "crest.yaml"), 20),
    "film": Kind("film.yaml", TEXTS, command("check", "tug.yaml", "--film", "film.yaml")),
    "printer": Kind("printer.yaml", TEXTS, command("check", "tug.yaml", "--printer", "printer.yaml"), 15),
    "profile": Kind("coated.icc", (bytes_spoilt,), command("check", "tug.yaml", "--printer", "printer.yaml"), 6),
    "kept profile": Kind("data/printers/KEPT.yaml", TEXTS, command("calibrate", "history")),
    "cutter": Kind(
        "cutter.yaml",
        TEXTS,
        command("sheet", "tug.yaml", "-o", "tug-sheet.pdf", "--cut", "c.svg", "--cutter", "cutter.yaml", *NOW),
        3,
    ),
    "positions": Kind("tug.positions.json", TREES, command("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *NOW), 15),
    "positions passed": Kind("tug.positions.json", TREES, command("proof", "passed", "tug-proof.pdf", "--x", "100", "--y", "100", "--code", "CODES")),
    "positions used": Kind("drawer.positions.json", TREES, command("film", "use", "white A5 1", "drawer.positions.json")),
    "proven": Kind("tug.proven.json", TREES, command("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *NOW), 8),
    "record": Kind("tug.record.json", TREES, command("sheet", "--again", "tug.record.json", "-o", "a.pdf"), 15),
    "drawer export": Kind("drawer.json", TREES, command("film", "import", "drawer.json"), 15),
    "drawer": Kind("data/film-drawer.sqlite", (base_spoilt,), command("film", "list"), 15),
    "drawer in use": Kind("data/film-drawer.sqlite", (base_spoilt,), command("film", "show", "2", "-o", "f.svg"), 5),
    "tracing": Kind("traced.txt", TEXTS, command("fonts", "--like", "HO", "--cap", "1.6mm", "--traced", "traced.txt", "-o", "t.svg"), 1),
    "readings": Kind("readings.txt", TEXTS, command("calibrate", "read", "readings.txt", "--film", "white A5", "-o", "p.yaml", "--date", "2026-01-02")),
    "swatches": Kind("swatches.txt", TEXTS, command("calibrate", "swatches", "swatches.txt", "tug.yaml", "-o", "q.yaml")),
    "font": Kind("face.ttf", (bytes_spoilt,), _font),
}  # fmt: skip


def furnish(folder: Path) -> None:
    """A folder with a good file of every kind, made by the commands that make them. Changes into it."""
    os.chdir(folder)
    os.environ["DECALGEN_DATA"] = str(folder / "data")
    texts = {"tug.yaml": JOB, "inks.yaml": INKS, "film.yaml": FILM, "printer.yaml": PRINTER, "cutter.yaml": CUTTER}
    texts |= {"traced.txt": TRACED, "readings.txt": READINGS, "swatches.txt": SWATCHES}
    for name, text in texts.items():
        Path(name).write_text(text, encoding="utf-8")
    crest = JOB.partition("    artwork:")[0] + "    artwork:\n      - drawing: {file: crest.svg, height: 4 mm}\n"
    Path("crest.yaml").write_text(crest, encoding="utf-8")
    Path("crest.svg").write_bytes((REPOSITORY / "demo" / "thessock-crest.svg").read_bytes())
    Path("layout.yaml").write_bytes((REPOSITORY / "layouts" / "checker-band.yaml").read_bytes())
    Path("coated.icc").write_bytes((REPOSITORY / "decalgen" / "colour" / "coated_tr006.icc").read_bytes())
    face = min((REPOSITORY / "fonts").rglob("*.ttf"), key=lambda path: path.stat().st_size)
    Path("face.ttf").write_bytes(face.read_bytes())
    readings = "".join(f"{span}: {asked:.2f} {asked + 0.05:.2f} {asked:.2f}\n" for span, asked in _spans().items())
    Path("good.txt").write_text(readings, encoding="utf-8")
    for words in (
        ("proof", "tug.yaml", "-o", "tug-proof.pdf", *NOW),
        ("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--x", "100.0", "--y", "100.1"),
        ("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *NOW),
        ("film", "add", "white A5", "--count", "3", "--price", "4.50 EUR"),
        ("proof", "tug.yaml", "-o", "drawer-proof.pdf", "--film", "drawer", "--effort", "quick"),
        ("film", "use", "white A5 1", "drawer.positions.json"),
        ("film", "cut-off", "3", "--edge", "bottom 60"),
        ("film", "export", "drawer.json"),
        ("calibrate", "read", "good.txt", "--film", "white A5", "--keep", "kitchen inkjet", "--date", "2026-01-02"),
    ):
        if words[:2] == ("proof", "passed"):
            words = (*words, "--code", code_on(Path(words[2])))
        fault, said = outcome(command(*words))
        assert not fault and "fix: make" not in said and "fix: it" not in said, f"{words}: {fault}{said}"
    next(Path().glob("*.record.json")).rename("tug.record.json")
    next(Path("data/printers").glob("*.yaml")).rename("data/printers/KEPT.yaml")


def _spans() -> dict[str, float]:
    from decalgen.commands.calibrate_printer import asked_spans
    from decalgen.printer.target import SPANS

    asked = asked_spans(None, "white A5", "caliper")
    return {span: asked.asked(span) for span in SPANS}


def outcome(read: Callable[[], object]) -> tuple[str, str]:
    """What went wrong that never may, empty if nothing; and all that was shown."""
    fault = ""
    before = sys.stdout, sys.stderr
    shown: Any = io.StringIO()
    sys.stdout = sys.stderr = shown
    try:
        with screens():
            try:
                read()
            except (DecalgenError, click.ClickException) as error:
                put(str(error))
            except (SystemExit, click.exceptions.Exit):
                pass
            except Exception:
                fault = traceback.format_exc()
    finally:
        sys.stdout, sys.stderr = before
    said = shown.getvalue()
    if not fault and (raw := RAW.search(said)):
        fault = f"raw on the terminal: U+{ord(raw.group()):04X} in {said!r}"
    return fault, said


def spoilt(kind: Kind, good: bytes, seed: str) -> bytes:
    """A bad file of a kind, the same for the same seed."""
    chance = random.Random(seed)
    return chance.choice(kind.spoils)(good, chance)
