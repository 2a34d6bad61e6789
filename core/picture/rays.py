"""Rays against triangles, through embree."""

from dataclasses import dataclass

import numpy as np
from embreex import rtcore_scene
from embreex.mesh_construction import TriangleMesh

from core.picture.forms import Floats, Ints

__all__ = ["Caster", "Hits"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hits:
    """What rays met first: triangle `(n,)`, -1 for none; way [in]; place on it [-]."""

    triangle: Ints
    far: Floats
    u: Floats
    v: Floats


class Caster:
    """Triangles that rays can be sent against; holds an embree scene."""

    def __init__(self, corners: Floats) -> None:
        self._scene = rtcore_scene.EmbreeScene()
        self._mesh = TriangleMesh(self._scene, np.ascontiguousarray(corners))

    def __reduce__(self) -> tuple[type["Caster"], tuple[Floats]]:
        """Travel to another process without any triangles: they are built in there."""
        return Caster, (np.zeros((1, 3, 3), np.float32),)

    def hits(self, origins: Floats, ways: Floats) -> Hits:
        """Return what each ray meets first.

        Parameters
        ----------
        origins, ways : ndarray
            Where the rays start [in] and their unit vectors, `(n, 3)`.
        """
        found = self._scene.run(_packed(origins), _packed(ways), output=1)
        return Hits(
            triangle=found["primID"], far=found["tfar"], u=found["u"], v=found["v"]
        )

    def blocked(
        self, origins: Floats, ends: Floats
    ) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Return whether anything lies between two points `(n, 3)` [in]."""
        ways = ends - origins
        reach = np.full(len(ways), 0.999, np.float32)
        met = self._scene.run(
            _packed(origins), _packed(ways), dists=reach, query="OCCLUDED"
        )
        blocked: np.ndarray[tuple[int], np.dtype[np.bool_]] = met >= 0
        return blocked


def _packed(values: Floats) -> Floats:
    return np.ascontiguousarray(values, dtype=np.float32)
