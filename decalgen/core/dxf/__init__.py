"""Drawings in DXF: closed outlines with their layers and colours."""
