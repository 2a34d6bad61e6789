"""The table of actions: everything that menus, keys and buttons do."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu

from viewer.session import Session

__all__ = ["Action", "Actions", "always"]

Enabled = Callable[[Session], bool]


def always(_session: Session) -> bool:
    """Tell that an action can be done whatever is shown."""
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One row: id `area.verb`, menu, title, keys, what it calls, when it can.

    `title` carries the letter of its menu key after an ampersand; `tip` says more
    than the title.
    """

    id: str
    menu: str
    title: str
    call: Callable[[], object]
    keys: tuple[str, ...] = ()
    tip: str = ""
    when: Enabled = always
    is_checked: Callable[[], bool] | None = None
    starts_group: bool = False

    @property
    def words(self) -> str:
        """Its title without the mark of the menu key."""
        return self.title.replace("&", "").removesuffix("...")


class Actions:
    """The table with the QActions made of it; mutable, for QActions are."""

    def __init__(
        self, window: QMainWindow, session: Session, rows: tuple[Action, ...]
    ) -> None:
        self.rows = rows
        self._session = session
        self.by_id: Mapping[str, QAction] = {row.id: _made(window, row) for row in rows}

    def refresh(self) -> None:
        """Let each action be enabled and checked as it should be now."""
        for row in self.rows:
            action = self.by_id[row.id]
            action.setEnabled(row.when(self._session))
            if row.is_checked is not None:
                action.setChecked(row.is_checked())

    def fill(self, menu: QMenu, name: str) -> None:
        """Put the actions of a menu into it."""
        for row in self.rows:
            if row.menu == name:
                if row.starts_group:
                    menu.addSeparator()
                menu.addAction(self.by_id[row.id])


def _made(window: QMainWindow, row: Action) -> QAction:
    action = QAction(row.title, window)
    action.setObjectName(row.id)
    action.setShortcuts([QKeySequence(key) for key in row.keys])
    tip = row.tip or row.words
    keys = ", ".join(row.keys)
    action.setToolTip(f"{tip} ({keys})" if keys else tip)
    action.setStatusTip(tip)
    action.setCheckable(row.is_checked is not None)
    action.triggered.connect(row.call)
    window.addAction(action)
    return action
