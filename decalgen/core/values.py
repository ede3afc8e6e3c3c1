"""Frozen dataclasses whose fields and methods are made when they are first needed.

The standard decorator looks at every field and writes and compiles six methods for every frozen class when its module
is loaded: for the two hundred and thirty classes of a check that was a fifth of its whole processor time, and only
half of them ever get an instance. This one shares one comparison, hash and text among all classes, has the standard
decorator look at the fields when the first instance of a class is made, or its fields are first asked for, and
compiles an ``__init__`` only for a class that gets many instances, as one in five does. Everything else is as with the
standard one: `fields`, `replace`, `asdict` and matching work, and type checkers see the standard decorator itself.
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
    settle = _settler(made, names, defaults, kw_only)
    for name in SETTLED:
        setattr(made, name, _Later(name, made, settle))
    if "__init__" not in own:
        made.__init__ = _seldom(made)
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


def _settler(cls: type[Any], names: list[str], defaults: dict[str, Any], kw_only: bool) -> Callable[[], None]:
    """Has the standard decorator look at the fields of a pattern of the class."""

    def settle() -> None:
        kinds = get_annotations(cls)
        # A text of its own spares it the one that the standard decorator makes of its signature; and kinds that are
        # no text are not searched for words that make something else of a field.
        held = {"__doc__": "pattern", "__module__": cls.__module__, **defaults}
        bare: Any = type(cls.__name__, cls.__bases__, {"__annotations__": dict.fromkeys(names, object), **held})
        # A frozen pattern gets two more methods, compiled for nothing; only one with frozen bases must be so.
        frozen = any(hasattr(base, SETTLED[1]) for base in cls.__bases__)
        standard = dataclasses.dataclass  # noqa: TID251
        pattern: Any = standard(init=False, frozen=frozen, repr=False, eq=False, kw_only=kw_only)(bare)
        pattern.__dataclass_params__.frozen = True
        for name in names:
            pattern.__dataclass_fields__[name].type = kinds[name]
        for name in SETTLED:
            setattr(cls, name, vars(pattern)[name])
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


MANY = 25
"""A class gets a compiled ``__init__`` with so many instances: about where compiling it has been worth its time."""


def _seldom(cls: type[Any]) -> Callable[..., None]:
    """An ``__init__`` that matches what is given to the fields itself, and puts a compiled one in its own place for a
    class with many instances. The compiled one also says what is wrong with arguments."""
    matched: Callable[[tuple[Any, ...], dict[str, Any]], dict[str, Any] | None] | None = None
    made = 0

    def __init__(self: Any, *args: Any, **named: Any) -> None:
        nonlocal matched, made
        matched = matched or _matcher(cls)
        made += 1
        values = matched(args, named) if made < MANY else None
        if values is None:
            cls.__init__ = _init(cls)
            cls.__init__(self, *args, **named)
            return
        for name, value in values.items():
            object.__setattr__(self, name, value)
        if hasattr(cls, "__post_init__"):
            self.__post_init__()

    __init__.__qualname__ = f"{cls.__qualname__}.__init__"
    return __init__


def _matcher(cls: type[Any]) -> Callable[[tuple[Any, ...], dict[str, Any]], dict[str, Any] | None]:
    """What makes the values of all fields from arguments; None of arguments that do not fit."""
    every = fields(cls)
    taken = {one.name for one in every if one.init}
    places = [one.name for one in every if one.init and not one.kw_only]
    defaults = {one.name: one.default for one in every if one.init and one.default is not MISSING}
    makers = {one.name: one.default_factory for one in every if one.default_factory is not MISSING}

    def matched(args: tuple[Any, ...], named: dict[str, Any]) -> dict[str, Any] | None:
        values = dict(zip(places, args, strict=False)) | named
        if len(values) != len(args) + len(named) or not values.keys() <= taken:
            return None
        values = {**defaults, **values}
        for name, make in makers.items():
            if name not in values:
                values[name] = make()
        return values if len(values) == len(taken | makers.keys()) else None

    return matched


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
