"""What may stand in a film, cutter or sheet file, as dataclasses with marks (`decalgen.core.keys`)."""

from __future__ import annotations

from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.values import dataclass


@dataclass(frozen=True)
class SheetEntry:
    """A sheet format of layouts/sheets/."""

    sheet: Annotated[str, keys.Text("its name", most=60)]
    width: Annotated[float, keys.Size("width")]
    height: Annotated[float, keys.Size("height")]
    source: Annotated[str, keys.Text("the standard that says so")] = ""


@dataclass(frozen=True)
class UsedEntry:
    """A part of a sheet that is gone."""

    at: Annotated[
        tuple[float, float], keys.Two("its lower left corner", of=keys.Length(least=0.0), example=("0 mm", "180 mm"))
    ]
    size: Annotated[tuple[float, float], keys.Two("width and height", of=keys.Size(), example=("148 mm", "30 mm"))]


@dataclass(frozen=True)
class FilmEntry:
    """A film: what the owner has in the drawer."""

    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"sheet"}), frozenset({"width", "height"}))

    film: Annotated[str, keys.Text("its name", most=60, example="white A5, opened")]
    kind: Annotated[str, keys.Choice("kind of film", ("clear", "white"), example="white")]
    process: Annotated[str, keys.Choice("what it is made for", ("inkjet", "laser"), example="inkjet")]
    sheet: Annotated[
        str | None, keys.Text("its size, as in A5 or 210 × 100 mm; or give width and height", most=60, example="A5")
    ] = None
    width: Annotated[float | None, keys.Size("width of a whole sheet", example="148 mm", beside=("height",))] = None
    height: Annotated[float | None, keys.Size("height of a whole sheet", example="210 mm", beside=("width",))] = None
    used: Annotated[
        tuple[UsedEntry, ...], keys.Many("parts already used", of=keys.Block(of=UsedEntry), least=0, most=200)
    ] = ()
    sheets: Annotated[int, keys.Count("how many there are; 0: as many as needed", least=0, example="10")] = 0
    adhesive: Annotated[bool, keys.Flag("self-adhesive film, not waterslide")] = False
    colour: Annotated[
        str | None,
        keys.ColourText("its own as measured: white film as it is, clear film on white paper", example="#f4f2ea"),
    ] = None
    opacity: Annotated[
        float | None,
        keys.Number(
            "of white film: lightness over black divided by lightness over white, as in 0.9; without it, opaque",
            example="0.9",
            beside=("kind",),
        ),
    ] = None
    price: Annotated[str, keys.Text("of a whole sheet, as in 4.50 EUR", most=40, example="4.50 EUR")] = ""


@dataclass(frozen=True)
class CutterEntry:
    """A cutting machine's correction."""

    cutter: Annotated[str, keys.Text("its name", most=60, example="small cutter")]
    scale_x: Annotated[float, keys.Number("correction across", 0.8, 1.25, example="1.002")] = 1.0
    scale_y: Annotated[float, keys.Number("correction along", 0.8, 1.25, example="0.998")] = 1.0
    waste_frame: Annotated[
        float | None,
        keys.Size("cut round all pieces on self-adhesive film, this far from them", most=50.0, example="3 mm"),
    ] = None
