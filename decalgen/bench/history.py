"""What was changed in a text, step by step, so that each step can be taken back. Pure."""

from __future__ import annotations

from dataclasses import replace

from decalgen.core.values import dataclass

MOST_STEPS = 2000


@dataclass(frozen=True)
class Patch:
    """One step: at ``start`` the text ``removed`` became ``inserted``. ``label`` says what it did; ``outside``: it was
    not done here, but in an editor. Steps with the same ``key``, one after another, are one. ``file``: another file
    than the job's own that it changed, with the digests of that ``before`` and ``after``."""

    label: str
    start: int
    removed: str
    inserted: str
    key: str = ""
    outside: bool = False
    file: str = ""
    before: str = ""
    after: str = ""

    def of(self, file: str, before: str, after: str) -> Patch:
        """The same as a step of another file."""
        return replace(self, file=file, before=before, after=after)

    def forth(self, text: str) -> str:
        """The text with this step done."""
        return text[: self.start] + self.inserted + text[self.start + len(self.removed) :]

    def back(self, text: str) -> str:
        """The text without this step."""
        return text[: self.start] + self.removed + text[self.start + len(self.inserted) :]


def patch_between(before: str, after: str, label: str, key: str = "", outside: bool = False) -> Patch:
    """The step from one text to another: all but what both begin and end with."""
    start = _shared(before, after)
    tail = _shared(before[start:][::-1], after[start:][::-1])
    return Patch(label, start, before[start : len(before) - tail], after[start : len(after) - tail], key, outside)


def _shared(one: str, other: str) -> int:
    """How many characters two texts begin with alike."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if one[:middle] == other[:middle] else (low, middle - 1)
    return low


class Steps:
    """The steps that were done, and those that were taken back and can be done again."""

    def __init__(self) -> None:
        self.done: list[Patch] = []
        self.undone: list[Patch] = []

    def add(self, before: str, after: str, label: str, key: str = "", outside: bool = False) -> None:
        """Notes a step; what was taken back before it is gone. Typing in one field is one step."""
        self.undone.clear()
        last = self.done[-1] if self.done else None
        if last is not None and key and last.key == key:
            before = last.back(before)
            self.done.pop()
        if before != after:
            self.done.append(patch_between(before, after, label, key, outside))
            del self.done[:-MOST_STEPS]

    def note(self, patch: Patch) -> None:
        """Notes a step of another file, which is made already."""
        self.undone.clear()
        self.done.append(patch)
        del self.done[:-MOST_STEPS]

    def rest(self) -> None:
        """Ends typing in a field: what is typed next is a step of its own."""
        if self.done and self.done[-1].key:
            last = self.done[-1]
            self.done[-1] = replace(last, key="")

    def undo(self, text: str) -> str:
        """The text before the last step; the same where there is none."""
        if not self.done:
            return text
        last = self.done.pop()
        self.undone.append(last)
        return text if last.file else last.back(text)

    def redo(self, text: str) -> str:
        """The text with the step that was taken back last."""
        if not self.undone:
            return text
        last = self.undone.pop()
        self.done.append(last)
        return text if last.file else last.forth(text)
