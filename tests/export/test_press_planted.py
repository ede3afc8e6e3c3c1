"""Faults planted in a sheet as a print shop gets it: each is refused, and for the reason it was planted for.

What a print shop's own check before printing would stumble over, one fault a file; ISO 15930-7, ISO 19593-1 and
ISO 32000-1 say why each is one.
"""

from __future__ import annotations

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from tests.export.planting import (
    ART,
    CUT_ONE,
    WHITE_ONE,
    Fault,
    annotation,
    box,
    cut_filled,
    default,
    drop,
    file_inside,
    form_box_cut,
    full,
    group,
    icc,
    in_form,
    info,
    intent,
    layers_swapped,
    names_script,
    one_in_itself,
    packet,
    page,
    planted,
    put,
    resource,
    rewrite,
    rules,
    sheet,
    space,
    state,
    steps_swapped,
    stream_elsewhere,
    swap,
    tint,
    unpacked_with,
)
from tests.export.press_sheet import profile
from tests.export.structure import UNJUDGED, problems

FAULTS: dict[str, tuple[str, Fault]] = {
    # Boxes and pages.
    "turned": ("turned", put(page, "/Rotate", 90)),
    "turned by the tree": ("turned", put(lambda pdf: pdf.Root.Pages, "/Rotate", 180)),
    "crop box inside the trim": ("boxes", box("/CropBox", 60, 60, 300, 300)),
    "no bleed box": ("boxes", drop(page, "/BleedBox")),
    "no media box": ("damaged", drop(page, "/MediaBox")),
    "trim of another page": ("boxes", box("/TrimBox", 60, 60, 100, 100)),
    "trim without size": ("boxes", box("/TrimBox", 60, 60, 60, 300)),
    "trim of words": ("boxes", put(page, "/TrimBox", Array([String("a"), 0, 9, 9]))),
    "bleed inside the trim": ("boxes", box("/BleedBox", 80, 80, 200, 200)),
    "bleed over the crop marks": ("boxes", box("/BleedBox", 0, 0, 419, 595)),
    "a unit of one": ("unit", put(page, "/UserUnit", 1)),
    "a thumbnail": ("page", put(page, "/Thumb", Dictionary())),
    "no resources": ("resources", drop(page, "/Resources")),
    "two pages counted": ("pages", put(lambda pdf: pdf.Root.Pages, "/Tabs", Name.R)),
    # Layers and steps.
    "white is off": ("layers", lambda pdf: default(pdf).OFF.append(group(pdf, "White"))),
    "all is off": ("layers", put(default, "/BaseState", Name.OFF)),
    "the cut line is off": ("layers", lambda pdf: default(pdf).OFF.append(group(pdf, "Cutting"))),
    "states stay as they were": ("layers", put(default, "/BaseState", Name.Unchanged)),
    "white is locked": ("layers", lambda pdf: default(pdf).__setitem__("/Locked", Array([group(pdf, "White")]))),
    "white is seen and not printed": (
        "layers",
        lambda pdf: group(pdf, "White").__setitem__("/Usage", Dictionary(Print=Dictionary(PrintState=Name.OFF))),
    ),
    "for design": ("layers", lambda pdf: group(pdf, "White").__setitem__("/Intent", Name.Design)),
    "another configuration": (
        "layers",
        put(lambda pdf: pdf.Root.OCProperties, "/Configs", Array([Dictionary(Name=String("b"), Order=Array([]))])),
    ),
    "no layers": ("layers", drop(lambda pdf: pdf.Root, "/OCProperties")),
    "listed twice": ("layers", lambda pdf: default(pdf).Order.append(group(pdf, "White"))),
    "a layer of another name": ("layers", lambda pdf: group(pdf, "White").__setitem__("/Name", String("Underbase"))),
    "no step": ("processing step", lambda pdf: group(pdf, "White").__delitem__("/GTS_Metadata")),
    "steps swapped": ("processing step", steps_swapped),
    "partial cutting": (
        "processing step",
        lambda pdf: group(pdf, "Cutting").GTS_Metadata.__setitem__("/GTS_ProcStepsType", Name.PartialCutting),
    ),
    "a step for the artwork": (
        "processing step",
        lambda pdf: group(pdf, "Artwork").__setitem__("/GTS_Metadata", Dictionary(GTS_ProcStepsGroup=Name.White)),
    ),
    "layers swapped": ("ink", layers_swapped),
    "a layer that depends": (
        "layers",
        resource(
            "/Properties",
            "/White",
            lambda pdf: pdf.make_indirect(Dictionary(Type=Name.OCMD, OCGs=group(pdf, "White"))),
        ),
    ),
    "art in none": ("layers", rewrite(rb"/OC /Artwork BDC\n(.*?)EMC\n", rb"\1")),
    "art in white": ("ink", rewrite(rb"EMC\n/OC /Artwork BDC\n", b"")),
    "a layer in a layer": ("layers", rewrite(rb"EMC\n(/OC /Artwork BDC\n.*?EMC\n)", rb"\1EMC\n")),
    "an empty layer": ("layers", rewrite(rb"(/OC /White BDC\n).*?(EMC\n)", rb"\1\2")),
    # Inks.
    "cut line in all inks": ("ink", in_form(CUT_ONE, b"/All CS 1 SCN")),
    "cut line in magenta": ("ink", in_form(CUT_ONE, b"0 1 0 0 K")),
    "white in process": ("ink", in_form(WHITE_ONE, b"0 0 0 0 k")),
    "white at half": ("tint", in_form(WHITE_ONE, b"/White cs 0.5 scn")),
    "cut line at a tenth": ("tint", in_form(CUT_ONE, b"/Cutting CS 0.1 SCN")),
    "the colour of what came before": ("ink", in_form(CUT_ONE, b"")),
    "grey": ("colour", swap(ART, b"0.5 g\n" + ART)),
    "more than all ink": ("colour", in_form(b" k\n", b" k\n0 0 0 1.5 k\n")),
    "white shown in RGB": (
        "spot alternates",
        lambda pdf: (space("/White", 2, Name.DeviceRGB)(pdf), tint("/White", "/C1", Array([1, 1, 0]))(pdf)),
    ),
    "white shown in Lab": (
        "spot alternates",
        space("/White", 2, Array([Name.Lab, Dictionary(WhitePoint=[0.96, 1, 0.82])])),
    ),
    "white not shown": ("spot alternates", tint("/White", "/C1", Array([0, 0, 0, 0]))),
    "tints bend": ("spot alternates", tint("/White", "/N", 2)),
    "tints upside down": ("spot alternates", tint("/Cutting", "/C0", Array([0, 1, 0, 0]))),
    "an ink that is none": ("spot name", space("/White", 1, Name("/None"))),
    "several inks at once": (
        "colour space",
        resource("/ColorSpace", "/Two", lambda _: Array([Name.DeviceN, Array([Name.White]), Name.DeviceCMYK])),
    ),
    "device colours mean another": (
        "colour space",
        resource("/ColorSpace", "/DefaultCMYK", lambda pdf: Array([Name.ICCBased, pdf.make_stream(profile(), N=4)])),
    ),
    # Graphics states.
    "a halftone of its own": ("halftone", state("/HT", Dictionary(Type=Name.Halftone, HalftoneType=1))),
    "multiplied": ("blending", state("/BM", Name.Multiply)),
    "a soft mask": ("soft mask", state("/SMask", Dictionary(S=Name.Luminosity))),
    "a transfer curve": ("transfer curve", state("/TR2", Name.Identity)),
    "black generated": ("black generation", state("/UCR2", Dictionary(FunctionType=2))),
    "overprint mode 1": ("overprint", state("/OPM", 1)),
    "fills knock out": ("overprint", state("/op", False)),
    "lines knock out": ("overprint", state("/OP", False)),
    "white lets through": ("tint", state("/ca", 0.5)),
    "nothing shows": ("blending", state("/ca", 0)),
    "a line width by state": ("graphics state", state("/LW", 0)),
    "a font by state": ("fonts", state("/Font", Array([Dictionary(), 9]))),
    "blended in RGB": ("blending", put(page, "/Group", Dictionary(S=Name.Transparency, CS=Name.DeviceRGB))),
    "a form blended in RGB": (
        "form",
        lambda pdf: next(iter(page(pdf).Resources.XObject.values())).__setitem__(
            "/Group", Dictionary(S=Name.Transparency, CS=Name.DeviceRGB)
        ),
    ),
    # Content.
    "an inline image": (
        "images",
        swap(ART, ART + b"\nq 9 0 0 9 0 0 cm BI /W 1 /H 1 /CS /CMYK /BPC 8 ID \1\1\1\1 EI Q"),
    ),
    "a line without width": ("line width", in_form(b" w\n", b" w\n0 w\n")),
    "a hair": ("line width", in_form(b" w\n", b" w\n0.001 w\n")),
    "a shading": ("shadings", swap(ART, ART + b"\n/Sh0 sh")),
    "a pattern": ("patterns", resource("/Pattern", "/P0", lambda _: Dictionary(PatternType=2))),
    "text": ("fonts", swap(ART, ART + b"\nBT ET")),
    "clipped": ("clipping", swap(ART, ART + b"\n0 0 1 1 re W n")),
    "an intent of rendering": ("rendering intent", swap(ART, ART + b"\n/Perceptual ri")),
    "an unknown operator": ("operator", swap(ART, ART + b"\n7 zz")),
    "too few numbers": ("operator", swap(ART, ART + b"\n7 w 1 2 3 k")),
    "no such state": ("resources", swap(ART, ART + b"\n/Nowhere gs")),
    "no such form": ("resources", swap(ART, ART + b"\n/Nowhere Do")),
    "no such ink": ("colour", swap(ART, ART + b"\n/Nowhere cs")),
    "a form in itself": ("form", one_in_itself),
    "a form cut off": ("form", form_box_cut),
    "a form without resources": (
        "resources",
        lambda pdf: next(iter(page(pdf).Resources.XObject.values())).__delitem__("/Resources"),
    ),
    "at 98 per cent": ("scale", rewrite(rb"^q 2\.8346456693 0 0 2\.8346456693", b"q 2.7779527 0 0 2.7779527")),
    "stretched": ("scale", rewrite(rb"^q 2\.8346456693 0 0", b"q 2.8400 0 0")),
    "mirrored": ("mirrored", rewrite(rb"^q 2\.8346456693 0 0 (2\.8346456693) 0 0", rb"q -2.8346456693 0 0 \1 400 0")),
    "moved off the page": ("boxes", rewrite(rb"^(q 2\.8346456693 0 0 2\.8346456693) 0 0", rb"\1 300 0")),
    "a dashed cut line": ("line", in_form(b"[] 0 d", b"[1 1] 0 d")),
    "a filled cut line": ("line", lambda pdf: cut_filled(pdf)),
    "cut twice": ("line", rewrite(rb"(/OC /Cutting BDC\n)(q [^\n]* Do Q\n)", rb"\1\2\2")),
    "an empty page": ("pages", lambda pdf: pdf.add_blank_page(page_size=(419.5, 595.2))),
    "a state too many": ("balance", swap(b"q ", b"q q ")),
    # Profile and intent.
    "no intent": ("output intent", drop(lambda pdf: pdf.Root, "/OutputIntents")),
    "an archive's intent": ("output intent", intent("/S", Name.GTS_PDFA1)),
    "an archive's intent too": (
        "output intent",
        lambda pdf: pdf.Root.OutputIntents.append(Dictionary(Type=Name.OutputIntent, S=Name.GTS_PDFA1)),
    ),
    "a profile without tags": ("output profile", icc(profile(without=(b"desc", b"cprt", b"wtpt", b"A2B0", b"A2B1",
        b"A2B2", b"B2A0", b"B2A1", b"B2A2", b"gamt")))),
    "a profile without one table": ("output profile", icc(profile(without=(b"B2A1",)))),
    "a scanner's profile": ("output profile", icc(profile(b"scnr"))),
    "a screen's profile": ("output profile", icc(profile(b"mntr", b"RGB "), 3)),
    "a profile for three inks": ("output profile", icc(profile(), 3)),
    "a profile elsewhere": ("output profile", intent("/DestOutputProfileRef", Dictionary())),
    "a profile that is no stream": ("output profile", intent("/DestOutputProfile", Dictionary())),
    # What the file says of itself.
    "another standard in the information": ("claim", info("/GTS_PDFXVersion", String("PDF/X-3:2003"))),
    "conformance in the information": ("claim", info("/GTS_PDFXConformance", String("PDF/X-1a:2001"))),
    "an archive in the packet": (
        "claim",
        packet(
            b"<dc:format>",
            b'<pdfaid:part xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">2</pdfaid:part><dc:format>',
        ),
    ),
    "a partial standard": ("xmp version", packet(b">PDF/X-4<", b">PDF/X-4p<")),
    "a title of blanks": ("information", info("/Title", String("  "))),
    "a date of words": ("information", info("/ModDate", String("yesterday"))),
    "an hour later": ("agreement", info("/ModDate", String("D:20261125010000Z"))),
    "another producer": ("agreement", info("/Producer", String("somebody"))),
    "changed before it was made": ("information", info("/ModDate", String("D:20250101000000Z"))),
    "no instance": ("xmp identifiers", packet(b"xmpMM:InstanceID", b"xmpMM:Other")),
    "trapped, says the information": ("agreement", info("/Trapped", Name("/True"))),
    "trapping as text": ("trapped", info("/Trapped", String("False"))),
    "no information": ("information", drop(lambda pdf: pdf.trailer, "/Info")),
    "a packet without an end": ("xmp", packet(b'<?xpacket end="r"?>', b"")),
    "a packet that is none": ("xmp", lambda pdf: pdf.Root.__setitem__("/Metadata", Dictionary())),
    # The catalog.
    "an action at opening": ("actions", put(lambda pdf: pdf.Root, "/OpenAction", Array([Name.XYZ]))),
    "an action of the page": ("actions", put(page, "/AA", Dictionary())),
    "a script by name": ("actions", names_script),
    "a file inside": ("files", file_inside),
    "a form to fill in": ("forms", put(lambda pdf: pdf.Root, "/AcroForm", Dictionary(Fields=Array([])))),
    "a mark as annotation": ("annotations", annotation("PrinterMark")),
    "a trap network": ("annotations", annotation("TrapNet")),
    "an earlier version": ("version", put(lambda pdf: pdf.Root, "/Version", Name("/2.0"))),
    "to be fitted": ("scaling", drop(lambda pdf: pdf.Root, "/ViewerPreferences")),
    "printed to the trim": ("preferences", put(lambda pdf: pdf.Root.ViewerPreferences, "/PrintArea", Name.TrimBox)),
    "signed": ("signatures", put(lambda pdf: pdf.Root, "/Perms", Dictionary())),
    # Streams.
    "packed by LZW": ("filter", unpacked_with(Name.LZWDecode)),
    "packed as text": ("filter", unpacked_with(Name.ASCIIHexDecode)),
    "content elsewhere": ("external stream", stream_elsewhere),
    "a form of another file": (
        "replaced images",
        lambda pdf: next(iter(page(pdf).Resources.XObject.values())).__setitem__("/Ref", Dictionary()),
    ),
    "postscript": (
        "postscript",
        resource("/XObject", "/Ps", lambda pdf: pdf.make_stream(b"showpage", Type=Name.XObject, Subtype=Name.PS)),
    ),
}  # fmt: skip


def test_both_sheets_are_right_before_anything_is_planted() -> None:
    assert problems(planted(lambda _: None, sheet())) == problems(planted(lambda _: None, full())) == []


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_refused_for_its_reason(name: str) -> None:
    rule, fault = FAULTS[name]
    found = problems(planted(fault, sheet()))
    assert rule in rules(found), found
    assert UNJUDGED not in rules(found), found


def shown(pdf: pikepdf.Pdf) -> None:
    default(pdf).OFF = Array([])


@pytest.mark.parametrize(
    ("rule", "fault"),
    [
        ("layers", shown),
        ("layers", lambda pdf: default(pdf).OFF.append(group(pdf, "Legend"))),
        ("layers", lambda pdf: default(pdf).OFF.append(group(pdf, "Marks"))),
        ("boxes", box("/BleedBox", 15, 15, 280, 280)),
        ("boxes", box("/TrimBox", 54, 54, 250, 220)),
        ("ink", swap(b"/All CS 1 SCN", b"0 0 0 1 K")),
        ("ink", swap(b"1 0 1 0 K", b"/Cutting CS 1 SCN")),
    ],
    ids=[
        "bleed on",
        "legend off",
        "marks off",
        "crop mark in bleed",
        "marks trimmed",
        "marks in black",
        "ink of bleed",
    ],
)
def test_faults_of_a_sheet_with_every_layer(rule: str, fault: Fault) -> None:
    found = problems(planted(fault, full()))
    assert rule in rules(found) and UNJUDGED not in rules(found), found
