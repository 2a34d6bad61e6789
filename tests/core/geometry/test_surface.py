"""Blocks, placement and closedness of triangle surfaces."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import ValueRangeError
from core.geometry.shapes import FloatArray, Mesh
from core.geometry.surface import BLOCK, GROUP, LEAF, Surface
from tests.surface_specimens import box_mesh, rolling_ground


def sorted_triangles(corners: FloatArray) -> FloatArray:
    """Return triangles `(n, 9)` in a fixed order."""
    return corners[np.lexsort(corners.T)]


def test_blocks_hold_exactly_the_triangles_of_the_mesh() -> None:
    mesh = rolling_ground(23)
    surface = Surface.of(mesh)
    held = surface.corners.reshape(9, -1).T[: surface.count]
    assert surface.count == 2 * 23 * 23
    # second method: the plain list of the corners of all faces
    plain = mesh.vertices[mesh.faces].reshape(-1, 9)
    assert np.array_equal(sorted_triangles(held), sorted_triangles(plain))


def test_filling_up_adds_nothing_but_a_point_of_the_last_triangle() -> None:
    surface = Surface.of(rolling_ground(23))
    flat = surface.corners.reshape(9, -1).T
    last, filling = flat[surface.count - 1], flat[surface.count :]
    assert len(filling) == -surface.count % BLOCK
    assert (filling == np.tile(last[:3], 3)).all()


def test_boxes_bound_their_blocks_tightly() -> None:
    surface = Surface.of(rolling_ground(40))
    for block in range(surface.low.shape[1]):
        points = surface.corners[:, block].reshape(3, 3, BLOCK)
        assert (points.min(axis=(0, 2)) == surface.low[:, block]).all()
        assert (points.max(axis=(0, 2)) == surface.high[:, block]).all()


def test_boxes_bound_their_leaves_tightly() -> None:
    """Second method: the least and greatest corner of each 8 triangles."""
    surface = Surface.of(rolling_ground(23))
    points = surface.corners.reshape(3, 3, -1, LEAF)
    assert np.array_equal(points.min(axis=(0, 3)), surface.leaf_low)
    assert np.array_equal(points.max(axis=(0, 3)), surface.leaf_high)


def test_groups_bound_their_blocks() -> None:
    surface = Surface.of(rolling_ground(70))
    blocks = surface.low.shape[1]
    assert blocks > GROUP
    for group in range(surface.group_low.shape[1]):
        some = slice(group * GROUP, (group + 1) * GROUP)
        assert (surface.low[:, some].min(axis=1) == surface.group_low[:, group]).all()
        assert (surface.high[:, some].max(axis=1) == surface.group_high[:, group]).all()


def test_near_triangles_share_blocks() -> None:
    """Mixed order in, small boxes out: 64 cells of a plane lie about 6 x 6."""
    surface = Surface.of(rolling_ground(128, size=128.0))
    sides = surface.high[:2] - surface.low[:2]
    assert np.median(sides.prod(axis=0)) < 3 * BLOCK / 2


def test_a_mesh_without_triangles_is_refused() -> None:
    mesh = Mesh(vertices=np.zeros((3, 3)), faces=np.zeros((0, 3), dtype=np.int64))
    with pytest.raises(ValueRangeError, match="0 triangles"):
        Surface.of(mesh)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_vertex_that_is_no_number_is_refused(bad: float) -> None:
    mesh = box_mesh(np.zeros(3), np.ones(3))
    mesh.vertices[3, 1] = bad
    with pytest.raises(ValueRangeError, match="not a finite number"):
        Surface.of(mesh)


def test_one_point_repeated_is_a_surface() -> None:
    mesh = Mesh(vertices=np.ones((1, 3)), faces=np.zeros((1, 3), dtype=np.int64))
    assert Surface.of(mesh).count == 1


def test_a_box_is_closed_and_not_without_one_face() -> None:
    mesh = box_mesh(np.zeros(3), np.ones(3))
    assert Surface.of(mesh).closed
    assert not Surface.of(Mesh(vertices=mesh.vertices, faces=mesh.faces[1:])).closed


def test_a_box_of_loose_triangles_is_closed() -> None:
    """As an STL file holds it: each triangle with its own three vertices."""
    mesh = box_mesh(np.array([-1.0, -1.0, -0.0]), np.ones(3))
    loose = mesh.vertices[mesh.faces].reshape(-1, 3)
    loose[loose == 0.0] *= np.tile([1.0, -1.0], loose.size)[: (loose == 0.0).sum()]
    faces = np.arange(len(loose)).reshape(-1, 3)
    assert Surface.of(Mesh(vertices=loose, faces=faces)).closed


def test_a_sliver_of_no_width_does_not_open_a_box() -> None:
    mesh = box_mesh(np.zeros(3), np.ones(3))
    faces = np.concatenate([mesh.faces, [[0, 0, 1]]])
    assert Surface.of(Mesh(vertices=mesh.vertices, faces=faces)).closed


@given(
    st.tuples(*[st.floats(-500, 500)] * 3),
    st.floats(-math.pi, math.pi),
    st.tuples(*[st.floats(-500, 500)] * 3),
)
def test_into_the_own_frame_and_back(
    origin: tuple[float, float, float],
    heading: float,
    point: tuple[float, float, float],
) -> None:
    surface = Surface.of(box_mesh(np.zeros(3), np.ones(3)))
    moved = surface.moved(origin=origin, heading=heading)
    points = np.array([point])
    back = moved.to_room(moved.to_own(points))
    assert np.abs(back - points).max() < 1e-11
    assert moved.corners is surface.corners


def test_heading_turns_anticlockwise_seen_from_above() -> None:
    """Hand-worked: the own x axis turned by a quarter points along room y."""
    surface = Surface.of(box_mesh(np.zeros(3), np.ones(3)))
    moved = surface.moved(origin=(10.0, 20.0, 30.0), heading=math.pi / 2)
    assert (
        np.abs(moved.to_room(np.array([[1.0, 0.0, 2.0]])) - [10, 21, 32]).max() < 1e-12
    )
