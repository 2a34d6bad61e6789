"""The fault of some PySide6 releases that lose a reference to None at every call."""

import sys

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

pytestmark = pytest.mark.gui


def test_calls_without_a_result_keep_the_count_of_none(qtbot: QtBot) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    before = sys.getrefcount(None)
    for _ in range(500):
        widget.update()
    # allowed: other threads and caches may hold a few more or less
    assert sys.getrefcount(None) > before - 100
