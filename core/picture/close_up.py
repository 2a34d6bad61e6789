"""Where to look at a clash from, so that both of its parties are seen."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.geometry.shapes import Vec3
from core.picture.camera import Camera
from core.picture.clashes import Clash
from core.picture.rays import Caster
from core.picture.seen import Seen, look_through
from core.picture.stage import Stage
from core.picture.subject import Subject
from core.placement.ceiling import ceiling_height
from core.placement.runs import run_direction

__all__ = ["close_up"]

_VIEW = math.radians(52.0)
_TURNS = 16  # directions round a clash from which it is tried to look
_RISES = (-0.3, -0.15, 0.0, 0.08, 0.2, 0.45)  # of the eye over its distance [-]
_FARS = (44.0, 60.0, 80.0, 105.0, 140.0)  # distances of the eye [in]
_COLUMNS, _ROWS = 60, 40  # places at which a view is tried
_WALL, _CEILING, _LOWEST = 8.0, 6.0, 24.0  # an eye keeps so far off, and up [in]
_PARTY = 48.0  # what of a party is further from the clash does not count [in]
_RUN_SHARE, _OTHER_SHARE = 0.015, 0.03  # of the view, with these each is seen well
_CROWD = 0.15  # share of the view above which the other party is too near
_BEFORE = 0.55  # share of the way to the clash in which anything is in the way
_OBSTRUCTED = 4.0  # what is so near to a witness point does not hide it [in]


def close_up(subject: Subject, clash: Clash, *, width: int, height: int) -> Camera:
    """Return an eye from which both parties of a clash are seen near by.

    Parameters
    ----------
    subject, clash
        What is seen, and where.
    width, height : int
        Size of the picture [px].

    Notes
    -----
    Places all round the clash, inside the room, are tried with few rays each. The
    one is taken from which both parties fill a fair and balanced share of the view,
    the run to both sides of the clash, with its points free and nothing before
    them; somewhat from below and askew to the run wins ties.
    """
    stage = subject.stage(clash.lift)
    trial = _Trial(stage, Caster(stage.corners), clash)
    cameras = [
        Camera(eye=eye, look=clash.middle, width=_COLUMNS, height=_ROWS, view=_VIEW)
        for eye in _round(subject, clash)
    ]
    best = max(cameras, key=trial.rating)
    return replace(best, width=width, height=height)


def _round(subject: Subject, clash: Clash) -> Iterator[Vec3]:
    """Yield places inside the room all round a clash."""
    room, (x, y, z) = subject.barn.room, clash.middle
    found = 0
    for far in _FARS:
        for turn in range(_TURNS):
            angle = 2 * math.pi * (turn + 0.5) / _TURNS + _heading(clash)
            at = (x + far * math.cos(angle), y + far * math.sin(angle))
            if not (
                _WALL < at[0] < room.length - _WALL
                and _WALL < at[1] < room.width - _WALL
            ):
                continue
            for rise in _RISES:
                up = z + far * rise
                if _LOWEST < up < ceiling_height(room, *at) - _CEILING:
                    found += 1
                    yield (*at, up)
    if not found:
        yield (x - 40.0 if x > room.length / 2 else x + 40.0, y, max(z - 20.0, 30.0))


def _heading(clash: Clash) -> float:
    """Return the direction of the run that clashes [rad]."""
    if clash.run is None:
        return 0.0
    x, y = run_direction(clash.run)
    return math.atan2(y, x)


@dataclass(frozen=True, slots=True, eq=False)
class _Trial:
    """A clash on its stage, to be looked at from many places."""

    stage: Stage
    caster: Caster
    clash: Clash

    def rating(self, camera: Camera) -> float:
        """Return how well a clash is seen; more is better [-]."""
        row, column = np.mgrid[0:_ROWS, 0:_COLUMNS].astype(np.float32) + 0.5
        seen = look_through(
            camera, self.stage, self.caster, column.ravel(), row.ravel()
        )
        finding = self.clash.finding
        run = self._shows(seen, finding.subject)
        other = self._shows(seen, finding.other or "")
        left = column.ravel() < _COLUMNS / 2
        enough = (run.mean() / _RUN_SHARE, other.mean() / _OTHER_SHARE)
        sides = min((run & left).mean(), (run & ~left).mean()) / _RUN_SHARE
        far = math.dist(camera.eye, self.clash.middle)
        return float(
            min(1.0, *enough)
            + 0.2 * sum(min(1.0, share) for share in enough)
            + 0.4 * min(1.0, 3 * sides)
            - 6.0 * max(0.0, other.mean() - _CROWD)
            - 2.0 * (seen.far < _BEFORE * far).mean()
            + 0.3 * self._points_seen(camera)
            + _pleasing(camera, self.clash)
        )

    def _shows(self, seen: Seen, owner: str) -> NDArray[np.bool_]:
        """Return where a party is seen near the clash `(n,)`."""
        thing = self.stage.thing[seen.face]
        way = np.linalg.norm(seen.place - np.array(self.clash.middle), axis=1)
        near = (seen.face >= 0) & (way < _PARTY)
        shown: NDArray[np.bool_] = near & np.isin(thing, self.stage.things_of(owner))
        return shown

    def _points_seen(self, camera: Camera) -> float:
        """Return the share of the clash's points that nothing hides [-]."""
        targets = np.array(self.clash.finding.points, np.float32)
        eyes = np.broadcast_to(np.array(camera.eye, np.float32), targets.shape)
        way = targets - eyes
        far = np.linalg.norm(way, axis=1, keepdims=True)
        short = eyes + way * np.maximum(0.0, 1 - _OBSTRUCTED / far)
        return float((~self.caster.blocked(eyes, short.astype(np.float32))).mean())


def _pleasing(camera: Camera, clash: Clash) -> float:
    """Return what a view is worth for its angles: from a little below, askew [-]."""
    x, y, z = (a - b for a, b in zip(camera.eye, clash.middle, strict=True))
    turn = math.atan2(y, x) - _heading(clash)
    askew = abs(math.sin(turn))  # 1 square to the run, 0 along it
    return -0.3 * abs(z / math.hypot(x, y) + 0.12) - 0.5 * abs(askew - 0.8)
