"""The job that tests of the proof gate are about."""

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
