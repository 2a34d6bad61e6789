"""A hand without a plan: random gestures and commands on the real window.

What it does hangs on its seed alone, but for the moment at which a check in the
background is ready. It keeps the barn between two sizes, so that there is always
something to take hold of and never more than a window is for.
"""

import random
from collections import Counter, deque
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from PySide6.QtCore import QCoreApplication, QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QAction, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QSlider,
    QTreeView,
    QWidget,
)

from core.drawing.records import Handle, Polyline
from core.errors import QuantityError
from core.geometry.shapes import Vec2
from core.model.barn import object_ids
from core.quantities import parse_length
from tests.gui import Answers, settle
from viewer.app.window import MainWindow
from viewer.panels.array_dialog import ArrayDialog
from viewer.panels.editors import TextEditor
from viewer.panels.record_table import RecordTable
from viewer.paper.drawing_view import DrawingView

__all__ = ["Monkey", "let_go"]

_ROOM_TO_GROW = 30  # objects more than at first
_ROOM_TO_SHRINK = 12
_REACH = 90.0  # of a drag, each way [in]
_REMEMBERED = 25
_TRIES = 200
_GL_DOCK = "room-3d"  # there is no OpenGL without a screen

_NONE = Qt.KeyboardModifier.NoModifier
_SHIFT = Qt.KeyboardModifier.ShiftModifier
_CTRL = Qt.KeyboardModifier.ControlModifier
_HELD = (_NONE, _NONE, _NONE, _SHIFT, _CTRL, _SHIFT | _CTRL)
_LEFT, _MIDDLE = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton
_ARROWS = (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down)
_STEPS = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
_ENDS = (Qt.Key.Key_Return, Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Escape)
_WRONG = ("", "x", "-1", "0", "nan", "1e400", "7 ft 14 in", "1/0", "\u00bd", "9" * 60)
_READINGS = ("50", "50.25", "4' 2\"", "1270 mm", "-25 kV", "yes", "x", "")
_WORDS = ("light", "run", "e", "clear", "zzz", "")
_FORMS = ("details", "details", "room", "electrical", "job")
_LOOKS = (
    *("colours.light", "colours.dark", "colours.system"),
    *("lengths.ft", "lengths.mm", "lengths.job"),
)
_WAYS = (
    *("cut.back", "cut.ahead", "lift.up", "lift.down", "lift.working"),
    *("lift.stowed", "view.fit", "view.zoom-in", "view.zoom-out"),
)

_Gesture = Callable[[], object]


def let_go() -> None:
    """See to what is due, and let what was deleted really go."""
    QApplication.processEvents()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


class Monkey:
    """Acts on one window; mutable, for it counts and remembers what it did."""

    def __init__(
        self, window: MainWindow, answers: Answers, folder: Path, *, seed: int
    ) -> None:
        self.window = window
        self.session = window.session
        self.chance = random.Random(seed)
        self.done: deque[str] = deque(maxlen=_REMEMBERED)
        self.count: Counter[str] = Counter()
        answers.path = str(folder / "monkey.json")
        self.usual = self.size
        self._least = self.usual - _ROOM_TO_SHRINK
        self._most = self.usual + _ROOM_TO_GROW
        self._gestures = self._weighed()

    @property
    def size(self) -> int:
        """How many objects the barn has."""
        return len(tuple(object_ids(self.session.document)))

    def act(self) -> None:
        """Do one thing, and let the window answer."""
        name = self.chance.choices(
            tuple(self._gestures), [w for w, _ in self._gestures.values()]
        )[0]
        self._note(name)
        self.count[name] += 1
        self._gestures[name][1]()
        let_go()
        self._leave_dialogs()
        self._bring_to(self._least, self._most)
        if self.chance.random() < 0.2:
            settle(self.window)

    def _weighed(self) -> Mapping[str, tuple[int, _Gesture]]:
        """Return how often each gesture is made, and how."""
        return {
            "drag": (24, self._drag),
            "band": (3, self._band),
            "click": (10, self._click),
            "nudge": (8, self._nudge),
            "way": (8, self._way),
            "wheel": (4, self._wheel),
            "pan": (3, self._pan),
            "slide": (4, self._slide),
            "play": (2, self._play),
            "undo": (4, self._undo),
            "redo": (3, self._redo),
            "finding": (5, self._finding),
            "search findings": (2, self._search_findings),
            "type": (10, self._type),
            "record": (3, self._record),
            "row": (4, self._row),
            "rename": (1, self._rename),
            "add": (5, self._add),
            "copy": (3, self._copy),
            "array": (1, self._array),
            "delete": (4, self._delete),
            "split": (1, self._split),
            "propose": (1, self._propose),
            "all": (1, self._all),
            "empty": (1, self._empty),
            "dock": (2, self._dock),
            "look": (1, self._look),
            "save": (1, self._save),
            "page": (1, self._page),
            "size": (1, self._resize),
        }

    def _note(self, words: str) -> None:
        self.done.append(words)

    def _trigger(self, name: str) -> None:
        """Give a command from the menu, or by its key where it has one."""
        self._note(name)
        action = self.window.actions_table.by_id[name]
        keys, by_key = action.shortcut(), self.chance.random() < 0.5
        if by_key and not keys.isEmpty() and self.window.isActiveWindow():
            canvas = self.window.plan.canvas
            canvas.setFocus()
            QTest.keySequence(canvas, keys)
        else:
            action.trigger()

    def _key(self, widget: QWidget, key: Qt.Key, held: Any = _NONE) -> None:
        self._note(f"{key.name} {held.name}".rstrip())
        QTest.keyClick(widget, key, held)

    # ----- in the drawings -----

    def _view(self) -> DrawingView:
        shown = [view for view in self.window.views if view.isVisible()]
        return self.chance.choice(shown or [self.window.plan])

    def _place(self, view: DrawingView) -> Vec2:
        """Return a place of the view's plane at which there is something [in]."""
        records = view.drawing.records if view.drawing is not None else ()
        kind = self.chance.choice((Handle, Handle, Polyline))
        places = [
            r.at
            if isinstance(r, Handle)
            else (float(r.points[0, 0]), float(r.points[0, 1]))
            for r in records
            if isinstance(r, kind)
        ]
        chosen = self.chance.random()
        return places[int(chosen * len(places))] if places else (0.0, 0.0)

    def _away(self, at: Vec2) -> Vec2:
        u, v = (self.chance.uniform(-_REACH, _REACH) for _ in range(2))
        return (at[0] + u, at[1] + v)

    def _drag(self) -> None:
        view = self._view()
        start = self._place(view)
        self._dragged(view, start, self._away(start))

    def _band(self) -> None:
        view = self._view()
        canvas = view.canvas
        corners = [
            canvas.to_plane(QPointF(self.chance.random() * canvas.width(), 3.0 + k))
            for k in (0, self.chance.random() * canvas.height())
        ]
        self._dragged(view, corners[0], corners[1])

    def _dragged(self, view: DrawingView, start: Vec2, end: Vec2) -> None:
        """Drag with the left button, perhaps with a key held, perhaps given up."""
        held = self.chance.choice(_HELD)
        steps, ends = self.chance.randint(1, 4), self.chance.random()
        self._note(f"{view.title} {start} to {end} {held.name}")
        viewport = view.canvas.viewport()
        a, b = (view.canvas.to_pixels(at) for at in (start, end))
        QTest.mousePress(viewport, _LEFT, held, a.toPoint())
        for step in range(1, steps + 1):
            at = (a + (b - a) * (step / steps)).toPoint()
            QTest.mouseMove(viewport, at)
            QApplication.processEvents()
        if ends < 0.12:
            self._key(viewport, Qt.Key.Key_Escape)
        elif ends < 0.18:
            self._key(viewport, self.chance.choice(_ARROWS))
        QTest.mouseRelease(viewport, _LEFT, held, b.toPoint())

    def _click(self) -> None:
        view = self._view()
        at = view.canvas.to_pixels(self._place(view)).toPoint()
        button = self.chance.choice((_LEFT, _LEFT, Qt.MouseButton.RightButton))
        self._note(f"{view.title} {at.x()}, {at.y()}")
        viewport = view.canvas.viewport()
        QTest.mouseClick(viewport, button, self.chance.choice(_HELD), at)
        if self.chance.random() < 0.2:
            QTest.mouseDClick(viewport, _LEFT, _NONE, at)

    def _nudge(self) -> None:
        view, key = self._view(), self.chance.choice(_ARROWS)
        view.canvas.setFocus()
        held = self.chance.choice((_NONE, _SHIFT, _CTRL))
        for _ in range(self.chance.randint(1, 4)):
            self._key(view.canvas, key, held)

    def _way(self) -> None:
        self._trigger(self.chance.choice(_WAYS))

    def _wheel(self) -> None:
        view = self._view()
        viewport = view.canvas.viewport()
        at = QPointF(
            self.chance.random() * viewport.width(),
            self.chance.random() * viewport.height(),
        )
        turn = self.chance.choice((-240, -120, 120, 240))
        event = QWheelEvent(
            at,
            QPointF(viewport.mapToGlobal(at.toPoint())),
            QPoint(),
            QPoint(0, turn),
            Qt.MouseButton.NoButton,
            _NONE,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(viewport, event)

    def _pan(self) -> None:
        viewport = self._view().canvas.viewport()
        start = QPoint(viewport.width() // 2, viewport.height() // 2)
        way = QPoint(self.chance.randint(-80, 80), self.chance.randint(-80, 80))
        QTest.mousePress(viewport, _MIDDLE, _NONE, start)
        QTest.mouseMove(viewport, start + way / 2)
        QTest.mouseMove(viewport, start + way)
        QTest.mouseRelease(viewport, _MIDDLE, _NONE, start + way)

    # ----- lift, undo, selection -----

    def _slide(self) -> None:
        slider: QSlider = self.window.lift_panel.slider
        at = QPoint(slider.width() // 2, self.chance.randint(2, slider.height() - 2))
        QTest.mouseClick(slider, _LEFT, _NONE, at)
        slider.setSliderDown(True)
        for _ in range(self.chance.randint(1, 4)):
            slider.setSliderPosition(self.chance.randint(0, max(slider.maximum(), 1)))
            QApplication.processEvents()
        slider.setSliderDown(False)

    def _play(self) -> None:
        self._trigger("lift.sweep")
        for _ in range(3):
            QApplication.processEvents()
        self.window.lift_panel.stop()

    def _undo(self) -> None:
        for _ in range(self.chance.randint(1, 4)):
            self._trigger("edit.undo")

    def _redo(self) -> None:
        for _ in range(self.chance.randint(1, 4)):
            self._trigger("edit.redo")

    def _all(self) -> None:
        self._trigger("edit.choose-all")
        self._key(self.window.plan.canvas, self.chance.choice(_ARROWS))

    def _empty(self) -> None:
        """Take everything out, look at what is left, and bring it back."""
        name = self.session.undo_name
        self._trigger("edit.choose-all")
        self._trigger("edit.delete")
        self._way()
        let_go()
        if self.session.undo_name != name:
            self._trigger("edit.undo")

    # ----- lists -----

    def _finding(self) -> None:
        if self.chance.random() < 0.5:
            self._trigger(self.chance.choice(("finding.next", "finding.previous")))
        else:
            self._click_row(self.window.panels.findings.tree, _NONE)

    def _search_findings(self) -> None:
        panel = self.window.panels.findings
        panel.search.setFocus()
        panel.search.clear()
        QTest.keyClicks(panel.search, self.chance.choice(_WORDS))
        button = self.chance.choice(tuple(panel.outcomes.values()))
        button.click()
        column = self.chance.randrange(panel.model.columnCount())
        panel.tree.sortByColumn(column, Qt.SortOrder.AscendingOrder)
        QApplication.processEvents()
        panel.search.clear()

    def _row(self) -> None:
        tree = self.window.panels.objects.tree
        if self.chance.random() < 0.3:
            tree.expandAll()
        self._click_row(tree, self.chance.choice((_NONE, _NONE, _CTRL, _SHIFT)))

    def _click_row(self, tree: QTreeView, held: Qt.KeyboardModifier) -> None:
        viewport = tree.viewport()
        chosen = self.chance.random()
        at = QPoint(30, int(chosen * max(viewport.height(), 1)))
        self._note(f"{tree.accessibleName()} {at.y()} {held.name}")
        QTest.mouseClick(viewport, _LEFT, held, at)

    def _rename(self) -> None:
        self.window.panels.objects.rename()
        tree = self.window.panels.objects.tree
        line = QApplication.focusWidget()
        if isinstance(line, QLineEdit) and tree.isAncestorOf(line):
            line.setText(f"{line.text()}{self.chance.choice(('-b', '', ' ', '1'))}")
            self._key(line, self.chance.choice(_ENDS))

    # ----- forms -----

    def _type(self) -> None:
        """Change one field of a form by keys."""
        name = self.chance.choice(_FORMS)
        self.window.docks[name].raise_()
        QApplication.processEvents()
        fields = tuple(_fields(self.window.docks[name]))
        chosen = self.chance.random()
        if not fields:
            return
        field = fields[int(chosen * len(fields))]
        self._note(f"{name}: {field.accessibleName()}")
        field.setFocus()
        if isinstance(field, QComboBox):
            self._key(field, self.chance.choice(_ARROWS[2:]))
            return
        self._enter(field)

    def _enter(self, field: QWidget) -> None:
        line = field.lineEdit() if isinstance(field, QAbstractSpinBox) else field
        if isinstance(field, QAbstractSpinBox) and self.chance.random() < 0.4:
            for _ in range(self.chance.randint(1, 3)):
                self._key(field, self.chance.choice(_STEPS))
        elif isinstance(line, QLineEdit):
            words = self._words(line.text())
            self._note(repr(words))
            line.selectAll()
            self._key(field, Qt.Key.Key_Backspace)
            QTest.keyClicks(field, words)
        self._key(field, self.chance.choice(_ENDS))

    def _record(self) -> None:
        """Write a few cells of the commissioning record, one after the other."""
        dock = self.window.docks["record"]
        dock.raise_()
        QApplication.processEvents()
        chosen, count = self.chance.random(), self.chance.randint(1, 4)
        tables = [each for each in dock.findChildren(RecordTable) if each.isVisible()]
        for table in tables[int(chosen * len(tables)) :][:1]:
            table.setFocus()
            for _ in range(count):
                words = self.chance.choice(_READINGS)
                self._note(f"{table.accessibleName()}: {words!r}")
                for key in (*words, self.chance.choice(_ENDS)):
                    self._type_into(table, key)

    def _type_into(self, table: RecordTable, key: str | Qt.Key) -> None:
        """Send a key to a table, or to the cell in it that is open."""
        held = QApplication.focusWidget()
        if held is None or not (held is table or table.isAncestorOf(held)):
            return
        if isinstance(key, Qt.Key):
            self._key(held, key)
        else:
            QTest.keyClicks(held, key)

    def _words(self, text: str) -> str:
        """Return something to type: mostly near what is there."""
        if self.chance.random() < 0.2:
            return self.chance.choice(_WRONG)
        share = self.chance.uniform(0.85, 1.15)
        with suppress(QuantityError):
            return f"{parse_length(text) * share:.2f} in"
        with suppress(ValueError):
            return f"{float(text.partition(' ')[0]) * share:.2f}"
        return f"{text[:12]} {self.chance.randrange(100)}"

    # ----- more and fewer -----

    def _is_room(self) -> bool:
        """Tell by chance whether to add: the fuller the barn the rarer."""
        span = self._most - self._least
        return self.chance.random() > (self.size - self._least) / span

    def _add(self) -> None:
        if not self._is_room():
            self._delete()
            return
        actions = tuple(_leaves(self.window.panels.objects.add_button.menu()))
        action = self.chance.choice(actions)
        self._note(action.text())
        action.trigger()

    def _copy(self) -> None:
        if len(self.session.selection) > 3 or not self._is_room():
            self._trigger("edit.choose-none")
            return
        self._trigger("edit.duplicate")

    def _array(self) -> None:
        if not self._is_room():
            return
        self._choose(1)
        self._trigger("edit.array")
        for dialog in self.window.findChildren(ArrayDialog):
            dialog.count.setValue(self.chance.randint(1, 4))
            self._enter(self.chance.choice(dialog.steps))
        let_go()
        if self.chance.random() < 0.7:  # Return or Esc may have left it already
            for dialog in self.window.findChildren(ArrayDialog):
                dialog.accept()

    def _choose(self, most: int) -> None:
        """Choose a few things, of the room and the hoist too."""
        ids = tuple(object_ids(self.session.document))
        self.session.select(self.chance.sample(ids, k=min(len(ids), most)))

    def _delete(self) -> None:
        """Delete what is chosen, or something; seldom in a barn with little in it."""
        if self._is_room():
            return
        if not 0 < len(self.session.selection) < 4:
            self._choose(self.chance.randint(1, 2))
        self._trigger("edit.delete")

    def _bring_to(self, least: int, most: int) -> None:
        """Put things in or take some out until the barn is between two sizes."""
        for _ in range(_TRIES):  # not everything can be deleted
            if self.size <= most:
                break
            self._choose(min(self.size - most, 3))
            self._trigger("edit.delete")
        while self.size < least:
            self._trigger_add("Light")
        if not self.session.document.runs:
            self._trigger_add("Run")

    def _trigger_add(self, name: str) -> None:
        menu = self.window.panels.objects.add_button.menu()
        next(each for each in _leaves(menu) if each.text() == name).trigger()

    # ----- the room -----

    def _split(self) -> None:
        panel = self.window.panels.room
        strips = tuple(panel.splits)
        chosen = self.chance.random()
        if strips:
            strip = strips[int(chosen * len(strips))]
            panel.counts[strip].setValue(self.chance.randint(1, 6))
            panel.splits[strip].click()

    def _propose(self) -> None:
        if self._is_room():
            self.window.panels.room.runs.click()

    # ----- the window -----

    def _dock(self) -> None:
        """Close or open a dock, or let it float; most are put back at once."""
        docks = [each for name, each in self.window.docks.items() if name != _GL_DOCK]
        dock, floats = self.chance.choice(docks), self.chance.random() < 0.3
        self._note(dock.objectName())
        if floats:
            dock.setFloating(not dock.isFloating())
        else:
            dock.toggleViewAction().trigger()
        QApplication.processEvents()
        if self.chance.random() < 0.8:
            dock.setFloating(False)
            if dock.isHidden():
                dock.toggleViewAction().trigger()

    def _look(self) -> None:
        self._trigger(self.chance.choice(_LOOKS))

    def _save(self) -> None:
        self._trigger(self.chance.choice(("file.save", "file.save-as")))

    def _page(self) -> None:
        """Open a page that only shows; it is left at the end of the step."""
        self._trigger(
            self.chance.choice(
                ("help.keys", "help.page", "file.start", "edit.preferences")
            )
        )

    def _resize(self) -> None:
        self.window.resize(
            self.chance.randint(900, 1900), self.chance.randint(600, 1100)
        )

    def _leave_dialogs(self) -> None:
        while (popup := QApplication.activePopupWidget()) is not None:
            popup.close()
        for dialog in self.window.findChildren(QDialog):
            if dialog.isVisible():
                dialog.reject()
        let_go()

    # ----- to compare -----

    def come_to_rest(self) -> None:
        """Bring window and barn to where they were at first, as near as edits go."""
        for name, dock in self.window.docks.items():
            dock.setFloating(False)
            dock.setVisible(name != _GL_DOCK)
        self.window.docks["details"].raise_()
        self.window.resize(1600, 1000)
        for name in ("colours.light", "lengths.job", "lift.working", "view.fit"):
            self._trigger(name)
        self._bring_to(self.usual, self.usual)
        self.session.select(())
        self.session.set_cut(self.session.document.room.length / 2)
        settle(self.window)
        let_go()


def _fields(holder: QWidget) -> Iterator[QWidget]:
    """Yield the fields of a form that can be typed into or stepped through.

    Looked up by their own classes: PySide never lets go of what it has once handed
    out of Qt's own, such as the parts of a list of choices.
    """
    lines = [each.edit for each in holder.findChildren(TextEditor)]
    numbers = holder.findChildren(QAbstractSpinBox)
    for field in (*lines, *numbers, *holder.findChildren(QComboBox)):
        if field.isVisible() and field.isEnabled():
            yield field


def _leaves(menu: Any) -> Iterator[QAction]:
    """Yield the actions of a menu and of the menus in it."""
    for action in menu.actions():
        inner = action.menu()
        if inner is None:
            yield action
        else:
            yield from _leaves(inner)
