"""A copy of unsaved work, never more than a few seconds old."""

from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from viewer.care.recovery import Slot
from viewer.jobs import Jobs, Ticket
from viewer.session import Session

__all__ = ["DELAY", "Autosave"]

DELAY = 2000  # from a change to its copy [ms]; a dead program loses at most 5 s


class Autosave(QObject):
    """Keeps a copy of a session's document while it has unsaved changes.

    Emits `written` when a copy is on disk and `failed(str)` when it could not be
    written; it tries again with the next change.
    """

    written = Signal()
    failed = Signal(str)

    def __init__(
        self, session: Session, folder: Path, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._slot = Slot(folder)
        self._jobs = Jobs(self)
        self._jobs.finished.connect(self._on_copy_written)
        self._jobs.failed.connect(self._on_copy_failed)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(DELAY)
        self._timer.timeout.connect(self.write)
        session.document_changed.connect(self._on_document_changed)
        session.clean_changed.connect(self._on_clean_changed)

    @property
    def file(self) -> Path:
        """Where the copy is."""
        return self._slot.file

    def write(self) -> None:
        """Write the copy now, in the background."""
        self._timer.stop()
        session, slot = self._session, self._slot
        if session.is_clean:
            return
        file, origin = session.file, session.path

        def work(_ticket: Ticket) -> None:
            slot.write(file, origin)

        self._jobs.run(work)

    def close(self) -> None:
        """End, and delete the copy: the work is saved or given up on purpose."""
        self._timer.stop()
        self._jobs.close()
        self._slot.close()

    def _on_document_changed(self, _after: object) -> None:
        if not self._session.is_clean and not self._timer.isActive():
            self._timer.start()

    def _on_clean_changed(self, is_clean: bool) -> None:  # noqa: FBT001 - as the signal says
        if is_clean:
            self._timer.stop()
            if not self._jobs.is_busy:
                self._slot.clear()
        elif not self._timer.isActive():
            self._timer.start()

    def _on_copy_written(self, _nothing: object) -> None:
        if self._session.is_clean:  # saved while the copy was on its way
            self._slot.clear()
        self.written.emit()

    def _on_copy_failed(self, error: Exception) -> None:
        self.failed.emit(str(error))
