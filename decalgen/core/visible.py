"""Text from strangers made fit to be shown: what cannot be seen, or steers a terminal, is written as an escape.

Escapes are those of JSON and of YAML in double quotes, so that what is shown can be typed, and JSON stays JSON.
"""

from __future__ import annotations

import re

# Controls C0, DEL and C1 (ECMA-48: ESC, OSC, CSI and their 8-bit forms among them); the soft hyphen; what steers
# the direction of writing (Unicode Standard Annex #9, 2) or stands for nothing visible; separators of lines and
# paragraphs; lone surrogates, which no encoding takes; tags. The joiners U+200C and U+200D are spelling and stay.
_STEERING = (
    "\x00-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\ud800-\udfff\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
)
_RAW = re.compile(f"[{_STEERING}]")
_RAW_IN_ROWS = re.compile(f"(?![\n\t])[{_STEERING}]")


def visible(text: str) -> str:
    """A text as one line in which every character can be seen; lines and tabs in it are escaped too."""
    return _RAW.sub(_escape, text)


def visible_rows(text: str) -> str:
    """The same of a text of several lines, whose line ends and tabs stay."""
    return _RAW_IN_ROWS.sub(_escape, text)


def _escape(found: re.Match[str]) -> str:
    code = ord(found.group())
    if code <= 0xFFFF:
        return f"\\u{code:04x}"
    return f"\\u{0xD800 + (code - 0x10000 >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"
