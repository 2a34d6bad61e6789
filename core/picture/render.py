"""From a stage and an eye to pixels, on as many processes as there are cores."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, wait
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from core.errors import ValueRangeError
from core.picture.bands import (
    Scene,
    band_rows,
    colour_band,
    light_band,
    named_pixels,
)
from core.picture.camera import Camera
from core.picture.crew import crew, crew_size
from core.picture.forms import Floats, Ints
from core.picture.light import glow_of
from core.picture.rays import Caster
from core.picture.smoothing import HALO
from core.picture.subject import Subject
from core.picture.thin import thin_pixels
from core.picture.tone import exposure_for
from core.picture.watch import Part, Silent, Watch, step

__all__ = ["SAMPLES", "Pixels", "checked_lift", "rendered", "things_seen"]

SAMPLES = 16  # rays into the room for each pixel
MOST_SAMPLES = 256
_SMALL = 400_000  # a picture of fewer pixels is not worth other processes
_SILENT = Silent()

Pixels = NDArray[np.uint8]
_Values = TypeVar("_Values", bound=np.generic)


def checked_lift(lift: float) -> float:
    """Return a lift.

    Raises
    ------
    ValueRangeError
        If it is not from 0 (working height) to 1 (stowed).
    """
    if not 0.0 <= lift <= 1.0:
        message = f"lift = {lift:g}, choose from 0 (working height) to 1 (stowed)"
        raise ValueRangeError(message)
    return lift


def rendered(
    subject: Subject,
    camera: Camera,
    *,
    lift: float,
    samples: int = SAMPLES,
    watch: Watch = _SILENT,
    workers: int | None = None,
) -> Pixels:
    """Return the pixels of a picture `(h, w, 3)`.

    Parameters
    ----------
    subject, camera
        What is seen, and the eye.
    lift : float
        0 at working height, 1 stowed [-].
    samples : int
        Rays into the room for each pixel; more take longer and leave less to
        smooth [-].
    watch : Watch
        Hears of the progress and may cancel.
    workers : int, optional
        Processes; by default as many as there are cores, and none besides this
        one for a small picture [-].

    Returns
    -------
    ndarray
        sRGB; the same bytes whatever `workers` is.

    Raises
    ------
    ValueRangeError
        If lift or samples is out of range.
    CancelledError
        If the watch says so.
    """
    if not 1 <= samples <= MOST_SAMPLES:
        message = f"samples = {samples}, choose 1 to {MOST_SAMPLES}"
        raise ValueRangeError(message)
    step(watch, 0.0, "setting the scene")
    stage = subject.stage(checked_lift(lift))
    caster = Caster(stage.corners)
    step(watch, 0.06, "lighting the room")
    glow = glow_of(stage, caster)
    scene = Scene(
        camera=camera,
        stage=stage,
        caster=caster,
        glow=glow,
        samples=samples,
        exposure=exposure_for(glow.level),
        thin=thin_pixels(subject.barn, subject.catalogue, camera, lift=lift),
    )
    return _in_bands(scene, Part(watch, 0.15, 1.0), _worker_count(camera, workers))


def _worker_count(camera: Camera, workers: int | None) -> int:
    if workers is not None:
        return max(1, workers)
    small = camera.width * camera.height < _SMALL
    return 1 if small else crew_size()


def _in_bands(scene: Scene, watch: Watch, workers: int) -> Pixels:
    """Return the pixels, band by band, here or in other processes."""
    rows = band_rows(scene.camera.height)
    if workers == 1:
        light = np.concatenate(
            list(_here(scene, light_band, [(r,) for r in rows], Part(watch, 0.0, 0.6)))
        )
        jobs = [(r, _with_halo(light, r)) for r in rows]
        bands = _here(scene, colour_band, jobs, Part(watch, 0.6, 1.0))
        return np.concatenate(list(bands))
    with crew(workers, _receive, scene) as pool:
        try:
            return _in_pool(pool, rows, watch)
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise


def _here(
    scene: Scene,
    work: Callable[..., NDArray[_Values]],
    jobs: Sequence[tuple[object, ...]],
    watch: Watch,
) -> Iterator[NDArray[_Values]]:
    for done, job in enumerate(jobs):
        step(watch, done / len(jobs), "taking the picture")
        yield work(scene, *job)


def _with_halo(light: Floats, rows: tuple[int, int]) -> Floats:
    return light[max(0, rows[0] - HALO) : rows[1] + HALO]


def _in_pool(
    pool: ProcessPoolExecutor, rows: tuple[tuple[int, int], ...], watch: Watch
) -> Pixels:
    lights = [pool.submit(_light_there, r) for r in rows]
    light = np.concatenate(_awaited(lights, Part(watch, 0.0, 0.6)))
    bands = [pool.submit(_colour_there, r, _with_halo(light, r)) for r in rows]
    return np.concatenate(_awaited(bands, Part(watch, 0.6, 1.0)))


def _awaited(
    jobs: "list[Future[NDArray[_Values]]]", watch: Watch
) -> list[NDArray[_Values]]:
    """Return what comes of all jobs, in order."""
    waiting = set(jobs)
    while waiting:
        step(watch, 1 - len(waiting) / len(jobs), "taking the picture")
        _, waiting = wait(waiting, timeout=0.1)
    return [job.result() for job in jobs]


_THERE: list[Scene] = []  # the scene that this process works on


def _receive(scene: Scene) -> None:
    """Take in a scene; its rays find no triangles until they are built in again."""
    _THERE[:] = [replace(scene, caster=Caster(scene.stage.corners))]


def _light_there(rows: tuple[int, int]) -> Floats:
    return light_band(_THERE[0], rows)


def _colour_there(rows: tuple[int, int], light: Floats) -> Pixels:
    return colour_band(_THERE[0], rows, light)


def things_seen(
    subject: Subject, camera: Camera, *, lift: float
) -> tuple[Ints, tuple[tuple[str, str], ...]]:
    """Return which thing is in the middle of each pixel, without any light.

    Returns
    -------
    tuple
        The place in the second value, -1 for none, `(h, w)`; owner and part of
        each thing.
    """
    stage = subject.stage(checked_lift(lift))
    caster = Caster(stage.corners)
    rows = band_rows(camera.height)
    parts = [named_pixels(camera, stage, caster, r) for r in rows]
    return np.concatenate(parts), stage.names
