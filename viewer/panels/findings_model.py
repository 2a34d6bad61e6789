"""The findings for a tree view: a model of rows, and what is shown of them."""

from collections.abc import Iterable

from PySide6.QtCore import (
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QSortFilterProxyModel,
    Qt,
)
from PySide6.QtGui import QBrush, QFont, QGuiApplication

from core.analysis.report import Report
from core.quantities import LengthStyle
from core.rules.finding import Outcome
from viewer.panels.colours import OUTCOME_SIGNS, outcome_colour
from viewer.panels.finding_rows import COLUMNS, Group, Row, branches, cell, sort_key
from viewer.panels.tree_model import AnyIndex, Node, TreeModel

__all__ = ["FindingsModel", "FindingsShown"]

_NOWHERE = QModelIndex()
_OUTCOME = COLUMNS.index("Outcome")
_SEARCHED = tuple(
    COLUMNS.index(name) for name in ("Subject", "Other", "Finding", "Rule", "Remedy")
)


class FindingsModel(TreeModel):
    """The rows of a report in groups: not checked, overrides, then each run."""

    columns = COLUMNS

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.style = LengthStyle.FEET
        self.report: Report | None = None

    def show_report(self, report: Report, style: LengthStyle) -> None:
        """Take over a report; a new style of lengths renews every cell."""
        if style is not self.style:
            self.style = style
            self.beginResetModel()
            self.endResetModel()
        self.report = report
        self.take(branches(report))

    def row_of(self, index: AnyIndex) -> Row | None:
        """Return the finding or override of an index, None for a group."""
        what = self.node(index).what
        return what if isinstance(what, Row) else None

    def index_of_number(self, number: int) -> QModelIndex:
        """Return the index of the finding with a number, none if it is not there."""
        for group in self._root.rows:
            for node in group.rows:
                if isinstance(node.what, Row) and node.what.number == number:
                    return self.index_of(node)
        return QModelIndex()

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return what a cell shows."""
        node = self.node(index)
        if isinstance(node.what, Group):
            return _group_data(node, index.column(), role)
        if isinstance(node.what, Row):
            return self._row_data(node.what, index.column(), role)
        return None

    def _row_data(self, row: Row, column: int, role: int) -> object:
        found = row.finding
        match role:
            case Qt.ItemDataRole.DisplayRole:
                text = cell(row, column, style=self.style)
                sign = OUTCOME_SIGNS[found.outcome] if found else ""
                return f"{sign} {text}".lstrip() if column == _OUTCOME else text
            case Qt.ItemDataRole.ToolTipRole | Qt.ItemDataRole.AccessibleTextRole:
                return cell(row, column, style=self.style)
            case Qt.ItemDataRole.ForegroundRole if column == _OUTCOME and found:
                colour = outcome_colour(found.outcome, QGuiApplication.palette())
                return QBrush(colour)
        return None


def _group_data(node: Node, column: int, role: int) -> object:
    what = node.what
    if column > 0 or not isinstance(what, Group):
        return None
    if role == Qt.ItemDataRole.DisplayRole:
        return f"{what.title} \N{EN DASH} {what.counts}"
    if role == Qt.ItemDataRole.FontRole:
        font = QFont()
        font.setBold(True)
        return font
    return None


class FindingsShown(QSortFilterProxyModel):
    """The findings of some outcomes, one group, one rule and a text, in an order."""

    def __init__(self, model: FindingsModel, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self._outcomes = {Outcome.STOP, Outcome.CAUTION, Outcome.NOT_CHECKED}
        self._group = ""
        self._rule = ""
        self._text = ""
        self.setSourceModel(model)
        self.setDynamicSortFilter(True)
        self.setRecursiveFilteringEnabled(True)
        self.sort(0)

    @property
    def outcomes(self) -> frozenset[Outcome]:
        """The outcomes that are shown."""
        return frozenset(self._outcomes)

    def narrow(
        self,
        *,
        outcomes: Iterable[Outcome] | None = None,
        group: str | None = None,
        rule: str | None = None,
        text: str | None = None,
    ) -> None:
        """Show less or more; what is not named stays as it is, empty shows all."""
        self.beginFilterChange()
        if outcomes is not None:
            self._outcomes = set(outcomes)
        self._group = self._group if group is None else group
        self._rule = self._rule if rule is None else rule
        self._text = self._text if text is None else text.casefold().strip()
        self.endFilterChange()

    def filterAcceptsRow(self, row: int, parent: AnyIndex) -> bool:  # noqa: N802 - Qt's name
        """Tell whether a row is shown; a group is shown for the sake of its rows."""
        group = self._model.node(parent)
        if self._group and group.key != self._group:
            return False
        return self._accepts(group.rows[row].what)

    def lessThan(  # noqa: N802 - Qt's name
        self,
        left: QModelIndex | QPersistentModelIndex,
        right: QModelIndex | QPersistentModelIndex,
    ) -> bool:
        """Order rows by their values; groups stay as they are."""
        a, b = self._model.row_of(left), self._model.row_of(right)
        if a is None or b is None:
            ahead = left.row() < right.row()
            return ahead == (self.sortOrder() is Qt.SortOrder.AscendingOrder)
        column, style = left.column(), self._model.style
        key_a, key_b = (
            (*sort_key(row, column, style=style), row.number) for row in (a, b)
        )
        return key_a < key_b

    def _accepts(self, what: object) -> bool:
        if not isinstance(what, Row):
            return False
        found = what.finding
        if found is not None and found.outcome not in self._outcomes:
            return False
        if found is not None and self._rule and found.rule != self._rule:
            return False
        return not self._text or any(
            self._text in cell(what, column, style=self._model.style).casefold()
            for column in _SEARCHED
        )
