"""The help page: the cautions first, then how the window works, then every key."""

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from core.rules.cautions import CAUTIONS, DEFERENCE

__all__ = ["HelpPage", "help_text"]

_HOW = {
    "Look": "Plan, section and long section show one barn, one selection and one "
    "lift. Drag the cut in the plan or the long section to move the section; the "
    "lift slider takes every run from working height to stowed.",
    "Change": "Drag things in a drawing by themselves or by their handles: a chosen "
    "pen by its corners and sides, a run by its ends. Supports go from truss to "
    "truss, with Shift anywhere. Or choose things and type in Details: "
    "7 ft 3-1/2 in, 7'3.5\", 87-1/2, 2.22 m and 2220 mm are all read. Each change can "
    "be undone.",
    "Check": "Findings follow every change. Choose one, and every drawing and the "
    "lift go to it. What was not checked, and values of this job's own, stand first.",
    "Own parts": "Parts lists the pulleys, ropes, screws and winches of this job's "
    "own. Copy a standard one to change its numbers and say where they are from; it "
    "can then be chosen in Details wherever a part of its kind is.",
    "Scans": "Add, Fixture, Scan from a file puts a mesh (STL, PLY, OBJ, GLB) into "
    "the room. A room with a large scan opens behind a dialog; Cancel leaves what was "
    "open as it was.",
    "Hand over": "The File menu writes the job's sheets, the findings report, each "
    "drawing and all data, and shows the installer's set before it is printed. You can "
    "go on meanwhile; what is made is of the barn as it was when you asked.",
    "Record": "F7 shows the commissioning record. Type what was measured: Enter goes "
    "down the column, Tab to the next cell. What is out of tolerance is flagged at "
    "once, what is blank is counted, and all is printed with the installer's set.",
    "Keep": "Unsaved work is copied every few seconds; after a power cut the copy is "
    "offered at the next start. Your own file is written only when you save.",
}


def help_text(keys: Sequence[tuple[str, str]]) -> str:
    """Return the help page.

    Parameters
    ----------
    keys : sequence of (key, what it does)
        From the table of actions.

    Returns
    -------
    str
        As HTML without colours, so that it is read in light and dark.
    """
    cautions = "".join(f"<p>{escape(each)}</p>" for each in CAUTIONS)
    how = "".join(
        f"<p><b>{escape(title)}.</b> {escape(words)}</p>"
        for title, words in _HOW.items()
    )
    rows = "".join(
        f"<tr><td><b>{escape(key)}</b></td><td>{escape(words)}</td></tr>"
        for key, words in keys
    )
    table = f'<h3>Keys</h3><table cellpadding="4">{rows}</table>' if rows else ""
    return (
        f"<h2>\N{WARNING SIGN} Before you work on the barn</h2>{cautions}"
        f"<p>{escape(DEFERENCE)}</p><h2>How the window works</h2>{how}{table}"
    )


class HelpPage(QDialog):
    """Shows the help beside the window, which stays usable."""

    def __init__(
        self, keys: Sequence[tuple[str, str]], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Liftlane: help")
        self.resize(680, 720)
        self.text = QTextBrowser()
        self.text.setAccessibleName("help")
        self.text.setHtml(help_text(keys))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.close)
        layout = QVBoxLayout(self)
        layout.addWidget(self.text)
        layout.addWidget(buttons)
