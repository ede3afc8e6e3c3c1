"""What tests of README and handbook share: reading blocks, and running the commands in them."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from decalgen.cli.main import cli
from decalgen.core.errors import DecalgenError
from decalgen.job.films import load_cutter, load_film, load_printer
from decalgen.job.loader import load_job
from tests.helpers.commands import code_on

BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
READ_BY = {"job": load_job, "film": load_film, "printer": load_printer, "cutter": load_cutter}


def blocks(path: Path, language: str) -> list[str]:
    """The fenced blocks of one language, in order."""
    return [text for found, text in BLOCK.findall(path.read_text(encoding="utf-8")) if found == language]


def commands(group: click.Group = cli, words: tuple[str, ...] = ()) -> dict[tuple[str, ...], click.Command]:
    """Every command by its words."""
    found: dict[tuple[str, ...], click.Command] = {}
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            found |= commands(command, (*words, name))
        else:
            found[(*words, *name.split())] = command
    return found


def options_of(words: Sequence[str]) -> set[str]:
    """The options of the command that a line begins with. Fails where there is none."""
    known = commands()
    for length in (3, 2, 1):
        command = known.get(tuple(words[:length]))
        if command is not None:
            return {name for option in command.params for name in option.opts} | {"--help"}
    groups = {found[:length] for found in known for length in range(1, len(found))}
    assert tuple(words[:1]) in groups or words[0].startswith("--"), f"no command: {' '.join(words)}"
    return {name for option in cli.params for name in option.opts} | {"--help"}


def invoke(line: str) -> str:
    """Runs a `decalgen …` line in this process; its output."""
    name, *words = shlex.split(line)
    assert name == "decalgen"
    return CliRunner().invoke(cli, words, catch_exceptions=False, standalone_mode=False).output


def filled(line: str) -> str:
    """A command with what a person reads off the paper in its blanks."""
    if "____" not in line:
        return line
    with pytest.raises(DecalgenError):
        invoke(line)
    code = code_on(Path(shlex.split(line)[3]))
    return (
        line.replace("--code _____", f"--code {code}").replace("--x ____", "--x 99.9").replace("--y ____", "--y 100.1")
    )
