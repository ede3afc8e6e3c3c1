"""The start of the page: ports, missing parts, and who is there already."""

from __future__ import annotations

import json
import shutil
import socket
import sys
from pathlib import Path

import pytest

from decalgen.bench import serve
from decalgen.cli.main import cli
from decalgen.core.errors import DecalgenError
from tests.bench.first_minute import ROOT


def test_a_port_in_use_is_told_with_one_that_is_free(folder: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said: list[str] = []
        with pytest.raises(DecalgenError, match=f"port {port} is in use") as caught:
            serve.serve(folder, said.append, port, browser=False)
    free = int(caught.value.fix.split("take ")[1].split(",")[0])
    assert free != port and not said
    with socket.socket() as other:
        other.bind(("127.0.0.1", free))


def test_a_missing_part_of_the_page_is_told_with_the_fix(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    for name in [name for name in sys.modules if name.startswith("decalgen.bench.serve")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delattr("decalgen.bench.serve")
    monkeypatch.setitem(sys.modules, "starlette.applications", None)
    with pytest.raises(DecalgenError, match="needs the package starlette") as caught:
        cli.main(["bench", str(folder)], standalone_mode=False)
    assert "pip install" in caught.value.fix


def test_the_lock_of_a_folder_and_of_each_job_lead_to_the_same_page(folder: Path, data: Path) -> None:
    """What a second start reads; only the owner may, where the system knows owners."""
    shutil.copy(ROOT / "demo" / "gannet.yaml", folder)
    shelf = serve.shelf_of(folder)
    noted: list[Path] = []
    shelf.noted = noted.append
    shelf.taken_up("gannet.yaml")
    shelf.taken_up("gannet.yaml")
    assert noted == [folder / "gannet.yaml"]
    assert serve.lock_file(folder) != serve.lock_file(folder / "gannet.yaml")
    lock = serve.lock_file(folder / "gannet.yaml")
    lock.parent.mkdir(parents=True, exist_ok=True)
    lock.write_text(json.dumps({"port": 1, "door": "x", "job": "gannet.yaml"}), encoding="utf-8")
    assert serve.elsewhere(folder / "gannet.yaml") == ""
