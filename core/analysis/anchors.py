"""What the screws of a pull cable's pulleys carry, and what their wood holds."""

import math
from dataclasses import dataclass

import numpy as np

from core.analysis.cable_line import CableLine
from core.analysis.gather import truss_at
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.errors import ValueRangeError
from core.geometry.shapes import FloatArray, Vec3
from core.mechanics.anchor import (
    anchor_load,
    combined_value,
    edge_room,
    lag_withdrawal,
    side_value,
    thread_in_wood,
    withdrawal_value,
    wood_screw_withdrawal,
)
from core.mechanics.lag_side import lag_side_value
from core.model.hoists import PullCable
from core.model.room import Room
from core.model.runs import Run
from core.placement.building import Truss
from core.rules.hoist_evidence import AnchorLoads

__all__ = ["ScrewHold", "anchor_loads", "hold_in", "screw_hold"]

# The shoulder of an eye on the wood, as a steel plate in the side value [in];
# common practice, no published source.
_SHOULDER = 0.105
_SIDEWAYS = 0.05  # [-] share of a pull below which an edge is not pulled at


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewHold:
    """What a screw holds straight out and sideways [lbf]; thread in the wood [in].

    `trouble` says why that is not known.
    """

    withdrawal: float
    side: float
    thread: float
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Screw:
    """One screw: whose it is, its part, where it is."""

    id: str
    part: parts.AnchorScrew
    blocking: bool
    at: Vec3
    weight: float


def screw_hold(screw: parts.AnchorScrew, room: Room, wood: parts.Wood) -> ScrewHold:
    """Return what a screw holds in a truss chord or blocking of the room.

    Parameters
    ----------
    screw : AnchorScrew
        The screw; its thread counts only where it is in the wood.
    room : Room
        For the ceiling sheet between the screw's eye and the wood.
    wood : Wood
        The species of the trusses.

    Returns
    -------
    ScrewHold
        Values with the factors for permanent load and wet service; the side value
        is that square to the grain, the weakest.
    """
    sheet = 0.0 if room.trusses.exposed else room.trusses.sheet_thickness
    return hold_in(wood, screw, sheet=sheet)


def hold_in(
    wood: parts.Wood,
    screw: parts.AnchorScrew,
    *,
    sheet: float = 0.0,
    thickness: float = math.inf,
) -> ScrewHold:
    """Return what a screw holds in wood of a thickness, behind a sheet [in].

    See `screw_hold` for the factors.
    """
    thread = thread_in_wood(
        screw.length,
        thread=screw.thread_length,
        tip=screw.tip_length,
        layers=(sheet,),
        wood=thickness,
    )
    if thread <= 0.0:
        behind = f" past {sheet:g} in of sheet" if sheet else f" of {thickness:g} in"
        words = f"no thread of {screw.id} reaches the wood{behind}"
        return ScrewHold(withdrawal=0.0, side=0.0, thread=0.0, trouble=words)
    depth = min(screw.length - sheet - screw.tip_length, thickness)
    pull = lag_withdrawal if screw.thread == "lag" else wood_screw_withdrawal
    try:
        return ScrewHold(
            withdrawal=withdrawal_value(
                pull(wood.specific_gravity, screw.diameter), thread
            ),
            side=side_value(_side(screw, wood, depth)),
            thread=thread,
        )
    except ValueRangeError as error:
        return ScrewHold(withdrawal=0.0, side=0.0, thread=thread, trouble=str(error))


def _side(screw: parts.AnchorScrew, wood: parts.Wood, penetration: float) -> float:
    return lag_side_value(
        wood.specific_gravity,
        screw.diameter,
        root=screw.root_diameter,
        bending_yield=screw.bending_yield,
        penetration=penetration,
        plate=_SHOULDER,
    )


def anchor_loads(
    cable: PullCable,
    run: Run,
    room: Room,
    line: CableLine,
    forces: FloatArray,
    catalogue: Catalogue,
    trusses: tuple[Truss, ...],
) -> tuple[AnchorLoads, ...]:
    """Return every screw of a cable at the lift where it is used most.

    Parameters
    ----------
    cable, run, room, line
        The cable, its run, the room, and the cable's line.
    forces : FloatArray
        Force on each pulley at each lift, `(lifts, n, 3)` [lbf].
    catalogue, trusses
        The parts, and the trusses from the front.

    Returns
    -------
    tuple of AnchorLoads
        In the order of the pulleys.
    """
    screws = [*_screws(cable, line, catalogue)]
    wood = catalogue.find(parts.Wood, room.trusses.wood)
    known = {s.part.id: s.part for s in screws}
    holds = {key: screw_hold(part, room, wood) for key, part in known.items()}
    pulls = forces.copy()
    pulls[:, :, 2] -= np.array([screw.weight for screw in screws])
    uses = _uses(pulls, [holds[screw.part.id] for screw in screws])
    worst = uses.argmax(axis=0).tolist()
    return tuple(
        _anchor(screw, run.id, holds[screw.part.id], pulls[worst[i], i], room, trusses)
        for i, screw in enumerate(screws)
    )


def _screws(cable: PullCable, line: CableLine, catalogue: Catalogue) -> list[_Screw]:
    count = len(line.supports)
    drops = [
        _Screw(
            id=support.id,
            part=catalogue.find(parts.AnchorScrew, support.anchor),
            blocking=support.blocking,
            at=place.anchor,
            weight=wheel.weight,
        )
        for support, place, wheel in zip(
            line.supports, line.places, line.pulleys[:count], strict=True
        )
    ]
    turns = [
        _Screw(
            id=turn.id,
            part=catalogue.find(parts.AnchorScrew, turn.anchor),
            blocking=turn.blocking,
            at=turn.at,
            weight=wheel.weight,
        )
        for turn, wheel in zip(cable.turns, line.pulleys[count:], strict=True)
    ]
    return drops + turns


def _uses(pulls: FloatArray, holds: list[ScrewHold]) -> FloatArray:
    """Return the use of each screw at each lift, `(lifts, n)` [-].

    Load over the Hankinson value, ``(W'p s^2 + Z' o^2) / (F W'p Z')`` with the
    parts s and o of the pull F sideways and out. Where a value is not known, the
    load itself, so that the largest pull is the worst.
    """
    out = np.maximum(-pulls[:, :, 2], 0.0)
    sizes = np.linalg.norm(pulls, axis=2)
    square = np.maximum(sizes**2 - out**2, 0.0)
    w = np.array([hold.withdrawal or 1.0 for hold in holds])
    z = np.array([hold.side or 1.0 for hold in holds])
    uses: FloatArray = (w * square + z * out**2) / (
        np.where(sizes > 0.0, sizes, 1.0) * w * z
    )
    return uses


def _anchor(
    screw: _Screw,
    run: str,
    hold: ScrewHold,
    pull: FloatArray,
    room: Room,
    trusses: tuple[Truss, ...],
) -> AnchorLoads:
    x, y, z = pull.tolist()
    load = anchor_load((x, y, z))
    allowed = 0.0
    if not hold.trouble:
        allowed = combined_value(hold.withdrawal, hold.side, load.angle)
        allowed = min(allowed, screw.part.rating or allowed)
    truss = truss_at(trusses, screw.at[0])
    off = math.inf if truss is None else screw.at[0] - truss.x
    return AnchorLoads(
        id=screw.id,
        run=run,
        part=screw.part.id,
        truss="none" if truss is None else f"truss {truss.number}",
        blocking=screw.blocking,
        at=screw.at,
        withdrawal=load.withdrawal,
        side=load.side,
        angle=load.angle,
        thread=hold.thread,
        allowed=allowed,
        use=load.size / allowed if allowed else math.inf,
        edge_room=_edge_room(screw, x, load.size, off, room),
        off_chord=0.0 if screw.blocking else abs(off),
        force=(x, y, z),
        trouble=hold.trouble,
    )


def _edge_room(
    screw: _Screw, across: float, size: float, off: float, room: Room
) -> float:
    """Return the way to the least edge distance; chords run across the room [in]."""
    if screw.blocking or math.isinf(off):
        return math.inf
    return edge_room(
        chord_width=room.trusses.chord_width,
        offset=math.copysign(off, off * across),
        diameter=screw.part.diameter,
        side_pull=abs(across) if abs(across) > _SIDEWAYS * size else 0.0,
    )
