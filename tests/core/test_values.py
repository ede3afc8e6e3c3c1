"""Frozen values: everything as with the standard decorator, which stands beside each as the judge."""

from __future__ import annotations

import copy
import dataclasses
import importlib
import inspect
import pickle
import pkgutil
import sys
from dataclasses import FrozenInstanceError, field, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import decalgen
from decalgen.core import values
from decalgen.core.values import dataclass


@dataclass(frozen=True)
class Ours:
    """A value."""

    name: str
    size: float = 1.0
    parts: tuple[int, ...] = ()
    told: list[str] = field(default_factory=list, compare=False, repr=False)
    twice: float = field(init=False, default=0.0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "twice", 2 * self.size)


@dataclasses.dataclass(frozen=True)
class Theirs:
    """The same with the standard decorator."""

    name: str
    size: float = 1.0
    parts: tuple[int, ...] = ()
    told: list[str] = field(default_factory=list, compare=False, repr=False)
    twice: float = field(init=False, default=0.0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "twice", 2 * self.size)


@dataclass(frozen=True, slots=True)
class Slotted:
    """With slots."""

    x: int
    y: int = 2


@dataclass(frozen=True, slots=True)
class More(Slotted):
    """A field more."""

    z: int = 3


@dataclass(frozen=True, kw_only=True)
class Named:
    """By name only."""

    x: int
    y: int = 2


names, sizes, parts = st.text(max_size=5), st.floats(allow_nan=False), st.lists(st.integers()).map(tuple)


@given(names, sizes, parts, names, sizes, parts)
def test_comparison_hash_and_text_are_the_standard_ones(
    a: str, b: float, c: tuple[int, ...], d: str, e: float, f: tuple[int, ...]
) -> None:
    ours, others = Ours(a, b, c, ["x"]), Ours(d, parts=f, size=e)
    theirs, other = Theirs(a, b, c, ["x"]), Theirs(d, parts=f, size=e)
    assert (ours == others) is (theirs == other) and ours == Ours(a, b, c, ["y"])
    assert hash(ours) == hash(theirs) and repr(ours) == repr(theirs).replace("Theirs", "Ours")
    assert replace(ours, name=d) == Ours(d, b, c) and ours.twice == 2 * b
    assert dataclasses.asdict(ours) == dataclasses.asdict(theirs)
    assert ours != theirs and ours.told is not Ours(a).told


def test_a_value_cannot_be_changed() -> None:
    one = Ours("a")
    for act in (lambda: setattr(one, "size", 2.0), lambda: setattr(one, "new", 2), lambda: delattr(one, "name")):
        with pytest.raises(FrozenInstanceError):
            act()
    with pytest.raises((FrozenInstanceError, AttributeError)):
        Slotted(1).x = 2  # type: ignore[misc]


@pytest.mark.parametrize("make", [lambda c: c(), lambda c: c("a", 1.0, (), [], 5.0), lambda c: c("a", wrong=1)])
def test_wrong_arguments_are_refused_as_by_the_standard_one(make: object) -> None:
    said = []
    for cls in (Ours, Theirs):
        with pytest.raises(TypeError) as caught:
            make(cls)  # type: ignore[operator]
        said.append(str(caught.value).replace("Theirs", "Ours"))
    assert said[0] == said[1]


def _every_value() -> list[type[object]]:
    """Every frozen dataclass of the package."""
    for found in pkgutil.walk_packages(decalgen.__path__, "decalgen."):
        if found.name not in ("decalgen.__main__", "decalgen.colour.build_profile"):
            importlib.import_module(found.name)
    seen = {
        one
        for name, module in sys.modules.items()
        if name.startswith("decalgen.")
        for one in vars(module).values()
        if isinstance(one, type) and dataclasses.is_dataclass(one) and one.__module__ == name
    }
    return sorted(seen, key=lambda one: (one.__module__, one.__qualname__))


def test_every_value_of_the_package_takes_what_the_standard_one_would() -> None:
    classes = _every_value()
    assert len(classes) > 200
    for cls in classes:
        if "__init__" in vars(cls) and vars(cls)["__init__"].__module__ == cls.__module__:
            continue
        given = []
        for one in dataclasses.fields(cls):
            more = {"default": one.default} if one.default is not dataclasses.MISSING else {}
            if one.default_factory is not dataclasses.MISSING:
                more["default_factory"] = one.default_factory
            given.append((one.name, one.type, field(init=one.init, kw_only=one.kw_only, **more)))
        theirs = inspect.signature(dataclasses.make_dataclass(cls.__name__, given, frozen=True))
        ours = inspect.signature(values._init(cls))
        ours = ours.replace(parameters=list(ours.parameters.values())[1:])
        assert list(ours.parameters) == list(theirs.parameters), cls
        for name, one in ours.parameters.items():
            other = theirs.parameters[name]
            assert one.kind is other.kind, (cls, name)
            made = vars(dataclasses)["_HAS_DEFAULT_FACTORY"]
            assert other.default is made or one.default is other.default, (cls, name)
            assert (other.default is made) == (one.default is values._NONE), (cls, name)
        assert cls.__match_args__ == dataclasses.make_dataclass(cls.__name__, given, frozen=True).__match_args__  # type: ignore[attr-defined]


def test_slots_and_what_inherits_them() -> None:
    one, more = Slotted(1), More(1, z=4)
    assert not hasattr(one, "__dict__") and (one.x, one.y) == (1, 2) and (more.x, more.y, more.z) == (1, 2, 4)
    assert one != More(1) and More(1, 2, 4) == more and repr(more) == "More(x=1, y=2, z=4)"
    assert copy.copy(one) == one and copy.deepcopy(more) == more and pickle.loads(pickle.dumps(more)) == more


def test_by_name_only() -> None:
    assert Named(x=1) == Named(y=2, x=1)
    with pytest.raises(TypeError):
        Named(1)  # type: ignore[misc]


def test_a_class_of_its_own_methods_keeps_them() -> None:
    @dataclass(frozen=True)
    class Loose:
        """Equal to everything."""

        x: int

        def __eq__(self, other: object) -> bool:
            return True

        def __hash__(self) -> int:
            return 7

    assert Loose(1) == 3 and hash(Loose(2)) == 7

    @dataclass(frozen=True, eq=False)
    class Itself:
        """Equal to itself alone."""

        x: int

    assert Itself(1) != Itself(1)


def test_one_that_is_not_frozen_is_the_standard_one() -> None:
    @dataclass
    class Open:
        """Can be changed."""

        x: int

    one = Open(1)
    one.x = 2
    assert one == Open(2)


def test_its_methods_cost_nothing_until_an_instance_is_made() -> None:
    @dataclass(frozen=True)
    class Late:
        """Never made before."""

        x: int

    assert isinstance(vars(Late)["__dataclass_fields__"], values._Later)
    Late(1)
    assert list(vars(Late)["__dataclass_fields__"]) == ["x"]


def test_an_init_is_compiled_for_many_instances_alone_and_does_the_same() -> None:
    @dataclass(frozen=True)
    class Often:
        """A value with everything that a field may have."""

        x: int
        y: int = 2
        told: list[int] = field(default_factory=list)
        by_name: str = field(default="a", kw_only=True)
        made: list[str] = field(init=False, default_factory=list)
        fixed: float = field(init=False, default=3.0)

    first = Often.__init__
    ways: list[tuple[tuple[object, ...], dict[str, object]]] = [
        ((1,), {}),
        ((), {"x": 1}),
        ((1, 5), {"by_name": "b"}),
        ((1,), {"told": [7], "y": 0}),
        ((1, 2, [3]), {}),
    ]
    general = [vars(Often(*args, **named)) for args, named in ways]  # type: ignore[arg-type]
    assert Often.__init__ is first
    for _ in range(values.MANY):
        Often(1)
    compiled = Often.__init__
    assert compiled is not first
    assert [vars(Often(*args, **named)) for args, named in ways] == general  # type: ignore[arg-type]
    assert Often.__init__ is compiled and Often(1).told is not Often(1).told


@pytest.mark.parametrize(
    "args, named",
    [((), {}), ((1, 2, 3), {}), ((1,), {"x": 1}), ((1,), {"z": 1}), ((), {"y": 1})],
)
def test_arguments_that_do_not_fit_are_refused_by_the_first_instance_too(
    args: tuple[int, ...], named: dict[str, int]
) -> None:
    @dataclass(frozen=True)
    class Two:
        """Two fields."""

        x: int
        y: int = 2

    standard = dataclasses.make_dataclass("Two", [("x", int), ("y", int, 2)], frozen=True)
    said = []
    for cls in (Two, standard):
        with pytest.raises(TypeError) as caught:
            cls(*args, **named)
        said.append(str(caught.value).rsplit(".", 1)[-1])
    assert said[0] == said[1]
