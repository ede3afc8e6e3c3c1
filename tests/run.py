"""Runs every check of the project: `python3 tests/run.py` or `py tests\\run.py`; further words go to pytest.

The first start makes .venv beside this folder and installs the project and the test tools into it. Then:
style (ruff), types (mypy), the order of the layers (import-linter), and all tests (pytest). All of them run,
whatever fails; the exit code is that of the first that failed.
"""

import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "demo"))

import bootstrap

# Programs some tests use to look at results from outside, by the Debian package that brings them.
PROGRAMS = (
    ("poppler-utils", ("pdftocairo", "pdftoppm", "pdftotext", "pdfinfo", "pdffonts", "pdfimages")),
    ("ghostscript", ("gs",)),
    ("qpdf", ("qpdf",)),
    ("chromium-headless-shell", ("chromium-headless-shell",)),
    ("cups-ipp-utils", ("ippeveprinter", "ipptool")),
    ("dbus-daemon", ("dbus-daemon",)),
)

# What serves as well, at twice the processor time, where a system has not got the first: a package and a program.
INSTEAD = {"chromium-headless-shell": ("chromium", "chromium")}

# Data sets some tests judge by, by the package and one file of each; without them the few kept with the tests serve.
FILES = (
    ("icc-profiles-free", ("/usr/share/color/icc/FOGRA28L.ti3",)),
    ("unicode-data", ("/usr/share/unicode/BidiCharacterTest.txt",)),
)


def missing(which, exists):
    """[(package, programs or files that are not there)]"""
    found = []
    for wanted, there in ((PROGRAMS, which), (FILES, exists)):
        for package, names in wanted:
            absent = [name for name in names if not there(name)]
            if absent:
                found.append((package, absent))
    return found


def may_install(which):
    """Only as the administrator of a Debian-like system is anything installed outside .venv."""
    return getattr(os, "geteuid", lambda: 1)() == 0 and bool(which("apt-get"))


def provide(which, exists, call, allowed, tell):
    """Installs what is missing where that is possible; says what will be skipped or lost where it is not."""
    absent = missing(which, exists)
    if absent and allowed:
        packages = [package for package, _ in absent]
        tell("Installing %s ..." % ", ".join(packages))
        environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
        command = ["apt-get", "install", "-y", "-qq", "--no-install-recommends"]
        if call(command + packages, environment) != 0:
            # A fresh system has no list of packages yet.
            call(["apt-get", "update", "-qq"], environment)
            if call(command + packages, environment) != 0:
                # A package that this system does not know keeps no other out.
                for package in packages:
                    if call(command + [package], environment) != 0 and package in INSTEAD:
                        call(command + [INSTEAD[package][0]], environment)
        absent = missing(which, exists)
    absent = [(package, names) for package, names in absent if package not in INSTEAD or not which(INSTEAD[package][1])]
    data = [package for package, _ in FILES]
    for package, names in absent:
        if package in data:
            told = "Judged by fewer published data: %s is not installed" % package
        else:
            told = "Tests that need %s will be skipped: not installed" % " or ".join(names)
        tell("%s (on Debian and Ubuntu: sudo apt install %s)." % (told, package))
    return absent


def steps(arguments):
    """(name, command) in the order in which they run."""
    python = sys.executable
    layers = "import sys; from importlinter.cli import lint_imports_command; sys.exit(lint_imports_command())"
    return [
        ("style", [python, "-m", "ruff", "check", "."]),
        ("types", [python, "-m", "mypy", "--strict", "decalgen"]),
        ("layers", [python, "-c", layers]),
        # One after another on each core; neighbours stay together, as they share what is dear to make.
        ("tests", [python, "-m", "pytest", "-q", "-n", "auto", "--dist", "worksteal"] + list(arguments)),
    ]


def compiling(arguments, cores):
    """The command that leaves all tests compiled, for the core that the types leave free; None where that serves for
    little. Else each process of the tests compiles them all by itself, half a minute long."""
    if arguments or (cores or 1) < 2:
        return None
    return [sys.executable, "-m", "pytest", "-q", "-n", "0", "--collect-only"]


def run_all(commands, call, tell):
    """Runs all, sums up, and gives the exit code of the first that failed, or 0."""
    results = []
    for name, command in commands:
        tell("\n== %s" % name)
        results.append((name, call(command, None)))
    tell("\n== summary")
    for name, code in results:
        tell("%-8s%s" % (name, "passed" if code == 0 else "FAILED (exit code %d)" % code))
    return next((code for _, code in results if code != 0), 0)


def say(line):
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def call(command, environment):
    import subprocess

    return subprocess.call(command, cwd=bootstrap.ROOT, env=environment)


def keep_compiled(environment):
    """Lets each Python that the tests start find the project compiled, also where the environment forbids to keep that:
    else every one of them compiles all that it imports again."""
    environment.pop("PYTHONDONTWRITEBYTECODE", None)


def checks(arguments):
    """Everything, run inside .venv."""
    import shutil
    import subprocess

    keep_compiled(os.environ)
    provide(shutil.which, os.path.exists, call, may_install(shutil.which), say)
    command = compiling(arguments, os.cpu_count())
    beside = None
    if command:
        nowhere = subprocess.DEVNULL
        beside = subprocess.Popen(command, cwd=bootstrap.ROOT, stdout=nowhere, stderr=nowhere)
    try:
        return run_all(steps(arguments), call, say)
    finally:
        if beside:
            beside.wait()


if __name__ == "__main__":
    sys.exit(bootstrap.start(__file__, "test", checks))
