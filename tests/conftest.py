"""What all tests share: skipping with a reason where a program is missing, and examples that repeat."""

from __future__ import annotations

import gc
import shutil
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import settings

# The same examples every time, so that a failure can be looked at; no deadline, because a slow machine is no
# failure; no database, so that no folder appears where the tests were started.
settings.register_profile("decalgen", derandomize=True, deadline=None, database=None)
settings.load_profile("decalgen")


@pytest.fixture(scope="session")
def repository() -> Path:
    """The top of the checkout, wherever the tests were started."""
    return Path(__file__).resolve().parent.parent


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is there once all tests are found stays until the end: garbage is looked for among what came later alone."""
    gc.disable()
    found = yield
    gc.collect()
    gc.freeze()
    gc.enable()
    return found


def pytest_runtest_setup(item: pytest.Item) -> None:
    """`@pytest.mark.needs("pdftocairo")` skips, with the reason, where the program is not installed; `needs_one` where
    none of its programs is."""
    wanted = [command for mark in item.iter_markers("needs") for command in mark.args]
    absent = [command for command in wanted if shutil.which(command) is None]
    for mark in item.iter_markers("needs_one"):
        if not any(map(shutil.which, mark.args)):
            absent.append(" or ".join(mark.args))
    if absent:
        pytest.skip(f"{' and '.join(absent)} not installed (tests/run.py says which package brings it)")
