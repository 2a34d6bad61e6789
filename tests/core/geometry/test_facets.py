"""Surfaces of solids: on the true surface, closed, facing outward."""

import math

import numpy as np
import pytest

from core.geometry.facets import Facets, facets, joined, sides_of, tube
from core.geometry.shapes import Box, Capsule, Cylinder, Hull, Mesh, Sphere, upright_box

TURNED = Box(
    center=(1.0, 2.0, 3.0),
    half=(4.0, 5.0, 6.0),
    axes=((0.6, 0.8, 0.0), (-0.8, 0.6, 0.0), (0.0, 0.0, 1.0)),
)
# volume of each by its textbook formula (second method: the divergence theorem
# over the triangles), and how much smaller the chords may make it
SOLIDS = [
    (upright_box((0, 0, 0), (2, 3, 4)), 24.0, 1e-12),
    (TURNED, 960.0, 1e-12),
    (Cylinder(a=(0, 0, 0), b=(10, 0, 0), radius=3.0), 90 * math.pi, 0.05),
    (Sphere(center=(1, 2, 3), radius=5.0), 500 / 3 * math.pi, 0.06),
    (
        Capsule(a=(1, 1, 0), b=(1, 1, 9), radius=2.0),
        (36 + 32 / 3) * math.pi,
        0.12,
    ),
    (Hull(points=((0, 0, 0), (6, 0, 0), (0, 6, 0), (0, 0, 6))), 36.0, 1e-12),
]


def _volume(surface: Facets) -> float:
    """Return the volume inside, by the divergence theorem with the stated normals."""
    a, b, c = surface.corners.transpose(1, 0, 2)
    doubled = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    normal = surface.normals.mean(axis=1)
    flux = ((a + b + c) / 3 * normal).sum(axis=1) * doubled / 2
    return float(flux.sum() / 3)


@pytest.mark.parametrize(("shape", "volume", "slack"), SOLIDS)
def test_a_surface_encloses_its_solid_and_faces_outward(shape, volume, slack) -> None:
    assert _volume(facets(shape)) == pytest.approx(volume, rel=slack)


@pytest.mark.parametrize("shape", [solid[0] for solid in SOLIDS])
def test_normals_are_unit_vectors(shape) -> None:
    lengths = np.linalg.norm(facets(shape).normals, axis=2)
    np.testing.assert_allclose(lengths, 1.0, atol=1e-12)


def test_corners_of_a_capsule_lie_on_it() -> None:
    corners = facets(Capsule(a=(1, 1, 0), b=(1, 1, 9), radius=2.0)).corners
    axis = np.clip(corners[..., 2], 0.0, 9.0)
    off = np.stack(
        (corners[..., 0] - 1, corners[..., 1] - 1, corners[..., 2] - axis), -1
    )
    np.testing.assert_allclose(np.linalg.norm(off, axis=-1), 2.0, atol=1e-12)


def test_a_box_has_its_twelve_edges() -> None:
    edges = facets(TURNED).edges
    lengths = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
    # hand-worked: four edges for each full size 8, 10, 12
    assert sorted(lengths.round(9).tolist()) == [8.0] * 4 + [10.0] * 4 + [12.0] * 4


def test_a_line_on_a_face_of_a_hull_is_no_edge() -> None:
    box = tuple((x, y, z) for x in (0.0, 2.0) for y in (0.0, 3.0) for z in (0.0, 4.0))
    assert len(facets(Hull(points=box)).edges) == 12  # hand-worked: a box


def test_a_flat_hull_has_no_surface() -> None:
    flat = Hull(points=((0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)))
    assert len(facets(flat).corners) == 0


def test_a_mesh_keeps_its_triangles() -> None:
    vertices = np.array([(0.0, 0, 0), (1, 0, 0), (0, 1, 0)])
    made = facets(Mesh(vertices=vertices, faces=np.array([[0, 1, 2]])))
    assert made.corners.tolist() == [vertices.tolist()]
    assert made.normals[0, 0].tolist() == [0.0, 0.0, 1.0]


def test_chords_stay_near_their_circle() -> None:
    for radius in (0.1, 0.5, 2.0, 9.0, 27.0):
        inside = radius * (1.0 - math.cos(math.pi / sides_of(radius)))
        assert inside <= 0.06 + 1e-12


def test_a_tube_follows_its_line() -> None:
    line = np.array([(0.0, 0, 50), (60, 0, 49), (120, 0, 50)])
    corners = tube(line, 0.5, sides=8).corners.reshape(-1, 3)
    axis = np.interp(corners[:, 0], line[:, 0], line[:, 2])
    off = np.hypot(corners[:, 1], corners[:, 2] - axis)
    np.testing.assert_allclose(off, 0.5, atol=1e-12)


def test_nothing_joined_is_empty() -> None:
    assert joined().corners.shape == (0, 3, 3)
