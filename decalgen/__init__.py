"""Redraw the decals of small die-cast toy vehicles from measured panels and print them at true scale."""

__version__ = "0.1.0"
