"""Where the chosen run could hang, worked out off the window's thread and kept.

A large scan takes a second or two; meanwhile the map of before stays, if it is of
the same run.
"""

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import QObject, Signal

from core.analysis.free_space import run_free_space
from core.geometry.free_space import FreeSpaceMap
from core.geometry.runs import SweptRun
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import Fixture
from core.model.room import Room
from core.model.runs import Run
from viewer.jobs import Jobs, Ticket

__all__ = ["RunMaps"]

_Inputs = tuple[Run, SweptRun, Room, Sequence[Fixture]]


class RunMaps(QObject):
    """The free-space map of one run; mutable, it keeps the last one.

    Emits `made` when there is a newer one.
    """

    made = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked: _Inputs | None = None
        self._kept: tuple[_Inputs, FreeSpaceMap] | None = None
        self._jobs = Jobs(self)
        self._jobs.finished.connect(self._on_finished)
        self._jobs.failed.connect(self._on_failed)

    @property
    def is_busy(self) -> bool:
        """Whether a map is being made."""
        return self._jobs.is_busy

    def kept(self, run: Run) -> FreeSpaceMap | None:
        """Return the last map, if it is of this run at any place."""
        kept = self._kept
        return kept[1] if kept is not None and kept[0][0].id == run.id else None

    def wanted(
        self, barn: Barn, run: Run, body: SweptRun, meshes: Mapping[str, Mesh]
    ) -> FreeSpaceMap | None:
        """Return the last map of a run, and begin a newer one if it is out of date."""
        inputs = (run, body, barn.room, barn.fixtures)
        if inputs != (self._kept[0] if self._kept else None) and inputs != self._asked:
            self._jobs.cancel()
            self._asked = inputs
            self._jobs.run(partial(_made, inputs, barn, dict(meshes)))
        return self.kept(run)

    def forget(self) -> None:
        """Let go of the map: no run is chosen, or another document is shown."""
        self._jobs.cancel()
        self._asked = self._kept = None

    def close(self) -> None:
        """End the work, and wait until nothing is left of it."""
        self._jobs.close()

    def _on_finished(self, made: tuple[_Inputs, FreeSpaceMap]) -> None:
        if made[0] is self._asked:
            self._kept, self._asked = made, None
            self.made.emit()

    def _on_failed(self, error: Exception) -> None:
        self._asked = None
        raise error


def _made(
    inputs: _Inputs, barn: Barn, meshes: Mapping[str, Mesh], ticket: Ticket
) -> tuple[_Inputs, FreeSpaceMap]:
    run, body, _, _ = inputs

    def is_wanted() -> bool:
        return not ticket.is_cancelled

    return inputs, run_free_space(barn, run, body, meshes, is_wanted=is_wanted)
