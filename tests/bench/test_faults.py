"""A fault of decalgen's own in work beside the typing is told on the page, and where decalgen was started."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.examining import Examination
from decalgen.bench.screens import check
from decalgen.bench.workplace import Workplace

SAID = "decalgen itself failed (RuntimeError: odd); your files are unchanged"


@pytest.fixture
def place(job: Path) -> Workplace:
    return Workplace(Desk(job))


def odd(*_: Any) -> Any:
    raise RuntimeError("odd")


def test_what_was_to_be_made_says_so(
    place: Workplace, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard: list[dict[str, Any]] = []
    monkeypatch.setattr(place, "tell", lambda **what: heard.append(what))

    async def make() -> None:
        place.start("sheet", "making the sheet", odd)
        assert place.busy
        await asyncio.gather(*place.tasks)

    asyncio.run(make())
    assert SAID in place.results["sheet"]["wrong"] and place.results["sheet"]["files"] == []
    assert place.results["sheet"]["fix"].startswith("try again") and "fix:" not in place.results["sheet"]["wrong"]
    assert not place.busy and heard[-1]["made"] == "sheet"
    assert [one.exc_info is not None for one in caplog.records if one.name == "decalgen"] == [True]


def test_a_check_that_breaks_off_is_an_error_and_no_check_without_end(
    place: Workplace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Examination, "all", odd)
    asyncio.run(place.examine())
    (one,) = [one for one in check.state(place, {})["findings"] if one["severity"] == "error"]
    assert one["message"] == SAID and check.standing(place).words == "1 to correct"
