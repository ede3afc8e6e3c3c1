"""A job of two panels, and a scan of what is left of a decal: small, so that reading and drawing them costs little."""

from __future__ import annotations

from pathlib import Path

from tests.scan.scans import Faults, MadeScan, checks, scan_of

JOB = """\
job: door
title: Harbour door
scale: "1:43"
film: white
body: navy
paints:
  navy: {colour: "#1d2b4a"}
inks:
  teal: {colour: "#1f7f86"}
panels:
  door: {width: 30 mm ± 0.05, height: 20 mm ± 0.05}
  bonnet: {width: 30 mm ± 0.05, height: 20 mm ± 0.05}
decals:
  square:
    panel: door
    width: 6 mm
    height: 6 mm
    hands: both
    artwork: [{field: {ink: teal}}]
"""


def door(folder: Path) -> Path:
    """The job: its door is on both sides, its bonnet is not."""
    path = folder / "door.yaml"
    path.write_text(JOB, encoding="utf-8")
    return path


def scanned_checks() -> MadeScan:
    """Checks of 8 × 2 cells of 3 mm beside a card, torn a little, at 80 dpi."""
    return scan_of(checks(2, 8, (3.0, 3.0)), (24, 6), ["#1f7f86", "#f4efe0"], Faults(torn=0.1), 80.0, 2)
