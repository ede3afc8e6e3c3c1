"""Press files: the rules of the standards, faults planted to see that the rules see them, and plates drawn
from one.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path as FilePath

import numpy as np
import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String
from PIL import Image

from decalgen.errors import DecalgenError
from decalgen.export.pdf_file import PdfFile
from decalgen.export.press import render
from decalgen.geometry import rectangle, rounded, translation
from decalgen.picture import Document, Fill, Layer, Line, Page, Path, Symbol, Use
from tests.export.documents import NAVY, ORANGE
from tests.export.structure import problems


def profile(kind: bytes = b"prtr", space: bytes = b"CMYK") -> bytes:
    """The header of an ICC profile (ICC.1:2010, 7.2) with an empty tag table: enough to be told apart, no
    more.
    """
    header = bytearray(132)
    header[0:4] = len(header).to_bytes(4, "big")
    header[8:12] = b"\x02\x40\0\0"
    header[12:16], header[16:20], header[20:24] = kind, space, b"Lab "
    header[36:40] = b"acsp"
    return bytes(header)


def convert(colour: str) -> tuple[float, float, float, float]:
    """The simplest conversion there is; which colours come out is not what is tested here."""
    r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    black = 1 - max(r, g, b)
    if black == 1:
        return (0, 0, 0, 1)
    return (
        (1 - r - black) / (1 - black),
        (1 - g - black) / (1 - black),
        (1 - b - black) / (1 - black),
        black,
    )


BAND = Symbol(
    "band",
    (
        Fill(rectangle(0, 0, 20, 5), ORANGE),
        Fill(rectangle(2, 1, 10, 4), NAVY),
        Line(((0, 6), (20, 6)), 0.2, NAVY),
    ),
)


def job() -> Document:
    """A sheet with everything a press file can have; white stands last here and must come first in the file."""
    layers = (
        Layer(
            "Door bands",
            (
                Use(BAND, translation(20, 20)),
                Use(BAND, translation(20, 30)),
                Fill(rectangle(60, 20, 80, 40), NAVY),
            ),
            "artwork",
        ),
        Layer("Cut", (Path(rounded(24, 20, (1, 1, 1, 1), 18, 18), 0.1, "#ff00ff"),), "cutting"),
        Layer("Bleed", (Path(rounded(25, 21, (1, 1, 1, 1), 17.5, 17.5), 0.1, "#00ff00"),), "bleed"),
        Layer("Dimensions", (Line(((20, 10), (40, 10)), 0.13, "#22262b"),), "paperwork"),
        Layer("Key", (Fill(rectangle(5, 90, 30, 93), "#22262b"),), "paperwork"),
        Layer(
            "Marks",
            (Line(((3, 3), (9, 3)), 0.1, "#000000"), Line(((6, 0.5), (6, 5.5)), 0.1, "#000000")),
            "marks",
        ),
        Layer(
            "White",
            (Fill(rectangle(20.1, 20.1, 39.9, 24.9), "#ffffff"), Fill(rectangle(55, 15, 85, 45), "#ffffff")),
            "white",
        ),
    )
    page = Page(100, 100, layers, trim=(15, 15, 90, 80), bleed=(14, 14, 91, 81))
    return Document((page,), "Poste d'\u00e9t\u00e9 & co", date="2026-05-14", scale=(1.0031, 0.9984))


def press(document: Document | None = None, **options: object) -> bytes:
    settings: dict[str, object] = {
        "convert": convert,
        "profile": profile(),
        "condition": "Test sheet, coated",
    }
    return render(document or job(), **{**settings, **options})  # type: ignore[arg-type]


def test_a_press_file_keeps_all_rules() -> None:
    assert problems(press()) == []


@pytest.mark.needs("qpdf")
def test_qpdf_finds_nothing_wrong(tmp_path: FilePath) -> None:
    (tmp_path / "press.pdf").write_bytes(press())
    done = subprocess.run(
        ["qpdf", "--check", "press.pdf"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
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
        ("Cutting", ["/Structural", "/Cutting"]),
    ]
    assert off == ["Dimensions", "Bleed"]


def test_sizes_are_true_whatever_the_home_printer_needs() -> None:
    import pdfplumber

    with pdfplumber.open(BytesIO(press())) as opened:
        widths = [float(item["width"]) * 25.4 / 72 for item in opened.pages[0].rects]
    assert sorted(round(width, 4) for width in widths) == [8, 8, 19.8, 20, 20, 20, 25, 30]


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
        trailer = re.search(rb"/ID \[<([0-9a-f]{32})>", data)
        assert document and trailer
        # Version and variant of an identifier made from a hash (RFC 9562, 5.8 and 4.1).
        assert document[1][14:15] == b"8" and document[1][19:20] in b"89ab"
        return document[1], trailer[1]

    assert all(a != b for a, b in zip(identifiers(one), identifiers(other), strict=True))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"document": replace(job(), date=None)}, "title and a date"),
        ({"document": replace(job(), title=" ")}, "title and a date"),
        ({"document": Document((), "none", date="2026-05-14")}, "no page"),
        ({"profile": b""}, "no complete ICC profile"),
        ({"profile": profile() + b"x"}, "no complete ICC profile"),
        ({"profile": profile(b"mntr", b"RGB ")}, "class 'mntr' for RGB"),
        ({"profile": profile(b"mntr")}, "class 'mntr'"),
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
    glass = Layer("Glass", (Fill(rectangle(60, 50, 70, 60), ORANGE, opacity=0.5),), "artwork")
    document = replace(job(), pages=(replace(page, layers=(glass, *page.layers)),))
    assert problems(press(document)) == []
    with pikepdf.open(BytesIO(press(document))) as pdf:
        assert pdf.pages[0].Group.CS == "/DeviceCMYK"


Fault = Callable[[pikepdf.Pdf], object]


def content(change: Callable[[bytes], bytes]) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        before = pdf.pages[0].Contents.read_bytes()
        after = change(before)
        assert after != before
        pdf.pages[0].Contents = pdf.make_stream(after)

    return fault


def xmp(old: bytes, new: bytes) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        before = pdf.Root.Metadata.read_bytes()
        assert old in before
        pdf.Root.Metadata = pdf.make_stream(before.replace(old, new), Type=Name.Metadata, Subtype=Name.XML)

    return fault


def states(key: str, value: object) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        for state in pdf.pages[0].Resources.ExtGState.values():
            if bool(state.op):
                state[key] = value

    return fault


def group(pdf: pikepdf.Pdf, name: str) -> pikepdf.Object:
    (found,) = (one for one in pdf.Root.OCProperties.OCGs if str(one.Name) == name)
    return found


def drop(where: Callable[[pikepdf.Pdf], pikepdf.Object], key: str) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        del where(pdf)[key]

    return fault


def put(where: Callable[[pikepdf.Pdf], pikepdf.Object], key: str, value: object) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        where(pdf)[key] = value

    return fault


def new_profile(data: bytes) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        pdf.Root.OutputIntents[0].DestOutputProfile = pdf.make_stream(data, N=4)

    return fault


def white_last(before: bytes) -> bytes:
    head, white, rest = re.split(rb"(/OC /White BDC.*?EMC\n)", before, maxsplit=1, flags=re.DOTALL)
    return head + rest[: rest.rindex(b"Q")] + white + b"Q\n"


def page(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.pages[0].obj


def default(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.Root.OCProperties.D


FAULTS: dict[str, tuple[str, Fault]] = {
    "no title": ("information", lambda pdf: pdf.docinfo.__delitem__("/Title")),
    "no date": ("information", lambda pdf: pdf.docinfo.__delitem__("/CreationDate")),
    "trapping unknown": ("trapped", lambda pdf: pdf.docinfo.__setitem__("/Trapped", Name("/Unknown"))),
    "titles differ": ("agreement", lambda pdf: pdf.docinfo.__setitem__("/Title", "Another")),
    "dates differ": ("agreement", xmp(b"2026-05-14", b"2026-05-13")),
    "no packet": ("xmp", drop(lambda pdf: pdf.Root, "/Metadata")),
    "packet of another standard": ("xmp version", xmp(b"PDF/X-4", b"PDF/X-3")),
    "packet without identifier": ("xmp identifiers", xmp(b"xmpMM:VersionID", b"xmpMM:Other")),
    "packet not well-formed": ("xmp", xmp(b"</rdf:RDF>", b"")),
    "two conditions": ("output intent", lambda pdf: pdf.Root.OutputIntents.append(pdf.Root.OutputIntents[0])),
    "condition without a name": (
        "output condition",
        drop(lambda pdf: pdf.Root.OutputIntents[0], "/OutputConditionIdentifier"),
    ),
    "profile of a screen": ("output profile", new_profile(profile(b"mntr"))),
    "profile cut short": ("output profile", new_profile(profile()[:100])),
    "no profile": ("output profile", drop(lambda pdf: pdf.Root.OutputIntents[0], "/DestOutputProfile")),
    "no trim": ("trim", drop(page, "/TrimBox")),
    "trim and art": ("trim", put(page, "/ArtBox", Array([0, 0, 10, 10]))),
    "trim beyond bleed": ("boxes", put(page, "/TrimBox", Array([0, 0, 200, 200]))),
    "bleed beyond paper": ("boxes", put(page, "/BleedBox", Array([-10, 0, 280, 280]))),
    "annotation": (
        "annotations",
        put(page, "/Annots", Array([Dictionary(Type=Name.Annot, Subtype=Name.Square)])),
    ),
    "action": (
        "actions",
        put(lambda pdf: pdf.Root, "/OpenAction", Dictionary(S=Name.JavaScript, JS=String("1"))),
    ),
    "transfer curve": ("transfer curve", states("/TR", Name("/Identity"))),
    "a unit of its own": ("unit", put(page, "/UserUnit", 2)),
    "font": ("fonts", put(lambda pdf: pdf.pages[0].Resources, "/Font", Dictionary())),
    "scaled by the viewer": (
        "scaling",
        put(lambda pdf: pdf.Root.ViewerPreferences, "/PrintScaling", Name("/AppDefault")),
    ),
    "layers switched by themselves": ("layers", put(default, "/AS", Array())),
    "configuration without a name": ("layers", drop(default, "/Name")),
    "layer not listed": ("layers", lambda pdf: default(pdf).Order.__delitem__(0)),
    "layer not in the resources": ("layers", drop(lambda pdf: pdf.pages[0].Resources.Properties, "/White")),
    "two layers of a name": ("layers", lambda pdf: group(pdf, "Bleed").__setitem__("/Name", String("White"))),
    "step without a type": (
        "processing step",
        drop(lambda pdf: group(pdf, "Cutting").GTS_Metadata, "/GTS_ProcStepsType"),
    ),
    "step of no such group": (
        "processing step",
        put(lambda pdf: group(pdf, "White").GTS_Metadata, "/GTS_ProcStepsGroup", Name("/Registration")),
    ),
    "white with a type": (
        "processing step",
        put(lambda pdf: group(pdf, "White").GTS_Metadata, "/GTS_ProcStepsType", Name("/White")),
    ),
    "spot of another name": (
        "spot name",
        lambda pdf: pdf.pages[0].Resources.ColorSpace["/Cutting"].__setitem__(1, Name("/Knife")),
    ),
    "spot shown in two ways": (
        "spot alternates",
        lambda pdf: pdf.pages[0].Resources.ColorSpace.__setitem__(
            "/Other",
            Array(
                [
                    Name.Separation,
                    Name("/White"),
                    Name.DeviceCMYK,
                    Dictionary(FunctionType=2, Domain=[0, 1], N=1, C0=[0, 0, 0, 0], C1=[1, 0, 0, 0]),
                ]
            ),
        ),
    ),
    "screen colour": (
        "colour",
        content(lambda data: data.replace(b"0 0 0 1 K", b"0 0 0 RG") + b"1 0 0 rg\n"),
    ),
    "white last": ("white", content(white_last)),
    "artwork cuts into white": ("overprint", states("/op", False)),
    "mixing overprint": ("overprint", states("/OPM", 1)),
    "cut line cuts": ("overprint", states("/OP", False)),
    "unbalanced": ("balance", content(lambda data: data.replace(b"EMC\n", b"", 1))),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_seen(name: str) -> None:
    rule, fault = FAULTS[name]
    with pikepdf.open(BytesIO(press())) as pdf:
        fault(pdf)
        saved = BytesIO()
        pdf.save(
            saved,
            force_version="1.6",
            static_id=True,
            compress_streams=False,
            stream_decode_level=pikepdf.StreamDecodeLevel.none,
            fix_metadata_version=False,
        )
    found = problems(saved.getvalue())
    assert rule in {problem.split(":")[0] for problem in found}, found


def test_a_packed_packet_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Planted in the writer: the library the other faults are planted with unpacks it again."""
    plain = PdfFile.add_stream

    def packing(self: PdfFile, data: bytes, entries: dict[str, object], *, pack: bool = True) -> object:
        return plain(self, data, entries)

    monkeypatch.setattr(PdfFile, "add_stream", packing)
    assert "xmp: packed" in problems(press())


def test_saving_alone_is_no_fault_but_other_versions_and_secrets_are() -> None:
    def saved(**options: object) -> bytes:
        result = BytesIO()
        with pikepdf.open(BytesIO(press())) as pdf:
            pdf.save(result, **options)  # type: ignore[arg-type]
        return result.getvalue()

    assert problems(saved(force_version="1.6", static_id=True, fix_metadata_version=False)) == []
    assert "version" in {problem.split(":")[0] for problem in problems(saved(force_version="1.7"))}
    locked = saved(force_version="1.6", encryption=pikepdf.Encryption(owner="o", user="", R=4))
    assert "encryption" in {problem.split(":")[0] for problem in problems(locked)}


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
        return plates[plate][
            round((100 - y1) / dot) : round((100 - y0) / dot), round(x0 / dot) : round(x1 / dot)
        ]

    # Inside the navy field, which lies wholly on white: white is whole, and navy's own inks are there.
    assert part("White", 61, 21, 79, 39).min() == 1
    assert part("Cyan", 61, 21, 79, 39).mean() == pytest.approx(0.608, abs=0.01)
    # Area of white: the plate's exceeds it by up to six tenths of a dot along its edge (every touched dot is
    # set).
    area, edge = 19.8 * 4.8 + 30 * 30, 2 * (19.8 + 4.8) + 4 * 30
    marks = part("White", 0, 0, 12, 12).sum() * dot * dot
    assert plates["White"].sum() * dot * dot - marks == pytest.approx(
        area + 0.55 * edge * dot, abs=0.45 * edge * dot
    )
    # A mark is on all plates; the cut line only on its own.
    for plate in plates.values():
        assert plate[round((100 - 3) / dot) - 2 : round((100 - 3) / dot) + 3, round(4 / dot)].max() > 0.5
    cut = (29, 17.5, 31, 18.5)
    assert part("Cutting", *cut).max() == 1
    assert all(part(plate, *cut).max() == 0 for plate in plates if plate != "Cutting")
