"""How the numbers of a mesh file are meant: its unit, which way is up, and its id."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from core.geometry.shapes import Vec3
from core.model.fixtures import MeshUp
from core.quantities import LengthStyle, LengthUnit, format_length
from viewer.panels.editors import QuietCombo
from viewer.panels.note import Note
from viewer.panels.words import choice_words

__all__ = ["MeshSize", "ScanDialog", "ScanWanted"]

# along, across and up by the axis of the file that points up
_AXES: Mapping[MeshUp, tuple[int, int, int]] = {
    MeshUp.X: (1, 2, 0),
    MeshUp.Y: (0, 2, 1),
    MeshUp.Z: (0, 1, 2),
}
_METRES_UP_Y = ".glb"  # the form whose unit and axes are fixed: glTF 2.0, section 3.4


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshSize:
    """What a mesh file holds: triangles, and its size in numbers of its own."""

    name: str
    triangles: int
    size: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanWanted:
    """The answers: the id of the scan, the unit of its file, its upward axis."""

    id: str
    unit: LengthUnit
    up: MeshUp


class ScanDialog(QDialog):
    """Asks what a file does not say, and shows how large the mesh is then."""

    def __init__(
        self,
        mesh: MeshSize,
        proposed: str,
        answered: Callable[[ScanWanted], object],
        *,
        style: LengthStyle,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Liftlane: a scan from a file")
        self._mesh, self._answered, self._style = mesh, answered, style
        is_fixed = mesh.name.lower().endswith(_METRES_UP_Y)
        self.id = QLineEdit(proposed)
        self.unit = QuietCombo()
        self.up = QuietCombo()
        for unit in LengthUnit:
            self.unit.addItem(choice_words(unit), unit)
        for axis in MeshUp:
            self.up.addItem(f"The file's {axis}", axis)
        self.unit.setCurrentIndex(self.unit.findData(LengthUnit.METRE))
        self.up.setCurrentIndex(self.up.findData(MeshUp.Y if is_fixed else MeshUp.Z))
        self.size_line = QLabel()
        self.size_line.setAccessibleName("size of the mesh")
        role = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(role.Ok | role.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        for combo in (self.unit, self.up):
            combo.currentIndexChanged.connect(self._show_size)
        self.id.textChanged.connect(self._show_size)
        self._lay_out()
        self._show_size()

    @property
    def wanted(self) -> ScanWanted:
        """What is chosen now."""
        return ScanWanted(
            id=self.id.text().strip(),
            unit=LengthUnit(self.unit.currentData()),
            up=MeshUp(self.up.currentData()),
        )

    def accept(self) -> None:
        """Hand over what was chosen."""
        super().accept()
        self._answered(self.wanted)

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.addRow("&Id", self.id)
        form.addRow("&Unit of the file", self.unit)
        form.addRow("U&p is", self.up)
        form.addRow("Size then", self.size_line)
        head = QLabel(f"{self._mesh.name}: {self._mesh.triangles:,} triangles")
        head.setTextFormat(Qt.TextFormat.PlainText)
        note = Note(
            "Choose the unit and the axis with which the size is that of the real "
            "thing. Its lowest corner is put at the corner of the room; place and turn "
            "it then in the details. A file from another folder is copied beside the "
            "barn file."
        )
        layout = QVBoxLayout(self)
        for widget in (head, note):
            layout.addWidget(widget)
        layout.addLayout(form)
        layout.addWidget(self.buttons)

    def _show_size(self, *_change: object) -> None:
        wanted = self.wanted
        axes = _AXES[wanted.up]
        along, across, up = (
            format_length(self._mesh.size[axis] * wanted.unit.inches, style=self._style)
            for axis in axes
        )
        self.size_line.setText(f"{along} along, {across} across, {up} high")
        ok = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        ok.setEnabled(bool(wanted.id))
