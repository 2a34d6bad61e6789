"""Rows in rows, changed by their differences."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt

from viewer.panels.tree_model import Branch, TreeModel

pytestmark = pytest.mark.gui


class Words(TreeModel):
    columns = ("word", "length")

    def data(self, index, role=Qt.ItemDataRole.DisplayRole):
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        word = str(self.node(index).what)
        return word if index.column() == 0 else str(len(word))


def branch(key, *rows):
    return Branch(key=key, what=key, rows=rows)


ROOT = QModelIndex()


def shown(model, parent=ROOT):
    rows = [model.index(row, 0, parent) for row in range(model.rowCount(parent))]
    return [(model.data(index), shown(model, index)) for index in rows]


def as_shown(branches):
    return [(str(each.what), as_shown(each.rows)) for each in branches]


def test_a_tree_keeps_the_rules_of_item_models(qtmodeltester):
    model = Words()
    model.take([branch("a", branch("b"), branch("c", branch("d"))), branch("e")])
    qtmodeltester.check(model)
    model.take([branch("a", branch("c")), branch("f"), branch("e", branch("g"))])
    assert shown(model) == [("a", [("c", [])]), ("f", []), ("e", [("g", [])])]


def test_what_stays_keeps_its_index():
    model = Words()
    model.take([branch("a"), branch("b", branch("c")), branch("d")])
    inner = QPersistentModelIndex(model.index(0, 0, model.index(1, 0)))
    model.take([branch("x"), branch("b", branch("y"), branch("c"))])
    assert model.data(QModelIndex(inner)) == "c"
    assert inner.row() == 1


def test_only_what_is_new_is_told(qtbot):
    model = Words()
    model.take([branch("a"), branch("b")])
    with qtbot.waitSignal(model.dataChanged) as changed:
        model.take([branch("a"), Branch(key="b", what="other")])
    assert changed.args[0].row() == 1
    with qtbot.assertNotEmitted(model.dataChanged):
        model.take([branch("a"), Branch(key="b", what="other")])


trees = st.recursive(
    st.lists(st.sampled_from("abcdef"), unique=True, max_size=5).map(
        lambda keys: [branch(key) for key in keys]
    ),
    lambda inner: st.dictionaries(st.sampled_from("abcdef"), inner, max_size=4).map(
        lambda rows: [branch(key, *value) for key, value in rows.items()]
    ),
    max_leaves=12,
)


@given(before=trees, after=trees)
def test_any_tree_follows_any_other(before, after):
    model = Words()
    model.take(before)
    model.take(after)
    assert shown(model) == as_shown(after)
