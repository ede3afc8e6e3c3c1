"""The start scripts: what they say when something is missing, and that they do everything only once.

The parts that touch the outside are handed in and made to fail. What pip says without a network is what pip
23.2 said on Linux; the other failures of pip and venv are quoted from memory.
"""

from __future__ import annotations

import ast
import importlib.util
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
SCRIPTS = ("demo/bootstrap.py", "demo/run.py", "tests/run.py")


def load(name: str, path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


bootstrap = load("bootstrap_under_test", REPOSITORY / "demo" / "bootstrap.py")

PIP_NO_NETWORK = """\
WARNING: Retrying (Retry(total=0, connect=None, read=None, redirect=None, status=None)) after connection \
broken by 'NewConnectionError('<pip._vendor.urllib3.connection.HTTPSConnection object at 0x7f0f2cd961b0>: \
Failed to establish a new connection: [Errno -2] Name or service not known')': /simple/hatchling/
ERROR: Could not find a version that satisfies the requirement hatchling (from versions: none)
ERROR: No matching distribution found for hatchling
"""
PIP_LOCKED = """\
ERROR: Could not install packages due to an OSError: [WinError 5] Access is denied: 'C:\\\\x'
"""
PIP_FULL = """\
ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device
"""
PIP_CERTIFICATE = """\
Could not fetch URL: There was a problem confirming the ssl certificate: Max retries exceeded (Caused by \
SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED] certificate verify failed')))
"""
VENV_NO_ENSUREPIP = """\
The virtual environment was not created successfully because ensurepip is not
available.  On Debian/Ubuntu systems, you need to install the python3-venv
package using the following command.
"""
VENV_ENSUREPIP_FAILS = """\
Error: Command '['/x/.venv/bin/python3', '-m', 'ensurepip', '--upgrade', '--default-pip']' returned non-zero \
exit status 1.
"""


class World:
    """Stands in for the outside: answers every command, and remembers it."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.commands: list[list[str]] = []
        self.said: list[str] = []
        self.answers: dict[str, tuple[int, str]] = {}
        self.modules = {"venv", "ensurepip"}
        self.version = "3 12"
        (root / "pyproject.toml").write_text("[project]\n", encoding="utf-8")

    def run(self, command: list[str], folder: str, environment: dict[str, str]) -> tuple[int, str]:
        self.commands.append(command)
        kind = self.kind(command)
        if kind == "venv" and "venv" not in self.answers:
            self.make_venv()
        return self.answers.get(kind, (0, self.version if kind == "version" else ""))

    @staticmethod
    def kind(command: list[str]) -> str:
        if "-c" in command:
            return "version"
        return "pip there" if command[-1] == "--version" else command[2]

    def make_venv(self) -> None:
        python = self.root / ".venv" / "bin" / "python"
        python.parent.mkdir(parents=True, exist_ok=True)
        python.write_text("", encoding="utf-8")
        (self.root / ".venv" / "pyvenv.cfg").write_text("version = 3.12.1\n", encoding="utf-8")

    def setup(self) -> Any:
        return bootstrap.Setup(str(self.root), self.run, self.modules.__contains__, self.said.append)

    def done(self) -> list[str]:
        return [self.kind(command) for command in self.commands]


@pytest.fixture
def world(tmp_path: Path) -> World:
    return World(tmp_path)


def one_sentence(text: str) -> str:
    """One line, that ends as a sentence does and says what to do."""
    assert "\n" not in text
    assert "Traceback" not in text
    assert "start this" in text
    return text


# ------------------------------------------------------------------------------------------- old Pythons


@pytest.mark.parametrize("name", SCRIPTS)
def test_an_old_python_can_read_it(name: str) -> None:
    source = (REPOSITORY / name).read_text(encoding="utf-8")
    tree = ast.parse(source, feature_version=(3, 6))
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    # Python 3.6 reads `from __future__ import annotations`, and then refuses it.
    assert [node.module for node in imports if node.module == "__future__"] == []
    assert source.isascii()


@pytest.mark.parametrize("name", SCRIPTS)
def test_nothing_but_the_standard_library(name: str) -> None:
    tree = ast.parse((REPOSITORY / name).read_text(encoding="utf-8"))
    imported = {
        alias.name.split(".")[0] for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names
    }
    assert imported - sys.stdlib_module_names - {"bootstrap"} == set()
    before_the_check = {alias.name for node in tree.body if isinstance(node, ast.Import) for alias in node.names}
    assert before_the_check <= {"os", "sys", "bootstrap"}


@pytest.mark.parametrize("name", ["demo/run.py", "tests/run.py"])
def test_a_python_that_is_too_old_is_told_so(name: str, tmp_path: Path) -> None:
    code = (
        "import runpy, sys; sys.version_info = (3, 9, 2, 'final', 0)\n"
        "runpy.run_path(sys.argv[1], run_name='__main__')\n"
    )
    command = [sys.executable, "-c", code, str(REPOSITORY / name)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.returncode == 1
    assert done.stdout == ""
    sentence = one_sentence(done.stderr.strip())
    assert "needs Python 3.11 or newer and this is Python 3.9" in sentence
    assert str(Path(name)) in sentence


@pytest.mark.parametrize(("version", "fits"), [((3, 10, 13), False), ((3, 11, 0), True), ((4, 0, 0), True)])
def test_from_which_version_on(version: tuple[int, int, int], fits: bool) -> None:
    assert (bootstrap.too_old(version, "demo/run.py") == "") is fits


# ------------------------------------------------------------------------------------------- once, and again


def test_the_first_start_does_everything_and_the_second_nothing(world: World) -> None:
    world.setup().prepare("test")
    assert world.done() == ["venv", "pip there", "pip"]
    install = world.commands[-1]
    assert install[-2:] == ["--editable", ".[test]"]
    assert install[0] == str(world.root / ".venv" / "bin" / "python")
    world.commands.clear()
    world.setup().prepare("test")
    assert world.commands == []


def test_the_demo_alone_installs_no_test_tools_and_the_tests_add_them(world: World) -> None:
    world.setup().prepare("")
    assert world.commands[-1][-2:] == ["--editable", "."]
    world.commands.clear()
    world.setup().prepare("test")
    assert world.done() == ["version", "pip there", "pip"]


def test_what_the_tests_installed_serves_the_demo(world: World) -> None:
    world.setup().prepare("test")
    world.commands.clear()
    world.setup().prepare("")
    assert world.commands == []


def change_packages(root: Path) -> None:
    (root / "pyproject.toml").write_text("[project]\ndependencies = ['more']\n", encoding="utf-8")


def change_python(root: Path) -> None:
    (root / ".venv" / "pyvenv.cfg").write_text("version = 3.13.0\n", encoding="utf-8")


@pytest.mark.parametrize("change", [change_packages, change_python])
def test_other_packages_or_another_python_install_again(world: World, change: Callable[[Path], None]) -> None:
    world.setup().prepare("test")
    world.commands.clear()
    change(world.root)
    world.setup().prepare("test")
    assert world.done() == ["version", "pip there", "pip"]


def test_a_moved_folder_installs_again(tmp_path: Path) -> None:
    first = tmp_path / "first"
    first.mkdir()
    World(first).setup().prepare("test")
    moved = first.rename(tmp_path / "second")
    assert not World(moved).setup().ready("test")


def test_an_environment_whose_python_is_gone_is_made_anew(world: World) -> None:
    world.setup().prepare("test")
    (world.root / ".venv" / "bin" / "python").unlink()
    world.commands.clear()
    world.setup().prepare("test")
    assert world.done() == ["venv", "pip there", "pip"]
    assert "--clear" in world.commands[0]


def test_an_environment_without_pip_gets_it(world: World) -> None:
    world.answers["pip there"] = (1, "No module named pip")
    world.setup().prepare("test")
    assert world.done() == ["venv", "pip there", "ensurepip", "pip"]


def test_another_virtual_environment_does_not_count(
    world: World, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    world.make_venv()
    monkeypatch.setattr(sys, "prefix", str(other))
    monkeypatch.setenv("VIRTUAL_ENV", str(other))
    monkeypatch.setenv("PYTHONPATH", str(other))
    monkeypatch.setenv("PYTHONHOME", str(other))
    setup = world.setup()
    assert not setup.inside()
    environment = setup.environment()
    assert environment["VIRTUAL_ENV"] == str(world.root / ".venv")
    assert environment["PATH"].split(os.pathsep)[0] == str(world.root / ".venv" / "bin")
    assert "PYTHONPATH" not in environment
    assert "PYTHONHOME" not in environment
    monkeypatch.setattr(sys, "prefix", str(world.root / ".venv"))
    assert setup.inside()


def test_windows_keeps_its_python_in_scripts(world: World) -> None:
    python = world.root / ".venv" / "Scripts" / "python.exe"
    python.parent.mkdir(parents=True)
    python.write_text("", encoding="utf-8")
    assert world.setup().python() == str(python)


# ------------------------------------------------------------------------------------------- what goes wrong


@pytest.mark.parametrize(
    ("kind", "output", "expected"),
    [
        ("pip", PIP_NO_NETWORK, "there is no way to the network: connect"),
        ("pip", PIP_LOCKED, "The folder .venv cannot be written: close other programs that use it"),
        ("pip", PIP_FULL, "The disk is full: make some room"),
        ("pip", PIP_CERTIFICATE, "its certificate was not accepted: check the computer's date"),
        ("venv", VENV_NO_ENSUREPIP, "sudo apt install python3-venv"),
        ("venv", VENV_ENSUREPIP_FAILS, "sudo apt install python3-venv"),
        ("venv", "Error: [Errno 13] Permission denied: '/x/.venv'\n", "The folder .venv cannot be written"),
    ],
)
def test_a_step_that_fails(world: World, kind: str, output: str, expected: str) -> None:
    world.answers[kind] = (1, output)
    with pytest.raises(bootstrap.Trouble) as caught:
        world.setup().prepare("test")
    assert expected in one_sentence(str(caught.value))
    assert not world.setup().ready("test")


def test_a_failed_start_is_made_good_by_the_next(world: World) -> None:
    world.answers["pip"] = (1, PIP_NO_NETWORK)
    with pytest.raises(bootstrap.Trouble):
        world.setup().prepare("test")
    del world.answers["pip"]
    world.setup().prepare("test")
    assert world.setup().ready("test")


def test_a_failure_nobody_thought_of_names_its_cause_and_keeps_the_rest(world: World) -> None:
    world.answers["pip"] = (
        1,
        "one\nValueError: the cause\nerror: metadata-generation-failed\nhint: see above\n",
    )
    with pytest.raises(bootstrap.Trouble) as caught:
        world.setup().prepare("test")
    assert "Could not install decalgen: ValueError: the cause (all of it is in " in one_sentence(str(caught.value))
    assert "metadata-generation-failed" in (world.root / ".venv" / "setup.log").read_text(encoding="utf-8")


@pytest.mark.parametrize("module", ["venv", "ensurepip"])
def test_a_python_without_the_means_to_make_one(world: World, module: str) -> None:
    world.modules.discard(module)
    with pytest.raises(bootstrap.Trouble) as caught:
        world.setup().prepare("test")
    assert "sudo apt install python3-venv" in one_sentence(str(caught.value))
    assert not (world.root / ".venv").exists()


def test_a_file_in_the_way(world: World) -> None:
    (world.root / ".venv").write_text("mine", encoding="utf-8")
    with pytest.raises(bootstrap.Trouble, match=r"file named \.venv is in the way"):
        world.setup().prepare("test")
    assert (world.root / ".venv").read_text(encoding="utf-8") == "mine"


def test_a_folder_that_is_something_else_is_left_alone(world: World) -> None:
    (world.root / ".venv").mkdir()
    (world.root / ".venv" / "diary.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(bootstrap.Trouble, match="no Python environment: rename it or delete it"):
        world.setup().prepare("test")
    assert (world.root / ".venv" / "diary.txt").read_text(encoding="utf-8") == "mine"


def test_an_environment_of_an_older_python_is_left_alone(world: World) -> None:
    world.make_venv()
    world.version = "3 9"
    with pytest.raises(bootstrap.Trouble, match=r"made with Python 3\.9, and decalgen needs 3\.11"):
        world.setup().prepare("test")
    assert world.done() == ["version"]


def test_a_folder_that_cannot_be_written(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Handed in rather than by access rights, which do not bind the administrator."""
    world.make_venv()
    setup = world.setup()

    def refuse() -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(setup, "probe", refuse)
    with pytest.raises(bootstrap.Trouble, match="cannot be written"):
        setup.prepare("test")
    assert "pip" not in world.done()


def test_stopped_while_it_installs(
    world: World, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    setup = world.setup()

    def stop(extra: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(setup, "install", stop)
    assert bootstrap.start("tests/run.py", "test", never, setup) == 130
    assert "start this again to go on" in one_sentence(capsys.readouterr().err.strip())
    assert not world.setup().ready("test")


def never(arguments: list[str]) -> int:
    raise AssertionError("nothing may run before everything is ready")


def test_trouble_ends_with_one_sentence_and_exit_code_1(world: World, capsys: pytest.CaptureFixture[str]) -> None:
    world.answers["pip"] = (1, PIP_NO_NETWORK)
    assert bootstrap.start("tests/run.py", "test", never, world.setup()) == 1
    one_sentence(capsys.readouterr().err.strip())


def test_a_real_command_is_run_and_what_it_says_is_caught(tmp_path: Path) -> None:
    code = "import sys, os; print(os.getcwd()); sys.stderr.write('and this'); sys.exit(3)"
    status, said = bootstrap.capture([sys.executable, "-c", code], str(tmp_path), dict(os.environ))
    assert status == 3
    assert str(tmp_path) in said
    assert "and this" in said
