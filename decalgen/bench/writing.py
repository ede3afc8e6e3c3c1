"""Whether what is changed on the page can be written where it is to go."""

from __future__ import annotations

import os
import stat
from pathlib import Path


def may_write(path: Path) -> bool:
    """Whether a file or folder takes changes: it lets someone write, and this user."""
    try:
        mode = path.stat().st_mode
    except OSError:
        return False
    return bool(mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH)) and os.access(path, os.W_OK)
