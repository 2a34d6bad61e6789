"""Light and dark: the palette of the widgets and the theme of the drawings."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from viewer.paper.theme import DARK, LIGHT, Theme, mixed
from viewer.preferences import Scheme

__all__ = ["dress", "palette_of", "theme_of"]


def theme_of(scheme: Scheme) -> Theme:
    """Return the theme of a choice; the system's where it tells, else light."""
    if scheme is Scheme.SYSTEM:
        system = QGuiApplication.styleHints().colorScheme()
        return DARK if system == Qt.ColorScheme.Dark else LIGHT
    return DARK if scheme is Scheme.DARK else LIGHT


def palette_of(theme: Theme) -> QPalette:
    """Return the palette of the widgets that goes with a theme."""
    role = QPalette.ColorRole
    window = mixed(theme.strong, theme.paper, 0.06)
    button = mixed(theme.strong, theme.paper, 0.10)
    palette = QPalette()
    for which, colour in (
        (role.Window, window),
        (role.WindowText, theme.strong),
        (role.Base, theme.paper),
        (role.AlternateBase, mixed(theme.strong, theme.paper, 0.04)),
        (role.Text, theme.strong),
        (role.Button, button),
        (role.ButtonText, theme.strong),
        (role.BrightText, theme.stop),
        (role.ToolTipBase, theme.paper),
        (role.ToolTipText, theme.strong),
        (role.PlaceholderText, theme.faint),
        (role.Highlight, theme.accent),
        (role.HighlightedText, theme.paper),
        (role.Link, theme.accent),
        (role.Light, mixed(theme.strong, theme.paper, 0.02)),
        (role.Midlight, mixed(theme.strong, theme.paper, 0.08)),
        (role.Mid, mixed(theme.strong, theme.paper, 0.25)),
        (role.Dark, mixed(theme.strong, theme.paper, 0.35)),
        (role.Shadow, mixed(theme.strong, theme.paper, 0.50)),
    ):
        palette.setColor(which, QColor(colour))
    grey = QColor(theme.faint)
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, grey)
    return palette


def dress(application: QApplication, scheme: Scheme) -> Theme:
    """Dress the application and return the theme of its drawings."""
    theme = theme_of(scheme)
    application.setStyle("Fusion")
    application.setPalette(palette_of(theme))
    return theme
