"""Smooth curves through measured points: clothoid splines, their chords, arcs and parallels."""
