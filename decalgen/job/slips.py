"""Slips of one line of a file, and how the line may have been meant. A guess each; `decalgen.job.mending` reads the
file again with it and keeps the first that is right.

Every function takes a line, and where in it the reader stopped (from 0), and gives lines with what was wrong in them.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from datetime import date

from decalgen.job.syntax import HIDDEN
from decalgen.job.written import scalar

Guess = tuple[str, str]
"""A line as it may be meant, and what is wrong with the one that stands there; '' for what the reader says."""
LONGEST = 1000
"""In longer lines no slip is looked for."""
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
_KEY = re.compile(
    r"^(?P<lead>\s*(?:- +)*)(?P<key>\"[^\"]*\"|'[^']*'|[^\s:#\"'\[\]{},][^:#\"'\[\]{},]*?)"
    r"\s*:(?P<rest>\s.*|)$"
)
_BEFORE_VALUE = re.compile(r": +|[\[{,] *|^\s*- +")
_ENDS = re.compile(r"\s*[,\]}]|\s*$")
_TAIL = re.compile(r"\s+#(?=\s|$).*$")
_UNITS = r"(?:mm|cm|in|pt|thou|\u00b5m|um|\u00b0|deg|degrees)"
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
        key = _KEY.match(new)
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
    new = re.sub(rf"(?<=\d {_UNITS[3:-1].split('|')[0]}) +(?=[-\d.])", ", ", line)
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


# --------------------------------------------------------------------------------------------------- quotes
def quoted(line: str, spot: int) -> Iterator[Guess]:
    """Quotes round all of a value, or the missing one of two."""
    head, tail = parts(line)
    found = _KEY.match(line)
    value = found["rest"].strip() if found else ""
    begun = line[:1].join(("", "")) if not found else line[: found.start("rest")]
    if found and value and value[0] not in "[{\"'":
        yield f"{begun} {_in_quotes(value)}", _why_quotes(value)
    if found and value[:1] in "\"'" and value:
        yield from _unclosed(begun, value)
    item = re.match(r"^(\s*(?:- +)+)([^\"'\s].*)$", head)
    if item and not found:
        yield f"{item[1]}{_in_quotes(item[2])}{tail}", _why_quotes(item[2])
    if item and line.strip() != head.strip():
        yield f"{item[1]}{_in_quotes(line[item.start(2) :].rstrip())}", _why_quotes(line[item.start(2) :])
    yield from _in_brackets(line, spot)
    if found and value[:1] in ("[", "{"):
        yield f"{begun} {_in_quotes(value)}", _why_quotes(value)


def _unclosed(begun: str, value: str) -> Iterator[Guess]:
    quote = value[0]
    plain, comment = parts(value)
    said = "a quote is opened here and not closed"
    if "\\" in plain:
        why = "a backslash means something else inside double quotes"
        yield f"{begun} {_in_quotes(plain.strip(chr(34)))}{comment}", why
    if value.count(quote) % 2 or (len(plain) > 1 and plain[-1] in "\"'" and plain[-1] != quote):
        yield f"{begun} {_in_quotes(plain.strip(chr(34) + chr(39)))}{comment}", said
    inside = plain[1:-1] if plain.endswith(quote) and len(plain) > 1 else ""
    if inside and quote in inside:
        yield f"{begun} {_in_quotes(inside)}{comment}", "there are quotes inside the quotes"
    yield f"{begun} {_in_quotes(plain)}{comment}", "there is text after the quotes"


def _in_brackets(line: str, spot: int) -> Iterator[Guess]:
    """Quotes round a value between brackets, as far as each comma or bracket that may be its end."""
    if not re.search(r"[\[\]{},]", line):
        return
    starts = [found.end() for found in _BEFORE_VALUE.finditer(line)]
    near = [at for at in starts if at <= max(spot, 0) + 1][-4:]
    rest = [at for at in starts if at not in near][:4]
    for start in (*reversed(near), *rest):
        stops = [found.start() for found in _ENDS.finditer(line, start) if found.start() > start][:5]
        for stop in stops:
            value = line[start:stop]
            if value[:1] in "[{" or (value[:1] in "\"'" and value.endswith(value[:1]) and len(value) > 1):
                continue
            said = _why_quotes(value)
            if value[:1] in "\"'":
                value, said = value.strip("\"'"), "a quote is opened here and not closed"
            if value.strip():
                yield f"{line[:start]}{_in_quotes(value)}{line[stop:]}", said


COLON = "a text with a colon in it needs quotes"


def _in_quotes(text: str) -> str:
    """A text in quotes in which every character is itself."""
    return scalar(text, flow=True, quote="'" if '"' in text or "\\" in text else '"')


def _why_quotes(text: str) -> str:
    """Why a text needs quotes."""
    if text in ("~", "null", "Null", "NULL"):
        return f"{text} without quotes means nothing"
    if re.match(r"#", text) or re.search(r"\s#", text):
        return "what follows # is a comment, so this text needs quotes"
    if ": " in text:
        return COLON
    if "," in text:
        return "a text with a comma in it needs quotes"
    if text[:1] in "&*!%@`>|?-[{":
        return f"a text that begins with {text[0]} needs quotes"
    return ""


# ------------------------------------------------------------------------------------------------- brackets
def brackets(line: str, spot: int) -> Iterator[Guess]:
    """A bracket more, less, or another, and commas between items."""
    head, tail = parts(line)
    missing = _missing(head)
    said = "this bracket is never closed"
    if missing:
        bare = head.rstrip(", ")
        yield bare + missing + head[len(bare) :] + tail, said
        yield head + missing + tail, said
    closers = [at for at, c in enumerate(head) if c in "]},"]
    for at in (*reversed(closers[-12:]), len(head)):
        for sign in "]}":
            yield head[:at] + sign + head[at:] + tail, "a closing bracket is missing"
    for at in reversed(closers[-12:]):
        if head[at] != ",":
            other = {"]": "}", "}": "]"}[head[at]]
            yield head[:at] + other + head[at + 1 :] + tail, f"this bracket is closed by {head[at]}, not by {other}"
            yield head[:at] + head[at + 1 :] + tail, "there is a closing bracket too many"
    yield f"{head},{tail}", "a comma is missing at the end of this line"
    yield from _commas(head, tail, spot)


def lists(line: str, spot: int) -> Iterator[Guess]:
    """Brackets of another form, and commas between items."""
    head, tail = parts(line)
    yield from _of_another_form(head, tail)
    if head.rfind("[", 0, spot + 1) > head.rfind("]", 0, spot + 1):
        yield from _commas(head, tail, spot)


def _missing(head: str) -> str:
    """The brackets that would close what a line opens, in order; '' where none is open."""
    stack: list[str] = []
    quote = ""
    for c in head:
        if quote:
            quote = "" if c == quote else quote
        elif c in "\"'":
            quote = c
        elif c in "[{":
            stack.append({"[": "]", "{": "}"}[c])
        elif c in "]}" and stack and stack[-1] == c:
            stack.pop()
    return "".join(reversed(stack))


def _of_another_form(head: str, tail: str) -> Iterator[Guess]:
    """Square brackets for round ones, for braces, for none, for a semicolon between."""
    found = _KEY.match(head)
    value = found["rest"].strip() if found else ""
    if found and value:
        begun = head[: found.start("rest")]
        inside = value.strip("()[]{} ")
        said = "a list is written in square brackets"
        if value[0] in "({" and value[-1] in ")}":
            yield f"{begun} [{inside}]{tail}", said
        if value.endswith("]") != value.startswith("["):
            yield f"{begun} [{inside}]{tail}", "a bracket is missing"
        if value[0] not in "[{\"'":
            yield f"{begun} [{inside}]{tail}", said
            items = re.split(r"\s*,\s*|\s+and\s+|\s+&\s+|\s*;\s*|\s+\+\s+|\s*/\s*", inside)
            items = [item.removeprefix("- ").removeprefix("-").strip() for item in items]
            yield f"{begun} [{', '.join(items)}]{tail}", said
            dimensions = re.split(rf"(?<={_UNITS[3:5]})\s*[x\u00d7]?\s*(?=\d)", inside)
            if len(dimensions) > 1:
                yield f"{begun} [{', '.join(dimensions)}]{tail}", said
            if ":" in inside:
                yield f"{begun} {{{inside}}}{tail}", "keys that follow on the same line need braces"
    new = head.replace(";", ",")
    if new != head and re.search(r"[\[{]", head):
        yield new + tail, "items are separated by commas"


def _commas(head: str, tail: str, spot: int) -> Iterator[Guess]:
    """A comma more or less between items."""
    new = re.sub(r",(?:\s*,)+", ",", head)
    if new != head:
        yield new + tail, "there is a comma too many"
    said = "a comma is missing between two items"
    blanks = list(re.finditer(r"(?<=[^\s,\[{:]) +(?=[^\s,\]}])", head))
    near = [found for found in blanks if found.start() <= max(spot, 0)][-5:]
    rest = [found for found in blanks if found not in near][:8]
    for found in (*reversed(near), *rest):
        yield f"{head[: found.start()]}, {head[found.end() :]}{tail}", said


Slip = Callable[[str, int], Iterator[Guess]]


def words(line: str, spot: int) -> Iterator[Guess]:
    """Quotes round words, but never round keys or a whole list."""
    for new, said in quoted(line, spot):
        if said != COLON and not re.search(r"[\"'][\[{]", new):
            yield new, said


READING: tuple[Slip, ...] = (wide, curly, mangled, colons, ends, dashes, numbers, lists, words)
"""Slips that a value or a key may have which cannot be what it says."""
STOPPING: tuple[Slip, ...] = (unseen, tabs, *READING[:-2], brackets, lists, quoted)
"""Slips that keep a text from being read at all."""
