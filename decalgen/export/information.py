"""What a file says of itself: title, dates and the rest of a document's information, and text as XML can hold it."""

from __future__ import annotations

from datetime import UTC, datetime

from decalgen import __version__
from decalgen.core.document import Document
from decalgen.core.errors import DecalgenError


def information(document: Document) -> dict[str, str]:
    """The texts of the document information (ISO 32000-1, 14.3.3); its dates are the job's, never the clock's."""
    entries = {
        "Title": document.title,
        "Subject": document.subject,
        "Keywords": ", ".join(document.keywords),
        "Creator": "decalgen",
        "Producer": f"decalgen {__version__}",
    }
    info = {key: text for key, text in entries.items() if text}
    for key, text in document.extra:
        word = "".join(c for c in key.title() if c.isascii() and c.isalnum())
        if word and word not in info and word not in {"Trapped", *entries}:
            info[word] = text
    if document.date:
        info["CreationDate"] = info["ModDate"] = pdf_date(document.date)
    return info


def moment(date: str) -> datetime:
    """A job's date in UTC; without a zone it is taken as that. Raises DecalgenError if it is not ISO 8601."""
    try:
        when = datetime.fromisoformat(date)
        return (when if when.tzinfo else when.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError):
        fix = "write it as year-month-day, for example 2026-05-14"
        raise DecalgenError(f"'{date}' is not a date", fix=fix) from None


def pdf_date(date: str) -> str:
    """An ISO 8601 date or moment as ISO 32000-1, 7.9.4 writes it."""
    when = moment(date)
    return f"D:{when.year:04d}{when.month:02d}{when.day:02d}{when.hour:02d}{when.minute:02d}{when.second:02d}Z"


def plain(text: str) -> str:
    """Text without the characters XML 1.0 cannot hold (its section 2.2)."""
    return "".join(
        c for c in text if c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c >= "\U00010000"
    )
