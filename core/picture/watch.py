"""How long work tells how far it is, and how it is told to give up."""

from dataclasses import dataclass
from typing import Protocol

from core.errors import LiftlaneError

__all__ = ["CancelledError", "Part", "Silent", "Watch", "step"]


class CancelledError(LiftlaneError):
    """The work was told to give up; nothing was written."""


class Watch(Protocol):
    """Somebody who waits for the work; the ticket of a job in the window is one."""

    def report(self, share: float, words: str) -> None:
        """Hear how much is done [-] and what is being done."""

    @property
    def is_cancelled(self) -> bool:
        """Whether the work is to give up."""


@dataclass(frozen=True, slots=True)
class Silent:
    """Nobody waits."""

    is_cancelled: bool = False

    def report(self, share: float, words: str) -> None:
        """Hear nothing."""


@dataclass(frozen=True, slots=True)
class Part:
    """A watch over a part of a larger work, from one share of it to another [-]."""

    whole: Watch
    low: float
    high: float

    def report(self, share: float, words: str) -> None:
        """Pass on a share of the part as one of the whole."""
        self.whole.report(self.low + share * (self.high - self.low), words)

    @property
    def is_cancelled(self) -> bool:
        """Whether the whole is to give up."""
        return self.whole.is_cancelled


def step(watch: Watch, share: float, words: str) -> None:
    """Report, and give up if told to.

    Raises
    ------
    CancelledError
        If the work is to give up.
    """
    if watch.is_cancelled:
        message = "given up as asked; nothing was written"
        raise CancelledError(message)
    watch.report(share, words)
