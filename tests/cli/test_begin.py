"""Where the command begins: Ctrl-C before the program is loaded."""

from __future__ import annotations

import gc
import os
import sys
from types import ModuleType

import pytest

from decalgen import __main__ as begin
from decalgen.core.errors import Interrupted


class Loading(ModuleType):
    """A module while Ctrl-C is pressed."""

    def __getattr__(self, name: str) -> object:
        raise KeyboardInterrupt


@pytest.mark.parametrize("console", [True, False])
def test_ctrl_c_while_it_is_loaded_ends_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], console: bool
) -> None:
    monkeypatch.setitem(sys.modules, "decalgen.cli.main", Loading("decalgen.cli.main"))
    if not console:
        monkeypatch.setattr(sys, "stderr", None)
    with pytest.raises(SystemExit) as ended:
        begin.main()
    assert ended.value.code == Interrupted.exit_code
    if console:
        assert capsys.readouterr().err == "\nstopped; no half-written file is left\n"


@pytest.mark.parametrize("own", [None, "4"])
def test_numpy_starts_no_threads_unless_asked_and_nothing_is_swept_at_the_end(
    monkeypatch: pytest.MonkeyPatch, own: str | None
) -> None:
    # Set first, so that it is put back as it was whatever the program does with it.
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", own or "")
    if own is None:
        os.environ.pop("OPENBLAS_NUM_THREADS")
    seen: list[str | None] = []
    program = ModuleType("decalgen.cli.main")
    program.main = lambda: seen.append(os.environ.get("OPENBLAS_NUM_THREADS"))  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "decalgen.cli.main", program)
    before = gc.get_freeze_count()
    try:
        begin.main()
        assert gc.get_freeze_count() > before
    finally:
        gc.unfreeze()
    assert seen == [own or "1"]
