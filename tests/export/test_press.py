"""Press files: the rules of the standards, and plates drawn from one."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from io import BytesIO
from pathlib import Path as FilePath

import numpy as np
import pikepdf
import pytest
from pikepdf import Dictionary
from PIL import Image

from decalgen.core.document import Document, Fill, Layer, Line
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import rectangle
from tests.export.documents import ORANGE
from tests.export.press_sheet import job, press, profile
from tests.export.structure import problems


def test_a_press_file_keeps_all_rules() -> None:
    assert problems(press()) == []


@pytest.mark.needs("qpdf")
def test_qpdf_finds_nothing_wrong(tmp_path: FilePath) -> None:
    (tmp_path / "press.pdf").write_bytes(press())
    done = subprocess.run(["qpdf", "--check", "press.pdf"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_steps_names_and_states_of_the_layers() -> None:
    with pikepdf.open(BytesIO(press())) as pdf:
        found = [
            (
                str(group.Name),
                [str(value) for value in group.get("/GTS_Metadata", Dictionary()).values()],
            )
            for group in pdf.Root.OCProperties.OCGs
        ]
        off = [str(group.Name) for group in pdf.Root.OCProperties.D.OFF]
    assert found == [
        ("White", ["/White"]),
        ("Artwork", []),
        ("Legend", ["/Legend"]),
        ("Dimensions", ["/Dimensions"]),
        ("Bleed", ["/Structural", "/Bleed"]),
        ("Marks", []),
        ("Crop marks", []),
        ("Cutting", ["/Structural", "/Cutting"]),
    ]
    assert off == ["Dimensions", "Bleed"]


def test_sizes_are_true_whatever_the_home_printer_needs() -> None:
    import pdfplumber

    with pdfplumber.open(BytesIO(press())) as opened:
        widths = [float(item["width"]) * 25.4 / 72 for item in opened.pages[0].rects]
    assert sorted(round(width, 4) for width in widths) == [8, 8, 19.8, 20, 20, 20, 25, 28, 30]


def test_spots_and_process_colours_are_as_converted() -> None:
    with pikepdf.open(BytesIO(press())) as pdf:
        names = {str(space[1]) for space in pdf.pages[0].Resources.ColorSpace.values()}
        text = pdf.pages[0].Contents.read_bytes().decode()
    assert names == {"/White", "/Cutting", "/All"}
    # Navy 1d2b4a: black is 1 - 74/255, and so on.
    assert "0.60811 0.41892 0 0.7098 k" in text
    assert not re.search(r" (rg|RG|g|G)\n", text)


def test_same_bytes_twice_and_identifiers_from_the_content() -> None:
    one, other = press(), press(replace(job(), date="2026-05-15"))
    assert one == press()

    def identifiers(data: bytes) -> tuple[bytes, bytes]:
        document = re.search(rb"DocumentID>uuid:([0-9a-f-]{36})<", data)
        trailer = re.search(rb"/ID \[ <([0-9a-f]{32})>", data)
        assert document and trailer
        # Version and variant of an identifier made from a hash (RFC 9562, 5.8 and 4.1).
        assert document[1][14:15] == b"8" and document[1][19:20] in b"89ab"
        return document[1], trailer[1]

    assert all(a != b for a, b in zip(identifiers(one), identifiers(other), strict=True))


def test_a_see_through_fill_after_a_line_is_still_see_through() -> None:
    # A line is painted opaque; what comes after it must ask for its own opacity again (ISO 32000-1, 8.4.1).
    tint = Fill(rectangle(20, 20, 30, 30), ORANGE, opacity=0.5)
    items = (tint, Line(((20, 35), (60, 35)), 0.3, ORANGE), replace(tint, region=rectangle(40, 20, 50, 30)))
    page = replace(job().pages[0], layers=(Layer("Artwork", items, "artwork"),))
    with pikepdf.open(BytesIO(press(replace(job(), pages=(page,))))) as pdf:
        states = pdf.pages[0].Resources.ExtGState
        now, painted = 1.0, []
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[0]):
            if str(operator) == "gs":
                now = float(states[str(operands[0])].ca)
            elif str(operator) in {"f*", "S"}:
                painted.append((str(operator), now))
    assert painted == [("f*", 0.5), ("S", 1.0), ("f*", 0.5)]


def without_tags() -> bytes:
    """A profile that is nothing but its header, of the right length."""
    return (132).to_bytes(4, "big") + profile()[4:128] + bytes(4)


def tag_outside() -> bytes:
    """A profile whose first tag, its name, lies behind its end."""
    return profile()[:136] + (10_000).to_bytes(4, "big") + profile()[140:]


def test_a_layer_with_nothing_in_it_is_left_out() -> None:
    page = job().pages[0]
    empty = replace(page, layers=(*page.layers, Layer("Nothing", (), "paperwork")))
    only_cut = replace(page, layers=tuple(one for one in page.layers if one.purpose == "cutting"))
    with pikepdf.open(BytesIO(press(replace(job(), pages=(empty,))))) as pdf:
        assert len(pdf.Root.OCProperties.OCGs) == len(page.layers)
    none = replace(only_cut, layers=(Layer("Artwork", (), "artwork"), *only_cut.layers))
    data = press(replace(job(), pages=(none,)))
    assert problems(data) == [] and b"(Artwork)" not in data


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"document": replace(job(), date=None)}, "title and a date"),
        ({"document": replace(job(), title=" ")}, "title and a date"),
        ({"document": Document((), "none", date="2026-05-14")}, "no page"),
        ({"profile": b""}, "not a complete ICC profile"),
        ({"profile": profile() + b"x"}, "not a complete ICC profile"),
        ({"profile": profile(b"mntr", b"RGB ")}, "class 'mntr' for RGB"),
        ({"profile": profile(b"mntr")}, "class 'mntr'"),
        ({"profile": profile(without=(b"B2A0",))}, "lacks B2A0"),
        ({"profile": profile(without=(b"A2B0", b"wtpt"))}, "lacks wtpt and A2B0"),
        ({"profile": without_tags()}, "lacks desc and wtpt and A2B0 and B2A0"),
        ({"profile": tag_outside()}, "lacks desc"),
        ({"condition": ""}, "printing condition"),
        ({"convert": lambda colour: (0.0, 0.0, 0.0, 1.5)}, "in CMYK"),
        ({"convert": lambda colour: (0.0, float("nan"), 0.0, 0.5)}, "in CMYK"),
    ],
)
def test_what_makes_no_press_file_is_said(change: dict[str, object], message: str) -> None:
    with pytest.raises(DecalgenError, match=message) as caught:
        press(**change)  # type: ignore[arg-type]
    assert caught.value.fix


def test_see_through_artwork_names_the_space_it_is_blended_in() -> None:
    page = job().pages[0]
    glass = Layer("Glass", (Fill(rectangle(60, 30, 70, 40), ORANGE, opacity=0.5),), "artwork")
    document = replace(job(), pages=(replace(page, layers=(glass, *page.layers)),))
    assert problems(press(document)) == []
    with pikepdf.open(BytesIO(press(document))) as pdf:
        assert pdf.pages[0].Group.CS == "/DeviceCMYK"


@pytest.mark.needs("gs")
def test_plates_drawn_by_ghostscript(tmp_path: FilePath) -> None:
    """White stays whole under the artwork, marks are on every plate, the cut line is on its own alone."""
    (tmp_path / "press.pdf").write_bytes(press())
    subprocess.run(
        [
            shutil.which("gs") or "gs",
            "-q",
            "-dBATCH",
            "-dNOPAUSE",
            "-dSAFER",
            "-sDEVICE=tiffsep",
            "-r300",
            "-sOutputFile=p%d.tif",
            "press.pdf",
        ],
        cwd=tmp_path,
        check=True,
        capture_output=True,
    )
    plates: dict[str, np.ndarray] = {}
    for path in tmp_path.glob("p1(*).tif"):
        with Image.open(path) as image:
            plates[path.name[3:-5]] = 1 - np.asarray(image.convert("L"), dtype=np.float64) / 255
    assert set(plates) == {"Cyan", "Magenta", "Yellow", "Black", "White", "Cutting"}
    dot = 25.4 / 300

    def part(plate: str, x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
        return plates[plate][round((100 - y1) / dot) : round((100 - y0) / dot), round(x0 / dot) : round(x1 / dot)]

    # Inside the navy field, which lies wholly on white: white is whole, and navy's own inks are there.
    assert part("White", 61, 21, 79, 39).min() == 1
    assert part("Cyan", 61, 21, 79, 39).mean() == pytest.approx(0.608, abs=0.01)
    # Area of white: the plate's exceeds it by up to six tenths of a dot along its edge (every touched dot is
    # set).
    area, edge = 19.8 * 4.8 + 30 * 30, 2 * (19.8 + 4.8) + 4 * 30
    marks = (part("White", 14, 45, 24, 55).sum() + part("White", 3, 13, 12, 17).sum()) * dot * dot
    assert plates["White"].sum() * dot * dot - marks == pytest.approx(area + 0.55 * edge * dot, abs=0.45 * edge * dot)
    # A mark is on all plates; the cut line only on its own.
    for plate in plates.values():
        assert plate[round((100 - 50) / dot) - 2 : round((100 - 50) / dot) + 3, round(17 / dot)].max() > 0.5
    cut = (29, 17.5, 31, 18.5)
    assert part("Cutting", *cut).max() == 1
    assert all(part(plate, *cut).max() == 0 for plate in plates if plate != "Cutting")
