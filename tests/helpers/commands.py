"""Running the commands as a person does, in this process: what they print and how they end."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from decalgen.cli import main
from decalgen.core.errors import DecalgenError
from decalgen.core.kept import write_kept
from decalgen.proofing.files import ENDING, positions_file, standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import FORM, read_positions


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
    it does for everyone; else it is told that this is a test of something else. The code of a proof is read off its
    paper where none is typed."""

    def start(*words: str) -> Said:
        if words[:1] == ("sheet",) and not gated and "press" not in words:
            words = (*words, "--without-proof", "a test of something else")
        if words[:2] == ("proof", "passed") and "--code" not in words:
            words = (*words, "--code", code_on(Path(words[2])))
        capsys.readouterr()
        with pytest.raises(SystemExit) as end:
            main.main(words)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Said(int(end.value.code or 0), out, err)

    return start


def at_home(job: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """The same in a folder that holds a job as `tug.yaml`, with a drawer and profiles of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(job, encoding="utf-8")
    return runner(capsys)


def code_on(proof: Path) -> str:
    """The code that is printed on a proof (`tests/pages/test_proof_code.py` looks whether it is); empty: there is no
    such proof."""
    path = proof if proof.name.endswith(ENDING) else positions_file(proof)
    try:
        return code_of(standard_of(read_positions(path)).fingerprint)
    except DecalgenError:
        return ""


def resealed(name: str, **more: object) -> None:
    """Changes what a file of positions holds, as only decalgen itself would: with a seal that fits."""
    data = json.loads(Path(name).read_text(encoding="utf-8"))
    del data["form"], data["content"]
    Path(name).write_bytes(write_kept(FORM, {**data, **more}))


def folder() -> dict[str, bytes]:
    """Every file below the folder one stands in."""
    return {path.as_posix(): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


def edited(old: str, new: str, name: str = "tug.yaml") -> None:
    """Puts ``new`` for the first ``old`` in a file that has it."""
    text = Path(name).read_text(encoding="utf-8")
    assert old in text
    Path(name).write_text(text.replace(old, new, 1), encoding="utf-8")
