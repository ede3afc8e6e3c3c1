"""How old a sheet of film is, by what its owner wrote of when it was bought. Pure."""

from __future__ import annotations

import re

from decalgen.workshop.drawer.model import OwnedSheet

MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)

YEAR = r"(?:19|20)\d\d"


def bought_on(text: str) -> tuple[int, int, int] | None:
    """Year, month and day in words such as 'March 2026', '2026-03-14' or '3/2026'; 0 for what is not said.

    None where no year is, or more than one: 'spring', '2024 or 2025'.
    """
    years = re.findall(rf"(?<!\d){YEAR}(?!\d)", text)
    if len(years) != 1:
        return None
    year = int(years[0])
    written = re.search(rf"(?<!\d){YEAR}-(\d\d?)(?:-(\d\d?))?(?!\d)", text)
    if written:
        return _date(year, int(written[1]), int(written[2] or 0))
    short = re.search(rf"(?<![\d./])(\d\d?)[./]{YEAR}(?!\d)", text)
    if short:
        return _date(year, int(short[1]), 0)
    named = [word for word in re.findall(r"[a-z]+", text.lower()) if _is_month(word)]
    if len(named) != 1:
        return (year, 0, 0)
    day = re.search(rf"(?<!\d)(\d\d?)(?:st|nd|rd|th|\.)?\s+{named[0]}\b|\b{named[0]}\.?\s+(\d\d?)(?!\d)", text.lower())
    return _date(year, [month[:3] for month in MONTHS].index(named[0][:3]) + 1, int(day[1] or day[2]) if day else 0)


def age(sheet: OwnedSheet) -> tuple[bool, tuple[int, int, int], int]:
    """What sheets are sorted by, the oldest first: by the date they were bought, those without one after them; then by
    how long they lie in the drawer."""
    bought = bought_on(sheet.entry.bought)
    return bought is None, bought or (0, 0, 0), sheet.number


def _is_month(word: str) -> bool:
    return word in MONTHS or word == "sept" or word in {month[:3] for month in MONTHS}


def _date(year: int, month: int, day: int) -> tuple[int, int, int]:
    """The date; without the month or day where they are none."""
    if not 1 <= month <= 12:
        return (year, 0, 0)
    return (year, month, day if 1 <= day <= 31 else 0)
