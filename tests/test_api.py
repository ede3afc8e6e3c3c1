"""The functions for scripts: values in, values out, each stage of a run made once, nothing written unasked."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from decalgen import api
from decalgen.artwork import build, drawn
from decalgen.job import loader
from decalgen.sheet import arrange, nest_request

JOB = """\
job: tug
title: Harbour tug
date: 2026-11-25
body: "#d9d2c0"
film: white
inks: {teal: {colour: "#1f7f86"}}
panels: {funnel: {width: 40 mm ± 0.05, height: 22 mm ± 0.05}}
decals:
  band: {panel: funnel, width: 30 mm, height: 8 mm, copies: 2, artwork: [field: {ink: teal}]}
  disc: {panel: funnel, at: {anchor: top}, width: 5 mm, height: 5 mm, artwork: [field: {ink: teal}]}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tug.yaml").write_text(JOB, encoding="utf-8")
    return tmp_path


def names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_nothing_is_written_unless_it_is_asked(folder: Path) -> None:
    run = api.load(["tug.yaml"], films=["white A5"])
    made = [api.check(run), api.draw(run), api.proof(run, "tug-proof.pdf")]
    made.append(api.sheet(run, api.SheetFiles((Path("tug-sheet.pdf"),), without_proof="a trial")))
    assert len(api.nest(run).positions) == 3 and api.render(api.overview(run), ".svg")[0].startswith(b"<?xml")
    assert names(folder) == {"tug.yaml"}
    for one in made:
        one.write()
    assert {"drawings/tug-band.svg", "tug-proof.pdf", "tug.positions.json", "tug-sheet.pdf"} <= names(folder)


def test_a_run_reads_draws_and_nests_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    counted: dict[str, int] = {}

    def count(where: object, name: str) -> None:
        real = getattr(where, name)

        def once_more(*args: object, **more: object) -> object:
            counted[name] = counted.get(name, 0) + 1
            return real(*args, **more)

        monkeypatch.setattr(where, name, once_more)

    count(loader, "load_job")
    count(build, "build_all")
    count(drawn, "build_all")
    count(arrange, "arrange")
    count(nest_request, "nest")
    run = api.load(["tug.yaml"], films=["white A5"])
    api.check(run)
    api.draw(run).findings  # noqa: B018
    api.proof(run, "tug-proof.pdf").write()
    api.sheet(run, api.SheetFiles((Path("tug-sheet.pdf"),), without_proof="a trial"))
    api.overview(run, "tug.positions.json")
    # Two decals drawn once; the colour previews of `draw` draw each again without its film.
    assert counted == {"load_job": 1, "build_all": 4, "arrange": 1, "nest": 1}


def test_positions_changed_on_the_disk_are_read_again(folder: Path) -> None:
    run = api.load(["tug.yaml"], films=["white A5"])
    api.proof(run, "tug-proof.pdf").write()
    kept = Path("tug.positions.json")
    before = api.nest(run, kept)
    assert api.nest(run, kept) is before
    x = before.positions[0].x
    kept.write_text(kept.read_text(encoding="utf-8").replace(f'"x": {x}', f'"x": {x + 1}', 1), encoding="utf-8")
    try:
        after = api.nest(run, kept)
    except api.DecalgenError:
        return
    assert after.positions[0].x == x + 1


def test_a_print_shops_run_shares_what_does_not_depend_on_its_printer(folder: Path) -> None:
    run = api.load(["tug.yaml"], films=["white A5"])
    found = run.examined
    shop = run.for_press()
    assert shop.jobs is run.jobs and shop.examined is found
    assert shop.plan().printer.shop and not run.plan().printer.shop


def test_what_cannot_be_read_is_told_at_once(folder: Path) -> None:
    Path("tug.yaml").write_text(JOB.replace("30 mm", "30 metres"), encoding="utf-8")
    with pytest.raises(api.DecalgenError) as caught:
        api.load(["tug.yaml"])
    assert "tug.yaml:9" in str(caught.value)


def test_film_is_not_spent_without_a_proof(folder: Path) -> None:
    with pytest.raises(api.GateError):
        api.sheet(api.load(["tug.yaml"]), ["tug-sheet.pdf"])


def test_a_calibration_is_a_value(folder: Path) -> None:
    from decalgen.commands.calibrate_printer import asked_spans
    from decalgen.printer.calibration import SPANS

    target = asked_spans(None, "white A5", "caliper")
    readings = {span: [target.asked(span) * 1.002] * 2 for span in SPANS}
    found = api.calibrate(readings, "white A5")
    assert found.x.value == pytest.approx(1.002, abs=2e-4) and found.y.value == pytest.approx(1.002, abs=2e-4)


def test_importing_it_loads_nothing_heavy() -> None:
    """The libraries that draw, read and nest come when they are used."""
    heavy = ("shapely", "numpy", "reportlab", "ruamel", "pint", "click")
    code = f"import sys, decalgen.api; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_all_its_names_are_there_and_documented() -> None:
    for name in api.__all__:
        assert getattr(api, name).__doc__, name
