"""From the bytes of a picture's file to pixels in sRGB, upright. Pillow reads them; it is loaded here alone.

The size is judged by the header, before anything is unpacked. What a file says of resolution is a hint, used
for scans alone; what it says of how the camera was held (EXIF, orientation) and of its colours (an ICC profile) is
obeyed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from decalgen.core.pixels.values import PictureData, Pixels, PixelsError
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_PIXELS = 50_000_000
"""No picture has more: by the header, so that a small file cannot unpack to a huge one."""
KINDS = ("PNG", "JPEG", "TIFF")
SAVE = "save it as PNG in your picture program"
AGAIN = "it may have been cut short: copy it again, or save it once more as PNG"
GREY_16 = ("I;16", "I;16B", "I;16L", "I;16N", "I")


@dataclass(frozen=True)
class Decoded:
    """The pixels of a picture, upright, and what was noticed while they were read."""

    pixels: Pixels
    notes: tuple[str, ...] = ()


def size_of(picture: PictureData) -> tuple[int, int]:
    """Width and height in pixels as the picture is seen, from its header alone. Raises PixelsError."""
    with _told(picture), _opened(picture) as image:
        width, height = image.size
        return (height, width) if _on_its_side(image) else (width, height)


def resolution_of(picture: PictureData) -> tuple[float, float] | None:
    """Dots per inch across and down as the file's header says them, of the picture as it is seen; None where it does
    not say. Raises PixelsError."""
    with _told(picture), _opened(picture) as image:
        found, turned = image.info.get("dpi"), _on_its_side(image)
    try:
        across, down = (float(value) for value in found or ())
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    if not (math.isfinite(across) and math.isfinite(down)):
        return None
    return (down, across) if turned else (across, down)


def _on_its_side(image: Image) -> bool:
    """Whether it is seen turned by a quarter (EXIF, orientation)."""
    return image.getexif().get(0x0112, 1) in (5, 6, 7, 8)


@lru_cache(maxsize=4)
def decode(picture: PictureData) -> Decoded:
    """The whole picture. Raises PixelsError for what is no picture, is damaged, or cannot be understood."""
    from PIL import ImageOps

    with _told(picture), _opened(picture) as image:
        _check_alone(picture, image)
        image.load()
        upright = ImageOps.exif_transpose(image)
        notes: list[str] = []
        rgba = _in_srgb(picture, upright, notes)
        return Decoded(pixels_of(rgba), tuple(notes))


def pixels_of(image: Image) -> Pixels:
    """A picture in RGB or RGBA as plain bytes."""
    alpha = image.getchannel("A").tobytes() if image.mode == "RGBA" else None
    if alpha is not None and alpha.count(255) == len(alpha):
        alpha = None
    return Pixels(*image.size, image.convert("RGB").tobytes(), alpha)


def image_of(pixels: Pixels) -> Image:
    """The other way: RGBA where something shows through, else RGB."""
    from PIL import Image

    size = (pixels.width, pixels.height)
    image = Image.frombytes("RGB", size, pixels.rgb)
    if pixels.alpha is not None:
        image.putalpha(Image.frombytes("L", size, pixels.alpha))
    return image


@contextmanager
def _told(picture: PictureData) -> Iterator[None]:
    """Whatever a damaged file raises in the library, as one message."""
    try:
        yield
    except (PixelsError, MemoryError):
        raise
    # A damaged or hostile file may raise anything in its reader: a dozen kinds are known.
    except Exception as error:
        why = " ".join(str(error).split())[:80]
        raise PixelsError(f"the picture '{picture.name}' cannot be read: {why or 'it is damaged'}", fix=AGAIN) from None


@contextmanager
def _opened(picture: PictureData) -> Iterator[Image]:
    """The picture with nothing but its header read, its size judged."""
    import warnings

    from PIL import Image, UnidentifiedImageError

    with warnings.catch_warnings():
        # The bound of this module is lower than the one that is warned of.
        warnings.simplefilter("ignore")
        try:
            image = Image.open(BytesIO(picture.data), formats=KINDS)
        except UnidentifiedImageError:
            raise PixelsError(f"'{picture.name}' is not a PNG, JPEG or TIFF picture", fix=SAVE) from None
        except Image.DecompressionBombError:
            raise PixelsError(
                f"the picture '{picture.name}' has far more than {MOST_PIXELS // 1_000_000} million pixels", fix=_LESS
            ) from None
        with image:
            width, height = image.size
            if width * height > MOST_PIXELS:
                raise PixelsError(
                    f"the picture '{picture.name}' has {width} \N{MULTIPLICATION SIGN} {height} pixels, more than "
                    f"{MOST_PIXELS // 1_000_000} million",
                    fix=_LESS,
                )
            yield image


_LESS = "save it smaller: 600 pixels to the inch at its printed size are plenty"


def _check_alone(picture: PictureData, image: Image) -> None:
    try:
        image.seek(1)
    except (EOFError, AttributeError):
        return
    finally:
        image.seek(0)
    raise PixelsError(
        f"'{picture.name}' holds several pictures: it is animated, or has pages", fix="save the one you want as PNG"
    )


def _in_srgb(picture: PictureData, image: Image, notes: list[str]) -> Image:
    """As RGB or RGBA in sRGB. Raises PixelsError for a mode whose colours nobody can know."""
    if image.mode == "CMYK":
        return _of_cmyk(picture, image)
    if image.mode in GREY_16:
        image = _in_8_bits(image)
    if image.mode not in ("1", "L", "LA", "La", "P", "PA", "RGB", "RGBA", "RGBa", "RGBX", "YCbCr"):
        raise PixelsError(
            f"the picture '{picture.name}' has pixels of the kind '{image.mode}', which are not read",
            fix="save it as PNG with 8 bits a channel in your picture program",
        )
    clear = "A" in image.getbands() or "a" in image.getbands() or "transparency" in image.info
    profile = image.info.get("icc_profile")
    grey = image.mode in ("1", "L", "LA", "La")
    made = image.convert("RGBA" if clear else "RGB")
    if not profile:
        return made
    return _by_profile(image if grey else made, made, profile, notes)


def _in_8_bits(image: Image) -> Image:
    """A grey picture of 16 bits in 8, its clear grey level kept."""
    from PIL import Image as Images

    wide = image.convert("I")
    grey = wide.point(lambda value: value * (255 / 65535) + 0.5).convert("L")
    level = image.info.get("transparency")
    if isinstance(level, int):
        # Compared before it is rounded: neighbours of the clear level are not clear.
        import numpy as np

        shown = (np.asarray(wide) != level).astype(np.uint8) * 255
        grey.putalpha(Images.fromarray(shown))
    elif "transparency" in grey.info:
        del grey.info["transparency"]
    return grey


def _of_cmyk(picture: PictureData, image: Image) -> Image:
    from PIL import ImageCms

    profile = image.info.get("icc_profile")
    if not profile:
        raise PixelsError(
            f"the picture '{picture.name}' is in CMYK and has no colour profile: nobody can know its colours",
            fix="save it as RGB in your picture program",
        )
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        made: Any = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError):
        raise PixelsError(
            f"the picture '{picture.name}' is in CMYK, and its colour profile cannot be used",
            fix="save it as RGB in your picture program",
        ) from None
    found: Image = made
    return found


def _by_profile(source: Image, made: Image, profile: bytes, notes: list[str]) -> Image:
    """Colours by the profile in the file, alpha as it is. A profile that cannot be used is noted."""
    from PIL import ImageCms

    try:
        opened = ImageCms.ImageCmsProfile(BytesIO(profile))
        space = str(opened.profile.xcolor_space).strip()
        if space not in ("RGB", "GRAY"):
            raise ValueError(space)
        flat = (source.convert("L") if source.mode != "RGBA" else source.convert("RGB")) if space == "GRAY" else made
        shown: Any = ImageCms.profileToProfile(
            flat.convert("L" if space == "GRAY" else "RGB"),
            opened,
            ImageCms.createProfile("sRGB"),
            outputMode="RGB",
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        notes.append("its colour profile cannot be used: its colours are taken as sRGB")
        return made
    found: Image = shown
    if made.mode == "RGBA":
        found.putalpha(made.getchannel("A"))
    return found
