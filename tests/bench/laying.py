"""What tests do on Apply again and again."""

from __future__ import annotations

import time
from typing import Any

from starlette.testclient import TestClient


def look(client: TestClient, at: str = "") -> dict[str, Any]:
    """The screen as the page shows it, once its guide is of what the file says now."""
    while True:
        found: dict[str, Any] = client.get("/state", params={"screen": "apply", "applying": at}).json()
        screen: dict[str, Any] = found["screen"]
        settled = screen["steps"] or screen["trouble"] or found["problems"]
        if found["kept"] == found["version"] and settled and not screen["making"] and not screen["busy"]:
            return screen
        time.sleep(0.02)


def card(client: TestClient) -> str:
    """What the card says of it."""
    steps = client.get("/state", params={"screen": "check"}).json()["steps"]
    return next(one["words"] for one in steps if one["key"] == "apply")


def do(client: TestClient, act: str, **asked: Any) -> Any:
    return client.post(f"/do/apply/{act}", json={"view": {"screen": "apply"}, **asked})


def key_of(screen: dict[str, Any], called: str) -> str:
    """The key of the step that is called so."""
    found: str = next(one["key"] for one in screen["steps"] if one["called"] == called)
    return found


def tick(client: TestClient, called: str, copy: int = 0, on: bool = True) -> dict[str, Any]:
    """Ticks a copy of a piece; the screen after that, with the piece shown."""
    key = key_of(look(client), called)
    answer = do(client, "tick", step=key, copy=copy, on=on)
    assert answer.status_code == 200, answer.json()
    return look(client, key)


def row(screen: dict[str, Any], what: str) -> dict[str, Any]:
    """A row of the clock."""
    found: dict[str, Any] = next(one for one in screen["clock"] if one["what"] == what)
    return found
