"""Taking widgets out of a layout for good."""

from PySide6.QtWidgets import QLayout

__all__ = ["emptied"]


def emptied(layout: QLayout) -> None:
    """Take everything out of a layout; the widgets go when events are next seen to."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
