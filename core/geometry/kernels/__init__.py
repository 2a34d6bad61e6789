"""Distances and blocked bands in the frame of a run, one module per kind of solid."""
