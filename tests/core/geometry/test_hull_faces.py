"""Faces of hulls against qhull: volume and area, outward normals, no point outside."""

import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from core.geometry.hull_faces import hull_faces
from core.placement.swept import swept_leaf, swung_rod, upright_hinge


def measured(points, corners, normals):
    """Return volume and area, and assert that all points lie behind all faces."""
    a, b, c = (points[corners[:, k]] for k in range(3))
    size = np.ptp(points, axis=0).max()
    height = ((points[None] - a[:, None]) * normals[:, None]).sum(axis=2)
    assert height.max() <= 2e-9 * size
    middle = points.mean(axis=0)
    double = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    volume = ((a - middle) * normals).sum(axis=1) @ double / 6
    return volume, double.sum() / 2


def clouds():
    rng = np.random.default_rng(0)
    for k in range(60):
        points = rng.normal(size=(rng.integers(25, 90), 3)) * 10 ** rng.uniform(-1, 2)
        if k % 3 == 0:  # a lattice: many points in one plane, on one line, or equal
            points = np.round(points * 2 / np.abs(points).max()) + rng.uniform(-9, 9, 3)
        yield points
    hinge = upright_hinge((3.0, 4.0), low=0.0, high=84.0)
    for leaf in swept_leaf(hinge, length=300.0, thickness=2.0, start=0.3, swing=2.0):
        yield np.array(leaf.points)
    rod = swung_rod((100.0, 50.0, 90.0), near=9.0, far=30.0, radius=0.5, swing=0.5)
    yield np.array(rod.points)
    yield np.array(rod.points) @ np.diag([1.0, 1.0, 1e-4])


@pytest.mark.parametrize("points", list(clouds()))
def test_faces_enclose_what_qhull_encloses(points):
    volume, area = measured(points, *hull_faces(points))
    expected = ConvexHull(points)  # second method: qhull
    assert volume == pytest.approx(expected.volume, rel=1e-8)
    assert area == pytest.approx(expected.area, rel=1e-8)


def ring_stacks():
    rng = np.random.default_rng(3)
    for k in range(40):
        rings, corners = rng.integers(5, 12), rng.integers(6, 20)
        turns = np.sort(rng.uniform(0.0, 2 * math.pi, corners))
        plan = np.stack([np.cos(turns), np.sin(turns)], axis=1)
        plan -= plan.mean(axis=0)
        wide, heights = rng.uniform(1.0, 30.0, rings), rng.uniform(-20.0, 9.0, rings)
        if k % 3 == 0:  # rings of one height, and profiles with straight sides
            wide, heights = np.round(wide / 9.0) * 9.0 + 1.0, np.round(heights / 9.0)
        if np.ptp(heights) > 0.0:
            points = np.zeros((rings, corners, 3))
            points[:, :, :2] = wide[:, None, None] * plan
            points[:, :, 2] = heights[:, None]
            yield points.reshape(-1, 3) + rng.uniform(-99, 99, 3)
    rod = swung_rod((100.0, 50.0, 90.0), near=9.0, far=30.0, radius=0.5, swing=0.5)
    points = np.array(rod.points)
    yield points + np.linspace(0.0, 1e-3, len(points))[:, None]  # rings that lean


@pytest.mark.parametrize("points", list(ring_stacks()))
def test_faces_of_level_rings_enclose_what_qhull_encloses(points):
    volume, area = measured(points, *hull_faces(points))
    expected = ConvexHull(points)  # second method: qhull
    assert volume == pytest.approx(expected.volume, rel=1e-8)
    assert area == pytest.approx(expected.area, rel=1e-8)


def prisms():
    rng = np.random.default_rng(2)
    for k in range(40):
        base = np.zeros((rng.integers(4, 30), 3))
        base[:, :2] = rng.normal(size=(len(base), 2)) * 10 ** rng.uniform(-1, 2)
        if k % 4 == 0:  # corners on a lattice: on one line, or equal
            base = np.round(base * 3.0 / np.abs(base).max())
        way = np.array([0.0, 0.0, rng.choice((-1.0, 1.0)) * rng.uniform(0.1, 90.0)])
        turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
        yield np.concatenate((base, base + way)) @ turn + rng.uniform(-99, 99, 3)


@pytest.mark.parametrize("points", list(prisms()))
def test_faces_of_a_prism_in_any_pose_enclose_what_qhull_encloses(points):
    volume, area = measured(points, *hull_faces(points))
    expected = ConvexHull(points)  # second method: qhull
    assert volume == pytest.approx(expected.volume, rel=1e-8)
    assert area == pytest.approx(expected.area, rel=1e-8)


def test_a_prism_without_width_or_height_has_no_faces():
    line = np.outer(np.arange(5.0), [1.0, 2.0, 0.0])
    assert hull_faces(np.concatenate((line, line + np.array([0.0, 0.0, 9.0])))) is None
    ring = np.array([[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]])
    assert hull_faces(np.concatenate((ring, ring))) is None


def test_points_nearly_on_each_other_still_give_a_closed_hull():
    rng = np.random.default_rng(1)
    for apart in (1e-8, 1e-9, 1e-10, 1e-12):
        points = np.round(rng.normal(size=(60, 3)) * 2) / 2
        points = np.concatenate((points, points + apart * rng.normal(size=(60, 3))))
        corners, normals = hull_faces(points)
        a = points[corners[:, 0]]
        height = ((points[None] - a[:, None]) * normals[:, None]).sum(axis=2)
        assert height.max() <= 1e-7


def test_points_in_one_plane_have_no_faces():
    turns = np.linspace(0.0, 2 * math.pi, 40, endpoint=False)
    ring = np.stack((np.cos(turns), np.sin(turns), np.cos(turns) / 3), axis=1)
    assert hull_faces(ring) is None
    assert hull_faces(ring[:12]) is None
    assert hull_faces(ring[:3]) is None
    assert hull_faces(np.ones((30, 3)) * np.arange(30)[:, None]) is None
    assert hull_faces(np.zeros((30, 3))) is None
