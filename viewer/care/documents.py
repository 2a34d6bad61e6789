"""The care of one session's document: lock, autosave, recovery, changes on disk."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from core.errors import BarnFileError, Fault, LiftlaneError
from viewer.care.asking import Asks
from viewer.care.autosave import Autosave
from viewer.care.lock import DocumentLock
from viewer.care.reading import Opened, Reads, ReadsHere, of_copy, of_file
from viewer.care.recovery import Recovered, abandoned, recovery_folder
from viewer.care.watch import DiskWatch
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["DocumentCare"]


class DocumentCare(QObject):
    """Stands beside a session; it follows what is opened and saved by itself.

    `opened(path)` tells that a file was opened through it.
    """

    opened = Signal(object)

    def __init__(
        self,
        session: Session,
        preferences: Preferences,
        asks: Asks,
        *,
        reads: Reads | None = None,
        folder: Path | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._preferences = preferences
        self._asks = asks
        self._reads = reads or ReadsHere()
        self._folder = folder or recovery_folder()
        self._lock = DocumentLock()
        self.autosave = Autosave(session, self._folder, self)
        self._watch = DiskWatch(self)
        self._watch.changed.connect(self._on_file_changed)
        self._watch.gone.connect(self._on_file_gone)
        session.path_changed.connect(self._on_path_changed)
        session.clean_changed.connect(self._on_clean_changed)
        self._on_path_changed()

    # ----- opening and saving -----

    def open(self, path: Path | str) -> bool:
        """Open a file unless another window has it; say what is in the way.

        Parameters
        ----------
        path : Path or str
            The file.

        Returns
        -------
        bool
            Whether it is open now; otherwise the document is as it was, or the
            file is still being read and `opened` tells when it is there.
        """
        path = Path(path)
        taken: list[Path] = []

        def done(opened: Opened) -> None:
            if self._take(path, opened):
                taken.append(path)

        self._reads.read(of_file(path), done=done, refused=partial(self._refuse, path))
        return bool(taken)

    def _take(self, path: Path, opened: Opened) -> bool:
        """Show what was read, if no other window has the file."""
        holder = self._lock.take(path)
        if holder:
            copy = partial(self._show_copy, opened)
            self._asks.held(path, holder, open_copy=copy)
            return False
        self._session.adopt(opened.file, path=path, library=opened.library)
        self._preferences.remember(path)
        self.opened.emit(path)
        return True

    def _refuse(self, path: Path, error: LiftlaneError) -> None:
        self._preferences.forget(path)
        self._tell_faults(str(path), error)

    def _tell_faults(self, where: str, error: LiftlaneError) -> None:
        """Show what is wrong with a file; what ended the reading is a fault too."""
        if not isinstance(error, BarnFileError):
            fault = Fault(path="file", found=str(error), expected="a file to read")
            error = BarnFileError(where, (fault,))
        self._asks.faults(error)

    def holder_of(self, path: Path | str) -> str:
        """Return who else has a file open, to ask before it is written over."""
        path = Path(path)
        if self._lock.path == path.resolve():
            return ""
        probe = DocumentLock()
        holder = probe.take(path)
        probe.release()
        return holder

    def _show_copy(self, opened: Opened) -> None:
        """Show what a file holds as a document that has no file yet."""
        self._session.recover(opened.file, path=None, library=opened.library)

    # ----- recovery -----

    def offer_recovery(self) -> bool:
        """Offer what other windows have left behind; tell whether there is any."""
        found = abandoned(self._folder)
        if found:
            self._asks.recover(found, take=self._recover, discard=Recovered.remove)
        return bool(found)

    def _recover(self, found: Recovered) -> None:
        """Show a copy; it stays on disk until this window has one of its own."""
        self._reads.read(
            of_copy(found),
            done=partial(self._show_recovered, found),
            refused=partial(self._tell_faults, found.name),
        )

    def _show_recovered(self, found: Recovered, opened: Opened) -> None:
        origin = found.origin
        if origin is not None and self._lock.take(origin):
            origin = None
        self._session.recover(opened.file, path=origin, library=opened.library)
        self.autosave.written.connect(partial(Recovered.remove, found))
        self.autosave.write()

    # ----- changes on disk -----

    def _on_file_changed(self) -> None:
        path = self._session.path
        if path is not None:
            self._asks.changed(
                path,
                has_edits=not self._session.is_clean,
                reload=self._reload,
            )

    def _on_file_gone(self) -> None:
        if self._session.path is not None:
            self._asks.gone(self._session.path)

    def _reload(self) -> None:
        path = self._session.path
        if path is not None:
            self.open(path)

    # ----- following the session -----

    def _on_path_changed(self) -> None:
        path = self._session.path
        if path is None or self._lock.take(path):
            self._lock.release()
        self._watch.watch(path)

    def _on_clean_changed(self, is_clean: bool) -> None:  # noqa: FBT001 - as the signal says
        if is_clean:
            self._watch.know()

    def close(self) -> None:
        """End the care: the copy goes, the lock is free."""
        self.autosave.close()
        self._watch.close()
        self._lock.release()
