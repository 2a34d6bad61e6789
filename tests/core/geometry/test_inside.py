"""Points in closed surfaces and convex solids."""

import math

import numpy as np
import pytest
import trimesh

from core.errors import ValueRangeError
from core.geometry.inside import is_inside_shape, points_inside
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    FloatArray,
    Hull,
    Mesh,
    Sphere,
)
from core.geometry.surface import Surface
from tests.surface_specimens import as_mesh


def winding(shape: trimesh.Trimesh, points: FloatArray) -> FloatArray:
    """Return the winding number of each point by solid angles.

    Second method: A. Van Oosterom and J. Strackee, The Solid Angle of a Plane
    Triangle, IEEE Trans. Biomed. Eng. 30 (1983), equation 8 (from memory).
    """
    total = np.zeros(len(points))
    for a, b, c in shape.vertices[shape.faces]:
        a, b, c = a - points, b - points, c - points
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        top = (a * np.cross(b, c)).sum(axis=1)
        low = la * lb * lc + (a * b).sum(1) * lc + (b * c).sum(1) * la
        total += 2 * np.arctan2(top, low + (c * a).sum(1) * lb)
    return total / (4 * math.pi)


def lumpy_ring() -> trimesh.Trimesh:
    """Return a ring with uneven faces: closed, not convex, with a hole."""
    ring = trimesh.creation.torus(10.0, 3.5, 24, 14)
    rng = np.random.default_rng(5)
    ring.vertices += rng.normal(0, 0.15, ring.vertices.shape)
    ring.vertices @= trimesh.transformations.rotation_matrix(0.6, (1, 5, 8))[:3, :3]
    return ring


def test_points_in_a_lumpy_ring_agree_with_the_winding_number() -> None:
    ring = lumpy_ring()
    points = np.random.default_rng(6).uniform(-14, 14, (4000, 3))
    number = winding(ring, points)
    assert np.abs(number - np.round(number)).max() < 1e-6
    found = points_inside(Surface.of(as_mesh(ring)), points)
    assert 200 < found.sum() < 3800
    assert np.array_equal(found, np.round(number) != 0)


def test_points_over_edges_and_corners_are_counted_once() -> None:
    """A cube cut into a lattice: every line goes through edges or corners."""
    cube = trimesh.creation.box((8, 8, 8)).subdivide().subdivide().subdivide()
    steps = np.arange(-5.0, 5.01, 0.5)
    points = np.stack(np.meshgrid(steps, steps, steps + 0.25), -1).reshape(-1, 3)
    edge = np.abs(points[:, :2]).max(axis=1) == 4.0  # on a wall: either is right
    points = points[~edge]
    hand = np.abs(points).max(axis=1) < 4.0  # hand-worked: a cube of side 8
    assert np.array_equal(points_inside(Surface.of(as_mesh(cube)), points), hand)


def test_many_blocks_and_a_placement_change_nothing() -> None:
    ball = trimesh.creation.icosphere(5, radius=40.0)
    surface = Surface.of(as_mesh(ball)).moved(origin=(100, -50, 60), heading=0.7)
    middle = np.array([100.0, -50.0, 60.0])
    points = middle + np.random.default_rng(8).uniform(-60, 60, (3000, 3))
    away = np.linalg.norm(points - middle, axis=1)
    clear = np.abs(away - 39.9) > 0.1  # facets lie up to 0.03 in inside the sphere
    found = points_inside(surface, points)
    assert np.array_equal(found[clear], away[clear] < 40)


def test_a_hollow_part_inside_a_part_is_outside() -> None:
    outer = trimesh.creation.box((10, 10, 10))
    inner = trimesh.creation.box((4, 4, 4))
    surface = Surface.of(as_mesh(trimesh.util.concatenate([outer, inner])))
    points = np.array([[0.1, 0.2, 0.3], [3.1, 0.2, 0.3], [6.0, 0.2, 0.3]])
    assert points_inside(surface, points).tolist() == [False, True, False]


def test_no_points_give_no_answers() -> None:
    surface = Surface.of(as_mesh(trimesh.creation.box((1, 1, 1))))
    assert points_inside(surface, np.zeros((0, 3))).shape == (0,)


def test_an_open_surface_says_that_it_has_no_inside() -> None:
    box = as_mesh(trimesh.creation.box((1, 1, 1)))
    surface = Surface.of(Mesh(vertices=box.vertices, faces=box.faces[:-1]))
    assert not surface.closed
    with pytest.raises(ValueRangeError, match="not closed"):
        points_inside(surface, np.zeros((1, 3)))


TURN = trimesh.transformations.rotation_matrix(1.1, (3, 6, 2))[:3, :3]
AXES = tuple(tuple(map(float, row)) for row in TURN)
SOLIDS = {
    "box": (
        Box(center=(1.0, 2.0, 3.0), half=(4.0, 2.0, 3.0), axes=AXES),
        trimesh.creation.box((8, 4, 6)).apply_transform(
            np.block([[TURN.T, np.array([[1.0], [2.0], [3.0]])], [0, 0, 0, 1]])
        ),
    ),
    "cylinder": (
        Cylinder(a=(0.0, 0.0, -4.0), b=(0.0, 0.0, 4.0), radius=3.0),
        trimesh.creation.cylinder(3.0, 8.0, sections=4000),
    ),
    "capsule": (
        Capsule(a=(0.0, 0.0, -3.0), b=(0.0, 0.0, 3.0), radius=2.0),
        trimesh.creation.capsule(6.0, 2.0, count=[200, 100]),
    ),
    "sphere": (
        Sphere(center=(1.0, 1.0, 1.0), radius=4.0),
        trimesh.creation.icosphere(5, radius=4.0).apply_translation([1, 1, 1]),
    ),
    "hull": (
        Hull(points=tuple(map(tuple, lumpy_ring().convex_hull.vertices.tolist()))),
        lumpy_ring().convex_hull,
    ),
}


@pytest.mark.oracle
@pytest.mark.parametrize("kind", SOLIDS)
def test_points_in_convex_solids_agree_with_a_fine_mesh(kind: str) -> None:
    shape, mesh = SOLIDS[kind]
    low, high = mesh.bounds
    rng = np.random.default_rng(9)
    points = rng.uniform(low - 1, high + 1, (3000, 3))
    # second method: parity in a fine mesh; points within its error are left out
    closest = trimesh.proximity.closest_point(mesh, points[:500])[1]
    clear = closest > 0.01
    by_mesh = points_inside(Surface.of(as_mesh(mesh)), points[:500])
    found = is_inside_shape(shape, points[:500])
    assert clear.sum() > 400
    assert np.array_equal(found[clear], by_mesh[clear])
    assert 50 < found.sum() < 450


def test_a_point_on_the_face_is_not_inside() -> None:
    box = Box(center=(0.0, 0.0, 0.0), half=(1.0, 1.0, 1.0))
    faces = np.concatenate([np.eye(3), -np.eye(3)])
    assert not is_inside_shape(box, faces).any()
    assert is_inside_shape(box, faces * 0.999).all()


def test_a_cylinder_of_no_length_holds_nothing() -> None:
    disc = Cylinder(a=(0.0, 0.0, 0.0), b=(0.0, 0.0, 0.0), radius=3.0)
    assert not is_inside_shape(disc, np.zeros((1, 3))).any()
