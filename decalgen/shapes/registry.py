"""The shapes by name. A file in this folder that defines one puts it here with ``@shape``; `load` imports them all."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module
from typing import TypeVar

from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.shapes.base import Shape

_shapes: dict[str, type[Shape]] = {}
_NOT_SHAPES = {
    "base",
    "fade_marks",
    "registry",
    "lettering_arched",
    "lettering_heads",
    "lettering_in_boxes",
    "lettering_on_curves",
}
S = TypeVar("S", bound=type)


def shape(cls: S) -> S:
    """Class decorator: registers a shape. Raises ValueError at import for a name twice."""
    name: str = cls.name  # type: ignore[attr-defined]
    if name in _shapes:
        raise ValueError(f"two shapes are called '{name}'")
    _shapes[name] = cls
    return cls


def load() -> dict[str, type[Shape]]:
    """All shapes by name, in alphabetical order."""
    for module in _modules():
        import_module(f"decalgen.shapes.{module}")
    return dict(sorted(_shapes.items()))


@cache
def _modules() -> tuple[str, ...]:
    import decalgen.shapes as package

    return tuple(sorted(m.name for m in pkgutil.iter_modules(package.__path__) if m.name not in _NOT_SHAPES))


def named(name: str) -> type[Shape] | None:
    """The shape of that name, if there is one; only its own file is loaded."""
    if name not in _shapes and name in _modules():
        import_module(f"decalgen.shapes.{name}")
    return _shapes.get(name)


def find(name: str) -> type[Shape]:
    """The shape of that name. Raises `DecalgenError` with the nearest name."""
    found = named(name)
    if found is None:
        raise DecalgenError(f"there is no shape '{name}'", fix=did_you_mean(name, list(load())))
    return found
