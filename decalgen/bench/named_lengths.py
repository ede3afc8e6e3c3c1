"""What the values of a decal's layout come to as lengths, by the names that the decal and the job give. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from decalgen.bench.come_to import is_plain
from decalgen.core.lengths import ExpressionError, NameProblem, Quantity, evaluate
from decalgen.job.model import Decal, Job

MOST_NESTED = 6
"""So many names wait for each other at most, as in a job."""
_NAMED = re.compile(r"<([^<>]+)>")
Texts = Mapping[str, Any]


class NamedLengths(Mapping[str, Quantity]):
    """The names that a decal's values may use: the ``levels`` of values, the nearest first, panels and the decal."""

    def __init__(self, job: Job, decal: Decal, levels: Sequence[Texts]) -> None:
        self.levels = levels
        self._waiting: list[tuple[int, str]] = []
        self._sizes = {f"panel.{name}": size for name, size in job.panel(decal.panel).sizes}
        self._sizes |= {f"panels.{one.name}.{name}": size for one in job.panels for name, size in one.sizes}
        self._sizes |= {"decal.width": decal.width, "decal.height": decal.height}

    def __iter__(self) -> Iterator[str]:
        yield from dict.fromkeys([*self._sizes, *(name for level in self.levels for name in level)])

    def __len__(self) -> int:
        return len(set(self))

    def __contains__(self, name: object, /) -> bool:
        return name in self._sizes or any(name in level for level in self.levels)

    def __getitem__(self, name: str, /) -> Quantity:
        """Raises KeyError for an unknown name, NameProblem for one that is not a length or a number."""
        if name in self._sizes:
            return self._sizes[name]
        # A value of its own name is the one further out.
        free = (n for n, level in enumerate(self.levels) if name in level and (n, name) not in self._waiting)
        level = next(free, None)
        if level is None:
            raise KeyError(name)
        if len(self._waiting) > MOST_NESTED:
            raise NameProblem(f"'{name}' leads to too many other names", "write one of them out")
        self._waiting.append((level, name))
        try:
            return self.worth(self.levels[level][name])
        finally:
            self._waiting.pop()

    def worth(self, text: object) -> Quantity:
        """What a value comes to. Raises ExpressionError, NameProblem, KeyError."""
        if not isinstance(text, str):
            raise NameProblem("that is a list, not a length or number", "name one value")
        named = _NAMED.fullmatch(text.strip())
        return self[named[1]] if named else evaluate(text, self)

    def words(self, text: object) -> str:
        """The same in mm; of a name alone, the text that it stands for; '' for what reads so already."""
        if not isinstance(text, str) or is_plain(text.strip()):
            return ""
        try:
            found = self.worth(text)
        except (ExpressionError, NameProblem, KeyError):
            return self._text(text)
        return f"{found.value:.2f} mm" if found.dimension == 1 else ""

    def _text(self, text: str) -> str:
        """The text that a name alone stands for, where it does not come to a length; '' for anything else."""
        named = _NAMED.fullmatch(text.strip())
        if named is None:
            return ""
        # A value of its own name is the one further out.
        found = next((level[named[1]] for level in self.levels if level.get(named[1], text) != text), "")
        return found if isinstance(found, str) else ""
