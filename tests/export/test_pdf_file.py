"""What stands in the print file: outlines and nothing else, in a file every reader accepts, always the same
bytes.
"""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from dataclasses import replace
from io import BytesIO
from pathlib import Path as FilePath

import numpy as np
import pdfplumber
import pikepdf
import pypdfium2
import pytest
from PIL import Image
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.document import Document, Fill, Item, Layer, Line, Page, Use
from decalgen.core.geometry import circle, rectangle, translation
from decalgen.export import render
from decalgen.export.pdf_file import PdfFile, dictionary, name, string
from tests.export.documents import A4, NAVY, ORANGE, blobs, document, everything, roundel


def pdf(wanted: Document) -> bytes:
    return render(wanted, ".pdf")[0]


def pieces(data: bytes) -> list[str]:
    """Every dictionary and unpacked stream of the file as text."""
    with pikepdf.open(BytesIO(data)) as opened:
        found = []
        for item in opened.objects:
            found.append(repr(item))
            if isinstance(item, pikepdf.Stream):
                found.append(item.read_bytes().decode("latin-1"))
        return found


def test_the_viewer_is_asked_to_print_at_true_size() -> None:
    with pikepdf.open(BytesIO(pdf(everything()))) as opened:
        wishes = opened.Root.ViewerPreferences
        assert wishes.PrintScaling == "/None"
        assert wishes.PickTrayByPDFSize is True
        assert all("/UserUnit" not in page and "/Rotate" not in page for page in opened.pages)
        assert opened.pdf_version == "1.7"
        assert str(opened.Root.Lang) == "en"


def test_no_fonts_images_spots_overprint_layers_or_actions() -> None:
    text = "\n".join(pieces(pdf(everything())))
    for word in (
        "Font",
        "Image",
        "Separation",
        "DeviceN",
        "DeviceCMYK",
        "OCG",
        "OCProperties",
        "Annot",
        "JavaScript",
    ):
        assert f"/{word}" not in text
    assert not re.search(r"/OPM?\b|/op\b", text)
    assert not re.search(r"\b(BT|ET|Tf|BDC|sh|BI)\b", text)


def test_information_comes_from_the_document_and_its_date() -> None:
    with pikepdf.open(BytesIO(pdf(everything()))) as opened:
        info = {str(key): str(value) for key, value in opened.docinfo.items()}
    assert info["/Title"] == "Poste d'été, \u2116 14"
    assert info["/Subject"] == "Side stripes"
    assert info["/Keywords"] == "decal, 1:64"
    assert info["/JobHash"] == "3f2a"
    # 9.30 in a zone two hours east of Greenwich.
    assert info["/CreationDate"] == info["/ModDate"] == "D:20260514073000Z"


def test_without_a_date_of_the_job_there_is_none() -> None:
    with pikepdf.open(BytesIO(pdf(replace(everything(), date=None)))) as opened:
        assert "/CreationDate" not in opened.docinfo
        assert "/ModDate" not in opened.docinfo


def test_colours_are_the_sRGB_asked_for() -> None:
    colours = ["#1d2b4a", "#e8641b", "#000000", "#ffffff", "#010203", "#7f80fe"]
    with pdfplumber.open(
        BytesIO(pdf(document(*(Fill(rectangle(10, 10 + i, 20, 11 + i), c) for i, c in enumerate(colours)))))
    ) as opened:
        found = [item["non_stroking_color"] for item in opened.pages[0].rects]
    assert ["#" + bytes(round(part * 255) for part in colour).hex() for colour in found] == colours


def test_see_through_fills_alone_bring_a_graphics_state() -> None:
    plain = document(Fill(rectangle(10, 10, 20, 20), NAVY), Use(roundel(), translation(50, 50)))
    with pikepdf.open(BytesIO(pdf(plain))) as opened:
        assert "/ExtGState" not in opened.pages[0].Resources
        assert "/Group" not in opened.pages[0]
    with pikepdf.open(BytesIO(pdf(everything()))) as opened:
        page = opened.pages[0]
        assert sorted(float(state.ca) for state in page.Resources.ExtGState.values()) == [0.5, 1.0]
        assert page.Group.CS == "/DeviceRGB"


def picture(data: bytes, dpi: float = 72) -> Image.Image:
    opened = pypdfium2.PdfDocument(data)
    image: Image.Image = opened[0].render(scale=dpi / 72).to_pil().convert("RGB")
    opened.close()
    return image


def colour_at(image: Image.Image, x: float, y: float, height: float = A4[1]) -> tuple[int, ...]:
    dot = 25.4 / 72
    found = image.getpixel((int(x / dot), int((height - y) / dot)))
    assert isinstance(found, tuple)
    return found


def test_a_symbol_after_a_see_through_fill_is_opaque_again() -> None:
    solid = roundel()
    items = (Fill(rectangle(10, 10, 20, 20), ORANGE, opacity=0.5), Use(solid, translation(50, 50)))
    image = picture(pdf(document(*items)))
    # Half orange, half paper; the renderer rounds the half to 127 of 255.
    assert colour_at(image, 15, 15) == pytest.approx((243.5, 177.5, 141), abs=1)
    assert colour_at(image, 50, 50) == (0x1D, 0x2B, 0x4A)


def test_holes_stay_open_and_islands_in_holes_are_filled() -> None:
    outer, inner = list(circle((50, 50), 20).exterior.coords), list(circle((50, 50), 12).exterior.coords)
    # With both rings the same way round, a rule that counted turns would fill the hole.
    for hole in (inner, inner[::-1]):
        region = MultiPolygon([Polygon(outer, [hole]), circle((50, 50), 6)])
        image = picture(pdf(document(Fill(region, NAVY))))
        assert colour_at(image, 34, 50) == (0x1D, 0x2B, 0x4A)
        assert colour_at(image, 41, 50) == (255, 255, 255)
        assert colour_at(image, 50, 50) == (0x1D, 0x2B, 0x4A)


def test_items_are_painted_in_their_order() -> None:
    low, high = Fill(rectangle(10, 10, 30, 30), NAVY), Fill(rectangle(20, 20, 40, 40), ORANGE)
    assert colour_at(picture(pdf(document(low, high))), 25, 25) == (0xE8, 0x64, 0x1B)
    assert colour_at(picture(pdf(document(high, low))), 25, 25) == (0x1D, 0x2B, 0x4A)


def test_a_ground_covers_the_page_whatever_the_correction() -> None:
    page = Page(*A4, (Layer("a", ()),), ground="#faf8f4")
    image = np.asarray(picture(pdf(Document((page,), "ground", scale=(0.9, 0.9)))))
    assert (image[:-1, :-1] == (0xFA, 0xF8, 0xF4)).all()


def test_what_is_written_in_portions_is_the_same_page(monkeypatch: pytest.MonkeyPatch) -> None:
    items: list[Item] = [Fill(blob, NAVY if i % 2 else ORANGE) for i, blob in enumerate(blobs(12))]
    items[6:6] = [Line(((10, 10), (30, 40), (50, 20)), 0.2, NAVY)]
    whole = pdf(document(*items))
    for portion in (1, 4, 9):
        monkeypatch.setattr("decalgen.export.pdf_content.AT_ONCE", portion)
        assert pdf(document(*items)) == whole


def test_a_symbol_is_drawn_once_however_often_it_is_placed() -> None:
    symbol = roundel()
    few = pdf(document(*(Use(symbol, translation(20 + i, 30)) for i in range(2))))
    many = pdf(document(*(Use(symbol, translation(20 + i % 15, 30 + i // 15)) for i in range(200))))
    for data, count in ((few, 2), (many, 200)):
        with pikepdf.open(BytesIO(data)) as opened:
            forms = [item for item in opened.objects if isinstance(item, pikepdf.Stream) and "/Subtype" in item]
            assert len(forms) == 1
            assert opened.pages[0].Contents.read_bytes().count(b" Do ") == count
    assert len(many) < len(few) + 3000


def test_a_symbol_on_two_pages_is_still_drawn_once() -> None:
    layer = Layer("a", (Use(roundel(), translation(20, 20)),))
    with pikepdf.open(BytesIO(pdf(Document((Page(50, 50, (layer,)), Page(60, 60, (layer,))), "two")))) as opened:
        forms = [page.Resources.XObject["/S1"].objgen for page in opened.pages]
        assert forms[0] == forms[1]


def test_numbers_have_no_exponent_and_no_idle_zeros() -> None:
    small = Polygon([(0.00003, 0.1), (9e-6, 12.5), (1e-12, 0.00012), (7.100000001, -0.0)])
    with pikepdf.open(BytesIO(pdf(document(Fill(small, NAVY))))) as opened:
        text = opened.pages[0].Contents.read_bytes().decode()
    drawn = [line for line in text.splitlines() if line.endswith((" m", " l"))]
    assert drawn == ["0 0.1 m", "0 12.5 l", "0 0.00012 l", "7.1 0 l"]


@pytest.mark.needs("qpdf")
@pytest.mark.parametrize("name", ["everything", "blobs", "empty"])
def test_qpdf_finds_nothing_wrong(name: str, tmp_path: FilePath) -> None:
    made = {
        "everything": everything(),
        "blobs": document(*(Fill(p, NAVY) for p in blobs(50))),
        "empty": Document((Page(10, 10, ()),), ""),
    }[name]
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf(made))
    result = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout + result.stderr
    assert "No syntax or stream encoding errors" in result.stdout


def test_endstream_starts_a_line_and_lengths_are_right() -> None:
    data = pdf(everything())
    lengths = [int(n) for n in re.findall(rb"/Length (\d+)", data)]
    bodies = [match.end() for match in re.finditer(rb">>\nstream\n", data)]
    assert len(lengths) == len(bodies) > 2
    for start, length in zip(bodies, lengths, strict=True):
        assert data[start + length : start + length + 11] == b"\nendstream\n"


SCRIPT = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from tests.export.documents import everything
from decalgen.export import render
for ending in (".pdf", ".svg", ".png"):
    options = {"dpi": 60} if ending == ".png" else {}
    for data in render(everything(), ending, **options):
        print(ending, hashlib.sha256(data).hexdigest())
"""


def test_same_bytes_whatever_the_time_zone_locale_and_hash_seed(repository: FilePath) -> None:
    outputs = []
    for zone, language, seed in (
        ("UTC", "C", "0"),
        ("Pacific/Chatham", "de_DE.UTF-8", "1"),
        ("Asia/Kolkata", "tr_TR", "77"),
    ):
        environment = {**os.environ, "TZ": zone, "LC_ALL": language, "LANG": language, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT, str(repository)],
            env=environment,
            cwd=repository,
            capture_output=True,
            text=True,
            check=True,
        )
        outputs.append(done.stdout)
    assert len(outputs[0].splitlines()) == 5
    assert outputs[0] == outputs[1] == outputs[2]


def test_same_bytes_twice_in_one_process_and_others_for_another_document() -> None:
    one = everything()
    assert pdf(one) == pdf(everything())
    other = replace(one, title="Side stripes, second try")

    def identity(data: bytes) -> bytes:
        (found,) = re.findall(rb"/ID \[ <([0-9a-f]{32})> <\1> \]", data)
        return bytes(found)

    assert identity(pdf(one)) != identity(pdf(other))
    assert identity(pdf(one)) != identity(pdf(replace(one, scale=(1, 1))))


def test_every_object_lies_where_the_table_says() -> None:
    """ISO 32000-1, 7.5.4 and 7.5.5: twenty bytes a line, the free object first, the trailer's start and size."""
    data = pdf(everything())
    start = int(re.findall(rb"startxref\n(\d+)\n%%EOF\n$", data)[0])
    assert data[start:].startswith(b"xref\n0 ")
    count = int(re.match(rb"xref\n0 (\d+)\n", data[start:])[1])  # type: ignore[index]
    first = data.index(b"\n", start + 5) + 1
    rows = [data[first + 20 * n : first + 20 * n + 20] for n in range(count)]
    assert rows[0] == b"0000000000 65535 f \n"
    for number, row in enumerate(rows[1:], start=1):
        assert re.fullmatch(rb"\d{10} 00000 n \n", row)
        assert data[int(row[:10]) :].startswith(b"%d 0 obj\n" % number)
    assert data[first + 20 * count :].startswith(b"trailer\n")
    assert int(re.findall(rb"/Size (\d+)", data)[0]) == count
    assert len(re.findall(rb"\nendobj\n", data)) == count - 1


def test_the_second_line_marks_it_as_binary() -> None:
    """ISO 32000-1, 7.5.2: a comment with at least four bytes of 128 or more, right after the version."""
    comment = pdf(everything()).split(b"\n")[1]
    assert comment[:1] == b"%" and len(comment) >= 5 and min(comment[1:5]) >= 128


def test_text_is_read_back_as_it_was_given() -> None:
    """ISO 32000-1, 7.9.2.2, as qpdf's library decodes it."""
    latin, ascii_text = ("".join(map(chr, some)) for some in (range(0x20, 0x180), range(0x20, 0x7F)))
    # Brackets that do not pair, and what the older encoding of PDF text has places of its own for (annex D.2).
    hard = ("(", ")", ")(", "\\", "\\(", "a\\", "\u2022 \u20ac \u02d8 \ufb01", "\u00fe\u00ff", latin, ascii_text)
    for text in (*hard, "plain", "a (b) \\ c", "two\nlines", "d'\u00e9t\u00e9", "\u2116 14 \U0001f697", "%", "<<>>"):
        file = PdfFile()
        file.add_page({"MediaBox": "[0 0 9 9]"})
        with pikepdf.open(BytesIO(file.save({}, {"Title": string(text), "Odd Name#1": name("a b/c")}))) as opened:
            assert str(opened.docinfo["/Title"]) == text
            assert opened.docinfo["/Odd Name#1"] == pikepdf.Name("/a b/c")


def test_text_that_did_not_become_a_pdf_string_is_refused() -> None:
    with pytest.raises(ValueError, match="ascii"):
        PdfFile().add({"Title": "(\u00e9t\u00e9)"})
    with pytest.raises(ValueError, match="not an ASCII name"):
        name("\u00e9t\u00e9")


def test_a_file_too_large_for_its_table_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("decalgen.export.pdf_file.MOST_BYTES", 300)
    with pytest.raises(ValueError, match="cannot be written"):
        pdf(everything())


def test_large_streams_are_packed_too() -> None:
    file = PdfFile()
    file.add_page({"MediaBox": "[0 0 9 9]", "Contents": file.add_stream(b"0 0 m\n" * 200_000, {})})
    data = file.save({}, {})
    assert len(data) < 100_000
    with pikepdf.open(BytesIO(data)) as opened:
        assert opened.pages[0].Contents.read_bytes() == b"0 0 m\n" * 200_000


def test_no_clock_and_nothing_of_this_computer_is_in_the_file() -> None:
    file = PdfFile()
    file.add_page({"MediaBox": "[0 0 9 9]"})
    data = file.save({}, {"Title": string("t")})
    with pikepdf.open(BytesIO(data)) as opened:
        assert set(map(str, opened.docinfo.keys())) == {"/Title"}
        assert len(opened.objects) == 4  # The tree, the page, the catalog and the information; no fonts.
        assert bytes(opened.trailer.ID[0]) == hashlib.sha256(b"").digest()[:16]


@pytest.mark.parametrize("key", ["a/b", "a\nb", "\x7f", "\u00e9t\u00e9"])
def test_a_key_that_would_be_read_as_another_is_refused(key: str) -> None:
    with pytest.raises(ValueError, match="slash" if "/" in key else "not an ASCII name"):
        dictionary({key: "1"})


def test_every_printable_character_of_a_name_is_read_back() -> None:
    text = "".join(map(chr, range(0x20, 0x7F)))
    file = PdfFile()
    file.add_page({"MediaBox": "[0 0 9 9]"})
    keys = text.replace("/", "")
    with pikepdf.open(BytesIO(file.save({}, {"N": name(text), keys: "1"}))) as opened:
        assert opened.docinfo["/N"] == pikepdf.Name("/" + text)
        assert opened.docinfo["/" + keys] == 1
