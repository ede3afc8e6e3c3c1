"""What changes with each change of files that a job is read from and judged by."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from decalgen.core.small_files import Signature, signature

Marks = dict[Path, Signature]


def marks(paths: Iterable[Path]) -> Marks:
    """What changes with each change of some files."""
    return {path: signature(path) for path in paths}


def choice_marks(words: Iterable[str], folder: Path) -> Marks:
    """The same of the films and printers that are named by these words, and of the profiles that are kept."""
    from decalgen.workshop.profiles import folder as profiles

    named = [folder / one for one in words if one.lower().endswith((".yaml", ".yml"))]
    return marks([*named, profiles()])
