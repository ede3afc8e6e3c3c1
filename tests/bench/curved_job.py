"""A job with a curve read off its points and a band along the panel's edge, as a person types it."""

from __future__ import annotations

SWEEP = ("decals", "sweep", "artwork", 0, "curve", "points")
FOOT = ("decals", "foot", "artwork", 0, "band")
CURVED = """job: tug
body: "#d8cfb8"
inks:
  teal: {colour: "#1f7f86"}
values: {long: 18 mm}
panels:
  door:
    width: 22.40 mm
    height: 11.60 mm
    obstacles:
      handle: {rectangle: [3.0 mm, 0.8 mm], at: [16 mm, 8 mm]}
decals:
  sweep:
    panel: door
    hands: both
    width: 20 mm
    height: 8 mm
    artwork:
      # read off the remains with a rule
      - curve:
          ink: teal
          points:
            - [1 mm, 1 mm]      # by the hinge
            - [5.5 mm, 2 mm]
            - [0.5 * long, 4 mm]
            - [long, 7 mm]      # the foot of the window
          corners: [3]
          line width: 0.6 mm
          in place: yes
  foot:
    panel: door
    hands: both
    width: panel.width
    height: 3 mm
    at: bottom
    margin: 0 mm
    artwork:
      - band: {ink: teal, stripe width: 0.8 mm, edge: [bottom], distance: 0.4 mm}
"""
