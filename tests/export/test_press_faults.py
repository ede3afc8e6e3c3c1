"""Faults planted in a press file, to see that the rules in structure.py see them."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from decalgen.export.pdf_file import PdfFile
from tests.export.press_sheet import press, profile
from tests.export.structure import problems

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
    "a picture": (
        "images",
        lambda pdf: pdf.pages[0].Resources.XObject.__setitem__(
            "/Photo",
            pdf.make_stream(
                bytes(3), Subtype=Name.Image, Width=1, Height=1, ColorSpace=Name.DeviceRGB, BitsPerComponent=8
            ),
        ),
    ),
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
