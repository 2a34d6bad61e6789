"""A dialog that asks for something, with a button to write and one to go back."""

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QWidget

__all__ = ["WantingDialog"]

W = TypeVar("W")


class WantingDialog(QDialog, Generic[W]):
    """Calls back with what is `wanted` when it is accepted; then it is gone.

    Its `buttons` are to be put at the end of the layout.
    """

    def __init__(
        self,
        title: str,
        write: str,
        answered: Callable[[W], object],
        parent: QWidget | None,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(f"Liftlane: {title}")
        self._answered = answered
        self.buttons = QDialogButtonBox()
        role = QDialogButtonBox.ButtonRole
        self.write_button = self.buttons.addButton(write, role.AcceptRole)
        self.buttons.addButton("Go back", role.RejectRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)

    @property
    def wanted(self) -> W:
        """What is chosen now."""
        raise NotImplementedError

    def accept(self) -> None:
        """Close, and hand over what is wanted."""
        wanted = self.wanted
        super().accept()
        self._answered(wanted)
