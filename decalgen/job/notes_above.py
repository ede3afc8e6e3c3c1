"""Comment lines put above an entry of a job file. Pure: every other byte as it is, and all values the same."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.visible import visible
from decalgen.job.blocks import block_of
from decalgen.job.splices import BY_HAND, LINE_END, EditError, Path, Splice, as_written, guarded, plain, spliced


def noted(text: str, path: Path, notes: Sequence[str]) -> str:
    """The text with notes as comment lines right above the entry at a path, each as deep as it. Raises EditError for an
    entry inside brackets, and JobError for a text that cannot be read."""
    written = as_written(text)
    block = block_of(written, path)
    if block.inline or written.flow(path[:-1]):
        raise EditError("a note needs an entry on a line of its own", fix=BY_HAND)
    lead = " " * written.at(path[:-1]).column
    rows = [row for note in notes for row in LINE_END.split(note)]
    made = "".join(f"{lead}# {visible(row)}".rstrip() + written.end for row in rows)
    return guarded(spliced(text, [Splice(block.own, block.own, made)]), plain(written.root))
