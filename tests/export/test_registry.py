"""The registry of formats: endings, options, and the mistakes one can make with them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from decalgen import export
from decalgen.core.errors import DecalgenError
from decalgen.export import Exporter, exporter, only, render
from tests.export.documents import document, everything


@pytest.mark.parametrize("name", [".pdf", "sheet.pdf", "Sheet 1.PDF", r"C:\decals\v1.2\sheet.Pdf", "/a.b/sheet.pdf"])
def test_finds_a_format_by_file_name_or_ending(name: str) -> None:
    assert exporter(name).ending == ".pdf"


def test_unknown_ending_is_named_with_the_nearest_and_the_known_ones() -> None:
    with pytest.raises(DecalgenError) as caught:
        exporter("sheet.pfd")
    assert "'.pfd'" in caught.value.message
    assert "did you mean '.pdf'?" in caught.value.fix
    assert all(ending in caught.value.fix for ending in (".pdf", ".svg", ".png", ".dxf"))


def test_unknown_ending_far_from_all_lists_the_known_ones() -> None:
    with pytest.raises(DecalgenError) as caught:
        exporter("sheet.bmp")
    assert "did you mean" not in caught.value.fix
    assert ".pdf, .svg, .png, .dxf" in caught.value.fix


@pytest.mark.parametrize("name", ["sheet", "", "my.folder/sheet"])
def test_name_without_ending_is_said_to_have_none(name: str) -> None:
    with pytest.raises(DecalgenError, match="no ending"):
        exporter(name)


def test_unknown_option_is_refused() -> None:
    with pytest.raises(DecalgenError, match="'dip'") as caught:
        render(document(), ".png", dip=600)
    assert "did you mean 'dpi'?" in caught.value.fix
    with pytest.raises(DecalgenError, match="'dpi'"):
        render(document(), ".pdf", dpi=600)


def test_the_same_ending_twice_is_refused() -> None:
    one = Exporter(".abc", "", False, lambda document: [])
    with pytest.raises(ValueError, match=r"\.abc"):
        export._registry(one, one)


def test_one_file_for_all_pages_or_one_a_page() -> None:
    counts = {ending: len(render(everything(), ending)) for ending in (".pdf", ".svg", ".png")}
    assert counts == {".pdf": 1, ".svg": 2, ".png": 2}
    assert [exporter(ending).file_a_page for ending in counts] == [False, True, True]


def test_only_keeps_layers_of_the_purposes_asked_for() -> None:
    kept = only(everything(), {"cutting"})
    assert [[layer.name for layer in page.layers] for page in kept.pages] == [[], ["Cut lines"]]


@pytest.mark.parametrize("ending", [".pdf", ".svg", ".png"])
def test_a_document_without_pages_is_an_error_and_an_empty_page_is_a_page(ending: str) -> None:
    from decalgen.core.document import Document, Page

    with pytest.raises(DecalgenError, match="no page"):
        render(Document((), "nothing"), ending)
    assert len(render(Document((Page(50, 50, ()),), ""), ending)) == 1


HEAVY = ("ezdxf", "pypdfium2", "reportlab", "svgwrite")
LOADS = """
import sys
sys.path.insert(0, sys.argv[1])
from tests.export.documents import A4, NAVY
from decalgen.core.document import Document, Layer, Line, Page
from decalgen.export import render
line = Line(((10, 10), (20, 10)), 0.1, NAVY)
for ending in sys.argv[2:]:
    render(Document((Page(*A4, (Layer("cut", (line,), "cutting"),)),), "a cut"), ending)
print(*sys.modules)
"""


@pytest.mark.parametrize(
    ("ending", "loaded"),
    [
        ("", ()),
        (".svg", ("svgwrite",)),
        (".dxf", ("ezdxf",)),
        (".pdf", ("reportlab",)),
        (".png", ("pypdfium2", "reportlab")),
    ],
)
def test_a_format_loads_its_own_library_when_it_is_first_used(
    repository: Path, ending: str, loaded: tuple[str, ...]
) -> None:
    words = [sys.executable, "-c", LOADS, str(repository), *([ending] if ending else [])]
    done = subprocess.run(words, capture_output=True, text=True, check=True, cwd=repository)
    assert tuple(one for one in HEAVY if one in done.stdout.split()) == loaded
