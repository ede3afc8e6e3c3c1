"""What the terminal shows: how a command's result is said, and the one way to both streams, which lets nothing through
that steers a terminal."""

from __future__ import annotations

import errno
import importlib
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from decalgen.core.visible import visible, visible_rows

if TYPE_CHECKING:
    from decalgen.cli.answer import AnswerRow
    from decalgen.commands.options import Result

COLOURS = {"error": "31", "warning": "33", "note": "36"}
"""The colours of severities, by their SGR codes (ECMA-48, 8.3.117)."""
_STANDARD = (0, 1, 2)
NARROW = 20
"""Columns that a line of progress takes in any window."""


class Screen:
    """Stands in for a standard stream: all that is written goes through `visible_rows`.

    A stream that is missing (a program without a console has none) takes everything and shows nothing. So does one
    that can no longer be written, a full disk or a pipe whose reader has left: the command goes on, and ``fault`` says
    at its end what was lost.
    """

    def __init__(self, stream: TextIO | None) -> None:
        self.stream = stream
        self.fault: OSError | None = None
        self.encoding = "utf-8"
        self.errors = "replace"

    def write(self, text: str) -> int:
        """Writes text, whatever steers a terminal in it as escapes."""
        # Those that write bytes to a stream find out here that this one takes none.
        if not isinstance(text, str):
            raise TypeError("text is needed, not bytes")
        self._write(visible_rows(text))
        return len(text)

    def coloured(self, text: str, colour: str) -> None:
        """Writes a line in a colour where a person watches and wants colours (NO_COLOR unset), else plain."""
        if self.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb":
            self._write(f"\x1b[{colour}m{visible_rows(text)}\x1b[0m\n")
        else:
            self._write(visible_rows(text) + "\n")

    def plain(self, text: str) -> None:
        """Writes text of the program's own, as it is."""
        self._write(text)

    def _write(self, text: str) -> None:
        if self.stream is None or self.fault is not None:
            return
        try:
            self.stream.write(text)
        except (OSError, ValueError) as error:
            self._lost(error)

    def flush(self) -> None:
        """Passes on what was written."""
        if self.stream is None or self.fault is not None:
            return
        try:
            self.stream.flush()
        except (OSError, ValueError) as error:
            self._lost(error)

    def _lost(self, error: OSError | ValueError) -> None:
        # A stream that was closed is a ValueError in Python.
        self.fault = error if isinstance(error, OSError) else OSError(errno.EBADF, "the stream is closed")
        # What waits in the stream's own buffer would fail once more, loudly, when the program ends.
        with suppress(OSError, ValueError, AttributeError):
            assert self.stream is not None
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self.stream.fileno())
            os.close(nowhere)

    def isatty(self) -> bool:
        """Whether a person watches."""
        try:
            return self.stream is not None and self.stream.isatty()
        except ValueError:
            return False

    def fileno(self) -> int:
        """The number of the file behind it. Raises OSError where there is none."""
        if self.stream is None:
            raise OSError(errno.EBADF, "there is no such stream")
        return self.stream.fileno()

    def writable(self) -> bool:
        """Always."""
        return True

    def readable(self) -> bool:
        """Never."""
        return False

    @property
    def reader_left(self) -> bool:
        """Whether it is a pipe that nobody reads any more."""
        # Windows says EINVAL of such a pipe.
        return self.fault is not None and self.fault.errno in (errno.EPIPE, errno.ESHUTDOWN, errno.EINVAL)


@contextmanager
def screens() -> Iterator[tuple[Screen, Screen]]:
    """While it lasts, both standard streams are screens."""
    _occupy()
    before = sys.stdout, sys.stderr
    for stream in before:
        # Windows consoles and pipes are not always UTF-8; a size with × in it must not end a run.
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")
    if os.name == "nt":
        _colours_on_windows()
    out, err = Screen(sys.stdout), Screen(sys.stderr)
    sys.stdout, sys.stderr = out, err
    try:
        yield out, err
    finally:
        for screen in (out, err):
            screen.flush()
        sys.stdout, sys.stderr = before


def _occupy() -> None:
    """Takes up the numbers of standard streams that are closed: a result would get one, and the next process that is
    started would write what it has to say into that result."""
    for number in _STANDARD:
        try:
            os.fstat(number)
        except OSError:
            with suppress(OSError):
                os.open(os.devnull, os.O_RDWR)


def _colours_on_windows() -> None:
    """Older consoles show colours only when asked to."""
    with suppress(ImportError, AttributeError, OSError, ValueError):
        importlib.import_module("colorama").just_fix_windows_console()  # click brings it there


def put(text: str = "", *, to_errors: bool = False) -> None:
    """A line, or several, on one of the streams."""
    wiped()
    stream = sys.stderr if to_errors else sys.stdout
    if stream is not None:
        stream.write(text + "\n")
        stream.flush()


def watched() -> bool:
    """Whether a person watches the stream of messages."""
    return sys.stderr is not None and sys.stderr.isatty()


_OVER = [0]
"""How long the line of progress is that stands on the stream of messages."""


def over(text: str) -> None:
    """Writes a line of progress over the one that stands there, no wider than the window."""
    stream = sys.stderr
    if stream is not None:
        wide = max(NARROW, shutil.get_terminal_size().columns - 1)
        row = visible(text)[:wide]
        _plainly(f"\r{row:<{min(wide, _OVER[0])}}")
        _OVER[0] = len(row)


def wiped() -> None:
    """Takes the line of progress away before anything else is written."""
    if _OVER[0]:
        _plainly(f"\r{'':<{_OVER[0]}}\r")
        _OVER[0] = 0


def _plainly(text: str) -> None:
    stream = sys.stderr
    if stream is not None:
        write = stream.plain if isinstance(stream, Screen) else stream.write
        write(text)
        stream.flush()


def ask(question: str, default: str = "") -> str:
    """What is typed in answer; an empty answer is the default, which is shown."""
    wiped()
    offered = f" [{visible(default)}]" if default else ""
    # The library writes a question round the screen, past its standing in for the stream.
    return str(click.prompt(visible(question) + offered, default=default, show_default=False))


def at_hand() -> bool:
    """Whether a person types the answers, and not a file or another program."""
    return sys.stdin is not None and sys.stdin.isatty()


def confirmed(question: str) -> bool:
    """Whether the answer is yes; an empty one is no."""
    wiped()
    return bool(click.confirm(visible(question), default=False))


def tell(result: Result) -> None:
    """A result as much in detail as the command is asked for; all of it into a text file, where one is named."""
    from decalgen.cli.answer import rows
    from decalgen.cli.detail import detail, report_file

    report = report_file()
    if report is not None:
        result = _reported(result, report)
    for row in rows(result, detail()):
        _show(row)


def _reported(result: Result, report: Path) -> Result:
    """Writes the whole answer. Raises OutputError."""
    from decalgen.commands.options import FileGroup
    from decalgen.commands.summary import whole_text
    from decalgen.core.files import write_files

    files = write_files({report: whole_text(result).encode("utf-8")})
    answer = replace(result.answer, groups=(*result.answer.groups, FileGroup("the whole answer", files)))
    return replace(result, files=(*result.files, *files), answer=answer)


def put_error(text: str) -> None:
    """A message of several rows on the stream of errors, broken to the window's width."""
    put(_for_window(text, sys.stderr), to_errors=True)


def _for_window(text: str, stream: TextIO | None) -> str:
    from decalgen.cli.answer import wrapped

    return wrapped(text, shutil.get_terminal_size().columns if stream is not None and stream.isatty() else None)


def _show(row: AnswerRow) -> None:
    """A row, its head in the colour of its severity (the word says it too), broken to the window's width."""
    text = row.text if row.whole else _for_window(row.text, sys.stdout)
    if row.severity is None or not isinstance(sys.stdout, Screen):
        put(text)
        return
    head, _, rest = text.partition("\n")
    wiped()
    sys.stdout.coloured(head, COLOURS[row.severity])
    if rest:
        put(rest)
