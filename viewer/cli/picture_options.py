"""What the commands that take pictures share: options, opening a barn, progress."""

import argparse
import math
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.model.job import EyePoint
    from core.picture.subject import Subject

__all__ = [
    "Teller",
    "add_samples",
    "check_folder",
    "eye_from",
    "opened_subject",
    "point",
    "size",
]


def size(text: str) -> tuple[int, int]:
    """Read a size such as 1280x720 [px]."""
    found = re.fullmatch(r"(\d{1,6})[x*](\d{1,6})", text.strip().lower())
    if found is None:
        message = f'"{text}" is no size; write width x height, such as 1280x720'
        raise argparse.ArgumentTypeError(message)
    return int(found[1]), int(found[2])


def point(text: str) -> tuple[float, float, float]:
    """Read a point such as 24,246,64; each length as it is written anywhere [in]."""
    from core.errors import QuantityError
    from core.quantities import parse_length

    parts = text.split(",")
    if len(parts) != 3:
        message = f'"{text}" is no point; write x,y,z, such as 2ft,246,5ft'
        raise argparse.ArgumentTypeError(message)
    try:
        x, y, z = (parse_length(part) for part in parts)
    except QuantityError as error:
        raise argparse.ArgumentTypeError(str(error)) from error
    return (x, y, z)


def add_samples(command: argparse.ArgumentParser, default: int) -> None:
    """Add the option that trades time for evenness."""
    command.add_argument(
        "--samples",
        type=int,
        default=default,
        metavar="N",
        help=f"rays into the room for each pixel, {default} unless given",
    )


def check_folder(path: str) -> None:
    """Refuse a file whose folder is not there before any work is done.

    Raises
    ------
    NotWrittenError
        If the folder is missing or cannot be written to.
    """
    import os

    from core.errors import NotWrittenError

    folder = Path(path).resolve().parent
    if not folder.is_dir():
        message = f'"{path}" could not be written (no such folder); choose another'
        raise NotWrittenError(message)
    if Path(path).is_dir() or not os.access(folder, os.W_OK):
        message = f'"{path}" could not be written; choose another place'
        raise NotWrittenError(message)


def opened_subject(path: str, *, animals: int = 0, analysed: int = 1) -> "Subject":
    """Open a barn with its scans and check it; what pictures are taken of."""
    from core.analysis.analyse import analyse
    from core.barnfile.files import open_barn
    from core.picture.subject import subject_of

    opened = open_barn(path)
    report = analyse(opened.barn, meshes=opened.meshes).report if analysed else None
    return subject_of(opened.barn, meshes=opened.meshes, report=report, animals=animals)


def eye_from(
    subject: "Subject", eye: str | None, look: tuple[float, float, float] | None
) -> "EyePoint":
    """Return an eye point from its name or from coordinates, or the first there is.

    Raises
    ------
    ValueRangeError
        If no eye point has the name, or a number is missing or out of range.
    """
    from core.errors import ValueRangeError
    from core.model.job import EyePoint
    from core.picture.eyes import clear_eye, eye_named, eye_points

    if eye is None:
        chosen = eye_points(subject.barn)[0]
    elif "," in eye:
        try:
            at = point(eye)
        except argparse.ArgumentTypeError as error:
            raise ValueRangeError(str(error)) from error
        if look is None:
            message = f"--eye {eye} needs --look x,y,z: what does it look at?"
            raise ValueRangeError(message)
        chosen = EyePoint(id="given", eye=at, look=look)
    else:
        chosen = clear_eye(subject, eye_named(subject.barn, eye))
    if look is not None:
        chosen = EyePoint(id=chosen.id, eye=chosen.eye, look=look)
    if not all(map(math.isfinite, (*chosen.eye, *chosen.look))):
        message = f"eye {chosen.eye}, look {chosen.look}: every number must be finite"
        raise ValueRangeError(message)
    return chosen


class Teller:
    """Tells the progress on the error stream, in steps of a tenth."""

    is_cancelled = False

    def __init__(self) -> None:
        self._told = -1

    def report(self, share: float, words: str) -> None:
        """Write a line when another tenth is done."""
        tenth = int(10 * share)
        if tenth > self._told:
            self._told = tenth
            sys.stderr.write(f"{10 * tenth:3d} %  {words}\n")
            sys.stderr.flush()
