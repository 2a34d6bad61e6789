"""A scan from a mesh file: chosen, measured, read, and put into the room."""

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
from viewer.care.copying import Copy, clear_parts, name_parts, write_parts
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
        """Read and copy the file; the copy gets its name when all is done."""
        session = self._window.session
        if session.path is None:
            return
        file = _name_in(session.path.parent, path)
        copies = _copies(path, session.path.parent / file)
        self._window.waiting.wait(
            f"Reading {path.name}",
            partial(_read, path, wanted, copies),
            done=partial(self._add, file, wanted, copies),
            refused=self._tell,
            ended=partial(clear_parts, copies),
        )

    def _add(
        self, file: str, wanted: ScanWanted, copies: tuple[Copy, ...], mesh: Mesh
    ) -> None:
        """Put the mesh with its lowest corner at that of the room, and choose it."""
        session = self._window.session
        try:
            _check_free(copies)
            name_parts(copies)
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


def _read(
    path: Path, wanted: ScanWanted, copies: tuple[Copy, ...], ticket: Ticket
) -> Mesh:
    _check_free(copies)
    ticket.report(0.0, "turning it upright")
    mesh = load_mesh(path, unit=wanted.unit, up=wanted.up.value)
    write_parts(copies, ticket)
    return mesh


def _name_in(folder: Path, path: Path) -> str:
    """Return the name that a file has, or gets, in the folder of the barn."""
    if path.resolve().is_relative_to(folder.resolve()):
        return path.resolve().relative_to(folder.resolve()).as_posix()
    return path.name


def _copies(path: Path, target: Path) -> tuple[Copy, ...]:
    """Return what is to be copied: nothing if the file lies in the folder."""
    if path.resolve() == target.resolve():
        return ()
    size = path.stat().st_size if path.is_file() else 0
    return (Copy(source=path, target=target, size=size),)


def _check_free(copies: tuple[Copy, ...]) -> None:
    """Write over no file that is there.

    Raises
    ------
    NotWrittenError
        If there is one.
    """
    for copy in copies:
        if copy.target.exists():
            name = copy.target.name
            msg = f'there is another "{name}" beside the barn file; rename one of them'
            raise NotWrittenError(msg)


def _fresh_id(used: set[str]) -> str:
    number = next(k for k in range(1, len(used) + 2) if f"scan-{k}" not in used)
    return f"scan-{number}"
