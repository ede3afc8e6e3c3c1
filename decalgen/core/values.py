"""Frozen dataclasses whose methods are made when they are first needed.

The standard decorator writes and compiles six methods for every frozen class when its module is loaded: for the
hundred and eighty classes of a check that was a fifth of its whole processor time. This one leaves the fields to the
standard decorator, shares one comparison, hash and text among all classes, and has the standard decorator make an
``__init__`` when the first instance of a class is made. Everything else is as with the standard one: `fields`,
`replace`, `asdict` and matching work, and type checkers see the standard decorator itself.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import FrozenInstanceError, fields
from operator import attrgetter
from typing import TYPE_CHECKING, Any

__all__ = ["dataclass"]

if TYPE_CHECKING:
    from dataclasses import dataclass  # noqa: TID251
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, kw_only=False, eq=True, order=False):
        """As `dataclasses.dataclass`; classes that are not frozen, or are ordered, are left to it."""

        def make(cls):
            if not frozen or order:
                return dataclasses.dataclass(  # noqa: TID251
                    cls, frozen=frozen, slots=slots, kw_only=kw_only, eq=eq, order=order
                )
            return _value(cls, slots, kw_only, eq)

        return make if cls is None else make(cls)


def _value(cls: type[Any], slots: bool, kw_only: bool, eq: bool) -> type[Any]:
    own = set(vars(cls))
    standard = dataclasses.dataclass  # noqa: TID251
    made = standard(init=False, repr=False, eq=False, slots=slots, kw_only=kw_only)(cls)
    methods: dict[str, Any] = {"__setattr__": _set, "__delattr__": _delete, "__repr__": _text}
    if eq:
        methods |= {"__eq__": _equal, "__hash__": _hash}
    if slots:
        methods |= {"__getstate__": _state, "__setstate__": _restore}
    for name, method in methods.items():
        if name not in own:
            setattr(made, name, method)
    if "__init__" not in own:
        made.__init__ = _first(made)
    return made


def _first(cls: type[Any]) -> Callable[..., None]:
    """An ``__init__`` that makes the real one, puts it in its own place and calls it."""

    def __init__(self: Any, *args: Any, **named: Any) -> None:
        cls.__init__ = _init(cls)
        cls.__init__(self, *args, **named)

    __init__.__qualname__ = f"{cls.__qualname__}.__init__"
    return __init__


def _init(cls: type[Any]) -> Callable[..., None]:
    """The ``__init__`` that the standard decorator makes for a frozen class of these fields."""
    given = []
    for one in fields(cls):
        more: dict[str, Any] = {"init": one.init, "kw_only": one.kw_only}
        if one.default is not dataclasses.MISSING:
            more["default"] = one.default
        if one.default_factory is not dataclasses.MISSING:
            more["default_factory"] = one.default_factory
        given.append((one.name, one.type, dataclasses.field(**more)))
    after = {"__post_init__": cls.__post_init__} if hasattr(cls, "__post_init__") else {}
    pattern = dataclasses.make_dataclass(cls.__name__, given, namespace=after, frozen=True, repr=False, eq=False)
    return pattern.__init__  # type: ignore[no-any-return, misc]


def _values(self: Any) -> tuple[Any, ...]:
    """The fields that count in a comparison."""
    cls = type(self)
    getter = vars(cls).get("_compared")
    if getter is None:
        names = [one.name for one in fields(cls) if one.compare]
        several = attrgetter(*names) if len(names) > 1 else None
        getter = several or (lambda one: tuple(getattr(one, name) for name in names))
        cls._compared = getter
    found: tuple[Any, ...] = getter(self)
    return found


def _equal(self: Any, other: object) -> Any:
    return _values(self) == _values(other) if type(self) is type(other) else NotImplemented


def _hash(self: Any) -> int:
    return hash(_values(self))


def _text(self: Any) -> str:
    shown = ", ".join(f"{one.name}={getattr(self, one.name)!r}" for one in fields(self) if one.repr)
    return f"{type(self).__qualname__}({shown})"


def _set(self: Any, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delete(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, one.name) for one in fields(self)]


def _restore(self: Any, state: list[Any]) -> None:
    for one, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, one.name, value)
