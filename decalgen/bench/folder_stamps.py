"""What changes with every file that decides what lies on a sheet."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path as FilePath

from decalgen.workshop.drawer import data_folder

MOST_NAMES = 1_000
"""So many names of a folder are looked at."""


def folder_stamps(folder: FilePath) -> tuple[tuple[str, int, int], ...]:
    """The job files, films and printers of a folder, and the film drawer, as they are now."""
    found = []
    for path in (folder, data_folder()):
        with suppress(OSError), os.scandir(path) as entries:
            for entry, _ in zip(entries, range(MOST_NAMES), strict=False):
                if entry.name.endswith((".yaml", ".yml", ".sqlite", "-wal")):
                    state = entry.stat()
                    found.append((entry.name, state.st_mtime_ns, state.st_size))
    return tuple(sorted(found))
