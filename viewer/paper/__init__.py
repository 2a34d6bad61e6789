"""Painting the records of a drawing: on the screen, on paper, into files."""
