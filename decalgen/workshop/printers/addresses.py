"""The address of a printer that speaks IPP: ipp://HOST/ipp/print, or ipps:// (RFC 3510, RFC 7472)."""

from __future__ import annotations

from decalgen.core.errors import PrintingError
from decalgen.core.values import dataclass

PORT = 631
"""Of IPP, with and without TLS (RFC 8010, 4)."""
USUAL_PATH = "/ipp/print"
PATHS = (USUAL_PATH, "/ipp/printer", "/")
"""Where printers answer, the usual place first (RFC 8010, 4; the others: common practice, no source)."""
EXAMPLE = "ipp://192.168.1.40/ipp/print"
LONGEST = 1000


@dataclass(frozen=True)
class Address:
    """Where a printer answers. ``secure``: over TLS. ``guessed``: the path is the usual one, as none was given."""

    host: str
    port: int = PORT
    path: str = USUAL_PATH
    secure: bool = False
    guessed: bool = False

    @property
    def place(self) -> str:
        """Host and port, as an address writes them."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{host}:{self.port}"

    def __str__(self) -> str:
        place = self.place.removesuffix(f":{PORT}")
        return f"ipp{'s' * self.secure}://{place}{self.path}"


def is_address(text: str) -> bool:
    """Whether a word is meant as an address, not as a name."""
    return "://" in text


def address(text: str) -> Address:
    """The address that a text is. Raises PrintingError for one that is none, or of another kind."""
    from urllib.parse import urlsplit

    fix = f"write it like {EXAMPLE}; a printer shows its number in its network settings"
    if any(not letter.isprintable() or letter.isspace() for letter in text) or len(text) > LONGEST:
        raise PrintingError(f"'{text[:80]}' is not a printer's address: it holds a space or a sign", fix=fix)
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        raise PrintingError(f"'{text[:80]}' is not a printer's address", fix=fix) from None
    if parts.scheme not in ("ipp", "ipps"):
        what = f"'{text[:80]}' is not an address by which a printer takes a file at 100 %"
        raise PrintingError(what, fix=f"only ipp:// and ipps:// are; {fix}")
    if not parts.hostname or parts.username is not None or not text.isascii():
        raise PrintingError(f"'{text[:80]}' names no host", fix=fix)
    path = parts.path + (f"?{parts.query}" if parts.query else "")
    bare = path in ("", "/")
    return Address(parts.hostname, port or PORT, USUAL_PATH if bare else path, parts.scheme == "ipps", bare)
