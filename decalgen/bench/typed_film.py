"""Film and printer as they are named on the page: by words, or by a file beside the job; never by a path."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

from decalgen.bench.workshop_now import sheets_now
from decalgen.core.errors import DecalgenError, InputError
from decalgen.core.small_files import read_small_text, signature
from decalgen.workshop.profiles import Kept, kept

MOST_FILES = 100
MOST_BYTES = 1_000_000


def typed_text(asked: Mapping[str, Any], key: str) -> str:
    """What was typed into a box, without the spaces round it."""
    return str(asked.get(key) or "").strip()[:2000]


def in_folder(folder: Path, name: str, what: str) -> Path:
    """A file of that name in the job's folder. Raises InputError, which begins with ``what``, for what is no name."""
    if not name or name in (".", "..") or Path(name).name != name or "\\" in name or "\0" in name or len(name) > 120:
        raise InputError(f"{what}: '{name[:60]}' is not the name of a file beside the job", fix="leave out folders")
    return folder / name


def film_named(folder: Path, text: str, what: str = "Film") -> str:
    """Words such as 'white A5 laser', or the path of a film file that lies in the folder. Raises InputError, which
    begins with ``what``, for what is neither."""
    if text.lower().endswith((".yaml", ".yml")):
        return str(in_folder(folder, text, what))
    # With a stroke that is not a fraction's it would be the name of a file.
    if not text or {"/", "\\"} & {*re.sub(r"(?<=\d)/(?=\d)", "", text)}:
        raise InputError(f"{what}: '{text[:60]}' is not a film", fix="say clear or white, and the size, as in white A5")
    return text


def printer_given(folder: Path, text: str, what: str = "Printer") -> str | None:
    """A kept profile by its words, the path of a printer file in the folder, or None where nothing is chosen."""
    if not text:
        return None
    if text.lower().endswith((".yaml", ".yml")):
        return str(in_folder(folder, text, what))
    if {"/", "\\"} & {*text}:
        raise InputError(f"{what}: '{text[:60]}' is not a printer", fix="choose one from the list")
    return text


def known_films() -> list[str]:
    """The films of the drawer and of the profiles, as words, each once: to choose from."""
    found: dict[str, None] = {}
    with suppress(DecalgenError):
        for sheet in sheets_now():
            one = sheet.entry
            sized = f"{one.width:g} × {one.height:g} mm"
            words = (one.kind, "self-adhesive" if one.adhesive else "", _size_name(sized), one.process)
            found[" ".join(word for word in words if word)] = None
    with suppress(DecalgenError):
        for profile in kept():
            found[profile.setting.film] = None
    for usual in ("white A5", "clear A5", "white A4", "clear A4"):
        found[usual] = None
    return list(found)


@lru_cache(maxsize=100)
def _size_name(sized: str) -> str:
    from decalgen.job.films import sheet_sizes

    return next((one.name for one in sheet_sizes() if f"{one.width:g} × {one.height:g} mm" == sized), sized)


def sheet_printers(folder: Path, chosen: str = "") -> list[list[str]]:
    """What a sheet can be printed with, each with words: nothing, the kept profiles, named as far as they have to be
    told apart, and the printer files beside the job. What is ``chosen`` is always among them."""
    profiles: tuple[Kept, ...] = ()
    with suppress(DecalgenError):
        profiles = kept()
    names = list(dict.fromkeys(_apart(one, profiles) for one in profiles))
    found = [["", "none: sizes are not corrected"], *([name, name] for name in names)]
    found += [[name, f"the file {name}"] for name in printer_files(folder)]
    if chosen not in [one for one, _ in found]:
        found.append([chosen, f"{chosen}: not there any more"])
    return found


def _apart(one: Kept, profiles: tuple[Kept, ...]) -> str:
    """The words that name the printer of a profile, with tray and feed where others of it are for the same film."""
    mine = one.setting
    alike = [
        other.setting
        for other in profiles
        if other is not one
        and other.printer.name == one.printer.name
        and other.setting.takes(mine.kind, mine.width, mine.height, mine.adhesive)
    ]
    tray = mine.tray if any(other.tray != mine.tray for other in alike) else ""
    feed = mine.feed if any(other.tray == mine.tray or not tray for other in alike) else ""
    return ", ".join(part for part in (one.printer.name, tray, feed) if part)


def printer_files(folder: Path) -> list[str]:
    """The printer files beside the job, by name."""
    found = []
    with suppress(OSError):
        for path in sorted(folder.glob("*.yaml"))[:MOST_FILES]:
            if _is_printer(path, signature(path)):
                found.append(path.name)
    return found


@lru_cache(maxsize=MOST_FILES)
def _is_printer(path: Path, _: object) -> bool:
    with suppress(DecalgenError):
        return re.search(r"^printer:", read_small_text(path, MOST_BYTES), re.MULTILINE) is not None
    return False
