"""Planting a fault in a press file: one change to its objects or its content, and what the rules then say."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from io import BytesIO

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from tests.export.press_sheet import press
from tests.export.test_press_sheets import made

Fault = Callable[[pikepdf.Pdf], object]


def sheet() -> bytes:
    """White under orange on clear film, with cut lines, marks and crop marks."""
    return made("white under")[0]


@lru_cache
def full() -> bytes:
    """A sheet with every layer there is."""
    return press()


def saved(pdf: pikepdf.Pdf) -> bytes:
    result = BytesIO()
    pdf.save(
        result,
        force_version="1.6",
        static_id=True,
        compress_streams=False,
        stream_decode_level=pikepdf.StreamDecodeLevel.none,
        object_stream_mode=pikepdf.ObjectStreamMode.disable,
        fix_metadata_version=False,
    )
    return result.getvalue()


def planted(fault: Fault, data: bytes) -> bytes:
    with pikepdf.open(BytesIO(data)) as pdf:
        fault(pdf)
        return saved(pdf)


def page(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.pages[0].obj


def default(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.Root.OCProperties.D


def group(pdf: pikepdf.Pdf, name: str) -> pikepdf.Object:
    (found,) = (one for one in pdf.Root.OCProperties.OCGs if str(one.Name) == name)
    return found


WHITE_ONE, CUT_ONE = b"/White cs 1 scn", b"/Cutting CS 1 SCN"
ART = b"/OC /Artwork BDC"
SQUARE = b"100 100 50 50 re f*\n"


def swap(old: bytes, new: bytes, count: int = 1) -> Fault:
    """Changes the page's content."""

    def fault(pdf: pikepdf.Pdf) -> None:
        before = page(pdf).Contents.read_bytes()
        assert old in before, old
        page(pdf).Contents = pdf.make_stream(before.replace(old, new, count))

    return fault


def rewrite(pattern: bytes, new: bytes) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        before = page(pdf).Contents.read_bytes()
        after, count = re.subn(pattern, new, before, count=1, flags=re.DOTALL)
        assert count == 1
        page(pdf).Contents = pdf.make_stream(after)

    return fault


def in_form(old: bytes, new: bytes) -> Fault:
    """Changes the first form that has it."""

    def fault(pdf: pikepdf.Pdf) -> None:
        forms = [one for one in page(pdf).Resources.XObject.values() if old in one.read_bytes()]
        forms[0].write(forms[0].read_bytes().replace(old, new))

    return fault


def put(where: Callable[[pikepdf.Pdf], pikepdf.Object], key: str, value: object) -> Fault:
    return lambda pdf: where(pdf).__setitem__(key, value)


def drop(where: Callable[[pikepdf.Pdf], pikepdf.Object], key: str) -> Fault:
    return lambda pdf: where(pdf).__delitem__(key)


def info(key: str, value: object) -> Fault:
    return put(lambda pdf: pdf.trailer.Info, key, value)


def packet(old: bytes, new: bytes) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        before = pdf.Root.Metadata.read_bytes()
        assert old in before
        pdf.Root.Metadata = pdf.make_stream(before.replace(old, new), Type=Name.Metadata, Subtype=Name.XML)

    return fault


def state(key: str, value: object) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        for one in page(pdf).Resources.ExtGState.values():
            one[key] = value

    return fault


def space(name: str, place: int, value: object) -> Fault:
    return lambda pdf: page(pdf).Resources.ColorSpace[name].__setitem__(place, value)


def tint(name: str, key: str, value: object) -> Fault:
    return lambda pdf: page(pdf).Resources.ColorSpace[name][3].__setitem__(key, value)


def resource(kind: str, name: str, value: Callable[[pikepdf.Pdf], object]) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        resources = page(pdf).Resources
        if kind not in resources:
            resources[kind] = Dictionary()
        resources[kind][name] = value(pdf)

    return fault


def box(key: str, *corners: float) -> Fault:
    return put(page, key, Array(list(corners)))


def steps_swapped(pdf: pikepdf.Pdf) -> None:
    one, other = group(pdf, "White"), group(pdf, "Cutting")
    one["/GTS_Metadata"], other["/GTS_Metadata"] = dict(other.GTS_Metadata), dict(one.GTS_Metadata)  # type: ignore[assignment]


def layers_swapped(pdf: pikepdf.Pdf) -> None:
    held = page(pdf).Resources.Properties
    held["/White"], held["/Artwork"] = held["/Artwork"], held["/White"]


def unpacked_with(filter_name: Name) -> Fault:
    def fault(pdf: pikepdf.Pdf) -> None:
        data = page(pdf).Contents.read_bytes()
        made_of = {
            Name.LZWDecode: b"\x80\x0b\x60\x50\x22\x0c\x0c\x85\x01",
            Name.ASCIIHexDecode: data.hex().encode() + b">",
        }
        page(pdf).Contents = pdf.make_stream(b"")
        page(pdf).Contents.write(made_of[filter_name], filter=filter_name)

    return fault


def stream_elsewhere(pdf: pikepdf.Pdf) -> None:
    page(pdf).Contents["/F"] = Dictionary(Type=Name.Filespec, F=String("content.bin"))


def one_in_itself(pdf: pikepdf.Pdf) -> None:
    name, form = next(iter(page(pdf).Resources.XObject.items()))
    form.Resources["/XObject"] = Dictionary({name: form})
    form.write(form.read_bytes() + f"{name} Do\n".encode())


def form_box_cut(pdf: pikepdf.Pdf) -> None:
    form = next(iter(page(pdf).Resources.XObject.values()))
    x0, y0, x1, y1 = map(float, form.BBox)
    form.BBox = Array([x0, y0, (x0 + x1) / 2, y1])


def icc(data: bytes, count: int = 4) -> Fault:
    return lambda pdf: pdf.Root.OutputIntents[0].__setitem__("/DestOutputProfile", pdf.make_stream(data, N=count))


def cut_filled(pdf: pikepdf.Pdf) -> None:
    (form, *_) = (one for one in page(pdf).Resources.XObject.values() if CUT_ONE in one.read_bytes())
    form.write(form.read_bytes().replace(CUT_ONE, b"/Cutting cs 1 scn").replace(b"\ns\n", b"\nf*\n"))


def annotation(subtype: str) -> Fault:
    made_of = Dictionary(Type=Name.Annot, Subtype=Name(f"/{subtype}"), Rect=[0, 0, 9, 9])
    return lambda pdf: page(pdf).__setitem__("/Annots", Array([pdf.make_indirect(made_of)]))


def intent(key: str, value: object) -> Fault:
    return put(lambda pdf: pdf.Root.OutputIntents[0], key, value)


def names_script(pdf: pikepdf.Pdf) -> None:
    script = Dictionary(S=Name.JavaScript, JS=String("1"))
    pdf.Root["/Names"] = Dictionary(JavaScript=Dictionary(Names=Array([String("a"), script])))


def file_inside(pdf: pikepdf.Pdf) -> None:
    pdf.attachments["note.txt"] = b"hello"


def rules(found: list[str]) -> set[str]:
    return {problem.split(":")[0] for problem in found}
