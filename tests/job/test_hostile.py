"""Files from a stranger: nothing hangs, nothing is run, nothing outside the folder is read, no traceback."""

from __future__ import annotations

import os
import sys
import threading
from pathlib import Path

import pytest

from decalgen.core.errors import DecalgenError, InputError, JobError
from decalgen.job.files import MOST_BYTES
from decalgen.job.loader import load_job

from .conftest import HEAD, PANEL


def message(text: bytes | str, folder: Path, name: str = "job.yaml") -> str:
    """What is said about a file, by its first line."""
    (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    with pytest.raises(DecalgenError) as caught:
        load_job(name)
    return str(caught.value).split("\n")[0]


# ----------------------------------------------------------------------------------------- what is not a job file
def test_a_missing_file_names_the_nearest(folder):
    (folder / "gannet.yaml").write_text(HEAD, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_job("ganet.yaml")
    assert (caught.value.message, caught.value.fix) == ("there is no file ganet.yaml", "did you mean 'gannet.yaml'?")
    assert caught.value.exit_code == 3


def test_a_missing_folder_is_said_to_be_missing(folder):
    with pytest.raises(InputError) as caught:
        load_job("nowhere/gannet.yaml")
    assert caught.value.message == f"there is no file {Path('nowhere/gannet.yaml')}".replace(os.sep, "/")
    assert caught.value.fix == "the folder nowhere does not exist either"


def test_a_folder(folder):
    (folder / "jobs").mkdir()
    (folder / "jobs" / "gannet.yaml").write_text(HEAD, encoding="utf-8")
    with pytest.raises(InputError, match="jobs is a folder") as caught:
        load_job("jobs")
    assert caught.value.fix == f"name a file in it, such as {Path('jobs') / 'gannet.yaml'}"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names on this system")
def test_a_pipe_is_never_opened(folder):
    os.mkfifo(folder / "job.yaml")
    said: list[str] = []

    def run() -> None:
        try:
            load_job("job.yaml")
        except InputError as error:
            said.append(error.message)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(30)  # opening a pipe that nobody writes to would wait for ever
    assert said == ["job.yaml is a device or a pipe, not a file"]


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device on this system")
def test_a_device_is_never_opened(folder):
    with pytest.raises(InputError, match="/dev/zero is a device or a pipe"):
        load_job("/dev/zero")


def test_fifty_megabytes(folder):
    with (folder / "job.yaml").open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(InputError, match=r"job\.yaml is too large: 50\.0 MB, at most 1 MB is read"):
        load_job("job.yaml")


def test_the_largest_file_that_is_read(folder):
    head = (HEAD + "# ").encode()
    (folder / "job.yaml").write_bytes(head + b"x" * (MOST_BYTES - len(head)))
    assert load_job("job.yaml").name == "test"
    (folder / "job.yaml").write_bytes(head + b"x" * (MOST_BYTES - len(head) + 1))
    with pytest.raises(InputError, match="too large"):
        load_job("job.yaml")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ("job: café\n".encode("latin-1"), "job.yaml is not UTF-8 text: see line 1"),
        (b"job: x\nbody: \xff\n", "job.yaml is not UTF-8 text: see line 2"),
        ("job: x\n".encode("utf-16"), "job.yaml is UTF-16, not UTF-8"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "job.yaml is not a text file"),
        (b"%PDF-1.7\n\x00", "job.yaml is not a text file"),
        (b"", "job.yaml:1:1: the file is empty"),
        (b"\n\n", "job.yaml:1:1: the file is empty"),
        (b"# only a note\n", "job.yaml:1:1: the file is empty"),
        (b"~\n", "job.yaml:1:1: the file is empty"),
        (b"- a\n- b\n", "job.yaml:1:1: this needs keys"),
        (b"a job file\n", "job.yaml:1:1: this needs keys"),
        (b"job: a\n---\njob: b\n", "job.yaml:2:1: a second document starts here"),
    ],
)
def test_what_is_no_job(folder, data, said):
    assert message(data, folder) == said


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="everything can be read here")
def test_a_file_that_may_not_be_read(folder):
    (folder / "job.yaml").write_text(HEAD, encoding="utf-8")
    (folder / "job.yaml").chmod(0)
    with pytest.raises(InputError, match="cannot be read"):
        load_job("job.yaml")


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(folder):
    (folder / "job.yaml").write_bytes(b"\xef\xbb\xbf" + HEAD.replace("\n", "\r\n").encode())
    plain = folder / "plain.yaml"
    plain.write_bytes(HEAD.encode())
    assert load_job("job.yaml").digest == load_job("plain.yaml").digest


# ---------------------------------------------------------------------------------------------- too much of a thing
@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nc: [*b,*b,*b,*b]\n",
            "job.yaml:1:4: '&a' is an anchor",
        ),
        ("job: !!python/object/apply:os.system ['touch ran']\n", "job.yaml:1:6: this is a tag (!)"),
        ("[" * 2000 + "]" * 2000, "job.yaml:1:41: nested more than 40 deep"),
        ("{a: " * 2000 + "}" * 2000, "job.yaml:1:158: nested more than 40 deep"),
        ("".join("  " * i + "a:\n" for i in range(300)), "job.yaml:40:79: nested more than 40 deep"),
        ("{" * 900_000, "job.yaml:1:41: nested more than 40 deep"),
        ("- " * 400_000, "job.yaml:1:81: nested more than 40 deep"),
        ("a: [" + "1," * 60_000 + "]\n", "job.yaml:1:99999: more than 50000 values in one file"),
        ("".join(f"k{i}: 1\n" for i in range(40_000)), "job.yaml:25000:9: more than 50000 values in one file"),
        ('a: "' + "x " * 400_000, "job.yaml:1:4: a quote is opened here and not closed properly"),
        ("x" * 900_000, "job.yaml:1:1: this needs keys"),
        ("x" * 900_000 + ": 1\n", "job.yaml:1:1: this key is too long"),
    ],
    ids=lambda value: value[:12],
)
def test_too_much(folder, text, said):
    assert message(text, folder).startswith(said)
    assert not (folder / "ran").exists()


def test_a_very_long_line_is_shown_in_part(folder):
    (folder / "job.yaml").write_text(f"{HEAD}title: {'x' * 100_000}\n", encoding="utf-8")
    with pytest.raises(JobError) as caught:
        load_job("job.yaml")
    assert max(len(line) for line in str(caught.value).split("\n")) < 200


COUNTS = [
    ("checks: {rows: 1e9, columns: 1e9, inks: [white, black]}", ["1000000000 is out of range"] * 2),
    ("checks: {rows: 501, inks: [white, black]}", ["501 is out of range"]),
    ("roundel: {inks: [white], count: 1e12}", ["1000000000000 is out of range"]),
    ("field: {ink: white, width: 1e9 mm}", ["1000000000 mm is out of range"]),
    ("field: {ink: white, width: 1e400 mm}", ["this number is too large"]),
    ("field: {ink: white, width: nan}", ["'nan' is not a length"]),
    ("field: {ink: white, corner radius: -1 mm}", ["-1 mm is out of range"]),
]


@pytest.mark.parametrize(("shape", "said"), COUNTS)
def test_counts_and_sizes_are_bounded(mistakes, shape, said):
    text = f"{HEAD}{PANEL}decals:\n  a:\n    panel: door\n    artwork:\n      - {shape}\n"
    assert [problem.message for problem in mistakes(text)] == said


def test_too_many_pieces_shapes_and_decals(mistakes):
    def decal(name: str, more: str = "", shapes: int = 1) -> str:
        return f"  {name}: {{panel: door, {more} artwork: [{', '.join(['field: {ink: white}'] * shapes)}]}}\n"

    def said(decals: str) -> list[str]:
        return [problem.message for problem in mistakes(HEAD + PANEL + "decals:\n" + decals)]

    assert said(decal("a", "hands: both, copies: 200, spares: 51,")) == ["'a' makes 502 pieces"]
    assert said(decal("a", "copies: 501,")) == ["501 is out of range"]
    assert said("".join(decal(f"a{i}", "copies: 500,") for i in range(5))) == ["the job makes 2500 pieces"]
    assert said(decal("a", "", 201)) == ["more than 200 shapes in one decal"]
    assert said("".join(decal(f"a{i}") for i in range(401))) == ["more than 400 decals in one job"]


def test_groups_in_groups_count_as_shapes(mistakes):
    inner = "group: {elements: [" + ", ".join(["field: {ink: white}"] * 150) + "]}"
    text = f"{HEAD}{PANEL}decals:\n  a: {{panel: door, artwork: [{inner}, {inner}]}}\n"
    assert [problem.message for problem in mistakes(text)] == ["more than 200 shapes in one decal"]


def test_thousands_of_strange_keys_are_not_all_listed(mistakes):
    problems = mistakes(HEAD + "".join(f"titel{i}: 1\n" for i in range(5000)))
    assert len(problems) == 21
    assert problems[-1].message == "and 4980 more keys that are not known here"


def test_thousands_of_mistakes_are_not_all_listed(mistakes):
    problems = mistakes(f"{HEAD}inks:\n" + "".join(f"  a{i}: {{kind: x}}\n" for i in range(1000)))
    assert len(problems) == 201
    assert problems[-1].message == "and 800 more mistakes"


# ----------------------------------------------------------------------------------------- names that go in circles
def test_values_in_a_circle(mistakes):
    text = HEAD + "values: {a: b + 1 mm, b: a + 1 mm}\npanels: {door: {width: a, height: 2 mm}}\n"
    assert [str(p.place) + " " + p.message for p in mistakes(text)] == ["job.yaml:3:26 'a' depends on itself"]


def test_references_in_a_circle(mistakes):
    problems = mistakes(HEAD + "title: <a>\nvalues: {a: <b>, b: <a>}\n")
    assert [problem.message for problem in problems] == ["'a' refers to itself"]


def test_panels_in_a_circle(mistakes):
    text = HEAD + "panels:\n  a: {width: panels.b.width, height: 2 mm}\n  b: {width: panels.a.width, height: 2 mm}\n"
    assert [problem.message for problem in mistakes(text)] == ["'a' depends on itself"]


def test_a_long_row_of_values_is_worked_out_in_order(load):
    rows = "".join(f"  v{i + 1}: v{i} + 1 mm\n" for i in range(300))
    job = load(f"{HEAD}values:\n  v0: 1 mm\n{rows}panels: {{door: {{width: v300, height: 1 mm}}}}\n")
    assert job.panels[0].width.value == 301.0


@pytest.mark.parametrize("brackets", [0, 19])
def test_a_long_row_backwards_is_refused_and_does_not_overflow(mistakes, brackets):
    left, right = "(" * brackets, ")" * brackets
    rows = "".join(f"  v{i}: {left}v{i + 1}{right} + 1 mm\n" for i in range(300))
    problems = mistakes(f"{HEAD}values:\n{rows}  v300: 1 mm\npanels: {{door: {{width: v0, height: 1 mm}}}}\n")
    assert [problem.message for problem in problems] == ["'v7' leads to more than 6 other names"]


def test_a_long_row_of_panels_is_refused_and_does_not_overflow(mistakes):
    left, right = "(" * 19, ")" * 19
    rows = "".join(f"  p{i}: {{width: {left}panels.p{i + 1}.width{right}, height: 2 mm}}\n" for i in range(60))
    problems = mistakes(f"{HEAD}panels:\n{rows}  p60: {{width: 3 mm, height: 2 mm}}\n")
    assert {problem.message.partition("' leads")[2] for problem in problems} == {" to more than 6 other names"}


# --------------------------------------------------------------------------------------------- files of others
SECRET = "inks: {secret: '#123456'}\n"


@pytest.fixture
def secret(folder: Path) -> Path:
    """A file beside the job's folder."""
    path = folder.parent / "secret.yaml"
    path.write_text(SECRET, encoding="utf-8")
    return path


def test_no_file_outside_the_folder_is_included(mistakes, secret):
    for name in ("../secret.yaml", str(secret), "sub/../../secret.yaml", "../job/../secret.yaml"):
        (problem,) = mistakes(f'{HEAD}include: "{name}"\n'.replace("\\", "/"))
        assert problem.message == f"'{name[:60]}' is outside the job's folder".replace("\\", "/")
        assert "123456" not in str(problem)


@pytest.mark.skipif(sys.platform == "win32", reason="links need special rights")
def test_no_link_leads_out_of_the_folder(mistakes, folder, secret):
    (folder / "link.yaml").symlink_to(secret)
    (folder / "out").symlink_to(folder.parent)
    for name in ("link.yaml", "out/secret.yaml"):
        (problem,) = mistakes(f"{HEAD}include: {name}\n")
        assert problem.message == f"'{name}' is outside the job's folder"


@pytest.mark.skipif(sys.platform == "win32", reason="links need special rights")
def test_a_job_may_lie_behind_a_link_itself(folder):
    (folder / "real").mkdir()
    (folder / "real" / "job.yaml").write_text(HEAD + "include: inks.yaml\n", encoding="utf-8")
    (folder / "real" / "inks.yaml").write_text("inks: {red: '#c8102e'}\n", encoding="utf-8")
    (folder / "way").symlink_to(folder / "real")
    assert load_job("way/job.yaml").ink("red").colour == "#c8102e"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names on this system")
def test_an_included_pipe_is_not_opened(mistakes, folder):
    os.mkfifo(folder / "pipe.yaml")
    (problem,) = mistakes(HEAD + "include: pipe.yaml\n")
    assert problem.message == "pipe.yaml is a device or a pipe, not a file"


def test_odd_names_of_files(mistakes):
    for name in ('"a\\0b"', '""', "[[a]]", "{a: b}", '"' + "x" * 5000 + '"'):
        assert len(mistakes(f"{HEAD}include: {name}\n")) == 1


def test_includes_in_a_circle(mistakes):
    problems = mistakes(HEAD + "include: a.yaml\n", a="include: b.yaml\n", b="include: [a.yaml]\n")
    assert [(str(p.place), p.message) for p in problems] == [("b.yaml:1:11", "'a.yaml' includes itself in the end")]
    (problem,) = mistakes(HEAD + "include: job.yaml\n")
    assert problem.message == "'job.yaml' includes itself in the end"


def test_no_more_than_twenty_files(mistakes):
    others = {f"a{i}": f"include: a{i + 1}.yaml\n" for i in range(30)}
    problems = mistakes(HEAD + "include: a0.yaml\n", **others)
    assert [(str(p.place), p.message) for p in problems] == [("a18.yaml:1:10", "more than 20 files in one job")]
    fan = {f"b{i}": "include: [c.yaml, c.yaml, c.yaml]\n" for i in range(10)}
    names = ", ".join(f"b{i}.yaml" for i in range(10))
    problems = mistakes(f"{HEAD}include: [{names}]\n", c="seed: 1\n", **fan)
    assert [p.message for p in problems] == ["more than 20 files in one job"]


def test_the_name_of_a_job_leads_nowhere(mistakes):
    for name in ("../evil", "a/b", "a\\b", ".hidden", "nul:", "a*"):
        (problem,) = mistakes(f"job: '{name}'\nbody: white\n")
        assert problem.message == f"'{name}' cannot name files"
