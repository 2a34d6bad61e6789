"""What the commands say, and return, when something cannot be done."""

import os
import sys

__all__ = [
    "CANNOT_READ",
    "CANNOT_WRITE",
    "INTERRUPTED",
    "OWN_FAULT",
    "fault_words",
    "told",
]

CANNOT_READ = 3
CANNOT_WRITE = 4
OWN_FAULT = 70
INTERRUPTED = 130


def told(words: str) -> None:
    """Say on standard error what could not be done."""
    sys.stderr.write(f"liftlane: {words}\n")


def fault_words(error: Exception) -> str:
    """Return one line for an error of the program itself.

    With the environment variable LIFTLANE_TRACE set, the whole trace comes with it.
    """
    import traceback  # takes long to load, and faults are few

    words = f"a fault of the program itself: {type(error).__name__}: {error}"
    if os.environ.get("LIFTLANE_TRACE"):
        return f"{words}\n{''.join(traceback.format_exception(error))}"
    where = traceback.extract_tb(error.__traceback__)
    place = f" ({where[-1].name}, line {where[-1].lineno})" if where else ""
    return f"{' '.join(words.split())}{place}; nothing was changed"
