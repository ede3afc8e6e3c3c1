"""What stands in tests/published is checked against something outside the project, and says against what."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[1] / "published"
SOURCE = re.compile(
    r"\b(ISO|CIE|ICC|SMPTE|DIN|ANSI|ASME|CFR|NFPA|FMVSS|SCCA|FIA|FIM|ADR|WCAG|W3C|JCGM|FOGRA\w*|TR \d{3}|AN-I-9b|"
    r"World Archery|Directive|[Aa]ct|Regulations?|regulations|[Hh]andbooks?|Sharma|Burns|Stokes|Kubelka|Milnor|scipy|"
    r"[Gg]eometry|geodesic|"
    r"spherical trigonometry|Union Flag|from memory|no source)\b"
)
"""A standard, a law, a rule book, an author, a reference library, a theorem of geometry; or that there is none."""


def published() -> list[tuple[str, str]]:
    """Every test in the folder with its comments, those before it and its docstring among them."""
    found = []
    for path in sorted(FOLDER.glob("*.py")):
        text = path.read_text(encoding="utf-8")
        lines = text.splitlines()
        before = 0
        for node in ast.parse(text).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                part = "\n".join(lines[before : node.end_lineno])
                said = " ".join([ast.get_docstring(node) or "", *re.findall(r"(?<![\"\'])# .*", part)])
                found.append((f"{path.name}: {node.name}", " ".join(said.split())))
            before = node.end_lineno or before
    return found


@pytest.mark.parametrize(("name", "said"), published())
def test_a_published_check_names_its_source(name: str, said: str) -> None:
    assert SOURCE.search(said), f"{name} names none: {said[:200]}"
