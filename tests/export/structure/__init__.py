"""The rules of a press file that can be decided by looking at it, with pikepdf and without the code that wrote it.

No validator for ISO 15930-7 (PDF/X-4) is to be had as a package; these are the rules of ISO 32000-1, ISO 15930-7,
ISO 19593-1 and ICC.1 that are facts about objects and operators, and the rules of the house that make a sheet of
decals come out right: which layer is painted in which ink, at which size, inside which box. What is not known to be
right is refused: keys, filters and operators are lists of what may stand in such a file, never of what may not.

Each problem begins with the short name of its rule. A file that cannot be read is a problem too; nothing is raised.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from io import BytesIO

import pikepdf

from tests.export.structure import about, intent, keys, layers, painting, whole

Rule = Callable[[], Iterable[str]]

UNJUDGED = "unjudged"
"""What a problem begins with where a rule itself failed; a fault of the rules, and a refusal all the same."""


def problems(data: bytes) -> list[str]:
    """Everything wrong with a press file, as 'rule: what'."""
    try:
        pdf = pikepdf.open(BytesIO(data))
    except pikepdf.PasswordError:
        return ["encryption: it asks for a password"]
    except pikepdf.PdfError as error:
        return [f"unreadable: {error}"]
    with pdf:
        rules: list[Rule] = [
            lambda: whole.file(data, pdf),
            lambda: about.information(pdf),
            lambda: about.packet(pdf),
            lambda: intent.intents(pdf),
            lambda: keys.everywhere(pdf),
            lambda: keys.catalog(pdf),
            lambda: keys.pages(pdf),
            lambda: layers.layers(pdf),
            lambda: layers.spots(pdf),
            lambda: painting.painting(pdf),
        ]
        found = [problem for rule in rules for problem in _judged(rule)]
        # Last: what reading all of it has found broken.
        found += _judged(lambda: whole.syntax(pdf))
    return list(dict.fromkeys(found))


def _judged(rule: Rule) -> Iterator[str]:
    try:
        yield from rule()
    except Exception as error:
        yield f"{UNJUDGED}: {type(error).__name__} {error}"
