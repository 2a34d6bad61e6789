"""Hatches lie inside their face, evenly, and nowhere else."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPolygon, Polygon

from viewer.paper.hatching import hatch_face

ANGLES = st.sampled_from([45.0, -45.0, 30.0, 10.0])
RING = np.array(((0.0, 0.0), (10.0, 1.0), (12.0, 9.0), (4.0, 6.0), (-3.0, 8.0)))
HOLE = np.array(((3.0, 2.0), (6.0, 2.5), (5.0, 4.5)))


def length_of(pieces: np.ndarray) -> float:
    return float(np.hypot(*(pieces[:, 1] - pieces[:, 0]).T).sum())


def expected_length(
    face: Polygon | MultiPolygon, spacing: float, angle: float
) -> float:
    """Cut every line of the hatch to the face with shapely."""
    way = np.array((math.cos(angle), math.sin(angle)))
    across = np.array((-way[1], way[0]))
    total = 0.0
    for k in range(-200, 200):
        at = (k + 0.5) * spacing * across
        total += face.intersection(LineString((at - 500 * way, at + 500 * way))).length
    return total


@given(st.floats(0.3, 3.0), ANGLES)
def test_a_face_with_a_hole_is_hatched_as_shapely_cuts_it(
    spacing: float, degrees: float
) -> None:
    # second method: shapely
    angle = math.radians(degrees)
    pieces = hatch_face([RING, HOLE], spacing=spacing, angle=angle)
    face = Polygon(RING, [HOLE])
    assert length_of(pieces) == pytest.approx(
        expected_length(face, spacing, angle), rel=1e-6, abs=1e-6
    )
    for a, b in pieces.tolist():
        assert face.buffer(1e-6).covers(LineString((a, b)))


PLACES = st.integers(0, 20_000).map(lambda thousandths: thousandths / 1000)
SIZES = st.integers(500, 8_000).map(lambda thousandths: thousandths / 1000)
BOXES = st.lists(
    st.tuples(PLACES, PLACES, SIZES, SIZES),
    min_size=1,
    max_size=12,
)


def test_no_face_has_no_hatch() -> None:
    assert hatch_face([np.zeros((0, 2))], spacing=1.0, angle=0.7).shape == (0, 2, 2)
