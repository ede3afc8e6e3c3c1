"""Where a job uses a name: noted by the readers, which alone know what a word means where it stands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from decalgen.core.values import dataclass
from decalgen.job.new_names import NamedKind
from decalgen.job.nodes import Scalar


@dataclass(frozen=True)
class NameUse:
    """A name in a text of a file: what it names; whose that is (an obstacle's panel; the decal of a value of its own,
    '' for one of the job); the text, and where the name begins in it."""

    what: NamedKind
    owner: str
    name: str
    node: Scalar
    start: int = 0
    sure: bool = True
    """Whether it is needed so; false for a value that was worked out in case it is a length, and may be a text."""
    of: tuple[str, str] | None = None
    """The value that is worked out from it, by whose it is and its name; None: it is in no value."""

    @property
    def key(self) -> tuple[str, int, int, int, str, str, str]:
        """What tells it from other uses: a text may name several things, through a named value."""
        node = self.node
        return (node.source.name, node.line, node.column, self.start, self.what, self.owner, self.name)

    @property
    def alone(self) -> bool:
        """Whether the text says that name and nothing else."""
        return self.node.text.strip() == self.name

    @property
    def likely(self) -> bool:
        """Whether it is meant as a name: a value that nothing needs, and that says that name alone, may be a text."""
        return self.sure or not self.alone

    @property
    def referred(self) -> bool:
        """Whether it stands as <name>, for whatever the value is."""
        return self.node.text[self.start - 1 : self.start] == "<"


def settled(uses: Iterable[NameUse]) -> tuple[NameUse, ...]:
    """The uses, each once; what a length that is needed is worked out from is needed too."""
    found = {one.key: one for one in sorted(uses, key=lambda one: one.sure)}
    while True:
        needed = {
            (one.owner, one.name) for one in found.values() if one.sure and one.what == "value" and not one.referred
        }
        more = {key: replace(one, sure=True) for key, one in found.items() if not one.sure and one.of in needed}
        if not more:
            return tuple(found.values())
        found |= more
