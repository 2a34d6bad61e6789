"""Reading large scans anew before an edit that turns them or takes another unit."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from core.geometry.meshes import load_mesh
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import Scan
from viewer.app.making import sentence
from viewer.care.reading import LARGE
from viewer.jobs import Ticket

if TYPE_CHECKING:
    from viewer.app.window import MainWindow

__all__ = ["ScanReading"]


class ScanReading:
    """Reads what an edit needs in another process, so that no edit holds a window."""

    def __init__(self, window: "MainWindow") -> None:
        self._window = window

    def first(
        self, after: Barn, *, go_on: Callable[[], object], ended: Callable[[], object]
    ) -> bool:
        """Read the large scans that an edit needs anew, if there are any.

        Parameters
        ----------
        after : Barn
            The document as the edit would leave it.
        go_on : callable
            Makes the edit, once their meshes are there.
        ended : callable
            Called last of all, also when the reading was cancelled or failed.

        Returns
        -------
        bool
            Whether there are any; otherwise nothing is called.
        """
        session = self._window.session
        if session.path is None:
            return False
        scans = _read_anew(session.document, after, session.path.parent)
        if not scans:
            return False

        def done(meshes: Sequence[Mesh]) -> None:
            for scan, mesh in zip(scans, meshes, strict=True):
                session.keep_mesh(scan, mesh)
            go_on()

        self._window.waiting.wait(
            f"Reading {Path(scans[0].file).name}",
            partial(_meshes, scans, session.path.parent),
            done=done,
            refused=lambda error: self._window.questions.tell(
                self._window, sentence(error)
            ),
            ended=ended,
        )
        return True


def _read_anew(before: Barn, after: Barn, folder: Path) -> tuple[Scan, ...]:
    """Return a scan for each large file that is meant as none was before."""
    known = {_meaning(each) for each in before.fixtures if isinstance(each, Scan)}
    fresh = {
        _meaning(each): each
        for each in after.fixtures
        if isinstance(each, Scan) and _meaning(each) not in known
    }
    return tuple(each for each in fresh.values() if _is_large(folder / each.file))


def _meaning(scan: Scan) -> tuple[object, ...]:
    return scan.file, scan.unit, scan.up


def _is_large(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > LARGE


def _meshes(scans: Sequence[Scan], folder: Path, ticket: Ticket) -> list[Mesh]:
    meshes = []
    for index, scan in enumerate(scans):
        ticket.report(index / len(scans), f"reading {scan.file}")
        path = folder / scan.file
        meshes.append(load_mesh(path, unit=scan.unit, up=scan.up.value))
    return meshes
