"""Forms made from the model's own annotations: every field, nested ones included."""

from collections.abc import Callable, Collection, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QGroupBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from core.catalogue.catalogue import Catalogue
from core.model.barn import Barn
from core.model.consistency import link_targets
from core.model.spec import (
    FieldSpec,
    KindSpec,
    ListSpec,
    ObjectSpec,
    OptionalSpec,
    Spec,
    TupleSpec,
    fields_of,
)
from core.quantities import LengthStyle
from viewer.panels.blanks import blank, next_item
from viewer.panels.changing import Path
from viewer.panels.editors import (
    SEVERAL,
    Editor,
    LinkEditor,
    QuietCombo,
    Sheet,
    Tick,
    common,
    simple_editor,
)
from viewer.panels.layouts import emptied, small_button
from viewer.panels.note import Note
from viewer.panels.rules_touched import rule_hint, rule_tooltip, rules_touching
from viewer.panels.steps_editor import StepsEditor
from viewer.panels.words import choice_words, class_words, field_words

__all__ = ["Form", "shared_fields"]

_AXES = ("x", "y", "z")
MakeKind = Callable[[Any, type], Any]


def editor_for(sheet: Sheet, cls: type, field: FieldSpec, path: Path) -> Editor:
    """Return the editor of one field of a class."""
    label = field_words(field.name)
    targets = link_targets(cls).get(field.name)
    if targets is not None:
        is_optional = isinstance(field.spec, OptionalSpec)
        none = "none" if is_optional else ""
        return LinkEditor(sheet, path, label, targets=targets, optional=none)
    return value_editor(sheet, path, label, field.spec)


def value_editor(sheet: Sheet, path: Path, label: str, spec: Spec) -> Editor:
    """Return the editor of a value by its spec."""
    simple = simple_editor(sheet, path, label, spec)
    if simple is not None:
        return simple
    match spec:
        case TupleSpec():
            return TupleEditor(sheet, path, label, spec=spec)
        case ListSpec():
            return ListEditor(sheet, path, label, spec=spec)
        case OptionalSpec():
            return OptionalEditor(sheet, path, label, spec=spec)
        case KindSpec():
            return KindEditor(sheet, path, label, spec=spec)
        case ObjectSpec(cls=cls):
            return RecordEditor(sheet, path, label, cls=cls)
    msg = f"{spec!r} has no editor"
    raise TypeError(msg)


class TupleEditor(Editor):
    """The coordinates of a point, each with its letter."""

    def __init__(
        self, sheet: Sheet, path: Path, label: str, *, spec: TupleSpec
    ) -> None:
        super().__init__(sheet, path, label)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setColumnStretch(1, 1)
        self.editors: list[Editor] = []
        for place, item in enumerate(spec.items):
            name = f"{label}, {_AXES[place]}"
            editor = value_editor(sheet, (*path, place), name, item)
            self.editors.append(editor)
            layout.addWidget(QLabel(_AXES[place]), place, 0, Qt.AlignmentFlag.AlignTop)
            layout.addWidget(editor, place, 1)
        self.setFocusProxy(self.editors[0])

    def show_values(self, values: Sequence[Any]) -> None:
        """Show each coordinate."""
        for place, editor in enumerate(self.editors):
            editor.show_values([value[place] for value in values])

    def forget(self) -> None:
        """Let go of what was typed."""
        for editor in self.editors:
            editor.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        for editor in self.editors:
            editor.finish()


class OptionalEditor(Editor):
    """A value that may be left out: a tick, and the value when it is given."""

    def __init__(
        self, sheet: Sheet, path: Path, label: str, *, spec: OptionalSpec
    ) -> None:
        super().__init__(sheet, path, label)
        self.spec = spec.inner
        self.box = Tick("given")
        self.box.setAccessibleName(f"{label} is given")
        self.inner = value_editor(sheet, path, label, spec.inner)
        self._fault = Note()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        for widget in (self.box, self.inner, self._fault):
            layout.addWidget(widget)
        self._fault.setVisible(False)
        self.box.clicked.connect(self._on_box_clicked)
        self.setFocusProxy(self.box)

    @property
    def is_wide(self) -> bool:
        """As wide as its value."""
        return self.inner.is_wide

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the tick, and the value if all have one."""
        given = [value is not None for value in values]
        self.box.setTristate(any(given) and not all(given))
        state = Qt.CheckState.Checked if all(given) else Qt.CheckState.Unchecked
        mixed = any(given) and not all(given)
        self.box.setCheckState(Qt.CheckState.PartiallyChecked if mixed else state)
        self.inner.setVisible(all(given))
        self._fault.setVisible(False)
        if all(given):
            self.inner.show_values(values)

    def forget(self) -> None:
        """Let go of what was typed."""
        self.inner.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        if not self.inner.isHidden():
            self.inner.finish()

    def _on_box_clicked(self) -> None:
        self.box.setTristate(False)
        given = self.box.checkState() is not Qt.CheckState.Unchecked
        value = blank(self.spec, near=self.sheet.near) if given else None
        fault = self.sheet.commit(self.path, value)
        if fault:
            self.box.setChecked(not given)
        self._fault.setText(fault)
        self._fault.setVisible(bool(fault))


class ListEditor(Editor):
    """Any number of items, each with buttons to put one before it or take it out."""

    def __init__(self, sheet: Sheet, path: Path, label: str, *, spec: ListSpec) -> None:
        super().__init__(sheet, path, label)
        self.spec = spec
        self._items: tuple[Any, ...] | None = None
        self._count = -1
        self.editors: list[Editor] = []
        self._rows = QWidget()
        self._grid = QGridLayout(self._rows)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(1, 1)
        self._note = Note()
        self.add = QPushButton("Add")
        self.add.setAccessibleName(f"add to {label}")
        self.add.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.add.clicked.connect(self._on_add_clicked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for widget in (self._rows, self._note, self.add):
            layout.addWidget(widget)
        self.setFocusProxy(self.add)

    @property
    def is_wide(self) -> bool:
        """Always."""
        return True

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the items, or that there are several lists."""
        same, items = common(values)
        self._items = items if same else None
        self._note.setText("" if same else SEVERAL)
        self._note.setVisible(not same)
        self.add.setEnabled(same)
        count = len(items) if same else 0
        if count != self._count:
            self._build(count)
        if same:
            for place, editor in enumerate(self.editors):
                editor.show_values([items[place]])

    def forget(self) -> None:
        """Let go of what was typed."""
        for editor in self.editors:
            editor.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        for editor in self.editors:
            editor.finish()

    def _build(self, count: int) -> None:
        self._count = count
        self.editors = []
        emptied(self._grid)
        for place in range(count):
            self._build_row(place)

    def _build_row(self, place: int) -> None:
        name = f"{self.label} {place + 1}"
        editor = value_editor(self.sheet, (*self.path, place), name, self.spec.item)
        self.editors.append(editor)
        top = Qt.AlignmentFlag.AlignTop
        self._grid.addWidget(QLabel(f"{place + 1}"), place, 0, top)
        self._grid.addWidget(editor, place, 1)
        put = small_button("+", f"put one before {name}")
        put.clicked.connect(partial(self._put, place))
        out = small_button("\N{MINUS SIGN}", f"take {name} out")
        out.setEnabled(self._count > self.spec.shortest)
        out.clicked.connect(partial(self._take_out, place))
        self._grid.addWidget(put, place, 2, top)
        self._grid.addWidget(out, place, 3, top)

    def _put(self, place: int, *_checked: bool) -> None:
        items = self._items or ()
        new = next_item(self.spec, items, place)
        self._commit((*items[:place], new, *items[place:]))

    def _take_out(self, place: int, *_checked: bool) -> None:
        items = self._items or ()
        self._commit((*items[:place], *items[place + 1 :]))

    def _on_add_clicked(self) -> None:
        self._put(len(self._items or ()))

    def _commit(self, items: tuple[Any, ...]) -> None:
        fault = self.sheet.commit(self.path, items)
        self._note.setText(fault)
        self._note.setVisible(bool(fault))


class RecordEditor(Editor):
    """The fields of an object within another one."""

    def __init__(
        self,
        sheet: Sheet,
        path: Path,
        label: str,
        *,
        cls: type,
        fields: Sequence[FieldSpec] | None = None,
    ) -> None:
        super().__init__(sheet, path, label)
        self.cls = cls
        self.editors: dict[str, Editor] = {}
        self.hints: dict[str, Note] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(1, 1)
        for field in fields_of(cls) if fields is None else fields:
            self._add(field)

    @property
    def is_wide(self) -> bool:
        """Always: it has labels of its own."""
        return True

    def show_values(self, values: Sequence[Any]) -> None:
        """Show each field."""
        self.sheet.near = getattr(values[0], "at", self.sheet.near)
        for name, editor in self.editors.items():
            editor.show_values([getattr(value, name) for value in values])
        for name, hint in self.hints.items():
            hint.setText(self._hint(name))

    def forget(self) -> None:
        """Let go of what was typed."""
        for editor in self.editors.values():
            editor.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        for editor in self.editors.values():
            editor.finish()

    def _add(self, field: FieldSpec) -> None:
        editor = editor_for(self.sheet, self.cls, field, (*self.path, field.name))
        self.editors[field.name] = editor
        hint = self._hint_below(field.name)
        row = self._grid.rowCount()
        if editor.is_wide:
            self._grid.addWidget(_boxed(editor, hint), row, 0, 1, 2)
            return
        label = QLabel(editor.label)
        label.setBuddy(editor)
        label.setWordWrap(True)
        label.setMinimumWidth(label.fontMetrics().averageCharWidth() * 12)
        label.setContentsMargins(0, 4, 0, 0)
        self._grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
        self._grid.addWidget(_stacked(editor, hint) if hint else editor, row, 1)

    def _hint_below(self, name: str) -> Note | None:
        rules = rules_touching(self.cls, name)
        if not rules:
            return None
        hint = Note()
        hint.setToolTip("\n\n".join(map(rule_tooltip, rules)))
        self.hints[name] = hint
        return hint

    def _hint(self, name: str) -> str:
        barn, style = self.sheet.barn, self.sheet.style
        rules = rules_touching(self.cls, name)
        return "\n".join(rule_hint(rule, barn, style=style) for rule in rules)


def _stacked(*widgets: QWidget | None) -> QWidget:
    box = QWidget()
    layout = QVBoxLayout(box)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(2)
    for widget in widgets:
        if widget is not None:
            layout.addWidget(widget)
    return box


def _boxed(editor: Editor, hint: Note | None) -> QGroupBox:
    box = QGroupBox(editor.label)
    layout = QVBoxLayout(box)
    for widget in (editor, hint):
        if widget is not None:
            layout.addWidget(widget)
    return box


class KindEditor(Editor):
    """An object of one of some kinds: the kind, and the fields of that kind."""

    def __init__(self, sheet: Sheet, path: Path, label: str, *, spec: KindSpec) -> None:
        super().__init__(sheet, path, label)
        self._kinds = list(spec.kinds.values())
        self.make: MakeKind = _blank_kind
        self.combo = QuietCombo()
        self.combo.setAccessibleName(f"kind of {label}")
        self.combo.addItems([choice_words(kind) for kind in spec.kinds])
        self.combo.setPlaceholderText(SEVERAL)
        self.combo.activated.connect(self._on_kind_activated)
        self._fault = Note()
        self._fault.setVisible(False)
        self._shown: Any = None
        self.inner: Editor | None = None
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.addWidget(self.combo)
        self._box.addWidget(self._fault)
        self.setFocusProxy(self.combo)

    @property
    def is_wide(self) -> bool:
        """Always."""
        return True

    def show_values(self, values: Sequence[Any]) -> None:
        """Show the kind and its fields, if all are of one kind."""
        same, cls = common([type(value) for value in values])
        self._shown = values[0]
        known = same and cls in self._kinds
        self.combo.setCurrentIndex(self._kinds.index(cls) if known else -1)
        self._fault.setVisible(False)
        if not known:
            self._put_inner(None)
            return
        if getattr(self.inner, "cls", None) is not cls:
            self._put_inner(record_editor(self.sheet, self.path, self.label, cls))
        if self.inner is not None:
            self.inner.show_values(values)

    def forget(self) -> None:
        """Let go of what was typed."""
        if self.inner is not None:
            self.inner.forget()

    def finish(self) -> None:
        """Enter what was typed."""
        if self.inner is not None:
            self.inner.finish()

    def _put_inner(self, inner: Editor | None) -> None:
        if self.inner is not None:
            self._box.removeWidget(self.inner)
            self.inner.hide()
            self.inner.deleteLater()
        self.inner = inner
        if inner is not None:
            self._box.addWidget(inner)

    def _on_kind_activated(self, index: int) -> None:
        if self._kinds[index] is type(self._shown):
            return
        value = self.make(self._shown, self._kinds[index])
        fault = self.sheet.commit(self.path, value)
        self._fault.setText(fault)
        self._fault.setVisible(bool(fault))


def _blank_kind(_old: Any, cls: type) -> Any:
    return blank(ObjectSpec(cls=cls))


def record_editor(sheet: Sheet, path: Path, label: str, cls: type) -> Editor:
    """Return the editor of an object, that of steps for a stepped ceiling."""
    if cls is StepsEditor.cls:
        return StepsEditor(sheet, path, label)
    return RecordEditor(sheet, path, label, cls=cls)


def shared_fields(classes: Collection[type]) -> tuple[FieldSpec, ...]:
    """Return the fields that several classes have alike, without lists of objects.

    The id is among them only for one class; several objects have several ids.
    """
    first, *others = classes
    fields = [field for field in fields_of(first) if _is_editable(field.spec)]
    for cls in others:
        there = {field.name: field.spec for field in fields_of(cls)}
        fields = [field for field in fields if there.get(field.name) == field.spec]
    return tuple(fields)


def _is_editable(spec: Spec) -> bool:
    """Tell whether a field is edited here: what has an id has a form of its own."""
    match spec:
        case ListSpec(item=ObjectSpec(cls=cls)):
            return all(field.name != "id" for field in fields_of(cls))
        case ListSpec(item=KindSpec()):
            return False
    return True


class Form(QWidget):
    """The fields of one object, or those that several have alike.

    `commit` sets a value in all of them and returns why it could not.
    """

    def __init__(self, commit: Callable[[Path, object], str]) -> None:
        super().__init__()
        self._commit = commit
        self._key: tuple[object, ...] | None = None
        self._keys: tuple[str, ...] = ()
        self.sheet: Sheet | None = None
        self.record: RecordEditor | None = None
        self._layout = QHBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)

    def show_items(
        self,
        items: Sequence[Any],
        *,
        keys: tuple[str, ...],
        barn: Barn,
        catalogue: Catalogue,
        style: LengthStyle,
        without: Collection[str] = (),
    ) -> None:
        """Show some objects.

        Parameters
        ----------
        items : sequence of object
            The objects, at least one.
        keys : tuple of str
            Their ids; the form keeps what is being typed as long as they are the same.
        barn, catalogue, style
            The document, its parts, and how lengths are written.
        without : collection of str
            Fields that are left out.
        """
        classes = tuple(dict.fromkeys(type(item) for item in items))
        hidden = {*without, *(["id"] if len(items) > 1 else [])}
        sheet = self.sheet
        if sheet is None:
            sheet = self.sheet = Sheet(
                barn=barn, catalogue=catalogue, commit=self._commit
            )
        sheet.take(barn, catalogue, style)
        key = (classes, frozenset(hidden))
        if key != self._key:
            self._build(sheet, classes, hidden)
            self._key = key
        elif keys != self._keys and self.record is not None:
            self.record.forget()
        self._keys = keys
        if self.record is not None:
            self.record.show_values(items)

    def finish(self) -> None:
        """Enter what was typed and not yet left."""
        if self.record is not None:
            self.record.finish()

    def clear(self) -> None:
        """Show nothing."""
        self._put(None)
        self._key = None

    def _build(
        self, sheet: Sheet, classes: Sequence[type], hidden: Collection[str]
    ) -> None:
        fields = [f for f in shared_fields(classes) if f.name not in hidden]
        label = " and ".join(map(class_words, classes))
        self._put(RecordEditor(sheet, (), label, cls=classes[0], fields=fields))

    def _put(self, record: RecordEditor | None) -> None:
        if self.record is not None:
            self._layout.removeWidget(self.record)
            self.record.hide()
            self.record.deleteLater()
        self.record = record
        if record is not None:
            self._layout.addWidget(record)
