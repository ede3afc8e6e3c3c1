"""Slips of one line of a file, and how the line may have been meant. A guess each; `decalgen.job.mending` reads the
file again with it and keeps the first that is right.

Every function takes a line, and where in it the reader stopped (from 0), and gives lines with what was wrong in them.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import date

from decalgen.job.syntax import HIDDEN

Guess = tuple[str, str]
"""A line as it may be meant, and what is wrong with the one that stands there; '' for what the reader says."""
_WIDE = dict(zip("\uff1a\uff0c\u3001\uff1b", (": ", ", ", ", ", ", "), strict=True)) | dict(
    zip(
        "\uff3b\uff3d\u3010\u3011\uff5b\uff5d\uff08\uff09\uff0d\uff03\uff0b\uff0e\uff02\uff07\u300c\u300d",
        '[][]{}()-#+."\'""',
        strict=True,
    )
)
_CURLY = dict.fromkeys("\u201c\u201d\u201e\u201f\u00ab\u00bb\u2033", '"') | dict.fromkeys(
    "\u2018\u2019\u201a\u201b", "'"
)
KEY = re.compile(
    r"^(?P<lead>\s*(?:- +)*)(?P<key>\"[^\"]*\"|'[^']*'|[^\s:#\"'\[\]{},][^:#\"'\[\]{},]*?)"
    r"\s*:(?P<rest>\s.*|)$"
)
UNITS = r"(?:mm|cm|in|pt|thou|\u00b5m|um|\u00b0|deg|degrees)"
_DAY = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})")


def parts(line: str) -> tuple[str, str]:
    """A line without the comment at its end, and that comment with the blanks before it."""
    quote = ""
    for at, c in enumerate(line):
        if quote:
            quote = "" if c == quote else quote
        elif c in "\"'" and (not line[:at].strip() or line[:at].rstrip()[-1] in ":[{,-"):
            quote = c
        elif c == "#" and (at == 0 or line[at - 1] in " \t") and (at + 1 == len(line) or line[at + 1] in " \t"):
            head = line[:at].rstrip()
            return head, line[len(head) :]
    head = line.rstrip()
    return head, line[len(head) :].rstrip("\t ")


# ------------------------------------------------------------------------------------------------- characters
def unseen(line: str, spot: int) -> Iterator[Guess]:
    """Without what cannot be seen."""
    new = HIDDEN.sub("", line)
    if new != line:
        yield new, ""


def wide(line: str, spot: int) -> Iterator[Guess]:
    """Full-width signs as they are written here."""
    new = line
    for sign, plain in _WIDE.items():
        new = re.sub(rf"{sign} *" if plain.endswith(" ") else sign, plain, new)
    if new != line:
        sign = next(c for c in line if c in _WIDE)
        yield new.rstrip(), f"{sign} is a full-width sign; the plain one is needed"


def curly(line: str, spot: int) -> Iterator[Guess]:
    """Curly quotes as straight ones."""
    new = "".join(_CURLY.get(c, c) for c in line)
    if new == line:
        return
    said = "these are curly quotes; straight ones are needed"
    yield new, said
    yield new.replace("'", '"'), said
    # A straight quote is missing on one side.
    for c in "\"'":
        if new.count(c) % 2:
            head, tail = parts(new)
            yield head + c + tail, said


def mangled(line: str, spot: int) -> Iterator[Guess]:
    """Signs that a program has saved in one code and read in another, and names of signs of web pages."""
    if not line.isascii():
        for code in ("cp1252", "latin-1"):
            try:
                yield line.encode(code).decode("utf-8"), "a program has spoilt a sign here"
            except UnicodeError:
                continue
    if "&" in line and (new := html.unescape(line).replace("\N{NO-BREAK SPACE}", " ")) != line:
        key = KEY.match(new)
        yield new, "this sign is written as on a web page"
        yield re.sub(r":(?=\S)", ": ", new, count=1) if not key else new, "this sign is written as on a web page"


def tabs(line: str, spot: int) -> Iterator[Guess]:
    """Blanks for tabs inside a line."""
    lead = re.match(r"\s*", line)
    assert lead is not None
    rest = line[lead.end() :]
    if "\t" in rest:
        yield lead.group() + re.sub(r"[ \t]*\t[ \t]*", " ", rest).rstrip(), ""


# ------------------------------------------------------------------------------------------ colons, dashes, ends
def colons(line: str, spot: int) -> Iterator[Guess]:
    """A blank after a colon, one colon in place of another sign or of none."""
    said = "a space is missing after the colon"
    head, tail = parts(line)
    new = re.sub(r"^(\s*(?:- +)*[^\s:#\"'\[\]{},][^:#\"'\[\]{},]*):(?=[^\s:])", r"\1: ", head)
    if new != head:
        yield new + tail, said
    new = re.sub(r"([\[{,] *[^\W\d][^:#\"'\[\]{},]*):(?=[^\s:])", r"\1: ", head)
    if new != head:
        yield re.sub(r"^(\s*(?:- +)*[^\s:#\"'\[\]{},][^:#\"'\[\]{},]*):(?=[^\s:])", r"\1: ", new) + tail, said
    new = re.sub(r"^(\s*(?:- +)*[^:#\"'\[\]{},=]*[^:#\"'\[\]{},=\s]) *(?:::?=|=>|->|=:?|::+|: *=) *", r"\1: ", head)
    if new != head:
        yield new.rstrip() + tail, "a key and its value are joined by a colon"
    new = re.sub(r"([\[{,] *[^\W\d][^:#\"'\[\]{},=]*?) *= *", r"\1: ", head)
    if new != head:
        yield new + tail, "a key and its value are joined by a colon"
    found = re.match(r"^(\s*(?:- +)*)([\"'])([^\"']*?):\2 *(.*)$", head)
    if found:
        yield f"{found[1]}{found[3]}: {found[4]}{tail}", "the colon goes after the quotes"
    yield from _no_colon(head, tail)


def _no_colon(head: str, tail: str) -> Iterator[Guess]:
    said = "a colon is missing after the key"
    if ":" in re.sub(r"\d:\d", "", head) or not re.match(r"\s*(?:- +)*[^\W\d]", head):
        return
    yield f"{head}:{tail}", said
    blanks = [found.start() for found in re.finditer(r"(?<=\S) +(?=\S)", head)]
    for at in blanks[:6]:
        if not re.fullmatch(r"\s*-", head[:at]):
            yield f"{head[:at]}: {head[at:].lstrip()}{tail}", said


def ends(line: str, spot: int) -> Iterator[Guess]:
    """Without the comma or semicolon at the end, and with the comment sign that is used here."""
    head, tail = parts(line)
    if head.endswith((",", ";")):
        yield head.rstrip(",; ") + tail, f"no {head[-1]} is needed at the end of a line"
    found = re.search(r"(?:^|\s)(//|;|%|<!--|/\*|rem |REM )\s*", head)
    if found:
        start = found.start(1)
        rest = head[found.end() :].removesuffix("-->").removesuffix("*/").rstrip()
        yield f"{head[:start]}# {rest}{tail}", "a comment begins with # and a space"
    found = re.search(r"\S(#)(?![0-9a-fA-F]{3})", head)
    if found:
        rest = head[found.end(1) :].strip()
        yield f"{head[: found.start(1)]} # {rest}{tail}", "a comment begins with a space and #"


def dashes(line: str, spot: int) -> Iterator[Guess]:
    """A dash and a blank before an item."""
    found = re.match(r"^(\s*)[-\u2010-\u2015\u2212\u2022\u00b7\u25cf\u25aa\u25e6*+] *(?=\S)(.*)$", line)
    if found and not re.match(r"\s*- ", line):
        yield f"{found[1]}- {found[2]}", "an item begins with a dash and a space"
    if re.fullmatch(r"---\s*", line):
        yield "# ---", ""


def no_dash(line: str, spot: int) -> Iterator[Guess]:
    """Without a dash."""
    found = re.match(r"^(\s*)- +(.*)$", line)
    if found:
        yield f"{found[1]}{found[2]}", "no dash is needed here"
        yield f"{found[1]}  {found[2]}", "no dash is needed here"


def numbers(line: str, spot: int) -> Iterator[Guess]:
    """Decimal points for decimal commas, digits for the letters that look like them, a minus for a dash."""
    new = re.sub(r"(?<![\d.,])(-?\d+),(\d+)(?!\d|[.,]\d)", r"\1.\2", line)
    if new != line:
        yield new, "there is a comma inside a number"
        head, tail = parts(new)
        yield f"{head} mm{tail}", "there is a comma inside a number, and no unit after it"
    new = re.sub(r"(?<=[\d.])[Oo](?=[\d.\s])", "0", line)
    new = re.sub(r"(?<=[\d.])[lI](?=[\d.\s])|(?<=: )[lI](?=[\d.,]|\s*mm\b)", "1", new)
    if new != line:
        yield new, "there is a letter in place of a digit"
    new = re.sub(r"(?<=[\w)\s])[\u2010-\u2015](?=[\s\w(.])", "-", line)
    if new != line:
        yield new, "this is a dash, not a minus"
    new = re.sub(rf"(?<=\d {UNITS[3:-1].split('|')[0]}) +(?=[-\d.])", ", ", line)
    if new != line:
        yield new, "a comma is missing between two values"
    new = re.sub(r"(?<=\d) *[xX] *(?=\d)|(?<=mm) *[xX] *(?=\d)|(?<=: \d) +(?=[a-z]+\.[a-z])", " * ", line)
    if new != line:
        yield new, "a sign of times is missing: *"
    found = re.search(r"(?P<q>[\"']?)(?:# *|0x|\b)(?P<colour>[0-9a-fA-F]{6})\b(?P=q)", line)
    if found:
        yield f'{line[: found.start()]}"#{found["colour"]}"{line[found.end() :]}', ""
    found = _DAY.search(line)
    if found and "date" in line[: found.start()]:
        day = _iso(found[1], found[3], found[4])
        if day:
            rest = line[found.end() :].lstrip("\"'")
            yield f'{line[: found.start()].rstrip(chr(34) + chr(39))}"{day}"{rest}', ""


def _iso(first: str, second: str, third: str) -> str:
    """A day as year, month, day; '' where it is not certain which is the month."""
    year, month, day = (first, second, third) if len(first) == 4 else (third, second, first)
    if len(first) != 4 and int(first) <= 12 and int(second) <= 12 and first != second:
        return ""
    if len(year) != 4:
        return ""
    if int(month) > 12:
        month, day = day, month
    try:
        return date(int(year), int(month), int(day)).isoformat()
    except ValueError:
        return ""
