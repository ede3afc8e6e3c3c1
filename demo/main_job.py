"""The demo itself: four invented jobs are checked, nested on one opened white and one clear A5, proven and printed.

Everything goes into demo/out/: the check's report, the proof, the sheets, and a picture of all that came of it.
"""

from __future__ import annotations

import sys
from pathlib import Path

from decalgen import api


def _short(path: Path) -> Path:
    """As a user would name it from where they stand."""
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path


HERE = _short(Path(__file__).resolve().parent)
OUT = HERE / "out"
JOBS = tuple(HERE / f"{name}.yaml" for name in ("gannet", "h9", "ostmerrow", "dravenhoe"))
FILMS = (HERE / "films" / "white-a5.yaml", HERE / "films" / "clear-a5.yaml")
PRINTER = HERE / "printer.yaml"


def load(*jobs: Path) -> api.Run:
    """Some of the demo's jobs with its film and its printer."""
    return api.load(jobs or JOBS, films=FILMS, printer=PRINTER)


def main() -> int:
    """Makes every file and names it. Gives the exit code. ``--picture`` makes the README's picture anew."""
    try:
        run = load()
        files = make(run, OUT)
        if "--picture" in sys.argv[1:]:
            small = {HERE / "picture.png": api.render(api.overview(run, OUT / POSITIONS), ".png", dpi=72)[0]}
            files = (*files, *api.Made(small).write().files)
        for path in files:
            print(f"wrote {path}")
    except api.DecalgenError as error:
        print(error)
        return error.exit_code
    return 0


POSITIONS = "four-jobs.positions.json"


def make(run: api.Run, folder: Path) -> tuple[Path, ...]:
    """Makes the demo's files in a folder. Raises DecalgenError."""
    proof = api.proof(run, folder / "four-jobs-proof.pdf").write()
    found = api.check(run)
    text = "\n".join([*(str(finding) for finding in found.findings), "", *found.lines, ""])
    files = api.Made({folder / "check.txt": text.encode("utf-8")}).write().files
    wanted = api.SheetFiles(
        (folder / "four-jobs-sheet.pdf", folder / "four-jobs-sheet.svg"), cut=(folder / "four-jobs-cut.svg",)
    )
    verdict, *proving = prove(run, proof.files[0], wanted)
    sheets = api.sheet(run, wanted).write()
    picture = api.render(api.overview(run, folder / POSITIONS), ".png", dpi=144)[0]
    for line in (*found.lines, *proving, *sheets.lines):
        print(line)
    return (*files, *proof.files, verdict, *sheets.files, *api.Made({folder / "four-jobs.png": picture}).write().files)


def prove(run: api.Run, proof: Path, wanted: api.SheetFiles) -> tuple[Path, *tuple[str, ...]]:
    """A proof that was fitted to what the printer reaches is refused, and so is the film; printed again at 100 % it is
    passed. Gives the file of the readings, and what was said."""
    code = code_of(api.nest(run, proof.with_name(POSITIONS)))
    rows = ["", "the proof's check bars measure 92.9 mm of 100, both of them:"]
    result = api.pass_proof(proof, ["92.9 92.8 92.9"], ["92.9 92.9 92.8"], code).write()
    rows += [f"  {line}" for line in result.lines]
    try:
        api.sheet(run, wanted)
    except api.GateError as error:
        rows += [f"  {line}" for line in ("the sheet for film, asked for all the same:", *str(error).splitlines())]
    rows.append("printed again at 100 %, they measure 99.9 and 100.1 mm:")
    result = api.pass_proof(proof, ["99.9 99.9 99.8"], ["100.1 100.0 100.1"], code).write()
    rows += [f"  {line}" for line in result.lines]
    return (result.files[0], *rows, "")


def code_of(arrangement: object) -> str:
    """The code on the proof's paper, which a person reads there."""
    from decalgen.proofing import fingerprint

    return fingerprint.code_of(fingerprint.fingerprint(arrangement))  # type: ignore[arg-type]


if __name__ == "__main__":
    raise SystemExit(main())
