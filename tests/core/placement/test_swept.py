import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.geometry.shapes import Hull
from core.placement.swept import (
    ARC_ALLOWANCE,
    Hinge,
    swept_leaf,
    swung_rod,
    upright_hinge,
)
from tests.core.placement.containment import Array, hull_volume, is_in, is_in_any

lengths = st.floats(1.0, 200.0)
swings = st.floats(-6.2, 6.2).filter(lambda angle: abs(angle) > 0.01)
shares = st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3)


def leaf_points(
    angles: Array, *, length: float, thickness: float, low: float, high: float
) -> Array:
    """Corners and edge points of an upright leaf at each angle (sampled)."""
    u = np.array([0.0, 0.0, length, length, length / 2, length])
    v = np.array([-1.0, 1.0, -1.0, 1.0, 1.0, 0.0]) * thickness / 2
    cos, sin = np.cos(angles)[:, None], np.sin(angles)[:, None]
    x, y = (u * cos - v * sin).ravel(), (u * sin + v * cos).ravel()
    return np.concatenate([np.column_stack((x, y, x * 0 + z)) for z in (low, high)])


@given(
    length=lengths,
    thickness=st.floats(0.0, 3.0),
    start=st.floats(-4.0, 4.0),
    swing=swings,
)
def test_a_swinging_leaf_stays_in_its_space(
    length: float, thickness: float, start: float, swing: float
) -> None:
    hulls = swept_leaf(
        upright_hinge((0.0, 0.0), low=2.0, high=38.0),
        length=length,
        thickness=thickness,
        start=start,
        swing=swing,
    )
    angles = start + swing * np.linspace(0.0, 1.0, 101)
    points = leaf_points(angles, length=length, thickness=thickness, low=2.0, high=38.0)
    assert is_in_any(list(hulls), points).all()


@given(length=lengths, thickness=st.floats(0.0, 3.0), swing=swings)
def test_no_corner_of_the_space_is_further_out_than_the_allowance(
    length: float, thickness: float, swing: float
) -> None:
    hulls = swept_leaf(
        upright_hinge((0.0, 0.0), low=0.0, high=1.0),
        length=length,
        thickness=thickness,
        start=0.0,
        swing=swing,
    )
    reach = math.hypot(length, thickness / 2)
    plan = np.concatenate([np.array(hull.points)[:, :2] for hull in hulls])
    distances = np.hypot(plan[:, 0], plan[:, 1])
    assert distances.max() <= reach + ARC_ALLOWANCE + 1e-9
    assert distances.max() >= reach - 1e-9


def test_a_thin_leaf_takes_hardly_more_than_its_sector() -> None:
    hulls = swept_leaf(
        upright_hinge((10.0, 20.0), low=0.0, high=1.0),
        length=48.0,
        thickness=0.0,
        start=0.3,
        swing=math.pi / 2,
    )
    # hand-worked: sector = 48^2 (pi/2) / 2 = 1809.557 in2; a rim of 0.05 in over
    # its arc of 75.4 in would add 3.77 in2, tangents fill a third of that
    sector = 48.0**2 * (math.pi / 2) / 2
    total = sum(hull_volume(hull) for hull in hulls)
    assert sector <= total <= sector + 3.77 / 2
    assert len(hulls) == 2


def test_pieces_span_at_most_sixty_degrees() -> None:
    hinge = upright_hinge((0.0, 0.0), low=0.0, high=1.0)
    counts = [
        len(swept_leaf(hinge, length=40.0, thickness=1.5, start=0.0, swing=swing))
        for swing in np.radians([30, 60, -60, 61, 180, 360]).tolist()
    ]
    assert counts == [1, 1, 1, 2, 3, 6]


def test_a_leaf_turns_from_along_to_across() -> None:
    hinge = Hinge(
        at=(5.0, 6.0, 90.0),
        along=(0.0, 1.0, 0.0),
        across=(0.0, 0.0, -1.0),
        axis=(1.0, 0.0, 0.0),
        low=-10.0,
        high=10.0,
    )
    (hull,) = swept_leaf(
        hinge, length=8.0, thickness=0.0, start=0.0, swing=math.radians(60)
    )
    low, high = np.array(hull.points).min(axis=0), np.array(hull.points).max(axis=0)
    # hand-worked: from (y 14, z 90) to y = 6 + 8 cos 60 = 10, z = 90 - 8 sin 60
    assert low == pytest.approx(
        (-5.0, 6.0, 90 - 8 * math.sin(math.radians(60))), abs=0.05
    )
    assert high == pytest.approx((15.0, 14.0, 90.0), abs=0.05)


@given(
    near=st.floats(0.0, 80.0),
    body=st.floats(1.0, 20.0),
    radius=st.floats(0.05, 3.0),
    swing=st.floats(0.0, math.pi / 2),
    share=shares,
)
def test_a_swinging_rod_stays_in_its_space(
    near: float, body: float, radius: float, swing: float, share: list[float]
) -> None:
    hull = swung_rod(
        (1.0, 2.0, 96.0), near=near, far=near + body, radius=radius, swing=swing
    )
    points = rod_points(swing * share[0], 6.3 * share[1], near, near + body, radius)
    assert is_in(hull, points + np.array((1.0, 2.0, 96.0))).all()


def rod_points(
    tilt: float, heading: float, near: float, far: float, radius: float
) -> Array:
    """Points on the rims of both ends of a rod that hangs off plumb (sampled)."""
    out = np.array((math.cos(heading), math.sin(heading), 0.0))
    side = np.array((-math.sin(heading), math.cos(heading), 0.0))
    axis = math.sin(tilt) * out - math.cos(tilt) * np.array((0.0, 0.0, 1.0))
    lift = np.cross(axis, side)
    turns = np.linspace(0.0, 2 * math.pi, 33)[:, None]
    rim = radius * (np.cos(turns) * lift + np.sin(turns) * side)
    return np.concatenate([rim + near * axis, rim + far * axis])


@given(near=st.floats(0.0, 80.0), body=st.floats(1.0, 20.0), swing=st.floats(0.0, 1.57))
def test_the_space_of_a_rod_is_no_further_out_than_the_allowance(
    near: float, body: float, swing: float
) -> None:
    hull = swung_rod(
        (0.0, 0.0, 0.0), near=near, far=near + body, radius=0.5, swing=swing
    )
    reach = np.linalg.norm(np.array(hull.points), axis=1).max()
    assert reach <= math.hypot(near + body, 0.5) + ARC_ALLOWANCE


def test_the_space_of_a_rod_is_nearly_that_of_revolution() -> None:
    hull = swung_rod((0.0, 0.0, 0.0), near=0.0, far=60.0, radius=1e-6, swing=0.2)
    # hand-worked: a cone with a round bottom, 2 pi R^3 (1 - cos a) / 3, and a rim of
    # 0.05 in over its cap 2 pi R^2 (1 - cos a) and side
    cone = 2 * math.pi * 60.0**3 * (1 - math.cos(0.2)) / 3
    cap = 2 * math.pi * 60.0**2 * (1 - math.cos(0.2))
    side = math.pi * 60.0 * 60.0 * math.sin(0.2)
    volume = hull_volume(hull)
    assert cone <= volume <= cone + ARC_ALLOWANCE * (cap + side)


def test_every_hull_is_a_solid() -> None:
    hull = swung_rod((0.0, 0.0, 96.0), near=0.0, far=1.0, radius=0.05, swing=0.0)
    assert isinstance(hull, Hull)
    assert hull_volume(hull) > 0
