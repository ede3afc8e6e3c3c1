"""How far a nest is, on one line, while a person watches."""

from __future__ import annotations

from typing import Any

from decalgen.cli.ctrl_c import Stopping
from decalgen.cli.terminal import over, watched, wiped


class ProgressBar:
    """A line of progress with the best arrangement so far, on the error stream, only where a person watches it."""

    def __init__(self) -> None:
        self.shown = watched()
        self.any = False
        self.stopping = Stopping(self.show)

    def show(self, progress: Any) -> None:
        """Draws the line anew."""
        if self.shown:
            self.any = True
            sheets = f"{progress.sheets} sheet{'' if progress.sheets == 1 else 's'}"
            text = (
                f"nesting [{'#' * round(6 * progress.part):<6}] {progress.placed}/{progress.pieces} on {sheets}, "
                f"{progress.used_length:.0f} mm, {progress.remnant / 100:.0f} cm² left; Ctrl-C keeps it"
            )
            over(text)

    def __enter__(self) -> Stopping:
        return self.stopping.__enter__()

    def __exit__(self, *of: object) -> None:
        self.stopping.__exit__(*of)
        if self.any:
            wiped()
