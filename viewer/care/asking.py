"""What the care of a document asks its user; a window answers, a test too."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol

from core.errors import BarnFileError
from viewer.care.recovery import Recovered

__all__ = ["Asks"]


class Asks(Protocol):
    """Questions that call back and never wait, and news that need no answer."""

    def held(self, path: Path, holder: str, *, open_copy: Callable[[], object]) -> None:
        """Tell that another window has a file open; offer a copy of it."""

    def recover(
        self,
        found: Sequence[Recovered],
        *,
        take: Callable[[Recovered], object],
        discard: Callable[[Recovered], object],
    ) -> None:
        """Offer what windows that ended without saving have left."""

    def changed(
        self,
        path: Path,
        *,
        has_edits: bool,
        reload: Callable[[], object],
    ) -> None:
        """Tell that the file is another one by now; offer to read it again."""

    def gone(self, path: Path) -> None:
        """Tell that the file of the document is no longer there."""

    def faults(self, error: BarnFileError) -> None:
        """Show everything that is wrong with a file."""
