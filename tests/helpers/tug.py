"""Jobs that many tests are about."""

from __future__ import annotations

JOB = """\
job: tug
title: Harbour tug
scale: "1:43"
body: navy
date: "2026-11-25"
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels:
  door: {width: 22.4 mm ± 0.05, height: 11.6 mm ± 0.05}
decals:
  band:
    panel: door
    film: white
    width: panel.width - 2 mm
    height: 5 mm
    artwork: [{field: {ink: lifebuoy orange}}]
    copies: 4
"""

LETTERED = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  band:
    panel: door
    hands: both
    at: bottom
    width: panel.width - 2 mm
    height: 4 mm
    artwork:
      - field: {ink: lifebuoy orange}
      - lettering: {text: STORES, cap height: 1.4 mm, ink: white}
"""
"""The job that tests of commands are about: both hands, with lettering on a ground."""

ONE_BAND = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 60 mm ± 0.05, height: 40 mm ± 0.05}}
decals:
  band: {panel: door, width: 58 mm, height: 38 mm, artwork: [field: {ink: lifebuoy orange}]}
"""
"""The job that tests of film and of printers are about: one piece, of 58 × 38 mm."""
