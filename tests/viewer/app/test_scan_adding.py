"""A scan from a mesh file: measured, asked about, read elsewhere, put into the room."""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from core.barnfile.files import load_barn, open_barn
from core.model.fixtures import MeshUp, Scan
from core.quantities import LengthUnit
from tests.gui import Answers
from tests.viewer.app import work
from viewer.app import scan_adding
from viewer.app.window import MainWindow
from viewer.panels.scan_dialog import ScanDialog

pytestmark = pytest.mark.gui
PATIENCE = 60_000  # [ms]


def mesh_file(folder: Path, suffix: str) -> Path:
    """Write a box of 2 by 1 by 0.5, its middle at (5, 6, 7), in a file's own axes."""
    folder.mkdir(exist_ok=True)
    box = trimesh.creation.box(extents=(2.0, 1.0, 0.5))
    box.apply_translation((5.0, 6.0, 7.0))
    path = folder / f"duct{suffix}"
    box.export(path)
    return path


@pytest.fixture
def saved(window: MainWindow, tmp_path: Path) -> MainWindow:
    """Return the window with a room that has a folder."""
    (tmp_path / "job").mkdir()
    assert window.save_to(str(tmp_path / "job" / "room.json"))
    return window


def told(window: MainWindow) -> list[tuple[str, str]]:
    assert isinstance(window.questions, Answers)
    return window.questions.told


def asked(window: MainWindow, path: Path, qtbot: QtBot) -> ScanDialog:
    """Begin with a file, and return the dialog that asks what it means."""
    window.scan_adding.begin(str(path))
    assert window.waiting.dialog is not None
    qtbot.waitUntil(lambda: bool(window.findChildren(ScanDialog)), timeout=PATIENCE)
    return window.findChildren(ScanDialog)[-1]


def press(dialog: ScanDialog, kind: QDialogButtonBox.StandardButton, qtbot: QtBot):
    qtbot.mouseClick(dialog.buttons.button(kind), Qt.MouseButton.LeftButton)


def scans(window: MainWindow) -> list[Scan]:
    return [f for f in window.session.document.fixtures if isinstance(f, Scan)]


@pytest.mark.parametrize("suffix", [".stl", ".ply", ".obj", ".glb"])
def test_a_mesh_of_each_form_is_put_at_the_corner_of_the_room(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot, suffix: str
) -> None:
    session, first = saved.session, saved.session.document
    dialog = asked(saved, mesh_file(tmp_path / "phone", suffix), qtbot)
    dialog.up.setCurrentIndex(dialog.up.findData(MeshUp.Z))
    dialog.unit.setCurrentIndex(dialog.unit.findData(LengthUnit.FOOT))
    # hand-worked: the box of 2 by 1 by 0.5 in feet, z up
    assert dialog.size_line.text() == "2 ft 0 in along, 1 ft 0 in across, 6 in high"
    dialog.id.setText("duct")
    ok = QDialogButtonBox.StandardButton.Ok
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        press(dialog, ok, qtbot)
    (scan,) = scans(saved)
    assert (scan.id, scan.unit, scan.up) == ("duct", LengthUnit.FOOT, MeshUp.Z)
    assert scan.file == f"duct{suffix}"
    assert session.selection == ("duct",)
    vertices = session.meshes["duct"].vertices
    assert vertices.min(axis=0) == pytest.approx(np.zeros(3), abs=1e-4)
    assert vertices.max(axis=0) == pytest.approx((24.0, 12.0, 6.0), abs=1e-4)
    assert session.undo_name == "Add duct"
    session.save()
    assert open_barn(tmp_path / "job" / "room.json").barn == session.document
    session.undo()
    assert session.document is first


def test_a_file_beside_the_barn_is_named_where_it_is(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    path = mesh_file(tmp_path / "job" / "scans", ".stl")
    dialog = asked(saved, path, qtbot)
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        press(dialog, QDialogButtonBox.StandardButton.Ok, qtbot)
    assert [scan.file for scan in scans(saved)] == ["scans/duct.stl"]
    assert [p.name for p in (tmp_path / "job").glob("*.stl")] == []


def test_cancel_in_the_dialog_or_while_reading_leaves_everything(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    first, path = saved.session.document, mesh_file(tmp_path / "phone", ".stl")
    dialog = asked(saved, path, qtbot)
    press(dialog, QDialogButtonBox.StandardButton.Cancel, qtbot)
    saved.scan_adding.begin(str(path))
    waiting = saved.waiting.dialog
    assert waiting is not None
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        waiting.close_button.click()
    assert saved.session.document is first
    assert [p.name for p in (tmp_path / "job").glob("*.stl")] == []
    assert load_barn(tmp_path / "job" / "room.json") == first


def test_a_file_that_is_no_mesh_is_told(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "spoiled.stl"
    path.write_text("no mesh")
    first = saved.session.document
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        saved.scan_adding.begin(str(path))
    ((words, _),) = told(saved)
    assert "spoiled.stl" in words
    assert saved.session.document is first


def test_another_file_of_that_name_is_not_written_over(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    other = tmp_path / "job" / "duct.stl"
    other.write_bytes(b"kept")
    dialog = asked(saved, mesh_file(tmp_path / "phone", ".stl"), qtbot)
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        press(dialog, QDialogButtonBox.StandardButton.Ok, qtbot)
    assert other.read_bytes() == b"kept"
    assert "rename one of them" in told(saved)[0][0]
    assert scans(saved) == []


def test_a_room_without_a_file_is_to_be_saved_first(window: MainWindow) -> None:
    window.panels.objects.scan_wanted.emit()
    assert told(window)[0][0].startswith("Save the room first")


def test_the_menu_of_fixtures_offers_a_scan(window: MainWindow) -> None:
    menu = window.panels.objects.add_button.menu()
    fixtures = next(a for a in menu.actions() if a.text() == "Fixture").menu()
    next(a for a in fixtures.actions() if a.text().startswith("Scan")).trigger()
    assert told(window)  # the room has no file yet


def test_a_copy_that_is_cancelled_leaves_nothing_half_written(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, job = saved.session.document, tmp_path / "job"
    monkeypatch.setattr(scan_adding, "_read", work.endless_copy)
    dialog = asked(saved, mesh_file(tmp_path / "phone", ".stl"), qtbot)
    press(dialog, QDialogButtonBox.StandardButton.Ok, qtbot)
    qtbot.waitUntil(lambda: (job / ".duct.stl.part").exists(), timeout=PATIENCE)
    waiting = saved.waiting.dialog
    assert waiting is not None
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        waiting.close_button.click()
    assert list(job.glob("*duct*")) == []
    assert saved.session.document is first


def test_the_copy_is_made_where_the_mesh_is_read(
    saved: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(scan_adding, "write_parts", _fail)  # not in this process
    path = mesh_file(tmp_path / "phone", ".stl")
    dialog = asked(saved, path, qtbot)
    with qtbot.waitSignal(saved.waiting.idle, timeout=PATIENCE):
        press(dialog, QDialogButtonBox.StandardButton.Ok, qtbot)
    assert (tmp_path / "job" / "duct.stl").read_bytes() == path.read_bytes()
    assert list((tmp_path / "job").glob("*.part")) == []


def _fail(*_args: object) -> None:
    pytest.fail("the file was copied in the process of the window")
