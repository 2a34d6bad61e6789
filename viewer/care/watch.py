"""Noticing that the file of the document is another one by now."""

from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

__all__ = ["DiskWatch"]

SETTLE = 250  # a program that saves is given this long to finish [ms]


class DiskWatch(QObject):
    """Watches one file by what is in it, whether it is rewritten or replaced.

    Emits `changed` when its bytes are others than those known, and `gone` when
    it is not there any more.
    """

    changed = Signal()
    gone = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path: Path | None = None
        self._known: bytes | None = None
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._on_something_changed)
        self._watcher.directoryChanged.connect(self._on_something_changed)
        self._settling = QTimer(self)
        self._settling.setSingleShot(True)
        self._settling.setInterval(SETTLE)
        self._settling.timeout.connect(self._look)

    def watch(self, path: Path | None) -> None:
        """Watch a file as it is now, in the place of the one before."""
        self._settling.stop()
        old = [*self._watcher.files(), *self._watcher.directories()]
        if old:
            self._watcher.removePaths(old)
        self._path = path.resolve() if path is not None else None
        self._known = _bytes_of(self._path)
        if self._path is not None:
            self._watcher.addPath(str(self._path.parent))
        self._add_file()

    def know(self) -> None:
        """Take the file as it is now for known: it was just saved or read."""
        self._known = _bytes_of(self._path)
        self._add_file()

    def close(self) -> None:
        """Watch nothing any more."""
        self.watch(None)

    def _add_file(self) -> None:
        """Watch the file itself; a replaced one has to be watched anew."""
        if self._path is None or str(self._path) in self._watcher.files():
            return
        if self._path.is_file():
            self._watcher.addPath(str(self._path))

    def _on_something_changed(self, _where: str) -> None:
        if self._path is not None:
            self._settling.start()

    def _look(self) -> None:
        now = _bytes_of(self._path)
        if now == self._known:
            self._add_file()
            return
        self._known = now
        self._add_file()
        (self.gone if now is None else self.changed).emit()


def _bytes_of(path: Path | None) -> bytes | None:
    try:
        return path.read_bytes() if path is not None else None
    except OSError:
        return None
