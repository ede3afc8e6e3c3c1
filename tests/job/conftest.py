"""Job files written into a folder of their own, which is also the working folder, as when someone types a name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.core.errors import JobError, Problem
from decalgen.job.loader import load_job
from decalgen.job.model import Job

HEAD = "job: test\nbody: white\n"
PANEL = "panels:\n  door: {width: 22.40 mm ± 0.05, height: 11.60 mm}\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The working folder."""
    place = tmp_path / "job"
    place.mkdir()
    monkeypatch.chdir(place)
    return place


@pytest.fixture
def load(folder: Path) -> Callable[..., Job]:
    """Writes job.yaml (and other files by name) and loads it."""

    def run(text: str | bytes, variant: str | None = None, **others: str) -> Job:
        data = text if isinstance(text, bytes) else text.encode("utf-8")
        (folder / "job.yaml").write_bytes(data)
        for name, content in others.items():
            (folder / f"{name}.yaml").write_text(content, encoding="utf-8")
        return load_job("job.yaml", variant)

    return run


@pytest.fixture
def mistakes(load: Callable[..., Job]) -> Callable[..., tuple[Problem, ...]]:
    """The mistakes found in such a job; none is a failure."""

    def run(text: str | bytes, variant: str | None = None, **others: str) -> tuple[Problem, ...]:
        with pytest.raises(JobError) as caught:
            load(text, variant, **others)
        return caught.value.problems

    return run
