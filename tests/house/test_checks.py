"""tests/run.py: every step runs, the first failure is the exit code, missing programs are named."""

from __future__ import annotations

import importlib.util
import os
import subprocess
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]

spec = importlib.util.spec_from_file_location("run_under_test", REPOSITORY / "tests" / "run.py")
assert spec is not None and spec.loader is not None
checks = importlib.util.module_from_spec(spec)
spec.loader.exec_module(checks)


def never(arguments: list[str], environment: dict[str, str]) -> int:
    raise AssertionError("nothing is installed where that is not allowed")


def test_all_steps_run_and_the_first_failure_is_the_exit_code() -> None:
    codes = {"a": 0, "b": 4, "c": 1, "d": 0}
    ran: list[str] = []
    said: list[str] = []

    def call(command: list[str], environment: None) -> int:
        ran.append(command[0])
        return codes[command[0]]

    assert checks.run_all([(name, [name]) for name in codes], call, said.append) == 4
    assert ran == list(codes)
    assert said[-4:] == [
        "a       passed",
        "b       FAILED (exit code 4)",
        "c       FAILED (exit code 1)",
        "d       passed",
    ]
    codes.update(b=0, c=0)
    assert checks.run_all([(name, [name]) for name in codes], call, said.append) == 0


def test_the_steps_and_their_order() -> None:
    steps = checks.steps(["-k", "nest"])
    assert [name for name, _ in steps] == ["style", "types", "layers", "tests"]
    assert steps[3][1][1:3] == ["-m", "pytest"] and steps[3][1][-2:] == ["-k", "nest"]


def test_all_tests_are_compiled_beside_the_types_where_a_core_is_free_for_that() -> None:
    command = checks.compiling([], 2)
    assert command[1:3] == ["-m", "pytest"] and "--collect-only" in command
    assert checks.compiling(["-k", "nest"], 2) is None, "some tests are compiled as they are found"
    assert checks.compiling([], 1) is None and checks.compiling([], None) is None


def test_missing_programs_are_installed_where_that_is_possible() -> None:
    there: set[str] = {"gs", "qpdf", "chromium-headless-shell", "ippeveprinter", "ipptool", "dbus-daemon"}
    files: set[str] = set()
    called: list[list[str]] = []

    def call(command: list[str], environment: dict[str, str]) -> int:
        called.append(command[:2])
        if command[1] == "install":
            assert command[-3:] == ["poppler-utils", "icc-profiles-free", "unicode-data"]
        if command[1] == "install" and ["apt-get", "update"] in called:
            there.update(checks.PROGRAMS[0][1])
            files.update(name for _, names in checks.FILES for name in names)
            return 0
        return 0 if command[1] == "update" else 100

    assert checks.provide(there.__contains__, files.__contains__, call, True, lambda line: None) == []
    assert called == [["apt-get", "install"], ["apt-get", "update"], ["apt-get", "install"]]


def test_a_package_that_a_system_does_not_know_keeps_no_other_out() -> None:
    """Of the browsers another serves, and nothing is said where it does."""
    there = {"gs", "qpdf", "ippeveprinter", "ipptool", "dbus-daemon"}
    files = {name for _, names in checks.FILES for name in names}
    said: list[str] = []

    def call(command: list[str], environment: dict[str, str]) -> int:
        if "chromium-headless-shell" in command:
            return 100
        there.update({"poppler-utils": checks.PROGRAMS[0][1], "chromium": ("chromium",)}.get(command[-1], ()))
        return 0

    assert checks.provide(there.__contains__, files.__contains__, call, True, said.append) == []
    assert "chromium" in there and said == ["Installing poppler-utils, chromium-headless-shell ..."]


def test_missing_programs_are_named_where_it_is_not() -> None:
    said: list[str] = []
    there = {"gs", "chromium-headless-shell", "ippeveprinter", "ipptool", "dbus-daemon"}
    absent = checks.provide(there.__contains__, set[str]().__contains__, never, False, said.append)
    assert [package for package, _ in absent] == ["poppler-utils", "qpdf", "icc-profiles-free", "unicode-data"]
    assert said[1] == (
        "Tests that need qpdf will be skipped: not installed (on Debian and Ubuntu: sudo apt install qpdf)."
    )
    assert said[2] == (
        "Judged by fewer published data: icc-profiles-free is not installed "
        "(on Debian and Ubuntu: sudo apt install icc-profiles-free)."
    )


def test_nothing_is_said_or_installed_where_all_is_there() -> None:
    said: list[str] = []
    everything = {name for _, names in (*checks.PROGRAMS, *checks.FILES) for name in names}
    assert checks.provide(everything.__contains__, everything.__contains__, never, True, said.append) == []
    assert said == []


def test_what_is_compiled_is_kept_for_every_python_of_the_tests() -> None:
    environment = {"PYTHONDONTWRITEBYTECODE": "1", "PATH": "/usr/bin"}
    checks.keep_compiled(environment)
    assert environment == {"PATH": "/usr/bin"}
    # The variable is Python's own (The Python Standard Library, sys.dont_write_bytecode).
    checks.keep_compiled(environment)
    assert environment == {"PATH": "/usr/bin"}


@pytest.mark.skipif(os.name != "posix", reason="the machine's own check is a shell script")
def test_the_machine_runs_the_same() -> None:
    script = REPOSITORY / ".ci" / "run"
    assert os.access(script, os.X_OK)
    text = script.read_text(encoding="utf-8")
    assert text.startswith("#!")
    assert "set -eu" in text
    assert "python3 tests/run.py" in text
    subprocess.run(["bash", "-n", str(script)], check=True)
