"""Where the ready layouts, the fonts and the finished jobs are: in an installed package inside it, in a checkout
beside it.

An editable install does not copy ``layouts/``, ``fonts/`` and ``demo/`` into the package, so both places are looked at.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from decalgen.core.errors import InputError

PACKAGE = Path(__file__).resolve().parents[1]
"""The folder of decalgen itself."""
ResourceKind = Literal["layouts", "fonts", "demo"]


def resource_folder(name: ResourceKind) -> Path:
    """The folder of the layouts, the fonts or the finished jobs. Raises InputError when the installation lacks it."""
    package = PACKAGE
    inside = package / name
    if inside.is_dir():
        return inside
    beside = package.parent / name
    # Only a checkout has pyproject.toml there; beside an installed package stand other people's packages.
    if (package.parent / "pyproject.toml").is_file() and beside.is_dir():
        return beside
    raise InputError(
        f"the folder '{name}' of decalgen is missing (looked for {inside} and {beside})",
        fix="install decalgen again, or fetch the whole project again",
    )


def resource_names(name: ResourceKind, ending: str = "") -> tuple[str, ...]:
    """Every file in the folder, sorted, as a relative path with forward slashes; hidden files are left out.

    ``ending`` keeps only the names that end so, as ".yaml" does. Raises InputError as resource_folder does.
    """
    folder = resource_folder(name)
    names = [
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file()
        and path.name.endswith(ending)
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    ]
    return tuple(sorted(names))
