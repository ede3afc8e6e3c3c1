"""The last line of every command: what was done, how many errors and warnings, what to do next; and the whole answer
as text."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.commands.options import Answer, Result
from decalgen.core.errors import Finding, Severity

SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")


def counted(severities: Sequence[Severity]) -> str:
    """'0 errors, 2 warnings'; notes only where there are any."""
    parts = []
    for severity in SEVERITIES:
        count = severities.count(severity)
        if count or severity != "note":
            parts.append(f"{count} {severity}{'' if count == 1 else 's'}")
    return ", ".join(parts)


def summary(result: Result, more: str = "") -> str:
    """The summary line. ``more``: how to see what the short answer leaves out, put behind the counts."""
    answer = result.answer
    counts = counted([*(one.severity for one in result.findings), *answer.also])
    line = f"{answer.done or 'done'}: {counts}{f' ({more})' if more else ''}"
    return f"{line}; next: {answer.next}" if answer.next else line


def in_order(findings: Sequence[Finding]) -> list[Finding]:
    """Errors first, then warnings, then notes, else as they were found."""
    return sorted(findings, key=lambda one: SEVERITIES.index(one.severity))


def whole_lines(result: Result) -> tuple[str, ...]:
    """The lines of the whole answer."""
    return result.answer.whole or result.lines


def whole_text(result: Result) -> str:
    """All there is to say, as a text file: findings with their places and fixes, every line, the summary."""
    parts = [*(str(one) for one in in_order(result.findings)), "", *whole_lines(result), "", summary(result)]
    return "\n".join(parts[1:] if not result.findings else parts) + "\n"


def short_findings(answer: Answer, findings: Sequence[Finding]) -> list[Finding]:
    """The findings of the short answer: notes are only counted."""
    shown = findings if answer.brief is None else answer.brief
    return [one for one in in_order(shown) if one.severity != "note"]
