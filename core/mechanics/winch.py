"""What a winch pulls, how it winds its rope and how long a lift takes."""

import math
from dataclasses import dataclass
from itertools import count

from core.errors import ValueRangeError
from core.mechanics.pulley import Motion
from core.ranges import require_above, require_at_least, require_between

__all__ = [
    "LEAST_DEAD_WRAPS",
    "Drum",
    "TwoPartPull",
    "Winding",
    "block_room",
    "block_take_up",
    "drum_capacity",
    "handle_force",
    "layer_pull",
    "lift_time",
    "nested_layer_rise",
    "stop_place",
    "two_part_pull",
    "wind",
    "wraps_per_layer",
]

LEAST_DEAD_WRAPS = 2
"""Wraps left on the drum at the lowest point [-], 29 CFR 1910.179(h)(2)(iii)(a)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drum:
    """A winch drum: `core` diameter, `rope` diameter and `width` between flanges [in].

    `layer_rise` [in] is how much a layer adds to the radius: the rope diameter
    when layers stack, sqrt(3)/2 of it when they nest; None is stacked.
    """

    core: float
    rope: float
    width: float
    layer_rise: float | None = None

    @property
    def rise(self) -> float:
        """Return what a layer adds to the radius [in]."""
        return self.rope if self.layer_rise is None else self.layer_rise

    def turn_length(self, layer: int) -> float:
        """Return the rope in one turn of a layer, 1 the innermost [in]."""
        return math.pi * (self.core + self.rope + 2 * (layer - 1) * self.rise)


@dataclass(frozen=True, slots=True, kw_only=True)
class Winding:
    """Rope wound on top of the dead wraps: turns [-] and outermost layer [-]."""

    turns: float
    layer: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoPartPull:
    """A moving block on two parts: winch pull, dead-end load [lbf], wrap [rad]."""

    pull: float
    dead_end: float
    wrap: float


def two_part_pull(
    block_pull: float,
    *,
    ratio: float,
    motion: Motion,
    distance: float = math.inf,
    winch_offset: float = 0.0,
    dead_end_offset: float = 0.0,
) -> TwoPartPull:
    """Return the winch pull and the dead-end load of a moving snatch block.

    Parameters
    ----------
    block_pull : float
        Pull of the cable on the block [lbf], at least 0.
    ratio : float
        Friction ratio K of the block's sheave [-], at least 1.
    motion : Motion
        Lifting, at rest or lowering.
    distance : float
        From the block to the winch and dead end, along the cable [in], above 0.
    winch_offset, dead_end_offset : float
        How far winch and dead end are from the cable's line, on its two sides
        [in], at least 0.

    Returns
    -------
    TwoPartPull
        Tensions of the two parts [lbf] and the wrap on the block [rad].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``F = T cos(a) + (T / K^s) cos(b)``, tan a and tan b the offsets over the
    distance, s = +1 lifting, 0 at rest, -1 lowering; ``F/(1 + 1/K)`` and
    ``F/(1 + K)`` for parallel parts. The block is held on the cable's line,
    which is right while both offsets are alike.

    References
    ----------
    Statics of a moving block.

    Examples
    --------
    >>> two_part_pull(60.0, ratio=1.04, motion=Motion.LIFTING).pull
    30.5882
    >>> near = two_part_pull(
    ...     60.0,
    ...     ratio=1.04,
    ...     motion=Motion.LIFTING,
    ...     distance=6.0,
    ...     winch_offset=6.0,
    ...     dead_end_offset=6.0,
    ... )
    >>> near.pull
    43.2583
    """
    require_at_least("pull on the block", block_pull, 0.0, "lbf")
    require_at_least("friction ratio", ratio, 1.0, "-")
    require_above("distance of the block", distance, 0.0, "in")
    require_at_least("offset", min(winch_offset, dead_end_offset), 0.0, "in")
    lead, dead = (
        math.atan(winch_offset / distance),
        math.atan(dead_end_offset / distance),
    )
    share = ratio**-motion.value
    pull = block_pull / (math.cos(lead) + share * math.cos(dead))
    return TwoPartPull(pull=pull, dead_end=pull * share, wrap=math.pi - lead - dead)


def block_take_up(
    *,
    distance_low: float,
    distance_high: float,
    winch_offset: float = 0.0,
    dead_end_offset: float = 0.0,
) -> float:
    """Return the rope that the winch takes in while its block comes nearer.

    Parameters
    ----------
    distance_low, distance_high : float
        Distance of the block at working height and stowed [in], at least 0.
    winch_offset, dead_end_offset : float
        How far winch and dead end are from the cable's line [in].

    Returns
    -------
    float
        Rope taken in [in]; twice the way of the block for parallel parts.

    Raises
    ------
    ValueRangeError
        If a distance is below 0.

    Notes
    -----
    Change of both slant lengths; the change of wrap on the block, its radius
    times the change of angle, is left out.

    References
    ----------
    Pythagoras.

    Examples
    --------
    >>> block_take_up(distance_low=96.0, distance_high=12.0)
    168.0
    """
    require_at_least("distance", min(distance_low, distance_high), 0.0, "in")
    return math.fsum(
        math.hypot(distance_low, offset) - math.hypot(distance_high, offset)
        for offset in (winch_offset, dead_end_offset)
    )


def nested_layer_rise(rope: float) -> float:
    """Return what a layer adds to the radius when ropes lie in the grooves below.

    Parameters
    ----------
    rope : float
        Rope diameter [in], greater than 0.

    Returns
    -------
    float
        Rise a layer [in]; the rope diameter itself is the other bound.

    Raises
    ------
    ValueRangeError
        If the diameter is not greater than 0.

    Notes
    -----
    ``d sqrt(3)/2``; the real drum lies between this and d.

    References
    ----------
    Circle packing (from memory).

    Examples
    --------
    >>> nested_layer_rise(0.1875)
    0.16238
    """
    require_above("rope diameter", rope, 0.0, "in")
    return rope * math.sqrt(3.0) / 2.0


def wraps_per_layer(drum: Drum) -> int:
    """Return how many turns lie side by side between the flanges.

    Parameters
    ----------
    drum : Drum
        Core, rope and width [in], all greater than 0.

    Returns
    -------
    int
        Whole turns [-].

    Raises
    ------
    ValueRangeError
        If a size is not greater than 0 or no turn fits.

    Notes
    -----
    ``width / d`` rounded down, a millionth of a turn forgiven; a hand-fed drum
    winds less evenly.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> wraps_per_layer(Drum(core=2.5, rope=0.1875, width=2.8125))
    15
    """
    for name, size in (("core", drum.core), ("rope", drum.rope), ("width", drum.width)):
        require_above(f"drum {name}", size, 0.0, "in")
    wraps = math.floor(drum.width / drum.rope + 1e-6)
    require_at_least("turns in a layer", wraps, 1, "-")
    return wraps


def drum_capacity(drum: Drum, layers: int, *, dead_wraps: int = 0) -> float:
    """Return the length of rope that a drum can take in.

    Parameters
    ----------
    drum : Drum
        Core, rope and width [in].
    layers : int
        Layers that the flanges allow [-], at least 1.
    dead_wraps : int
        Turns that always stay on the drum [-], 0 to one full layer.

    Returns
    -------
    float
        Length [in], the dead wraps not counted.

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``sum pi N (D + (2j - 1) d)`` for stacked layers. Range: even winding.

    References
    ----------
    Handbook of Oceanographic Winch, Wire and Cable Technology, 3rd ed., 2001,
    ch. 12, equal to ``0.2618 W h (B + h)/d^2``.

    Examples
    --------
    >>> drum_capacity(Drum(core=2.5, rope=0.1875, width=2.8125), 4) / 12
    51.0509
    """
    require_at_least("layers", layers, 1, "-")
    wraps = wraps_per_layer(drum)
    require_between("dead wraps", dead_wraps, 0, wraps, "-")
    full = math.fsum(wraps * drum.turn_length(j) for j in range(1, layers + 1))
    return full - dead_wraps * drum.turn_length(1)


def wind(drum: Drum, length: float, *, dead_wraps: int = LEAST_DEAD_WRAPS) -> Winding:
    """Return the turns and the layer reached when a length of rope is wound.

    Parameters
    ----------
    drum : Drum
        Core, rope and width [in].
    length : float
        Rope wound on top of the dead wraps [in], at least 0.
    dead_wraps : int
        Turns already on the drum [-], 0 to one full layer.

    Returns
    -------
    Winding
        Turns made [-] and the layer that the rope is then on [-].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    Fills layer by layer; the dead wraps use up part of the first. Range: even
    winding.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> wound = wind(Drum(core=2.5, rope=0.1875, width=2.8125), 168.0, dead_wraps=3)
    >>> wound.turns, wound.layer
    (18.931, 2)
    >>> wind(Drum(core=2.5, rope=0.1875, width=2.8125), 0.0).layer
    1
    """
    require_at_least("rope wound", length, 0.0, "in")
    wraps = wraps_per_layer(drum)
    require_between("dead wraps", dead_wraps, 0, wraps, "-")
    turns, left, room = 0.0, length, float(wraps - dead_wraps)
    for layer in count(1):
        needed = left / drum.turn_length(layer)
        if needed <= room + 1e-9:
            return Winding(turns=turns + needed, layer=layer)
        turns, left = turns + room, left - room * drum.turn_length(layer)
        room = float(wraps)
    raise AssertionError


def layer_pull(first_layer_pull: float, drum: Drum, layer: int) -> float:
    """Return the pull of a winch on one of its layers.

    Parameters
    ----------
    first_layer_pull : float
        Rated pull on the bare drum [lbf], at least 0.
    drum : Drum
        Core and rope [in].
    layer : int
        Layer [-], 1 the innermost.

    Returns
    -------
    float
        Pull [lbf].

    Raises
    ------
    ValueRangeError
        If the layer is below 1 or the pull below 0.

    Notes
    -----
    Constant torque: ``(D + d)/(D + (2n - 1) d)`` of the first layer when layers
    stack. Range: up to the flange.

    References
    ----------
    ASME B30.7-2021, rating on the first layer (from memory); statics.

    Examples
    --------
    >>> layer_pull(1.0, Drum(core=2.5, rope=0.1875, width=2.8125), 4)
    0.704918
    """
    require_at_least("rated pull", first_layer_pull, 0.0, "lbf")
    require_at_least("layer", layer, 1, "-")
    return first_layer_pull * drum.turn_length(1) / drum.turn_length(layer)


def lift_time(turns: float, drum: Drum, *, line_speed: float) -> float:
    """Return how long a winch needs for a number of turns.

    Parameters
    ----------
    turns : float
        Turns of the drum [-], at least 0.
    drum : Drum
        Core and rope [in].
    line_speed : float
        Rated line speed on the first layer [in/s], greater than 0.

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    The drum turns at ``v / (pi (D + d))``, whatever the layer; a loaded motor
    runs slower than its rated speed.

    References
    ----------
    Kinematics.

    Examples
    --------
    >>> lift_time(10.0, Drum(core=2.5, rope=0.1875, width=2.8125), line_speed=4.0)
    21.1076
    """
    require_at_least("turns", turns, 0.0, "-")
    require_above("line speed", line_speed, 0.0, "in/s")
    return turns * drum.turn_length(1) / line_speed


def stop_place(travel: float, *, speed: float, stopping_time: float) -> float:
    """Return where on its way the load has to trip the limit switch.

    Parameters
    ----------
    travel : float
        Way from working height to stowed [in], greater than 0.
    speed : float
        Speed of what trips the switch, at the top [in/s], at least 0.
    stopping_time : float
        From the trip until the drum stands [s], at least 0.

    Returns
    -------
    float
        Distance from working height [in].

    Raises
    ------
    ValueRangeError
        If an input is outside its range or the winch runs past the whole travel.

    Notes
    -----
    ``travel - speed time``: full speed until the drum stands, so it trips
    early. The switch guards the end; it is no working control.

    References
    ----------
    Kinematics.

    Examples
    --------
    >>> stop_place(48.0, speed=2.0, stopping_time=0.25)
    47.5
    """
    require_above("travel", travel, 0.0, "in")
    require_at_least("speed", speed, 0.0, "in/s")
    require_at_least("stopping time", stopping_time, 0.0, "s")
    run_on = speed * stopping_time
    if run_on >= travel:
        msg = f"the winch runs on for {run_on:g} in, more than the travel {travel:g} in"
        raise ValueRangeError(msg)
    return travel - run_on


def block_room(
    *, distance: float, travel: float, block_length: float, reserve: float = 0.0
) -> float:
    """Return the way left between a moving block and the winch when stowed.

    Less than 0 means that the block runs into the winch.

    Parameters
    ----------
    distance : float
        From the cable's end at the block, at working height, to the winch [in].
    travel : float
        Way of the block [in].
    block_length : float
        Block with its hook and turnbuckle [in].
    reserve : float
        Way kept free for running on [in].

    Returns
    -------
    float
        Way left [in].

    Notes
    -----
    ``distance - travel - block - reserve`` along one straight line.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> block_room(distance=72.0, travel=48.0, block_length=10.0, reserve=6.0)
    8.0
    """
    return distance - travel - block_length - reserve


def handle_force(
    pull: float,
    drum: Drum,
    *,
    layer: int,
    gear_ratio: float,
    handle: float,
    efficiency: float,
) -> float:
    """Return the force of the hand on the handle of a hand winch.

    Parameters
    ----------
    pull : float
        Pull of the rope [lbf], at least 0.
    drum : Drum
        Core and rope [in].
    layer : int
        Layer that the rope is on [-], at least 1.
    gear_ratio : float
        Turns of the handle for one turn of the drum [-], greater than 0.
    handle : float
        Length of the handle [in], greater than 0.
    efficiency : float
        Share of the work that reaches the rope [-], above 0 to 1.

    Returns
    -------
    float
        Force at the handle [lbf].

    Raises
    ------
    ValueRangeError
        If an input is outside its range.

    Notes
    -----
    ``T R / (i L eta)`` with R the radius to the middle of the rope. A worm gear
    has an efficiency of about 0.3 to 0.5, spur gears 0.8 to 0.9 (from memory).

    References
    ----------
    Statics of work.

    Examples
    --------
    >>> hand = Drum(core=2.5, rope=0.1875, width=2.8125)
    >>> handle_force(100.0, hand, layer=2, gear_ratio=4.1, handle=9.0, efficiency=0.85)
    4.88204
    """
    require_at_least("pull", pull, 0.0, "lbf")
    require_at_least("layer", layer, 1, "-")
    require_above("gear ratio", gear_ratio, 0.0, "-")
    require_above("handle", handle, 0.0, "in")
    require_above("efficiency", efficiency, 0.0, "-")
    require_between("efficiency", efficiency, 0.0, 1.0, "-")
    radius = drum.turn_length(layer) / math.tau
    return pull * radius / (gear_ratio * handle * efficiency)
