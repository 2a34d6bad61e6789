"""A picture of a barn as a file: the eye's picture, its marks and its caption."""

import io
import math
from dataclasses import dataclass

import numpy as np
from PIL import Image

from core.errors import ValueRangeError
from core.geometry.shapes import Vec3
from core.model.job import EyePoint
from core.picture.camera import LARGEST, Camera
from core.picture.caption import captioned, lift_words, strip_for
from core.picture.clashes import clashes_of
from core.picture.marks import marked
from core.picture.render import SAMPLES, Pixels, checked_lift, rendered
from core.picture.subject import Subject
from core.picture.watch import Silent, Watch, step

__all__ = ["LEAST_SIZE", "Shot", "png_bytes", "take_picture"]

LEAST_SIZE = (160, 120)  # smallest picture with its caption [px]
_SILENT = Silent()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """How a picture is taken.

    Attributes
    ----------
    eye, look : Vec3
        Where the eye is and what it looks at [in].
    width, height : int
        Size of the file, its caption included [px].
    lift : float
        0 at working height, 1 stowed [-].
    samples : int
        Rays into the room for each pixel [-].
    clashes : int
        1 to mark the clashes, 0 not to [-].
    view : float
        Angle of view from the left to the right edge [rad].
    """

    eye: Vec3
    look: Vec3
    width: int = 1280
    height: int = 720
    lift: float = 0.0
    samples: int = SAMPLES
    clashes: int = 0
    view: float = math.radians(72.0)

    @classmethod
    def of(cls, eye: EyePoint, *, width: int, height: int, lift: float) -> "Shot":
        """Return how to take a picture from an eye point."""
        return cls(eye=eye.eye, look=eye.look, width=width, height=height, lift=lift)


def take_picture(
    subject: Subject,
    shot: Shot,
    *,
    watch: Watch = _SILENT,
    workers: int | None = None,
) -> Pixels:
    """Return a picture with its caption `(h, w, 3)`.

    Parameters
    ----------
    subject, shot
        What is seen and how; marks need the subject's report.
    watch : Watch
        Hears of the progress and may cancel.
    workers : int, optional
        Processes; by default as many as there are cores [-].

    Returns
    -------
    ndarray
        sRGB of `shot.height` rows; the same bytes on every run.

    Raises
    ------
    ValueRangeError
        If size, lift, samples, eye or look is out of range.
    CancelledError
        If the watch says so.
    """
    _check_size(shot)
    title, state = subject.barn.name, lift_words(checked_lift(shot.lift))
    strip = strip_for(title, state, width=shot.width, height=shot.height)
    camera = Camera(
        eye=shot.eye,
        look=shot.look,
        width=shot.width,
        height=shot.height - strip.height,
        view=shot.view,
    )
    pixels = rendered(
        subject,
        camera,
        lift=shot.lift,
        samples=shot.samples,
        watch=watch,
        workers=workers,
    )
    if shot.clashes and subject.report is not None:
        stage = subject.stage(shot.lift)
        pixels = marked(pixels, camera, stage, clashes_of(subject.report))
    step(watch, 1.0, "done")
    return captioned(pixels, strip)


def _check_size(shot: Shot) -> None:
    """Refuse a picture that is too small for its caption, or far too large."""
    sides = zip(("width", "height"), (shot.width, shot.height), LEAST_SIZE, strict=True)
    for name, size, least in sides:
        if not least <= size <= LARGEST:
            message = f"picture {name} = {size} px, choose {least} to {LARGEST} px"
            raise ValueRangeError(message)


def png_bytes(pixels: Pixels) -> bytes:
    """Return a picture as a PNG file."""
    content = io.BytesIO()
    Image.fromarray(np.asarray(pixels)).save(content, format="PNG", compress_level=6)
    return content.getvalue()
