"""Outlines and cuts; every expected number is hand-worked beside it."""

import math

import numpy as np
import pytest
from shapely.geometry import Polygon as ShapelyPolygon

from core.drawing.faces import (
    Disc,
    _cut_of_corners,
    convex_outline,
    cut_face,
    face_record,
    seen_face,
)
from core.drawing.frames import PLAN, long_frame, section_frame
from core.drawing.records import Circle, Polygon, Role, Strokes
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Mesh,
    Sphere,
    upright_box,
)


def _area(outline):
    u, v = outline.T
    return 0.5 * float(np.sum(u * np.roll(v, -1) - v * np.roll(u, -1)))


def _extent(outline):
    return (*outline.min(axis=0).tolist(), *outline.max(axis=0).tolist())


def test_upright_box_from_above_is_its_plan_rectangle():
    # hand-worked: v is -y, so y 2..5 becomes v -5..-2
    outline = seen_face(upright_box((1, 2, 3), (4, 5, 9)), PLAN)
    assert sorted(map(tuple, outline.tolist())) == [(1, -5), (1, -2), (4, -5), (4, -2)]


def test_box_turned_45_degrees_is_seen_as_a_square_on_its_corner():
    s = math.sqrt(0.5)
    box = Box(
        center=(10, 0, 0), half=(1, 1, 1), axes=((s, s, 0), (-s, s, 0), (0, 0, 1))
    )
    # hand-worked: half diagonal of a 2 x 2 square is sqrt(2)
    outline = seen_face(box, PLAN)
    assert len(outline) == 4
    assert _extent(outline) == pytest.approx(
        (10 - math.sqrt(2), -math.sqrt(2), 10 + math.sqrt(2), math.sqrt(2))
    )


def test_cut_of_an_upright_box_is_its_cross_section():
    face = cut_face(upright_box((0, 2, 3), (10, 5, 9)), section_frame(4.0))
    assert _extent(face) == pytest.approx((2, 3, 5, 9))
    assert _area(face) == pytest.approx(18)  # hand-worked: 3 x 6


def test_cube_cut_square_to_its_diagonal_is_a_regular_hexagon():
    # hand-worked: through the middle, side = edge / sqrt(2); area = 3 sqrt(3)/2 side^2
    # with the plane kept at x = 0 the cube's diagonal is turned onto x
    e1 = np.array((1, 1, 1)) / math.sqrt(3)
    e2 = np.array((1, -1, 0)) / math.sqrt(2)
    turn = np.stack((e1, e2, np.cross(e1, e2)))  # rows: new axes
    box = Box(center=(0, 0, 0), half=(1, 1, 1), axes=tuple(map(tuple, turn.T.tolist())))
    face = cut_face(box, section_frame(0.0))
    side = 2 / math.sqrt(2)
    assert len(face) == 6
    assert _area(face) == pytest.approx(1.5 * math.sqrt(3) * side**2)


def test_plane_past_a_box_cuts_nothing():
    assert cut_face(upright_box((0, 0, 0), (1, 1, 1)), section_frame(1.5)) is None


def test_upright_cylinder_is_a_disc_from_above():
    face = seen_face(Cylinder(a=(3, 4, 0), b=(3, 4, 9), radius=2), PLAN)
    assert face == Disc(center=(3, -4), radius=2)


def test_lying_cylinder_is_a_rectangle_from_above():
    outline = seen_face(Cylinder(a=(0, 5, 8), b=(20, 5, 8), radius=1.5), PLAN)
    assert len(outline) == 4
    assert _extent(outline) == pytest.approx((0, -6.5, 20, -3.5))


def test_tilted_cylinder_outline_has_the_area_of_band_and_ellipse():
    # hand-worked: axis at 45 degrees, plan length 10; ellipse half axes r, r sin 45
    # area = 10 * 2 r + pi * r * (r sin 45) with r = 2
    outline = seen_face(Cylinder(a=(0, 0, 0), b=(10, 0, 10), radius=2), PLAN)
    exact = 40 + math.pi * 4 * math.sqrt(0.5)
    assert _area(outline) == pytest.approx(exact, rel=2e-3)
    assert outline[:, 1].max() == pytest.approx(2)
    # hand-worked: reach past the end is r sin 45
    assert outline[:, 0].max() == pytest.approx(10 + 2 * math.sqrt(0.5))


@pytest.mark.parametrize(
    ("offset", "half_width"),
    [(0.0, 5.0), (3.0, 4.0), (4.0, 3.0)],  # hand-worked: 3-4-5 triangle
)
def test_cylinder_along_the_plane_is_cut_in_a_rectangle(offset, half_width):
    frame = long_frame((0, 0), (100, 0))
    cylinder = Cylinder(a=(10, offset, 50), b=(30, offset, 50), radius=5)
    face = cut_face(cylinder, frame)
    assert _extent(face) == pytest.approx((10, 50 - half_width, 30, 50 + half_width))


def test_cylinder_square_to_the_plane_is_cut_in_a_disc():
    cylinder = Cylinder(a=(0, 7, 50), b=(30, 7, 50), radius=5)
    assert cut_face(cylinder, section_frame(12)) == Disc(center=(7, 50), radius=5)
    assert cut_face(cylinder, section_frame(31)) is None


def test_oblique_cut_of_a_cylinder_is_an_ellipse():
    # hand-worked: at 45 degrees half axes r and r sqrt(2), area pi r^2 sqrt(2)
    cylinder = Cylinder(a=(-50, -50, 8), b=(50, 50, 8), radius=3)
    face = cut_face(cylinder, section_frame(0.0))
    reach = 3 * math.sqrt(2)
    assert _extent(face) == pytest.approx((-reach, 5, reach, 11), abs=0.02)
    assert _area(face) == pytest.approx(math.pi * 9 * math.sqrt(2), rel=5e-3)


def test_oblique_cut_stops_at_the_cylinder_s_end():
    # hand-worked: the axis starts at the origin along (1, 1, 0); its end face lies in
    # x + y = 0, which meets the cut x = 0 in y = 0: half of the ellipse is left
    cylinder = Cylinder(a=(0, 0, 8), b=(50, 50, 8), radius=3)
    face = cut_face(cylinder, section_frame(0.0))
    assert _extent(face) == pytest.approx((0, 5, 3 * math.sqrt(2), 11), abs=0.02)


def test_capsule_from_the_side_and_end_on():
    capsule = Capsule(a=(0, 0, 10), b=(20, 0, 10), radius=2)
    outline = seen_face(capsule, PLAN)
    assert _extent(outline) == pytest.approx((-2, -2, 22, 2))
    # hand-worked: 20 x 4 + pi 2^2
    assert _area(outline) == pytest.approx(80 + 4 * math.pi, rel=1e-3)
    assert seen_face(capsule, section_frame(0)) == Disc(center=(0, 10), radius=2)


def test_capsule_cut_through_its_barrel_and_through_its_round_end():
    capsule = Capsule(a=(0, 0, 10), b=(20, 0, 10), radius=5)
    assert cut_face(capsule, section_frame(7)) == Disc(center=(0, 10), radius=5)
    # hand-worked: 3 in past the end, 5^2 - 3^2 = 4^2
    assert cut_face(capsule, section_frame(23)) == Disc(center=(0, 10), radius=4)
    assert cut_face(capsule, section_frame(26)) is None


def test_capsule_cut_along_is_a_rounded_bar():
    capsule = Capsule(a=(0, 3, 10), b=(20, 3, 10), radius=5)
    face = cut_face(capsule, long_frame((0, 0), (9, 0)))
    assert _extent(face) == pytest.approx((-4, 6, 24, 14))  # hand-worked: 3-4-5


def test_sphere_is_seen_and_cut_as_a_disc():
    sphere = Sphere(center=(10, 20, 30), radius=13)
    assert seen_face(sphere, PLAN) == Disc(center=(10, -20), radius=13)
    # hand-worked: 5-12-13 triangle
    assert cut_face(sphere, section_frame(5)) == Disc(center=(20, 30), radius=12)
    assert cut_face(sphere, section_frame(24)) is None


def test_hull_is_seen_and_cut():
    corners = ((0, 0, 0), (8, 0, 0), (0, 8, 0), (0, 0, 8))
    assert _area(seen_face(Hull(points=corners), PLAN)) == pytest.approx(32)
    # hand-worked: half way up the edge along x the triangle is half as large: legs 4
    face = cut_face(Hull(points=corners), section_frame(4))
    assert _area(face) == pytest.approx(8)
    assert _extent(face) == pytest.approx((0, 0, 4, 4))


def _cube_mesh():
    corners = np.array([(x, y, z) for x in (0, 6) for y in (0, 6) for z in (0, 6)])
    faces = np.array(
        [
            *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1)),
            *((2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
        ]
    )
    return Mesh(vertices=corners.astype(float), faces=faces)


def test_mesh_is_cut_in_strokes_that_run_round_it():
    strokes = cut_face(_cube_mesh(), section_frame(2.0))
    lengths = np.linalg.norm(strokes[:, 1] - strokes[:, 0], axis=1)
    assert strokes.shape == (8, 2, 2)  # two triangles a side face
    assert lengths.sum() == pytest.approx(24)  # hand-worked: girth of a 6 in square
    assert cut_face(_cube_mesh(), section_frame(7.0)) is None


def test_mesh_is_outlined_by_its_hull():
    assert _area(seen_face(_cube_mesh(), PLAN)) == pytest.approx(36)


def test_flat_mesh_is_outlined_too():
    corners = np.array(((0.0, 0.0, 5.0), (4.0, 0.0, 5.0), (0.0, 4.0, 5.0)))
    mesh = Mesh(vertices=corners, faces=np.array(((0, 1, 2),)))
    assert _area(seen_face(mesh, PLAN)) == pytest.approx(8)


def test_hull_of_many_points_equals_the_hull_of_all():
    # second method: the same chain without the thinning, in pieces
    points = np.random.default_rng(3).normal(size=(5000, 2))
    pieces = np.concatenate([convex_outline(part) for part in np.split(points, 50)])
    whole = convex_outline(points)
    again = convex_outline(convex_outline(pieces))
    assert sorted(map(tuple, whole.tolist())) == sorted(map(tuple, again.tolist()))


def test_faces_become_the_record_that_fits():
    kinds = [
        (Disc(center=(0, 0), radius=1), Circle),
        (np.zeros((4, 2)), Polygon),
        (np.zeros((3, 2, 2)), Strokes),
    ]
    for face, kind in kinds:
        record = face_record(face, role=Role.FIXTURE_SEEN, owner="light", part="body")
        assert isinstance(record, kind)
        assert (record.owner, record.part) == ("light", "body")


def test_a_hull_is_cut_along_its_edges_as_along_all_pairs_of_its_corners() -> None:
    # second method: the hull of where every pair of corners passes the plane
    rng = np.random.default_rng(7)
    for _ in range(30):
        corners = rng.normal(size=(int(rng.integers(6, 60)), 3)) * 20.0
        hull = Hull(points=tuple((x, y, z) for x, y, z in corners.tolist()))
        frame = section_frame(float(rng.normal()) * 10.0)
        found, expected = cut_face(hull, frame), _cut_of_corners(corners, frame)
        if expected is None:
            assert found is None
            continue
        assert isinstance(found, np.ndarray)
        apart = ShapelyPolygon(found).symmetric_difference(ShapelyPolygon(expected))
        assert apart.area < 1e-9
