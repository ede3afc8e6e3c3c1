"""The handbook against the program: every block in it runs, every table has all there is, every link and every command
named in it is one."""

from __future__ import annotations

import re
import runpy
import shlex
import subprocess
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path

import click
import pikepdf
import pytest

from decalgen.cli.handbook import entries
from decalgen.cli.main import cli
from decalgen.commands.handbook import filled_chapters, make_book, print_handbook
from decalgen.commands.handbook_tables import CommandEntry, exit_codes, fill_tables
from decalgen.core import errors
from decalgen.core.instruments import instruments
from decalgen.core.names import slug
from decalgen.core.pixels.example import example_png
from decalgen.job.layouts import layouts
from decalgen.job.loader import load_job
from decalgen.job.reference import reference
from decalgen.lettering.faces import faces
from decalgen.pages import handbook
from decalgen.pages.handbook import Chapter, chapters
from decalgen.pages.handbook.book import Book, every
from decalgen.pages.handbook.fonts import letters
from decalgen.pages.handbook.html import html
from decalgen.pages.handbook.parts import (
    BookCode,
    BookHeading,
    BookPart,
    BookPicture,
    BookTable,
    BookText,
    parts,
    plain,
)
from decalgen.pages.handbook.pdf import letters_of, pdf
from decalgen.panels.registry import kinds, obstacle_for, obstacle_kinds
from decalgen.shapes.registry import load
from tests.helpers.documents import READ_BY, filled, invoke, options_of

COMMANDS = tuple(entries(cli))
BASE = """\
job: part
body: white
film: white
inks: {harbour teal: "#127077", rope cream: "#e4cba0", night sea: "#1d2b4a"}
panels: {side: {width: 60 mm, height: 20 mm}}
"""
"""What is round a block that is a part of a job."""


@pytest.fixture(scope="module")
def whole() -> Book:
    return make_book(COMMANDS)


# ------------------------------------------------------------------------------------------------------------ blocks
def shown(chapter: Chapter) -> Iterator[tuple[BookCode, str]]:
    """Every block with the paragraph before it."""
    before = ""
    for part in parts(chapter, fill_tables(chapter.text, COMMANDS)):
        if isinstance(part, BookCode):
            yield part, before
        before = plain(part.prose) if isinstance(part, BookText) else before


def run(block: BookCode, before: str) -> None:
    """Does with a block what its reader would. Raises where that fails."""
    match block.language.split():
        case ["yaml"]:
            kind, name = block.text.split("\n", 1)[0].split(": ", 1)
            named = re.findall(r"\S+\.yaml", before)
            path = Path(named[-1] if named else f"{name}.yaml")
            path.write_text(block.text + "\n", encoding="utf-8")
            READ_BY[kind](path)
        case ["yaml", ("panels" | "decals") as place]:
            text = BASE.replace("panels: ", "values: {}\npanels: ") if place == "decals" else BASE.split("panels:")[0]
            path = Path("part.yaml")
            Path("emblem.png").write_bytes(example_png())
            path.write_text(f"{text}{place}:\n{textwrap.indent(block.text, '  ')}\n", encoding="utf-8")
            load_job(path)
        case ["svg"]:
            Path(re.findall(r"\S+\.svg", before)[-1]).write_text(block.text + "\n", encoding="utf-8")
        case ["sh"]:
            for line in block.text.splitlines():
                invoke(filled(line))
        case ["python"]:
            Path("script.py").write_text(block.text, encoding="utf-8")
            runpy.run_path("script.py")
        case other:
            raise AssertionError(f"a block of a kind that nobody tries: {other}")


def test_every_block_of_every_chapter_runs_in_the_order_of_the_book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    ran = []
    for chapter in chapters():
        for block, before in shown(chapter):
            try:
                run(block, before)
            except Exception as error:
                raise AssertionError(f"{chapter.path.name}: {block.text}") from error
            ran.append(block.language)
    assert {"yaml", "yaml panels", "yaml decals", "sh", "python"} <= set(ran) and len(ran) > 20
    for name in ("pictures/tug-door-band-left.png", "tug-sheet.pdf", "target.pdf", "wagon-cut.svg", "drawer.json"):
        assert Path(name).stat().st_size > 200, name


def block_named(name: str) -> str:
    """The block that the text saves under a name."""
    for chapter in chapters():
        for block, before in shown(chapter):
            if before.endswith(f"{name}:"):
                return block.text
    raise AssertionError(name)


def test_film_printers_and_cutter_of_the_handbook_say_what_their_text_says(tmp_path: Path) -> None:
    read = {}
    for name in ("opened", "desk", "two-pass", "plotter"):
        path = tmp_path / f"{name}.yaml"
        path.write_text(block_named(path.name), encoding="utf-8")
        read[name] = READ_BY[path.read_text(encoding="utf-8").split(":")[0]](path)
    film, desk, laser, cutter = read.values()
    assert (film.kind, film.width, film.used[0].height) == ("white", 148.0, 30.0)
    assert (desk.process, desk.margins, desk.white) == ("inkjet", (5.0, 5.0, 10.0, 5.0), False)
    assert laser.white and laser.swatches is not None
    assert (laser.swatches.opacity, [name for name, _ in laser.swatches.patches]) == (0.6, ["lifebuoy orange"])
    assert cutter.waste_frame == 3.0


def test_the_first_job_of_the_readme_is_that_of_the_handbook(repository: Path) -> None:
    first = next(block for block, _ in shown(chapters()[0]) if block.language == "yaml")
    assert f"```yaml\n{first.text}\n```" in (repository / "README.md").read_text(encoding="utf-8")
    assert not set("{}[]") & set(first.text)


def test_no_two_jobs_of_the_handbook_have_one_name() -> None:
    text = "\n".join(chapter.text for chapter in chapters())
    names = re.findall(r"^job: (\S+)$", text, re.MULTILINE)
    assert len(names) == len(set(names)) > 2


# ---------------------------------------------------------------------------------------------------------- commands
def codes(part: BookPart) -> Iterator[str]:
    if isinstance(part, BookText):
        yield from (words.text for words in part.prose if words.code)


def test_every_command_and_option_that_the_text_names_is_one(whole: Book) -> None:
    named = {code for part in every(whole) for code in codes(part) if code.startswith("decalgen ")}
    assert len(named) > 20
    for line in sorted(named):
        words = shlex.split(line)[1:]
        known = options_of(words)
        assert {word for word in words if word.startswith("-")} <= known, line
    everything = {name for entry in COMMANDS for option in entry.options for name in _names(entry.usage, option.name)}
    everything |= {name for option in cli.params for name in option.opts} | {"--help", "--debug", "-v", "-q"}
    alone = {code.split()[0] for part in every(whole) for code in codes(part) if code.startswith("--")}
    assert alone and alone <= everything


def _names(usage: str, name: str) -> set[str]:
    return {name, *options_of(usage.split()[1:])}


def test_the_tables_of_commands_have_every_command_and_every_option(whole: Book) -> None:
    (chapter,) = [one for one in whole.chapters if one.chapter.name == "commands"]
    tables = [part for part in chapter.parts if isinstance(part, BookTable)]
    assert [plain(row[0]) for row in tables[0].rows] == [entry.usage for entry in COMMANDS]
    assert all(plain(row[1]).endswith(".") for row in tables[0].rows)
    heads = [part.text for part in chapter.parts if isinstance(part, BookHeading) and part.level == 3]
    with_options = [entry for entry in COMMANDS if entry.options]
    assert len(heads) == len(with_options) + 1 and heads[-1] == "All printing commands"
    for entry, rows in zip(with_options, tables[1:], strict=False):
        told = {plain(row[0]) for row in rows.rows}
        shared = {plain(row[0]) for row in tables[-2].rows}
        has = {option.name for option in entry.options}
        assert told - {"all printing options"} == has - (shared if "all printing options" in told else set())


def test_every_command_of_click_is_an_entry() -> None:
    def leaves(group: click.Group) -> int:
        return sum(leaves(one) if isinstance(one, click.Group) else not one.hidden for one in group.commands.values())

    assert len(COMMANDS) == leaves(cli) > 25


def test_the_options_of_decalgen_itself_are_in_the_chapter_of_commands() -> None:
    text = handbook.chapter("commands").text
    for option in cli.params:
        assert f"{option.opts[0]}`" in text, option.name
    assert "`--debug`" in text and "--debug" in (cli.epilog or "")


def test_every_exit_code_there_is_has_its_line() -> None:
    def below(kind: type[BaseException]) -> set[int]:
        return {kind.exit_code, *(code for one in kind.__subclasses__() for code in below(one))}  # type: ignore[attr-defined]

    told = [code for code, _ in exit_codes()]
    assert len(told) == len(set(told))
    special = {0, errors.EXIT_FINDINGS, errors.EXIT_USAGE, errors.Interrupted.exit_code}
    assert set(told) == below(errors.DecalgenError) | special


# ------------------------------------------------------------------------------------------------------------ tables
def rows_of(whole: Book, chapter: str, head: str) -> list[str]:
    """The first cells of the tables of a chapter with this first head."""
    (one,) = [one for one in whole.chapters if one.chapter.name == chapter]
    tables = [part for part in one.parts if isinstance(part, BookTable) and plain(part.head[0]) == head]
    return [plain(row[0]) for part in tables for row in part.rows]


def test_every_shape_layout_face_and_instrument_has_its_row(whole: Book) -> None:
    name = "shapes-layouts-faces"
    assert rows_of(whole, name, "shape") == list(load())
    assert rows_of(whole, name, "layout") == [one.name for one in layouts()]
    assert rows_of(whole, name, "face") == [one.name for one in faces()]
    assert rows_of(whole, "measure", "instrument") == [one.name for one in instruments()]


@pytest.mark.parametrize("topic", ["job", "panel", "obstacle", "decal", "film", "printer", "cutter"])
def test_every_key_has_its_row(topic: str) -> None:
    text = {one.name: text for one, text in filled_chapters(COMMANDS)}["keys"]
    for section in reference(topic).sections:
        for row in section.rows:
            assert re.search(rf"^\| `{re.escape(row.key)}` \| {re.escape(row.meaning)} \|", text, re.MULTILINE), row.key


def test_every_kind_of_panel_and_obstacle_has_examples_that_work(whole: Book, tmp_path: Path) -> None:
    """The first word of a row is the kind that its examples make."""
    (one,) = [one for one in whole.chapters if one.chapter.name == "panels"]
    panels, obstacles = (
        {plain(row[0]).split(":")[0]: [words.text for words in row[1] if words.code] for row in part.rows}
        for part in one.parts
        if isinstance(part, BookTable)
    )
    assert set(panels) == set(kinds()) and set(obstacles) == set(obstacle_kinds())
    rows = [f"  {name} {n}: {text}" for name, some in panels.items() for n, text in enumerate(some)]
    things = [text for some in obstacles.values() for text in some]
    rows.append("  door: {width: 22 mm, height: 12 mm, obstacles: {")
    rows += [f"    thing {n}: {text}," for n, text in enumerate(things)]
    file = tmp_path / "all.yaml"
    lines = ["job: all", "body: white", 'scale: "1:43"', "panels:", *rows, "    }}"]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    job = load_job(file)
    for panel in job.panels[:-1]:
        assert panel.name.startswith(panel.kind), panel.name
    assert len(job.panels) == sum(map(len, panels.values())) + 1
    for name, (text, *_) in obstacles.items():
        assert obstacle_for(re.findall(r"[{ ](\w+):", text)).name == name


def test_a_table_or_a_picture_of_no_name_is_refused_with_a_guess() -> None:
    with pytest.raises(errors.InputError, match="no table 'shaps'") as refused:
        fill_tables("<!-- table: shaps -->", COMMANDS)
    assert "shapes" in refused.value.fix
    from decalgen.commands.handbook_pictures import draw_pictures

    for key, said in (("kind", "no picture"), ("proof gone", "no chapter shows"), ("draw gone-band", "has a picture")):
        with pytest.raises(errors.InputError, match=said):
            draw_pictures([key], [])


# ------------------------------------------------------------------------------------------------------------- links
def test_a_link_between_chapters_holds_in_the_files_too(repository: Path) -> None:
    """In a browser of the files a section is found by its title in small letters with hyphens (GitHub's rule, from
    memory: signs go, spaces become hyphens)."""
    folder = repository / "decalgen" / "pages" / "handbook"
    pages = [repository / "README.md", repository / "DEVELOPERS.md", *folder.glob("*.md")]
    for page in pages:
        text = re.sub(r"^```.*?^```$", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
        for target in re.findall(r"\]\(([^)\s]+)\)", text):
            if target.startswith("https://"):
                assert not re.search(r"pypi|npmjs|proxy\.golang", target), target
                continue
            file, _, section = target.partition("#")
            path = (page.parent / file) if file else page
            assert path.exists(), f"{page.name}: {target}"
            if section:
                titles = re.findall(r"^#+ (.+)$", path.read_text(encoding="utf-8"), re.MULTILINE)
                assert section in {re.sub(r"[^\w -]", "", one.lower()).replace(" ", "-") for one in titles}, target


def test_titles_of_sections_have_one_anchor_by_both_rules() -> None:
    for chapter in chapters():
        titles = chapter.sections()
        assert len({slug(one) for one in titles}) == len(titles), chapter.name
        for title in titles:
            assert slug(title) == re.sub(r"[^\w -]", "", title.lower()).replace(" ", "-"), title


# -------------------------------------------------------------------------------------------------------------- text
def test_the_paper_face_has_every_letter_of_the_handbook(whole: Book) -> None:
    assert letters(letters_of(whole)) == ""


def test_every_picture_has_a_caption_that_ends_like_a_sentence(whole: Book) -> None:
    found = [part for part in every(whole) if isinstance(part, BookPicture)]
    assert len(found) >= 12
    assert all(part.caption.endswith(".") and len(part.caption.split()) > 1 for part in found)


def test_sentences_are_short(repository: Path) -> None:
    """Half of all sentences have at most 16 words, and none more than 45 (the project's own style)."""
    lengths = []
    for chapter in chapters():
        for part in parts(chapter, fill_tables(chapter.text, COMMANDS)):
            if isinstance(part, BookText):
                for sentence in re.split(r"(?<=[.?!:;])\s+", plain(part.prose)):
                    lengths.append((len(sentence.split()), chapter.name, sentence))
    lengths.sort()
    assert lengths[-1][0] <= 45, lengths[-1]
    assert lengths[len(lengths) // 2][0] <= 16


# ----------------------------------------------------------------------------------------------------- the whole book
@pytest.mark.slow
@pytest.mark.needs("pdftotext")
def test_the_whole_handbook_prints_with_every_chapter_in_contents_and_outline(whole: Book, tmp_path: Path) -> None:
    path = tmp_path / "handbook.pdf"
    path.write_bytes(pdf(whole, "A5"))
    with pikepdf.open(path) as file, file.open_outline() as outline:
        titles = [item.title for item in outline.root]
    assert titles == ["Contents", *(chapter.title for chapter in chapters()), "Index"]
    done = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True)
    words = " ".join(done.stdout.split())
    for chapter in chapters():
        opening = " ".join(re.sub(r"[`*]|\[(.*?)\]\(.*?\)", r"\1", chapter.about).split()[:6])
        assert opening in words, chapter.name


def test_the_whole_handbook_as_a_page(whole: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def made_before(commands: Sequence[CommandEntry]) -> Book:
        assert tuple(commands) == COMMANDS
        return whole

    # All that it takes ten seconds to draw is drawn already.
    monkeypatch.setattr("decalgen.commands.handbook.make_book", made_before)
    path = tmp_path / "handbook.html"
    assert str(path) in invoke(f'decalgen handbook -o "{path}"')
    page = path.read_text(encoding="utf-8")
    assert page.encode("utf-8") == html(whole)
    assert page.count("<img ") == sum(isinstance(part, BookPicture) for part in every(whole))
    assert len(page) < 10_000_000
    for chapter in chapters():
        assert f'<h2 id="{chapter.name}">' in page


def test_another_paper_is_refused_before_anything_is_drawn(tmp_path: Path) -> None:
    with pytest.raises(errors.InputError, match="'A3'") as refused:
        print_handbook(tmp_path / "handbook.pdf", "A3", ())
    assert "A4, A5, Letter" in refused.value.fix and not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["handbook.txt", "handbook"])
def test_another_ending_is_refused_before_anything_is_drawn(name: str, tmp_path: Path) -> None:
    with pytest.raises(errors.OutputError) as refused:
        print_handbook(tmp_path / name, "A4", ())
    assert ".pdf" in refused.value.fix and not list(tmp_path.iterdir())
