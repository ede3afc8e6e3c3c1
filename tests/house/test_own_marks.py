"""What is shown to everybody is nobody's: demo, layouts, shapes' examples, README and handbook carry no service's
colours, no nation's roundel, no plate that could be issued, and no colour name of a register of paints.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from decalgen.colour.names import NAMED
from decalgen.colour.palette import PALETTE
from decalgen.colour.typed import parse
from decalgen.job.colours import ink_of
from decalgen.job.layouts import layout_names, load_layout
from decalgen.job.loader import load_job
from decalgen.job.model import Job
from decalgen.job.samples import sample
from decalgen.preflight.emblems import tone
from decalgen.shapes.base import Element, Shape
from decalgen.shapes.group import Group
from decalgen.shapes.registry import load
from tests.helpers import jobs as helper
from tests.helpers.checks import check_jobs

ROOT = Path(__file__).parents[2]
SERVICES = {
    frozenset(pair)
    for pair in (
        ("blue", "yellow"),  # police
        ("red", "yellow"),  # fire
        ("green", "yellow"),  # ambulance
        ("orange", "white"),  # rescue, and ambulances of several countries
        ("blue", "white"),  # police
        ("red", "white"),  # fire
        ("blue", "orange"),  # rescue
        ("black", "white"),  # police, in checks
    )
}
"""Two colours in checks, blocks, chevrons or stripes as emergency services have them (common practice, no source)."""
PATTERNS = ("checks", "blocks", "chevrons", "stripe")
STANDARD = {"warning-stripes"}
"""Red and white by DIN 30710, which is for works vehicles."""
OWN = {"white", "black", "first-aid green"}
"""Ink names beside the palette's: the two every printer has, and the sign's own green (ISO 7010)."""

# The names of widespread registers of paints (from memory), as the first eight digits of the SHA-256 of each: enough to
# notice one, without copying the set.
_DIGESTS = """
0172477b 0241ca9a 03ee66b9 0433dacb 0614445b 07a6788a 083d1ec2 08a3494d 091ded22 09adedac 0a688942 0b2ba7f0 0b547fe8
0b8e0d9b 0ca67dda 0ff8af16 10dd37ed 11a128ae 1464bbc9 14f67242 1605fed1 160bf332 16bc284c 1712a5a4 1883a529 194d3b60
1ab75fc2 1ab9f111 1b122316 1c16a3c9 1f1a2a49 1fc4eced 1fdf6aa4 21a61170 21cd3325 2246f198 2413580e 247b8259 24a09a9b
26497b7e 2825f755 2a0f22ee 2ac8453e 2b571428 2d9fc7ce 2daf0e6c 2df493c7 2fbc0081 31235e7d 3300f777 338a6c00 3823aebd
391fa24e 39f329ee 39f6af23 3b5f945c 3bbaf181 3df7c62a 3e7287ac 3f5ce794 3f5eb743 3f7edb3e 40a1f618 40eaceef 41f11a8d
42d006a1 43868dd5 43a4a6ba 450537da 463e7121 46fc3f64 491fb8e0 497d7e5d 4b061429 4db1a965 515af960 527a0ae8 5464cc89
55557756 55629742 5630176e 56551215 583cc93c 59733dc7 5c8003f8 5d3cedaf 5d7f1ee9 5fcabf2d 5ff572ac 6147702d 618d663a
61e4d1c7 63c5207a 68ebb151 69321df5 69e7a1d0 6b3e04d4 6d7fa6df 6e3c43ee 6eaebc21 6fcbea24 700de390 71ebdcbf 72258c94
72bbe0a5 742093d9 74f9caff 75b20e38 75cbbda2 7693bd8a 787ad367 7896acf5 79485f3a 79e8a5fa 7a379866 7bbebca4 7d4c5262
7f54b5ad 802066bb 8162f2f3 82057769 829756be 85f0518f 87a269df 888c17d4 899e4c7b 8b49635d 8d240858 8dbeeeab 8f1896b6
8f32e4a9 908dc997 91b58235 92de202d 92e0c974 9459ec40 9570bc04 9586e4ca 97916885 9927c7d0 9966230f 998b105b 9a9dc708
9b3dbccd 9dd44cef 9e3b1ce0 a0f7134a a16a3ece a1b0b2c4 a1c8f6d7 a1d4b70a a34461f0 a37e0ee8 a3d37693 a4e38ece a5b82493
a5c962ca a759e5da a8036aff aa6f25a8 aaaa538d ab920bb3 ac3ac6bd ac832df2 ad939a20 ae55a3f2 ae7f4632 ae8589fa aeaa2cec
af901a7e b1a97357 b1dbe47d b3ee06c0 b4f0534e b507b714 b5529041 b58a0f4c b69dc6e7 b75eb637 b7cb9b34 b82d301b bb723632
bd13fa6b be52bbd5 bf716a58 c2fe7a53 c40292ff c4635693 c548a45a c5ae8c2c c6787965 c679da09 c69a0ceb c6edb4b6 c7fc5d6b
c801969a cb3b2cf4 cdc158e2 d08dacb3 d08e0721 d20ceaea d37fb480 d4fdc87f d6196aee d77deac8 d837950f da1b70fd db935c58
dcbe5c2e dd8e31c8 e000fe1e e13df225 e332d9f2 e350c596 e39af8db e3a3a380 e576640f e6120960 e70e2e7f e7a46e30 e7a7f1ca
e7b9ad01 e8f6b9a2 e9b98581 ec97f31c ed27e4c0 ed5dd166 edbfb9b0 ee04d83c ef8b6e78 f03e2e2f f2490484 f2781a87 f3a22c1c
f40be1f2 f5dc71e4 f5fc7ed2 f66339c1 f74abf48 f7df6889 f9b8a9e0 f9dd0b35 fd8ed7f1 fe9f5ca8 ff0b651c ff1d1ca4 ffab4e0a
ffcda2ef
"""
TAKEN = frozenset(_DIGESTS.split())


def is_taken(name: str) -> bool:
    """Whether a colour's name is one of a register of paints."""
    return hashlib.sha256(" ".join(name.lower().split()).encode()).hexdigest()[:8] in TAKEN


PAGES = (ROOT / "README.md", *sorted((ROOT / "decalgen" / "pages" / "handbook").glob("*.md")))
"""README and chapters of the handbook."""


def shown_blocks() -> dict[str, str]:
    """The job files of README and handbook, by the page and a number."""
    found = {}
    for path in PAGES:
        blocks = re.findall(r"^```yaml\n(job:.*?)^```$", path.read_text(encoding="utf-8"), re.M | re.S)
        found |= {f"{path.stem} {n}": text for n, text in enumerate(blocks)}
    return found


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Job]:
    """Every job that is shown: name → job, variants too."""
    found = {f"layout {name}": sample(load_layout(name)) for name in layout_names()}
    for path in sorted((ROOT / "demo").glob("*.yaml")):
        if path.read_text(encoding="utf-8").lstrip("# ").find("\njob:") < 0:
            continue
        job = load_job(path)
        found[f"demo {path.stem}"] = job
        found |= {f"demo {path.stem}, {name}": load_job(path, name) for name in job.variants}
    folder = tmp_path_factory.mktemp("readme")
    for name, text in shown_blocks().items():
        path = folder / f"{name}.yaml"
        path.write_text(text, encoding="utf-8")
        found[name] = load_job(path)
    assert len(found) >= len(layout_names()) + 5 + 5
    return found


def shapes_of(elements: tuple[Element, ...]) -> Iterator[Shape]:
    for element in elements:
        yield element.shape
        if isinstance(element.shape, Group):
            yield from shapes_of(element.shape.elements)


def pairs(inks: tuple[str, ...], colours: dict[str, str]) -> set[frozenset[str]]:
    """Every two plain colours of a pattern."""
    return {frozenset(two) for two in combinations([tone(parse(colours[ink])) for ink in inks], 2)}


def test_no_pattern_has_the_colours_of_an_emergency_service(shown: dict[str, Job]) -> None:
    met = set()
    for name, job in shown.items():
        colours = {spec.name: ink_of(spec).colour.hex for spec in job.inks}
        for decal in job.decals:
            for shape in shapes_of(decal.artwork):
                if shape.name in PATTERNS and len(getattr(shape, "inks", ())) > 1:
                    met.add(name)
                    if name.removeprefix("layout ") not in STANDARD:
                        assert not pairs(shape.inks, colours) & SERVICES, f"{name}: {shape}"  # type: ignore[attr-defined]
    assert {
        "layout door-band",
        "layout tailgate-chevrons",
        "demo gannet",
        "demo dravenhoe",
        "README 0",
        "10-first-job 0",
    } <= met


def test_the_rule_knows_the_pairs() -> None:
    colours = {"a": "#e8641b", "b": "#ffffff", "c": "#1b4f8f", "d": "#d9e021", "e": "#c3202f"}
    for two in (("a", "b"), ("c", "d"), ("e", "d")):
        assert pairs(two, colours) <= SERVICES


def test_nothing_shown_is_a_protected_sign_or_a_nations_roundel(shown: dict[str, Job]) -> None:
    for name, job in shown.items():
        codes = {finding.code for finding in check_jobs([job], helper.PRINTER)}
        assert not codes & {"protected-emblem", "national-roundel"}, name


def test_no_word_is_a_services(shown: dict[str, Job]) -> None:
    word = re.compile(r"rescue|police|polizei|ambulance|fire (brigade|service|engine)|coastguard|lifeboat", re.I)
    # What tests draw is copied into pictures and messages too; only the words of the search itself stand here.
    written = [path for path in (ROOT / "tests").rglob("*") if path.suffix in {".py", ".yaml", ".txt", ".md", ".json"}]
    tests = [path for path in written if path != Path(__file__) and "kept" not in path.parts]
    assert len(tests) > 200
    shown = (*(ROOT / "demo").glob("*"), *(ROOT / "layouts").rglob("*.yaml"), *ROOT.glob("*.md"))
    for path in (*(path for path in shown if path.suffix in {".py", ".yaml", ".md"}), *tests):
        for line in path.read_text(encoding="utf-8").splitlines():
            assert not word.search(line.replace("police insignia", "")), f"{path.name}: {line[:120]}"
    for name, cls in load().items():
        assert not word.search(str(cls.example)), name


PLATE = re.compile(
    # The forms of British marks since 1963: two letters, two figures, three letters; a year letter first or last.
    r"\b(?:[A-Z]{2}\d{2} ?[A-Z]{3}|[A-Z]\d{1,3} ?[A-Z]{3}|[A-Z]{3} ?\d{1,3}[A-Z])\b"
)


def is_issued(plate: str) -> bool:
    """Whether a mark is of a form that is issued. I and Q do not stand in the first two places of the form since 2001
    (Driver and Vehicle Licensing Agency, leaflet INF104; from memory)."""
    current = re.fullmatch(r"[A-Z]{2}\d{2} ?[A-Z]{3}", plate) is not None
    return not (current and set(plate[:2]) & set("IQ"))


def test_no_plate_shown_could_be_issued() -> None:
    assert is_issued("TB06 DRB") and is_issued("GV14 BRG") and is_issued("PG26HBR") and is_issued("ABC 123D")
    assert not is_issued("QI00 HBR")
    found = []
    for path in (*(ROOT / "demo").glob("*.yaml"), *(ROOT / "layouts").rglob("*.yaml"), *ROOT.glob("*.md")):
        text = path.read_text(encoding="utf-8")
        found += PLATE.findall(text)
        # Of any form at all where a plate is made.
        for registration in re.findall(r"registration: ([^,}#\n]*\d[^,}#\n]*)", text):
            assert not is_issued(registration.strip().strip('"')), f"{path.name}: {registration}"
    assert len(found) >= 3
    assert not [plate for plate in found if is_issued(plate)]


def test_colour_names_are_the_palettes(shown: dict[str, Job]) -> None:
    for name, job in shown.items():
        for one in (*job.inks, *job.paints):
            if (
                one.name.startswith("#")
                or one.name in OWN
                or (one.name in NAMED and one.colour in (None, NAMED[one.name]))
            ):
                continue
            assert one.name in PALETTE, f"{name}: {one.name}"
            assert parse(one.colour or one.name).hex == PALETTE[one.name], f"{name}: {one.name}"
    for name, cls in load().items():
        inks = set(re.findall(r"'([a-z -]+)'", str([v for k, v in cls.example.items() if "ink" in k])))
        assert inks - OWN <= set(PALETTE), name


def test_no_colour_name_is_of_a_register_or_hides_one_of_css() -> None:
    """A name of CSS is met with and without its blank: `sky blue` beside `skyblue` would be two blues."""
    for name in ("signal orange", "signal red", "sky blue", "bottle green", "rose"):
        assert is_taken(name), name
    for name in {*PALETTE, "first-aid green"}:
        assert not is_taken(name), name
        assert name.replace(" ", "") not in NAMED, name
    for path in (*(ROOT / "demo").glob("*.yaml"), *(ROOT / "layouts").rglob("*.yaml"), *PAGES):
        for ink in re.findall(r"(?:ink|inks|body|ground|check): \[?([a-z][a-z -]+)", path.read_text(encoding="utf-8")):
            assert not is_taken(ink.strip()), f"{path.name}: {ink}"
