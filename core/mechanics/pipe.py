"""How a pipe hangs: a continuous beam on ropes that can only pull.

Heights are measured downwards from the level line of the ropes: a sag above 0
is below it. Stations run along the pipe. The deflections are small: slopes stay
under about 1/20, where the error of the linear theory is below 1 %.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import MechanismError, UnconvergedError, ValueRangeError
from core.mechanics.beam_frame import SAME_STATION, BeamFrame
from core.mechanics.mechanism import folding_hinges
from core.mechanics.pipe_parts import Joint, Lump, Pipe, Rope
from core.ranges import require_above, require_at_least, require_between

__all__ = ["ElasticCurve", "PipeStatics", "solve_pipe"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ElasticCurve:
    """The pipe's shape: between two marks it is one polynomial of degree 4.

    All `(n,)`, just behind each mark: stations [in], sag [in], slope [-],
    bending moment [in lbf] and shear [lbf].
    """

    marks: FloatArray
    sags: FloatArray
    slopes: FloatArray
    moments: FloatArray
    shears: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PipeStatics:
    """How one pipe hangs.

    `reactions` [lbf] and `taut` are in the order of the ropes given; a rope
    that is not taut carries nothing.
    """

    pipe: Pipe
    rope_stations: tuple[float, ...]
    reactions: tuple[float, ...]
    taut: tuple[bool, ...]
    curve: ElasticCurve

    @property
    def slack_ropes(self) -> tuple[int, ...]:
        """Return the places of the ropes that carry nothing."""
        return tuple(index for index, taut in enumerate(self.taut) if not taut)


def solve_pipe(
    pipe: Pipe,
    *,
    ropes: Sequence[Rope],
    lumps: Sequence[Lump] = (),
    joints: Sequence[Joint] = (),
) -> PipeStatics:
    """Return reactions and shape of a pipe on ropes that can only pull.

    Parameters
    ----------
    pipe : Pipe
        Ends [in], weight [lbf/in] and stiffness EI [lbf in2].
    ropes : sequence of Rope
        Hanging points on the pipe [in], at least one and none at the same place.
    lumps : sequence of Lump
        Weights [lbf] at stations [in] on the pipe.
    joints : sequence of Joint
        Couplings [in lbf/rad] at stations [in] on the pipe.

    Returns
    -------
    PipeStatics
        Reactions [lbf], taut and slack ropes, and the elastic curve [in].

    Raises
    ------
    MechanismError
        If the pipe can fold or tip without any force; names the joints.
    UnconvergedError
        If no consistent set of taut ropes is found.
    ValueRangeError
        If a station is off the pipe, two ropes share one, or a stiffness is
        not greater than 0.

    Notes
    -----
    Euler beam in cubic elements with the loads of each element exact, so the
    answer is that of the differential equation. The rope with the largest push
    is released, the rest solved again, and a rope that the pipe would fall
    past is taken back; when that circles, Murty's least-index rule ends it.
    Range: slopes up to about 1/20; no sideways bending.

    References
    ----------
    Young and Budynas, Roark's Formulas for Stress and Strain, 7th ed., 2002,
    ch. 8; AISC Manual, 15th ed., 2017, Table 3-23. K. G. Murty, Note on a
    Bard-type scheme for solving the complementarity problem, Opsearch 11, 1974.

    Examples
    --------
    >>> pipe = Pipe(start=0.0, end=240.0, weight=0.04, stiffness=370000.0)
    >>> middle = [Rope(station=x) for x in (0.0, 120.0, 240.0)]
    >>> [round(r / 4.8, 4) for r in solve_pipe(pipe, ropes=middle).reactions]
    [0.375, 1.25, 0.375]
    >>> high = [Rope(station=0.0), Rope(station=120.0, drop=9.0), Rope(station=240.0)]
    >>> solve_pipe(pipe, ropes=high).slack_ropes
    (1,)
    """
    _check_inputs(pipe, ropes, lumps, joints)
    frame = BeamFrame(pipe, ropes=ropes, lumps=lumps, joints=joints)
    taut, state, pulls = _settle(frame)
    if frame.is_mechanism(taut):
        raise MechanismError(_mechanism_text(frame, taut))
    reactions = np.where(taut, pulls, 0.0)
    return PipeStatics(
        pipe=pipe,
        rope_stations=tuple(rope.station for rope in ropes),
        reactions=tuple(reactions.tolist()),
        taut=tuple(taut.tolist()),
        curve=_elastic_curve(frame, lumps, state=state, reactions=reactions),
    )


def _settle(frame: BeamFrame) -> tuple[BoolArray, FloatArray, FloatArray]:
    """Find the ropes that are taut; return them, the state and the pulls."""
    count = frame.drops.size
    taut = np.ones(count, dtype=bool)
    load = 1.0 + np.abs(frame.loads).sum()
    for step in range(8 * count + 16):
        state, pulls = frame.solve(taut)
        push = np.where(taut, -pulls, 0.0)
        fall = np.where(taut, 0.0, state[frame.rope_places] - frame.drops)
        wrong = (push > 1e-9 * load) | (fall > 1e-9 * frame.pipe.length)
        if not wrong.any():
            return taut, state, pulls
        by_size = push if push.max() > 1e-9 * load else fall
        change = int(by_size.argmax()) if step < 3 * count else int(wrong.argmax())
        taut[change] = not taut[change]
    msg = (
        f"pipe from {frame.pipe.start:g} in to {frame.pipe.end:g} in: no set of taut "
        f"ropes found among {count}; look for drops that differ by many inches"
    )
    raise UnconvergedError(msg)


def _elastic_curve(
    frame: BeamFrame,
    lumps: Sequence[Lump],
    *,
    state: FloatArray,
    reactions: FloatArray,
) -> ElasticCurve:
    """Return the shape, integrated from the nodes and exact between the marks."""
    nodes, pipe = frame.nodes, frame.pipe
    at = np.array([lump.station for lump in lumps], dtype=np.float64)
    weights = np.array([lump.weight for lump in lumps], dtype=np.float64)
    marks = np.unique(np.concatenate([nodes[:-1], at[at < nodes[-1]]]))
    moments, shears = _forces_behind(
        marks,
        pipe,
        stations=np.concatenate([frame.rope_nodes, at]),
        pulls=np.concatenate([reactions, -weights]),
    )
    steps = np.diff(marks, append=marks[-1])
    home = np.searchsorted(nodes, marks, side="right") - 1
    first = np.searchsorted(marks, nodes[:-1])[home]
    weight, stiff = pipe.weight, pipe.stiffness
    turn = moments * steps + shears * steps**2 / 2 - weight * steps**3 / 6
    slopes = state[frame.slope_places[home, 0]] - _since(turn, first) / stiff
    bow = moments * steps**2 / 2 + shears * steps**3 / 6 - weight * steps**4 / 24
    sags = state[home] + _since(slopes * steps - bow / stiff, first)
    return ElasticCurve(
        marks=marks, sags=sags, slopes=slopes, moments=moments, shears=shears
    )


def _forces_behind(
    marks: FloatArray, pipe: Pipe, *, stations: FloatArray, pulls: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return moment [in lbf] and shear [lbf] just behind each mark, by statics."""
    order = np.argsort(stations)
    stations, pulls = stations[order], pulls[order]
    passed = np.searchsorted(stations, marks, side="right")
    total = np.concatenate([[0.0], np.cumsum(pulls)])[passed]
    turned = np.concatenate([[0.0], np.cumsum(pulls * stations)])[passed]
    x = marks - pipe.start
    return (
        total * marks - turned - pipe.weight * x**2 / 2,
        total - pipe.weight * x,
    )


def _since(steps: FloatArray, first: IntArray) -> FloatArray:
    """Return the sum of the steps since the first mark of each mark's element."""
    sums = np.concatenate([[0.0], np.cumsum(steps)[:-1]])
    since: FloatArray = sums - sums[first]
    return since


def _mechanism_text(frame: BeamFrame, taut: BoolArray) -> str:
    """Say which joints fold, or on which rope the pipe tips."""
    start, end = frame.pipe.start, frame.pipe.end
    held = frame.rope_stations[taut]
    folding = folding_hinges(start=start, end=end, supports=held, hinges=frame.hinges)
    if folding:
        labels = {joint.station: joint.label for joint in frame.joints}
        return (
            f"pipe from {start:g} in to {end:g} in folds without any force at "
            f"{', '.join(labels[station] for station in folding)}; give the joints a "
            "stiffness above 0 in lbf/rad or hang a rope near each"
        )
    where = f"on its only taut rope at {held[0]:g} in" if held.size else "on no rope"
    return (
        f"pipe from {start:g} in to {end:g} in tips {where}; at least 2 taut ropes "
        "are needed, one on each side of the middle of its weight"
    )


def _check_inputs(
    pipe: Pipe, ropes: Sequence[Rope], lumps: Sequence[Lump], joints: Sequence[Joint]
) -> None:
    """Refuse what has no meaning, with the value and its limit."""
    require_above("length of the pipe", pipe.length, SAME_STATION, "in")
    require_at_least("weight of the pipe", pipe.weight, 0.0, "lbf/in")
    require_above("stiffness of the pipe", pipe.stiffness, 0.0, "lbf in2")
    require_at_least("number of ropes", len(ropes), 1, "-")
    for name, parts in (("rope", ropes), ("lump", lumps), ("joint", joints)):
        stations = [part.station for part in parts]
        for station in (min(stations), max(stations)) if stations else ():
            require_between(f"station of a {name}", station, pipe.start, pipe.end, "in")
    for rope in ropes:
        require_above("spring of a rope", rope.spring, 0.0, "lbf/in")
    for joint in joints:
        require_at_least(
            f"stiffness of {joint.label}", joint.stiffness, 0, "in lbf/rad"
        )
    for name, parts in (("ropes", ropes), ("joints", joints)):
        gaps = np.diff(np.sort([part.station for part in parts]))
        if gaps.size and gaps.min() <= SAME_STATION:
            msg = (
                f"two {name} are {gaps.min():g} in apart; "
                f"keep them over {SAME_STATION:g} in"
            )
            raise ValueRangeError(msg)
