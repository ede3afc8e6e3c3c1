"""A job of one panel and one decal, to be changed in every way."""

from __future__ import annotations

WIDTH = ("panels", "door", "width")
HEIGHT = ("panels", "door", "height")
JOB = """job: tug
body: navy
panels:
  door:
    width: 22.40 mm   # by the sill
    height: 11.60 mm
decals:
  band:
    panel: door
    width: 20 mm
    height: 2 mm
    artwork:
      - field: {ink: teal}
inks:
  teal: {colour: "#1f7f86"}
"""
