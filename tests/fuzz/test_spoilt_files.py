"""Files of every kind, spoilt at random by fixed seeds: a message, never a fault, and nothing raw on the terminal.

`by_hand.py` beside this does the same with ten thousand, and watches time and memory.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.fuzz.readers import KINDS, furnish, outcome, spoilt

EACH = 12


@pytest.fixture(scope="module")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    here, data = Path.cwd(), os.environ.get("DECALGEN_DATA")
    folder = tmp_path_factory.mktemp("fuzz")
    furnish(folder)
    os.chdir(here)
    if data is None:
        del os.environ["DECALGEN_DATA"]
    else:
        os.environ["DECALGEN_DATA"] = data
    yield folder


@pytest.mark.parametrize("name", KINDS)
def test_a_spoilt_file_is_told_as_a_mistake(
    furnished: Path, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kind = KINDS[name]
    work = tmp_path / "work"
    shutil.copytree(furnished, work)
    monkeypatch.chdir(work)
    monkeypatch.setenv("DECALGEN_DATA", str(work / "data"))
    good = Path(kind.file).read_bytes()
    fault, _ = outcome(kind.read)
    assert not fault, fault
    for number in range(EACH):
        data = spoilt(kind, good, f"{name} {number}")
        Path(kind.file).write_bytes(data)
        fault, _ = outcome(kind.read)
        assert not fault, f"{name} {number}: {data[:2000]!r}\n{fault}"
