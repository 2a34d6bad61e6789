"""The winch of a hoist at work: pull, drum, time, and where it stands."""

import math
from dataclasses import dataclass, replace

from core.analysis.cable_line import LIFTS
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.errors import ValueRangeError
from core.geometry.shapes import Vec2, Vec3
from core.mechanics.pulley import Motion, pulley_load, ratio_at_wrap
from core.mechanics.winch import (
    Drum,
    block_room,
    drum_capacity,
    handle_force,
    layer_pull,
    lift_time,
    stop_place,
    two_part_pull,
    wind,
)
from core.model.hoists import Hoist, Parts
from core.model.room import Room
from core.placement.vectors import added, dot, subtracted, unit
from core.placement.walls import wall_frame
from core.rules.hoist_evidence import WinchLoads

__all__ = [
    "STOPPING_TIME",
    "door_distance",
    "pull_point_at",
    "winch_loads",
    "winch_part",
]

# From the trip of the limit switch until the drum stands; common practice, no
# published source.
STOPPING_TIME = 0.5  # [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """The winch line at one lift [lbf]."""

    lift: float
    pull: float
    dead_end: float | None
    block: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drumful:
    """What is on the drum when stowed; see `WinchLoads`."""

    capacity: float = math.nan
    layers: int = 0
    layer: int = 0
    turns: float = math.nan
    pull_at_top: float = math.nan
    lift_time: float | None = None
    handle_force: float | None = None
    stop_at: float | None = None
    trouble: str = ""


def winch_loads(
    hoist: Hoist, room: Room, catalogue: Catalogue, *, pull: float, travel: float
) -> WinchLoads:
    """Return what the winch pulls and winds over the travel.

    Parameters
    ----------
    hoist, room, catalogue
        The hoist, its room, and the parts.
    pull : float
        Pull at the pull point while lifting [lbf].
    travel : float
        Way of the pull point [in].

    Returns
    -------
    WinchLoads
        With `trouble` where a number is not to be had.

    Notes
    -----
    With two parts of line each lift has its own angle at the block. The spare rope
    is taken to lie on the drum.
    """
    part = winch_part(hoist, catalogue)
    rope = catalogue.find(parts.Rope, hoist.winch.rope)
    lines = [_line(hoist, catalogue, pull, lift, travel) for lift in LIFTS]
    known = [line for line in lines if line is not None]
    worst = max(known, key=lambda line: line.pull, default=None)
    trouble = "" if len(known) == len(lines) else "the block passes the winch"
    taken_up = _line_length(hoist, travel, 0.0) - _line_length(hoist, travel, 1.0)
    taken_up = max(taken_up, 0.0) + hoist.spare_rope
    top = 0.0 if worst is None else worst.pull
    drum = _drumful(hoist, part, rope, taken_up=taken_up, pull=top, travel=travel)
    turnbuckle = catalogue.find(parts.Turnbuckle, hoist.turnbuckle)
    block = catalogue.find(parts.SnatchBlock, hoist.block)
    two = hoist.parts is Parts.TWO
    return WinchLoads(
        part=part.id,
        motor=isinstance(part, parts.MotorWinch),
        rope=rope.id,
        core=part.core_diameter,
        rope_too_thick=rope.diameter > part.largest_rope,
        pull=math.nan if worst is None else worst.pull,
        pull_at=0.0 if worst is None else worst.lift,
        dead_end=_most([line.dead_end for line in known]),
        block=_most([line.block for line in known]),
        block_rating=block.rating if two else None,
        turnbuckle_load=pull,
        turnbuckle_rating=turnbuckle.rating,
        first_layer_pull=part.first_layer_pull,
        taken_up=taken_up,
        capacity=drum.capacity,
        dead_wraps=hoist.winch.dead_wraps,
        layers=drum.layers,
        layer=drum.layer,
        turns=drum.turns,
        pull_at_top=drum.pull_at_top,
        lift_time=drum.lift_time,
        handle_force=drum.handle_force,
        stop_at=drum.stop_at,
        block_room=_block_room(hoist, turnbuckle, travel),
        to_door=door_distance(room, hoist.winch.at[:2]),
        pull_line_to_door=door_distance(room, hoist.pull_towards[:2]),
        pull_point_to_door=door_distance(room, pull_point_at(hoist, travel, 1.0)[:2]),
        trouble=trouble or drum.trouble,
    )


def door_distance(room: Room, place: Vec2) -> float | None:
    """Return how far a plan point is from the main door; None without one [in]."""
    door = next((door for door in room.doors if door.main), None)
    if door is None:
        return None
    wall = wall_frame(room, door.wall)
    near, far = wall.point(door.offset), wall.point(door.offset + door.width)
    along = (place[0] - near[0]) * wall.along[0] + (place[1] - near[1]) * wall.along[1]
    share = min(max(along, 0.0), math.dist(near, far))
    return math.dist(place, wall.point(door.offset + share))


def winch_part(
    hoist: Hoist, catalogue: Catalogue
) -> parts.HandWinch | parts.MotorWinch:
    """Return the part of a hoist's winch, by hand or with a motor."""
    found = catalogue.by_id.get(hoist.winch.part)
    if isinstance(found, parts.MotorWinch):
        return found
    return catalogue.find(parts.HandWinch, hoist.winch.part)


def _most(values: list[float | None]) -> float | None:
    return max((value for value in values if value is not None), default=None)


def pull_point_at(hoist: Hoist, travel: float, lift: float) -> Vec3:
    """Return where the pull point is at a lift [-] of a travel [in]."""
    way = unit(subtracted(hoist.pull_towards, hoist.pull_point))
    return added(hoist.pull_point, way, lift * travel)


def _dead_end(hoist: Hoist) -> Vec3:
    return hoist.winch.at if hoist.dead_end is None else hoist.dead_end


def _line_length(hoist: Hoist, travel: float, lift: float) -> float:
    """Return the rope from the winch to the pull point, and on to the dead end."""
    point = pull_point_at(hoist, travel, lift)
    length = math.dist(hoist.winch.at, point)
    if hoist.parts is Parts.TWO:
        length += math.dist(point, _dead_end(hoist))
    return length


def _line(
    hoist: Hoist, catalogue: Catalogue, pull: float, lift: float, travel: float
) -> _Line | None:
    """Return the pull on the winch rope; None where the block is past the winch."""
    if hoist.parts is Parts.ONE:
        return _Line(lift=lift, pull=pull, dead_end=None, block=None)
    block = catalogue.find(parts.SnatchBlock, hoist.block)
    point = pull_point_at(hoist, travel, lift)
    ahead, aside = _seen(hoist, point, hoist.winch.at)
    dead_ahead, dead_aside = _seen(hoist, point, _dead_end(hoist))
    if min(ahead, dead_ahead) <= 0.0:
        return None
    wrap = math.pi - math.atan(aside / ahead) - math.atan(dead_aside / dead_ahead)
    ratio = ratio_at_wrap(block.friction_ratio, max(wrap, 0.0))
    parts_of_line = two_part_pull(
        pull,
        ratio=ratio,
        motion=Motion.LIFTING,
        distance=ahead,
        winch_offset=aside,
        dead_end_offset=dead_aside * ahead / dead_ahead,
    )
    return _Line(
        lift=lift,
        pull=parts_of_line.pull,
        dead_end=parts_of_line.dead_end,
        block=pulley_load(parts_of_line.pull, parts_of_line.dead_end, max(wrap, 0.0)),
    )


def _seen(hoist: Hoist, point: Vec3, place: Vec3) -> tuple[float, float]:
    """Return how far a place is ahead of the pull point and aside of its way [in]."""
    way = unit(subtracted(hoist.pull_towards, hoist.pull_point))
    away = subtracted(place, point)
    ahead = dot(away, way)
    return ahead, math.sqrt(max(dot(away, away) - ahead**2, 0.0))


def _drumful(
    hoist: Hoist,
    part: parts.HandWinch | parts.MotorWinch,
    rope: parts.Rope,
    *,
    taken_up: float,
    pull: float,
    travel: float,
) -> _Drumful:
    drum = Drum(core=part.core_diameter, rope=rope.diameter, width=part.drum_width)
    room = math.floor((part.flange_diameter - part.core_diameter) / 2 / rope.diameter)
    layers = min(part.layers, room)
    wraps = hoist.winch.dead_wraps
    try:
        capacity = drum_capacity(drum, layers, dead_wraps=wraps)
        wound = wind(drum, taken_up, dead_wraps=wraps)
    except ValueRangeError as error:
        return _Drumful(trouble=str(error))
    found = _Drumful(
        capacity=capacity,
        layers=layers,
        layer=wound.layer,
        turns=wound.turns,
        pull_at_top=layer_pull(part.first_layer_pull, drum, wound.layer),
    )
    if isinstance(part, parts.MotorWinch):
        return _with_motor(found, part, drum, hoist, travel)
    return _with_handle(found, part, drum, pull)


def _with_motor(
    found: _Drumful, part: parts.MotorWinch, drum: Drum, hoist: Hoist, travel: float
) -> _Drumful:
    speed = part.line_speed * drum.turn_length(found.layer) / drum.turn_length(1)
    try:
        stop = stop_place(
            travel, speed=speed / hoist.parts, stopping_time=STOPPING_TIME
        )
    except ValueRangeError as error:
        return replace(found, trouble=str(error))
    time = lift_time(found.turns, drum, line_speed=part.line_speed)
    return replace(found, lift_time=time, stop_at=stop)


def _with_handle(
    found: _Drumful, part: parts.HandWinch, drum: Drum, pull: float
) -> _Drumful:
    force = handle_force(
        pull,
        drum,
        layer=found.layer,
        gear_ratio=part.gear_ratio,
        handle=part.handle_radius,
        efficiency=part.efficiency,
    )
    return replace(found, handle_force=force)


def _block_room(hoist: Hoist, turnbuckle: parts.Turnbuckle, travel: float) -> float:
    """Return the way left when stowed, to the winch or the end of the pull line."""
    ahead, _ = _seen(hoist, hoist.pull_point, hoist.winch.at)
    ends = [ahead, math.dist(hoist.pull_point, hoist.pull_towards)]
    length = turnbuckle.closed_length
    if hoist.parts is Parts.TWO:
        ends.append(_seen(hoist, hoist.pull_point, _dead_end(hoist))[0])
        length += hoist.block_length
    return block_room(distance=min(ends), travel=travel, block_length=length)
