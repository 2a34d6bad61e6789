"""The main window: docks with the views, menus from the table, the status bar."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QByteArray, QMetaObject, Qt, QTimer, Slot
from PySide6.QtGui import QCloseEvent, QGuiApplication, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QDockWidget,
    QMainWindow,
    QMenu,
    QToolBar,
    QVBoxLayout,
    QWidget,
)

from core.drawing.memo import Memo
from core.errors import LiftlaneError
from core.geometry.shapes import Vec3
from core.rules.finding import Outcome
from viewer.app.actions import Actions
from viewer.app.appearance import dress
from viewer.app.keys import KeyList, key_rows
from viewer.app.lift_panel import LiftPanel
from viewer.app.making import Maker, sentence
from viewer.app.outgoing import Outgoing
from viewer.app.pictures import Pictures
from viewer.app.questions import Questions
from viewer.app.scan_adding import ScanAdding
from viewer.app.scan_reading import ScanReading
from viewer.app.table import FILE, MENUS, VIEW, action_rows
from viewer.app.waiting import Waiting
from viewer.care.copying import Copy, clear_parts, copies_for, copy_files, is_long
from viewer.care.documents import DocumentCare
from viewer.panels.docks import add_panels
from viewer.panels.help_page import HelpPage
from viewer.panels.new_room import NewRoom
from viewer.panels.preferences_dialog import PreferencesDialog, set_text_size
from viewer.panels.start_page import StartPage
from viewer.panels.still_label import StillLabel
from viewer.paper.drawing_view import DrawingView
from viewer.paper.guarded import guarded
from viewer.paper.theme import LIGHT, Theme
from viewer.paper.turns import Turns
from viewer.plan import PlanView
from viewer.preferences import Preferences
from viewer.room3d.panel import Room3dPanel
from viewer.section import LongSectionView, SectionView
from viewer.session import Session

__all__ = ["MainWindow"]

_STATE = 2  # version of the layout of the docks
_TOOLS = ("file.open", "file.save", "edit.undo", "edit.redo", "view.fit", "lift.sweep")
_LEFT, _RIGHT = (
    Qt.DockWidgetArea.LeftDockWidgetArea,
    Qt.DockWidgetArea.RightDockWidgetArea,
)
_LIFT_WIDTH, _PANEL_WIDTH = 24, 68  # at first [letters]
_PANEL_SHARE = 40  # of the window's width that the panels take at most [%]
_FINDINGS_HEIGHT = 17  # at first [lines]
_FINDINGS_SHARE = 30  # of the window's height that they take at most [%]
_SHARES = (50, 22, 28)  # heights of plan, long section and section [%]


_CHECKING = "checking \u2026"
_MOST_COUNTS = "8888 stops   8888 cautions   8888 not checked"


class MainWindow(QMainWindow):
    """One window over one session."""

    def __init__(
        self,
        session: Session,
        preferences: Preferences,
        *,
        questions: Questions | None = None,
        recovery: Path | None = None,
    ) -> None:
        super().__init__()
        self.session = session
        self.preferences = preferences
        self.settings = preferences.settings
        self.questions = questions or Questions()
        self.maker = Maker(self, self.questions)
        self.waiting = Waiting(self)
        self.scan_adding = ScanAdding(self)
        self.outgoing = Outgoing(self)
        self.pictures = Pictures(self)
        self.theme: Theme = LIGHT
        self._may_close = False
        self._is_arranged = False
        common, turns = Memo(), Turns(self)
        self.plan = PlanView(session, common=common, turns=turns)
        self.section = SectionView(session, common=common, turns=turns)
        self.long_section = LongSectionView(session, common=common, turns=turns)
        self.lift_panel = LiftPanel(session)
        self.room_3d = Room3dPanel(session)
        self.docks: dict[str, QDockWidget] = {}
        self._lay_out()
        self.panels = add_panels(
            session, preferences, self.add_dock, place_wanted=self.show_place
        )
        self.panels.details.reads_first = ScanReading(self).first
        self.care = DocumentCare(
            session,
            preferences,
            self.questions.care(self),
            reads=self.waiting,
            folder=recovery,
            parent=self,
        )
        self.actions_table = Actions(self, session, action_rows(self))
        self.menus = self._make_menus()
        self._make_tool_bar()
        self._make_status_bar()
        self._listen()
        self._on_preferences_changed()
        self._restore()
        self._on_path_changed()

    @property
    def views(self) -> tuple[DrawingView, ...]:
        """The three drawings."""
        return (self.plan, self.long_section, self.section)

    # ----- making it -----

    def _lay_out(self) -> None:
        self.setObjectName("window")
        self.resize(1600, 1000)
        self.setDockNestingEnabled(True)
        names = ("plan", "long-section", "section")
        for view, name in zip(self.views, names, strict=True):
            self.add_dock(view, name, view.title, _LEFT)
        self.add_dock(self.lift_panel, "lift", "Lift", _LEFT)
        plan, long, across = (self.docks[name] for name in names)
        self.splitDockWidget(plan, self.docks["lift"], Qt.Orientation.Horizontal)
        self.splitDockWidget(plan, long, Qt.Orientation.Vertical)
        self.splitDockWidget(long, across, Qt.Orientation.Vertical)
        holder = QWidget()  # a dock whose own widget is hidden lets nothing grow
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.room_3d)
        room = self.add_dock(holder, "room-3d", self.room_3d.title, _LEFT)
        self.tabifyDockWidget(across, room)
        across.raise_()
        self.room_3d.hide()
        self._room_seen = QTimer(self)
        self._room_seen.setSingleShot(True)
        self._room_seen.timeout.connect(self._on_room_seen)
        room.visibilityChanged.connect(self._on_room_visibility_changed)

    def add_dock(
        self, widget: QWidget, name: str, title: str, area: Qt.DockWidgetArea
    ) -> QDockWidget:
        """Put a widget into a dock of its own; `name` is kept in the settings."""
        dock = QDockWidget(title, self)
        dock.setObjectName(name)
        dock.setWidget(widget)
        self.addDockWidget(area, dock)
        self.docks[name] = dock
        return dock

    def _on_room_visibility_changed(self, _visible: object) -> None:
        self._room_seen.start(0)

    def _on_room_seen(self) -> None:
        """Show the room in 3-D only while its tab is in front: OpenGL is costly."""
        seen = not self.docks["room-3d"].visibleRegion().isEmpty()
        self.room_3d.setVisible(seen)

    def _make_menus(self) -> Mapping[str, QMenu]:
        menus = {name: self.menuBar().addMenu(name) for name in MENUS}
        for name, menu in menus.items():
            menu.setToolTipsVisible(True)
            self.actions_table.fill(menu, name)
        adding = self.panels.objects.add_menu()
        adding.setTitle("&Add")
        self.menuBar().insertMenu(menus[VIEW].menuAction(), adding)
        menus[VIEW].addSeparator()
        for dock in self.docks.values():
            menus[VIEW].addAction(dock.toggleViewAction())
        self._recent = QMenu("Open &recent", self)
        menus[FILE].insertMenu(self.actions_table.by_id["file.save"], self._recent)
        return menus

    def _make_tool_bar(self) -> None:
        bar = QToolBar("Tools", self)
        bar.setObjectName("tools")
        bar.setMovable(False)
        for key in _TOOLS:
            bar.addAction(self.actions_table.by_id[key])
        self.addToolBar(bar)

    def _make_status_bar(self) -> None:
        bar = self.statusBar()
        self.place = StillLabel()
        self.checking = StillLabel(_CHECKING)
        self.counts = StillLabel(_MOST_COUNTS)
        bar.addWidget(self.place, 1)
        bar.addPermanentWidget(self.checking)
        bar.addPermanentWidget(self.counts)

    def _listen(self) -> None:
        session = self.session
        for signal in (
            session.document_changed,
            session.selection_changed,
            session.history_changed,
            session.run_changed,
            session.clean_changed,
        ):
            signal.connect(self._on_session_changed)
        self.panels.objects.scan_wanted.connect(self.scan_adding.ask)
        session.path_changed.connect(self._on_path_changed)
        session.report_changed.connect(self._on_report_changed)
        session.checking_lasts.connect(self._on_checking_lasts)
        session.failed.connect(self._on_failed)
        self.care.autosave.failed.connect(self._on_failed)
        for view in self.views:
            view.pointed.connect(self.place.setText)
        self.room_3d.picture_wanted.connect(self.pictures.ask_picture)
        self.preferences.changed.connect(self._on_preferences_changed)
        self.preferences.recent_changed.connect(self._show_recent)
        hints = QGuiApplication.styleHints()
        hints.colorSchemeChanged.connect(self._on_scheme_changed)

    def _restore(self) -> None:
        geometry = self.settings.value("window/geometry", type=QByteArray)
        if isinstance(geometry, QByteArray) and not geometry.isEmpty():
            self.restoreGeometry(geometry)
        state = self.settings.value("window/docks", type=QByteArray)
        if isinstance(state, QByteArray) and not state.isEmpty():
            self._is_arranged = self.restoreState(state, _STATE)

    @guarded
    def showEvent(self, event: QShowEvent) -> None:
        """Give the docks their first sizes, unless they were kept."""
        super().showEvent(event)
        if not self._is_arranged:
            self._is_arranged = True
            # only a window that is laid out keeps to the sizes it is given
            QMetaObject.invokeMethod(
                self, "arrange", Qt.ConnectionType.QueuedConnection
            )

    @Slot()
    def arrange(self) -> None:
        """Give the docks their first places and sizes."""
        self.panels.arrange(self, beside=self.docks["plan"])
        docks = [self.docks[name] for name in ("plan", "lift", "objects")]
        letter = self.fontMetrics().averageCharWidth()
        lift = _LIFT_WIDTH * letter
        panel = min(_PANEL_WIDTH * letter, self.width() * _PANEL_SHARE // 100)
        widths = [self.width() - lift - panel, lift, panel]
        self.resizeDocks(docks, widths, Qt.Orientation.Horizontal)
        drawings = [self.docks[name] for name in ("plan", "long-section", "section")]
        lines = _FINDINGS_HEIGHT * self.fontMetrics().lineSpacing()
        below = min(lines, self.height() * _FINDINGS_SHARE // 100)
        rest = self.height() - below
        heights = [rest * share // 100 for share in _SHARES]
        self.resizeDocks(drawings, heights, Qt.Orientation.Vertical)
        findings = [self.docks["findings"]]
        self.resizeDocks(findings, [below], Qt.Orientation.Vertical)

    # ----- looks -----

    def _on_preferences_changed(self) -> None:
        application = QApplication.instance()
        if isinstance(application, QApplication):
            self.theme = dress(application, self.preferences.scheme)
            set_text_size(application, self.preferences.text_size)
            for dock in self.docks.values():  # a dock keeps the font it began with
                dock.setFont(application.font())
        self.session.set_style_of(self.preferences.length_style)
        for view in self.views:
            view.set_theme(self.theme)
        self.lift_panel.set_theme(self.theme)
        self.room_3d.set_theme(self.theme)
        self.actions_table.refresh()

    def fit(self) -> None:
        """Show all of every view."""
        for view in self.views:
            view.canvas.fit()

    def zoom(self, factor: float) -> None:
        """Zoom the view that has the focus, or the plan [-]."""
        held = next((v for v in self.views if v.canvas.hasFocus()), self.plan)
        held.canvas.zoom(factor)

    def show_keys(self) -> None:
        """Show the list of keys."""
        KeyList(self.actions_table.rows, parent=self).show()

    def show_help(self) -> None:
        """Show the cautions, how the window works, and the keys."""
        HelpPage(key_rows(self.actions_table.rows), self).show()

    def show_preferences(self) -> None:
        """Let units, colours and text size be chosen."""
        PreferencesDialog(self.preferences, self).open()

    def show_place(self, points: Sequence[Vec3]) -> None:
        """Bring a place of the room [in] into sight in every view."""
        for view in self.views:
            view.bring_into_sight(points)

    # ----- files -----

    def open_path(self, path: str) -> bool:
        """Open a barn file; say every fault if it cannot be used.

        Returns
        -------
        bool
            Whether it is open now; a large file is still being read then, and
            `waiting.idle` tells when that has an end.
        """
        return self.care.open(path)

    def ask_open(self) -> None:
        """Ask for a file and open it."""
        self._when_saved(self._ask_open_now)

    def _ask_open_now(self) -> None:
        self.questions.file_to_open(self, self._folder(), self.open_path)

    def ask_new(self) -> None:
        """Begin a new barn."""
        self._when_saved(self._begin_new)

    def _begin_new(self) -> None:
        style = self.preferences.length_style(self.session.document.job)
        NewRoom(self.session.new, style=style, parent=self).open()

    def show_start(self) -> None:
        """Offer recent files, samples, a new room, a file to open."""
        page = StartPage(self.preferences, self)
        page.file_wanted.connect(self._open_when_saved)
        page.new_wanted.connect(self.ask_new)
        page.open_wanted.connect(self.ask_open)
        page.open()

    def _open_when_saved(self, path: Path) -> None:
        self._when_saved(partial(self.open_path, str(path)))

    def save(self) -> bool:
        """Save, or ask where to."""
        if self.session.path is None:
            self.ask_save_as()
            return False
        return self.save_to(str(self.session.path))

    def ask_save_as(self) -> None:
        """Ask for a file and save there."""
        place = (
            self.session.path or self._folder() / f"{self.session.document.name}.json"
        )
        self.questions.file_to_save(self, place, self.save_to)

    def save_to(self, path: str) -> bool:
        """Save to a file; say why if that cannot be.

        Returns
        -------
        bool
            Whether it is saved now; large scans are copied along first, behind a
            dialog.
        """
        holder = self.care.holder_of(path)
        if holder:
            words = f'"{path}" is open in {holder}; save under another name.'
            self.questions.tell(self, words)
            return False
        here = self.session.path
        document = self.session.document
        copies = copies_for(document, here.parent, Path(path).parent) if here else ()
        if is_long(copies):
            self._copy_and_save(copies, path)
            return False
        return self._save_now(path)

    def _copy_and_save(self, copies: Sequence[Copy], path: str) -> None:
        """Copy the files of scans elsewhere, then save; cancelled, nothing is left."""
        self.waiting.wait(
            "Copying the scans",
            partial(copy_files, copies),
            done=lambda _nothing: self._save_now(path),
            refused=lambda error: self.questions.tell(self, sentence(error)),
            ended=partial(clear_parts, copies),
        )

    def _save_now(self, path: str) -> bool:
        try:
            self.session.save_as(path)
        except LiftlaneError as error:
            self.questions.tell(self, str(error))
            return False
        self.preferences.remember(Path(path))
        return True

    def save_copy(self) -> None:
        """Ask for a file and save a copy, the document's file stays the same."""
        place = self._folder() / f"{self.session.document.name} (copy).json"
        self.questions.file_to_save(self, place, self.session.save_copy)

    def _folder(self) -> Path:
        return self.session.path.parent if self.session.path else Path.home()

    def _when_saved(self, go_on: Callable[[], object]) -> None:
        """Go on at once, or after asking what becomes of unsaved changes."""
        if self.session.is_clean:
            go_on()
            return

        def save() -> None:
            if self.save():
                go_on()

        name = self.session.document.name
        self.questions.unsaved(self, name, save=save, discard=go_on)

    def _show_recent(self) -> None:
        self._recent.clear()
        for path in self.preferences.recent:
            action = self._recent.addAction(str(path))
            action.setData(str(path))
            action.triggered.connect(self._on_recent_chosen)
        self._recent.setEnabled(bool(self._recent.actions()))

    def _on_recent_chosen(self) -> None:
        action = self.sender()
        path = str(action.data()) if hasattr(action, "data") else ""
        self._when_saved(lambda: self.open_path(path))

    @guarded
    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask for unsaved changes; keep the layout; end all work."""
        if not self._may_close and not self.session.is_clean:
            event.ignore()
            self._when_saved(self._close_now)
            return
        self.settings.setValue("window/geometry", self.saveGeometry())
        self.settings.setValue("window/docks", self.saveState(_STATE))
        self.lift_panel.stop()
        self._room_seen.stop()
        self.maker.close()
        self.waiting.close()
        self.care.close()
        self.session.close()
        event.accept()

    def _close_now(self) -> None:
        self._may_close = True
        # a window cannot close while it is closing
        queued = Qt.ConnectionType.QueuedConnection
        QMetaObject.invokeMethod(self, "close", queued)

    # ----- what the session tells -----

    def _on_session_changed(self) -> None:
        session = self.session
        self.actions_table.refresh()
        for key, verb, name in (
            ("edit.undo", "&Undo", session.undo_name),
            ("edit.redo", "&Redo", session.redo_name),
        ):
            action = self.actions_table.by_id[key]
            action.setText(f"{verb} {name[:1].lower()}{name[1:]}" if name else verb)
            action.setIconText(verb.replace("&", ""))
        title = session.document.name
        self.setWindowTitle(f"{title}[*] \u2013 Liftlane")
        self.setWindowModified(not session.is_clean)
        self._on_report_changed()

    def _on_path_changed(self) -> None:
        path = self.session.path
        self.setWindowFilePath(str(path) if path else "")
        self._on_session_changed()
        self._show_recent()

    def _on_report_changed(self) -> None:
        report = self.session.report
        found = [each.outcome for each in report.findings] if report else []
        self.counts.setText(
            f"{_count(found, Outcome.STOP, 'stop')}   "
            f"{_count(found, Outcome.CAUTION, 'caution')}   "
            f"{found.count(Outcome.NOT_CHECKED)} not checked"
        )

    def _on_checking_lasts(self, is_lasting: bool) -> None:  # noqa: FBT001 - as the signal says
        self.checking.setText(_CHECKING if is_lasting else "")

    def _on_failed(self, words: str) -> None:
        self.statusBar().showMessage(words, 8000)

    def _on_scheme_changed(self) -> None:
        self._on_preferences_changed()


def _count(found: list[Outcome], outcome: Outcome, word: str) -> str:
    number = found.count(outcome)
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
