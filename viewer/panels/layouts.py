"""Small pieces of layout: emptying one, and buttons that are one sign wide."""

from PySide6.QtWidgets import QLayout, QToolButton

__all__ = ["emptied", "small_button"]


def emptied(layout: QLayout) -> None:
    """Take everything out of a layout; the widgets go when events are next seen to."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()


def small_button(text: str, name: str) -> QToolButton:
    """Return a button with a sign on it, named for screen readers and tooltips."""
    button = QToolButton()
    button.setText(text)
    button.setToolTip(name)
    button.setAccessibleName(name)
    return button
