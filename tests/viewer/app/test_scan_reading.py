"""A large scan that is turned is read in another process before the edit is made."""

from functools import partial
from pathlib import Path

import pytest
import trimesh
from pytestqt.qtbot import QtBot

from core.model import edits
from core.model.fixtures import MeshUp, Scan
from core.quantities import LengthUnit
from tests.gui import Answers
from viewer.app import scan_reading
from viewer.app.window import MainWindow

pytestmark = pytest.mark.gui
PATIENCE = 60_000  # [ms]


@pytest.fixture
def scanned(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> MainWindow:
    """Return a window with a chosen scan, whose file counts as large."""
    trimesh.creation.box(extents=(2.0, 1.0, 0.5)).export(tmp_path / "duct.obj")
    scan = Scan(id="duct", file="duct.obj", unit=LengthUnit.FOOT, up=MeshUp.Z)
    assert window.save_to(str(tmp_path / "room.json"))
    assert window.session.ask("Add duct", partial(edits.add_objects, items=[scan]))
    window.session.select(["duct"])
    monkeypatch.setattr(scan_reading, "LARGE", 0)
    return window


def heights(window: MainWindow) -> float:
    vertices = window.session.meshes["duct"].vertices
    return float(vertices[:, 2].max() - vertices[:, 2].min())


def test_the_edit_waits_for_the_mesh(
    scanned: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("core.geometry.meshes.load_mesh", _fail)
    before = scanned.session.document
    with qtbot.waitSignal(scanned.waiting.idle, timeout=PATIENCE):
        assert scanned.panels.details._commit(("up",), MeshUp.X) == ""
        assert scanned.waiting.dialog is not None
        assert scanned.session.document is before
    # hand-worked: the side of 2 ft stands upright now
    assert heights(scanned) == pytest.approx(24.0)
    assert scanned.session.undo_name.startswith("Set")
    scanned.session.undo()
    assert scanned.session.document is before


def test_cancel_leaves_the_scan_and_the_form_as_they_were(
    scanned: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, renewed = scanned.session.document, []
    monkeypatch.setattr(scanned.panels.details, "renew", lambda: renewed.append(1))
    scanned.panels.details._commit(("unit",), LengthUnit.INCH)
    dialog = scanned.waiting.dialog
    assert dialog is not None
    with qtbot.waitSignal(scanned.waiting.idle, timeout=PATIENCE):
        dialog.close_button.click()
    assert scanned.session.document is before
    assert renewed  # shows the unit again that the scan has
    assert heights(scanned) == pytest.approx(6.0)  # hand-worked: half a foot


def test_a_file_that_is_spoiled_by_now_is_told(
    scanned: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    before = scanned.session.document
    (tmp_path / "duct.obj").write_text("no mesh")
    with qtbot.waitSignal(scanned.waiting.idle, timeout=PATIENCE):
        scanned.panels.details._commit(("up",), MeshUp.Y)
    assert isinstance(scanned.questions, Answers)
    assert "duct.obj" in scanned.questions.told[0][0]
    assert scanned.session.document is before


def test_what_needs_no_mesh_is_done_at_once(scanned: MainWindow) -> None:
    scanned.panels.details._commit(("x",), 10.0)
    assert scanned.waiting.dialog is None
    assert scanned.session.undo_name.startswith("Set x")


def _fail(*_args: object, **_options: object) -> None:
    pytest.fail("the mesh was read in the process of the window")
