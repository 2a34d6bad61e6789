"""Where a pull cable goes over its pulleys, at several lifts at once."""

from dataclasses import dataclass

import numpy as np

from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import FloatArray, Vec3
from core.model.hoists import PullCable
from core.model.runs import Run, Support
from core.placement.hanging import HungSupport, in_cable_order
from core.placement.vectors import added, subtracted, unit

__all__ = ["LIFTS", "CableLine", "cable_line"]

LIFTS = (0.0, 0.25, 0.5, 0.75, 1.0)
_LEAST_DROP = 0.25  # [in] a rope pulled up to its pulley is taken to hang this far


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CableLine:
    """A pull cable from its far drop pulley to the pull point, at all `LIFTS`.

    For n pulleys, the m drop pulleys first: `points` `(lifts, n + 1, 3)` [in] with
    the pull point last; `down` `(lifts, m, 3)` unit vectors down the drop ropes and
    `slants` `(lifts, m)` their lengths over their heights [-]; `behind` and `ahead`
    `(lifts, n, 3)` unit vectors along the cable, `behind` none for the first;
    `wraps` `(lifts, n)` of the ropes on the pulleys [rad].
    """

    supports: tuple[Support, ...]
    places: tuple[HungSupport, ...]
    pulleys: tuple[parts.Pulley, ...]
    points: FloatArray
    down: FloatArray
    slants: FloatArray
    behind: FloatArray
    ahead: FloatArray
    wraps: FloatArray

    @property
    def lengths(self) -> FloatArray:
        """Return the distance between neighbouring points, `(lifts, n)` [in]."""
        lengths: FloatArray = np.linalg.norm(np.diff(self.points, axis=1), axis=2)
        return lengths


def cable_line(
    run: Run,
    cable: PullCable,
    hung: tuple[HungSupport, ...],
    catalogue: Catalogue,
    *,
    run_travel: float,
    pull_point: Vec3,
    pull_towards: Vec3,
    pull_travel: float,
) -> CableLine:
    """Return the line of a cable over its pulleys.

    Parameters
    ----------
    run, cable, hung, catalogue
        The run, its cable, its supports at working height, and the parts.
    run_travel, pull_travel : float
        How far the run rises and the pull point moves [in].
    pull_point, pull_towards : Vec3
        The pull point at working height and where lifting moves it to [in].

    Returns
    -------
    CableLine
        Places and directions at every lift.
    """
    pairs = in_cable_order(run, cable, hung)
    supports, places = tuple(s for s, _ in pairs), tuple(p for _, p in pairs)
    names = [s.pulley for s in supports] + [turn.part for turn in cable.turns]
    still = [place.over[-1] for place in places] + [turn.at for turn in cable.turns]
    way = unit(subtracted(pull_towards, pull_point))
    points = np.array(
        [[*still, added(pull_point, way, lift * pull_travel)] for lift in LIFTS]
    )
    ahead = _units(np.diff(points, axis=1))
    behind = np.zeros_like(ahead)
    behind[:, 1:] = -ahead[:, :-1]
    ropes = _ropes(places, run_travel)
    down = _units(ropes)
    back = behind.copy()
    back[:, : len(places)] = down
    heights = np.maximum(-ropes[:, :, 2], _LEAST_DROP)
    return CableLine(
        supports=supports,
        places=places,
        pulleys=tuple(catalogue.find(parts.Pulley, name) for name in names),
        points=points,
        down=down,
        slants=np.hypot(np.hypot(ropes[:, :, 0], ropes[:, :, 1]), heights) / heights,
        behind=behind,
        ahead=ahead,
        wraps=np.arccos(np.clip(-(back * ahead).sum(axis=2), -1.0, 1.0)),
    )


def _ropes(places: tuple[HungSupport, ...], travel: float) -> FloatArray:
    """Return the vectors from the pulleys to the tube, `(lifts, m, 3)` [in]."""
    low = [subtracted(place.insulator_low, place.over[0]) for place in places]
    ropes = np.repeat(np.array(low).reshape(1, -1, 3), len(LIFTS), axis=0)
    ropes[:, :, 2] += np.array(LIFTS)[:, None] * travel
    return ropes


def _units(vectors: FloatArray) -> FloatArray:
    """Return vectors of length 1, none for none."""
    lengths = np.linalg.norm(vectors, axis=2, keepdims=True)
    units: FloatArray = vectors / np.where(lengths > 0.0, lengths, 1.0)
    return units
