"""The second method itself, on cases that are worked by hand."""

import numpy as np
import pytest

from core.geometry.runs import SweptRun
from core.geometry.shapes import (
    Box,
    Capsule,
    Cylinder,
    Hull,
    Shape,
    Sphere,
    upright_box,
)
from tests.oracle.gap_oracle import outer_triangles
from tests.oracle.run_oracle import verdicts

pytestmark = pytest.mark.oracle

# Hand-worked: an axis of radius 1 along x from 0 to 100, from z = 0 up to 40.
RUN = SweptRun(start=(0.0, 0.0), end=(100.0, 0.0), low=0.0, travel=40.0, radius=1.0)
CUBE = tuple((x, y, z) for x in (40.0, 50.0) for y in (9.0, 19.0) for z in (-8.0, 2.0))

CASES: list[tuple[Shape, float]] = [
    (upright_box((40, 9, -20), (50, 19, 60)), 8.0),  # beside it: 9 - 1
    (upright_box((40, 3, -20), (50, 19, -4)), 4.0),  # below an edge: hypot(3, 4) - 1
    (upright_box((103, 4, 52), (119, 19, 60)), 12.0),  # corner: hypot(3, 4, 12) - 1
    (Box(center=(50, 0, 50), half=(1, 1, 1)), 8.0),  # above the top: 49 - 40 - 1
    (Sphere(center=(-3, 4, 52), radius=2.0), 10.0),  # past the end: 13 - 2 - 1
    (Capsule(a=(50, 8, -90), b=(50, 8, 90), radius=2.0), 5.0),  # upright: 8 - 2 - 1
    (
        Cylinder(a=(50, -9, 50), b=(50, 9, 50), radius=5.0),
        4.0,
    ),  # across: 50 - 5 - 40 - 1
    (Cylinder(a=(107, 0, 20), b=(150, 0, 20), radius=3.0), 6.0),  # its end: 7 - 1
    (Hull(points=CUBE), 8.0),  # beside it: 9 - 1
]


@pytest.mark.parametrize(("shape", "clearance"), CASES)
def test_clearance_is_the_hand_worked_one(shape: Shape, clearance: float) -> None:
    found = verdicts([RUN], [shape])
    assert found.clearance[0] == pytest.approx(clearance, abs=1e-9)


def test_band_and_stations_of_a_box_are_the_hand_worked_ones() -> None:
    # The box edge is 3.5 in beside the axis: sqrt(7^2 - 3.5^2) = 6.06217782649 in
    # of height above and below it, and of station before and behind it.
    found = verdicts([RUN], [upright_box((40, 3.5, 20), (50, 30, 24))])
    rise = 6.06217782649107
    assert found.lo[0] == pytest.approx(20.0 - rise, abs=1e-9)
    assert found.hi[0] == pytest.approx(24.0 + rise, abs=1e-9)
    assert found.station_lo[0] == pytest.approx(40.0 - rise, abs=1e-9)
    assert found.station_hi[0] == pytest.approx(50.0 + rise, abs=1e-9)


def test_faces_of_a_cube_are_all_its_corner_triples() -> None:
    # 6 faces of 4 corners: 4 triples each.
    points = np.array(CUBE)
    corner = points[outer_triangles(points)]
    assert len(corner) == 24
    normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    assert np.all(np.sum(normal * (corner[:, 0] - points.mean(axis=0)), axis=1) > 0.0)
