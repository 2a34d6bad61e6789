"""The start page: recent files, samples, a new room, a file to open."""

import sysconfig
from collections.abc import Callable, Iterable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

import viewer
from core.rules.cautions import DEFERENCE
from viewer.panels.note import Note
from viewer.preferences import Preferences

__all__ = ["StartPage", "samples"]

_FOLDER = "sample_barns"
_PATH = Qt.ItemDataRole.UserRole
_SAMPLES = {
    "plain": "Plain: 100 by 41 ft, flat ceiling, nothing stops the job",
    "awkward": "Awkward: 80 by 40 ft, stepped ceiling, things in the way",
    "nursery": "Nursery: 12 by 7.2 m, gable ceiling, in millimetres",
    "tunnel": "Tunnel: 200 by 41 ft, tunnel fans, four long runs",
    "scan": "Scan: 60 by 30 ft, with a scanned triangle mesh",
}


def samples() -> tuple[Path, ...]:
    """Return the sample barns: beside the program's checkout, or as installed."""
    places = (
        Path(viewer.__file__).resolve().parent.parent / _FOLDER,
        Path(sysconfig.get_path("data")) / "share" / "liftlane" / _FOLDER,
    )
    found = next((place for place in places if place.is_dir()), None)
    return tuple(sorted(found.glob("*.json"))) if found is not None else ()


class StartPage(QDialog):
    """Offers a way to begin; emits what was chosen and closes."""

    file_wanted = Signal(object)
    new_wanted = Signal()
    open_wanted = Signal()

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Liftlane: begin")
        self.resize(760, 460)
        self.new = _big("New room...", "A room from a few numbers")
        self.open_file = _big("Open...", "A barn file from disk")
        self.new.clicked.connect(self._on_new_clicked)
        self.open_file.clicked.connect(self._on_open_clicked)
        self.recent = self._list("recent files", preferences.recent, _recent_line)
        self.samples = self._list("sample barns", samples(), _sample_line)
        self._lay_out()

    def _list(
        self, name: str, paths: Iterable[Path], line: Callable[[Path], str]
    ) -> QListWidget:
        box = QListWidget()
        box.setAccessibleName(name)
        for path in paths:
            item = QListWidgetItem(line(path))
            item.setData(_PATH, str(path))
            item.setToolTip(str(path))
            box.addItem(item)
        box.itemActivated.connect(self._on_file_activated)
        box.itemClicked.connect(self._on_file_activated)
        return box

    def _lay_out(self) -> None:
        head = QLabel("Begin with")
        font = head.font()
        font.setBold(True)
        head.setFont(font)
        buttons = QHBoxLayout()
        buttons.addWidget(self.new)
        buttons.addWidget(self.open_file)
        buttons.addStretch(1)
        lists = QHBoxLayout()
        for title, box in (
            ("&Recent files", self.recent),
            ("&Sample barns", self.samples),
        ):
            column = QVBoxLayout()
            label = QLabel(title)
            label.setBuddy(box)
            column.addWidget(label)
            column.addWidget(box)
            lists.addLayout(column, 1)
        layout = QVBoxLayout(self)
        layout.addWidget(head)
        layout.addLayout(buttons)
        layout.addLayout(lists, 1)
        if not self.recent.count():
            self.recent.setEnabled(False)
            self.recent.addItem("Files that you open are listed here.")
        layout.addWidget(Note(DEFERENCE))

    def _on_file_activated(self, item: QListWidgetItem) -> None:
        path = item.data(_PATH)
        if path:
            self.close()
            self.file_wanted.emit(Path(path))

    def _on_new_clicked(self) -> None:
        self.close()
        self.new_wanted.emit()

    def _on_open_clicked(self) -> None:
        self.close()
        self.open_wanted.emit()


def _big(title: str, words: str) -> QPushButton:
    button = QPushButton(f"{title}\n{words}")
    button.setMinimumSize(220, 64)
    button.setAccessibleName(title.rstrip("."))
    button.setAccessibleDescription(words)
    button.setAutoDefault(False)
    return button


def _recent_line(path: Path) -> str:
    return f"{path.stem}\n{path.parent}"


def _sample_line(path: Path) -> str:
    return _SAMPLES.get(path.stem, path.stem)
