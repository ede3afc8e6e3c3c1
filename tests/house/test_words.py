"""Plain words for users: messages, help, papers, README, handbook and layouts keep clear of odd turns; each term has
one meaning. What is asked for here is the project's own style, common practice, no source."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from decalgen.commands.lists import shapes
from decalgen.lettering.paper import paper, unmarked, wrap
from decalgen.shapes.registry import load

TURNS: dict[str, str] = {
    r"less than nothing|more than nothing|below nothing|nothing reaches": "negative, greater than zero",
    r"(?<!there )\bis no (?!longer|wider|larger|smaller|more\b|other\b)": "is not a",
    r"\bstands?\b (?:here|there|twice|in|behind|for itself|for no|after|inside|beside the bar|under its)": "is, has",
    r"\bnothing stands|cannot stand\b|stands? (?:beside|above|up|out)\b": "is missing, out of place",
    r"\b(?:is|are) wanted\b": "is needed",
    r"\bwhere it is wanted\b": "needed",
    r"\b(?:is|was) told\b|told by\b|\bnot told\b": "says, shows, run",
    r"\btakes nothing off\b|\btakes off\b|\bgiven back\b": "prints nothing on, marks as used, restores",
    r"\bmend(?:s|ed)? (?:these|the|it|this)\b|film is dear": "correct",
    r"\bfigures\b(?=[ ,]*(?:0-9|and blanks|and spaces|spaces|single|or punctuation))|\bblanks\b": "digits, spaces",
    r"of the doubt|\bthe doubt\b": "uncertainty",
    r"room (?:across|up)\b": "spare width, spare height",
    r"\bbars? (?:across|up)\b": "horizontal, vertical bar",
    r"dots to the inch": "dots per inch",
    r"outside what is possible": "out of range",
    r"a plain number where": "needs a unit",
    r"hung and was": "stopped responding",
    r"\banew\b|\botherwise than\b|\bas then\b": "again, differently, as before",
    r"across themselves": "at right angles to their length",
    r"(?:keeps|keep) (?:its|their) reading in the other hand": "is not mirrored on the right side",
    r"what is gone of|what each suits|it tells what": "parts already used, what each is suited to",
    r"[Ww]hich hand\.": "Only the left- or right-hand decals.",
    r"gives another nest": "gives the same arrangement",
    r"Photos lie": "a photo is 1 % out",
    r"no (?:layout|arrangement) does with": "the least possible is",
    r"clearance counted|gap counted in": "included",
    r"[Tt]ake (?:it|this) away|to take away": "remove",
    r"\breckon": "work out",
    r"\bthen the same with\b|\bthe same once more\b": "as well, again",
}
"""What reads oddly, and what to say in its place."""

TERMS: dict[str, str] = {
    r"\bbow(?:s|ed)?\b": "bent",
    r"\bshear(?:s|ed)?\b": "lean",
    r"\brotat(?:e|es|ed|ion)\b": "turn",
    r"\bspots\b": "areas",
    r"\b(?:white base|base decals?|base of white|base choke|over its base|gets no base)\b|`base": "backing",
    r"(?<!--)\bcaps?\b(?! (?:height|line)s?\b| the blade| reversed|:|, caps|`)": "dome, capitals",
    r"(?:best|first|nested) layout|layouts? (?:so far|uses|of (?:a|the) sheet)|\blayout [0-9{]": "arrangement",
    r"\b(?:a|an|another|best|every|this) nest\b": "arrangement",
}
"""A word that has another meaning here, and the word that is meant. A spot is an ink, a cap a capital, a base the
underside of the model, a layout a ready decal."""

ALLOWED = {"job/old_words.py", "note: --bowed is called --bent now; the old word still works"}
"""A module of the old words, and the text that names an old option."""
CODE = re.compile(r"CREATE TABLE|SELECT |INSERT |PRAGMA|^\W*$|\\[dwWsb]|^[a-z_]+$|^[a-z-]+$")


def faults(text: str) -> list[str]:
    """The odd turns and wrong terms of a text, each with what to say."""
    found = []
    for pattern, better in (*TURNS.items(), *TERMS.items()):
        found += [f"'{one.group()}' → {better}" for one in re.finditer(pattern, text)]
    return found


def _shown(node: ast.AST) -> str:
    """A text as one reads it; what is filled in stays as {…}."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    if isinstance(node, ast.JoinedStr):
        return "".join(_shown(part) for part in node.values)
    return "{…}" if isinstance(node, ast.FormattedValue) else ""


def texts(source: str, docstrings: bool) -> Iterator[tuple[int, str]]:
    """Every text of a module with its line; docstrings of functions too where they are help."""
    tree = ast.parse(source)
    silent: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            helps = docstrings and isinstance(node, ast.FunctionDef) and node.decorator_list
            silent.update(
                id(one.value) for one in node.body if isinstance(one, ast.Expr) and not (helps and one is node.body[0])
            )
        if isinstance(node, ast.JoinedStr):
            silent.update(id(part) for value in node.values for part in ast.walk(value))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant | ast.JoinedStr) and id(node) not in silent:
            yield node.lineno, _shown(node)


def said(repository: Path) -> Iterator[tuple[str, str]]:
    """Everything a user may read: where it is, and the text."""
    package = repository / "decalgen"
    for path in sorted(package.rglob("*.py")):
        name = path.relative_to(package).as_posix()
        if name in ALLOWED:
            continue
        for line, text in texts(path.read_text(encoding="utf-8"), name.startswith("cli/")):
            if text not in ALLOWED and " " in text.strip() and not CODE.search(text):
                yield f"decalgen/{name}:{line}", text
    chapters = sorted((package / "pages" / "handbook").glob("*.md"))
    for path in (repository / "README.md", *chapters, *sorted((repository / "layouts").glob("*.yaml"))):
        for line, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            yield f"{path.name}:{line}", text


def test_what_a_user_reads_is_plain_english_with_one_meaning_a_word(repository: Path) -> None:
    everything = list(said(repository))
    assert len(everything) > 2500
    wrong = [f"{where}: {', '.join(found)}" for where, text in everything if (found := faults(text))]
    assert wrong == []


@pytest.mark.parametrize(
    "planted",
    [
        "a clearance below nothing reaches beyond",
        "the radius is less than nothing",
        "'14.3.2026' is no date",
        "nothing stands after 'ink:'",
        "'x' stands here twice, first in line 3",
        "a comma stands here",
        "a list is text, and keys are wanted",
        "its size is told by: decalgen",
        "'x' takes nothing off 'white A5 1'",
        "mend these first",
        "the size of this sheet is not proven, and film is dear",
        "use letters, figures and blanks",
        "62 % of the doubt",
        "room across +2.40 mm",
        "the check bar up was not measured",
        "Of .png: dots to the inch.",
        "5 m is outside what is possible here",
        "this is a plain number where a length is wanted",
        "the engine 'x' hung and was ended",
        "12 pieces, nothing nested anew",
        "moves the stripes across themselves",
        "keeps its reading in the other hand",
        "what is gone of it",
        "Which hand.",
        "reckoned from the readings",
        "then the same with --sheet 2",
        "Another seed gives another nest.",
        "Photos lie by 1 %",
        "62 cm² used, and no layout does with less",
        "lies on the handle, clearance counted",
        "or take it away",
        "a bowed panel",
        "shear: +0.19 mm",
        "rotate it by 90",
        "spots on the decal",
        "white base under clear film",
        "leave `base` out",
        "halfway round a cap of 20 mm",
        "this is the best layout so far",
        "layout 1a2b3c4d",
    ],
)
def test_an_odd_turn_is_found(planted: str) -> None:
    assert faults(planted)
    (line,) = [text for _, text in texts(f"raise Wrong(f{planted!r})\n", False)]
    assert faults(line)


@pytest.mark.parametrize(
    "right",
    [
        "there is no shape 'x'",
        "the tape is no longer than the chord",
        "with `cap height: 1.6 mm`, 1.6 cap heights from baseline to baseline",
        "cap the blade when you put it down",
        "a spot ink",
        "for the base of the model",
        "name the job; a decal takes the layout with layout: its name",
        "'door' is not a date",
        "pages turned by half a turn",
    ],
)
def test_the_right_uses_pass(right: str) -> None:
    assert faults(right) == []


def test_help_is_read_and_other_docstrings_are_not() -> None:
    source = '"""is no date"""\n@command\ndef run():\n    """is no help"""\n\ndef plain():\n    """is no text"""\n'
    assert [text for _, text in texts(source, True)] == ["is no help"]
    assert list(texts(source, False)) == []


def heads(shape: str) -> dict[str, str]:
    """The first line of each key of a shape's page: what it takes, and what holds without it."""
    lines = [re.fullmatch(r"  (\S[^;]*?)  +(\S.*)", line) for line in shapes(shape, None).lines]
    return {found[1]: found[2] for found in lines if found}


def test_a_shape_is_explained_without_python() -> None:
    for name in load():
        assert heads(name)
        for line in shapes(name, None).lines:
            assert not re.search(r"\(\)|\b(?:True|False|None)\b", line), line
        for head in heads(name).values():
            assert not re.search(r"\b(?:needed|many,|inkname|facename|anchored)(?!\w)", head), head


def test_a_default_is_written_as_in_a_job_file() -> None:
    rows = heads("lettering")
    assert rows["fit"] == "yes or no; default: no"
    assert rows["least gap"] == "a length, in mm; default: 0.2 mm"
    assert rows["text"] == "a text, or a list of texts; required"
    assert rows["axes"] == "a text, or a list of texts; optional"
    assert rows["align"] == "left, centre or right; default: centre"


def test_paper_shows_quotes_where_a_screen_shows_backticks() -> None:
    assert unmarked("run `decalgen proof` again") == "run \u2018decalgen proof\u2019 again"
    assert paper("write `bleed`", 8.0).width == paper("write \u2018bleed\u2019", 8.0).width
    assert not any("`" in row for row in wrap("write `split at: [shut line]` at the decal", 8.0, 20.0))


def test_no_text_of_ours_gives_a_command_with_readings_ready_to_paste() -> None:
    """Readings that pass are measured, never copied: blanks stand for them, in messages, help, README and demo."""
    ready = re.compile(r"(?:proof passed|calibrate bars)[^\n]*--[xy][ =]+['\"]?\d")
    texts = [
        *Path("decalgen").rglob("*.py"),
        *Path("decalgen").rglob("*.md"),
        Path("README.md"),
        Path("DEVELOPERS.md"),
        *Path("demo").glob("*.py"),
    ]
    found = [f"{path}: {match[0]}" for path in texts for match in ready.finditer(path.read_text(encoding="utf-8"))]
    assert found == []
    assert ready.search("decalgen calibrate bars desk --x 99.9 --y 100.1")
