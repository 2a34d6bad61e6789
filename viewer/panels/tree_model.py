"""An item model of branches that takes over a new tree by its differences."""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count

from PySide6.QtCore import (
    QAbstractItemModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
)

__all__ = ["AnyIndex", "Branch", "Node", "TreeModel"]

AnyIndex = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """One row as it is to be: its key among its siblings, what it is, its rows."""

    key: Hashable
    what: object
    rows: tuple["Branch", ...] = ()


class Node:
    """One row as it is; mutable, for it lives as long as its key does."""

    __slots__ = ("key", "number", "owner", "row", "rows", "what")

    def __init__(
        self, number: int, key: Hashable, what: object, owner: "Node | None"
    ) -> None:
        self.number = number
        self.key = key
        self.what = what
        self.owner = owner
        self.row = 0
        self.rows: list[Node] = []


class TreeModel(QAbstractItemModel):
    """Rows in rows; `take` changes only what differs, so that views keep their place.

    A class that inherits says what is in a cell (`data`) and its `columns`.
    """

    columns: tuple[str, ...] = ("",)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._count = count(1)
        self._root = Node(0, "", None, None)
        self._nodes: dict[int, Node] = {0: self._root}

    def take(self, branches: Sequence[Branch]) -> None:
        """Show these rows in the place of those before."""
        self._take_rows(self._root, branches)

    def node(self, index: AnyIndex) -> Node:
        """Return the row of an index; that of no index is the root."""
        return self._nodes[index.internalId()] if index.isValid() else self._root

    def index_of(self, node: Node, column: int = 0) -> QModelIndex:
        """Return the index of a row."""
        if node is self._root:
            return QModelIndex()
        return self.createIndex(node.row, column, node.number)

    def index(self, row: int, column: int, parent: AnyIndex = _NOWHERE) -> QModelIndex:
        """Return the index of a cell, none if there is no such cell."""
        rows = self.node(parent).rows
        if parent.column() > 0 or not 0 <= row < len(rows):
            return QModelIndex()
        if not 0 <= column < len(self.columns):
            return QModelIndex()
        return self.createIndex(row, column, rows[row].number)

    def parent(self, child: AnyIndex = _NOWHERE) -> QModelIndex:  # type: ignore[override] # QObject.parent() is the other overload
        """Return the index of the row that holds a row."""
        owner = self.node(child).owner
        return QModelIndex() if owner is None else self.index_of(owner)

    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        """Return the number of rows in a row."""
        return 0 if parent.column() > 0 else len(self.node(parent).rows)

    def columnCount(self, parent: AnyIndex = _NOWHERE) -> int:
        """Return the number of columns."""
        return 0 if parent.column() > 0 else len(self.columns)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """Return the title of a column."""
        is_title = role == Qt.ItemDataRole.DisplayRole
        if is_title and orientation is Qt.Orientation.Horizontal:
            return self.columns[section] if section < len(self.columns) else None
        return None

    def _take_rows(self, owner: Node, branches: Sequence[Branch]) -> None:
        """Change the rows of a row: only those that differ go and come."""
        wanted = {branch.key for branch in branches}
        self._drop_others(owner, wanted)
        place = 0
        while place < len(branches):
            place = self._fit(owner, branches, place)
        self._drop(owner, len(branches), len(owner.rows))
        changed = [
            node.row
            for node, branch in zip(owner.rows, branches, strict=True)
            if self._renew(node, branch)
        ]
        for first, last in _stretches(changed):
            ends = (owner.rows[first], owner.rows[last])
            columns = (0, len(self.columns) - 1)
            self.dataChanged.emit(*map(self.index_of, ends, columns))

    def _drop_others(self, owner: Node, wanted: set[Hashable]) -> None:
        """Drop the rows that are not wanted, one stretch of them at a time."""
        end = len(owner.rows)
        while end > 0:
            first = end
            while first > 0 and owner.rows[first - 1].key not in wanted:
                first -= 1
            self._drop(owner, first, end)
            end = first - 1

    def _fit(self, owner: Node, branches: Sequence[Branch], place: int) -> int:
        """Make the row at a place the wanted one; return the next place to look at."""
        if place < len(owner.rows) and owner.rows[place].key == branches[place].key:
            return place + 1
        there = {node.key for node in owner.rows[place:]}
        if branches[place].key in there:
            while owner.rows[place].key != branches[place].key:
                self._drop(owner, place, place + 1)
            return place + 1
        end = place
        while end < len(branches) and branches[end].key not in there:
            end += 1
        self._add(owner, place, branches[place:end])
        return end

    def _drop(self, owner: Node, first: int, end: int) -> None:
        if first >= end:
            return
        self.beginRemoveRows(self.index_of(owner), first, end - 1)
        for node in owner.rows[first:end]:
            self._forget(node)
        del owner.rows[first:end]
        _renumber(owner)
        self.endRemoveRows()

    def _forget(self, node: Node) -> None:
        del self._nodes[node.number]
        for each in node.rows:
            self._forget(each)

    def _add(self, owner: Node, first: int, branches: Sequence[Branch]) -> None:
        if not branches:
            return
        last = first + len(branches) - 1
        self.beginInsertRows(self.index_of(owner), first, last)
        owner.rows[first:first] = [self._grown(each, owner) for each in branches]
        _renumber(owner)
        self.endInsertRows()

    def _grown(self, branch: Branch, owner: Node) -> Node:
        node = Node(next(self._count), branch.key, branch.what, owner)
        self._nodes[node.number] = node
        node.rows = [self._grown(each, node) for each in branch.rows]
        _renumber(node)
        return node

    def _renew(self, node: Node, branch: Branch) -> bool:
        """Take over a branch and its rows; tell whether the row itself changed."""
        self._take_rows(node, branch.rows)
        if node.what is branch.what or node.what == branch.what:
            return False
        node.what = branch.what
        return True


def _stretches(rows: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Yield first and last of each stretch of rows that follow one another."""
    first = 0
    for place, row in enumerate(rows, 1):
        if place == len(rows) or rows[place] != row + 1:
            yield rows[first], row
            first = place


def _renumber(owner: Node) -> None:
    for row, node in enumerate(owner.rows):
        node.row = row
