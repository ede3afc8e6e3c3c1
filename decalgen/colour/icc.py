"""A printer's ICC profile: is it one, what ink a colour takes, whether the printer can show it, and how it
looks.

Profiles are read by Pillow's ImageCms (Little CMS). Its pixels have 8 bits, which alone makes differences
of up to about 1 in CIEDE2000. All is relative colorimetric: the paper counts as white, as an ink's stated
colour does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from functools import cached_property, lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.colour.difference import delta_e
from decalgen.colour.value import Colour, ColourError
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from PIL.Image import Image

Cmyk = tuple[float, float, float, float]

LARGEST = 32 * 1024 * 1024
"""No printer profile is larger, bytes."""

NEEDED = "give a CMYK profile of class 'prtr' from the maker of printer, film or paper, or leave it out"

# ISO 15076-1 (ICC.1:2010), 7.2.5: profile classes.
_CLASSES = {
    b"mntr": "a display profile",
    b"scnr": "a scanner or camera profile",
    b"link": "a device link",
    b"spac": "a colour space profile",
    b"abst": "an abstract profile",
    b"nmcl": "a named colour profile",
}
_MADE_FOR = {
    "ijet": "inkjet",
    "epho": "laser",
    "esta": "laser",
    "offs": "offset print",
    "flex": "flexography",
    "grav": "gravure",
    "silk": "screen print",
    "dsub": "dye sublimation",
    "twax": "thermal wax",
    "rpho": "photographic paper",
}
"""What a profile's technology tag says that it was made for (ICC.1:2010, technologyTag; the signatures from memory)."""
_PICTURES = (
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"\x89PNG", "a PNG picture"),
    (b"%PDF", "a PDF"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"GIF8", "a GIF picture"),
)


@dataclass(frozen=True)
class CmykProfile:
    """A printer profile that takes CMYK. ``data`` is the file's bytes, for embedding; ``name`` what it calls
    itself. Make one by `open_profile` or `shipped`."""

    name: str
    data: bytes = field(repr=False)

    @cached_property
    def _profile(self) -> Any:
        from PIL import ImageCms

        return ImageCms.ImageCmsProfile(BytesIO(self.data))

    @property
    def made_for(self) -> str:
        """The kind of printer that it says it was made for, such as inkjet or laser; '' where it does not say."""
        return _MADE_FOR.get(self._profile.profile.technology or "", "")

    def _transform(self, source: str, target: str, black_point: bool = False) -> Any:
        return _transform(self, source, target, black_point)

    def cmyk(self, colour: Colour, black_point: bool = True) -> Cmyk:
        """The ink percentages for a colour. ``black_point``: black is mapped onto the printer's black, as
        press files want it; without it a colour is aimed at as it is, as comparisons want it."""
        c, m, y, k = _apply(colour, self, black_point)
        return c / 2.55, m / 2.55, y / 2.55, k / 2.55

    def cmyk_pixels(self, rgb: bytes, size: tuple[int, int]) -> bytes:
        """The same for a picture: sRGB, three bytes a pixel, to four, 255 a full ink; black mapped onto black."""
        from PIL import Image, ImageCms

        picture = Image.frombytes("RGB", size, rgb)
        inks: Any = ImageCms.applyTransform(picture, self._transform("RGB", "CMYK", True))
        found: bytes = inks.tobytes()
        return found

    def colour_of(self, percent: Cmyk) -> Colour:
        """How ink percentages look, the paper taken as white."""
        from PIL import Image, ImageCms

        levels = tuple(round(value * 2.55) for value in percent)
        pixel = Image.new("CMYK", (1, 1), levels)
        seen: Any = ImageCms.applyTransform(pixel, self._transform("CMYK", "LAB"))
        return _from_pixel(seen.getpixel((0, 0)))

    def proof(self, colour: Colour) -> Colour:
        """How the printer shows a colour: the same one inside its gamut, the nearest it has outside."""
        return self.colour_of(self.cmyk(colour, black_point=False))

    def miss(self, colour: Colour) -> float:
        """CIEDE2000 between a colour and what the printer makes of it; up to about 3 counts as inside its
        gamut (`advice.GAMUT`)."""
        return delta_e(colour, self.proof(colour))

    def soft_proof(self, picture: Image) -> Image:
        """An RGB picture (sRGB) as the printer would show it, again in sRGB."""
        from PIL import ImageCms

        inks: Any = ImageCms.applyTransform(picture.convert("RGB"), self._transform("RGB", "CMYK", True))
        seen: Any = ImageCms.applyTransform(inks, self._transform("CMYK", "RGB"))
        shown: Image = seen
        return shown

    def soft_proofs(self, colours: Sequence[Colour]) -> tuple[Colour, ...]:
        """Colours as the printer would show them on white paper, each as `soft_proof` shows it."""
        from PIL import Image

        strip = Image.new("RGB", (max(len(colours), 1), 1))
        for x, colour in enumerate(colours):
            code = colour.hex
            strip.putpixel((x, 0), (int(code[1:3], 16), int(code[3:5], 16), int(code[5:7], 16)))
        shown: Any = self.soft_proof(strip)
        pixels = [shown.getpixel((x, 0)) for x in range(len(colours))]
        return tuple(Colour.from_hex("#{:02x}{:02x}{:02x}".format(*pixel)) for pixel in pixels)


def open_profile(data: bytes, name: str) -> CmykProfile:
    """A user's profile from its bytes; ``name`` is the file's name, for messages.

    Raises ColourError for anything but a whole CMYK profile of class 'prtr' that can convert both ways.
    """
    for start, words in _PICTURES:
        if data.startswith(start):
            raise ColourError(f"{name} is {words}, not an ICC profile", fix=NEEDED)
    if len(data) < 132 or data[36:40] != b"acsp":
        raise ColourError(f"{name} is not an ICC profile", fix=NEEDED)
    kind, space = data[12:16], data[16:20].decode("latin-1").strip()
    if kind != b"prtr":
        words = _CLASSES.get(kind, "a profile of an unknown class")
        raise ColourError(f"{name} is {words} ({space}), not a printer profile", fix=NEEDED)
    if space != "CMYK":
        raise ColourError(f"{name} is the profile of a printer that is fed {space}, not CMYK", fix=NEEDED)
    size = int.from_bytes(data[0:4], "big")
    if size > len(data) or len(data) > LARGEST:
        raise ColourError(f"{name} is damaged: {len(data)} bytes where it says {size}", fix="copy the file again")
    from PIL import ImageCms

    broken = f"{name} is damaged or has no tables to print by"
    try:
        found = ImageCms.ImageCmsProfile(BytesIO(data))
        title = ImageCms.getProfileDescription(found).strip()
        profile = CmykProfile(title or name, data)
        for source, target in (("RGB", "CMYK"), ("CMYK", "LAB")):
            profile._transform(source, target)
    except (OSError, ValueError, ImageCms.PyCMSError):
        raise ColourError(broken, fix="copy the file again, or take another profile") from None
    return profile


@lru_cache(maxsize=1)
def shipped() -> CmykProfile:
    """The profile that comes with the program: offset print on coated paper, made from the characterization
    data of ANSI/CGATS/GRACoL TR 006-2007 (see coated_tr006.txt)."""
    return open_profile(Path(__file__).with_name("coated_tr006.icc").read_bytes(), "coated_tr006.icc")


@lru_cache(maxsize=64)
def _transform(profile: CmykProfile, source: str, target: str, black_point: bool) -> Any:
    from PIL import ImageCms

    def side(mode: str) -> Any:
        if mode == "CMYK":
            return profile._profile
        return ImageCms.createProfile("sRGB" if mode == "RGB" else "LAB")

    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION if black_point else ImageCms.Flags.NONE
    return ImageCms.buildTransform(
        side(source), side(target), source, target, ImageCms.Intent.RELATIVE_COLORIMETRIC, flags
    )


@lru_cache(maxsize=4096)
def _apply(colour: Colour, profile: CmykProfile, black_point: bool) -> tuple[int, int, int, int]:
    from PIL import Image, ImageCms

    if colour.in_srgb:
        code = colour.hex
        mode, levels = "RGB", tuple(int(code[i : i + 2], 16) for i in (1, 3, 5))
    else:
        lightness, a, b = colour.lab
        mode = "LAB"
        levels = (
            round(lightness * 2.55),
            min(max(round(a) + 128, 0), 255),
            min(max(round(b) + 128, 0), 255),
        )
    pixel = Image.new(mode, (1, 1), levels)
    inks: Any = ImageCms.applyTransform(pixel, profile._transform(mode, "CMYK", black_point))
    c, m, y, k = inks.getpixel((0, 0))
    return c, m, y, k


def _from_pixel(pixel: tuple[int, int, int]) -> Colour:
    lightness, a, b = pixel
    return Colour.from_lab(lightness / 2.55, a - 128, b - 128)
