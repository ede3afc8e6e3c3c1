"""A job of few pieces on small film, and what tests do on the sheet again and again."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

JOB = """\
job: tug
title: Harbour tug
scale: "1:87"
film: white
body: navy
paints:
  navy: {colour: "#1d2b4a"}
inks:
  teal: {colour: "#1f7f86"}
panels:
  side: {width: 30 mm ± 0.05, height: 12 mm ± 0.05}
decals:
  band:   # along the whole side
    panel: side
    width: 20 mm
    height: 5 mm
    hands: both
    spares: 1
    artwork:
      - field: {ink: teal}
  square:
    panel: side
    over: band
    width: 6 mm
    height: 6 mm
    copies: 2
    turn: no
    artwork:
      - field: {ink: teal}
"""
"""Six pieces: four bands of two hands, two squares that must not be turned."""
STARS = """\
  star:
    panel: side
    width: 7 mm
    height: 7 mm
    copies: 3
    cut: artwork
    artwork: [{star: {ink: teal, diameter: 7 mm}}]
"""
"""Three pieces more: of boxes alone the best arrangement is soon known for the best, and the search ends by itself."""
OFFCUT = """\
film: offcut
kind: white
process: inkjet
sheet: 80 × 60 mm
sheets: 1
used:
  - at: [0 mm, 48 mm]
    size: [20 mm, 12 mm]
"""
"""Of its printable 60 × 40 mm, with margins of 10 mm all round, a corner of 10 × 2 mm is gone."""


def ask(client: TestClient, act: str, **asked: Any) -> Any:
    """Does something on the sheet."""
    return client.post(f"/do/sheet/{act}", json={"view": {"screen": "sheet"}, **asked})


def look(client: TestClient, **view: str) -> dict[str, Any]:
    """The sheet as the page shows it, once what lies there is judged by what the files say now."""
    while True:
        found: dict[str, Any] = client.get("/state", params={"screen": "sheet", **view}).json()
        screen = found["screen"]
        kept = found["kept"] == found["version"] or found["trouble"]
        if kept and not screen["busy"] and not screen["pending"]:
            return found
        time.sleep(0.02)


def nested(client: TestClient) -> dict[str, Any]:
    """The sheet after a nest."""
    look(client)
    answer = ask(client, "nest")
    assert answer.status_code == 200, answer.json()
    found: dict[str, Any] = look(client)["screen"]
    return found


def carry(client: TestClient, piece: str, x: float, y: float) -> None:
    """Moves a piece to a place, mm: its artwork's corner."""
    at = lying(look(client)["screen"])[piece]["at"]
    answer = ask(client, "move", piece=piece, dx=x - at[0] / 1000, dy=y - at[1] / 1000)
    assert answer.status_code == 200, answer.json()


def lying(screen: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What lies on the sheets, by its name on the page."""
    return {f"{one['key']}|{one['copy']}": one for sheet in screen["sheets"] for one in sheet["pieces"]}


def tug(folder: Path) -> Path:
    """The job with its offcut beside it."""
    (folder / "offcut.yaml").write_text(OFFCUT, encoding="utf-8")
    path = folder / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    return path
