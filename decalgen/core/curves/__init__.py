"""Smooth curves through measured points: clothoid splines, their chords and arcs, bands along them."""
