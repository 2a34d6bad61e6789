"""The findings panel: a sorted, filtered tree, and one finding in full beside it."""

from collections.abc import Callable

from PySide6.QtCore import QModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QGuiApplication, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QSplitter,
    QTreeView,
    QVBoxLayout,
    QWidget,
)

from core.analysis.report import Report
from core.rules.finding import Finding, Outcome
from core.rules.wording import message, remedy
from viewer.panels.colours import OUTCOME_SIGNS, OUTCOME_WORDS
from viewer.panels.details import scrolled
from viewer.panels.editors import QuietCombo, Tick
from viewer.panels.finding_rows import COLUMNS, Row, cell, source_of
from viewer.panels.findings_model import FindingsModel, FindingsShown
from viewer.panels.layouts import LetterColumns
from viewer.panels.note import Note
from viewer.panels.panel import Panel
from viewer.paper.guarded import guarded
from viewer.preferences import Preferences
from viewer.session import Session

__all__ = ["Findings"]

_SPANNED = True  # the title of a group goes over all columns
SETTLE = 200  # while something is dragged, rows follow this often [ms]
_WIDTHS = {"No.": 10, "Outcome": 16, "Subject": 10, "Other": 14, "Finding": 60}


class Findings(Panel):
    """Lists what the analysis found; the one that is chosen is shown everywhere.

    Emits `place_wanted(points)` with the points of a finding in room coordinates
    [in] after the session has taken its selection, lift and cut.
    """

    place_wanted = Signal(object)

    def __init__(
        self, session: Session, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName("findings")
        self._session = session
        self._preferences = preferences
        self.model = FindingsModel(self)
        self.shown = FindingsShown(self.model, self)
        self._settling = QTimer(self)
        self._settling.setSingleShot(True)
        self._settling.setInterval(SETTLE)
        self._settling.timeout.connect(self.renew)
        self._is_showing = False
        self._make_filters()
        self._make_tree()
        self._make_text()
        self._lay_out()
        session.report_changed.connect(self._on_report_changed)
        session.checking_lasts.connect(self._on_checking_lasts)
        session.selection_changed.connect(self._on_selection_changed)
        preferences.changed.connect(self.renew)
        self.renew()

    # ----- what is shown -----

    def renew(self) -> None:
        """Show the newest report."""
        report = self._session.report
        if report is None:
            return
        style = self._preferences.length_style(report.barn.job)
        self.model.show_report(report, style)
        self._count(report)
        self._list_rules(report)
        self._list_groups()
        self._span_groups()
        self._tell_current()

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was left out while the panel was hidden."""
        super().showEvent(event)
        self.renew()

    def current(self) -> Row | None:
        """Return the row that is chosen."""
        return self.model.row_of(self.shown.mapToSource(self.tree.currentIndex()))

    def choose(self, number: int) -> None:
        """Choose the finding with a number, as a click on it does."""
        index = self.shown.mapFromSource(self.model.index_of_number(number))
        if index.isValid():
            self.tree.setCurrentIndex(index)

    # ----- building -----

    def _make_filters(self) -> None:
        self.search = QLineEdit()
        self.search.setPlaceholderText("Search the findings")
        self.search.setAccessibleName("search the findings")
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._on_search_changed)
        self.outcomes = {outcome: self._outcome_box(outcome) for outcome in Outcome}
        self.group = _filter_combo("group of findings", self._on_group_activated)
        self.rule = _filter_combo("rule", self._on_rule_activated)

    def _outcome_box(self, outcome: Outcome) -> Tick:
        button = Tick("")
        button.setChecked(outcome in self.shown.outcomes)
        words = OUTCOME_WORDS[outcome].lower()
        button.setAccessibleName(f"show {words}")
        button.setToolTip(f"List the findings of the kind: {words}")
        button.toggled.connect(self._on_outcome_toggled)
        return button

    def _make_tree(self) -> None:
        tree = self.tree = QTreeView()
        tree.setModel(self.shown)
        tree.setAccessibleName("list of findings")
        tree.setSortingEnabled(True)
        tree.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        tree.setUniformRowHeights(True)
        tree.setAlternatingRowColors(True)
        tree.setAllColumnsShowFocus(True)
        tree.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        header = tree.header()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        letter = self.fontMetrics().averageCharWidth()
        for column, name in enumerate(COLUMNS):
            header.resizeSection(column, letter * (_WIDTHS.get(name, 16) + 2))
        LetterColumns(tree)
        tree.selectionModel().currentChanged.connect(self._on_current_changed)
        tree.activated.connect(self._on_row_activated)
        self.shown.rowsInserted.connect(self._on_rows_inserted)
        copy = QAction("Copy the finding", tree)
        copy.setShortcut("Ctrl+Shift+C")
        copy.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        copy.triggered.connect(self.copy)
        tree.addAction(copy)
        tree.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)

    def _make_text(self) -> None:
        self.head = QLabel()
        font = self.head.font()
        font.setBold(True)
        self.head.setFont(font)
        self.text = QLabel()
        self.source = Note()
        for label in (self.head, self.text, self.source):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setTextInteractionFlags(
                Qt.TextInteractionFlag.TextSelectableByMouse
                | Qt.TextInteractionFlag.TextSelectableByKeyboard
            )
        self.text.setAccessibleName("the finding in full")

    def _lay_out(self) -> None:
        filters = QHBoxLayout()
        filters.setSpacing(filters.spacing() + 6)
        for button in self.outcomes.values():
            filters.addWidget(button)
        filters.addWidget(self.group, 1)
        filters.addWidget(self.rule, 1)
        filters.addWidget(self.search, 2)
        self.checking = Note("Checking the newest change; the list is of a moment ago.")
        self.checking.hide()
        full = QWidget()
        column = QVBoxLayout(full)
        column.setContentsMargins(4, 4, 4, 4)
        for label in (self.head, self.text, self.source):
            column.addWidget(label)
        column.addStretch(1)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(self.tree)
        self._full = scrolled(full)
        split.addWidget(self._full)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 1)
        split.setSizes([900, 300])
        layout = QVBoxLayout(self)
        layout.addLayout(filters)
        layout.addWidget(self.checking)
        layout.addWidget(split, 1)

    # ----- filters -----

    def _count(self, report: Report) -> None:
        """Write on each button how many findings have its outcome."""
        counts = dict.fromkeys(Outcome, 0)
        for finding in report.findings:
            counts[finding.outcome] += 1
        for outcome, button in self.outcomes.items():
            words = OUTCOME_WORDS[outcome]
            button.setText(f"{OUTCOME_SIGNS[outcome]} {words} {counts[outcome]}")

    def _list_rules(self, report: Report) -> None:
        names = sorted({finding.rule for finding in report.findings})
        _fill(self.rule, "all rules", {name: name for name in names})

    def _list_groups(self) -> None:
        root = QModelIndex()
        nodes = [
            self.model.node(self.model.index(row, 0, root))
            for row in range(self.model.rowCount(root))
        ]
        titles = {str(n.key): getattr(n.what, "title", str(n.key)) for n in nodes}
        _fill(self.group, "all runs and parts", titles)

    def _on_outcome_toggled(self, _checked: bool) -> None:  # noqa: FBT001 - as Qt sends it
        chosen = [each for each, button in self.outcomes.items() if button.isChecked()]
        self.shown.narrow(outcomes=chosen)
        self._span_groups()

    def _on_search_changed(self, text: str) -> None:
        self.shown.narrow(text=text)
        self._span_groups()

    def _on_group_activated(self) -> None:
        self.shown.narrow(group=self.group.currentData() or "")
        self._span_groups()

    def _on_rule_activated(self) -> None:
        self.shown.narrow(rule=self.rule.currentData() or "")
        self._span_groups()

    def _on_rows_inserted(self, parent: QModelIndex, _first: int, _last: int) -> None:
        if not parent.isValid():
            self._span_groups()

    def _span_groups(self) -> None:
        """Let the titles of groups run over all columns, and open the groups."""
        root = QModelIndex()
        for row in range(self.shown.rowCount(root)):
            if not self.tree.isFirstColumnSpanned(row, root):
                self.tree.setFirstColumnSpanned(row, root, _SPANNED)
                self.tree.expand(self.shown.index(row, 0, root))

    # ----- following -----

    def _on_report_changed(self) -> None:
        if self.isVisible() and not self._settling.isActive():
            self._settling.start()

    def _on_checking_lasts(self, is_lasting: bool) -> None:  # noqa: FBT001 - as the signal says
        self.checking.setVisible(is_lasting)

    def _on_selection_changed(self) -> None:
        """Follow a finding that was chosen elsewhere, or let go of the one here."""
        number = self._session.finding
        row = self.current()
        if self.model.report is not self._session.report:
            return
        if number is None:
            return
        if row is None or row.number != number:
            self._is_showing = True
            self.choose(number)
            self._is_showing = False

    def _on_current_changed(self, _now: QModelIndex, _before: QModelIndex) -> None:
        self._tell_current()
        if not self._is_showing:
            self._show_everywhere()

    def _on_row_activated(self, _index: QModelIndex) -> None:
        self._show_everywhere()

    def _show_everywhere(self) -> None:
        row = self.current()
        if row is None or row.finding is None:
            return
        number = self._number_now(row)
        if number is None:
            return
        self._is_showing = True
        self._session.show_finding(number)
        self._is_showing = False
        if row.finding.points:
            self.place_wanted.emit(row.finding.points)

    def _number_now(self, row: Row) -> int | None:
        """Return the number of a finding in the newest report, None if it is gone."""
        report = self._session.report
        if report is self.model.report or report is None:
            return row.number
        same = [n for n, f in enumerate(report.findings, 1) if f == row.finding]
        return same[0] if same else None

    def _tell_current(self) -> None:
        row = self.current()
        finding = row.finding if row is not None else None
        self._full.setHidden(row is None)
        if row is None or finding is None:
            self.head.setText("" if row is None else self._cell(row, "Rule"))
            self.text.setText("" if row is None else self._cell(row, "Finding"))
            self.source.setText("")
            return
        sign = OUTCOME_SIGNS[finding.outcome]
        words = OUTCOME_WORDS[finding.outcome]
        self.head.setText(f"{sign} {words} {row.number}: {finding.rule}")
        style = self.model.style
        advice = remedy(finding, style=style)
        self.text.setText(
            "\n".join(filter(None, (message(finding, style=style), advice)))
        )
        self.source.setText(self._place_words(row, finding))

    def _place_words(self, row: Row, finding: Finding) -> str:
        """Return value, limit, place and source in one line."""
        names = ("Value", "Limit", "Height", "Lift", "Station")
        parts = [f"{n.lower()} {text}" for n in names if (text := self._cell(row, n))]
        return ", ".join(parts) + f"\nSource: {source_of(finding)}"

    def _cell(self, row: Row, name: str) -> str:
        return cell(row, COLUMNS.index(name), style=self.model.style)

    def copy(self) -> None:
        """Put the chosen finding on the clipboard, in words."""
        texts = (self.head.text(), self.text.text(), self.source.text())
        QGuiApplication.clipboard().setText("\n".join(filter(None, texts)))


def _filter_combo(name: str, on_activated: Callable[[], None]) -> QuietCombo:
    combo = QuietCombo()
    combo.setAccessibleName(f"show only one {name}")
    combo.activated.connect(on_activated)
    return combo


def _fill(combo: QuietCombo, everything: str, lines: dict[str, str]) -> None:
    """List choices under one for everything; keep what is chosen while it is there."""
    wanted = ["", *lines]
    if [combo.itemData(k) for k in range(combo.count())] == wanted:
        return
    chosen = combo.currentData()
    combo.clear()
    combo.addItem(everything, "")
    for key, words in lines.items():
        combo.addItem(words, key)
    combo.setCurrentIndex(max(combo.findData(chosen), 0))
