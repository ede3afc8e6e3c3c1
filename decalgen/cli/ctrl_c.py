"""Ctrl-C while decals are nested: once keeps the best arrangement so far, twice stops."""

from __future__ import annotations

import signal
import threading
from types import FrameType
from typing import TYPE_CHECKING, Any

from decalgen.core.errors import Interrupted

if TYPE_CHECKING:
    from collections.abc import Callable

    from decalgen.nesting import Progress

    Shown = Callable[[Progress], None]


class Stopping:
    """As a context: takes the interrupt of this process while a nest may run. Works on Windows too, which raises the
    same signal for Ctrl-C. In a thread that is not the main one, where no signal can be taken, it changes nothing.

    A nest keeps its best when a KeyboardInterrupt reaches it. So the first interrupt raises one, once there is
    something to keep; before that, and the second time, it is `Interrupted`, which no nest takes.
    """

    def __init__(self, show: Shown | None = None) -> None:
        self.show = show
        self.found = False
        self.asked = False
        self._before: Any = None

    def __enter__(self) -> Stopping:
        # A run started in the background, which is not to hear Ctrl-C, goes on not hearing it.
        heard = signal.getsignal(signal.SIGINT) is not signal.SIG_IGN
        if heard and threading.current_thread() is threading.main_thread():
            self._before = signal.signal(signal.SIGINT, self._interrupted)
        return self

    def __exit__(self, *_: object) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)

    def __call__(self, progress: Progress) -> bool | None:
        """The watcher of a nest. After an interrupt every further nest of the run ends with its first arrangement."""
        if self.asked:
            return False
        self.found = True
        if self.show is not None:
            self.show(progress)
        return None

    def _interrupted(self, number: int, frame: FrameType | None) -> None:
        del number, frame
        if self.asked or not self.found:
            raise Interrupted("stopped; no half-written file is left")
        self.asked = True
        raise KeyboardInterrupt
