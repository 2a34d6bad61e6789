"""A second method for surfaces: coal's distances of posed runs to a mesh.

Shares no code with the sweep: the metal at one height and one angle of the ropes
is a chain of capsules, or of convex bodies, and coal gives its distance.
"""

import math
from collections.abc import Iterator

import coal
import numpy as np

from core.geometry.runs import SweptRun
from core.geometry.shapes import FloatArray, Mesh

_REQUEST = coal.DistanceRequest()
_REQUEST.gjk_tolerance = 1e-9


def coal_mesh(mesh: Mesh) -> coal.BVHModelOBBRSS:
    """Return a mesh for coal."""
    model = coal.BVHModelOBBRSS()
    model.beginModel(len(mesh.faces), len(mesh.vertices))
    model.addVertices(mesh.vertices)
    model.addTriangles(mesh.faces)
    model.endModel()
    return model


def distance(
    model: coal.BVHModelOBBRSS,
    shape: coal.ShapeBase,
    turn: FloatArray,
    middle: FloatArray,
) -> float:
    """Return coal's distance of a posed convex shape to a mesh [in]."""
    pose = coal.Transform3s()
    pose.setRotation(turn)
    pose.setTranslation(middle)
    result = coal.DistanceResult()
    coal.distance(model, coal.Transform3s(), shape, pose, _REQUEST, result)
    return float(result.min_distance)


def capsule_gap(
    model: coal.BVHModelOBBRSS, start: FloatArray, end: FloatArray, radius: float
) -> float:
    """Return the gap between a capsule and a mesh [in]."""
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length if length else np.array([0.0, 0.0, 1.0])
    aside = np.eye(3)[int(np.abs(along).argmin())]
    across = np.cross(along, aside)
    across /= np.linalg.norm(across)
    turn = np.stack([across, np.cross(along, across), along], axis=1)
    return distance(model, coal.Capsule(radius, length), turn, (start + end) / 2)


def block_gap(model: coal.BVHModelOBBRSS, corners: FloatArray, radius: float) -> float:
    """Return the gap between a grown convex block `(8, 3)` and a mesh [in]."""
    middle = corners.mean(axis=0)
    points = coal.StdVec_Vec3s()
    for corner in corners - middle:
        points.append(corner)
    block = coal.Convex.convexHull(points, False, "Qt")
    return distance(model, block, np.eye(3), middle) - radius


def axis_pieces(run: SweptRun) -> Iterator[tuple[float, float, float, float]]:
    """Yield the stations and depths at both ends of each straight piece."""
    length = math.dist(run.start, run.end)
    if run.sag is None:
        yield (0.0, length, 0.0, 0.0)
        return
    inner = [s for s in run.sag.stations if 0 < s < length]
    knots = np.array([0.0, *inner, length])
    depths = np.interp(knots, run.sag.stations, run.sag.depths)
    yield from zip(knots, knots[1:], depths, depths[1:], strict=False)


def gap_at(
    model: coal.BVHModelOBBRSS, run: SweptRun, height: float, *, angle: float = 0.0
) -> float:
    """Return the gap of the live metal at one height and angle of the ropes [in]."""
    along = np.subtract(run.end, run.start) / math.dist(run.start, run.end)
    gaps = []
    for first, last, depth, depth_after in axis_pieces(run):
        metal = [
            (u, v, height - sag + w)
            for u, sag in ((first, depth), (last, depth_after))
            for v in sorted({-run.side, run.side})
            for w in sorted({-run.down, run.up})
        ]
        points = np.array([_placed(run, along, p, angle) for p in metal])
        if len(points) == 2:
            gaps.append(capsule_gap(model, points[0], points[1], run.radius))
        else:
            gaps.append(block_gap(model, points, run.radius))
    return min(gaps)


def _placed(
    run: SweptRun, along: FloatArray, point: tuple[float, ...], angle: float
) -> FloatArray:
    """Turn a point about the pulley line and put it into the room."""
    u, v, w = point
    pulley = run.swing.pulley_height if run.swing else 0.0
    w -= pulley
    v, w = (
        v * math.cos(angle) - w * math.sin(angle),
        w * math.cos(angle) + v * math.sin(angle),
    )
    x, y = run.start + u * along + v * np.array([-along[1], along[0]])
    return np.array([x, y, w + pulley])
