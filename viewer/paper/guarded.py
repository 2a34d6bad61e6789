"""Overrides of Qt that never let an exception out to Qt.

PySide keeps what an override raises until Qt comes back to Python. Until then Qt
goes on, and ends the process when it calls the next override, or finds a painter
that was never ended.
"""

import sys
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

__all__ = ["guarded"]

P = ParamSpec("P")
S = TypeVar("S")


def guarded(
    override: Callable[Concatenate[S, P], None],
) -> Callable[Concatenate[S, P], None]:
    """Return an override of Qt that hands what it raises to `sys.excepthook`.

    Parameters
    ----------
    override : callable
        A method that Qt calls and that returns nothing.

    Returns
    -------
    callable
        The same method, out of which no exception comes.
    """

    @wraps(override)
    def call(self: S, /, *args: P.args, **kwargs: P.kwargs) -> None:
        try:
            override(self, *args, **kwargs)
        except Exception:  # noqa: BLE001 - the hook shows it to the user
            kind, error, trace = sys.exc_info()
            if kind is not None and error is not None:
                sys.excepthook(kind, error, trace)

    return call
