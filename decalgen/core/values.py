"""Frozen dataclasses whose fields and methods are made when they are first needed.

The standard decorator looks at every field and writes and compiles six methods for every frozen class when its module
is loaded: for the two hundred and thirty classes of a check that was a fifth of its whole processor time, and only
half of them ever get an instance. This one shares one comparison, hash and text among all classes, and has the
standard decorator look at the fields and make an ``__init__`` when the first instance of a class is made, or its
fields are first asked for. Everything else is as with the standard one: `fields`, `replace`, `asdict` and matching
work, and type checkers see the standard decorator itself.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, fields
from inspect import get_annotations
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


SETTLED = ("__dataclass_fields__", "__dataclass_params__", "__match_args__")


def _value(cls: type[Any], slots: bool, kw_only: bool, eq: bool) -> type[Any]:
    own = set(vars(cls))
    names = [name for name, kind in get_annotations(cls).items() if not str(kind).startswith("ClassVar")]
    # A class attribute with the name of a field is its default, or says more of it.
    defaults = {name: vars(cls)[name] for name in names if name in own}
    made = _slotted(cls, names) if slots else cls
    methods: dict[str, Any] = {"__setattr__": _set, "__delattr__": _delete, "__repr__": _text}
    if eq:
        methods |= {"__eq__": _equal, "__hash__": _hash}
    if slots:
        methods |= {"__getstate__": _state, "__setstate__": _restore}
    for name, method in methods.items():
        if name not in own:
            setattr(made, name, method)
    settle = _settler(made, defaults, kw_only, "__init__" not in own)
    for name in SETTLED:
        setattr(made, name, _Later(name, made, settle))
    if "__init__" not in own:
        made.__init__ = _first(made, settle)
    return made


def _slotted(cls: type[Any], names: list[str]) -> type[Any]:
    """The same class with a slot for each field of its own that its bases lack."""
    there = {name for base in cls.__mro__[1:] for name in vars(base).get("__slots__", ())}
    held = {name: value for name, value in vars(cls).items() if name not in names}
    for name in ("__dict__", "__weakref__"):
        held.pop(name, None)
    kind: Any = type(cls)
    made: type[Any] = kind(
        cls.__name__, cls.__bases__, held | {"__slots__": tuple(name for name in names if name not in there)}
    )
    made.__qualname__ = cls.__qualname__
    return made


class _Later:
    """What the standard decorator writes on a class, made when it is first asked for."""

    def __init__(self, name: str, owner: type[Any], settle: Callable[[], None]) -> None:
        self.name, self.owner, self.settle = name, owner, settle

    def __get__(self, one: object, cls: type[Any]) -> Any:
        self.settle()
        return getattr(self.owner, self.name)


def _settler(cls: type[Any], defaults: dict[str, Any], kw_only: bool, init: bool) -> Callable[[], None]:
    """Has the standard decorator look at the fields of a pattern of the class, and writes the ``__init__``."""

    def settle() -> None:
        # A text of its own spares it the one that the standard decorator makes of its signature.
        held = {"__doc__": "pattern", "__module__": cls.__module__, "__annotations__": get_annotations(cls), **defaults}
        bare: Any = type(cls.__name__, cls.__bases__, held)
        # A frozen pattern gets two more methods, compiled for nothing; only one with frozen bases must be so.
        frozen = any(hasattr(base, SETTLED[1]) for base in cls.__bases__)
        standard = dataclasses.dataclass  # noqa: TID251
        pattern: Any = standard(init=False, frozen=frozen, repr=False, eq=False, kw_only=kw_only)(bare)
        pattern.__dataclass_params__.frozen = True
        for name in SETTLED:
            setattr(cls, name, vars(pattern)[name])
        if init:
            cls.__init__ = _init(cls)
        if "__slots__" not in vars(cls):
            for name in defaults:
                _default(cls, pattern, name)

    return settle


def _init(cls: type[Any]) -> Callable[..., None]:
    """What the standard decorator writes for a frozen class: arguments by place, then those by name only."""
    known: dict[str, Any] = {"_set": object.__setattr__, "_none": _NONE}
    places: list[str] = []
    by_name: list[str] = []
    body: list[str] = []
    for one in fields(cls):
        value = one.name
        if one.default_factory is not MISSING:
            known[f"_make_{one.name}"] = one.default_factory
            made = f"_make_{one.name}()"
            value = f"{made} if {one.name} is _none else {one.name}" if one.init else made
        elif not one.init:
            # Its default is the class's.
            continue
        body.append(f"    _set(self, {one.name!r}, {value})")
        if one.init:
            default = one.default
            if one.default_factory is not MISSING:
                default = _NONE
            known[f"_default_{one.name}"] = default
            text = one.name if default is MISSING else f"{one.name}=_default_{one.name}"
            (by_name if one.kw_only else places).append(text)
    if hasattr(cls, "__post_init__"):
        body.append("    self.__post_init__()")
    arguments = ", ".join(["self", *places, *(["*", *by_name] if by_name else [])])
    written: dict[str, Any] = {}
    exec("\n".join([f"def __init__({arguments}):", *(body or ["    pass"])]), known, written)
    made_init: Callable[..., None] = written["__init__"]
    made_init.__qualname__ = f"{cls.__qualname__}.__init__"
    return made_init


_NONE = object()
"""Stands for an argument that was not given."""


def _default(cls: type[Any], pattern: type[Any], name: str) -> None:
    """The default itself as class attribute, where the class says more of a field."""
    if name in vars(pattern):
        setattr(cls, name, vars(pattern)[name])
    else:
        delattr(cls, name)


def _first(cls: type[Any], settle: Callable[[], None]) -> Callable[..., None]:
    """An ``__init__`` that makes the real one, puts it in its own place and calls it."""

    def __init__(self: Any, *args: Any, **named: Any) -> None:
        settle()
        cls.__init__(self, *args, **named)

    __init__.__qualname__ = f"{cls.__qualname__}.__init__"
    return __init__


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
    if self is other:
        return True
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
