"""What a PDF relies on in reportlab, a test a name: its module says of itself that its classes are no public interface.

Where one fails, reportlab has changed: the message says which name, what was relied on, and what to do.
"""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from packaging.requirements import Requirement
from reportlab import rl_config
from reportlab.pdfbase import pdfdoc

PDF_FILE = Path(__file__).parents[2] / "decalgen" / "export" / "pdf_file.py"


def relied_on() -> tuple[str, ...]:
    """The list of `decalgen.export.pdf_file`, read and not imported: without a name in it, that module cannot load."""
    tree = ast.parse(PDF_FILE.read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "RELIED_ON":
            return tuple(ast.literal_eval(node.value))
    raise AssertionError("no RELIED_ON in " + str(PDF_FILE))


RELIED_ON = relied_on()


def document(**others: object) -> Any:
    """What reportlab's objects ask of the document they are in."""
    usual: dict[str, object] = {
        "encrypt": pdfdoc.NoEncryption(),
        "idToObjectNumberAndVersion": {1: (1, 0), 2: (2, 0)},
        "idToOffset": {1: 15, 2: 1234567890},
    }
    return SimpleNamespace(**{**usual, **others})


def table(**others: object) -> bytes:
    made = pdfdoc.PDFCrossReferenceTable()
    made.addsection(0, [1, 2])
    return bytes(made.format(document(**others)))


def kind_of_stream() -> bytes:
    """An object that is a kind of stream and writes itself."""

    class Own(pdfdoc.PDFStream):  # type: ignore[misc, name-defined]
        def format(self, _document: object) -> bytes:
            return b"(own)\n"

    return bytes(pdfdoc.PDFIndirectObject(1, Own()).format(document()))


def secret() -> bytes:
    """Text under a cipher of our own."""

    class Upper(pdfdoc.NoEncryption):  # type: ignore[misc, name-defined]
        def encode(self, t: bytes) -> bytes:
            return t.upper()

    return bytes(pdfdoc.PDFText(b"a").format(document(encrypt=Upper())))


def with_line_breaks(make: Callable[[], Any]) -> bytes:
    """How an object is written where a user's settings ask for a value a line."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rl_config, "pdfMultiLine", 1)
        return bytes(make().format(document()))


def held() -> Any:
    """A stream as it was made."""
    return pdfdoc.PDFStream(pdfdoc.PDFDictionary({"N": "4"}), b"ab")


def forced() -> Any:
    """A dictionary with an entry a line."""
    made = pdfdoc.PDFDictionary({"B": "1", "A": "2"})
    made.multiline = "forced"
    return made


def counted() -> tuple[bytes, int, int]:
    """The head of a file, where the first object starts, and the file's length with it."""
    file = pdfdoc.PDFFile((1, 6))
    start, head = file.add(b"12345"), file.format(document())[:-5]
    return bytes(head), start - len(head), file.offset - len(head)


def trailer() -> bytes:
    made = pdfdoc.PDFTrailer(77, Size=3, Root=pdfdoc.PDFObjectReference(1), Info="2 0 R", ID="[<00> <00>]")
    return bytes(made.format(document()))


CHECKS: dict[str, tuple[str, Callable[[], bool]]] = {
    "NoEncryption": (
        "leaves bytes as they are and takes the numbers of objects",
        lambda: pdfdoc.NoEncryption().encode(b"a") == b"a" and pdfdoc.NoEncryption().register(1, 0) is None,
    ),
    "PDFArrayCompact": (
        "writes its values in one row, whatever a user's settings say",
        lambda: with_line_breaks(lambda: pdfdoc.PDFArrayCompact(["/A", 2, "(c)"])) == b"[ /A 2 (c) ]",
    ),
    "PDFCrossReferenceTable": (
        "writes the free object first and lines of twenty bytes (ISO 32000-1, 7.5.4)",
        lambda: table() == b"xref\n0 3\n0000000000 65535 f \n0000000015 00000 n \n1234567890 00000 n \n",
    ),
    "PDFDictionary": (
        "writes keys as names and whole numbers as they are",
        lambda: pdfdoc.PDFDictionary({"A b": 9999999999}).format(document()) == b"<<\n/A#20b 9999999999\n>>",
    ),
    "PDFDictionary.dict": (
        "holds the entries it was made with",
        lambda: pdfdoc.PDFDictionary({"N": "4"}).dict == {"N": "4"},
    ),
    "PDFDictionary.multiline": (
        "'forced' gives an entry a line, by their keys, whatever a user's settings say",
        lambda: with_line_breaks(forced) == b"<<\n/A 2\n /B 1\n>>" == forced().format(document()),
    ),
    "PDFFile": (
        "starts with the version and four bytes above 127 (ISO 32000-1, 7.5.2), and says where each part starts",
        lambda: re.match(rb"%PDF-1\.6\n%[\x80-\xff]{4}[^\n]*\n$", counted()[0]) is not None and counted()[1] == 0,
    ),
    "PDFFile.offset": ("counts the bytes so far", lambda: counted()[2] == 5),
    "PDFIndirectObject": (
        "writes the number before its object and the end after it, with one line end between",
        lambda: (
            pdfdoc.PDFIndirectObject(2, pdfdoc.PDFArrayCompact([])).format(document()) == b"2 0 obj\n[  ]\nendobj\n"
            and pdfdoc.PDFIndirectObject(1, b"x\n").format(document()) == b"1 0 obj\nx\nendobj\n"
        ),
    ),
    "PDFName": (
        "writes what may not stand in a name by its number (ISO 32000-1, 7.3.5)",
        lambda: pdfdoc.PDFName("A b#(c)") == "/A#20b#23#28c#29",
    ),
    "PDFObjectReference": (
        "writes the number of its object",
        lambda: pdfdoc.PDFObjectReference(2).format(document()) == b"2 0 R",
    ),
    "PDFStream": (
        "may be of a kind of our own, which then writes itself",
        lambda: kind_of_stream() == b"1 0 obj\n(own)\nendobj\n",
    ),
    "PDFStream.content": ("holds the bytes it was made with", lambda: held().content == b"ab"),
    "PDFStream.dictionary": (
        "holds the dictionary it was made with",
        lambda: held().dictionary.format(document()) == b"<<\n/N 4\n>>",
    ),
    "PDFString": (
        "escapes brackets and the stroke that escapes (ISO 32000-1, 7.3.4.2)",
        lambda: pdfdoc.PDFString("a(b)\\").format(document()) == rb"(a\(b\)\\)",
    ),
    "PDFText": ("writes bytes as hexadecimal", lambda: pdfdoc.PDFText(b"\xfe\xff").format(document()) == b"<feff>"),
    "PDFTrailer": (
        "holds size, root, information and identifier, then where the table starts (ISO 32000-1, 7.5.5)",
        lambda: (
            trailer() == b"trailer\n<<\n/ID [<00> <00>]\n/Info 2 0 R\n/Root 1 0 R\n/Size 3\n>>\nstartxref\n77\n%%EOF\n"
        ),
    ),
    "document.encrypt": (
        "is what text goes through",
        lambda: secret() == b"<41>",
    ),
    "document.idToObjectNumberAndVersion": (
        "is where objects are looked up",
        lambda: pdfdoc.PDFObjectReference(1).format(document(idToObjectNumberAndVersion={1: (12, 0)})) == b"12 0 R",
    ),
    "document.idToOffset": (
        "is where offsets are looked up",
        lambda: b"\n0000000042 00000 n \n" in table(idToOffset={1: 42, 2: 5}),
    ),
}


def complaint(relied: str) -> str | None:
    """What is no longer as it was, and what to do; None where all is well."""
    what, check = CHECKS[relied]
    try:
        if check():
            return None
        how = "it no longer does"
    except Exception as error:
        how = f"{type(error).__name__}: {error}"
    where = ("a document of " if relied.startswith("document.") else "") + "reportlab.pdfbase.pdfdoc"
    return (
        f"reportlab {version('reportlab')} broke what PDF files rely on: {relied} of {where} {what} ({how}). Change "
        "decalgen/export/pdf_file.py to what it does now and this check with it, or leave this version out in the line "
        "of reportlab in pyproject.toml."
    )


@pytest.mark.parametrize("relied", RELIED_ON)
def test_reportlab_does_what_is_relied_on(relied: str) -> None:
    said = complaint(relied)
    assert said is None, said


@pytest.mark.parametrize("relied", [relied for relied in RELIED_ON if "." not in relied])
def test_a_name_that_is_gone_is_told(relied: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(pdfdoc, relied)
    said = complaint(relied)
    assert said is not None and f"{relied} of reportlab" in said and "pyproject.toml" in said


def test_every_name_that_is_used_is_listed_and_checked(repository: Path) -> None:
    """Read from the syntax of the one module that loads reportlab."""
    from decalgen.export import pdf_file

    package = repository / "decalgen"
    # The handbook is set by reportlab's own public part.
    own = [path for path in package.rglob("*.py") if path.parent != package / "pages" / "handbook"]
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in own}
    loads = [
        path
        for path, tree in trees.items()
        for node in ast.walk(tree)
        if (isinstance(node, ast.ImportFrom) and (node.module or "").startswith("reportlab"))
        or (isinstance(node, ast.Import) and any(one.name.startswith("reportlab") for one in node.names))
    ]
    assert loads == [package / "export" / "pdf_file.py"]
    used = {
        node.attr
        for node in ast.walk(trees[loads[0]])
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "pdfdoc"
    }
    asked = {key for key in {*vars(pdf_file._Places), *vars(pdf_file._Places())} if not key.startswith("_")}
    assert {one for one in RELIED_ON if "." not in one} == used
    assert {one for one in RELIED_ON if one.startswith("document.")} == {f"document.{key}" for key in asked}
    assert set(CHECKS) == set(RELIED_ON) and len(RELIED_ON) == len(set(RELIED_ON))


def test_a_next_major_version_is_not_taken_unasked(repository: Path) -> None:
    project = tomllib.loads((repository / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    (pin,) = [one for one in map(Requirement, project["dependencies"]) if one.name == "reportlab"]
    assert "4.2" in pin.specifier and "4.1" not in pin.specifier and "5.0" not in pin.specifier


SCRIPT = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from tests.export.documents import everything
from tests.export.press_sheet import press
from decalgen.export import render
for data in (*render(everything(), ".pdf"), press()):
    print(hashlib.sha256(data).hexdigest())
"""


def test_settings_in_the_users_home_change_nothing(repository: Path, tmp_path: Path) -> None:
    """Nor do those in the environment, among them the one by which builds set reportlab's clock."""
    settings = "pdfMultiLine=1\npdfComments=1\nuseA85=1\ninvariant=0\npageCompression=0\ndocumentLang='de'\n"
    (tmp_path / ".reportlab_settings").write_text(settings, encoding="utf-8")
    names = ("pdfComments", "pdfMultiLine", "useA85")
    found = []
    for extra in ({f"RL_{one}": "1" for one in names} | {"SOURCE_DATE_EPOCH": "86400"}, {"RL_pdfMultiLine": "0"}):
        home = str(tmp_path / "nowhere" if found else tmp_path)
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT, str(repository)],
            env={**os.environ, "HOME": home, "USERPROFILE": home, **extra},
            cwd=repository,
            capture_output=True,
            text=True,
            check=True,
        )
        found.append(done.stdout)
    assert len(found[0].splitlines()) == 2 and found[0] == found[1]
