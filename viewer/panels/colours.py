"""How an outcome looks in a list: by a sign and a word, never by colour alone."""

from PySide6.QtGui import QColor, QPalette

from core.rules.finding import Outcome
from viewer.paper.theme import DARK, LIGHT, Theme

__all__ = ["OUTCOME_SIGNS", "OUTCOME_WORDS", "outcome_colour", "theme_of"]

OUTCOME_SIGNS = {
    Outcome.STOP: "\N{MULTIPLICATION X}",
    Outcome.CAUTION: "\N{BLACK UP-POINTING TRIANGLE}",
    Outcome.NOT_CHECKED: "?",
    Outcome.PASS: "\N{CHECK MARK}",
}
OUTCOME_WORDS = {
    Outcome.STOP: "Stop",
    Outcome.CAUTION: "Caution",
    Outcome.NOT_CHECKED: "Not checked",
    Outcome.PASS: "Pass",
}


def theme_of(palette: QPalette) -> Theme:
    """Return the colours that go with a window's palette."""
    dark = palette.color(QPalette.ColorRole.Base).lightness() < 128
    return DARK if dark else LIGHT


def outcome_colour(outcome: Outcome, palette: QPalette) -> QColor:
    """Return the colour of an outcome's sign."""
    theme = theme_of(palette)
    names = {
        Outcome.STOP: theme.stop,
        Outcome.CAUTION: theme.caution,
        Outcome.NOT_CHECKED: theme.accent,
        Outcome.PASS: theme.plain,
    }
    return QColor(names[outcome])
