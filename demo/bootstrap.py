"""Gets the project ready to run: makes .venv beside pyproject.toml, installs the project into it, once, and
starts the script again inside it. It leaves a starter beside the README: a file to double-click that opens a
terminal in which the command `decalgen` works.

Used by demo/run.py and tests/run.py. Standard library only, and written so that even an old Python can read
it and be told, in one sentence, that it is too old: no f-strings, no annotations, no pathlib, plain ASCII.
"""

import os
import sys

NEEDED = (3, 11)
ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

# What pip and venv say, in lower case, and what it means.
SIGNS = (
    ("full", ("no space left", "not enough space", "disk quota exceeded")),
    (
        "locked",
        ("permission denied", "access is denied", "read-only file system", "being used by another process"),
    ),
    (
        "no ensurepip",
        (
            "ensurepip is not available",
            "no module named ensurepip",
            "no module named 'ensurepip'",
            "'-m', 'ensurepip'",
        ),
    ),
    ("certificate", ("certificate_verify_failed", "sslerror", "ssl: ")),
    (
        "no network",
        (
            "newconnectionerror",
            "failed to establish a new connection",
            "name resolution",
            "getaddrinfo failed",
            "nodename nor servname",
            "network is unreachable",
            "connection refused",
            "connecttimeout",
            "connection timed out",
            "read timed out",
            "proxyerror",
            "connection aborted",
            "connection broken",
            "remotedisconnected",
        ),
    ),
)

SENTENCES = {
    "full": "The disk is full: make some room (about 500 MB) and start this again.",
    "locked": "The folder .venv cannot be written: close other programs that use it (a second start of this, "
    "an editor, a terminal), see that this folder is yours and not read-only, and start this again.",
    "no ensurepip": "This Python cannot make a virtual environment, because its parts venv and ensurepip "
    "are missing: install them (on Debian and Ubuntu: sudo apt install python3-venv) and start this again.",
    "certificate": "The package index could not be reached safely, because its certificate was not "
    "accepted: check the computer's date and its proxy or virus scanner, and start this again.",
    "no network": "The packages could not be fetched, because there is no way to the network: connect (or "
    "set a proxy in HTTPS_PROXY) and start this again; it is needed only this once.",
    "interrupted": "Stopped before it was ready; nothing is spoilt: start this again to go on.",
}

# What opens a terminal in which decalgen works, by its ending. Every path in them begins at the file itself, so that
# no name of a folder has to be written in any alphabet; jobs go into a folder of the user's own, which no new copy of
# the project overwrites.
STARTER = "start-decalgen"
FOLDER = "decals"
WINDOWS_STARTER = """@echo off
rem Opens a window in which the command decalgen works. Made by demo\\run.py; delete it if you do not want it.
title decalgen
if not exist "%~dp0.venv\\Scripts\\decalgen.exe" (
  echo decalgen is not set up here: start demo\\run.py once more.
  pause
  exit /b 1
)
set "PATH=%~dp0.venv\\Scripts;%PATH%"
if not exist "%USERPROFILE%\\FOLDER" mkdir "%USERPROFILE%\\FOLDER"
cd /d "%USERPROFILE%\\FOLDER"
echo decalgen works in this window. Your files go into this folder:
cd
echo Begin with: decalgen bench
cmd /k
"""
OTHER_STARTER = """#!/bin/sh
# Opens a terminal in which the command decalgen works. Made by demo/run.py; delete it if you do not want it.
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd) || exit 1
if [ ! -t 0 ] && [ "$1" != "in a terminal" ]; then
    for terminal in x-terminal-emulator gnome-terminal konsole xfce4-terminal mate-terminal xterm; do
        command -v "$terminal" >/dev/null 2>&1 || continue
        case $terminal in
            gnome-terminal) exec "$terminal" -- /bin/sh "$here/NAME" "in a terminal" ;;
            xfce4-terminal | mate-terminal) exec "$terminal" -x /bin/sh "$here/NAME" "in a terminal" ;;
            *) exec "$terminal" -e /bin/sh "$here/NAME" "in a terminal" ;;
        esac
    done
fi
if [ ! -x "$here/.venv/bin/decalgen" ]; then
    echo "decalgen is not set up here: start demo/run.py once more."
    exit 1
fi
PATH="$here/.venv/bin:$PATH"
export PATH
mkdir -p "$HOME/FOLDER"
cd "$HOME/FOLDER" || exit 1
echo "decalgen works in this window. Your files go into this folder:"
pwd
echo "Begin with: decalgen bench"
exec "${SHELL:-/bin/sh}"
"""


def starter(system):
    """The name and the text of the starter for a system, as sys.platform names it."""
    if system.startswith("win"):
        return STARTER + ".cmd", WINDOWS_STARTER.replace("FOLDER", FOLDER).replace("\n", "\r\n")
    name = STARTER + (".command" if system == "darwin" else ".sh")
    return name, OTHER_STARTER.replace("FOLDER", FOLDER).replace("NAME", name)


class Trouble(Exception):
    """Something that keeps the script from starting: one sentence, with the fix."""


def too_old(version, script):
    """The sentence for a Python that is too old, or nothing."""
    if tuple(version[:2]) >= NEEDED:
        return ""
    folder, name = os.path.split(os.path.abspath(script))
    shown = os.path.join(os.path.basename(folder), name)
    python = "py -3.12" if os.name == "nt" else "python3.12"
    return (
        "decalgen needs Python %d.%d or newer and this is Python %d.%d: install a newer one (python.org has "
        "it, or your system's packages) and start this with it, for example: %s %s"
        % (NEEDED + tuple(version[:2]) + (python, shown))
    )


def meaning(output):
    """Which of the SENTENCES fits what pip or venv said; the empty string when none does."""
    said = " ".join(output.lower().split())
    for name, signs in SIGNS:
        if any(sign in said for sign in signs):
            return name
    return ""


def cause(output):
    """The line that tells most: the error a build ended with, else what pip calls one, else the last."""
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    for fits in (
        lambda line: line.split(":")[0].endswith("Error") and ": " in line,
        lambda line: line.startswith("ERROR:"),
        lambda line: line.lower().startswith("error:"),
    ):
        found = [line for line in lines if fits(line)]
        if found:
            return found[-1]
    return lines[-1] if lines else ""


def capture(command, folder, environment):
    """Runs a command, quietly: (exit code, all it said)."""
    import subprocess

    done = subprocess.Popen(
        command,
        cwd=folder,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    try:
        said = done.communicate()[0]
    except BaseException:
        # Ctrl-C reaches the child too; give it the time to put away what it began.
        try:
            done.wait(5)
        except subprocess.TimeoutExpired:
            done.kill()
        raise
    return done.returncode, said.decode("utf-8", "replace")


class Setup(object):
    """The steps, with the parts that touch the outside handed in, so that tests can let them fail."""

    def __init__(self, root=ROOT, run=capture, find_module=None, tell=None):
        self.root = root
        self.venv = os.path.join(root, ".venv")
        self.run = run
        self.find_module = find_module
        self.tell = tell or say

    def python(self):
        """The interpreter of .venv: in Scripts on Windows, in bin everywhere else."""
        windows = os.path.join(self.venv, "Scripts", "python.exe")
        elsewhere = os.path.join(self.venv, "bin", "python")
        if os.path.exists(windows) or (os.name == "nt" and not os.path.exists(elsewhere)):
            return windows
        return elsewhere

    def inside(self):
        """Is this already the Python of .venv? Another virtual environment does not count."""
        try:
            return os.path.samefile(sys.prefix, self.venv)
        except OSError:
            return False

    def environment(self):
        """The environment for everything that runs in .venv."""
        kept = dict(os.environ)
        for name in ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__"):
            kept.pop(name, None)
        kept["VIRTUAL_ENV"] = self.venv
        kept["PATH"] = os.path.dirname(self.python()) + os.pathsep + kept.get("PATH", "")
        # A user-wide setting would install beside .venv instead of into it.
        kept["PIP_USER"] = "0"
        # As on decalgen's own command line: threads for linear algebra would only wait.
        kept.setdefault("OPENBLAS_NUM_THREADS", "1")
        return kept

    def key(self):
        """Changes when all has to be installed again: other packages, another Python, a moved folder."""
        import hashlib

        parts = [os.path.abspath(self.root).encode("utf-8", "replace")]
        for path in (os.path.join(self.root, "pyproject.toml"), os.path.join(self.venv, "pyvenv.cfg")):
            try:
                with open(path, "rb") as file:
                    parts.append(file.read())
            except OSError:
                parts.append(b"missing: " + path.encode("utf-8", "replace"))
        return hashlib.sha256(b"\0".join(parts)).hexdigest()

    def stamp(self, extra):
        return os.path.join(self.venv, "installed-%s.stamp" % (extra or "plain"))

    def ready(self, extra):
        """Is everything for this extra installed? What the tests need includes what the demo needs."""
        if not os.path.exists(self.python()):
            return False
        for name in (extra,) if extra else ("", "test"):
            try:
                with open(self.stamp(name), "rb") as file:
                    if file.read().decode("ascii", "replace") == self.key():
                        return True
            except OSError:
                continue
        return False

    def prepare(self, extra):
        """Makes .venv and installs the project into it, unless that is done. Raises Trouble."""
        if self.ready(extra):
            return
        try:
            self.make()
            self.check_pip()
            self.probe()
            self.install(extra)
            with open(self.stamp(extra), "wb") as file:
                file.write(self.key().encode("ascii"))
        except (IOError, OSError) as problem:
            raise Trouble(SENTENCES[meaning(str(problem)) or "locked"])

    def make(self):
        """An environment that works is kept; one whose Python is gone is made anew."""
        if os.path.lexists(self.venv) and not os.path.isdir(self.venv):
            raise Trouble("A file named .venv is in the way of a folder: rename it and start this again.")
        state = self.state()
        if state == "good":
            return
        if state == "strange":
            raise Trouble("The folder .venv is no Python environment: rename it or delete it, and start this again.")
        if not self.has("venv") or not self.has("ensurepip"):
            raise Trouble(SENTENCES["no ensurepip"])
        self.tell("Making .venv, a Python environment of the project's own ...")
        command = [sys.executable, "-m", "venv"] + (["--clear"] if state == "dead" else []) + [self.venv]
        self.do(command, "make the folder .venv")

    def has(self, module):
        if self.find_module is not None:
            return self.find_module(module)
        import importlib.util

        return importlib.util.find_spec(module) is not None

    def state(self):
        """missing, good, dead (its Python is gone) or strange (no environment). Trouble when too old."""
        if not os.path.isdir(self.venv) or not os.listdir(self.venv):
            return "missing"
        if not os.path.isfile(os.path.join(self.venv, "pyvenv.cfg")):
            return "strange"
        if not os.path.exists(self.python()):
            return "dead"
        code = "import sys; print('%d %d' % sys.version_info[:2])"
        try:
            status, said = self.run([self.python(), "-c", code], self.root, self.environment())
        except OSError:
            return "dead"
        if status != 0:
            return "dead"
        version = tuple(int(word) for word in said.split()[-2:])
        if version < NEEDED:
            raise Trouble(
                "The folder .venv was made with Python %d.%d, and decalgen needs %d.%d or newer: delete the "
                "folder .venv and start this again." % (version + NEEDED)
            )
        return "good"

    def check_pip(self):
        """An environment made without pip, or one whose making was interrupted, gets it now."""
        if self.run([self.python(), "-m", "pip", "--version"], self.root, self.environment())[0] != 0:
            self.do([self.python(), "-m", "ensurepip", "--default-pip"], "put pip into .venv")

    def probe(self):
        """Can .venv be written? Better asked before pip has taken half of it apart."""
        path = os.path.join(self.venv, "installed-probe.tmp")
        with open(path, "wb") as file:
            file.write(b"")
        os.remove(path)

    def install(self, extra):
        self.tell("Installing decalgen and what it needs into .venv (once; a minute or two) ...")
        what = ".[%s]" % extra if extra else "."
        options = ["--quiet", "--no-input", "--disable-pip-version-check", "--retries=2", "--timeout=20"]
        self.do([self.python(), "-m", "pip", "install"] + options + ["--editable", what], "install decalgen")

    def do(self, command, purpose):
        """Runs a command; a failure becomes Trouble, and what was said is kept in a file where that helps."""
        status, said = self.run(command, self.root, self.environment())
        if status == 0:
            return
        name = meaning(said)
        if name:
            raise Trouble(SENTENCES[name])
        reason = cause(said) or "it said nothing, and ended with %d" % status
        log = os.path.join(self.venv, "setup.log")
        try:
            with open(log, "wb") as file:
                file.write(said.encode("utf-8", "replace"))
            where = "all of it is in %s" % os.path.join(".venv", "setup.log")
        except OSError:
            where = "there was nowhere to keep the rest"
        raise Trouble(
            "Could not %s: %s (%s); if nothing else helps, delete .venv and start this again."
            % (purpose, reason, where)
        )

    def command(self):
        """The whole path of the command decalgen."""
        return os.path.join(os.path.dirname(self.python()), "decalgen" + (".exe" if os.name == "nt" else ""))

    def leave_starter(self, system=sys.platform):
        """Writes the starter beside the README unless it is there as it should be; gives its name, or the empty string
        where it cannot be written: the command works without it."""
        name, text = starter(system)
        path = os.path.join(self.root, name)
        wanted = text.encode("ascii")
        try:
            try:
                with open(path, "rb") as file:
                    there = file.read()
            except (IOError, OSError):
                there = None
            if there != wanted:
                with open(path, "wb") as file:
                    file.write(wanted)
            if not system.startswith("win"):
                os.chmod(path, 0o755)
        except (IOError, OSError):
            return ""
        return name

    def how_to_call(self):
        """The lines that say how decalgen is called from now on."""
        name = self.leave_starter()
        path = self.command()
        shown = '"%s"' % path if " " in path else path
        lines = ["To use decalgen, double-click %s beside the README, or type its whole path, as below." % name]
        return (lines if name else ["To use decalgen, type its whole path, as below."]) + [
            "A starter on your desktop: type the line below with --shortcut behind it.",
            "To open the page in your browser, with a finished model to try and the way to one of your own:",
            "  %s bench" % shown,
        ]

    def start_again(self, script, arguments):
        """Runs the script with the Python of .venv: on Windows waits for it, elsewhere becomes it."""
        command = [self.python(), os.path.abspath(script)] + list(arguments)
        sys.stdout.flush()
        sys.stderr.flush()
        if os.name == "posix":
            os.execve(command[0], command, self.environment())
        import subprocess

        child = subprocess.Popen(command, env=self.environment())
        while True:
            try:
                return child.wait()
            except KeyboardInterrupt:
                # The child got it too, and says what there is to say.
                continue


def say(sentence):
    sys.stderr.write(sentence + "\n")
    sys.stderr.flush()


def start(script, extra, inner, setup=None):
    """Gets everything ready, then calls inner(arguments) inside .venv; gives the exit code. Never a traceback
    for what the user can mend."""
    old = too_old(sys.version_info, script)
    if old:
        say(old)
        return 1
    setup = setup or Setup()
    try:
        setup.prepare(extra)
        if not setup.inside():
            return setup.start_again(script, sys.argv[1:])
    except Trouble as trouble:
        say(str(trouble))
        return 1
    except KeyboardInterrupt:
        say(SENTENCES["interrupted"])
        return 130
    try:
        code = inner(sys.argv[1:])
    except SystemExit as stop:
        code = stop.code
    except Trouble as trouble:
        say(str(trouble))
        return 1
    except KeyboardInterrupt:
        say("Stopped.")
        return 130
    if not code:
        for line in setup.how_to_call():
            say(line)
    return code
