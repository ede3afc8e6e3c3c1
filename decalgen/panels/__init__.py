"""Measured panels: readings to a flat outline with its uncertainty, and the verdict on the fit."""
