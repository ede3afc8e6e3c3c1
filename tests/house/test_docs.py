"""What the documents say is tried: every block runs, every command, option and shape is named."""

from __future__ import annotations

import re
import runpy
import shlex
import sys
from importlib import import_module
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from decalgen.cli.main import cli
from decalgen.core.instruments import instruments
from decalgen.core.keys import specs
from decalgen.job.elements import Placing
from decalgen.job.films import load_film, load_printer
from decalgen.job.key_words import meaning
from decalgen.job.loader import load_job
from decalgen.panels.registry import kinds, obstacle_for, obstacle_kinds
from decalgen.shapes.base import Box, Shape
from decalgen.shapes.registry import load
from tests.helpers.documents import BLOCK, READ_BY, blocks, commands, filled, invoke


def test_every_block_of_the_readme_is_of_a_kind_that_is_tried(repository: Path, tmp_path: Path) -> None:
    found = BLOCK.findall((repository / "README.md").read_text(encoding="utf-8"))
    # The one script is run by a test of its own.
    assert [[language for language, _ in found].count(one) for one in ("sh", "python")] == [2, 1]
    for language, text in found:
        if language not in ("sh", "python"):
            assert language == "yaml"
            path = tmp_path / "block.yaml"
            path.write_text(text, encoding="utf-8")
            # Raises for a block that is not what its first word says.
            assert READ_BY[text.split(":")[0]](path)


def test_the_two_commands_name_scripts_that_are_there(repository: Path) -> None:
    first = blocks(repository / "README.md", "sh")[0].split("\n")
    assert first == ["python3 demo/run.py", "python3 tests/run.py", ""]
    for line in first[:2]:
        assert (repository / line.split()[1]).is_file()


def test_the_first_job_has_no_brackets_and_its_commands_work(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    text = blocks(repository / "README.md", "yaml")[0]
    assert not set("[]{}") & set(text)
    Path("tug.yaml").write_text(text, encoding="utf-8")
    said = {line: invoke(filled(line)) for line in blocks(repository / "README.md", "sh")[1].splitlines()}
    assert "0 errors, 0 warnings" in said["decalgen check tug.yaml"]
    for name in ("tug-proof.pdf", "tug-sheet.pdf", "tug.positions.json", "pictures/tug-door-band-left.png"):
        assert Path(name).stat().st_size > 300, name
    (sheet,) = (text for line, text in said.items() if line.startswith("decalgen sheet"))
    assert "as on the proof" in sheet


def table(page: str, head: str) -> list[tuple[str, list[str]]]:
    """The rows of a table by its first head: the first cell, and every `{…}` in the second."""
    rows = page.split(f"| {head} | for example |\n|---|---|\n", 1)[1].split("\n\n", 1)[0].splitlines()
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    return [(first, re.findall(r"`(\{.*?\})`", second)) for first, second in cells]


def test_every_kind_of_panel_obstacle_and_instrument_is_in_the_readme_and_its_examples_work(
    repository: Path, tmp_path: Path
) -> None:
    """The first word of a row is the kind that its examples make."""
    page = (repository / "README.md").read_text(encoding="utf-8")
    panels, obstacles = table(page, "panel"), table(page, "obstacle")
    said = {re.split("[:,]", first)[0]: examples for first, examples in panels}
    assert set(said) == set(kinds())
    rows = [f"  {name} {n}: {one}" for name, some in said.items() for n, one in enumerate(some)]
    things = [one for _, some in obstacles for one in some]
    rows.append("  door: {width: 22 mm, height: 12 mm, obstacles: {")
    rows += [f"    thing {n}: {one}," for n, one in enumerate(things)]
    file = tmp_path / "all.yaml"
    lines = ["job: all", "body: white", 'scale: "1:43"', "panels:", *rows, "    }}"]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    job = load_job(file)
    for panel in job.panels[:-1]:
        assert panel.name.startswith(panel.kind), panel.name
    assert len(job.panels) == sum(map(len, said.values())) + 1
    assert {obstacle_for(re.findall(r"[{ ](\w+):", one)).name for one in things} == set(obstacle_kinds())
    assert all(f"`{one.name}`" in page for one in instruments())


def test_the_film_of_the_readme_is_one(repository: Path, tmp_path: Path) -> None:
    path = tmp_path / "film.yaml"
    path.write_text(blocks(repository / "README.md", "yaml")[1], encoding="utf-8")
    film = load_film(path)
    assert (film.kind, film.width, film.used[0].height) == ("white", 148.0, 30.0)


def test_the_printer_of_the_readme_is_one(repository: Path, tmp_path: Path) -> None:
    path = tmp_path / "printer.yaml"
    path.write_text(blocks(repository / "README.md", "yaml")[2], encoding="utf-8")
    printer = load_printer(path)
    assert (printer.process, printer.margins, printer.white) == ("inkjet", (5.0, 5.0, 10.0, 5.0), False)


def test_the_white_printer_of_the_readme_is_one(repository: Path, tmp_path: Path) -> None:
    path = tmp_path / "printer.yaml"
    path.write_text(blocks(repository / "README.md", "yaml")[3], encoding="utf-8")
    printer = load_printer(path)
    assert printer.white and printer.swatches is not None
    assert (printer.swatches.opacity, [name for name, _ in printer.swatches.patches]) == (0.6, ["lifebuoy orange"])


def test_the_readme_opens_with_the_job_then_a_picture_then_the_commands(repository: Path) -> None:
    text = (repository / "README.md").read_text(encoding="utf-8")
    title, job, picture, heading = [part for part in text.split("\n\n") if part.strip()][:4]
    assert title == "# decalgen" and job.startswith("You restore small die-cast toy vehicles")
    assert heading == "## Two commands"
    shown = re.fullmatch(r"!\[[^\]]+\]\(([^)]+)\)", picture)
    assert shown is not None
    data = (repository / shown[1]).read_bytes()
    assert data.startswith(b"\x89PNG\r\n\x1a\n") and len(data) < 200_000


@pytest.mark.parametrize("words", sorted(commands()), ids=" ".join)
def test_every_command_and_option_is_in_the_table_of_the_readme(repository: Path, words: tuple[str, ...]) -> None:
    text = (repository / "README.md").read_text(encoding="utf-8")
    longer = [found for found in commands() if len(found) > len(words) and found[: len(words)] == words]

    def of(found: tuple[str, ...], row: str) -> bool:
        return row.startswith(f"| `decalgen {' '.join(found)}")

    rows = [row for row in text.splitlines() if of(words, row) and not any(of(other, row) for other in longer)]
    assert len(rows) == 1
    shared = re.search(r"^All printing commands share: (.*)$", text, re.MULTILINE)
    assert shared is not None
    every = re.search(r"^Every command also takes: (.*)$", text, re.MULTILINE)
    assert every is not None
    more = (shared[1] if "all printing commands" in rows[0] else "") + every[1]
    named = set(re.findall(r"`(--?[a-z-]+)`", rows[0] + more))
    options = {
        (set(option.opts) & {"-o", "-v", "-q"} or {option.opts[-1]}).pop()
        for option in commands()[words].params
        if isinstance(option, click.Option) and not option.hidden
    }
    assert named == options


@pytest.mark.parametrize("words", sorted(commands()), ids=" ".join)
def test_every_command_has_help_with_an_example_that_its_options_allow(words: tuple[str, ...]) -> None:
    command = commands()[words]
    said = CliRunner().invoke(cli, [*words, "--help"]).output
    example = re.search(r"Example:\n\s+(decalgen .*)", said)
    assert example is not None, "no example"
    tokens = shlex.split(example[1].split(">")[0])
    assert tuple(tokens[1 : 1 + len(words)]) == words
    known = {name for option in command.params for name in option.opts}
    assert {token for token in tokens if token.startswith("-")} <= known
    for option in command.params:
        if isinstance(option, click.Option) and not option.hidden:
            assert option.help, option.name


@pytest.mark.parametrize("shape", sorted(load()))
def test_every_shape_is_explained(shape: str) -> None:
    said = invoke(f"decalgen shapes {shape}")
    assert said.startswith(f"{shape}: ")
    cls = load()[shape]
    for spec in (*specs(cls), *specs(Placing)):
        # The key, what it takes and what holds without it; below it, what it means.
        assert re.search(rf"^  {spec.key} .*; (required|optional|default: )|^  {spec.key}$", said, re.MULTILINE)
        assert " ".join(meaning(spec.kind).split()) in " ".join(said.split())
    assert cls.__doc__


def test_the_shape_of_the_developers_page_can_be_added(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from decalgen.shapes import registry

    monkeypatch.setattr(registry, "_shapes", dict(registry._shapes))
    (tmp_path / "added_bar.py").write_text(blocks(repository / "DEVELOPERS.md", "python")[0], encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    module = import_module("added_bar")
    bar = module.Bar("navy", 1.0)
    assert isinstance(bar, Shape) and registry.find("bar") is module.Bar
    assert bar.draw(bar.extent(Box(20.0, 5.0)), 0.5)[0].region.bounds == (-0.5, -0.5, 20.5, 1.5)
    sys.modules.pop("added_bar")


def test_nothing_is_left_for_later_in_the_code(repository: Path) -> None:
    unfinished = re.compile(r"\b(TODO|FIXME|XXX|[Ss]tub(bed|s)?)\b")
    assert unfinished.search("a stub, TODO") and not unfinished.search("todo = STUB")
    places = [*(repository / "decalgen").rglob("*.py"), *(repository / "demo").glob("*.py")]
    assert len(places) > 100
    places += [repository / "README.md", repository / "DEVELOPERS.md"]
    assert [path for path in places if unfinished.search(path.read_text(encoding="utf-8"))] == []


def test_the_options_of_decalgen_itself_are_in_the_readme(repository: Path) -> None:
    text = (repository / "README.md").read_text(encoding="utf-8")
    for option in cli.params:
        assert f"`{option.opts[0]}`" in text, option.name
    assert "`--debug`" in text and "--debug" in (cli.epilog or "")


def test_every_module_has_a_docstring_and_a_row_in_the_developers_page(repository: Path) -> None:
    page = (repository / "DEVELOPERS.md").read_text(encoding="utf-8")
    for path in sorted((repository / "decalgen").rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        assert source.lstrip().startswith('"""'), path
    for path in sorted((repository / "decalgen").iterdir()):
        if path.name.startswith("__") or path.suffix not in ("", ".py"):
            continue
        name = f"`{path.name}`" if path.suffix else f"`{path.name}/`"
        if path.is_dir() and not any(path.glob("*.py")):
            continue
        assert name in page, name


def test_the_examples_on_the_developers_page_name_tests_that_are_there(repository: Path) -> None:
    for block in blocks(repository / "DEVELOPERS.md", "sh"):
        for word in block.split():
            if word.startswith("tests/"):
                assert (repository / word).exists(), word


def test_demo_jobs_are_commented_and_load(repository: Path) -> None:
    for name in ("gannet", "h9", "ostmerrow", "dravenhoe"):
        path = repository / "demo" / f"{name}.yaml"
        assert path.read_text(encoding="utf-8").startswith("#")
        assert load_job(path).name == name


def test_the_script_in_the_readme_runs(repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (script,) = blocks(repository / "README.md", "python")
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tug.yaml").write_text(blocks(repository / "README.md", "yaml")[0], encoding="utf-8")
    (tmp_path / "script.py").write_text(script, encoding="utf-8")
    runpy.run_path("script.py")
    assert (tmp_path / "tug-proof.pdf").is_file() and (tmp_path / "tug.positions.json").is_file()
