"""Gathering the evidence of one run from its scene, its body and the room."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from core.analysis.scene import Scene
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.geometry.runs import SweptRun
from core.geometry.shapes import IntArray, Vec2, as_vec3
from core.geometry.sweep import PairTable, sweep_pairs
from core.model.fixtures import TunnelFan
from core.model.hoists import PullCable
from core.model.room import Room
from core.model.runs import Run
from core.placement.building import Truss
from core.placement.hanging import HungSupport
from core.placement.rope_lines import RopeLine
from core.placement.walls import wall_frame
from core.rules.evidence import InsideHit

__all__ = [
    "fan_distances",
    "inside_hits",
    "next_pulleys",
    "truss_at",
    "truss_places",
]

_ROUNDING = 1e-9  # [in]


def truss_at(trusses: tuple[Truss, ...], x: float) -> Truss | None:
    """Return the truss nearest to a station [in], None where there is none."""
    at = bisect_left(trusses, x, key=lambda truss: truss.x)
    near = trusses[max(at - 1, 0) : at + 1]
    return min(near, key=lambda truss: abs(truss.x - x), default=None)


def truss_places(
    trusses: tuple[Truss, ...], hung: Sequence[HungSupport]
) -> tuple[dict[str, float], dict[str, str]]:
    """Return how far each anchor is from a chord's middle [in], and whose it is."""
    offsets, names = {}, {}
    for place in hung:
        truss = truss_at(trusses, place.anchor[0])
        offsets[place.support] = (
            math.inf if truss is None else abs(place.anchor[0] - truss.x)
        )
        names[place.support] = "none" if truss is None else str(truss.number)
    return offsets, names


def next_pulleys(
    run: Run, cable: PullCable, path: RopeLine, catalogue: Catalogue
) -> dict[str, float]:
    """Return the way from each drop pulley along the cable to the next rim [in]."""
    radii = {
        support.id: catalogue.find(parts.Pulley, support.pulley).outside_radius
        for support in run.supports
    }
    radii |= {
        turn.id: catalogue.find(parts.Pulley, turn.part).outside_radius
        for turn in cable.turns
    }
    names = [bend.name for bend in path.bends]
    rows = list(zip(names, path.stations, strict=True))
    supports = {support.id for support in run.supports}
    return {
        name: after - here - radii.get(following, 0.0)
        for (name, here), (following, after) in pairwise(rows)
        if name in supports
    }


def _rectangle_gap(point: Vec2, low: Vec2, high: Vec2) -> float:
    gaps = (max(a - p, 0.0, p - b) for p, a, b in zip(point, low, high, strict=True))
    return math.hypot(*gaps)


def _fan_floor(fan: TunnelFan, room: Room) -> tuple[Vec2, Vec2]:
    """Return the corners of a fan housing in plan."""
    wall = wall_frame(room, fan.wall)
    corners = [
        wall.point(way, depth)
        for way in (fan.offset - fan.diameter / 2, fan.offset + fan.diameter / 2)
        for depth in (0.0, fan.depth)
    ]
    xs, ys = zip(*corners, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def fan_distances(
    fans: Sequence[TunnelFan], room: Room, hung: Sequence[HungSupport]
) -> dict[str, tuple[str, float]]:
    """Return the nearest tunnel fan of each support, in plan [in]."""
    floors = [(fan.id, *_fan_floor(fan, room)) for fan in fans]
    if not floors:
        return {}
    return {
        place.support: min(
            (
                (fan_id, _rectangle_gap(place.pipe[:2], low, high))
                for fan_id, low, high in floors
            ),
            key=lambda row: row[1],
        )
        for place in hung
    }


def inside_hits(
    body: SweptRun, table: PairTable, scene: Scene
) -> tuple[InsideHit, ...]:
    """Return the solids that hold a part of the axis at working or stow height."""
    deep = table.clearance <= -body.radius + _ROUNDING
    places = np.unique(table.obstacle[deep])
    if not places.size:
        return ()
    return tuple(
        hit for lift in (0.0, 1.0) for hit in _inside_at(body, places, scene, lift)
    )


def _inside_at(
    body: SweptRun, places: IntArray, scene: Scene, lift: float
) -> Iterator[InsideHit]:
    still = replace(body, low=body.low + lift * body.travel, travel=0.0)
    rows = sweep_pairs([still], scene.obstacles, np.zeros_like(places), places)
    for row in np.flatnonzero(rows.clearance <= -body.radius + _ROUNDING):
        solid = scene.solids[int(rows.obstacle[row])]
        at = as_vec3(rows.on_obstacle[row])
        yield InsideHit(other=solid.owner, part=solid.part, at=at, lift=lift)
