"""Journeys through the whole window, as a person takes them."""

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
