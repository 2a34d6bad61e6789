"""Tests of the window's parts, each on real widgets."""

from tests.gui import (
    caught_by_traps,
    make_session,
    make_window,
    preferences,
    session,
    window,
)

__all__ = [
    "caught_by_traps",
    "make_session",
    "make_window",
    "preferences",
    "session",
    "window",
]
