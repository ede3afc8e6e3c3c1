"""Whatever slip of the finger happens to a good job: it is read, or refused with places; never anything else."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from decalgen.core.errors import JobError
from decalgen.job.loader import job_as_written

from .test_loader import GANNET
from .test_merge import JOB

SCRAPS = st.sampled_from(
    [
        "",
        " ",
        "  ",
        "\n",
        "\t",
        ":",
        ": ",
        "#",
        " #",
        "-",
        "- ",
        "[",
        "]",
        "{",
        "}",
        ",",
        '"',
        "'",
        "&a",
        "*a",
        "!",
        "|",
        ">",
        "?",
        "%",
        "@",
        "<",
        ">",
        "<word>",
        "0",
        "-1",
        "1e9",
        "1e99",
        "mm",
        "±",
        "panel.width",
        "decal.width",
        "null",
        "~",
        "é",
    ]
)
LINES = sorted({*GANNET.split("\n"), *JOB.split("\n")})


@pytest.fixture(scope="module")
def job_file(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("edits") / "job.yaml"


def check(path: Path, text: str) -> None:
    try:
        job = job_as_written(text, path)
    except JobError as error:
        assert error.problems
        for problem in error.problems:
            assert problem.message
            assert problem.place is not None
            lines = text.split("\n")
            assert 1 <= problem.place.line <= len(lines)
            assert problem.place.text == lines[problem.place.line - 1]
            assert 1 <= problem.place.column <= len(problem.place.text) + 1
            assert str(problem)
    else:
        assert job.name


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300)
@given(data=st.data())
def test_scraps_put_in_or_taken_out(job_file, data):
    text = data.draw(st.sampled_from([GANNET, JOB]))
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        out = data.draw(st.integers(0, 8))
        text = text[:at] + data.draw(SCRAPS) + text[at + out :]
    check(job_file, text)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200)
@given(data=st.data())
def test_lines_mixed_up(job_file, data):
    lines = data.draw(st.sampled_from([GANNET, JOB])).split("\n")
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(lines) - 1))
        lines[at : at + data.draw(st.integers(0, 2))] = data.draw(st.lists(st.sampled_from(LINES), max_size=2))
        lines = lines or [""]
    check(job_file, "\n".join(lines))
