"""What an engine is: a function that takes a request and a task and gives ever better arrangements."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib.util import find_spec

from decalgen.core.values import dataclass
from decalgen.nesting.model import NestPosition, Request


@dataclass(frozen=True)
class Task:
    """How long one engine is to work, and from what.

    ``steps``: pieces the exact fill may place. ``trials``: trial arrangements the separation may make.
    ``seed``: where its random choices start. ``slack``: units added to every gap on a second try.
    ``sheets``: the sheets an arrangement by separation may use, as places of their regions in the request.
    ``start``: an arrangement to start from. ``seconds``: all the time there is, 0 for no limit. ``cores``: how many an
    engine that can may use; with more than one, it gives no arrangement a second time.
    """

    steps: int
    trials: int
    seed: int
    slack: int = 0
    sheets: tuple[int, ...] = ()
    start: tuple[NestPosition, ...] = ()
    seconds: float = 0.0
    cores: int = 1


@dataclass(frozen=True)
class Found:
    """An arrangement an engine found, or, with no positions, a sign that it is still at work."""

    positions: tuple[NestPosition, ...] | None
    steps: int


Engine = Callable[[Request, Task], Iterator[Found]]


@dataclass(frozen=True)
class EngineEntry:
    """An engine: where its function is, and the modules it cannot do without.

    ``patience``: seconds without a sign of life after which it counts as hung.
    """

    name: str
    where: str
    needs: tuple[str, ...]
    patience: float = 90.0

    @property
    def there(self) -> bool:
        """Whether the modules it needs are installed."""
        return all(find_spec(module) is not None for module in self.needs)


BOXES = EngineEntry("boxes", "decalgen.nesting.in_boxes:boxes", ())
FILL = EngineEntry("fill", "decalgen.nesting.exact:fill", ("pyclipper",))
ROWS = EngineEntry("rows", "decalgen.nesting.in_rows:rows", ("pyclipper",))
LATTICE = EngineEntry("lattice", "decalgen.nesting.in_lattice:lattice", ("pyclipper",))
SEPARATE = EngineEntry("separate", "decalgen.nesting.separate:separate", ("pyclipper", "spyrrow"))
TREE = EngineEntry("tree", "decalgen.nesting.tree:tree", ("packingsolver",))
RENEST = EngineEntry("renest", "decalgen.nesting.renest:renest", ("pyclipper",))
SHELF = EngineEntry("shelf", "decalgen.nesting.shelf:shelf", ())
ENTRIES: dict[str, EngineEntry] = {e.name: e for e in (BOXES, FILL, ROWS, LATTICE, SEPARATE, TREE, RENEST, SHELF)}


def load(where: str) -> Engine:
    """The function at ``module:name``."""
    from importlib import import_module

    module, _, name = where.partition(":")
    engine: Engine = getattr(import_module(module), name)
    return engine
