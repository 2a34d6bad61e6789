"""A scan from a mesh file: chosen, measured, read, and put into the room."""

import shutil
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QFileDialog

from core.errors import LiftlaneError, NotWrittenError
from core.geometry.meshes import MESH_SUFFIXES, load_mesh, mesh_size
from core.geometry.shapes import Mesh
from core.model import edits
from core.model.barn import object_ids
from core.model.fixtures import Scan
from core.quantities import LengthUnit
from viewer.app.making import sentence
from viewer.jobs import Ticket
from viewer.panels.scan_dialog import MeshSize, ScanDialog, ScanWanted

if TYPE_CHECKING:
    from viewer.app.window import MainWindow

__all__ = ["ScanAdding"]

_KINDS = f"Meshes ({' '.join(f'*{suffix}' for suffix in MESH_SUFFIXES)})"
_UNSAVED = (
    "Save the room first: the file of a scan lies in the folder of the barn file, "
    "which this room has not yet."
)


class ScanAdding(QObject):
    """Adds a scan to the document of a window; reading never holds the window up."""

    def __init__(self, window: "MainWindow") -> None:
        super().__init__(window)
        self._window = window

    def ask(self) -> None:
        """Ask for a mesh file and go on with it."""
        window, path = self._window, self._window.session.path
        if path is None:
            window.questions.tell(window, _UNSAVED)
            return
        dialog = QFileDialog(window, "A mesh file", str(path.parent), _KINDS)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(self.begin)
        dialog.open()

    def begin(self, name: str) -> None:
        """Measure a mesh file, and ask how its numbers are meant."""
        path = Path(name)
        self._window.waiting.wait(
            f"Reading {path.name}",
            partial(_measured, path),
            done=partial(self._ask_meaning, path),
            refused=self._tell,
        )

    def _ask_meaning(self, path: Path, mesh: MeshSize) -> None:
        session = self._window.session
        style = self._window.preferences.length_style(session.document.job)
        proposed = _fresh_id(set(object_ids(session.document)))
        go_on = partial(self._read, path)
        ScanDialog(mesh, proposed, go_on, style=style, parent=self._window).open()

    def _read(self, path: Path, wanted: ScanWanted) -> None:
        self._window.waiting.wait(
            f"Reading {path.name}",
            partial(_read, path, wanted),
            done=partial(self._add, path, wanted),
            refused=self._tell,
        )

    def _add(self, path: Path, wanted: ScanWanted, mesh: Mesh) -> None:
        """Put the mesh with its lowest corner at that of the room, and choose it."""
        session = self._window.session
        if session.path is None:
            return
        try:
            file = _beside(path, session.path.parent)
        except NotWrittenError as error:
            self._tell(error)
            return
        x, y, z = (-mesh.vertices.min(axis=0)).tolist()
        scan = Scan(
            id=wanted.id, file=file, unit=wanted.unit, up=wanted.up, x=x, y=y, z=z
        )
        session.keep_mesh(scan, mesh)
        if session.ask(f"Add {scan.id}", partial(edits.add_objects, items=[scan])):
            session.select([scan.id])

    def _tell(self, error: LiftlaneError) -> None:
        self._window.questions.tell(self._window, sentence(error))


def _measured(path: Path, ticket: Ticket) -> MeshSize:
    ticket.report(0.0, "measuring it")
    mesh = load_mesh(path, unit=LengthUnit.INCH, up="z")
    return MeshSize(name=path.name, triangles=len(mesh.faces), size=mesh_size(mesh))


def _read(path: Path, wanted: ScanWanted, ticket: Ticket) -> Mesh:
    ticket.report(0.0, "turning it upright")
    return load_mesh(path, unit=wanted.unit, up=wanted.up.value)


def _beside(path: Path, folder: Path) -> str:
    """Return the name of a file within the folder of the barn, where it is copied to.

    Raises
    ------
    NotWrittenError
        If it cannot be copied.
    """
    if path.resolve().is_relative_to(folder.resolve()):
        return path.resolve().relative_to(folder.resolve()).as_posix()
    target = folder / path.name
    if target.exists():
        msg = f'there is another "{path.name}" beside the barn file; rename one of them'
        raise NotWrittenError(msg)
    try:
        shutil.copy2(path, target)
    except OSError as error:
        target.unlink(missing_ok=True)
        msg = f'"{path}" could not be copied beside the barn file ({error.strerror})'
        raise NotWrittenError(msg) from error
    return path.name


def _fresh_id(used: set[str]) -> str:
    number = next(k for k in range(1, len(used) + 2) if f"scan-{k}" not in used)
    return f"scan-{number}"
