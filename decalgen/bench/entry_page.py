"""The way into the page for a browser that is started from here: a small file of the user's alone that leads on.

What a program is started with can be read by everyone on the machine (``ps``, /proc, the task manager), so the address,
which lets in whoever has it, is never handed over: only the name of a file, which nobody else can read. It goes once a
browser was let in, at the end of the server, and, where that was killed, at the next start.
"""

from __future__ import annotations

import html
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError
from decalgen.core.files import make_folder, write_files

ASK_SECONDS = 5.0
_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0; url={address}">
<title>decalgen</title>
<script>location.replace({quoted});</script>
</head>
<body><p><a href="{address}">Go to the page</a></p></body>
</html>
"""


def write_entry(folder: Path, owner: str, address: str) -> Path:
    """Writes the file that leads to an address. ``folder``: where the user's own files are; ``owner``: whose page it
    is. Raises OutputError."""
    own = readable_folder(folder)
    make_folder(own)
    # Closed before anything is in it: where a mode means nothing (Windows), the folder lies in the user's own profile.
    with suppress(OSError):
        own.chmod(0o700)
    path = own / f"{owner}-{_sign(address.rpartition('=')[2])}.html"
    quoted = json.dumps(address).replace("<", "\\u003c")
    write_files({path: _PAGE.format(address=html.escape(address), quoted=quoted).encode("utf-8")})
    with suppress(OSError):
        path.chmod(0o600)
    return path


def remove_entries(folder: Path, *, owner: str = "*", token: str = "") -> None:
    """Takes away the file that leads in with a ``token``; without one, all those of an ``owner``."""
    sign = _sign(token) if token else "*"
    for one in (folder, *_snap_folders()):
        for path in one.glob(f"{owner}-{sign}.html"):
            with suppress(OSError):
                path.unlink()


def _sign(token: str) -> str:
    return digest_of(token)[:16]


# ------------------------------------------------------------------------------------------- a browser that is a snap
def readable_folder(folder: Path, environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """A folder that the usual browser may read: ``folder``, or the browser's own where it is a snap. Those are kept
    from hidden folders in the home folder, such as ~/.local; their own is ~/snap/NAME/common (as snapd documents its
    ``home`` interface and SNAP_USER_COMMON; from memory)."""
    if platform.startswith(("win", "darwin")):
        return folder
    home = Path((os.environ if environment is None else environment).get("HOME") or Path.home())
    # A snap's programs are called by its name and their own: firefox_firefox.desktop.
    name, found, _ = usual_browser().partition("_")
    own = home / "snap" / name / "common"
    return own / "decalgen" if found and name and own.is_dir() else folder


def usual_browser() -> str:
    """What the desktop calls the usual browser: 'firefox_firefox.desktop'; '' where that cannot be told."""
    try:
        asked = ["xdg-settings", "get", "default-web-browser"]
        said = subprocess.run(asked, capture_output=True, encoding="utf-8", timeout=ASK_SECONDS, check=True)
    except (OSError, subprocess.SubprocessError, UnicodeDecodeError):
        return ""
    name = said.stdout.strip()
    return name if name and Path(name).name == name else ""


def _snap_folders() -> list[Path]:
    with suppress(OSError):
        return [path / "common" / "decalgen" for path in (Path.home() / "snap").iterdir()]
    return []


def handed_over(folder: Path, owner: str, address: str) -> str:
    """What a browser is started with: the address of the file that leads on; the address of the page itself only where
    no such file can be written, or read from there: under WSL the browser is one of Windows, on a machine of the user's
    own."""
    if os.environ.get("WSL_DISTRO_NAME"):
        return address
    try:
        return write_entry(folder, owner, address).absolute().as_uri()
    except DecalgenError:
        return ""
