"""Shapes as columns: kinds, bounds, exchange, and what is refused."""

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.geometry.obstacles import ObstacleSet, SolidKind
from core.geometry.shapes import Box, Capsule, Cylinder, Hull, Mesh, Sphere, upright_box

TURNED = ((0.6, 0.8, 0.0), (-0.8, 0.6, 0.0), (0.0, 0.0, 1.0))
LYING = ((0.0, 0.0, 1.0), (0.6, 0.8, 0.0), (-0.8, 0.6, 0.0))
TILTED = ((0.6, 0.0, 0.8), (0.0, 1.0, 0.0), (-0.8, 0.0, 0.6))
CORNERS = ((0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (0.0, 4.0, 0.0), (0.0, 0.0, 6.0))


@pytest.mark.parametrize(
    ("shape", "kind"),
    [
        (upright_box((0, 0, 0), (1, 1, 1)), SolidKind.UPRIGHT_BOX),
        (Box(center=(0, 0, 0), half=(1, 2, 3), axes=TURNED), SolidKind.UPRIGHT_BOX),
        (Box(center=(0, 0, 0), half=(1, 2, 3), axes=LYING), SolidKind.UPRIGHT_BOX),
        (Box(center=(0, 0, 0), half=(1, 2, 3), axes=TILTED), SolidKind.TILTED_BOX),
        (Cylinder(a=(0, 0, 1), b=(0, 0, 0), radius=1), SolidKind.UPRIGHT_CYLINDER),
        (Cylinder(a=(0, 0, 1), b=(0, 1, 0), radius=1), SolidKind.TILTED_CYLINDER),
        (Capsule(a=(0, 0, 1), b=(0, 1, 0), radius=1), SolidKind.CAPSULE),
        (Sphere(center=(0, 0, 1), radius=1), SolidKind.CAPSULE),
        (Hull(points=CORNERS), SolidKind.HULL),
    ],
)
def test_kind_of_each_shape(shape, kind):
    assert ObstacleSet.of([shape]).kind[0] == kind


def test_bounds_are_those_of_the_shape():
    # hand-worked: 3-4-5 turns
    found = ObstacleSet.of(
        [
            Box(center=(1, 2, 3), half=(5, 10, 1), axes=TURNED),
            Cylinder(a=(-3, 0, -4), b=(3, 0, 4), radius=5),
            Capsule(a=(0, 0, 0), b=(2, 0, 4), radius=1),
            Hull(points=CORNERS),
        ]
    )
    np.testing.assert_allclose(
        found.half.T, [[11, 10, 1], [7, 5, 7], [2, 1, 3], [1, 2, 3]]
    )
    np.testing.assert_allclose(
        found.center.T, [[1, 2, 3], [0, 0, 0], [1, 0, 2], [1, 2, 3]]
    )


def test_a_box_that_lies_on_its_side_has_its_vertical_axis_last():
    fields = ObstacleSet.of([Box(center=(0, 0, 0), half=(1, 2, 3), axes=LYING)]).fields
    assert fields[3:6, 0].tolist() == [2.0, 3.0, 1.0]


def test_exchange_gives_what_building_anew_gives():
    shapes = [Hull(points=CORNERS), Sphere(center=(0, 0, 1), radius=1)] * 2
    changes = {
        0: Sphere(center=(5, 0, 1), radius=2),
        3: Hull(points=CORNERS),
        2: Hull(points=((9.0, 9.0, 9.0), *CORNERS)),
    }
    old = ObstacleSet.of(shapes)
    assert old.hull_tables.edge_starts.size == 3
    changed = old.replaced(changes)
    expected = ObstacleSet.of([changes.get(k, s) for k, s in enumerate(shapes)])
    np.testing.assert_array_equal(changed.kind, expected.kind)
    np.testing.assert_array_equal(changed.center, expected.center)
    np.testing.assert_array_equal(changed.half, expected.half)
    for k in (2, 3):
        found = changed.hulls[int(changed.fields[0, k])]
        hull = expected.hulls[int(expected.fields[0, k])]
        np.testing.assert_array_equal(found.edges, hull.edges)
    assert len(old) == len(changed) == 4
    np.testing.assert_array_equal(old.kind, ObstacleSet.of(shapes).kind)


@pytest.mark.parametrize(
    ("shape", "message"),
    [
        (Sphere(center=(0, 0, 0), radius=-1), "must not be negative"),
        (Sphere(center=(0, 0, 0), radius=float("nan")), "must not be negative"),
        (Cylinder(a=(0, 0, 0), b=(1, 0, 0), radius=-1), "must not be negative"),
        (upright_box((0, 0, 0), (1, -1, 1)), "must not be negative"),
        (Hull(points=CORNERS[:3]), "not in one plane"),
        (Hull(points=(*CORNERS[:3], (1.0, 1.0, 0.0))), "not in one plane"),
        (
            Mesh(vertices=np.zeros((3, 3)), faces=np.array([[0, 1, 2]])),
            "not a convex solid",
        ),
    ],
)
def test_what_has_no_volume_or_is_not_convex_is_refused(shape, message):
    with pytest.raises(ValueRangeError, match=message):
        ObstacleSet.of([shape])
