"""What the user prefers on this machine: units, light or dark, text size, files."""

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QObject, QSettings, Signal

from core.model.job import Display, Job
from core.quantities import LengthStyle

__all__ = ["LEAST_TEXT", "MOST_TEXT", "Preferences", "Scheme", "Units"]

MOST_RECENT = 10
LEAST_TEXT, MOST_TEXT = 80, 200  # text size [%]

T = TypeVar("T")


class Units(StrEnum):
    """How lengths are shown: as the job says, or always the same way."""

    JOB = "job"
    FEET = "ft"
    MILLIMETRES = "mm"


class Scheme(StrEnum):
    """The colours of the window."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


class Preferences(QObject):
    """The settings of this user on this machine; `changed` tells of any of them."""

    changed = Signal()
    recent_changed = Signal()

    def __init__(self, settings: QSettings, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._settings = settings

    @property
    def settings(self) -> QSettings:
        """Where everything is kept."""
        return self._settings

    @property
    def units(self) -> Units:
        """How lengths are shown."""
        return self._read("units", Units, Units.JOB)

    @units.setter
    def units(self, units: Units) -> None:
        self._write("units", units.value)

    @property
    def scheme(self) -> Scheme:
        """Light, dark, or as the system is."""
        return self._read("scheme", Scheme, Scheme.SYSTEM)

    @scheme.setter
    def scheme(self, scheme: Scheme) -> None:
        self._write("scheme", scheme.value)

    @property
    def text_size(self) -> int:
        """Size of texts in percent of the usual one."""
        size = self._read("text-size", int, 100)
        return min(max(size, LEAST_TEXT), MOST_TEXT)

    @text_size.setter
    def text_size(self, percent: int) -> None:
        self._write("text-size", percent)

    @property
    def recent(self) -> tuple[Path, ...]:
        """Files that were open before and are still there, the newest first."""
        return tuple(path for path in self._remembered() if path.is_file())

    def length_style(self, job: Job) -> LengthStyle:
        """Return how lengths of a job are written here."""
        units = self.units
        if units is Units.JOB:
            metric = job.display is Display.MILLIMETRES
        else:
            metric = units is Units.MILLIMETRES
        return LengthStyle.MILLIMETRES if metric else LengthStyle.FEET

    def remember(self, path: Path) -> None:
        """Put a file at the top of the recent ones."""
        others = [each for each in self._remembered() if each != path.resolve()]
        self._keep([path.resolve(), *others])

    def forget(self, path: Path) -> None:
        """Take a file off the recent ones."""
        self._keep([each for each in self._remembered() if each != path.resolve()])

    def _remembered(self) -> list[Path]:
        kept = self._settings.value("recent", [])
        names = [kept] if isinstance(kept, str) else list(kept or [])  # type: ignore[call-overload] # QSettings gives a text for a list of one
        return [Path(name) for name in names]

    def _keep(self, paths: list[Path]) -> None:
        self._settings.setValue("recent", [str(path) for path in paths[:MOST_RECENT]])
        self.recent_changed.emit()

    def _read(self, key: str, make: Callable[[str], T], usual: T) -> T:
        """Read a setting; one that an older or newer program wrote may be odd."""
        try:
            return make(str(self._settings.value(key, usual)))
        except ValueError:
            return usual

    def _write(self, key: str, value: object) -> None:
        if self._settings.value(key) != value:
            self._settings.setValue(key, value)
            self.changed.emit()
