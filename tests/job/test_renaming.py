"""Another name for a thing of a job, wherever the job says it: nothing else changes, and the job means the same.

That a job means the same is told by what is drawn: the artwork of every decal, hand and variant, before and after.
"""

from __future__ import annotations

import random
import re
from pathlib import Path
from typing import Any

import pytest

from decalgen.artwork.build import build_all, hands
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import EditError, set_value, values
from decalgen.job.formatted import formatted
from decalgen.job.homes import home_of
from decalgen.job.loader import job_as_written
from decalgen.job.renaming import Subject, renamed, uses_of
from decalgen.job.splices import WrittenText
from decalgen.job.written import in_brackets
from tests.job.test_restructure import ENDS, JOBS, STYLES, comments, job_in

DEMO = Path(__file__).resolve().parents[2] / "demo"


def subjects(whole: Any) -> list[Subject]:
    """Everything in a file that has a name of the user's own."""
    found = [Subject(what, name) for what, key in GROUPS.items() for name in whole.get(key) or {}]
    for panel, group in whole["panels"].items():
        found += [Subject("obstacle", name, panel) for name in group.get("obstacles") or {}]
    for decal, group in whole["decals"].items():
        if "layout" not in group:
            found += [Subject("value", name, decal) for name in group.get("values") or {}]
    return found


GROUPS: dict[Any, str] = {
    "panel": "panels", "decal": "decals", "value": "values", "ink": "inks", "paint": "paints", "variant": "variants",
}  # fmt: skip


def drawn(text: str, path: Path, variant: str | None = None) -> list[Any]:
    """What a job draws: of each decal in order its size, and each ink's colour and outline."""
    job = job_as_written(text, path, variant)
    found = []
    for decal in job.decals:
        for hand in hands(decal):
            for art in build_all(job, decal, hand):
                inks = [(art.colour(one.ink), one.region.wkb) for one in art.shown]
                found.append((art.width, art.height, art.cut_polygon.wkb, inks))
    return found


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", JOBS)
def test_a_renamed_thing_is_renamed_everywhere_and_nothing_else_changes(name: str, style: str) -> None:
    path = DEMO / f"{name}.yaml"
    for number, (end, mark) in enumerate(ENDS[:2]):
        text = job_in(name, style, end, mark)
        every = subjects(values(text))
        for subject in random.Random(f"{name}{style}{number}").sample(every, min(3, len(every))):
            new = renamed(text, path, subject, "quite another")
            back = Subject(subject.what, "quite another", subject.owner)
            assert renamed(new, path, back, subject.name) == text
            assert comments(new) == comments(text)
            # Line for line the same, but for the name.
            old = new.replace("quite another", subject.name)
            assert old == text or re.sub(r"[\"']", "", old) == re.sub(r"[\"']", "", text)
            assert (
                not re.search(rf"^ *\"?{re.escape(subject.name)}\"?:", new, re.MULTILINE)
                or text.count(subject.name) > 1
            )


@pytest.mark.parametrize("name", JOBS)
def test_what_is_drawn_stays_the_same(name: str) -> None:
    path = DEMO / f"{name}.yaml"
    text = job_in(name, "as written", "\n", "")
    before = drawn(text, path)
    for subject in subjects(values(text)):
        new = renamed(text, path, subject, "quite another")
        assert drawn(new, path) == before, subject


def test_a_variant_stays_the_same_too() -> None:
    path, text = DEMO / "gannet.yaml", job_in("gannet", "as written", "\n", "")
    before = drawn(text, path, "pilot")
    assert drawn(renamed(text, path, Subject("value", "accent"), "band colour"), path, "pilot") == before
    new = renamed(text, path, Subject("variant", "pilot"), "harbour pilot")
    assert drawn(new, path, "harbour pilot") == before


JOB = """\
job: tug
body: navy
values:
  gap: 0.4 mm        # the shut line
  word: gap
  ground: teal
  long gap: 2 * gap
inks:
  teal: {colour: "#1f7f86"}
  pale: "#eeeeee"
panels:
  door:
    width: 22.40 mm ± 0.05
    height: 11.60 mm
    obstacles:
      handle: {circle: 2 mm, at: [3 mm, 9 mm]}
      seam: {line: [[11 mm, 0 mm], [11 mm, 11.6 mm]], width: 0.4 mm, gap: yes}
  hatch:
    width: panels.door.width - 2 * gap
    height: min(panels.door.height, 8 mm)
    obstacles: {handle: {circle: 1 mm, at: [2 mm, 6 mm]}}
decals:
  band:
    panel: door
    values: {side: 2 mm, gap: gap}
    width: panel.width - 2 * side - gap
    height: long gap + 2 mm
    at: bottom + gap
    cut around: [handle]
    split at: seam
    artwork:
      - field: {ink: <ground>}
      - lettering: {text: <word>, cap height: 2 mm, ink: pale}
  patch:
    panel: hatch
    over: []
    width: 5 mm
    height: 3 mm
    cut around: handle
    artwork:
      - field: {ink: "teal"}
  top:
    panel: hatch
    over: patch
    width: 2 mm
    height: 1 mm
    artwork:
      - field: {ink: pale}
variants:
  red:
    values: {ground: pale}
    inks: {teal: "#aa2222"}
    panels: {door: {obstacles: {handle: null}}}
    decals: {top: null, band: {cut around: []}}
"""


def replaced(*pairs: tuple[str, str]) -> str:
    text = JOB
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


@pytest.mark.parametrize(
    ("subject", "new", "pairs"),
    [
        # The word that is printed is no length: its text stays, though it looks like the name.
        (Subject("value", "gap"), "shut gap", (("  gap: 0.4", "  shut gap: 0.4"),
          ("2 * gap\ninks", "2 * shut gap\ninks"),
          ("door.width - 2 * gap", "door.width - 2 * shut gap"), ("gap: gap}", "gap: shut gap}"))),
        # The decal's own value of that name is another.
        (Subject("value", "gap", "band"), "my gap", (("gap: gap}", "my gap: gap}"), ("side - gap", "side - my gap"),
          ("bottom + gap", "bottom + my gap"))),
        (Subject("value", "long gap"), "tall", (("  long gap: 2", "  tall: 2"), ("long gap + 2", "tall + 2"))),
        (Subject("value", "word"), "name", (("  word: gap", "  name: gap"), ("<word>", "<name>"))),
        (Subject("value", "ground"), "field", (("  ground: teal", "  field: teal"), ("<ground>", "<field>"),
          ("{ground: pale}", "{field: pale}"))),
        (Subject("panel", "door"), "cab door", (("  door:\n", "  cab door:\n"),
          ("panels.door.width", "panels.cab door.width"),
          ("panels.door.height", "panels.cab door.height"),
          ("panel: door", "panel: cab door"), ("{door: {ob", "{cab door: {ob"))),
        # Of two obstacles of one name only that of the panel, and where decals of that panel name it.
        (Subject("obstacle", "handle", "door"), "grip", (("      handle:", "      grip:"), ("[handle]", "[grip]"),
          ("{handle: null", "{grip: null"))),
        (Subject("obstacle", "handle", "hatch"), "grip", (("{handle: {circle: 1", "{grip: {circle: 1"),
          ("around: handle", "around: grip"))),
        (Subject("obstacle", "seam", "door"), "shut line", (("      seam:", "      shut line:"),
          ("at: seam", "at: shut line"))),
        (Subject("ink", "teal"), "sea, deep", (("  teal: {", '  sea, deep: {'), ("ground: teal", "ground: sea, deep"),
          ('ink: "teal"', 'ink: "sea, deep"'), ("inks: {teal:", 'inks: {"sea, deep":'))),
        (Subject("ink", "pale"), "light", (("  pale:", "  light:"), ("mm, ink: pale}", "mm, ink: light}"),
          ("      - field: {ink: pale}", "      - field: {ink: light}"), ("{ground: pale}", "{ground: light}"))),
        (Subject("decal", "patch"), "plate", (("  patch:\n", "  plate:\n"), ("over: patch", "over: plate"))),
        (Subject("decal", "top"), "lid", (("  top:\n", "  lid:\n"), ("{top: null", "{lid: null"))),
        (Subject("variant", "red"), "blue", (("  red:\n", "  blue:\n"),)),
    ],
)  # fmt: skip
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_just_the_places_that_mean_it(
    subject: Subject, new: str, pairs: tuple[tuple[str, str], ...], end: str, tmp_path: Path
) -> None:
    wanted = replaced(*pairs).replace("\n", end)
    assert renamed(JOB.replace("\n", end), tmp_path / "tug.yaml", subject, new) == wanted


@pytest.mark.parametrize(
    ("subject", "new", "words"),
    [
        (Subject("value", "gap"), "word", "there is a value 'word' already"),
        (Subject("value", "gap"), "Long Gap", "there is a value 'long gap' already"),
        (Subject("value", "gap"), "min", "'min' is what the least"),
        (Subject("value", "gap"), "mm", "'mm' is read as a unit"),
        (Subject("value", "gap"), "panel", "'panel' is the beginning of sizes"),
        (Subject("value", "gap"), "2 gaps", "cannot be the name of a value"),
        # A value of the decal has that name, and would be taken for it.
        (Subject("value", "long gap"), "side", "the job would mean something else"),
        (Subject("panel", "door"), "hatch", "there is a panel 'hatch' already"),
        (Subject("ink", "teal"), "white", "there is an ink 'white' already"),
        (Subject("ink", "teal"), "<word>", "cannot be the name of an ink"),
        (Subject("ink", "white"), "snow", "not written in this file"),
        (Subject("obstacle", "seam", "door"), "all", "'all' is what stands for every obstacle"),
        (Subject("decal", "nothing"), "a", "not written in this file"),
    ],
)
def test_a_name_that_cannot_be_is_refused(subject: Subject, new: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(DecalgenError, match=re.escape(words)) as refused:
        renamed(JOB, tmp_path / "tug.yaml", subject, new)
    assert refused.value.fix


def test_a_name_that_another_file_says_too_is_refused(tmp_path: Path) -> None:
    (tmp_path / "more.yaml").write_text("panels:\n  lid:\n    width: 10 mm\n    height: 2 * gap\n", encoding="utf-8")
    with pytest.raises(EditError, match=r"more\.yaml, line 4, names 'gap' too"):
        renamed("include: more.yaml\n" + JOB, tmp_path / "tug.yaml", Subject("value", "gap"), "slot")


def test_the_names_of_a_layout_s_values_stay(tmp_path: Path) -> None:
    text = (DEMO / "gannet.yaml").read_text(encoding="utf-8")
    with pytest.raises(EditError, match="the layout 'door-band' calls it 'side gap'"):
        renamed(text, DEMO / "gannet.yaml", Subject("value", "side gap", "door band"), "gap")


def test_other_capitals_are_another_name(tmp_path: Path) -> None:
    new = renamed(JOB, tmp_path / "tug.yaml", Subject("decal", "patch"), "Patch")
    assert new == replaced(("  patch:\n", "  Patch:\n"), ("over: patch", "over: Patch"))
    assert renamed(JOB, tmp_path / "tug.yaml", Subject("decal", "patch"), "patch") == JOB


# ------------------------------------------------------------------------------------------------ where a value lives
def homes(path: Path) -> Any:
    _, uses = uses_of(JOB, path / "tug.yaml")
    written = WrittenText(JOB, "tug.yaml")
    return lambda *at, variant="": home_of(written, uses, at, variant)


def test_where_a_value_lives(tmp_path: Path) -> None:
    find = homes(tmp_path)
    assert find("decals", "patch", "width").kind == "here"
    assert find("decals", "band", "height").kind == "here"
    ink = find("decals", "band", "artwork", 0, "field", "ink")
    assert (ink.kind, ink.path, ink.name, ink.uses) == (
        "named", ("values", "ground"), "ground", (("decals", "band", "artwork", 0, "field", "ink"),),
    )  # fmt: skip
    gap = find("decals", "band", "values", "gap")
    assert gap.path == ("values", "gap") and gap.decals == ("band",)
    # The word that is printed is none of them.
    assert gap.uses == (
        ("values", "long gap"), ("panels", "hatch", "width"), ("decals", "band", "values", "gap"),
    )  # fmt: skip
    assert find("decals", "patch", "copies").kind == "left out"
    assert find("decals", "gone", "width").kind == "elsewhere"
    assert find("inks", "teal", variant="red").path == ("variants", "red", "inks", "teal")
    assert find("inks", "pale", variant="red").kind == "here"


def test_a_value_that_a_layout_or_another_file_gives() -> None:
    text = (DEMO / "gannet.yaml").read_text(encoding="utf-8")
    _, uses = uses_of(text, DEMO / "gannet.yaml")
    written = WrittenText(text, "gannet.yaml")
    assert home_of(written, uses, ("decals", "door band", "values", "foot gap")).name == "door-band"
    accent = home_of(written, uses, ("decals", "door band", "values", "band ink"))
    # Counted in the file by hand: twice in the door band, once in each of the other four.
    assert len(accent.uses) == 6 and accent.path == ("values", "accent")
    assert accent.decals == ("door band", "door roundel", "bonnet chevrons", "bed lettering", "tailgate chevrons")
    new = set_value(text, accent.path, "rust")
    changed = [one for one in drawn(new, DEMO / "gannet.yaml") if one not in drawn(text, DEMO / "gannet.yaml")]
    assert len(changed) == len(drawn(text, DEMO / "gannet.yaml"))


def test_the_kept_styles_are_what_they_say() -> None:
    text = job_in("gannet", "brackets", "\n", "")
    assert values(text) == values(formatted(text, "gannet")) and in_brackets(values(text)["values"]) in text
