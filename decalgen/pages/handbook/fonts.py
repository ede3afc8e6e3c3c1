"""The paper face as font files for the handbook: two weights, cut down to the letters that are used."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from typing import Any, Literal

from decalgen.lettering.faces import face_bytes, paper_face

WEIGHTS: dict[str, float] = {"book": 450.0, "bold": 700.0}
"""The same two as those of the papers (`decalgen.lettering.paper`)."""


def font_file(weight: str, text: Iterable[str] | None = None, form: Literal["ttf", "woff"] = "ttf") -> bytes:
    """A font file of one weight with the letters of ``text``, or all that the face has, and figures of one width.

    The same letters give the same bytes: the file keeps the date of the face.
    """
    from fontTools import subset
    from fontTools.ttLib import TTFont
    from fontTools.varLib import instancer

    face = paper_face()
    font = TTFont(BytesIO(face_bytes(face.file)), recalcTimestamp=False)
    options = subset.Options()
    options.layout_features = ["kern", "tnum", "lnum", "mark", "mkmk"]
    options.notdef_outline = True
    options.drop_tables += ["STAT", "DSIG"]
    options.name_IDs = [1, 2, 3, 4, 5, 6, 13, 14]
    cutter = subset.Subsetter(options)
    wanted = set(font.getBestCmap()) if text is None else {ord(c) for c in set(text) | set(" 0123456789")}
    cutter.populate(unicodes=wanted)
    cutter.subset(font)
    made = instancer.instantiateVariableFont(font, {"wght": WEIGHTS[weight], "wdth": 100.0})
    _one_width(made)
    _rename(made, f"{face.name}-{weight.capitalize()}")
    if form == "woff":
        made.flavor = "woff"
    kept = BytesIO()
    made.save(kept, reorderTables=True)
    return kept.getvalue()


def letters(text: Iterable[str]) -> str:
    """Which letters of ``text`` the face lacks."""
    from fontTools.ttLib import TTFont

    known = TTFont(BytesIO(face_bytes(paper_face().file)), lazy=True).getBestCmap()
    return "".join(sorted(c for c in set("".join(text)) if not c.isspace() and ord(c) not in known))


def _rename(font: Any, name: str) -> None:
    """Gives the file a name of its own: two weights of one name are taken for one another in a PDF."""
    for record in font["name"].names:
        if record.nameID in (1, 4, 6):
            font["name"].setName(name, record.nameID, record.platformID, record.platEncID, record.langID)


def _one_width(font: Any) -> None:
    """Makes the figures of one width those that digits stand for, for programs that choose no features."""
    found: dict[str, str] = {}
    table = font["GSUB"].table
    for record in table.FeatureList.FeatureRecord:
        if record.FeatureTag == "tnum":
            for number in record.Feature.LookupListIndex:
                for one in table.LookupList.Lookup[number].SubTable:
                    found |= getattr(one, "mapping", {})
    for part in font["cmap"].tables:
        part.cmap = {code: found.get(glyph, glyph) if 48 <= code <= 57 else glyph for code, glyph in part.cmap.items()}
