"""What is asked of a printer for a page that must come out at its own size, and whether it kept that. Lengths in
1/100 mm, as IPP counts them (PWG 5100.3 for media-col, PWG 5100.16 for print-scaling)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from decalgen.core.errors import PrintingError, did_you_mean
from decalgen.core.values import dataclass
from decalgen.workshop.printers.abilities import Abilities, SheetSides
from decalgen.workshop.printers.messages import (
    COLLECTION,
    ENUM,
    INTEGER,
    KEYWORD,
    Attributes,
    IppValues,
    Tagged,
    first_value,
    of,
    plain,
)

HIGH = 5
"""Of print-quality (RFC 8011, 5.2.13)."""
UPRIGHT = 3
"""Of orientation-requested: portrait, so that the printer turns nothing (RFC 8011, 5.2.10)."""
SIDES = ("top", "bottom", "left", "right")
MARGINS = tuple(f"media-{side}-margin" for side in SIDES)
ANY_TRAY = "auto"
"""Of media-source: whichever the printer takes (PWG 5100.7)."""
LESSER = ("print-quality", "print-color-mode", "orientation-requested")
"""With another of these a print has its size, and may look otherwise than proved."""
SCALE = "print-scaling"
MEDIA = "media-col"
ESSENTIAL = (SCALE, MEDIA, "media", "sides", "copies")
"""Without these a print is not what was asked for."""
VITAL = (*ESSENTIAL, "media-size", "media-source")
"""Nor may a printer refuse or ignore one of these: from another tray comes other paper."""
OFF = 60
"""A sheet that a printer names may differ from the page by no more, 1/100 mm: names are in whole or half mm."""
_NAMED_SIZE = re.compile(r"_(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)mm$")
"""The end of a self-describing name of a sheet (PWG 5101.1, 5)."""


@dataclass(frozen=True)
class PageSetup:
    """A page to print: its sides, mm; ``tray`` and ``paper``: the tray and the type of paper by the printer's words,
    empty: what the printer has set."""

    width: float
    height: float
    tray: str = ""
    paper: str = ""


def job_attributes(able: Abilities, page: PageSetup) -> Attributes:
    """The attributes of a job for one page: those of them that the printer takes; its sheet and no scaling, always.

    Raises PrintingError for a sheet, a tray or a paper that the printer does not know."""
    # None of them says that a page is not mirrored: RFC 8011, 5.2, and PWG 5100.3 have no such attribute (from
    # memory). So it can only be set by hand, as `by_hand.dialog_settings` lists it.
    found: dict[str, IppValues] = {"copies": of(INTEGER, 1)}
    found |= _media(able, page)
    found |= {
        "sides": of(KEYWORD, "one-sided"),
        "print-quality": of(ENUM, HIGH),
        "print-color-mode": of(KEYWORD, "color"),
        "orientation-requested": of(ENUM, UPRIGHT),
    }
    offered = {
        "print-quality": HIGH in able.all("print-quality-supported"),
        "print-color-mode": "color" in able.all("print-color-mode-supported"),
        "orientation-requested": UPRIGHT in able.all("orientation-requested-supported"),
    }
    kept = {
        name: values
        for name, values in found.items()
        if name in (MEDIA, "media") or (able.takes(name) and offered.get(name, True))
    }
    return {**kept, SCALE: of(KEYWORD, "none")}


def _media(able: Abilities, page: PageSetup) -> dict[str, IppValues]:
    wide, high = round(page.width * 100), round(page.height * 100)
    sheet = able.sheet(wide, high)
    named = _named_sheet(able, wide, high)
    if not knows(able, page.width, page.height):
        raise _no_sheet(able, page)
    if named is not None and not (able.takes(MEDIA) or "media-size" in able.all("media-col-supported")):
        for word, what in ((page.tray, "tray"), (page.paper, "paper-type")):
            if word:
                fix = f"set it on the printer itself, and leave out --{what}"
                raise PrintingError(f"this printer takes its {what.replace('-', ' ')} from its own settings", fix=fix)
        return {"media": of(KEYWORD, named)}
    x, y = sheet or (wide, high)
    size = {"x-dimension": of(INTEGER, x), "y-dimension": of(INTEGER, y)}
    members: dict[str, IppValues] = {"media-size": (Tagged(COLLECTION, size),)}
    for side in SIDES:
        if margin := able.least_margin(side):
            members[f"media-{side}-margin"] = of(INTEGER, margin)
    for member, word, what in (("media-source", page.tray, "tray"), ("media-type", page.paper, "paper-type")):
        if word:
            members[member] = of(KEYWORD, chosen(able, f"{member}-supported", word, what))
    known = able.all("media-col-supported")
    taken = {name: values for name, values in members.items() if name == "media-size" or not known or name in known}
    return {MEDIA: (Tagged(COLLECTION, taken),)}


def knows(able: Abilities, width: float, height: float) -> bool:
    """Whether a printer knows a sheet of those sides, mm; one that names no sheets is taken to know all."""
    wide, high = round(width * 100), round(height * 100)
    named = able.all("media-size-supported") or able.all("media-supported")
    return not named or able.sheet(wide, high) is not None or _named_sheet(able, wide, high) is not None


def only_turned(able: Abilities, width: float, height: float) -> bool:
    """Whether a printer knows a sheet of those sides only the other way round."""
    return not knows(able, width, height) and knows(able, height, width)


def _no_sheet(able: Abilities, page: PageSetup) -> PrintingError:
    size = f"{page.width:g} × {page.height:g} mm"
    offered = ", ".join(able.sheets()[:12]) or "none"
    return PrintingError(
        f"the printer knows no sheet of {size}, and would scale or move the page",
        fix=f"choose a sheet that it takes, mm: {offered}",
    )


def _named_sheet(able: Abilities, wide: int, high: int) -> str | None:
    """The name of a sheet of that size, for a printer that takes sheets by name alone."""
    for name in map(str, able.all("media-supported")):
        size = sides_of(name)
        if size and abs(size[0] - wide) <= OFF and abs(size[1] - high) <= OFF:
            return name
    return None


def sides_of(name: str) -> SheetSides | None:
    """The sides in a self-describing name in millimetres, such as 'iso_a5_148x210mm'."""
    found = _NAMED_SIZE.search(name)
    return (round(float(found[1]) * 100), round(float(found[2]) * 100)) if found else None


def chosen(able: Abilities, offer: str, word: str, what: str) -> str:
    """The printer's own word for a tray or a paper. Raises PrintingError for one it does not have."""
    return of_these([str(one) for one in able.all(offer)], word, what)


def of_these(known: Sequence[str], word: str, what: str) -> str:
    """The one of a printer's words that a word means. Raises PrintingError for none or several."""
    plainly = _bare(word)
    for one in known:
        if _bare(one) == plainly:
            return one
    inside = [one for one in known if set(plainly.split()) & set(_bare(one).split())]
    if len(inside) == 1:
        return inside[0]
    raise PrintingError(
        f"the printer has no {what.replace('-', ' ')} '{word[:60]}'",
        fix=f"name one of its own with --{what}: {did_you_mean(word, known)}" if known else f"leave out --{what}",
    )


def _bare(word: str) -> str:
    """Without signs, case, and the word tray itself."""
    parts = re.split(r"[\s_-]+", word.casefold())
    return " ".join(part for part in parts if part not in ("tray", "feed", ""))


# --------------------------------------------------------------------------------------------------- read back
def differences(asked: Attributes, kept: Attributes) -> list[str]:
    """What the printer kept otherwise than asked, of what a true print needs, in words. A printer that gives none of
    a job's attributes back cannot be looked at: nothing is said then, see `shows`."""
    if not shows(asked, kept):
        return []
    rows = []
    for name in ESSENTIAL:
        if name not in asked:
            continue
        want, found = _essence(name, asked), _essence(name, kept)
        if want != found and not _near(want, found):
            rows.append(f"{name} is {_words(found)} instead of {_words(want)}")
    tray, other = (_member("media-source", one) for one in (asked, kept))
    lost = other is None and MEDIA in kept and tray != ANY_TRAY
    if tray and tray != other and (other or lost):
        rows.append(f"media-source is {_words(other)} instead of {_words(tray)}")
    return [*rows, *_borderless(asked, kept)]


def _borderless(asked: Attributes, kept: Attributes) -> list[str]:
    """The margins that were asked for and are kept as nought: that is borderless, which enlarges (common practice, no
    source)."""
    rows = []
    for name in MARGINS:
        margin = _member(name, asked)
        if margin and _member(name, kept) == 0:
            rows.append(f"{name} is 0 mm, borderless, instead of {_margin_words(margin)}")
    return rows


def lesser_differences(asked: Attributes, kept: Attributes) -> list[str]:
    """What the printer kept otherwise than asked, or does not show, of what spoils the look of a print rather than its
    size, in words; and a tray or a margin that it does not show. Nothing of what `differences` tells, and nothing where
    the printer shows none of the job."""
    if not shows(asked, kept):
        return []
    pairs = [(name, first_value(asked, name), first_value(kept, name), _words) for name in LESSER]
    members = [("media-type", _words)]
    if MEDIA in kept:
        members += [(name, _margin_words) for name in MARGINS]
    elif _member("media-source", asked) != ANY_TRAY:
        members.append(("media-source", _words))
    pairs += [(name, _member(name, asked), _member(name, kept), words) for name, words in members]
    return [
        f"{name} as {words(found)} instead of {words(want)}"
        for name, want, found, words in pairs
        if want is not None and want != found and not (name in MARGINS and found == 0)
    ]


def _member(name: str, attributes: Attributes) -> Any:
    """A member of the media that a job has; None where it has none."""
    collections = plain(attributes.get(MEDIA, ()))
    return next(iter(collections[0].get(name, ())), None) if collections else None


def shows(asked: Attributes, kept: Attributes) -> bool:
    """Whether a printer gives back anything of what was asked for."""
    return any(name in kept for name in asked) or "media" in kept


def _essence(name: str, attributes: Attributes) -> Any:
    """What counts of an attribute: of media its two sides."""
    if name in (MEDIA, "media"):
        size = _member("media-size", attributes)
        if isinstance(size, dict):
            return tuple(next(iter(size.get(axis, ())), None) for axis in ("x-dimension", "y-dimension"))
        names = plain(attributes.get("media", ()))
        return sides_of(str(names[0])) or names[0] if names else None
    return first_value(attributes, name)


def _near(want: Any, found: Any) -> bool:
    """Whether two sheets are one, as far as their names say."""
    if not (isinstance(want, tuple) and isinstance(found, tuple)) or None in found:
        return False
    return all(isinstance(b, int) and abs(a - b) <= OFF for a, b in zip(want, found, strict=True))


def _words(value: Any) -> str:
    if value is None:
        return "not kept"
    if isinstance(value, tuple):
        return " × ".join("?" if one is None else f"{one / 100:g}" for one in value) + " mm"
    return f"'{value}'"


def _margin_words(value: Any) -> str:
    return f"{value / 100:g} mm" if isinstance(value, int) else "not kept"


def in_words(attributes: Mapping[str, IppValues]) -> tuple[tuple[str, str], ...]:
    """Attributes as a record keeps them: name and value, collections as their members."""
    return tuple((name, "; ".join(_text(one) for one in plain(values))) for name, values in attributes.items())


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {'; '.join(map(_text, inner))}" for name, inner in value.items()) + "}"
    if isinstance(value, bytes):
        return value.hex()
    return str(tuple(value)) if isinstance(value, tuple) else str(value)
