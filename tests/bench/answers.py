"""What the server of a page answers to what is done on a screen."""

from __future__ import annotations

from typing import Any


def screen_of(answer: Any) -> dict[str, Any]:
    """The screen after something that was done."""
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()["screen"]
    return found


def refusal_of(answer: Any) -> str:
    """Why something was not done, and the fix, of which there always is one."""
    assert answer.status_code == 422, answer.text
    found = answer.json()
    assert found["fix"]
    return f"{found['message']}: {found['fix']}"
