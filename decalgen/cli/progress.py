"""How far a command is, on one line, while a person watches: its stage once it takes longer than a second, and how far
a nest is."""

from __future__ import annotations

import threading
from types import TracebackType
from typing import Any

from decalgen.cli.terminal import over, watched, wiped

TICK = 1.0
"""The line is drawn so often, s: what is done sooner shows none."""


class ProgressBar:
    """A line of progress on the error stream, only where a person watches it; it is gone when the work is done.

    As a context. Nothing else may be written while it lasts. A result never depends on it: it looks at no clock, and
    counts its own ticks.
    """

    def __init__(self, stage: str) -> None:
        """``stage``: what is done first, such as 'checking'."""
        self.shown = watched()
        self.text = stage
        self.ticks = 0
        self.nesting = False
        self._ended = threading.Event()
        self._thread: threading.Thread | None = None

    def stage(self, text: str) -> None:
        """What is done from now on."""
        self.text = text
        self.nesting = False

    def show(self, progress: Any) -> None:
        """Draws how far a nest is, with the best arrangement so far."""
        if self.shown:
            self.nesting = True
            sheets = f"{progress.sheets} sheet{'' if progress.sheets == 1 else 's'}"
            over(
                f"nesting [{'#' * round(6 * progress.part):<6}] {progress.placed}/{progress.pieces} on {sheets}, "
                f"{progress.used_length:.0f} mm, {progress.remnant / 100:.0f} cm² left; Ctrl-C keeps it"
            )

    def tick(self) -> None:
        """Draws the stage and how long the command has been at work; a nest draws its own line."""
        self.ticks += 1
        if not self.nesting:
            over(f"{self.text} ... {self.ticks * TICK:.0f} s")

    def _run(self) -> None:
        while not self._ended.wait(TICK):
            self.tick()

    def __enter__(self) -> ProgressBar:
        if self.shown:
            self._thread = threading.Thread(target=self._run, daemon=True)
            self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        if self._thread is not None:
            self._thread.join()
        wiped()
