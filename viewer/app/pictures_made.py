"""Pictures, sheets, walks and models of a barn, made in a process of their own.

Each function takes a barn file and a watch, and can be sent to another process as a
`functools.partial`.
"""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from multiprocessing import current_process

from core.analysis.analyse import analyse
from core.barnfile.files import BarnFile
from core.picture.eyes import clear_eye, eye_named
from core.picture.film import film_bytes
from core.picture.phone import phone_model
from core.picture.picture import LEAST_SIZE, Shot, png_bytes, take_picture
from core.picture.sheet import compare, sheet_bytes
from core.picture.subject import Subject, subject_of
from core.picture.walk import Walk, alley_path, take_walk
from core.picture.watch import Part, Watch, step
from viewer.app.picture_wanted import PictureWanted, WalkWanted

__all__ = [
    "glimpse_made",
    "model_made",
    "picture_made",
    "sheet_made",
    "walk_made",
]

_CHECKING = "checking the room"
_CHECKED = 0.04  # share of the work that checking takes [-]
_GLIMPSE, _ROUGH = 400, 2  # width of a small picture [px], rays for its pixels [-]


def picture_made(file: BarnFile, watch: Watch, *, wanted: PictureWanted) -> bytes:
    """Return a picture as a PNG file."""
    with _ending(watch) as ending:
        return _picture(file, ending, wanted)


def glimpse_made(file: BarnFile, watch: Watch, *, wanted: PictureWanted) -> bytes:
    """Return a small and rough picture as a PNG file; it may be ended by force."""
    height = max(LEAST_SIZE[1], round(_GLIMPSE * wanted.height / wanted.width))
    small = replace(wanted, width=_GLIMPSE, height=height, samples=_ROUGH)
    return _picture(file, watch, small)


def _picture(file: BarnFile, watch: Watch, wanted: PictureWanted) -> bytes:
    subject, rest = _subject(file, watch, animals=wanted.animals)
    return png_bytes(take_picture(subject, _shot(subject, wanted), watch=rest))


def sheet_made(
    file: BarnFile, watch: Watch, *, wanted: PictureWanted, kind: str
) -> bytes:
    """Return working, stowed and the worst clash on a sheet; `kind` of `SHEETS`."""
    with _ending(watch) as ending:
        subject, rest = _subject(file, ending, animals=wanted.animals)
        pixels = compare(
            subject,
            clear_eye(subject, wanted.eye),
            width=wanted.width,
            height=wanted.height,
            samples=wanted.samples,
            watch=rest,
        )
        return sheet_bytes(pixels, kind=kind, title=file.barn.name)


def walk_made(file: BarnFile, watch: Watch, *, wanted: WalkWanted, kind: str) -> bytes:
    """Return a walk as a film; `kind` of `FILMS`."""
    path = tuple(eye_named(file.barn, name) for name in wanted.eyes)
    walk = Walk(
        path=path or alley_path(file.barn),
        seconds=wanted.seconds,
        rate=wanted.rate,
        width=wanted.width,
        height=wanted.height,
        samples=wanted.samples,
    )
    with _ending(watch) as ending:
        subject, rest = _subject(file, ending)
        frames = take_walk(subject, walk, watch=rest)
        step(watch, 1.0, "making the film")
        return film_bytes(frames, rate=walk.rate, kind=kind)


def model_made(file: BarnFile, watch: Watch) -> bytes:
    """Return the room and its lift as a GLB file for a phone."""
    return phone_model(file.barn, meshes=file.meshes, watch=watch)


def _subject(file: BarnFile, watch: Watch, *, animals: int = 0) -> tuple[Subject, Part]:
    """Return what pictures are taken of, and the watch over the rest of the work."""
    step(watch, 0.0, _CHECKING)
    report = analyse(file.barn, meshes=file.meshes).report
    subject = subject_of(file.barn, meshes=file.meshes, report=report, animals=animals)
    return subject, Part(watch, _CHECKED, 1.0)


def _shot(subject: Subject, wanted: PictureWanted) -> Shot:
    eye = clear_eye(subject, wanted.eye)
    return Shot(
        eye=eye.eye,
        look=eye.look,
        width=wanted.width,
        height=wanted.height,
        lift=wanted.lift,
        samples=wanted.samples,
        clashes=wanted.clashes,
        view=wanted.view,
    )


@contextmanager
def _ending(watch: Watch) -> Iterator["_Ending"]:
    """Let work that has processes of its own give up when this one is told to end.

    Killed by force, it would leave what they share behind.
    """
    current_process().daemon = False  # one that is may have no processes of its own
    ending = _Ending(watch)
    before = signal.signal(signal.SIGTERM, ending.end)
    try:
        yield ending
    finally:
        signal.signal(signal.SIGTERM, before)


class _Ending:
    """A watch that can be told to give up; mutable."""

    def __init__(self, watch: Watch) -> None:
        self._watch = watch
        self._is_ended = False

    def end(self, _number: int, _frame: object) -> None:
        """Give up at the next step."""
        self._is_ended = True

    @property
    def is_cancelled(self) -> bool:
        """Whether the work is to give up."""
        return self._is_ended or self._watch.is_cancelled

    def report(self, share: float, words: str) -> None:
        """Pass on how far the work is."""
        self._watch.report(share, words)
