"""The only mutable state: document, selection, lift, cut, and the undo list."""

import shutil
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter

from PySide6.QtCore import QObject, QTimer, Signal

from core.analysis.analyse import Analysis, analyse
from core.analysis.report import Report
from core.barnfile.files import BarnFile, open_barn, save_barn
from core.barnfile.scans import MeshLibrary
from core.catalogue.catalogue import Catalogue
from core.catalogue.standard import standard_catalogue
from core.drawing.records import CUT
from core.drawing.shown import Shown
from core.errors import LiftlaneError, NotWrittenError
from core.geometry.shapes import Mesh
from core.model.barn import Barn, object_ids
from core.model.edits import Edited
from core.model.fixtures import Scan
from core.model.job import Display, EyePoint, Job
from core.model.rewriting import edited, replaced
from core.quantities import LengthStyle
from core.rules.finding import Finding
from viewer.checking import Checked, Checker
from viewer.mapping import RunMaps

__all__ = ["Change", "History", "Session"]

# an analysis that takes longer is made in another process [s]
QUICK_EDIT = 0.1
QUICK_PREVIEW = 0.004
_LONG = 300  # a check that takes longer is told of [ms]
_MANY = 200  # fixtures whose first check takes longer than that


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """One step that can be undone: its name, the document before and after."""

    name: str
    before: Barn
    after: Barn


class History:
    """All steps since the document was opened; mutable, for it grows."""

    def __init__(self) -> None:
        self._changes: list[Change] = []
        self._done = 0

    @property
    def undo_name(self) -> str:
        """What undo would take back, empty if nothing."""
        return self._changes[self._done - 1].name if self._done else ""

    @property
    def redo_name(self) -> str:
        """What redo would do again, empty if nothing."""
        more = self._done < len(self._changes)
        return self._changes[self._done].name if more else ""

    def push(self, change: Change) -> None:
        """Add a step; what was undone before it is gone."""
        del self._changes[self._done :]
        self._changes.append(change)
        self._done += 1

    def back(self) -> Barn | None:
        """Step back and return the document of then, None at the beginning."""
        if not self._done:
            return None
        self._done -= 1
        return self._changes[self._done].before

    def forward(self) -> Barn | None:
        """Step forward and return the document of then, None at the end."""
        if self._done == len(self._changes):
            return None
        self._done += 1
        return self._changes[self._done - 1].after


class Session(QObject):
    """One document with all that the views of a window share.

    A signal says what has happened already. `document_changed` carries an
    `Edited`; `preview_changed` tells of a barn that is shown during a drag and is
    not the document; `report_changed` comes when the report fits what is shown;
    `checking_lasts` tells when a check takes so long that a person would wonder, and
    when that is over; `history_changed` when the names of undo and redo may be
    others. `failed` carries a sentence for the user.
    """

    document_changed = Signal(object)
    preview_changed = Signal()
    report_changed = Signal()
    checking_changed = Signal(bool)
    checking_lasts = Signal(bool)
    selection_changed = Signal()
    lift_changed = Signal(float)
    cut_changed = Signal(float)
    run_changed = Signal()
    path_changed = Signal()
    clean_changed = Signal(bool)
    history_changed = Signal()
    style_changed = Signal()
    failed = Signal(str)

    def __init__(
        self,
        file: BarnFile,
        *,
        path: Path | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._checker = Checker(self)
        self._checker.checked.connect(self._on_checker_checked)
        self._checker.failed.connect(self._on_checker_failed)
        self.maps = RunMaps(self)
        self._waits_long = False
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(_LONG)
        self._wait.timeout.connect(self._on_wait_timeout)
        self.checking_changed.connect(self._on_checking_changed)
        self._lift = 0.0
        self._catalogue: tuple[object, Catalogue] | None = None
        self._style_of: Callable[[Job], LengthStyle] = _job_style
        self._take(file, path)

    def _take(
        self, file: BarnFile, path: Path | None, library: MeshLibrary | None = None
    ) -> None:
        """Forget everything and begin with a document."""
        self._file = file
        self._path = path
        self._saved: Barn | None = file.barn
        self._history = History()
        self._preview: Barn | None = None
        self._analysis: Analysis | None = None
        self._report: Report | None = None
        self._library = library or MeshLibrary(path.parent if path else Path())
        self._meshes = dict(file.meshes)
        self._seconds = _first_guess(file)
        self._selection: tuple[str, ...] = ()
        self._finding: int | None = None
        self._cut = _first_cut(file.barn)
        self._run: str | None = None
        self._eye: str | None = None
        self._was_clean = True
        self._analyse()

    # ----- what is there -----

    @property
    def document(self) -> Barn:
        """The barn as it is, without any preview."""
        return self._file.barn

    @property
    def barn(self) -> Barn:
        """The barn to show: the preview during a drag, otherwise the document."""
        return self.document if self._preview is None else self._preview

    @property
    def file(self) -> BarnFile:
        """The document with the unit and the schema of its file."""
        return replace(self._file, meshes=self._meshes)

    @property
    def path(self) -> Path | None:
        """The file of the document, None before it has one."""
        return self._path

    @property
    def meshes(self) -> Mapping[str, Mesh]:
        """The mesh of each scan by its id, in room coordinates [in]."""
        return self._meshes

    @property
    def report(self) -> Report | None:
        """The newest report; its barn says what it is of."""
        return self._report

    @property
    def is_checking(self) -> bool:
        """Whether the report is not yet of the barn that is shown."""
        return self.report is None or self.report.barn is not self.barn

    @property
    def catalogue(self) -> Catalogue:
        """The standard parts with those of the job."""
        parts = self.barn.parts
        if self._catalogue is None or self._catalogue[0] is not parts:
            whole = standard_catalogue()
            self._catalogue = (parts, whole.with_parts(parts) if parts else whole)
        return self._catalogue[1]

    @property
    def selection(self) -> tuple[str, ...]:
        """Ids of the chosen objects, in the order in which they were chosen."""
        return self._selection

    @property
    def finding(self) -> int | None:
        """Number of the chosen finding: its place in the report, from 1."""
        return self._finding

    @property
    def lift(self) -> float:
        """Where the runs are, 0 at working height, 1 stowed [-]."""
        return self._lift

    @property
    def cut(self) -> float:
        """Where the section across the room is cut (room x) [in]."""
        return self._cut

    @property
    def run(self) -> str | None:
        """The run of the long section, None in a barn without runs."""
        ids = [run.id for run in self.barn.runs]
        return self._run if self._run in ids else next(iter(ids), None)

    @property
    def eye(self) -> EyePoint | None:
        """The eye point that the plan shows."""
        eyes = {eye.id: eye for eye in self.barn.eyes}
        return eyes.get(self._eye or "", next(iter(eyes.values()), None))

    @property
    def is_clean(self) -> bool:
        """Whether the document is as it was opened or last saved."""
        return self.document is self._saved

    @property
    def style(self) -> LengthStyle:
        """How lengths are written: as the user prefers, else as the job says."""
        return self._style_of(self.document.job)

    @property
    def undo_name(self) -> str:
        """What undo would take back, empty if nothing."""
        return self._history.undo_name

    @property
    def redo_name(self) -> str:
        """What redo would do again, empty if nothing."""
        return self._history.redo_name

    def shown(self) -> Shown:
        """Return what a view is asked to show besides the barn."""
        return Shown(
            catalogue=self.catalogue,
            lift=self._lift,
            selection=frozenset(self._selection),
            cut=self._cut,
            run=self.run,
            eye=self.eye,
            meshes=self._meshes,
            finding=self._finding,
        )

    # ----- editing -----

    def ask(self, name: str, edit: Callable[[Barn], Edited]) -> bool:
        """Make one edit of the document; emit `failed` if it cannot be made.

        Parameters
        ----------
        name : str
            Its name in the undo list.
        edit : callable
            A function of `core.model.edits` with everything but the barn.

        Returns
        -------
        bool
            Whether it was made.
        """
        try:
            self.apply(name, edit(self.document))
        except LiftlaneError as error:
            self.preview(None)
            self.failed.emit(str(error))
            return False
        return True

    def apply(self, name: str, after: Edited) -> None:
        """Put an edited barn in the place of the document, as one undo step.

        Raises
        ------
        MeshFileError
            If a scan in it has no mesh; nothing is changed then.
        """
        before = self.document
        if after.barn == before:
            self.preview(None)
            return
        meshes = self._meshes_of(after.barn)
        self._history.push(Change(name=name, before=before, after=after.barn))
        self._show(after, meshes)

    def undo(self) -> None:
        """Take the last step back."""
        self._step(self._history.back())

    def redo(self) -> None:
        """Do the step again that was taken back last."""
        self._step(self._history.forward())

    def preview(self, barn: Barn | None) -> None:
        """Show a barn that is not the document; None shows the document again."""
        if barn is self._preview:
            return
        try:
            self._meshes = self._meshes_of(barn or self.document)
        except LiftlaneError as error:
            self.failed.emit(str(error))
            return
        self._preview = barn
        self.preview_changed.emit()
        self._analyse()

    def _step(self, barn: Barn | None) -> None:
        if barn is not None:
            self._show(edited(self.document, barn), self._meshes_of(barn))

    def _show(self, after: Edited, meshes: dict[str, Mesh]) -> None:
        self._meshes = meshes
        self._file = replace(self._file, barn=after.barn)
        self._preview = None
        self._prune()
        self.document_changed.emit(after)
        self.history_changed.emit()
        self._tell_clean()
        self._analyse()

    def _prune(self) -> None:
        """Let go of what is no longer in the document."""
        known = set(object_ids(self.document))
        kept = tuple(each for each in self._selection if each in known)
        if kept != self._selection:
            self._selection = kept
            self.selection_changed.emit()
        inside = min(self._cut, self.document.room.length)
        if inside != self._cut:
            self.set_cut(inside)

    # ----- looking -----

    def select(self, ids: Iterable[str]) -> None:
        """Choose objects by their ids, those before are let go."""
        chosen = tuple(dict.fromkeys(each for each in ids if each != CUT))
        known = {eye.id for eye in self.document.eyes}
        eye = next((each for each in reversed(chosen) if each in known), self._eye)
        before = (self._selection, self._finding, self._eye)
        if (chosen, None, eye) == before:
            return
        self._selection, self._finding, self._eye = chosen, None, eye
        run = _run_of(self.document, chosen)
        if run is not None:
            self.set_run(run)
        self.selection_changed.emit()

    def set_lift(self, lift: float) -> None:
        """Lift all runs to a share of their travel, kept to 0 ... 1 [-]."""
        lift = min(max(lift, 0.0), 1.0)
        if lift != self._lift:
            self._lift = lift
            self.lift_changed.emit(lift)

    def set_cut(self, x: float) -> None:
        """Cut the section across the room at x, kept inside it [in]."""
        x = min(max(x, 0.0), self.document.room.length)
        if x != self._cut:
            self._cut = x
            self.cut_changed.emit(x)

    def set_run(self, run: str) -> None:
        """Show a run in the long section."""
        if run != self.run:
            self._run = run
            self.run_changed.emit()

    def set_eye(self, eye: str) -> None:
        """Show an eye point in the plan."""
        self._eye = eye
        self.selection_changed.emit()

    def show_finding(self, number: int) -> None:
        """Bring every view and the lift to a finding, by its number from 1."""
        report = self.report
        if report is None or not 0 < number <= len(report.findings):
            return
        finding = report.findings[number - 1]
        known = set(object_ids(self.document))
        ids = (finding.subject, finding.other)
        self.select(each for each in ids if each is not None and each in known)
        self._finding = number
        if finding.lift is not None:
            self.set_lift(finding.lift)
        if finding.points:
            self.set_cut(_middle_x(finding))
        self.selection_changed.emit()

    def set_style_of(self, style_of: Callable[[Job], LengthStyle]) -> None:
        """Let lengths be written as a function of the job says."""
        self._style_of = style_of
        self.style_changed.emit()

    # ----- files -----

    def open(self, path: Path | str) -> None:
        """Open a barn file in the place of the document.

        Raises
        ------
        BarnFileError
            If it cannot be used; the document stays as it is.
        """
        self.adopt(open_barn(path), path=Path(path))

    def new(self, barn: Barn) -> None:
        """Begin with a barn that has no file yet."""
        self.adopt(BarnFile(barn=barn))

    def adopt(
        self,
        file: BarnFile,
        *,
        path: Path | None = None,
        library: MeshLibrary | None = None,
    ) -> None:
        """Show a barn file that has been read, in the place of the document.

        A library that has its scans spares reading them again.
        """
        before = self.document
        self._checker.drop()
        self.maps.forget()
        self._take(file, path, library)
        self.document_changed.emit(replaced(before, file.barn))
        self.set_lift(0.0)
        self._tell_all()

    def recover(
        self,
        file: BarnFile,
        *,
        path: Path | None,
        library: MeshLibrary | None = None,
    ) -> None:
        """Show a recovered barn: what its file holds, if any, is older."""
        self.adopt(file, path=path, library=library)
        self._saved = None
        self._tell_clean()

    def save(self) -> None:
        """Save the document to its file.

        Raises
        ------
        NotWrittenError
            If it cannot be written, or has no file yet.
        """
        if self._path is None:
            msg = "the document has no file yet, save it under a name"
            raise NotWrittenError(msg)
        self.save_as(self._path)

    def save_as(self, path: Path | str) -> None:
        """Save the document to a file, which is its file from then on.

        Raises
        ------
        NotWrittenError
            If it cannot be written; nothing is changed then.

        Notes
        -----
        The files of scans are copied along when the folder is another one.
        """
        path = Path(path)
        self.save_copy(path)
        self._saved = self.document
        if path != self._path:
            self._path = path
            self._library.move_to(path.parent)
            self.path_changed.emit()
        self._tell_clean()

    def save_copy(self, path: Path | str) -> None:
        """Save a copy, the document keeps its own file.

        Raises
        ------
        NotWrittenError
            If it cannot be written.
        """
        path, file = Path(path), self._file
        if self._path is not None:
            _copy_scans(file.barn, self._path.parent, path.parent)
        save_barn(file.barn, path, unit=file.unit, schema=file.schema)

    def warm_up(self) -> None:
        """Start the process that checks in the background before it is needed."""
        self._checker.start()

    def close(self) -> None:
        """End the work in the background; the session is not used after this."""
        self._checker.close()
        self.maps.close()

    def _tell_all(self) -> None:
        self.preview_changed.emit()
        self.selection_changed.emit()
        self.run_changed.emit()
        self.cut_changed.emit(self._cut)
        self.path_changed.emit()
        self.history_changed.emit()
        self.clean_changed.emit(self.is_clean)
        self.report_changed.emit()

    def _tell_clean(self) -> None:
        if self.is_clean != self._was_clean:
            self._was_clean = self.is_clean
            self.clean_changed.emit(self.is_clean)

    # ----- meshes and analysis -----

    def keep_mesh(self, scan: Scan, mesh: Mesh) -> None:
        """Remember the mesh of a scan to come, about the origin of its file [in]."""
        self._library.keep(scan, mesh)

    def _meshes_of(self, barn: Barn) -> dict[str, Mesh]:
        """Return the meshes of a barn's scans, kept where the scan is the same."""
        if not any(isinstance(fixture, Scan) for fixture in barn.fixtures):
            return {}
        shown = {id(fixture): fixture.id for fixture in self.barn.fixtures}
        return {
            fixture.id: self._meshes[fixture.id]
            if id(fixture) in shown and fixture.id in self._meshes
            else self._library.mesh(fixture)
            for fixture in barn.fixtures
            if isinstance(fixture, Scan)
        }

    def _analyse(self) -> None:
        """Check the shown barn here if that is quick, otherwise in the background."""
        barn = self.barn
        if self._report is not None and self._report.barn is barn:
            self._checker.drop()
            self.report_changed.emit()
        elif self._seconds <= self._quick and not self._checker.is_busy:
            self._analyse_here(barn)
        else:
            self._checker.check(barn, dict(self._meshes))
            self.checking_changed.emit(self.is_checking)

    @property
    def _quick(self) -> float:
        return QUICK_EDIT if self._preview is None else QUICK_PREVIEW

    def _analyse_here(self, barn: Barn) -> None:
        begin, before = perf_counter(), self._analysis
        self._analysis = analyse(barn, meshes=self._meshes, previous=before)
        if before is not None:
            self._seconds = perf_counter() - begin
        self._report = self._analysis.report
        self.report_changed.emit()

    def _on_checking_changed(self, is_checking: bool) -> None:  # noqa: FBT001 - as the signal says
        """Wait a while before anybody is told: a drag is checked in no time."""
        if not is_checking:
            self._wait.stop()
            if self._waits_long:
                self._waits_long = False
                self.checking_lasts.emit(self._waits_long)
        elif not self._waits_long and not self._wait.isActive():
            self._wait.start()

    def _on_wait_timeout(self) -> None:
        self._waits_long = True
        self.checking_lasts.emit(self._waits_long)

    def _on_checker_checked(self, checked: Checked) -> None:
        self._report, self._seconds = checked.report, checked.seconds
        self.report_changed.emit()
        self.checking_changed.emit(self.is_checking)

    def _on_checker_failed(self, error: Exception) -> None:
        """Check here, so that nobody waits for a report that never comes."""
        self._seconds = 0.0
        self._analyse_here(self.barn)
        self.checking_changed.emit(self.is_checking)
        raise error


def _copy_scans(barn: Barn, old: Path, new: Path) -> None:
    """Copy the files of scans to the same places in another folder."""
    for fixture in barn.fixtures:
        if not isinstance(fixture, Scan):
            continue
        source, target = old / fixture.file, new / fixture.file
        if source.resolve() == target.resolve() or target.exists():
            continue
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(source, target)
        except OSError as error:
            msg = f'the scan "{source}" could not be copied ({error.strerror})'
            raise NotWrittenError(msg) from error


def _first_guess(file: BarnFile) -> float:
    """Return how long a first check may take, with scans or many fixtures [s]."""
    return 1.0 if file.meshes or len(file.barn.fixtures) > _MANY else 0.0


def _job_style(job: Job) -> LengthStyle:
    metric = job.display is Display.MILLIMETRES
    return LengthStyle.MILLIMETRES if metric else LengthStyle.FEET


def _first_cut(barn: Barn) -> float:
    """Return where a section says most at first: at a support near the middle [in]."""
    middle = barn.room.length / 2
    places = [
        run.start[0] + support.station
        for run in barn.runs
        for support in run.supports
        if run.start[1] == run.end[1] and run.start[0] < run.end[0]
    ]
    return min(places, key=lambda x: abs(x - middle), default=middle)


def _run_of(barn: Barn, ids: Collection[str]) -> str | None:
    """Return the run that is among some ids, or holds a support among them."""
    for run in barn.runs:
        if run.id in ids or any(each.id in ids for each in run.supports):
            return run.id
    return None


def _middle_x(finding: Finding) -> float:
    return sum(point[0] for point in finding.points) / len(finding.points)
