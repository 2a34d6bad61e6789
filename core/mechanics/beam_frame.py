"""The pipe as equations: one stiffness matrix, solved for any set of taut ropes."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.mechanics.mechanism import zero_modes
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope

__all__ = ["SAME_STATION", "BeamFrame"]

SAME_STATION = 1.0 / 32.0
"""Stations closer than this are one [in]: shorter elements only lose digits."""

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]

_PINNED = 1.0e-9  # [-] joint stiffness below this share of EI/length is a hinge
_GROUND = 1.0e-6  # [-] share of EI/length^3 that steadies a mechanism for one step


class BeamFrame:
    """Cubic beam elements between the ends, ropes and joints of one pipe.

    Mutable only while it is built. Unknowns: the sag of each node, then the
    slopes; a joint gives its node two slopes.
    """

    def __init__(
        self,
        pipe: Pipe,
        *,
        ropes: Sequence[Rope],
        lumps: Sequence[Lump],
        joints: Sequence[Joint],
    ) -> None:
        self.pipe = pipe
        self.joints = [joint for joint in joints if math.isfinite(joint.stiffness)]
        self.rope_stations = np.array([rope.station for rope in ropes])
        self.drops = np.array([rope.drop for rope in ropes])
        self.springs = np.array([rope.spring for rope in ropes])
        at = np.array([joint.station for joint in self.joints])
        self.nodes = _merged_nodes(pipe, self.rope_stations, at)
        self.rope_places = _nearest_node(self.nodes, self.rope_stations)
        self._joint_places = _nearest_node(self.nodes, at)
        last = self.nodes.size - 1
        self._has_two_slopes = (self._joint_places > 0) & (self._joint_places < last)
        self.slope_places, size = _slope_places(self.nodes, self._joint_places)
        self.places = self._element_places()
        self.stiffness = self._assembled_stiffness(size)
        self.loads = self._assembled_loads(size, lumps)
        pinned = _PINNED * pipe.stiffness / pipe.length
        self.hinges = [
            joint.station
            for joint, inner in zip(self.joints, self._has_two_slopes, strict=True)
            if inner and joint.stiffness <= pinned
        ]

    @property
    def rope_nodes(self) -> FloatArray:
        """Return where each rope pulls in the model [in]."""
        places: FloatArray = self.nodes[self.rope_places]
        return places

    def _element_places(self) -> IntArray:
        """Return the unknowns of each element: sag, slope, sag, slope `(m, 4)`."""
        left = np.arange(self.nodes.size - 1)
        a, b = self.slope_places.T
        return np.stack([left, a, left + 1, b], axis=1)

    def _assembled_stiffness(self, size: int) -> FloatArray:
        """Return the matrix of all elements and joint springs."""
        flat = self.places[:, :, None] * size + self.places[:, None, :]
        blocks = _element_stiffness(np.diff(self.nodes), self.pipe.stiffness)
        cells = np.bincount(flat.ravel(), blocks.ravel(), minlength=size * size)
        matrix = np.asarray(cells, dtype=np.float64).reshape(size, size)
        node = self._joint_places[self._has_two_slopes]
        a, b = self.slope_places[node - 1, 1], self.slope_places[node, 0]
        springs = np.array([joint.stiffness for joint in self.joints])[
            self._has_two_slopes
        ]
        matrix[a, a] += springs
        matrix[b, b] += springs
        matrix[a, b] -= springs
        matrix[b, a] -= springs
        return matrix

    def _assembled_loads(self, size: int, lumps: Sequence[Lump]) -> FloatArray:
        """Return the loads of the pipe's own weight and of the lumps."""
        spans = np.diff(self.nodes)
        loads = _uniform_loads(spans, self.pipe.weight)
        total = np.bincount(self.places.ravel(), loads.ravel(), minlength=size)
        if lumps:
            at = np.array([lump.station for lump in lumps])
            weights = np.array([lump.weight for lump in lumps])
            home = np.searchsorted(self.nodes, at, side="right") - 1
            home = np.clip(home, 0, spans.size - 1)
            extra = _lump_loads(at - self.nodes[home], spans[home], weights)
            places = self.places[home].ravel()
            total += np.bincount(places, extra.ravel(), minlength=size)
        return np.asarray(total, dtype=np.float64)

    def is_mechanism(self, taut: BoolArray) -> bool:
        """Return whether the pipe moves freely on the ropes that are taut."""
        held = self.rope_stations[taut]
        if not self.hinges:
            return held.size < 2
        start, end = self.pipe.start, self.pipe.end
        return zero_modes(start=start, end=end, supports=held, hinges=self.hinges) > 0

    def solve(self, taut: BoolArray) -> tuple[FloatArray, FloatArray]:
        """Return all unknowns and the pull of each rope [lbf]."""
        matrix, right = self.stiffness.copy(), self.loads.copy()
        if self.is_mechanism(taut):
            heights = np.arange(self.nodes.size)
            ground = _GROUND * self.pipe.stiffness / self.pipe.length**3
            matrix[heights, heights] += ground
        rigid = taut & np.isinf(self.springs)
        springs = np.where(taut & ~rigid, self.springs, 0.0)
        matrix[self.rope_places, self.rope_places] += springs
        right[self.rope_places] += springs * self.drops
        fixed = self.rope_places[rigid]
        scale = matrix.max()
        matrix[fixed] = 0.0
        matrix[fixed, fixed] = scale
        right[fixed] = scale * self.drops[rigid]
        state = np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
        pulls = (self.loads - self.stiffness @ state)[self.rope_places]
        return state, pulls


def _merged_nodes(
    pipe: Pipe, rope_stations: FloatArray, joint_stations: FloatArray
) -> FloatArray:
    """Return the sorted stations of ends, ropes and joints, near ones as one.

    An end keeps its place before a rope, a rope before a joint.
    """
    nodes = np.array([pipe.start, pipe.end])
    for stations in (rope_stations, joint_stations):
        apart = np.abs(stations - nodes[_nearest_node(nodes, stations)])
        nodes = np.sort(np.concatenate([nodes, stations[apart > SAME_STATION]]))
    return nodes


def _nearest_node(nodes: FloatArray, stations: FloatArray) -> IntArray:
    """Return the node nearest to each station."""
    right = np.clip(np.searchsorted(nodes, stations), 1, nodes.size - 1)
    nearer_left = stations - nodes[right - 1] < nodes[right] - stations
    return np.asarray(right - nearer_left, dtype=np.int64)


def _slope_places(nodes: FloatArray, split: IntArray) -> tuple[IntArray, int]:
    """Give each slope of each element its place; return the count of unknowns.

    A joint gives its node two slopes, every other node has one.
    """
    count = nodes.size
    extra = np.zeros(count, dtype=np.int64)
    extra[split[(split > 0) & (split < count - 1)]] = 1
    before = np.concatenate([[0], np.cumsum(extra)[:-1]])
    left_of_node = count + np.arange(count) + before
    right_of_node = left_of_node + extra
    places = np.stack([right_of_node[:-1], left_of_node[1:]], axis=1)
    return places, int(2 * count + extra.sum())


def _element_stiffness(spans: FloatArray, stiffness: float) -> FloatArray:
    """Return the cubic beam elements `(m, 4, 4)`."""
    one, length = np.ones_like(spans), spans
    six, two, four = 6 * length, 2 * length**2, 4 * length**2
    twelve = 12 * one
    rows = np.array(
        [
            [twelve, six, -twelve, six],
            [six, four, -six, two],
            [-twelve, -six, twelve, -six],
            [six, two, -six, four],
        ]
    )
    blocks: FloatArray = np.moveaxis(rows * (stiffness / length**3), 2, 0)
    return blocks


def _uniform_loads(spans: FloatArray, weight: float) -> FloatArray:
    """Return the end loads of a uniform weight on each element `(m, 4)`."""
    half, turn = weight * spans / 2, weight * spans**2 / 12
    return np.stack([half, turn, half, -turn], axis=1)


def _lump_loads(x: FloatArray, span: FloatArray, weights: FloatArray) -> FloatArray:
    """Return the end loads of lumps inside their elements `(n, 4)`."""
    a, b = x / span, 1 - x / span
    return np.stack(
        [
            weights * b**2 * (3 * a + b),
            weights * a * b**2 * span,
            weights * a**2 * (a + 3 * b),
            -weights * a**2 * b * span,
        ],
        axis=1,
    )
