"""Where the command begins: Ctrl-C before the program is loaded."""

from __future__ import annotations

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
