"""The tabs that have the page open, as far as the server knows. It ends some time after the last of them."""

from __future__ import annotations

from collections.abc import Callable

MOST_NAME = 40
SILENT_SECONDS = 600.0
"""A tab says that it leaves; one whose browser crashed does not. After so long without a stream or a word of any, none
is taken to be open."""


class OpenTabs:
    """Who has the page open. ``now``: seconds of a clock that only goes forward."""

    def __init__(self, now: Callable[[], float]) -> None:
        self._now = now
        self._open: set[str] = set()
        self._heard = now()
        self.visited = False
        """Whether any was ever open."""

    def add(self, tab: str) -> None:
        """A tab asked for something."""
        self._heard = self._now()
        if tab:
            self._open.add(tab[:MOST_NAME])
            self.visited = True

    def discard(self, tab: str) -> None:
        """A tab is closed, or is being loaded anew."""
        self._heard = self._now()
        self._open.discard(tab[:MOST_NAME])

    def any(self, listening: bool) -> bool:
        """Whether one is open. ``listening``: whether a stream is, which a browser holds for all of its tabs."""
        if listening:
            self._heard = self._now()
        elif self._now() - self._heard > SILENT_SECONDS:
            self._open.clear()
        return listening or bool(self._open)
