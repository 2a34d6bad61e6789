"""The meshes of a barn's scans, read from the files beside the barn file."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import Fault, MeshFileError
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import MeshUp, Scan

if TYPE_CHECKING:
    from core.geometry.meshes import UpAxis

__all__ = ["MeshLibrary", "Tell"]

Tell = Callable[[float, str], object]  # takes a share [-] and words

_UP: "Mapping[MeshUp, UpAxis]" = {MeshUp.X: "x", MeshUp.Y: "y", MeshUp.Z: "z"}


class MeshLibrary:
    """Loads the meshes of scans; it remembers them, so it is not frozen.

    A file is read again when it has changed, and a mesh is the same object as
    before for as long as its file and its scan stay as they are.

    Parameters
    ----------
    folder : Path
        The folder that the files of the scans are relative to.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._read: dict[object, tuple[object, Mesh]] = {}
        self._placed: dict[str, tuple[object, Mesh]] = {}

    def move_to(self, folder: Path) -> None:
        """Look for the files in another folder; the same files are not read again."""
        self._folder = folder

    def keep(self, scan: Scan, mesh: Mesh) -> None:
        """Remember a mesh about the origin of its file that was read elsewhere."""
        key = (scan.file, scan.unit, scan.up)
        self._read[key] = (_state(self._folder / scan.file), mesh)

    def load(
        self, barn: Barn, *, tell: Tell | None = None
    ) -> tuple[dict[str, Mesh], tuple[Fault, ...]]:
        """Load the meshes of all scans of a barn.

        Parameters
        ----------
        barn : Barn
            The document.
        tell : callable, optional
            Told which file is being read, with the share of files read before it.

        Returns
        -------
        meshes : dict of str to Mesh
            By the id of the scan, in room coordinates [in].
        faults : tuple[Fault, ...]
            One for each scan whose file gives no mesh.
        """
        meshes: dict[str, Mesh] = {}
        faults: list[Fault] = []
        count = sum(isinstance(fixture, Scan) for fixture in barn.fixtures)
        for index, fixture in enumerate(barn.fixtures):
            if isinstance(fixture, Scan):
                if tell is not None:
                    done = (len(meshes) + len(faults)) / count
                    tell(done, f"reading {fixture.file}")
                try:
                    meshes[fixture.id] = self.mesh(fixture)
                except MeshFileError as error:
                    faults.append(_fault(f"fixtures[{index}].file", fixture, error))
        return meshes, tuple(faults)

    def mesh(self, scan: Scan) -> Mesh:
        """Load the mesh of one scan.

        Parameters
        ----------
        scan : Scan
            The fixture.

        Returns
        -------
        Mesh
            In room coordinates [in].

        Raises
        ------
        MeshFileError
            If the file gives no mesh.
        """
        raw = self._raw(scan)
        place = (raw, scan.x, scan.y, scan.z, scan.heading, scan.scale)
        known, mesh = self._placed.get(scan.id, (None, raw))
        if known != place:
            from core.geometry.meshes import placed  # most rooms have no scan

            origin = (scan.x, scan.y, scan.z)
            mesh = placed(raw, origin=origin, heading=scan.heading, scale=scan.scale)
            self._placed[scan.id] = (place, mesh)
        return mesh

    def _raw(self, scan: Scan) -> Mesh:
        """Read a mesh about the origin of its file, if it has changed."""
        path = self._folder / scan.file
        key, state = (scan.file, scan.unit, scan.up), _state(path)
        known, mesh = self._read.get(key, (None, None))
        if mesh is None or known != state:
            from core.geometry.meshes import load_mesh

            mesh = load_mesh(path, unit=scan.unit, up=_UP[scan.up])
            self._read[key] = (state, mesh)
        return mesh


def _state(path: Path) -> tuple[int, int] | None:
    """Tell one state of a file from another: when it was written, and its size."""
    try:
        status = path.stat()
    except (OSError, ValueError):
        return None
    return status.st_mtime_ns, status.st_size


def _fault(path: str, scan: Scan, error: MeshFileError) -> Fault:
    """Word a mesh file that cannot be used, with what the barn file says of it."""
    note = f"; {scan.note}" if scan.note else ""
    expected = f"a mesh file ({error}{note})"
    return Fault(path=path, found=f'"{scan.file}"', expected=expected)
