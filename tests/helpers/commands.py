"""Running the commands as a person does, in this process: what they print and how they end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from decalgen.cli import main


@dataclass(frozen=True)
class Said:
    """What a run printed and how it ended."""

    code: int
    out: str
    err: str

    @property
    def text(self) -> str:
        """All it printed."""
        return self.out + self.err


Run = Callable[..., Said]


def runner(capsys: pytest.CaptureFixture[str], gated: bool = False) -> Run:
    """What runs a command's words; no run may show a traceback. ``gated``: `sheet` asks for a proof that was passed, as
    it does for everyone; else it is told that this is a test of something else."""

    def start(*words: str) -> Said:
        if words[:1] == ("sheet",) and not gated and "press" not in words:
            words = (*words, "--without-proof", "a test of something else")
        capsys.readouterr()
        with pytest.raises(SystemExit) as end:
            main.main(words)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Said(int(end.value.code or 0), out, err)

    return start


def folder() -> dict[str, bytes]:
    """Every file below the folder one stands in."""
    return {path.as_posix(): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


def edited(old: str, new: str, name: str = "tug.yaml") -> None:
    """Puts ``new`` for the first ``old`` in a file that has it."""
    text = Path(name).read_text(encoding="utf-8")
    assert old in text
    Path(name).write_text(text.replace(old, new, 1), encoding="utf-8")
