"""What a user names is opened at one place, and what is shown goes through one: read from the syntax of every file.

A linter sees `Path.read_text` only where it is written so; here every call of such a name counts, whatever it is called
on.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

OPENING = {"open", "read_text", "read_bytes", "write_text", "write_bytes", "fdopen", "mkstemp", "connect", "fromfile"}
SHOWING = {"print", "input", "echo", "secho", "prompt", "confirm"}
WRITING = {"stdout", "stderr", "__stdout__", "__stderr__"}

MAY_OPEN = {
    "core/small_files.py": "reads what a user names",
    "core/files.py": "writes results",
    "core/unfinished.py": "journals of results on their way",
    "cli/terminal.py": "the device that takes everything, where a stream is lost",
    "colour/build_profile.py": "makes the profile that the package carries",
    "colour/icc.py": "the profile that the package carries",
    "lettering/faces.py": "the fonts that the package carries",
    "pages/handbook/__init__.py": "the chapters that the package carries",
    "core/pixels/decode.py": "the bytes of a picture, which were read already",
    "commands/again.py": "copies of a record's files in a folder of its own",
    "workshop/drawer/store.py": "the drawer's database, once it is known to be an ordinary file",
}
MAY_SHOW = {
    "__main__.py": "a sentence of its own, while the terminal is not loaded yet",
    "cli/terminal.py": "shows",
    "nesting/worker.py": "talks to the program by lines; nobody sees it",
}


def calls(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Every call by the last part of its name, and every use of a standard stream's method."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.lineno, node.func.id
            elif isinstance(node.func, ast.Attribute):
                inner = node.func.value
                stream = isinstance(inner, ast.Attribute) and inner.attr in WRITING
                yield node.lineno, "print" if stream and node.func.attr in ("write", "writelines") else node.func.attr


def sources(repository: Path) -> Iterator[tuple[str, ast.Module]]:
    """The package's files with their syntax."""
    package = repository / "decalgen"
    for path in sorted(package.rglob("*.py")):
        yield path.relative_to(package).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(("names", "may"), [(OPENING, MAY_OPEN), (SHOWING, MAY_SHOW)])
def test_one_place_does_it(repository: Path, names: set[str], may: dict[str, str]) -> None:
    found = [
        f"decalgen/{name}:{line}: {called}()"
        for name, tree in sources(repository)
        if name not in may
        for line, called in calls(tree)
        if called in names
    ]
    assert not found, "use core.small_files, core.files or cli.terminal: " + ", ".join(found)


@pytest.mark.parametrize(("names", "may"), [(OPENING, MAY_OPEN), (SHOWING, MAY_SHOW)])
def test_who_may_does(repository: Path, names: set[str], may: dict[str, str]) -> None:
    """No name stands in the lists above that does not need to."""
    does = {name for name, tree in sources(repository) if any(called in names for _, called in calls(tree))}
    streams = {name for name, tree in sources(repository) if "stdout" in ast.dump(tree)}
    assert set(may) - does - streams == set()


def test_the_calls_are_seen() -> None:
    text = "Path(x).read_text()\nopen(y)\nsys.stderr.write(z)\nclick.echo(1)\nsys.stdout.flush()"
    assert {called for _, called in calls(ast.parse(text))} >= {"read_text", "open", "print", "echo", "flush"}


def test_nothing_takes_an_interrupt_for_an_error(repository: Path) -> None:
    """A handler that takes every exception there is, raises it again."""
    for name, tree in sources(repository):
        for node in ast.walk(tree):
            if not isinstance(node, ast.ExceptHandler):
                continue
            caught = ast.unparse(node.type) if node.type else "BaseException"
            if "BaseException" in caught:
                assert isinstance(node.body[-1], ast.Raise), f"decalgen/{name}:{node.lineno}"
