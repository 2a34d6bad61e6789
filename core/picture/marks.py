"""Clash marks over a picture: the envelope, the other party, the witness line."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from core.picture.camera import Camera
from core.picture.clashes import Clash, envelope_form
from core.picture.forms import Floats, merged
from core.picture.rays import Caster
from core.picture.render import Pixels
from core.picture.seen import look_through
from core.picture.stage import Stage

__all__ = ["marked"]

VERMILION = (213, 94, 0)  # Okabe and Ito, 2008
_PLACES = ((0.375, 0.125), (0.875, 0.375), (0.125, 0.625), (0.625, 0.875))
_FILL, _HATCH, _PARTY = 0.13, 0.5, 0.13  # how much of the colour covers [-]
_SIZE = 720.0  # lines are as thick as given in a picture of this height [px]
_NEAR = 26.0  # numbers of places nearer than this share one ring [px]

_Place = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class _View:
    camera: Camera
    stage: Stage
    caster: Caster


def marked(
    pixels: Pixels,
    camera: Camera,
    stage: Stage,
    clashes: Sequence[Clash],
) -> Pixels:
    """Return a picture with clashes marked in it.

    Parameters
    ----------
    pixels, camera, stage
        The picture, its eye and what it shows.
    clashes : sequence of Clash
        What to mark: the envelope where the run breaches it and the other party
        in hatched vermilion, a line between their nearest points, the number. The
        runs themselves stay as they are.
    """
    if not clashes:
        return pixels
    view = _View(camera, stage, Caster(stage.corners))
    air, party = _covers(view, clashes)
    mixed = _hatched(pixels.astype(np.float32), air, party, camera)
    image = Image.fromarray(np.rint(mixed).clip(0, 255).astype(np.uint8))
    _witnesses(image, camera, clashes)
    return np.asarray(image).copy()


def _covers(view: _View, clashes: Sequence[Clash]) -> tuple[Floats, Floats]:
    """Return how much of each pixel shows envelope and other party `(h, w)`."""
    form = merged(envelope_form(clash) for clash in clashes)
    overlay = Caster(form.corners) if len(form) else None
    others = [n for c in clashes for n in view.stage.things_of(c.finding.other or "")]
    runs = [n for c in clashes if c.run for n in view.stage.things_of(c.run.id)]
    height, width = view.camera.height, view.camera.width
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    air, party = np.zeros((2, height * width), np.float32)
    for place in _PLACES:
        across, down = (
            x.ravel() + np.float32(place[0]),
            y.ravel() + np.float32(place[1]),
        )
        seen = look_through(view.camera, view.stage, view.caster, across, down)
        if overlay is not None:
            eye = np.broadcast_to(np.array(view.camera.eye, np.float32), seen.way.shape)
            met = overlay.hits(eye, seen.way)
            own = np.isin(view.stage.thing[seen.face], runs)
            air += (met.triangle >= 0) & (met.far < seen.far) & ~own
        party += (seen.face >= 0) & np.isin(view.stage.thing[seen.face], others)
    shape = (height, width)
    return (air / 4).reshape(shape), (party / 4).reshape(shape)


def _hatched(pixels: Floats, air: Floats, party: Floats, camera: Camera) -> Floats:
    """Return a picture with two areas in translucent colour and slanted lines."""
    scale = max(camera.height / _SIZE, 0.4)
    y, x = np.mgrid[0 : camera.height, 0 : camera.width]
    phase = ((x + y) / scale) % 11.0
    line = np.clip(1.6 - np.abs(phase - 5.5), 0.0, 1.0)
    hatch = _HATCH * line
    cover = np.maximum(
        air * (_FILL + (1 - _FILL) * hatch), party * (_PARTY + (1 - _PARTY) * hatch)
    )
    cover = np.maximum(cover, 0.85 * np.maximum(_rim(air), _rim(party)))
    colour = np.array(VERMILION, np.float32)
    mixed: Floats = pixels + cover[..., None] * (colour - pixels)
    return mixed


def _rim(area: Floats) -> Floats:
    """Return the edge of an area, about a pixel wide."""
    grown = np.pad(area, 1, mode="edge")
    low = np.minimum.reduce(
        [
            grown[1 + j : 1 + j + area.shape[0], 1 + i : 1 + i + area.shape[1]]
            for j, i in ((0, -1), (0, 1), (-1, 0), (1, 0))
        ]
    )
    rim: Floats = area - np.minimum(low, area)
    return rim


def _witnesses(image: Image.Image, camera: Camera, clashes: Sequence[Clash]) -> None:
    """Draw the line between the nearest points, and the number, of each clash."""
    draw = ImageDraw.Draw(image)
    scale = max(camera.height / _SIZE, 0.5)
    places: list[tuple[_Place, list[int]]] = []
    for clash in clashes:
        spots = camera.project(clash.finding.points)
        if (spots[:, 2] <= 1.0).any() or not _inside(spots, camera):
            continue
        line = [(float(c), float(r)) for c, r, _ in spots]
        _line(draw, line, scale)
        _gather(places, line[0], clash.number, _NEAR * scale)
    used: list[tuple[float, float, float]] = []
    for at, numbers in places:
        words = ", ".join(map(str, numbers))
        _number(draw, words, at, scale, used, camera)


def _gather(
    places: list[tuple[_Place, list[int]]], at: _Place, number: int, near: float
) -> None:
    """Put a number to those near to its place, or to a place of its own."""
    for other, numbers in places:
        if abs(at[0] - other[0]) + abs(at[1] - other[1]) < near:
            numbers.append(number)
            return
    places.append((at, [number]))


def _inside(spots: NDArray[np.float64], camera: Camera) -> bool:
    x, y = spots[0, :2]
    return bool(0 <= x < camera.width and 0 <= y < camera.height)


def _line(draw: ImageDraw.ImageDraw, places: list[_Place], scale: float) -> None:
    for colour, width, dot in (("white", 6.0, 6.5), (VERMILION, 3.0, 4.5)):
        draw.line(places, fill=colour, width=max(1, round(width * scale)))
        for x, y in places:
            r = dot * scale
            draw.ellipse((x - r, y - r, x + r, y + r), fill=colour)


def _number(
    draw: ImageDraw.ImageDraw,
    words: str,
    at: _Place,
    scale: float,
    used: list[tuple[float, float, float]],
    camera: Camera,
) -> None:
    """Draw numbers in a ring beside a place, clear of those drawn before."""
    font = ImageFont.load_default(17.0 * scale)
    tall = 15.0 * scale
    wide = max(tall, font.getlength(words) / 2 + 0.5 * tall)
    x, y = at[0] + wide + 1.6 * tall, at[1] - 2.2 * tall
    x = min(max(x, wide + 2), camera.width - wide - 2)
    y = min(max(y, tall + 2), camera.height - tall - 2)
    while any(
        abs(x - a) < wide + half + 3 and abs(y - b) < 2.1 * tall for a, b, half in used
    ):
        y += 1.1 * tall
        if y > camera.height - tall:
            x, y = max(wide + 2, x - 2.2 * wide), tall + 2
    used.append((x, y, wide))
    width = max(1, round(2 * scale))
    draw.line((at, (x, y)), fill="white", width=3 * width)
    draw.line((at, (x, y)), fill=VERMILION, width=width)
    box = (x - wide, y - tall, x + wide, y + tall)
    thick = max(2, round(3 * scale))
    draw.rounded_rectangle(box, tall, fill="white", outline=VERMILION, width=thick)
    draw.text((x, y), words, fill=(20, 20, 20), font=font, anchor="mm")
