"""Two models of the demo from nothing to a proof, in a real terminal that is killed at every question.

The first and the last start of each are its user's; those between are forked from a process that has read the program.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.commands.interview import MARK
from decalgen.job.loader import load_job
from tests.bench.ready_process import FORKS, start_in_terminal
from tests.helpers.commands import Run

from .test_new import answering, run  # noqa: F401

# The readings of two models of the demo (demo/gannet.yaml, demo/ostmerrow.yaml), in the order of the questions: outside
# sizes, obstacles, depth.
TWO = {
    "gannet": [
        "Pellerby Gannet", "1:43", "night sea", "", "door, flat, left", "22.40 ± 0.05", "11.60 ± 0.05", "handle",
        "rectangle", "3", "0.8", "16.5", "8.2", "", "", "bonnet, cylinder", "24.20 ± 0.05", "19.50 ± 0.05", "",
        "1.10 ± 0.10", "cargo side, tapered", "31.0 ± 0.25", "6.4 ± 0.25", "28.6 ± 0.25", "", "tailgate, flat",
        "26.10 ± 0.05", "7.80 ± 0.05", "", "", "door-band", "door", "tailgate-chevrons", "tailgate", "", "",
        "HARBOUR STORES", "cargo side", "1.6", "20.4", "0.24", "0.22", "",
    ],
    "ostmerrow": [
        "Ostmerrow 1400", "", "chalk", "", "door, flat, left", "15.2 ± 0.05", "10.4 ± 0.05", "", "bonnet, cylinder",
        "26.60 ± 0.05", "21.00 ± 0.05", "", "1.45 ± 0.10", "screen, cylinder", "24.00 ± 0.05", "8.50 ± 0.10", "",
        "2.60 ± 0.10", "boot, dome", "13.0 ± 0.05", "12.0 ± 0.05", "", "18 ± 2", "18 ± 2", "", "number-roundel",
        "door", "sun-strip", "screen", "", "ringed-roundel", "boot", "", "", "",
    ],
}  # fmt: skip
MOST = 60
"""So many answers are asked for at most, for each."""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such terminal on Windows")
def test_killed_at_every_question_and_nothing_is_asked_twice(
    run: Run,  # noqa: F811
    answering: Callable[[list[str]], list[str]],  # noqa: F811
    tmp_path: Path,
) -> None:
    pexpect = pytest.importorskip("pexpect")
    fdspawn = pytest.importorskip("pexpect.fdpexpect").fdspawn
    here = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    folder = tmp_path / "killed"
    folder.mkdir()

    def start(*words: str) -> pexpect.spawn:
        child = pexpect.spawn(
            sys.executable, ["-m", "decalgen", *words], cwd=folder, env=here, encoding="utf-8", timeout=300
        )
        child.setwinsize(24, 2000)
        return child

    for name, typed in TWO.items():
        assert len(typed) <= MOST
        job = folder / f"{name}.yaml"
        # What is asked where nobody kills it, to the letter.
        prompts = answering(typed)
        assert run("new", f"{name}.yaml").code == 0 and len(prompts) == len(typed)
        for number, (prompt, words) in enumerate(zip(prompts, typed, strict=True), 1):
            anew = not FORKS or number in (1, len(typed))
            made = None if anew else start_in_terminal(["new", job.name], here, folder)
            child = start("new", job.name) if made is None else fdspawn(made.stdout, encoding="utf-8", timeout=300)
            child.expect_exact(f"\n{prompt}")
            child.sendline(words)
            if number < len(typed):
                child.expect_exact(f"\n{prompts[number]}")
                os.kill(child.pid if made is None else made.pid, signal.SIGKILL)
            child.expect(pexpect.EOF)
            (child if made is None else made.stdout).close()
            ended = made.wait() if made else -child.signalstatus if child.signalstatus else child.exitstatus
            assert ended == (-signal.SIGKILL if number < len(typed) else 0)
            load_job(job)
        assert job.read_bytes() == Path(f"{name}.yaml").read_bytes() and MARK not in job.read_text(encoding="utf-8")
        read = load_job(job)
        assert not any(panel.unmeasured for panel in read.panels) and len(read.decals) == 3
    child = start("proof", "gannet.yaml", "ostmerrow.yaml", "--effort", "quick", "-o", "p.pdf")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0 and (folder / "p.pdf").is_file(), child.before
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]
