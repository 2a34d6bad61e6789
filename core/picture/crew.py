"""Processes that work on one picture or film together."""

import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context, parent_process
from threading import Thread

__all__ = ["crew", "crew_size"]

_MOST = 16


def crew_size() -> int:
    """Return how many processes work together on this machine [-]."""
    return max(1, min(os.cpu_count() or 1, _MOST))


def crew(
    count: int, receive: Callable[..., object], *given: object
) -> ProcessPoolExecutor:
    """Return processes that have received what they work on.

    They end with the process that began them, however that ends: nothing goes on
    working for nobody.

    Parameters
    ----------
    count : int
        How many.
    receive : callable
        Called in each of them first, with `given`.
    """
    return ProcessPoolExecutor(
        max_workers=count,
        mp_context=get_context("spawn"),
        initializer=_begin,
        initargs=(receive, given),
    )


def _begin(receive: Callable[..., object], given: tuple[object, ...]) -> None:
    Thread(target=_end_with_parent, daemon=True).start()
    receive(*given)


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
