"""What a screw in a truss chord holds, pulled out, sideways or both."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.errors import ValueRangeError
from core.ranges import require_above, require_at_least, require_between

__all__ = [
    "PERMANENT_LOAD",
    "WET_SERVICE",
    "AnchorLoad",
    "TrussLoad",
    "anchor_load",
    "combined_value",
    "edge_room",
    "lag_withdrawal",
    "side_value",
    "thread_in_wood",
    "truss_loads",
    "withdrawal_value",
    "wood_screw_withdrawal",
]

PERMANENT_LOAD = 0.9
"""Load duration factor CD, permanent [-], NDS 2018 Table 2.3.2 (from memory)."""

WET_SERVICE = 0.7
"""Wet service factor CM of a screw in withdrawal [-], NDS 2018 Table 11.3.3 (from
memory): wet when it is driven or in service, as in a humid room."""

_EDGE_DIAMETERS = 1.5  # [-] least edge distance in withdrawal, NDS 2018 Table 12.5.1E
_LOADED_EDGE_DIAMETERS = 4.0  # [-] towards a loaded edge, NDS 2018 Table 12.5.1C


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorLoad:
    """A pull on a screw: `size` [lbf] and its `angle` from the wood's face [rad].

    An angle of pi/2 is straight out of the wood, 0 all sideways.
    """

    size: float
    angle: float

    @property
    def withdrawal(self) -> float:
        """Return the part along the screw [lbf]."""
        return self.size * math.sin(self.angle)

    @property
    def side(self) -> float:
        """Return the part square to the screw [lbf]."""
        return self.size * math.cos(self.angle)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrussLoad:
    """All anchors of one truss, for its designer: how many, and the sum [lbf]."""

    truss: str
    anchors: int
    down: float
    along_x: float
    along_y: float


def lag_withdrawal(gravity: float, diameter: float) -> float:
    """Return the reference withdrawal value of a lag screw.

    Parameters
    ----------
    gravity : float
        Specific gravity of the wood [-], 0.3 to 0.75.
    diameter : float
        Diameter of the unthreaded shank [in], 0.19 to 1.25.

    Returns
    -------
    float
        Value for an inch of thread in the wood [lbf/in].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``W = 1800 G^1.5 D^0.75``, driven into side grain; end grain takes 0.75 of it.

    References
    ----------
    NDS 2018, Eq. 12.2-1 and Table 12.2A.

    Examples
    --------
    >>> lag_withdrawal(0.55, 0.25)
    259.58
    """
    require_between("specific gravity", gravity, 0.3, 0.75, "-")
    require_between("lag diameter", diameter, 0.19, 1.25, "in")
    return float(1800.0 * gravity**1.5 * diameter**0.75)


def wood_screw_withdrawal(gravity: float, diameter: float) -> float:
    """Return the reference withdrawal value of a wood screw or eye screw.

    Parameters
    ----------
    gravity : float
        Specific gravity of the wood [-], 0.3 to 0.75.
    diameter : float
        Diameter of the screw [in], 0.1 to 0.375.

    Returns
    -------
    float
        Value for an inch of thread in the wood [lbf/in].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``W = 2850 G^2 D``, driven into side grain; none in end grain.

    References
    ----------
    NDS 2018, Eq. 12.2-2.

    Examples
    --------
    >>> wood_screw_withdrawal(0.55, 0.19)
    163.804
    """
    require_between("specific gravity", gravity, 0.3, 0.75, "-")
    require_between("screw diameter", diameter, 0.1, 0.375, "in")
    return 2850.0 * gravity**2 * diameter


def thread_in_wood(
    screw_length: float,
    *,
    thread: float,
    tip: float,
    layers: Sequence[float] = (),
    wood: float = math.inf,
) -> float:
    """Return the length of thread that counts for withdrawal.

    Parameters
    ----------
    screw_length : float
        From under the head or hook to the point [in], greater than 0.
    thread : float
        Length of thread, the tip included [in], above 0 to the screw length.
    tip : float
        Length of the tapered tip [in], 0 to `thread`.
    layers : sequence of float
        Thickness of what lies between head and wood: ceiling sheet, strapping,
        gap, plate [in].
    wood : float
        Thickness of the wood [in], greater than 0; a longer screw comes out behind.

    Returns
    -------
    float
        Thread in the wood [in]; 0 if the screw does not get there.

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    From where the thread begins, or the wood, to the tip, or the wood's back; in
    thick wood ``min(length - layers, thread) - tip``.

    References
    ----------
    NDS 2018, 12.2.1.1: thread penetration in the main member, tip not counted.

    Examples
    --------
    >>> thread_in_wood(3.0, thread=2.0, tip=0.1875, layers=(0.75, 0.5))
    1.5625
    >>> thread_in_wood(1.0, thread=0.8, tip=0.1, layers=(1.5,))
    0.0
    >>> thread_in_wood(4.0, thread=2.5, tip=0.25, wood=3.0)
    1.5
    """
    require_above("screw length", screw_length, 0.0, "in")
    require_between("thread", thread, 0.0, screw_length, "in")
    require_between("tip", tip, 0.0, thread, "in")
    for layer in layers:
        require_at_least("layer under the wood", layer, 0.0, "in")
    require_above("thickness of the wood", wood, 0.0, "in")
    reach = screw_length - math.fsum(layers)
    return max(min(reach - tip, wood) - max(reach - thread, 0.0), 0.0)


def withdrawal_value(
    reference: float,
    thread: float,
    *,
    duration: float = PERMANENT_LOAD,
    service: float = WET_SERVICE,
    temperature: float = 1.0,
    screws: int = 1,
) -> float:
    """Return the allowed pull along the screws, W'p.

    Parameters
    ----------
    reference : float
        Value for an inch of thread [lbf/in], at least 0.
    thread : float
        Thread in the wood [in], at least 0.
    duration : float
        Load duration factor CD [-], greater than 0.
    service : float
        Wet service factor CM [-], above 0 to 1.
    temperature : float
        Temperature factor Ct [-], above 0 to 1.
    screws : int
        Screws that share the pull alike [-], at least 1.

    Returns
    -------
    float
        Allowed pull [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``W' = W p n CD CM Ct``, side grain, edge distances kept.

    References
    ----------
    NDS 2018, Table 11.3.1 and 12.2.

    Examples
    --------
    >>> withdrawal_value(lag_withdrawal(0.42, 0.25), 1.25)
    136.412
    """
    require_at_least("reference value", reference, 0.0, "lbf/in")
    require_at_least("thread in the wood", thread, 0.0, "in")
    require_at_least("screws", screws, 1, "-")
    factor = _factors(duration, service, temperature)
    return reference * thread * screws * factor


def side_value(
    reference: float,
    *,
    duration: float = PERMANENT_LOAD,
    service: float = WET_SERVICE,
    temperature: float = 1.0,
    screws: int = 1,
) -> float:
    """Return the allowed pull square to the screws, Z'.

    Parameters
    ----------
    reference : float
        Side value of one screw [lbf], at least 0.
    duration : float
        Load duration factor CD [-], greater than 0.
    service : float
        Wet service factor CM [-], above 0 to 1.
    temperature : float
        Temperature factor Ct [-], above 0 to 1.
    screws : int
        Screws that share the pull alike [-], at least 1.

    Returns
    -------
    float
        Allowed pull [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``Z' = Z n CD CM Ct``, edge distances kept, one or two screws in a row.

    References
    ----------
    NDS 2018, Table 11.3.1.

    Examples
    --------
    >>> side_value(100.0)
    63.0
    """
    require_at_least("reference value", reference, 0.0, "lbf")
    require_at_least("screws", screws, 1, "-")
    return reference * screws * _factors(duration, service, temperature)


def combined_value(withdrawal: float, side: float, angle: float) -> float:
    """Return the allowed pull at an angle to the wood's face.

    Parameters
    ----------
    withdrawal : float
        Allowed pull straight out, W'p [lbf], greater than 0.
    side : float
        Allowed pull sideways, Z' [lbf], greater than 0.
    angle : float
        Angle of the pull from the wood's face [rad], 0 sideways to pi/2 out.

    Returns
    -------
    float
        Allowed pull [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``Z'a = W'p Z' / (W'p cos^2 a + Z' sin^2 a)``, a Hankinson form.

    References
    ----------
    NDS 2018, 12.4.1 (from memory).

    Examples
    --------
    >>> combined_value(150.0, 90.0, math.radians(45.0))
    112.5
    """
    require_above("allowed withdrawal", withdrawal, 0.0, "lbf")
    require_above("allowed side pull", side, 0.0, "lbf")
    require_between("angle of the pull", angle, 0.0, math.pi / 2.0, "rad")
    cosine, sine = math.cos(angle) ** 2, math.sin(angle) ** 2
    return withdrawal * side / (withdrawal * cosine + side * sine)


def anchor_load(
    force: Sequence[float], *, outward: Sequence[float] = (0.0, 0.0, -1.0)
) -> AnchorLoad:
    """Return the size of a pull and its angle from the wood's face.

    Parameters
    ----------
    force : sequence of float
        Force on the screw, `(3,)` [lbf].
    outward : sequence of float
        Direction of the screw out of the wood, `(3,)` [-]; downwards for a
        screw in the underside of a chord.

    Returns
    -------
    AnchorLoad
        Size [lbf] and angle [rad]; a push into the wood counts as sideways.

    Raises
    ------
    ValueRangeError
        If `outward` has no length.

    Notes
    -----
    ``angle = atan2(out of the wood, along its face)``, exact.

    References
    ----------
    Statics.

    Examples
    --------
    >>> load = anchor_load((5.2, 0.0, -5.2))
    >>> load.size, math.degrees(load.angle)
    (7.353911, 45.0)
    """
    length = math.hypot(*outward)
    require_above("length of the screw's direction", length, 0.0, "-")
    size = math.hypot(*force)
    out = sum(f * u for f, u in zip(force, outward, strict=True)) / length
    along = math.sqrt(max(size**2 - out**2, 0.0))
    return AnchorLoad(size=size, angle=math.atan2(max(out, 0.0), along))


def edge_room(
    *, chord_width: float, offset: float, diameter: float, side_pull: float = 0.0
) -> float:
    """Return how far a screw is inside the least edge distance of its chord.

    Less than 0 means too near to an edge.

    Parameters
    ----------
    chord_width : float
        Width of the face that the screw is driven into [in], greater than 0.
    offset : float
        From the middle of the face to the screw, towards the edge that a side
        pull points at [in].
    diameter : float
        Screw diameter [in], greater than 0.
    side_pull : float
        Pull towards that edge, square to the grain [lbf]; 0 for none.

    Returns
    -------
    float
        Room left [in].

    Raises
    ------
    ValueRangeError
        If a size is not greater than 0.

    Notes
    -----
    1.5 D from either edge in withdrawal, 4 D from an edge that is pulled at: a
    1/4-in lag square to a 1.5-in chord has less than that anywhere.

    References
    ----------
    NDS 2018, Tables 12.5.1C and 12.5.1E (from memory).

    Examples
    --------
    >>> edge_room(chord_width=1.5, offset=0.0, diameter=0.25)
    0.375
    >>> edge_room(chord_width=1.5, offset=0.0, diameter=0.25, side_pull=20.0)
    -0.25
    """
    require_above("width of the chord", chord_width, 0.0, "in")
    require_above("screw diameter", diameter, 0.0, "in")
    near = chord_width / 2.0 - abs(offset) - _EDGE_DIAMETERS * diameter
    if side_pull <= 0.0:
        return near
    loaded = chord_width / 2.0 - offset - _LOADED_EDGE_DIAMETERS * diameter
    return min(near, loaded)


def truss_loads(
    pulls: Iterable[tuple[str, Sequence[float]]],
) -> tuple[TrussLoad, ...]:
    """Return the sum of all anchors on each truss, for the truss designer.

    Parameters
    ----------
    pulls : iterable
        Truss name and force on the anchor, `(3,)` [lbf], of each anchor.

    Returns
    -------
    tuple of TrussLoad
        One for each truss in the order first met [lbf]; `down` > 0 pulls down.

    Raises
    ------
    ValueRangeError
        If a force does not have 3 parts.

    Notes
    -----
    Plain sums without the places on the chord; moments are the designer's.

    References
    ----------
    Statics.

    Examples
    --------
    >>> truss_loads([("T1", (5, 0, -5)), ("T1", (0, 0, -4))])[0].down
    9.0
    """
    sums: dict[str, list[tuple[float, float, float]]] = {}
    for truss, force in pulls:
        if len(force) != 3:
            msg = f"truss {truss}: a force has 3 parts, not {len(force)}"
            raise ValueRangeError(msg)
        sums.setdefault(truss, []).append((force[0], force[1], force[2]))
    return tuple(
        TrussLoad(
            truss=truss,
            anchors=len(forces),
            down=-math.fsum(f[2] for f in forces),
            along_x=math.fsum(f[0] for f in forces),
            along_y=math.fsum(f[1] for f in forces),
        )
        for truss, forces in sums.items()
    )


def _factors(duration: float, service: float, temperature: float) -> float:
    """Return the product of the adjustment factors."""
    require_above("duration factor", duration, 0.0, "-")
    for name, factor in (("service", service), ("temperature", temperature)):
        require_above(f"{name} factor", factor, 0.0, "-")
        require_between(f"{name} factor", factor, 0.0, 1.0, "-")
    return duration * service * temperature
