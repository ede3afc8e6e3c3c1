"""The demo itself: four invented jobs are checked, nested on one opened white and one clear A5, proven and printed.

Everything goes into demo/out/: the check's report, the proof, the sheets, and a picture of all that came of it. What is
printed is short, and names the files last.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from decalgen import api
from decalgen.cli.progress import ProgressBar
from decalgen.cli.terminal import tell


def _short(path: Path) -> Path:
    """As a user would name it from where they stand."""
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path


HERE = _short(Path(__file__).resolve().parent)
OUT = HERE / "out"
JOBS = tuple(HERE / f"{name}.yaml" for name in ("gannet", "h9", "ostmerrow", "dravenhoe"))
FILMS = (HERE / "films" / "white-a5.yaml", HERE / "films" / "clear-a5.yaml")
PRINTER = HERE / "printer.yaml"


def load(*jobs: Path, stage: Callable[[str], None] | None = None) -> api.Run:
    """Some of the demo's jobs with its film and its printer. ``stage`` hears what is done."""
    return api.load(jobs or JOBS, films=FILMS, printer=PRINTER, stage=stage)


def main() -> int:
    """Makes every file, tells what came of it, and names the files last. Gives the exit code. ``--guide`` also writes
    where each decal goes; ``--picture`` makes the README's pictures anew."""
    try:
        with ProgressBar("reading the jobs") as bar:
            run = load(stage=bar.stage)
            result = make(run, OUT, guide="--guide" in sys.argv[1:])
            if "--picture" in sys.argv[1:]:
                overview = api.render(api.overview(run, OUT / POSITIONS), ".png", 72)[0]
                api.Made({HERE / "picture.png": overview, **first_job()}).write()
        tell(result)
    except api.DecalgenError as error:
        print(error)
        return error.exit_code
    return 0


POSITIONS = "four-jobs.positions.json"


def first_job() -> dict[Path, bytes]:
    """The README's pictures of its first job, small: the decal, its panel, and the proof."""
    from decalgen.commands.proof import proof_document

    readme = HERE.parent / "README.md"
    text = readme.read_text(encoding="utf-8").split("```yaml\n", 1)[1].split("```", 1)[0]
    with TemporaryDirectory() as folder:
        job = Path(folder) / "tug.yaml"
        job.write_text(text, encoding="utf-8")
        run = api.load([job], films=["white A5"])
        drawn = {path.name: data for path, data in api.draw(run, folder, [".png"], dpi=96).files.items()}
        proof = api.render(proof_document(run)[0], ".png", 64)[0]
    return {
        HERE / "first-job-decal.png": drawn["tug-door-band-left.png"],
        HERE / "first-job-panel.png": drawn["tug-on-door-left.png"],
        HERE / "first-job-proof.png": proof,
    }


def make(run: api.Run, folder: Path, guide: bool = False) -> api.Result:
    """Makes the demo's files in a folder, and the story of them; ``guide``: the placement guide too, which takes a
    fifth more time. Raises DecalgenError."""
    proof = api.proof(run, folder / "four-jobs-proof.pdf").write()
    found = api.check(run)
    report = folder / "check.txt"
    api.Made({report: api.report(found)}).write()
    wanted = api.SheetFiles(
        (folder / "four-jobs-sheet.pdf", folder / "four-jobs-sheet.svg"), cut=(folder / "four-jobs-cut.svg",)
    )
    verdict, story = prove(run, proof.files[0], wanted)
    sheets = api.sheet(run, wanted).write()
    picture = folder / "four-jobs.png"
    api.Made({picture: api.render(api.overview(run, folder / POSITIONS), ".png", dpi=144)[0]}).write()
    groups = (
        api.FileGroup("open first, all of it in one picture", (picture,)),
        *sheets.answer.groups,
        *proof.answer.groups,
        *verdict.answer.groups,
        *(guide_of(run, folder) if guide else ()),
        api.FileGroup("the whole check, with every warning and clearance", (report,)),
    )
    film = [line for line in sheets.lines if line.startswith(("sheet ", "expected"))]
    lines = (found.answer.done, *story, "film, printed as on the proof:", *(f"  {line}" for line in film))
    answer = api.Answer(
        f"made the decals of {len(run.jobs)} models",
        f"open {picture}; {'' if guide else 'add --guide to see where each decal goes; '}"
        "for a model of your own: decalgen new my-model.yaml",
        groups,
        also=tuple(finding.severity for finding in found.findings),
    )
    return api.Result(tuple(path for group in groups for path in group.paths), (), lines, answer)


def guide_of(run: api.Run, folder: Path) -> tuple[api.FileGroup, ...]:
    """Writes where each decal goes, and says what the file is for."""
    return api.guide(run, [folder / "four-jobs-guide.pdf"]).write().answer.groups


def prove(run: api.Run, proof: Path, wanted: api.SheetFiles) -> tuple[api.Result, tuple[str, ...]]:
    """A proof that was fitted to what the printer reaches is refused, and so is the film; printed again at 100 % it is
    passed. Gives the result of the readings, and what was said."""
    code = code_of(api.nest(run, proof.with_name(POSITIONS)))
    rows = ["the proof, printed first: its check bars measure 92.9 mm of 100, both of them"]
    result = api.pass_proof(proof, ["92.9 92.8 92.9"], ["92.9 92.9 92.8"], code).write()
    rows += [f"  {line}" for line in result.lines[-2:]]
    try:
        api.sheet(run, wanted)
    except api.GateError as error:
        rows.append(f"  film asked for all the same: {error.message}, so none is printed")
    rows.append("printed again at 100 %: its check bars measure 99.9 and 100.1 mm")
    result = api.pass_proof(proof, ["99.9 99.9 99.8"], ["100.1 100.0 100.1"], code).write()
    return result, (*rows, *(f"  {line}" for line in result.lines[-2:]))


def code_of(arrangement: object) -> str:
    """The code on the proof's paper, which a person reads there."""
    from decalgen.proofing import fingerprint

    return fingerprint.code_of(fingerprint.fingerprint(arrangement))  # type: ignore[arg-type]


if __name__ == "__main__":
    raise SystemExit(main())
