"""Which sheets and files of a job are wanted, on which paper, in which folder."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from viewer.app.wanting_dialog import WantingDialog
from viewer.panels.note import Note
from viewer.paper.sheets.job_files import KINDS
from viewer.paper.sheets.page import Paper

__all__ = ["SheetsDialog", "SheetsWanted"]

_WORDS = {
    "set": "Installer's set (PDF)",
    "report": "Findings report (PDF)",
    "tables": "Tables (XLSX and CSV)",
    "dxf": "Drawings as DXF",
    "pictures": "Drawings as SVG and PNG",
    "glb": "The room in 3-D (GLB)",
    "json": "All data (JSON)",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsWanted:
    """What is written: the folder, the paper of the PDF files, some of `KINDS`."""

    folder: Path
    paper: Paper
    kinds: tuple[str, ...] = KINDS


class SheetsDialog(WantingDialog[SheetsWanted]):
    """Asks for the sheets of a job; calls back with what is wanted."""

    def __init__(
        self,
        proposed: SheetsWanted,
        answered: Callable[[SheetsWanted], object],
        parent: QWidget | None,
    ) -> None:
        super().__init__("job sheets", "Write", answered, parent)
        self._proposed = proposed
        self.folder = QLineEdit(str(proposed.folder))
        self.folder.setAccessibleName("folder")
        self.folder.setMinimumWidth(360)
        self.folder.textChanged.connect(self._on_changed)
        self.choose_button = QPushButton("Choose...")
        self.choose_button.clicked.connect(self._choose)
        self.paper = QComboBox()
        self.paper.setAccessibleName("paper")
        self.paper.addItems(list(Paper))
        self.paper.setCurrentText(proposed.paper)
        self.kinds = {kind: QCheckBox(_WORDS[kind]) for kind in KINDS}
        for kind, box in self.kinds.items():
            box.setChecked(kind in proposed.kinds)
            box.toggled.connect(self._on_changed)
        self._lay_out()
        self._on_changed()

    @property
    def wanted(self) -> SheetsWanted:
        """What is chosen now."""
        kinds = tuple(kind for kind, box in self.kinds.items() if box.isChecked())
        return replace(
            self._proposed,
            folder=Path(self.folder.text().strip()),
            paper=Paper(self.paper.currentText()),
            kinds=kinds,
        )

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self.folder, 1)
        row.addWidget(self.choose_button)
        form = QFormLayout()
        label = QLabel("&Folder")
        label.setBuddy(self.folder)
        form.addRow(label, row)
        form.addRow("&Paper", self.paper)
        for box in self.kinds.values():
            form.addRow("", box)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(
            Note("Files of the same names in the folder are replaced, others stay.")
        )
        layout.addWidget(self.buttons)

    def _on_changed(self) -> None:
        is_whole = bool(self.folder.text().strip() and self.wanted.kinds)
        self.write_button.setEnabled(is_whole)

    def _choose(self) -> None:
        near = Path(self.folder.text().strip())
        start = near if near.is_dir() else near.parent
        dialog = QFileDialog(self, "The folder of the job's sheets", str(start))
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.setFileMode(QFileDialog.FileMode.Directory)
        dialog.setOption(QFileDialog.Option.ShowDirsOnly)
        dialog.fileSelected.connect(self.folder.setText)
        dialog.open()
