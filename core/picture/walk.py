"""A walk through the room while the runs sink to working height, as a short film."""

import math
from collections.abc import Iterator
from concurrent.futures import wait
from dataclasses import dataclass

import numpy as np

from core.errors import ValueRangeError
from core.geometry.shapes import FloatArray, Vec3
from core.model.barn import Barn
from core.model.job import EyePoint
from core.model.room import Room
from core.picture.bands import Scene, band_rows, colour_band, light_band
from core.picture.camera import Camera
from core.picture.caption import captioned, lift_words, strip_for
from core.picture.crew import crew, crew_size
from core.picture.eyes import eye_named
from core.picture.light import Glow, glow_of, renewed_glow
from core.picture.rays import Caster
from core.picture.render import Pixels
from core.picture.smoothing import HALO
from core.picture.subject import Subject
from core.picture.thin import thin_pixels
from core.picture.tone import exposure_for
from core.picture.watch import Silent, Watch, step

__all__ = ["Walk", "alley_path", "take_walk"]

_SILENT = Silent()
_SINK = (0.12, 0.72)  # shares of the walk between which the runs sink [-]
_MOST_FRAMES = 3600
_ALLEY_LEFT = 36.0  # a walk ends so far before the end of its alley [in]
_LEAST = (160, 120)  # smallest film [px]
_LARGEST = 1920
_SAMPLES = 6
_LOOK = 0.1  # how often it is looked whether to give up [s]
_EVERY = 2  # a film needs fewer places in a pixel than a picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """How a walk is filmed.

    Attributes
    ----------
    path : tuple of EyePoint
        Eye points to walk through, two at least.
    seconds : float
        Length [s].
    rate : float
        Pictures in a second [1/s].
    width, height : int
        Size of the film, its caption included [px].
    samples : int
        Rays into the room for each pixel [-].
    """

    path: tuple[EyePoint, ...]
    seconds: float = 8.0
    rate: float = 10.0
    width: int = 640
    height: int = 400
    samples: int = _SAMPLES

    def __post_init__(self) -> None:
        """Refuse a film without length, size or way."""
        if not 0.5 <= self.seconds <= _MOST_FRAMES / self.rate:
            longest = _MOST_FRAMES / self.rate
            message = f"walk of {self.seconds:g} s, choose 0.5 to {longest:g} s"
            raise ValueRangeError(message)
        names = ("width", "height")
        for name, size, least in zip(
            names, (self.width, self.height), _LEAST, strict=True
        ):
            if not least <= size <= _LARGEST or size % 2:
                message = (
                    f"film {name} = {size} px, choose an even number "
                    f"from {least} to {_LARGEST} px"
                )
                raise ValueRangeError(message)
        if len(self.path) < 2:
            message = "a walk needs two eye points at least"
            raise ValueRangeError(message)

    @property
    def frames(self) -> int:
        """How many pictures the film has."""
        return max(2, round(self.seconds * self.rate))


def alley_path(barn: Barn) -> tuple[EyePoint, ...]:
    """Return the way from the main door along the longest alley."""
    start, middle = eye_named(barn, "main-door"), eye_named(barn, "mid-alley")
    room = barn.room
    ahead = np.subtract(start.look, start.eye)
    ahead /= np.linalg.norm(ahead)
    reach = 0.55 * (room.length if abs(ahead[0]) > abs(ahead[1]) else room.width)
    reach = min(reach, 480.0, _way_in_alley(room, start.eye, ahead))
    x, y, z = (np.array(start.eye) + reach * ahead).tolist()
    way = float(np.linalg.norm(np.subtract(middle.look, middle.eye)))
    side = np.array([ahead[1], ahead[0], 0.0]) * 0.32 * way
    half = (np.array(start.eye) + 0.5 * reach * ahead).tolist()
    eye = (half[0], half[1], z)
    turned = (np.array(eye) + way * ahead + side).tolist()
    end = (x, y, start.eye[2])
    last = (np.array(end) + way * ahead).tolist()
    return (
        start,
        EyePoint(id="half-way", eye=eye, look=(turned[0], turned[1], z - 6.0)),
        EyePoint(id="far", eye=end, look=(last[0], last[1], end[2] - 10.0)),
    )


def _way_in_alley(room: Room, eye: Vec3, ahead: FloatArray) -> float:
    """Return how far one walks straight on in the longest alley from an eye [in].

    Without end if there is no alley that leads on from there.
    """
    alley = max(room.alleys, key=lambda a: max(a.length, a.width), default=None)
    if alley is None:
        return math.inf
    axis = 0 if abs(ahead[0]) > abs(ahead[1]) else 1
    ends = (alley.x, alley.x + alley.length), (alley.y, alley.y + alley.width)
    low, high = ends[1 - axis]
    end = ends[axis][1] if ahead[axis] > 0 else ends[axis][0]
    way = (end - eye[axis]) / float(ahead[axis]) - _ALLEY_LEFT
    return way if low < eye[1 - axis] < high and way > _ALLEY_LEFT else math.inf


def _moment(walk: Walk, share: float) -> tuple[FloatArray, FloatArray, float]:
    """Return eye, look and lift at a share of the walk from 0 to 1."""
    eased = share * share * (3 - 2 * share)
    eyes = np.array([place.eye for place in walk.path])
    ways = np.array([np.subtract(place.look, place.eye) for place in walk.path])
    eye, way = _curve(eyes, eased), _curve(ways, eased)
    sunk = min(1.0, max(0.0, (share - _SINK[0]) / (_SINK[1] - _SINK[0])))
    return eye, eye + way, 1.0 - sunk * sunk * (3 - 2 * sunk)


def _curve(points: FloatArray, share: float) -> FloatArray:
    """Return a place on the smooth curve through points (Catmull and Rom, 1974)."""
    padded = np.concatenate(
        [[2 * points[0] - points[1]], points, [2 * points[-1] - points[-2]]]
    )
    at = min(share, 1 - 1e-9) * (len(points) - 1)
    k = math.floor(at)
    t = at - k
    a, b, c, d = padded[k : k + 4]
    curve: FloatArray = 0.5 * (
        2 * b
        + (c - a) * t
        + (2 * a - 5 * b + 4 * c - d) * t**2
        + (3 * b - a - 3 * c + d) * t**3
    )
    return curve


def take_walk(
    subject: Subject,
    walk: Walk,
    *,
    watch: Watch = _SILENT,
    workers: int | None = None,
) -> list[Pixels]:
    """Return the pictures of a walk, in order.

    Parameters
    ----------
    subject, walk
        What is seen and how.
    watch : Watch
        Hears of the progress and may cancel.
    workers : int, optional
        Processes; by default as many as there are cores [-].

    Raises
    ------
    CancelledError
        If the watch says so.
    """
    step(watch, 0.0, "lighting the room")
    stage = subject.stage(1.0)
    glow = glow_of(stage, Caster(stage.corners))
    count = workers or crew_size()
    if count == 1:
        return list(_walked_here(subject, walk, glow, watch))
    with crew(count, _receive, subject, walk, glow) as pool:
        jobs = [pool.submit(_frame_there, number) for number in range(walk.frames)]
        try:
            taken = []
            for number, job in enumerate(jobs):
                while not job.done():
                    share, words = number / len(jobs), f"{number + 1} of {len(jobs)}"
                    step(watch, share, f"picture {words}")
                    wait((job,), timeout=_LOOK)
                taken.append(job.result())
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
        return taken


def _walked_here(
    subject: Subject, walk: Walk, glow: Glow, watch: Watch
) -> Iterator[Pixels]:
    for number in range(walk.frames):
        share = number / walk.frames
        step(watch, share, f"picture {number + 1} of {walk.frames}")
        yield _frame(subject, walk, glow, number)


_THERE: list[tuple[Subject, Walk, Glow]] = []  # what this process works on


def _receive(subject: Subject, walk: Walk, glow: Glow) -> None:
    _THERE[:] = [(subject, walk, glow)]


def _frame_there(number: int) -> Pixels:
    return _frame(*_THERE[0], number)


def _frame(subject: Subject, walk: Walk, glow: Glow, number: int) -> Pixels:
    """Return one picture of a walk."""
    eye, look, lift = _moment(walk, number / (walk.frames - 1))
    state = lift_words(round(lift, 3))
    strip = strip_for(subject.barn.name, state, width=walk.width, height=walk.height)
    camera = Camera(
        eye=(float(eye[0]), float(eye[1]), float(eye[2])),
        look=(float(look[0]), float(look[1]), float(look[2])),
        width=walk.width,
        height=walk.height - strip.height,
    )
    stage = subject.stage(lift)
    caster = Caster(stage.corners)
    scene = Scene(
        camera=camera,
        stage=stage,
        caster=caster,
        glow=renewed_glow(glow, stage, caster),
        samples=walk.samples,
        exposure=exposure_for(glow.level),
        thin=thin_pixels(subject.barn, subject.catalogue, camera, lift=lift),
        every=_EVERY,
    )
    rows = band_rows(camera.height)
    light = np.concatenate([light_band(scene, r) for r in rows])
    bands = [
        colour_band(scene, r, light[max(0, r[0] - HALO) : r[1] + HALO]) for r in rows
    ]
    return captioned(np.concatenate(bands), strip)
