"""Which of the dependencies have a wheel for which computer: prints the table of `DEVELOPERS.md`. Run by hand.

    python tests/house/platforms.py

asks pip for every dependency that `pyproject.toml` names, alone and never built from source, on each platform and
Python; a package of pure Python is asked for once. It needs the network, and no compiler.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from packaging.requirements import Requirement

PLATFORMS = {
    "Windows x64": ("win_amd64",),
    "Windows ARM": ("win_arm64",),
    "Mac ARM": ("macosx_11_0_arm64", "macosx_14_0_arm64"),
    "Mac Intel": ("macosx_10_13_x86_64", "macosx_11_0_x86_64", "macosx_14_0_x86_64"),
    "Linux x64": ("manylinux2014_x86_64", "manylinux_2_28_x86_64"),
    "Linux ARM": ("manylinux2014_aarch64", "manylinux_2_28_aarch64"),
}
"""A computer, and the tags a current one takes, the oldest first: the first that is met counts."""
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
GROUPS = ("nesting", "cutting", "scan", "woff2")


def wanted() -> list[Requirement]:
    """What a user's installation may fetch: the dependencies and the extras, each once."""
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    found = [Requirement(text) for text in (*project["dependencies"], *(t for g in GROUPS for t in extras[g]))]
    return list({(one.name, str(one.specifier)): one for one in found}.values())


def wheel(requirement: Requirement, tag: str, python: str) -> str | None:
    """The name of the wheel that pip fetches there; None where there is none."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--only-binary=:all:"]
        command += ["--platform", tag, "--python-version", python, "--dest", folder]
        done = subprocess.run(
            [*command, f"{requirement.name}{requirement.specifier}"], capture_output=True, text=True, check=False
        )
        if done.returncode and "No matching distribution" not in done.stderr:
            raise SystemExit(done.stderr)
        return next((path.name for path in Path(folder).glob("*.whl")), None)


def row(requirement: Requirement) -> list[str]:
    """The cells of one package: the Pythons it has a wheel for, `all` for every one of them, with the tag it needs
    where the oldest is not enough."""
    first = wheel(requirement, "any", PYTHONS[-1])
    if first is not None and first.endswith("-none-any.whl"):
        return ["any"] * len(PLATFORMS)
    cells = []
    for tags in PLATFORMS.values():
        by = {tag: [p for p in PYTHONS if wheel(requirement, tag, p)] for tag in tags[:1]}
        for tag in tags[1:]:
            if by[tags[0]] == list(PYTHONS):
                break
            by[tag] = [p for p in PYTHONS if wheel(requirement, tag, p)]
        tag = max(by, key=lambda one: len(by[one]))
        said = "all" if by[tag] == list(PYTHONS) else ", ".join(by[tag]) or "none"
        cells.append(said if tag == tags[0] or not by[tag] else f"{said} ({tag})")
    return cells


def main() -> None:
    print("| package | " + " | ".join(PLATFORMS) + " |")
    print("|---" * (len(PLATFORMS) + 1) + "|")
    for one in wanted():
        print(f"| {one.name} | " + " | ".join(row(one)) + " |", flush=True)


if __name__ == "__main__":
    main()
