"""What commands say, as the page says it: no fix sends one to an option or command that has a place on the page."""

from __future__ import annotations

import ast
import asyncio
import re
from pathlib import Path

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.page_state import refusal
from decalgen.bench.page_words import on_page
from decalgen.bench.screens import check, film, printer
from decalgen.bench.workplace import Workplace
from decalgen.cli.main import cli
from decalgen.commands.scan_words import ScanWordsError, request_of
from decalgen.core.errors import DecalgenError
from decalgen.printer import target
from tests.preflight.test_codes import codes, rows

TYPED = re.compile(rf"--[a-z]+|\bdecalgen (?:{'|'.join(cli.commands)})\b")
"""An option, or a command."""
ONLY_TYPED = {
    "`--plates`",
    "`decalgen sheet --plates`",
    "`decalgen fonts`",
    "`decalgen fonts --like`",
    "`decalgen draw`",
}
"""What has no place on the page: printing plates, the list of faces, and the picture of two ways of lettering."""
FIELDS = re.compile(r"\{[^{}]*\}")


def left_over(words: str) -> list[str]:
    """The options and commands that the page would still tell one to type."""
    said = on_page(words)
    for one in ONLY_TYPED:
        said = said.replace(one, "")
    return TYPED.findall(said)


def strings(tree: ast.AST) -> list[str]:
    """Every text of a module, with a word where a value is filled in, but for what documents it."""
    joined = [node for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)]
    parts = {id(part) for node in joined for part in node.values}
    parts |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    whole = [
        "".join(str(part.value) if isinstance(part, ast.Constant) else "tug.yaml" for part in node.values)
        for node in joined
    ]
    plain = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in parts]
    return [*whole, *(node.value for node in plain if isinstance(node.value, str))]


@pytest.mark.parametrize("code", sorted(rows()))
def test_what_helps_against_a_finding_is_to_be_found_on_the_page(code: str) -> None:
    assert left_over(rows()[code][3]) == []


def test_no_module_of_findings_names_what_the_page_has(repository: Path) -> None:
    seen = 0
    for path in sorted((repository / "decalgen").rglob("*.py")):
        if path.relative_to(repository).parts[1] in ("bench", "cli", "commands"):
            continue  # What a command says of itself, and the page.
        tree = ast.parse(path.read_text(encoding="utf-8"))
        calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
        if not any(getattr(node.func, "id", "") == "Finding" for node in calls):
            continue
        for words in strings(tree):
            seen += bool(TYPED.search(words))
            assert left_over(words) == [], path
    assert seen > 5 and codes(repository)


SAID_HERE = (
    *(f"commands/{one}.py" for one in ("film_drawer", "calibrate_printer", "calibrate_colour", "printer_drift")),
    "workshop/*.py",
    "workshop/drawer/*.py",
    "printer/history.py",
)
"""The modules of which Film and Printer say what they say."""
SENDING = ("commands/print_to.py", "commands/print_pages.py", "workshop/printers/*.py")
"""And those of which Proof and Print do, where they send to a printer."""


def fixes(tree: ast.AST) -> list[str]:
    """What each error and finding of a module gives as its fix."""
    found = [
        word.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        for word in node.keywords
        if word.arg == "fix"
    ]
    names = [node for node in ast.walk(tree) if isinstance(node, ast.Assign) and "fix" in ast.unparse(node.targets[0])]
    return [one for value in (*found, *(node.value for node in names)) for one in strings(ast.Expression(value))]


@pytest.mark.parametrize(("names", "least"), [(SAID_HERE, 15), (SENDING, 7)], ids=["film and printer", "sending"])
def test_what_is_advised_beside_the_steps_is_to_be_found_on_the_page(
    repository: Path, names: tuple[str, ...], least: int
) -> None:
    seen = 0
    for path in (path for name in names for path in sorted((repository / "decalgen").glob(name))):
        for words in fixes(ast.parse(path.read_text(encoding="utf-8"))):
            # Filled in as they are when the command runs.
            said = words.replace("`tug.yaml`", "`decalgen sheet --again tug.record.json --to X`")
            said = said.replace("--tug.yaml", "--tray")
            seen += bool(TYPED.search(said))
            assert left_over(said) == [], f"{path.name}: {said}"
    assert seen > least


MAKING = (
    "core/files.py",
    "commands/inputs.py",
    "commands/proof_passed.py",
    "commands/still_proven.py",
    "proofing/*.py",
    "sheet/*.py",
    "workshop/drawer_for_jobs.py",
)
"""The modules that say why a nest, a proof, a verdict or a sheet for film could not be made."""
NAMED = re.compile(rf"{TYPED.pattern}|(?<![\w-])-o\b|\bname (?:(?:a|another|the) (?:sheets?|proof)|its file)\b")
"""The same, or words that one would have to type after a command."""
NO_WORDS = {
    "name either the drawer or films, or sheets of the drawer such as 'drawer white A5 1' beside films",
    "name the sheets, or the drawer alone",
    "leave out --x and --y, or --scan",
}
"""What the page never asks of the commands: there these films are not chosen together, and bars are typed or
scanned."""


def test_what_is_said_of_what_could_not_be_made_is_to_be_found_on_the_page(repository: Path) -> None:
    seen = 0
    for path in (path for name in MAKING for path in sorted((repository / "decalgen").glob(name))):
        for words in fixes(ast.parse(path.read_text(encoding="utf-8"))):
            # Filled in as they are when the command runs.
            said = re.sub("`tug.yaml`", "`decalgen proof passed tug-proof.pdf --code _____ --x ____`", words)
            said = re.sub("--tug.yaml", "--x", said).replace("--sheet tug.yaml", "--sheet 2")
            if words in NO_WORDS or not NAMED.search(said):
                continue
            seen += 1
            assert NAMED.findall(on_page(said).replace("`--plates`", "")) == [], f"{path.name}: {on_page(said)}"
    assert seen > 15


SCANNED = (
    *("scan/*.py", "scan/printed/*.py", "scan/template/*.py"),
    *("commands/scan_words.py", "commands/scan_into.py", "commands/template_into.py"),
)
"""The modules that say why nothing could be read from a scan."""
NOT_ASKED = re.compile(r"--(?:bar|depth|camera|fills|corners|white|black|own-white|chart|tolerance|part|straight)\b")
"""What the page never asks for as words: bars, a depth and what a pattern filled not at all, places by the pointer."""


def test_what_is_said_of_a_scan_is_to_be_found_on_the_page(repository: Path) -> None:
    with pytest.raises(ScanWordsError) as refused:
        request_of({"beside": "a card"})
    seen = 0
    for path in (path for name in SCANNED for path in sorted((repository / "decalgen").glob(name))):
        for words in (*fixes(ast.parse(path.read_text(encoding="utf-8"))), refused.value.fix):
            # Of these no words of one's own come from the page.
            never = path.name in ("scan_words.py", "scale.py", "patches.py") and NOT_ASKED.search(words)
            if never or not TYPED.search(words):
                continue
            seen += 1
            assert left_over(words) == [], f"{path.name}: {words}"
    assert seen > 10


def test_film_says_where_on_the_page_to_go(job: Path) -> None:
    place = Workplace(Desk(job))
    film.add(place, {"kind": "white", "adhesive": "waterslide", "process": "inkjet", "size": "A5", "count": "2"})
    film.show(place, {"sheet": "white A5 1", "form": "svg"})
    film.carrier(place, {"sheet": "white A5 1"})
    said = place.results["film"]["lines"]
    assert not [one for one in said if left_over(one)]
    with pytest.raises(DecalgenError) as refused:
        film.add(place, {"kind": "white", "adhesive": "waterslide", "process": "inkjet", "size": "A5", "count": "999"})
    assert refusal(refused.value, {})["fix"].endswith("at How many")


def test_printer_says_where_on_the_page_to_go(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = Workplace(Desk(job))
    monkeypatch.setattr(place, "begin", lambda work, *_: work.close())  # no loop runs here
    asked = {
        "name": "desk inkjet",
        "film": "white A5",
        "tool": "caliper",
        "date": "2026-11-25",
        "feed": "short edge first",
    }
    printer.ACTS["target"](place, asked)
    told = [*place.results["printer"]["lines"]]
    typed = {span: [139.71 if span.startswith("up") else 109.61] * 3 for span in target.SPANS[:6]}
    for span, readings in typed.items():
        printer.ACTS["type"](place, asked | {"span": span, "words": " ".join(map(str, readings))})
    printer.ACTS["keep"](place, asked)
    assert any("print with it: choose it" in one for one in place.results["printer"]["lines"])
    told += place.results["printer"]["lines"]
    (profile,) = printer.state(place, {})["profiles"]
    long = {"profile": profile["named"], "x": "101.5", "y": "100.0", "date": "2026-11-26", "tool": "caliper"}
    printer.ACTS["bars"](place, long)
    result = place.results["printer"]
    told += [*result["lines"], *(one[key] for one in result["findings"] for key in ("message", "fix"))]
    told += [one for shown in printer.state(place, {})["profiles"] for one in shown["lines"]]
    assert result["findings"] and told and not [one for one in told if left_over(one)]
    with pytest.raises(DecalgenError) as refused:
        printer.ACTS["bars"](place, long | {"asked_x": "60 61"})
    said = refusal(refused.value, {})
    assert said["message"].startswith("Should be, across: '60 61'") and not left_over(said["fix"])


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("move it, or nest again (`--nest-again`)", 'move it, or nest again ("Nest again" on Sheet)'),
        ("add `--film` with a white film, or change it", "add, under Film on Sheet, a white film, or change it"),
        ("type the readings in: decalgen measure tug.yaml", "type the readings in on Measure"),
        ("make the proof again with `decalgen proof`", "make the proof again on Proof"),
        ("calibrate it (`decalgen calibrate print`), then print", "calibrate it (see Printer), then print"),
        ("choose a face that has them all (`decalgen fonts`)", "choose a face that has them all (`decalgen fonts`)"),
        ("write `film: white`", "write `film: white`"),
        (
            "name a sheet of clear film of the drawer as well",
            "press a sheet of clear film as well, or choose Add film: clear A5",
        ),
        ("choose a folder you may write to with -o", "copy the job file into a folder that you may write to"),
        ("look at it with `decalgen film show x`", "look at it on Film"),
        ("as in --value 'columns = 12'", "as in 12"),
        ("--beside: '85 furlongs' is not a length", "'85 furlongs' is not a length"),
        (
            "it could also be read as checks: see --as checks",
            "it could also be read as checks: choose checks at The pattern",
        ),
        (
            "add `line` after corner 2 in --points if that side is straight",
            "choose line for the side after corner 2 if that side is straight",
        ),
        (
            "lay a plain card beside the template and give --beside card, or type --width and --height",
            "lay a plain card beside the template, or type its width and height",
        ),
        (
            'it could also be read as slanted stripes: see --as "slanted stripes"',
            "it could also be read as slanted stripes: choose slanted stripes at The pattern",
        ),
        ("bring it back with `decalgen film import FILE`", 'bring it back under "Copies of the drawer" on Film'),
        (
            "print this proof, and measure that; or name the proof that the paper is of",
            "print this proof, and measure that; or open the job that the paper is of",
        ),
    ],
)
def test_words_of_a_command_become_words_of_the_page(said: str, shown: str) -> None:
    assert on_page(said) == shown


def test_check_says_where_on_the_page_to_go(job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("width: 22.40 mm ± 0.05", "width: '?'", 1), encoding="utf-8")
    place = Workplace(Desk(job))
    asyncio.run(place.examine())
    fixes = {one["fix"] for one in check.state(place, {})["findings"]}
    assert "measure, and type the readings in on Measure" in fixes
    assert not any(left_over(one) for one in fixes)
