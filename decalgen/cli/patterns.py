"""Patterns such as ``*.yaml`` among the jobs on the command line, for shells that leave them as they are."""

from __future__ import annotations

from pathlib import Path

import click

MOST_MATCHES = 1_000


def spread(
    context: click.Context | None, parameter: click.Parameter | None, paths: tuple[Path, ...]
) -> tuple[Path, ...]:
    """The paths, each pattern replaced by the files it matches, sorted by name.

    Shells of Windows pass patterns on as they were typed. A file of that very name comes first: ``[1].yaml`` is one.
    What matches nothing stays, for the message that there is no such file. A callback of click.
    """
    import glob

    from decalgen.core.small_files import is_ordinary

    del context, parameter
    found: list[Path] = []
    for path in paths:
        found += [path] if is_ordinary(path) or not glob.has_magic(str(path)) else _matches(path) or [path]
    return tuple(found)


def _matches(pattern: Path) -> list[Path]:
    import glob

    try:
        names = sorted(glob.glob(str(pattern)))  # noqa: PTH207 - the pattern may be absolute, and starts anywhere
    except (OSError, ValueError):
        return []
    if len(names) > MOST_MATCHES:
        raise click.UsageError(f"'{pattern}' matches {len(names)} files, at most {MOST_MATCHES} are read: name fewer")
    return [Path(name) for name in names]
