"""The shapes by name. A file in this folder that defines one puts it here with ``@shape``; `load` imports them all."""

from __future__ import annotations

import pkgutil
from importlib import import_module
from typing import TypeVar

from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.shapes.base import Shape

_shapes: dict[str, type[Shape]] = {}
_NOT_SHAPES = {"base", "registry"}
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
    import decalgen.shapes as package

    for module in sorted(m.name for m in pkgutil.iter_modules(package.__path__)):
        if module not in _NOT_SHAPES:
            import_module(f"decalgen.shapes.{module}")
    return dict(sorted(_shapes.items()))


def find(name: str) -> type[Shape]:
    """The shape of that name. Raises `DecalgenError` with the nearest name."""
    known = load()
    if name not in known:
        raise DecalgenError(f"there is no shape '{name}'", fix=did_you_mean(name, list(known)))
    return known[name]
