"""Files for a print shop: PDF/X-4 (ISO 15930-7) with processing steps (ISO 19593-1), in true millimetres.

White is painted first and everything after it overprints, so that no colour cuts a hole into the white
(measured: without overprint a quarter of it is left; with overprint mode 1 process colours mix). Spot colours
are `White` and `Cutting` and nothing else; marks are in all of them at once. A layer with nothing in it is
left out. Colours are turned into CMYK by a function the caller brings, with the profile that belongs to it.
No clock: identifiers and dates come from the content and the job's date.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection

from decalgen.core.document import Contour, Document, Fill, Layer, Line, Page, Picture, Use
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import Pixels
from decalgen.core.values import dataclass
from decalgen.export.coordinates import (
    Symbols,
    about_centre,
    bounds,
    check_colour,
    check_near,
    check_opacity,
    check_pages,
    number,
    numbers,
)
from decalgen.export.information import information
from decalgen.export.pdf import boxes, opaque_page
from decalgen.export.pdf_content import POINTS, Content
from decalgen.export.pdf_file import PdfFile, PdfValue, array, dictionary, name, string
from decalgen.export.pdf_pictures import PictureObjects
from decalgen.export.xmp import metadata, uuid_of

Convert = Callable[[str], tuple[float, float, float, float]]
"""From '#rrggbb' (sRGB) to cyan, magenta, yellow and black, 0 to 1, in the space of the profile."""
ConvertPixels = Callable[[Pixels], bytes]
"""The same of a picture: four bytes a pixel, 255 a full ink."""


@dataclass(frozen=True, slots=True)
class Step:
    """An optional-content group: its name, what it is to ISO 19593-1 (group and type), the spot it is painted
    in.
    """

    name: str
    group: str | None = None
    type: str | None = None
    spot: str | None = None


# White stands first: everything else overprints it. Registration marks are no processing step of their own.
STEPS: dict[str, Step] = {
    "white": Step("White", "White", None, "White"),
    "artwork": Step("Artwork"),
    "paperwork": Step("Legend", "Legend"),
    "dimensions": Step("Dimensions", "Dimensions"),
    "bleed": Step("Bleed", "Structural", "Bleed"),
    "marks": Step("Marks", None, None, "All"),
    "crop marks": Step("Crop marks", None, None, "All"),
    "cutting": Step("Cutting", "Structural", "Cutting", "Cutting"),
}

NAMED = {("paperwork", "dimensions"), ("marks", "crop marks")}
"""Layers that are a step of their own by their name: purpose and name."""

TAGS = (b"desc", b"wtpt", b"A2B0", b"B2A0")
"""What a CMYK output profile cannot do without: its name, its white, and the tables both ways for perceived colour."""
MOST_TAGS = 200
"""No profile has more."""

HIDDEN = ("Bleed", "Dimensions")
"""Groups that are for the eye of the maker, not for the press: in the file, but off."""

# How a screen shows a spot: what a device without that ink would print. Common practice, no source: the cut
# line in magenta, white as a pale cyan that can be told from the paper.
SHOWN = {"White": (0.15, 0.0, 0.0, 0.0), "Cutting": (0.0, 1.0, 0.0, 0.0), "All": (1.0, 1.0, 1.0, 1.0)}


def render(
    document: Document,
    *,
    convert: Convert,
    profile: bytes,
    condition: str,
    about_condition: str = "",
    hidden: Collection[str] = HIDDEN,
    convert_pixels: ConvertPixels | None = None,
) -> bytes:
    """The document as one PDF/X-4 file; a printer's correction and a page's ground are for home and are left
    out.

    ``profile``: the bytes of a CMYK output profile (ICC, class `prtr`); ``condition`` its name for people and
    registries. A layer that is `NAMED` goes into the group of that name. Raises DecalgenError
    without a title or date, for a profile of another kind, for a colour that cannot be converted, for a picture where
    ``convert_pixels`` is left out, and as `export` says.
    """
    check_pages(document)
    check_profile(profile)
    if not document.title.strip() or not document.date:
        raise DecalgenError("a press file needs a title and a date", fix="write title and date in the job")
    if not condition.strip():
        raise DecalgenError("a press file must name its printing condition", fix="give the profile's description")
    # 1.6, not 1.7: ISO 15930-7 is built on that version.
    file = PdfFile((1, 6))
    writer = _PressWriter(file, convert, convert_pixels, opaque=_opaque(document))
    for page in document.pages:
        writer.page(page)
    info = information(document)
    file.identify(repr(sorted(info.items())).encode("utf-8", "replace"))
    catalog = {
        "Lang": string(document.language),
        "ViewerPreferences": dictionary({"PrintScaling": "/None", "DisplayDocTitle": "true"}),
        "OutputIntents": writer.output_intents(profile, condition, about_condition or condition),
        "OCProperties": writer.layers_of_the_file(hidden),
    }
    packet = metadata(document, uuid_of(file.identity()))
    # Unpacked, so that programs that know nothing of PDF find it, as ISO 15930-7 asks.
    entries = {"Type": "/Metadata", "Subtype": "/XML"}
    catalog["Metadata"] = file.add_stream(packet, entries, pack=False)
    texts = {key: string(text) for key, text in info.items()}
    return file.save(catalog, {**texts, "Trapped": "/False"})


def check_profile(profile: bytes) -> None:
    """Raises DecalgenError unless the bytes are laid out like a CMYK output profile with the tables that turn its inks
    into colours and back (ICC.1:2010, 7.2, 7.3 and 8.5.2)."""
    size = int.from_bytes(profile[:4], "big")
    if len(profile) < 132 or profile[36:40] != b"acsp" or size != len(profile):
        raise DecalgenError("this is not a complete ICC profile", fix="give the .icc file the print shop names")
    if profile[12:16] != b"prtr" or profile[16:20] != b"CMYK":
        kind, space = (profile[a : a + 4].decode("latin-1").strip() for a in (12, 16))
        raise DecalgenError(
            f"this ICC profile is of class '{kind}' for {space}; a press file needs class 'prtr' for CMYK",
            fix="give the profile of the printing condition, not of a screen",
        )
    count = int.from_bytes(profile[128:132], "big")
    rows = [profile[132 + 12 * n : 144 + 12 * n] for n in range(min(count, MOST_TAGS))]
    held = {row[:4] for row in rows if sum(int.from_bytes(row[a : a + 4], "big") for a in (4, 8)) <= size}
    missing = [tag.decode() for tag in TAGS if tag not in held]
    if missing:
        raise DecalgenError(
            f"this ICC profile lacks {' and '.join(missing)}: it does not say how its inks look",
            fix="give the .icc file the print shop names",
        )


def _opaque(document: Document) -> bool:
    return all(map(opaque_page, document.pages))


def step_of(layer: Layer) -> str:
    """The key into `STEPS` for a layer."""
    named = layer.name.strip().lower()
    return named if (layer.purpose, named) in NAMED else layer.purpose


class _PressWriter:
    """Pages, symbols, spots and layers of one press file."""

    def __init__(self, file: PdfFile, convert: Convert, convert_pixels: ConvertPixels | None, *, opaque: bool) -> None:
        self._file = file
        self._convert = convert
        self._opaque = opaque
        self._convert_pixels = convert_pixels
        self._pictures = PictureObjects(file, "/DeviceCMYK", self._cmyk_pixels)
        self._step = ""
        self._symbols = Symbols()
        self._forms: dict[tuple[str, str], tuple[str, PdfValue] | None] = {}
        self._colours: dict[str, str] = {}
        self._spots: dict[str, PdfValue] = {}
        self._states: dict[tuple[bool, str], tuple[str, PdfValue]] = {}
        self._groups: dict[str, PdfValue] = {}

    def page(self, page: Page) -> None:
        """A page with everything on it but its ground."""
        found = boxes(page, about_centre(page.width, page.height, (1.0, 1.0)))
        used: dict[str, PdfValue] = {}
        content = self._content(used)
        content.text(f"q {numbers((POINTS, 0, 0, POINTS, 0, 0), 10)} cm")
        order = list(STEPS)
        for layer in sorted(page.layers, key=lambda layer: order.index(step_of(layer))):
            if not layer.items:
                continue
            self._step = step_of(layer)
            self._group(self._step)
            content.text(f"/OC {name(STEPS[self._step].name)} BDC")
            content.items(layer.items)
            content.text("EMC")
        content.text("Q")
        entries: dict[str, PdfValue] = dict(found)
        if not self._opaque:
            entries["Group"] = dictionary({"Type": "/Group", "S": "/Transparency", "CS": "/DeviceCMYK"})
        self._file.identify(repr(sorted(found.items())).encode())
        properties = dictionary({STEPS[key].name: group for key, group in self._groups.items()})
        entries["Resources"] = self._resources(used, properties)
        entries["Contents"] = self._file.add_stream(content.data(), {})
        self._file.add_page(entries)

    def _group(self, step: str) -> None:
        if step in self._groups:
            return
        about = STEPS[step]
        entries: dict[str, PdfValue] = {"Type": "/OCG", "Name": string(about.name)}
        if about.group:
            steps = {"GTS_ProcStepsGroup": f"/{about.group}"}
            if about.type:
                steps["GTS_ProcStepsType"] = f"/{about.type}"
            entries["GTS_Metadata"] = dictionary(steps)
        self._groups[step] = self._file.add(entries)

    def _content(self, used: dict[str, PdfValue]) -> Content:
        def paint(item: Fill | Line | Contour) -> tuple[tuple[str, str], ...]:
            fill = isinstance(item, Fill)
            state = ("state", self._state(item.opacity if isinstance(item, Fill) else 1.0))
            return (state, ("fill" if fill else "line", self._ink(item.colour, fill=fill)))

        def place(use: Use) -> str | None:
            form = self._form(use)
            if form is None:
                return None
            used[form[0]] = form[1]
            check_near(use.matrix)
            return f"q {numbers(use.matrix, 10)} cm /{form[0]} Do Q"

        def show(picture: Picture) -> tuple[str, tuple[tuple[str, str], ...]]:
            name, used[name] = self._pictures.of(picture.pixels)
            return name, (("state", self._state(1.0)),)

        return Content(paint, place, show)

    def _cmyk_pixels(self, pixels: Pixels) -> bytes:
        made = self._convert_pixels(pixels) if self._convert_pixels is not None else b""
        if len(made) != 4 * pixels.width * pixels.height:
            raise DecalgenError("a picture did not become CMYK", fix="use another output profile")
        return made

    def _ink(self, colour: str, *, fill: bool) -> str:
        """The operators for a colour in the layer being written."""
        spot = STEPS[self._step].spot
        if spot:
            self._separation(spot)
            return f"/{spot} cs 1 scn" if fill else f"/{spot} CS 1 SCN"
        return f"{self._cmyk(colour)} {'k' if fill else 'K'}"

    def _cmyk(self, colour: str) -> str:
        if colour not in self._colours:
            check_colour(colour)
            parts = self._convert(colour)
            if len(parts) != 4 or not all(math.isfinite(part) and -1e-6 <= part <= 1 + 1e-6 for part in parts):
                raise DecalgenError(
                    f"the colour {colour} became {parts} in CMYK",
                    fix="use another output profile, or another colour",
                )
            self._colours[colour] = numbers((min(max(part, 0.0), 1.0) for part in parts), 5)
        return self._colours[colour]

    def _separation(self, spot: str) -> None:
        if spot not in self._spots:
            tint = {
                "FunctionType": "2",
                "Domain": "[0 1]",
                "N": "1",
                "C0": "[0 0 0 0]",
                "C1": f"[{numbers(SHOWN[spot])}]",
            }
            self._spots[spot] = self._file.add_array(["/Separation", f"/{spot}", "/DeviceCMYK", dictionary(tint)])

    def _state(self, opacity: float) -> str:
        """The graphics state: all but white overprint, with mode 0, and let through what their opacity says."""
        over = STEPS[self._step].name != "White"
        key = (over, number(check_opacity(opacity), 4))
        if key not in self._states:
            word = "true" if over else "false"
            entries = {"Type": "/ExtGState", "OP": word, "op": word, "OPM": "0"}
            if not self._opaque:
                entries["ca"] = key[1]
            self._states[key] = (f"G{len(self._states)}", self._file.add(entries))
        return f"/{self._states[key][0]} gs"

    def _form(self, use: Use) -> tuple[str, PdfValue] | None:
        self._symbols.add(use)
        key = (use.symbol.key, self._step)
        if key not in self._forms:
            self._forms[key] = None
            box = bounds(use.symbol.items)
            if box is not None:
                used: dict[str, PdfValue] = {}
                content = self._content(used)
                content.items(use.symbol.items)
                entries = {
                    "Type": "/XObject",
                    "Subtype": "/Form",
                    "BBox": f"[{numbers(box)}]",
                    "Resources": self._resources(used, None),
                }
                reference = self._file.add_stream(content.data(), entries)
                self._forms[key] = (f"S{len(self._forms)}", reference)
        return self._forms[key]

    def _resources(self, forms: dict[str, PdfValue], properties: PdfValue | None) -> PdfValue:
        found: dict[str, PdfValue] = {}
        if forms:
            found["XObject"] = dictionary(forms)
        if self._states:
            found["ExtGState"] = dictionary(dict(self._states.values()))
        if self._spots:
            found["ColorSpace"] = dictionary(self._spots)
        if properties is not None and self._groups:
            found["Properties"] = properties
        return dictionary(found)

    def layers_of_the_file(self, hidden: Collection[str]) -> PdfValue:
        """The groups, all listed in the one configuration there is (ISO 32000-1, 8.11.4)."""
        order = [self._groups[key] for key in STEPS if key in self._groups]
        off = [self._groups[key] for key in STEPS if key in self._groups and STEPS[key].name in hidden]
        configuration: dict[str, PdfValue] = {
            "Name": string("As printed"),
            "BaseState": "/ON",
            "Order": array(order),
            "OFF": array(off),
        }
        return dictionary({"OCGs": array(order), "D": dictionary(configuration)})

    def output_intents(self, profile: bytes, condition: str, about: str) -> PdfValue:
        """The one printing condition of the file with its profile."""
        stream = self._file.add_stream(profile, {"N": "4", "Alternate": "/DeviceCMYK"})
        intent = {
            "Type": "/OutputIntent",
            "S": "/GTS_PDFX",
            "OutputConditionIdentifier": string(condition),
            "Info": string(about),
            "DestOutputProfile": stream,
        }
        return array([self._file.add(intent)])
