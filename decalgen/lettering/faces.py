"""The faces that come with decalgen: read from ``fonts/faces.json``, found by the name a job uses.

Listing them opens no font file; the bytes of a face are read when it is first set. Each file lies
beside its licence, as its makers published it unless ``changed`` says what was done to it, which only a licence that
reserves no name allows (OFL 1.1, condition 3). In the list ``axes`` is what a face can be adjusted in, as [least,
default here, most], and ``sha256`` that of the file; a test sees that it stays so. ``package`` is where it was taken
from, ``smallest_cap`` the cap height, mm, from which its strokes hold where that is not 1.6 mm.
"""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any
from weakref import WeakValueDictionary

from decalgen.core.errors import did_you_mean
from decalgen.lettering.styles import block_faces
from decalgen.lettering.typeface import OWN, USUAL_CAP, Axis, Face, LetteringError, OwnFaceName, OwnFont, UnknownFace

OWN_SUITS = "a face of your own"
_OWN_FONTS: WeakValueDictionary[str, OwnFont] = WeakValueDictionary()
"""Fonts of jobs by what their faces have for a file name, which follows from their bytes: as long as a face is there
that is set in one, it is found here."""


def _fonts() -> Any:
    from decalgen.core.resources import resource_folder

    return resource_folder("fonts")


@lru_cache(maxsize=1)
def _manifest() -> tuple[tuple[Face, ...], str]:
    raw = json.loads(_fonts().joinpath("faces.json").read_text(encoding="utf-8"))
    found = tuple(
        Face(
            name=entry["name"],
            file=entry["file"],
            category=entry["category"],
            suits=_suits(entry),
            licence=entry["licence"],
            licence_file=entry["licence_file"],
            copyright=entry["copyright"],
            reserved_names=tuple(entry.get("reserved_names", ())),
            version=entry["version"],
            sha256=entry["sha256"],
            axes=tuple(
                Axis(tag, float(least), float(default), float(most))
                for tag, (least, default, most) in entry.get("axes", {}).items()
            ),
            smallest_cap=entry.get("smallest_cap", USUAL_CAP),
        )
        for entry in raw["face"]
    )
    return found, str(raw["paper"])


def _suits(entry: dict[str, Any]) -> str:
    words, least = str(entry["suits"]), entry.get("smallest_cap")
    return words if least is None else f"{words}; capitals from {least:g} mm"


@lru_cache(maxsize=1)
def faces() -> tuple[Face, ...]:
    """Every face: those of the manifest in its order, then the block alphabets decalgen draws itself."""
    return (*font_faces(), *block_faces())


def font_faces() -> tuple[Face, ...]:
    """The faces with a font file, in the order of the manifest."""
    return _manifest()[0]


def paper_face() -> Face:
    """The face of proofs, cards and the page."""
    return face(_manifest()[1])


def name_key(name: str) -> str:
    """What two spellings of one face's name have in common."""
    return "".join(c for c in name.casefold() if c.isalnum())


def face(name: str) -> Face:
    """The face called ``name``; case, spaces and hyphens do not matter. A name that carries a font is that font's face.

    Raises `UnknownFace`, with the nearest name, when there is none.
    """
    return _own_face(name) if isinstance(name, OwnFaceName) else _shipped(name)


@lru_cache(maxsize=64)
def _own_face(name: OwnFaceName) -> Face:
    font = name.font
    _OWN_FONTS[font.file] = font
    return Face(name, font.file, font.category, OWN_SUITS, "", "", "", (), "", font.sha256, font.axes)


@lru_cache(maxsize=256)
def _shipped(name: str) -> Face:
    wanted = name_key(name)
    for candidate in faces():
        if name_key(candidate.name) == wanted:
            return candidate
    shown = name if len(name) <= 60 else name[:57] + "..."
    # All of them would be a paragraph.
    otherwise = "choose one of those that `decalgen fonts` lists, such as Archivo"
    raise UnknownFace(f"there is no face called '{shown}'", did_you_mean(shown, [f.name for f in faces()], otherwise))


def face_bytes(file: str) -> bytes:
    """The font file of a face (``Face.file``). Raises `LetteringError` when it is missing."""
    return _OWN_FONTS[file].data if file.startswith(OWN) else _shipped_bytes(file)


@lru_cache(maxsize=64)
def _shipped_bytes(file: str) -> bytes:
    try:
        return bytes(_fonts().joinpath(file).read_bytes())
    except OSError as error:
        raise LetteringError(
            f"the font file '{file}' cannot be read", "install decalgen again: a file of it is missing"
        ) from error
