"""What the documents say is tried: every block runs, every command, option and shape is named."""

from __future__ import annotations

import importlib.util
import io
import re
import shlex
import sys
from importlib import import_module
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from PIL import Image, ImageChops, ImageStat

from decalgen.cli.main import cli
from decalgen.core.keys import specs
from decalgen.job.elements import Placing
from decalgen.job.key_words import meaning
from decalgen.job.loader import load_job
from decalgen.pages.handbook import chapters
from decalgen.shapes.base import Box, Shape
from decalgen.shapes.registry import load
from tests.helpers.documents import BLOCK, READ_BY, blocks, commands, filled, invoke
from tests.house.test_start import bootstrap


def test_every_block_of_the_readme_runs_in_its_order(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    text = (repository / "README.md").read_text(encoding="utf-8")
    said: dict[str, str] = {}
    kinds = []
    for block in BLOCK.finditer(text):
        language, body = block.groups()
        kinds.append(language)
        if language == "yaml":
            path = Path(re.findall(r"`(\S+\.yaml)`", text[: block.start()])[-1])
            path.write_text(body, encoding="utf-8")
            assert READ_BY[body.split(":")[0]](path)
        else:
            assert language == "sh"
            said |= {line: invoke(filled(line)) for line in body.splitlines() if not line.startswith("python3 ")}
    assert kinds.count("yaml") == 2 and len(said) > 6
    assert "0 errors, 0 warnings" in said["decalgen check tug.yaml"]
    (sheet,) = (text for line, text in said.items() if line.startswith("decalgen sheet"))
    assert "as on the proof" in sheet
    for name in ("tug-proof.pdf", "tug-sheet.pdf", "pictures/tug-door-band-left.png", "harbour-proof.pdf"):
        assert Path(name).stat().st_size > 300, name


def test_the_two_commands_name_scripts_that_are_there(repository: Path) -> None:
    first = blocks(repository / "README.md", "sh")[0].split("\n")
    assert first == ["python3 demo/run.py", "python3 tests/run.py", ""]
    for line in first[:2]:
        assert (repository / line.split()[1]).is_file()


def test_the_readme_names_the_starter_of_each_system(repository: Path) -> None:
    text = (repository / "README.md").read_text(encoding="utf-8")
    for system in ("win32", "darwin", "linux"):
        assert f"`{bootstrap.starter(system)[0]}`" in text
    assert f"the folder `{bootstrap.FOLDER}` of your home folder" in text


def test_the_readme_is_short_and_its_uses_fit_on_a_screen(repository: Path) -> None:
    text = (repository / "README.md").read_text(encoding="utf-8")
    assert len(text.split()) <= 1500
    heads = re.findall(r"^## (.+)$", text, re.MULTILINE)
    assert heads == ["Two commands", "Call the command", "Your first job", "Three uses", "Read on", "Licence"]
    uses = text.split("## Three uses", 1)[1].split("\n## ", 1)[0].split("\n### ")[1:]
    assert len(uses) == 3
    for use in uses:
        shown = [line for block in BLOCK.findall(use) for line in block[1].splitlines()]
        assert len(shown) <= 10, use.split("\n")[0]


def test_the_readme_leads_to_every_chapter_but_the_long_tables(repository: Path) -> None:
    text = (repository / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"\]\(decalgen/pages/handbook/(\S+?\.md)\)", text))
    assert {one.path.name for one in chapters()} - named == {
        "82-commands.md",
        "84-keys.md",
        "86-shapes-layouts-faces.md",
    }


def test_the_pictures_of_the_first_job_are_those_that_the_program_draws(repository: Path) -> None:
    """Small files, made by `demo/run.py --picture`; another version of a library may differ in the shade of edges."""
    spec = importlib.util.spec_from_file_location("main_job_under_test", repository / "demo" / "main_job.py")
    assert spec is not None and spec.loader is not None
    demo = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(demo)
    text = (repository / "README.md").read_text(encoding="utf-8")
    made = demo.first_job()
    assert len(made) == 3
    for path, data in made.items():
        kept = repository / "demo" / path.name
        assert f"](demo/{path.name})" in text and kept.stat().st_size < 60_000
        was, now = (Image.open(io.BytesIO(one)).convert("RGB") for one in (kept.read_bytes(), data))
        assert was.size == now.size, f"{path.name}: run demo/run.py --picture"
        difference = ImageStat.Stat(ImageChops.difference(was, now)).mean
        assert max(difference) < 1.0, f"{path.name}: run demo/run.py --picture"


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
        assert re.search(rf"^  {spec.key} .*; (required|optional|default:)|^  {spec.key}$", said, re.MULTILINE)
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
    places += [repository / "README.md", repository / "DEVELOPERS.md", *(one.path for one in chapters())]
    assert [path for path in places if unfinished.search(path.read_text(encoding="utf-8"))] == []


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
