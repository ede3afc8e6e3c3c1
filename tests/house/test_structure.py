"""The house itself: one name one meaning, imports that point downward, no circles, nothing too long or too wide.

Each rule is a function from a folder of Python files to what breaks it, in words; each is tried on a planted fault.
"""

from __future__ import annotations

import ast
import statistics
import textwrap
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import pytest

MOST_UNITS = 21
MOST_RANKS = 12
MEDIAN_LINES = 150
MOST_LINES = 400
MOST_LINES_OF_A_FUNCTION = 60
MOST_PARAMETERS = 8


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def sources(package: Path) -> list[Path]:
    """The package's Python files."""
    return sorted(path for path in package.rglob("*.py") if "__pycache__" not in path.parts)


def said(package: Path, path: Path) -> str:
    return path.relative_to(package).as_posix()


# ------------------------------------------------------------------------------------------------------------- names
def type_names(tree: ast.Module) -> Iterator[str]:
    """Every class, and every other name of a type that a module binds: an alias, in capitals and small letters."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name
    for node in tree.body:
        targets = (
            node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        )
        for target in targets:
            if isinstance(target, ast.Name):
                bare = target.id.lstrip("_")
                if bare[:1].isupper() and any(letter.islower() for letter in bare):
                    yield target.id


def twice_named(package: Path) -> list[str]:
    """Names of types that mean two things."""
    homes: dict[str, list[str]] = defaultdict(list)
    for path in sources(package):
        for name in type_names(tree_of(path)):
            homes[name].append(said(package, path))
    return [f"{name}: {', '.join(where)}" for name, where in sorted(homes.items()) if len(where) > 1]


def hidden_modules(package: Path) -> list[str]:
    """Names that a package's `__init__` binds to something else than its own submodule of that name."""
    found = []
    for init in (path for path in sources(package) if path.name == "__init__.py"):
        inside = {path.stem for path in init.parent.glob("*.py")} | {
            path.parent.name for path in init.parent.glob("*/__init__.py")
        }
        here = ".".join([package.name, *init.parent.relative_to(package).parts])
        for node in tree_of(init).body:
            names: list[str] = []
            if isinstance(node, ast.ImportFrom):
                own = node.module == here if not node.level else node.level == 1 and node.module is None
                names = [a.asname or a.name for a in node.names if not (own and (a.asname or a.name) == a.name)]
            elif isinstance(node, (ast.FunctionDef, ast.ClassDef)):
                names = [node.name]
            elif isinstance(node, ast.Assign):
                names = [target.id for target in node.targets if isinstance(target, ast.Name)]
            elif isinstance(node, ast.Import):
                names = [a.asname for a in node.names if a.asname]
            found += [f"{said(package, init)}: {name}" for name in names if name in inside]
    return found


def inches(package: Path) -> list[str]:
    """Files that write out the inch in millimetres by themselves."""
    return [
        said(package, path)
        for path in sources(package)
        if any(isinstance(node, ast.Constant) and node.value in (25.4, "25.4") for node in ast.walk(tree_of(path)))
    ]


def same_functions(package: Path) -> list[str]:
    """Functions of a module that stand under one name with one body in another module too."""
    homes: dict[str, list[str]] = defaultdict(list)
    for path in sources(package):
        for node in tree_of(path).body:
            if isinstance(node, ast.FunctionDef):
                body = [
                    one for one in node.body if not (isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant))
                ]
                if len(body) > 1:
                    homes["\n".join(ast.dump(one) for one in body)].append(f"{said(package, path)}: {node.name}")
    return [", ".join(where) for where in homes.values() if len(where) > 1]


# ----------------------------------------------------------------------------------------------------------- imports
def module_of(package: Path, path: Path) -> str:
    parts = [package.name, *path.relative_to(package).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def imports(package: Path) -> dict[str, set[str]]:
    """Every module and the modules of the package it imports: at its head, inside functions, for types alone."""
    files = {module_of(package, path): path for path in sources(package)}
    found: dict[str, set[str]] = {}
    for module, path in files.items():
        found[module] = set()
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                base = node.module or ""
                if node.level:
                    above = module.split(".") if path.name == "__init__.py" else module.split(".")[:-1]
                    base = ".".join([*above[: len(above) - node.level + 1], *([base] if base else [])])
                names = [name if (name := f"{base}.{a.name}") in files else base for a in node.names]
            else:
                continue
            found[module] |= {name for name in names if name in files and name != module}
    return found


def circles(edges: Mapping[str, set[str]]) -> list[list[str]]:
    """The strongly connected groups of more than one (R. Tarjan, SIAM Journal on Computing 1:146, 1972)."""
    number: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(one: str) -> None:
        number[one] = low[one] = len(number)
        stack.append(one)
        for other in sorted(edges[one]):
            if other not in number:
                visit(other)
                low[one] = min(low[one], low[other])
            elif other in stack:
                low[one] = min(low[one], number[other])
        if low[one] == number[one]:
            at = stack.index(one)
            if len(stack) - at > 1:
                found.append(sorted(stack[at:]))
            del stack[at:]

    for one in sorted(edges):
        if one not in number:
            visit(one)
    return found


def units(package: Path) -> list[str]:
    """What lies at the top of the package: folders and modules, `__init__` apart."""
    names = {path.relative_to(package).parts[0].removesuffix(".py") for path in sources(package)}
    return sorted(names - {"__init__"})


def unit_imports(package: Path) -> dict[str, set[str]]:
    """Which unit imports which."""
    found: dict[str, set[str]] = {unit: set() for unit in units(package)}
    for module, others in imports(package).items():
        for other in others:
            one, two = (name.split(".")[1] if "." in name else "" for name in (module, other))
            if one and two and one != two:
                found[one].add(two)
    return found


def ranks(edges: Mapping[str, set[str]]) -> int:
    """How many units the longest chain of imports has; the graph has no circle."""

    @cache
    def depth(unit: str) -> int:
        return 1 + max((depth(other) for other in edges[unit]), default=0)

    return max(depth(unit) for unit in edges)


def upward(package: Path, layers: list[str]) -> list[str]:
    """Imports that point upward or sideways between units, by the layers from the top down."""
    level = {unit.strip(" ()"): number for number, layer in enumerate(layers) for unit in layer.split(":")}
    return [
        f"{one} imports {other}"
        for one, others in sorted(unit_imports(package).items())
        for other in sorted(others)
        if one != "__main__" and level[other] <= level[one]
    ]


# -------------------------------------------------------------------------------------------------------------- sizes
def functions(package: Path) -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    for path in sources(package):
        for node in ast.walk(tree_of(path)):
            if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
                yield f"{said(package, path)}: {node.name}", node


def long_functions(package: Path) -> list[str]:
    """Functions of too many lines, decorators apart."""
    return [
        where
        for where, node in functions(package)
        if (node.end_lineno or 0) - node.lineno + 1 > MOST_LINES_OF_A_FUNCTION
    ]


def wide_functions(package: Path) -> list[str]:
    """Functions of too many parameters, a method's own object not counted."""
    found = []
    for where, node in functions(package):
        given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        names = [arg.arg for arg in given if arg.arg not in ("self", "cls")]
        if len(names) > MOST_PARAMETERS:
            found.append(where)
    return found


def line_counts(package: Path) -> dict[str, int]:
    return {said(package, path): len(path.read_text(encoding="utf-8").splitlines()) for path in sources(package)}


def long_files(package: Path) -> list[str]:
    return [f"{name}: {count} lines" for name, count in line_counts(package).items() if count > MOST_LINES]


# ------------------------------------------------------------------------------------------- the house by the rules
@pytest.fixture(scope="module")
def house(repository: Path) -> Path:
    return repository / "decalgen"


def layers_of(repository: Path) -> list[str]:
    told = tomllib.loads((repository / "pyproject.toml").read_text(encoding="utf-8"))
    (contract,) = told["tool"]["importlinter"]["contracts"]
    return list(contract["layers"])


def test_no_name_of_a_type_means_two_things(house: Path) -> None:
    assert twice_named(house) == []


def test_the_inch_has_one_home(house: Path) -> None:
    assert inches(house) == ["core/lengths/units.py"]


def test_no_function_stands_in_two_modules(house: Path) -> None:
    assert same_functions(house) == []


def test_no_package_hides_its_own_modules(house: Path) -> None:
    assert hidden_modules(house) == []


def test_few_units_at_the_top(house: Path) -> None:
    assert len(units(house)) <= MOST_UNITS


def test_few_ranks_of_imports(house: Path) -> None:
    assert circles(unit_imports(house)) == []
    assert ranks(unit_imports(house)) <= MOST_RANKS


def test_imports_point_downward(house: Path, repository: Path) -> None:
    assert upward(house, layers_of(repository)) == []


def test_no_circle_of_modules(house: Path) -> None:
    assert circles(imports(house)) == []


def test_files_are_short(house: Path) -> None:
    assert long_files(house) == []
    assert statistics.median(line_counts(house).values()) <= MEDIAN_LINES


def test_functions_are_short(house: Path) -> None:
    assert long_functions(house) == []


def test_functions_take_few_parameters(house: Path) -> None:
    assert wide_functions(house) == []


# --------------------------------------------------------------------------------------------------- planted faults
def planted(folder: Path, **files: str) -> Path:
    """A package ``shed`` of these modules; ``__`` in a name stands for a folder."""
    package = folder / "shed"
    for name, text in files.items():
        path = package / (name.replace("__", "/").replace("/init/", "__init__") + ".py")
        path.parent.mkdir(parents=True, exist_ok=True)
        for above in (path.parent, *path.parent.parents):
            if above == folder:
                break
            (above / "__init__.py").touch()
        path.write_text(textwrap.dedent(text), encoding="utf-8")
    return package


def test_a_class_named_twice_is_seen(tmp_path: Path) -> None:
    package = planted(tmp_path, a__one="class Plank: ...", b__two="def f():\n    class Plank: ...")
    assert twice_named(package) == ["Plank: a/one.py, b/two.py"]


def test_an_alias_named_as_a_class_is_seen(tmp_path: Path) -> None:
    package = planted(
        tmp_path, a="class Plank: ...", b="Plank = tuple[int, int]\nT = int\nMOST = 3", c="T = int\nMOST = 4"
    )
    assert twice_named(package) == ["Plank: a.py, b.py"]


def test_an_inch_and_a_function_copied_are_seen(tmp_path: Path) -> None:
    text = 'def {}(a):\n    """Said {}."""\n    b = a * 25.4\n    return b'
    package = planted(
        tmp_path, a=text.format("f", "so"), b=text.format("g", "thus"), c="def h(a):\n    return a * 25.3"
    )
    assert inches(package) == ["a.py", "b.py"]
    assert same_functions(package) == ["a.py: f, b.py: g"]


def test_a_hidden_module_is_seen(tmp_path: Path) -> None:
    package = planted(tmp_path, a__saw="def saw(): ...", a__plane="", a__file="")
    (package / "a" / "__init__.py").write_text(
        "from shed.a.saw import saw\nfrom shed.a import plane\nfile = 3\n", encoding="utf-8"
    )
    assert hidden_modules(package) == ["a/__init__.py: saw", "a/__init__.py: file"]


def test_a_circle_through_a_function_is_seen(tmp_path: Path) -> None:
    package = planted(
        tmp_path, a="def f():\n    from shed.b import g", b="from shed import c\ndef g(): ...", c="import shed.a"
    )
    assert circles(imports(package)) == [["shed.a", "shed.b", "shed.c"]]


def test_a_circle_for_types_alone_and_a_relative_one_are_seen(tmp_path: Path) -> None:
    package = planted(
        tmp_path,
        a="from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from shed.b import B",
        b="from . import a\nclass B: ...",
        d__one="from .two import x",
        d__two="from ..d.one import y",
        d__three="from .one import x",
    )
    assert circles(imports(package)) == [["shed.a", "shed.b"], ["shed.d.one", "shed.d.two"]]


def test_imports_upward_and_sideways_are_seen(tmp_path: Path) -> None:
    package = planted(
        tmp_path, top="from shed import low", low="", left="from shed import right", right="import shed.top"
    )
    assert upward(package, ["top", "left : right", "(none)", "low"]) == ["left imports right", "right imports top"]


def test_ranks_are_counted_along_the_longest_chain(tmp_path: Path) -> None:
    package = planted(
        tmp_path, a="from shed import b, d", b="def f():\n    from shed import c", c="import shed.d", d=""
    )
    assert units(package) == ["a", "b", "c", "d"]
    assert ranks(unit_imports(package)) == 4


def test_what_is_too_long_or_too_wide_is_seen(tmp_path: Path) -> None:
    body = "\n".join(f"    x = {n}" for n in range(MOST_LINES_OF_A_FUNCTION - 1))
    most = ", ".join(f"p{n}" for n in range(MOST_PARAMETERS))
    package = planted(
        tmp_path,
        just=f"def f({most}):\n{body}",
        long=f"class C:\n    def f(self, {most}):\n        pass\n\n\ndef g():\n{body}\n    y = 1",
        wide=f"class C:\n    def f(self, {most}, *, more):\n        pass",
        full="x = 1\n" * MOST_LINES,
        over="x = 1\n" * (MOST_LINES + 1),
    )
    assert long_functions(package) == ["long.py: g"]
    assert wide_functions(package) == ["wide.py: f"]
    assert long_files(package) == ["over.py: 401 lines"]
